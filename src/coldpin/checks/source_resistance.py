"""The resistance behind the pilot, from its level with and without a known load."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from coldpin.checks.check import Bearing, Check, Need, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence, PilotCapture
from coldpin.checks.pilot_runs import (
    PILOT_BENCH,
    STEADY,
    Seen,
    bare,
    captures_for,
    nothing_seen,
    stated,
    worst_level,
)
from coldpin.checks.readings import condition
from coldpin.checks.supply import BOARD, LOW
from coldpin.errors import EntryError, OutsideRange
from coldpin.pilot.vehicle_side import quantity_of, source_resistance
from coldpin.quantity import Quantity
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding
from coldpin.standards.pilot import generator

CHECK_ID = "source-resistance"
TITLE = "Source resistance"
NEED = Need(
    shows="pilot capture",
    conditions={"event": STEADY, "boundary": ("",)},
    stated=("resistance B", "resistance C"),
)


def _drop(bench: BenchEvidence, entry: Entry) -> Quantity:
    """Return the diode's drop: none where it is bridged, as measured, or else what a silicon diode may have."""
    if entry.conditions.get("diode", "present") != "present":
        return Quantity(0.0, 0.0, "V")
    told = condition(entry, "diode drop", "V")
    return told if told is not None else quantity_of(bench.book.limit("pilot.vehicle.diode-drop"), "diode drop")


def _highs(capture: PilotCapture, letter: str) -> list[tuple[Seen, Quantity]]:
    return [
        (Seen(capture, run), run.high_v)
        for run in capture.reading.runs
        if run.state.value.startswith(letter) and run.high_v is not None
    ]


def run_source(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Compute the source resistance from every state with a known load and judge the worst.

    Parameters
    ----------
    bench : BenchEvidence
        With a capture that went through A and a state whose resistance is stated.

    Returns
    -------
    tuple of Finding
        One finding; undecided where no capture shows both levels.

    Raises
    ------
    EntryError
        A condition cannot be read, or it and the levels do not go together.
    """
    found = []
    for capture in captures_for(bench, NEED):
        opened = _highs(capture, "A")
        for letter in ("B", "C"):
            load = condition(capture.entry, f"resistance {letter}", "Ω")
            if load is None or not opened:
                continue
            for seen, level in _highs(capture, letter):
                bare_finding = bare(CHECK_ID, "value", TITLE, "pilot-signal", seen)
                finding = replace(bare_finding, levels=(opened[0][0].levels, seen.levels))
                try:
                    given = {"open_circuit": opened[0][1], "load": load, "drop": _drop(bench, capture.entry)}
                    value = bench.kept("source resistance", (level, given), partial(source_resistance, level, **given))
                except OutsideRange as error:
                    raise EntryError.of(capture.entry.id, f"state {letter}: {error}") from error
                found.append((finding, stated(bench, seen, value, "voltage")))
    if not found:
        return (nothing_seen(bench, CHECK_ID, "value", TITLE, "pilot-signal", need=NEED),)
    limit = generator(bench.book, bench.edition).source_resistance
    return tuple(worst_level("The resistance behind the pilot", found, limit))


CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Is the resistance behind the pilot the one with which a car's resistors make the right levels?",
    needs=(NEED,),
    bench=replace(
        PILOT_BENCH,
        steps=(
            (
                "With everything dead, measure the vehicle simulator's resistance in B and in C, without its diode; "
                "note "
                "both."
            ),
            *PILOT_BENCH.steps,
            (
                "State the measured resistances as the conditions 'resistance B' and 'resistance C' of the "
                "capture, and the diode's drop where it was measured. With the diode bridged its drop falls out, "
                "which is the surer way."
            ),
        ),
        transfers="The ratio of two levels does not follow the supply: a result from the opened board transfers.",
    ),
    limits=("pilot.source-resistance", "pilot.vehicle.diode-drop"),
    run=run_source,
    bears=(Bearing(function="pilot-signal", within_if_works=0.97, within_if_not=0.7),),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_pilot,
)

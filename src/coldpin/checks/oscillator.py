"""The oscillator: how fast it runs, and whether it rests while nothing is connected."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst
from coldpin.checks.pilot_runs import (
    NEED,
    OSCILLATING,
    PILOT_BENCH,
    Seen,
    bare,
    captures_for,
    nothing_seen,
    runs,
    stated,
    without_scraps,
    worst_level,
)
from coldpin.checks.supply import BOARD, LOW
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import State
from coldpin.standards.pilot import generator


def run_frequency(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the oscillator's frequency, the worst run.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, undecided where no oscillation was seen.
    """
    limit = generator(bench.book, bench.edition).frequency
    found = [
        (bare("pilot-frequency", "value", "Frequency", "pilot-signal", seen), stated(bench, seen, frequency, "time"))
        for seen in runs(bench, OSCILLATING)
        if (frequency := seen.run.frequency_hz) is not None
    ]
    if not found:
        return (nothing_seen(bench, "pilot-frequency", "value", "Frequency", "pilot-signal"),)
    (finding,) = worst_level("The pilot's frequency", found, limit)
    narrow = bench.book.limit("pilot.frequency.iec-2")
    assert finding.quantity is not None
    inside = finding.quantity.probability_within(narrow.minimum, narrow.maximum)
    outside = inside is not None and inside < 0.5
    remark = f"Outside the narrower {narrow.minimum:g} Hz to {narrow.maximum:g} Hz of {narrow.source}."
    return (replace(finding, remarks=(remark,)) if outside else finding,)


def run_idle(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the oscillator rests while nothing is connected; right after unplugging it may still run.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding: beyond where it runs though nothing was connected before, undecided where no capture begins with
        nothing connected or goes on after unplugging.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    resting, ran_on = [], []
    for capture in captures_for(bench):
        before = ""
        for run in capture.reading.runs:
            seen = Seen(capture, run)
            if run.state is State.A2 and before[:1] in PLUGGED:
                ran_on.append(seen)
            elif run.state in (State.A1, State.A2):
                resting.append(seen)
            # a level in passing, or one that wavers at the edge of a window, parts A2 from no vehicle before it
            before = before if run.state in (State.A2, State.UNDEFINED) else run.state.value
    found = [_idle(seen) for seen in without_scraps(resting, lambda _: "nothing connected")]
    passing = [_ran_on(seen) for seen in ran_on]
    if found or passing:
        return (worst(found or passing),)
    return (nothing_seen(bench, "idle-oscillator", "rest", IDLE_TITLE, "pilot-signal"),)


PLUGGED = ("B", "C", "D")
IDLE_TITLE = "Oscillator at rest with nothing connected"


def _idle(seen: Seen) -> Finding:
    finding = bare("idle-oscillator", "rest", IDLE_TITLE, "pilot-signal", seen)
    length = f"{seen.run.end_s - seen.run.start_s:.3g} s"
    if seen.run.state is State.A1:
        said = f"With nothing connected the pilot stood still for {length}: the oscillator rests."
        return replace(finding, outcome=Outcome.WITHIN, answer="yes", statement=said)
    return replace(
        finding,
        outcome=Outcome.BEYOND,
        answer="no",
        statement=(
            f"The oscillator ran for {length} with nothing connected: the unit offers current to nobody, as a bare "
            "generator does that does not look whether a vehicle is there."
        ),
    )


def _ran_on(seen: Seen) -> Finding:
    """Leave open what comes right after unplugging: in passing the oscillator may still run."""
    finding = bare("idle-oscillator", "rest", IDLE_TITLE, "pilot-signal", seen)
    length = f"{seen.run.end_s - seen.run.start_s:.3g} s"
    said = f"The oscillator ran on for {length} after unplugging; that it may do in passing, and no longer."
    return replace(finding, outcome=Outcome.UNDECIDED, answer="cannot tell", statement=said)


FREQUENCY = Check(
    id="pilot-frequency",
    title="Pilot frequency",
    question="Does the oscillator run at its frequency?",
    needs=(NEED,),
    bench=PILOT_BENCH,
    limits=("pilot.frequency",),
    run=run_frequency,
    bears=(Bearing(function="pilot-signal", within_if_works=0.99, within_if_not=0.8),),
    figures=("state ribbon", "clean cycle"),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_pilot,
)

IDLE = Check(
    id="idle-oscillator",
    title=IDLE_TITLE,
    question="Does the oscillator rest while nothing is connected, so that a vehicle is looked for at all?",
    needs=(NEED,),
    bench=PILOT_BENCH,
    limits=("pilot.state.A",),
    run=run_idle,
    bears=(Bearing(function="pilot-signal", within_if_works=0.97, within_if_not=0.7),),
    figures=("state ribbon",),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_pilot,
)

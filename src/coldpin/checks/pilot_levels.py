"""The levels of the pilot: nothing connected, low, and in every state; and what rides on them."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.pilot_runs import (
    NEED,
    OSCILLATING,
    PILOT_BENCH,
    Seen,
    bare,
    nothing_seen,
    runs,
    stated,
    worst_level,
)
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import State
from coldpin.standards.pilot import generator, state_windows

LASTING = 0.02
"""Shorter stretches without a state are taken as a change from one to the next: twenty cycles of the oscillator. [s]"""


def run_levels(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the open high level, the low level and the plateau of every state seen, the worst run of each.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One for each level that was seen, undecided where the captures show no state at all.
    """
    rails = generator(bench.book, bench.edition)
    check, function = "pilot-levels", "pilot-signal"
    findings: list[Finding] = []
    highs = [
        (
            bare(check, "high-open", "High level, nothing connected", function, seen),
            stated(bench, seen, level, "voltage"),
        )
        for seen in runs(bench, (State.A1, State.A2))
        if (level := seen.run.high_v) is not None
    ]
    findings += worst_level("The pilot's high level with nothing connected", highs, rails.high_open)
    lows = [
        (
            bare(check, "low", "Low level while the oscillator runs", function, seen),
            stated(bench, seen, level, "voltage"),
        )
        for seen in runs(bench, OSCILLATING)
        if (level := seen.run.low_v) is not None
    ]
    findings += worst_level("The pilot's low level", lows, rails.low_open)
    for window in state_windows(bench.book, bench.edition):
        if window.level != "high" or window.letter not in ("B", "C", "D"):
            continue
        plateaus = [
            (
                bare(check, f"state-{window.letter.lower()}", f"Level in state {window.letter}", function, seen),
                stated(bench, seen, level, "voltage"),
            )
            for seen in runs(bench)
            if seen.run.state.startswith(window.letter) and (level := seen.run.high_v) is not None
        ]
        findings += worst_level(f"The pilot's level in state {window.letter}", plateaus, window.limit)
    findings += _stateless(check, function, bench)
    return tuple(findings) or (nothing_seen(bench, check, "levels", "Pilot levels", function),)


def _stateless(check: str, function: str, bench: BenchEvidence) -> list[Finding]:
    """Find levels that belong to no state: a car would not know what it is told."""
    lost = [
        seen
        for seen in runs(bench, (State.UNDEFINED,))
        if seen.run.end_s - seen.run.start_s >= LASTING and seen.run.high_v is not None
    ]
    if not lost:
        return []
    longest = max(lost, key=lambda seen: seen.run.end_s - seen.run.start_s)
    level, said = _odd_level(bench, longest)
    return [
        replace(
            bare(check, "no-state", "Level that belongs to no state", function, longest),
            quantity=level,
            outcome=Outcome.BEYOND,
            answer="no",
            worst_of=len(lost),
            statement=(
                f"For {longest.run.end_s - longest.run.start_s:.3g} s the {said} {format_quantity(level)}, "
                "which belongs to no state: a car would not know what it is told."
            ),
        )
    ]


def _odd_level(bench: BenchEvidence, seen: Seen) -> tuple[Quantity, str]:
    """Return the level for which a run has no state, and how it is named: the low one where the high one has one."""
    high, low = seen.run.high_v, seen.run.low_v
    assert high is not None, "runs without a level were left out"
    letters = "ABCDE"
    windows = [w for w in state_windows(bench.book, bench.edition) if w.level == "high" and w.letter in letters]
    if low is not None and any(window.holds(high.value) for window in windows):
        return low, f"high level stood at {format_quantity(high)} and the low one at"
    return high, "pilot stood at"


FOLLOWS_SUPPLY = "levels follow the supply of the board"

LEVELS = Check(
    id="pilot-levels",
    title="Pilot levels",
    question="Are the pilot's levels those that a car expects, with nothing connected and in every state?",
    needs=(NEED,),
    bench=PILOT_BENCH,
    limits=("pilot.high-open", "pilot.low-open", "pilot.window"),
    run=run_levels,
    bears=(Bearing(function="pilot-signal", within_if_works=0.97, within_if_not=0.4),),
    figures=("state ribbon", "clean cycle"),
    transfer=Transfer(why=FOLLOWS_SUPPLY),
    applies=with_pilot,
)

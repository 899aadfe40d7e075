"""Excursions of the pilot that belong to no signal."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import told_time
from coldpin.checks.pilot_runs import NEED, PILOT_BENCH, captures_for
from coldpin.quantity import format_value
from coldpin.records.finding import Finding, Outcome, PilotLevels, Reach


def run_glitches(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the captures hold glitches, how many and how long; no text known to us limits them.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding: within where there are none, else undecided, with the longest of them named.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    captures = captures_for(bench)
    found = [(capture, glitch) for capture in captures for glitch in capture.reading.glitches.longest]
    count = sum(capture.reading.glitches.count for capture in captures)
    watched = sum(capture.reading.source.duration_s for capture in captures)
    bare = Finding(
        id="pilot-glitches.count",
        check="pilot-glitches",
        title="Glitches on the pilot",
        statement=f"In {watched:.3g} s of captures no excursion was seen that does not belong to the signal.",
        outcome=Outcome.WITHIN,
        reach=Reach.SPECIMEN,
        functions=(),
        answer="no",
        evidence=tuple(capture.entry.id for capture in captures),
    )
    if not count:
        return (bare,)
    times = "once" if count == 1 else f"{count} times"
    said = f"In {watched:.3g} s of captures the pilot left its signal {times}"
    levels: tuple[PilotLevels, ...] = ()
    if found:
        capture, longest = max(found, key=lambda pair: pair[1].width_s)
        end = longest.start_s + longest.width_s
        levels = (PilotLevels(evidence=capture.entry.id, state=longest.state, start_s=longest.start_s, end_s=end),)
        width, peak = told_time(longest.width_s), format_value(longest.peak_v, "V")
        said += f", at most for {width}, to {peak}"
    return (
        replace(
            bare,
            outcome=Outcome.UNDECIDED,
            answer="yes",
            levels=levels,
            statement=f"{said}. No text known to us says how many there may be: look at them before anything is said.",
            remarks=("Glitches that come with the switching of the simulator or of the mains are those of the bench.",),
        ),
    )


CHECK = Check(
    id="pilot-glitches",
    title="Glitches on the pilot",
    question="Does the pilot leave its signal for moments that a car could take for a change of state?",
    needs=(NEED,),
    bench=replace(
        PILOT_BENCH, transfers="What couples in on an opened board is not what couples in on the closed unit."
    ),
    limits=(),
    run=run_glitches,
    bears=(),
    transfer=Transfer(why="what couples in there is not what couples in on the closed unit"),
    applies=with_pilot,
)

"""State D: a vehicle that asks for ventilation, which only some places give."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Need, with_pilot
from coldpin.checks.delays import Timed, judge_delays
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.live_threshold import Duty
from coldpin.checks.output import Situation, judge_situation
from coldpin.checks.switching import limit_for, needs_of
from coldpin.checks.switching_bench import TIMES, timing_bench
from coldpin.records.case import Build
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import Switching

ASKED = Situation(
    word="output in state D",
    name="output",
    title="Voltage in state D",
    subject="With a vehicle that asks for ventilation, the voltage at the connector's pins",
    functions=(),
    live="The unit switches on for a vehicle that asks for ventilation.",
    duty=Duty(
        asked="no power in D from a unit that is not meant for ventilated places", limit="timing.refuse-ventilation"
    ),
)
TIME = Timed(
    check="ventilation",
    name="time",
    title="Opening time when ventilation is asked for",
    subject="The longest time from the request of ventilation to a dead output",
    functions=(),
    word="opening time after C to D",
    events=(Switching.OPENS_ON_D,),
    done=("states",),
)


def run_ventilation(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge what the unit does in state D; for a fixed unit the place decides, so a live output is left open.

    Parameters
    ----------
    bench : BenchEvidence
        With a capture, a time, or a voltage.

    Returns
    -------
    tuple of Finding
        Up to two findings.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    output = judge_situation(bench, ASKED, "ventilation")
    time = judge_delays(bench, TIME, limit_for(bench, "timing.refuse-ventilation"))
    found = (*time, *((output,) if output else ()))
    fixed = bench.case.unit.build is Build.FIXED
    return tuple(_by_place(finding) if fixed else finding for finding in found)


def _by_place(finding: Finding) -> Finding:
    """Leave open what is right in a place with ventilation: papers and place say whether the unit is meant for one."""
    if finding.outcome is not Outcome.BEYOND:
        return finding
    said = f"{finding.statement} Right only where it is meant for a place with ventilation: its papers must say so."
    return replace(finding, outcome=Outcome.UNDECIDED, absence=False, decisive=False, statement=said)


CHECK = Check(
    id="ventilation",
    title="Ventilation asked for",
    question="Does a unit that cannot know of any ventilation refuse a vehicle that asks for it?",
    needs=(),
    any_of=(Need(shows=ASKED.word), *needs_of(TIME)),
    bench=timing_bench(
        "Set the simulator to D and wait ten seconds; read the output. Then, charging in C, switch to D; time until "
        "the "
        "output is dead.",
    ),
    limits=("timing.refuse-ventilation", "pilot.state.D", "touch.ac"),
    run=run_ventilation,
    bears=(),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)

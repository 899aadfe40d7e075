"""The pilot shorted to earth while charging: the output must go dead."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, Need, with_pilot
from coldpin.checks.delays import Timed, judge_delays
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.live_threshold import Duty
from coldpin.checks.output import Situation, judge_situation
from coldpin.checks.switching import limit_for, needs_of
from coldpin.checks.switching_bench import TIMES, timing_bench
from coldpin.records.finding import Finding
from coldpin.records.pilot import Switching
from coldpin.standards.book import load_book
from coldpin.standards.table import needed

SHORTED = Situation(
    word="output with the pilot shorted",
    name="output",
    title="Voltage with the pilot shorted",
    subject="Ten seconds after the pilot was shorted to earth, the voltage at the connector's pins",
    functions=("timely-opening",),
    live="The pins stayed live with the pilot shorted to earth, when no unit can tell whether a vehicle is there.",
    duty=Duty(asked="the contactor opens when the pilot is shorted", limit="timing.open-on-short"),
)
TIME = Timed(
    check="pilot-short",
    name="time",
    title="Opening time when the pilot is shorted",
    subject="The longest time from the short of the pilot to a dead output",
    functions=("timely-opening",),
    word="opening time after pilot short",
    events=(Switching.OPENS_ON_SHORT,),
    done=("pilot short",),
)


def run_short(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the time until the output is dead after a short of the pilot, and the voltage that is left.

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
    left = judge_situation(bench, SHORTED, "pilot-short")
    time = judge_delays(bench, TIME, limit_for(bench, "timing.open-on-short"))
    return (*time, *((left,) if left else ()))


_TEST = needed(load_book().limit("pilot.short-test"), "nominal")

CHECK = Check(
    id="pilot-short",
    title="Pilot shorted",
    question="Does the output go dead when the pilot is shorted to earth while charging?",
    needs=(),
    any_of=(*needs_of(TIME), Need(shows=SHORTED.word)),
    bench=timing_bench(
        f"With the simulator in C and the output live for five seconds or more, put the test resistor of {_TEST:g} Ω "
        "from pilot "
        "to earth by the simulator's enclosed switch, its diode not between; time until the output is dead.",
        "Ten seconds later read the voltage at the power pins.",
        stop=("The output stays live ten seconds after the short: switch off at the supply.",),
    ),
    limits=("timing.open-on-short", "pilot.short-test", "touch.ac"),
    run=run_short,
    bears=(Bearing(function="timely-opening", within_if_works=0.97, within_if_not=0.2),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)

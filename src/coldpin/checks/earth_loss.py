"""Loss of the earth: between unit and vehicle while charging, and missing upstream in the supply."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.answers import ANSWER_TRANSFERS, Asked, judge_answer
from coldpin.checks.cautions import LIVE_CAUTIONS, NO_CLIP, SCOPE_EARTH
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always, with_pilot
from coldpin.checks.delays import Timed
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.switching import needs_of, timed_run
from coldpin.checks.switching_bench import TIMES, timing_bench
from coldpin.records.finding import Finding
from coldpin.records.pilot import Switching

INSULATED = (
    "The earth is opened by an enclosed switch on a vehicle simulator in an insulating box, with no car and no "
    "metalwork "
    "of any kind attached: with the earth open a fault would put the mains on whatever hangs there."
)
UPSTREAM = (
    "The supply's earth is opened in an enclosed test box only, the specimen in an insulating tray and not touched: "
    "its metal parts have no earth meanwhile."
)

DOWNSTREAM_TIME = Timed(
    check="earth-loss",
    name="time",
    title="Opening time when the earth is lost",
    subject="The longest time from the loss of the earth to a dead output",
    functions=("earth-monitoring",),
    word="opening time after loss of earth",
    events=(Switching.OPENS_ON_A, Switching.OPENS_ON_FAULT),
    done=("loss of earth",),
)
NO_EARTH = Asked(
    check="earth-missing",
    name="refusal",
    title="Supply without earth noticed",
    function="supply-earth-monitoring",
    word="refusal with no earth in the supply",
    yes="Where its supply has no earth the unit stays off or switches off.",
    no="The unit works on a supply that has no earth.",
)


_TIMED = timing_bench(
    "With the simulator in C and the output live, open the earth conductor between unit and simulator by the "
    "enclosed switch; time until the output is dead. The pilot returns through the earth, so the unit should see it.",
    "Close the switch again only with the supply off.",
    before=(
        (
            "Take the scope's clip off the connector and the simulator; put a differential probe or isolated sensor "
            "between pilot and the simulator's own earth, another on the output."
        ),
        (
            "With the supply off and the switch open, measure from the unit's earth to the simulator's: no low "
            "resistance is left, only the pilot's own path of kilohms. A second path would hide the loss."
        ),
    ),
    stop=("The output stays live with the earth open: switch off at the supply before anything else.",),
    cautions=(INSULATED, NO_CLIP),
    minutes=15,
)


def run_missing(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the unit notices that its supply has no earth: good practice, not a duty.

    Parameters
    ----------
    bench : BenchEvidence
        With the answer of a test.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    return (judge_answer(bench, NO_EARTH),)


LOST = Check(
    id=DOWNSTREAM_TIME.check,
    title="Earth lost towards the vehicle",
    question="Does the output go dead in time when the earth to the vehicle is lost while charging?",
    needs=(),
    any_of=needs_of(DOWNSTREAM_TIME),
    bench=replace(
        _TIMED,
        instrument=(
            "oscilloscope with stated accuracy, earthed, with rated differential probes or isolated sensors of stated "
            "delay on pilot and output; vehicle simulator in an insulating box, with an enclosed switch in its earth; "
            "or, for times of seconds, a stopwatch of stated accuracy and a two-pole tester"
        ),
        cautions=tuple(caution for caution in _TIMED.cautions if caution != SCOPE_EARTH),
    ),
    limits=("timing.open-on-earth-lost",),
    run=timed_run(DOWNSTREAM_TIME, "timing.open-on-earth-lost"),
    bears=(Bearing(function="earth-monitoring", within_if_works=0.97, within_if_not=0.1),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)
MISSING = Check(
    id=NO_EARTH.check,
    title="Earth missing in the supply",
    question="Does the unit notice a supply that has no earth?",
    needs=(Need(shows=NO_EARTH.word),),
    bench=Procedure(
        level=Level.LIVE,
        instrument="enclosed test box with a switch in the earth, behind a residual-current device; vehicle simulator",
        minutes=10,
        cautions=(*LIVE_CAUTIONS, UPSTREAM, NO_CLIP),
        steps=(
            "With the earth of the test box open, switch the supply on and set the simulator to C; wait ten seconds.",
            "Switch off, close the earth, switch on, set the simulator to C: with an earth the unit must work.",
            "Then, charging, open the earth by the enclosed switch and wait ten seconds. Switch off.",
            (
                "Answer yes where it stayed off or switched off each time the earth was open and worked with "
                "one; the pilot cannot show this, so only the output and the unit's lamps do."
            ),
        ),
        hold_points=("Earth continuity, insulation and live pins are recorded and nothing in them forbids power.",),
        stop_values=("Any tingling, smell or trip of the residual-current device: switch off, note it, do not go on.",),
        repeats=1,
        transfers="Holds for the closed unit on the mains only: what watches the earth needs line, neutral and earth.",
    ),
    limits=(),
    run=run_missing,
    bears=(Bearing(function="supply-earth-monitoring", within_if_works=0.95, within_if_not=0.05),),
    transfer=ANSWER_TRANSFERS,
    applies=always,
)

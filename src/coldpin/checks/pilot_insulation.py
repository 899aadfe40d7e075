"""Insulation resistance from the mains to the pilot and earth, before the first power."""

from __future__ import annotations

from coldpin.checks.cautions import DEAD_CAUTIONS, TESTER_VOLTAGE
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.insulation_resistance import STEPS, TEST_VOLTAGE, Insulated, judge_insulation
from coldpin.records.finding import Finding
from coldpin.records.insulation_words import PILOT_INSULATION

NEED = Need(shows=PILOT_INSULATION)

ASKED = Insulated(
    check="pilot-insulation",
    title="Insulation, mains to pilot and earth",
    between="mains to pilot and earth",
    word=PILOT_INSULATION,
    limit="insulation.mains-to-pilot",
    functions=("pilot-separation",),
    remarks=(
        "A varistor or a capacitor from mains to earth lowers this reading without being a fault.",
        "A good reading says nothing of distances inside, which are judged on the opened board.",
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the lowest reading of each entry: the worst entry is told.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one reading of the insulation.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A reading cannot be read.
    """
    return (judge_insulation(bench, ASKED),)


CHECK = Check(
    id="pilot-insulation",
    title="Mains to pilot insulation",
    question=(
        "Before the first power: is the pilot wire, which goes to the car and to a hand, insulated from the mains?"
    ),
    needs=(NEED,),
    bench=Procedure(
        level=Level.DEAD,
        instrument="insulation tester with stated accuracy",
        minutes=5,
        cautions=(*DEAD_CAUTIONS, TESTER_VOLTAGE),
        steps=(
            (
                "Join line and neutral at the plug, and with them the power pins of the connector: with the contacts "
                "open the plug alone reaches only half of the unit."
            ),
            "Join pilot and earth at the connector.",
            *STEPS,
        ),
        hold_points=("No power if the reading is beyond the limit until the reason is known.",),
        repeats=1,
        transfers="Holds for this specimen in this humidity.",
    ),
    limits=(ASKED.limit, TEST_VOLTAGE),
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.97, within_if_not=0.7),),
    applies=with_pilot,
)

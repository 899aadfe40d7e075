"""A vehicle that stands in C already when it is plugged in."""

from __future__ import annotations

from coldpin.checks.cautions import DRAWN_DEAD
from coldpin.checks.check import Check, Need, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.switching_bench import timing_bench
from coldpin.checks.told import judge_told
from coldpin.records.finding import Finding

ASKING = "output when plugged in asking"


def run_asking(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the unit serves a vehicle that asks from the first moment; neither is wrong.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    return (
        judge_told(
            bench,
            ASKING,
            check="plugged-in-asking",
            name="output",
            title="Vehicle asking when plugged in",
            functions=(),
            live="The unit switches on for a vehicle that asks from the moment it is plugged in.",
            dead=(
                "The unit stays off for a vehicle that asks from the moment it is plugged in: it wants to see B first."
            ),
        ),
    )


CHECK = Check(
    id="plugged-in-asking",
    title="Vehicle asking when plugged in",
    question="What does a vehicle get that stands in C already when it is plugged in?",
    needs=(Need(shows=ASKING),),
    bench=timing_bench(
        "With the supply on, nothing connected and the output seen dead, close the simulator's switches for C, then "
        "plug it in; hands off, and ten seconds later read the output. A vehicle without a switch of its own does so, "
        "and must itself keep to 10 A.",
        after=(
            (
                "Set the simulator to A or B by its enclosed switches, see the output dead, and only then draw the "
                "plug and put the connector back into its holder."
            ),
        ),
        stop=("The output stays live after the simulator left C: the plug stays where it is; switch off.",),
        cautions=(DRAWN_DEAD,),
        minutes=5,
    ),
    limits=("pilot.vehicle.simplified-current", "touch.ac"),
    run=run_asking,
    bears=(),
    transfer=Transfer(why="contacts need the mains to close"),
    applies=with_pilot,
)

"""How far the mains is from the extra-low voltage that feeds the pilot's circuit."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, with_pilot
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import MAINS_LOW_VOLTAGE
from coldpin.records.finding import Finding

ASKED = Asked(
    check="low-voltage-distance",
    across=(MAINS_LOW_VOLTAGE,),
    what="mains to low voltage",
    functions=("pilot-separation",),
    below_basic=(
        "Inside, the mains comes so near to the low voltage from which the pilot is made that not even basic "
        "insulation is left between them."
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every distance between mains and low voltage; the worst clearance and the worst creepage are told.

    Parameters
    ----------
    bench : BenchEvidence
        With gaps by calliper or drawings of boards.

    Returns
    -------
    tuple of Finding
        One for each kind of way that was found.

    Raises
    ------
    CaseError
        A reading or a claim cannot be read.
    """
    return judge_distances(bench, ASKED, found_distances(bench))


CHECK = Check(
    id=ASKED.check,
    title="Distance from mains to low voltage",
    question="Is the low voltage from which the pilot is made far enough from the mains inside the unit?",
    needs=(),
    any_of=INSIDE,
    bench=opened(
        (
            "From the supply's low side: its capacitors, the controller, sensors, buttons, displays. To every "
            "conductor of the mains; a current transformer's core and a relay's coil lie between."
        ),
        (
            "Where the supply does not isolate (no transformer, no optocoupler), its low side is mains: measure from "
            "pilot to it as from pilot to mains."
        ),
        hold=True,
    ),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.9, within_if_not=0.3),),
    applies=with_pilot,
)

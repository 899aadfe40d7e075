"""How far the mains is from the pilot, inside: through air and along surfaces."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, with_pilot
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import MAINS_PILOT
from coldpin.records.finding import Finding

ASKED = Asked(
    check="pilot-distance",
    across=(MAINS_PILOT,),
    what="mains to pilot",
    functions=("pilot-separation",),
    below_basic=(
        "Inside, the mains comes so near to the pilot wire, which goes to the car and to a hand, that not even basic "
        "insulation is left between them."
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every distance between mains and pilot; the worst clearance and the worst creepage are told.

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
    title="Distance from mains to pilot",
    question="Is the pilot, which goes to the car and to a hand, far enough from the mains inside the unit?",
    needs=(),
    any_of=INSIDE,
    bench=opened(
        (
            "From the pilot: its pin and wire, the resistor before it, the amplifier that drives it, and everything "
            "that is joined to these. To every conductor of the mains, switched ones as well."
        ),
        hold=True,
    ),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.9, within_if_not=0.2),),
    applies=with_pilot,
)

"""How far the mains is from what a finger reaches: the outside of the housing, its seams, screws and metal."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, always
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import MAINS_SURFACE
from coldpin.records.finding import Finding

FUNCTION = "touch-separation"

ASKED = Asked(
    check="surface-distance",
    across=(MAINS_SURFACE,),
    what="mains to a surface that can be touched",
    functions=(FUNCTION,),
    below_basic=(
        "The mains inside comes so near to a surface that can be touched that not even basic insulation is left "
        "between them."
    ),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every distance between mains and what can be touched; the worst of each kind is told.

    Parameters
    ----------
    bench : BenchEvidence
        With gaps by calliper or drawings of sections.

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
    title="Distance from mains to what can be touched",
    question="Is the mains far enough from every surface that a finger reaches, through seams and past screws?",
    needs=(),
    any_of=INSIDE,
    bench=opened(
        (
            "What can be touched is the housing as if foil lay over everything a finger reaches: seams, screw heads, "
            "buttons, the display. A seam is a joint: the way goes through it to the outside."
        ),
        "Press the housing with some 30 N where it is nearest, and write the force down.",
        hold=True,
    ),
    limits=(*LIMITS, "measuring-force"),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.3),),
    applies=always,
)

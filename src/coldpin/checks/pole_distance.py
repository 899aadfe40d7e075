"""How far line and neutral are from each other, before the fuse and behind it."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, always
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import BEFORE_FUSE, BEHIND_FUSE
from coldpin.records.finding import Finding

FUNCTION = "pole-separation"

BEFORE = Asked(
    check="pole-distance",
    across=(BEFORE_FUSE,),
    what="line to neutral before the fuse",
    functions=(FUNCTION,),
    name="before",
)
BEHIND = Asked(
    check="pole-distance",
    across=(BEHIND_FUSE,),
    what="line to neutral behind the fuse",
    functions=(FUNCTION,),
    name="behind",
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every distance between line and neutral, before the fuse and behind it.

    Behind a fuse the distances of basic insulation are asked for, but less breaks nothing by itself.

    Parameters
    ----------
    bench : BenchEvidence
        With gaps by calliper or drawings of boards.

    Returns
    -------
    tuple of Finding
        One for each kind of way that was found, on each side.

    Raises
    ------
    CaseError
        A reading or a claim cannot be read.
    """
    found = found_distances(bench)
    return (*judge_distances(bench, BEFORE, found), *judge_distances(bench, BEHIND, found))


CHECK = Check(
    id="pole-distance",
    title="Distance from line to neutral",
    question="Are line and neutral far enough from each other, so that nothing tracks and burns between them?",
    needs=(),
    any_of=INSIDE,
    bench=opened(
        (
            "Before the fuse: everything from the plug's pins to the fuse, and the neutral as far. A unit without a "
            "fuse of its own has nothing behind it: all of it counts as before."
        ),
    ),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.4),),
    applies=always,
)

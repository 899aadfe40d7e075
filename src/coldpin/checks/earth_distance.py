"""How far the mains is from earth and from earthed metal inside."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, always
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import MAINS_EARTH
from coldpin.records.finding import Finding

ASKED = Asked(
    check="earth-distance",
    across=(MAINS_EARTH,),
    what="mains to earth",
    functions=("pole-separation",),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every distance between mains and earth; the worst clearance and the worst creepage are told.

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
    title="Distance from mains to earth",
    question="Is the mains far enough from earth and from earthed metal inside the unit?",
    needs=(),
    any_of=INSIDE,
    bench=opened("From the earth conductor, its terminal, earthed metal and what is joined to these, to the mains."),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function="pole-separation", within_if_works=0.95, within_if_not=0.5),),
    applies=always,
)

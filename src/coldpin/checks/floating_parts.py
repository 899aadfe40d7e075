"""Ways that lead over something that conducts and belongs to no circuit: only the gaps beside it count."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, with_pilot
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import MAINS_LOW_VOLTAGE, MAINS_PILOT
from coldpin.records.finding import Finding

ASKED = Asked(
    check="floating-parts",
    across=(MAINS_PILOT, MAINS_LOW_VOLTAGE),
    what="over parts that belong to no circuit",
    functions=("pilot-separation",),
    only=lambda found: found.floats,
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every way over a part that floats; the worst of each kind is told.

    Parameters
    ----------
    bench : BenchEvidence
        With gaps by calliper or drawings of boards.

    Returns
    -------
    tuple of Finding
        One for each kind of way that was found; none where no way leads over such a part.

    Raises
    ------
    CaseError
        A reading or a claim cannot be read.
    """
    return judge_distances(bench, ASKED, found_distances(bench))


CHECK = Check(
    id=ASKED.check,
    title="Distance over parts that belong to no circuit",
    question="Is the distance kept where an unused pad, a heatsink or a core lies between mains and low voltage?",
    needs=(),
    any_of=INSIDE,
    bench=opened(
        "Write each gap of the way: the first as the reading, the others as further gaps. What conducts between them "
        "counts nothing.",
        hold=True,
    ),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.9, within_if_not=0.4),),
    applies=with_pilot,
)

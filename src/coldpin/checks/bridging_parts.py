"""The distance beside parts that stand over the barrier: transformer, optocoupler, relay, capacitor."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, with_pilot
from coldpin.checks.distance_bench import INSIDE, LIMITS, opened
from coldpin.checks.distance_drawings import ANY_PART
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.records.distance_words import BRIDGES, MAINS_LOW_VOLTAGE, MAINS_PILOT
from coldpin.records.finding import Finding

ASKED = Asked(
    check="bridging-parts",
    across=(MAINS_PILOT, MAINS_LOW_VOLTAGE),
    what="under and beside parts that stand over the barrier",
    functions=("pilot-separation",),
    only=lambda found: any(part in (*BRIDGES, ANY_PART) for part in found.beside),
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge every distance beside a part that stands over the barrier; the worst of each kind is told.

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
    title="Distance beside transformer, optocoupler and relay",
    question="Do parts that stand over the barrier leave enough distance between their two sides on the board?",
    needs=(),
    any_of=INSIDE,
    bench=opened(
        (
            "At each part that has pins on both sides: between the solder fillets of its two sides, on both faces, and "
            "under it, lifted or by a gauge. Its mark may show that it isolates inside; the board under it is ours."
        ),
        "A transformer's core, and the core or the armature of a relay, conducts: gap to it, and gap from it.",
        hold=True,
    ),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.9, within_if_not=0.3),),
    applies=with_pilot,
)

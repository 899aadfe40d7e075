"""Pins that nothing uses, left in a connector that carries mains beside pilot or low voltage."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Need, with_pilot
from coldpin.checks.distance_bench import LIMITS, opened
from coldpin.checks.distance_judging import Asked, judge_distances
from coldpin.checks.distances import found_distances
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst, worst_entry
from coldpin.records.distance_words import MAINS_LOW_VOLTAGE, MAINS_PILOT, UNUSED_PINS
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach

NEED = Need(shows=UNUSED_PINS)

ASKED = Asked(
    check="unused-pins",
    across=(MAINS_PILOT, MAINS_LOW_VOLTAGE),
    what="over pins that nothing uses",
    functions=("pilot-separation",),
    only=lambda found: "unused pin" in found.beside,
)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether unused pins were left in, and what they leave of the distance.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one answer.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A reading or a claim cannot be read.
    """
    return (worst_entry(_judge_one(bench, entry) for entry in bench.matching(NEED)),)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    of = entry.conditions.get("of", "")
    where = f" ({of})" if of else ""
    finding = Finding(
        id="unused-pins.left",
        check="unused-pins",
        title="Pins that nothing uses, at the barrier",
        statement=f"Whoever looked could not tell whether unused pins were left in{where}.",
        outcome=Outcome.UNDECIDED,
        reach=Reach.CONSTRUCTION,
        functions=ASKED.functions,
        answer=entry.answer,
        evidence=(entry.id,),
    )
    if entry.answer == "no":
        said = f"No pin that nothing uses stands between mains and pilot or low voltage{where}."
        return replace(finding, statement=said, outcome=Outcome.WITHIN)
    if entry.answer != "yes":
        return finding
    left = f"Pins that nothing uses were left in between mains and pilot or low voltage{where}; they conduct."
    measured = judge_distances(bench, ASKED, found_distances(bench))
    if not measured:
        return replace(finding, statement=f"{left} What they leave of the distance was not measured.")
    chosen = worst(measured)
    return replace(
        chosen,
        id=finding.id,
        title=finding.title,
        statement=f"{left} {chosen.statement}",
        answer=entry.answer,
        evidence=(*chosen.evidence, entry.id),
    )


CHECK = Check(
    id="unused-pins",
    title="Unused pins at the barrier",
    question="Were pins that nothing uses left in between mains and pilot or low voltage?",
    needs=(NEED,),
    bench=opened(
        "Look at each connector, relay socket and pin strip that carries mains beside pilot or low voltage: is there "
        "a pin or a pad between them that leads nowhere? Where there is, measure the gaps to it and from it.",
        hold=True,
    ),
    limits=LIMITS,
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.9, within_if_not=0.6),),
    applies=with_pilot,
)

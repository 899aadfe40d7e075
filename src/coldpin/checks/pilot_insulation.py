"""Insulation resistance from the mains to the pilot and earth, before the first power."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS, TESTER_VOLTAGE
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.evidence import BenchEvidence, Side, lowest, readings
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.wording import limit_value

NEED = Need(shows="mains to pilot insulation")


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
    return (worst_entry(_judge_one(bench, entry) for entry in bench.matching(NEED)),)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    found = readings(bench, entry)
    limit = bench.book.limit("insulation.mains-to-pilot")
    chosen = lowest(found)
    finding = judged(
        Finding(
            id="pilot-insulation.value",
            check="pilot-insulation",
            title="Insulation, mains to pilot and earth",
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=("pilot-separation",),
            evidence=(entry.id,),
            worst_of=len(found),
            remarks=(
                "A varistor or a capacitor from mains to earth lowers this reading without being a fault.",
                "A good reading says nothing of distances inside, which are judged on the opened board.",
            ),
        ),
        chosen.quantity,
        limit,
    )
    if chosen.side is Side.AT_LEAST and finding.outcome is Outcome.WITHIN:
        sentence = (
            f"The tester read more than {chosen.text.lstrip('>≥ ')} from mains to pilot and earth: within the "
            f"limit as known ({limit_value(limit)}, {limit.source}, standing: {limit.standing})."
        )
        return _over_range(finding, sentence, chosen.text)
    if chosen.side is Side.AT_LEAST:
        why = "too little to say" if chosen.quantity.u is not None else "the tester's accuracy there is not known"
        said = f"The tester only said more than {chosen.text.lstrip('>≥ ')}: {why}."
        return _over_range(replace(finding, outcome=Outcome.UNDECIDED), said, chosen.text)
    return placed("The lowest insulation resistance from mains to pilot and earth", finding)


def _over_range(finding: Finding, sentence: str, text: str) -> Finding:
    """Leave the edge of the range out of the finding: nobody measured it."""
    answer = f"more than {text.lstrip('>≥ ')}"
    return replace(finding, statement=sentence, quantity=None, budget=(), answer=answer)


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
            "Join pilot and earth at the connector. No vehicle, no simulator.",
            "Test at 250 V first, then at 500 V for one minute; note voltage and reading.",
            "Let the tester discharge the specimen before touching it.",
        ),
        hold_points=("No power if the reading is beyond the limit until the reason is known.",),
        repeats=1,
        transfers="Holds for this specimen in this humidity.",
    ),
    limits=("insulation.mains-to-pilot",),
    run=run,
    bears=(Bearing(function="pilot-separation", within_if_works=0.97, within_if_not=0.7),),
    applies=with_pilot,
)

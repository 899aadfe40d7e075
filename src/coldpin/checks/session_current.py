"""The current a car draws, against the one it is offered."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.charging_bench import charging_bench
from coldpin.checks.charging_logs import LOG, Charge, charges
from coldpin.checks.check import Check, Need, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import budget_lines, worst
from coldpin.quantity import Quantity, format_quantity, format_value
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.records.session import OfferComparison

NEED = Need(shows=LOG)
TITLE = "Current drawn and current offered"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Hold each level of each charge against what was offered: the one likeliest beyond it is told.

    Parameters
    ----------
    bench : BenchEvidence
        With a charging log.

    Returns
    -------
    tuple of Finding
        One finding; none where no offer is known or nothing was drawn.

    Raises
    ------
    EntryError
        A log or a condition cannot be read.
    """
    found = [_judged(charge, one) for charge in charges(bench) for one in charge.reading.offer]
    return (worst(found),) if found else ()


def _judged(charge: Charge, one: OfferComparison) -> Finding:
    limit = Limit(
        id="charging.offer",
        title="current offered to the car meanwhile",
        unit="A",
        maximum=one.offer_a.value,
        source="the unit's own offer, as stated with the log or marked beside it",
        standing=Standing.READ,
        asserted_by="the unit's offer",
        note="" if one.offer_a.u == 0.0 else f"It is {format_quantity(one.offer_a)}; that is in the probability.",
    )
    where = {"within": "no more than", "beyond": "more than", "undecided": "too close to"}[one.outcome]
    tail = " to say" if one.outcome == "undecided" else ""
    statement = (
        f"The car drew {format_quantity(one.current_a)}: {where} the {format_quantity(one.offer_a)} it was "
        f"offered{tail}."
    )
    if one.probability is None and one.outcome == "undecided":
        statement = (
            f"The car drew {one.current_a.value:.3g} A beside an offer of {one.offer_a.value:.3g} A; it cannot be said "
            f"whether it kept to the offer: {one.share.why or 'how surely both are known is not stated'}."
        )
    elif one.probability is None:
        statement = (
            f"The car drew at least {format_value(float(f'{one.current_a.low:.4g}'), 'A')} (power divided by voltage): "
            f"more than the {format_quantity(one.offer_a)} it was offered."
        )
    finding = Finding(
        id="session-current.drawn",
        check="session-current",
        title=TITLE,
        statement=statement,
        outcome=Outcome(one.outcome),
        reach=Reach.SPECIMEN,
        functions=(),
        quantity=one.current_a,
        limit=limit,
        probability=one.probability,
        rule="confidence",
        evidence=charge.evidence,
        remarks=charge.remarks,
    )
    return replace(finding, budget=budget_lines(_known(one.current_a)))


def _known(quantity: Quantity) -> Quantity:
    return quantity if quantity.u is not None else replace(quantity, components=())


CHECK = Check(
    id="session-current",
    title=TITLE,
    question="Does the car draw no more than the unit offers?",
    needs=(NEED,),
    bench=charging_bench(
        "Put the meter between socket and unit; set its clock, one row a second if it can.",
        "Plug in a car that is nearly empty; note make and model, and the current the unit is set to.",
        "Let it charge for half an hour; where the offer is changed, mark when, and to which current.",
        "Stop at the car, see the current gone, then release and unplug. File the log.",
        minutes=45,
    ),
    limits=("timing.follow-offer",),
    run=run,
    bears=(),
    figures=("charge timeline",),
    applies=with_pilot,
)

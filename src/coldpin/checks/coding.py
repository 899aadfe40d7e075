"""Coding of the cable: the current its resistor stands for, against what is offered and what is printed on it."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.evidence import BenchEvidence, mean, readings
from coldpin.checks.judging import judged
from coldpin.checks.offered_current import place_offer
from coldpin.quantity import format_quantity
from coldpin.records.case import UnitClass
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.connections import coding


def run_coding(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Read the cable's coding and place the offer against it.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the coding resistance; a decoded capture makes the second finding.

    Returns
    -------
    tuple of Finding
        The coding, and the offer against it where both are known.

    Raises
    ------
    CaseError
        A reading cannot be read.
    """
    entry = bench.matching(CODING)[-1]
    resistance = mean(readings(bench, entry))
    bands = coding(bench.book, bench.case.unit.connector)
    placed_in = [(band, resistance.probability_within(band.limit.minimum, band.limit.maximum) or 0.0) for band in bands]
    band, probability = max(placed_in, key=lambda pair: pair[1])
    bare = Finding(
        id="coding.band",
        check="coding",
        title="Coding of the cable",
        statement=f"The coding resistance, {format_quantity(resistance)}, lies in no band of the table.",
        outcome=Outcome.BEYOND,
        reach=Reach.SPECIMEN,
        functions=("current-offer",),
        quantity=resistance,
        evidence=(entry.id,),
    )
    if resistance.u is None:
        inside = [b for b in bands if _holds(b.limit, resistance.value)]
        if not inside:
            return (bare,)
        band, probability = inside[0], 1.0
    if probability < 0.5:
        return (bare,)
    assert band.current is not None, "a coding of a type 2 cable stands for a current"
    coded = f"The coding resistance, {format_quantity(resistance)}, says that the cable carries {band.current:g} A."
    finding = replace(judged(bare, resistance, band.limit), statement=coded)
    if not bench.captures:
        return (finding,)
    limit = replace(
        band.limit, title="current of the coding", unit="A", minimum=None, nominal=None, maximum=band.current
    )
    offer = place_offer(bench, "coding", "Offer against the coding", limit, entry.id)
    return (finding, replace(offer, id="coding.offer"))


def _holds(limit: Limit, value: float) -> bool:
    return (limit.minimum is None or value >= limit.minimum) and (limit.maximum is None or value <= limit.maximum)


def _coded(unit: UnitClass) -> str:
    if "1" in unit.connector:
        return "a type 1 connector carries no coding of the current"
    return with_pilot(unit)


CODING = Need(shows="coding resistance")

CODED = Check(
    id="coding",
    title="Coding of the cable",
    question="Which current does the cable's coding resistor stand for, and is more offered?",
    needs=(CODING,),
    bench=Procedure(
        level=Level.DEAD,
        instrument="multimeter, resistance range",
        minutes=3,
        cautions=DEAD_CAUTIONS,
        steps=(
            (
                "With everything unplugged, measure from the proximity pin to earth: in the connector of an attached "
                "cable, in the plug of a loose one."
            ),
            "Write down three readings.",
        ),
        repeats=3,
        transfers="Holds for this specimen.",
    ),
    limits=("coding",),
    run=run_coding,
    bears=(Bearing(function="current-offer", within_if_works=0.98, within_if_not=0.7),),
    applies=_coded,
)

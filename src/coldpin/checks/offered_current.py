"""The current that is offered, placed against what plug, coding and plate can bear."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.evidence import BenchEvidence, claimed, mean, readings
from coldpin.checks.judging import judged, placed
from coldpin.checks.pilot_signal import NEED as CAPTURE
from coldpin.checks.pilot_signal import OSCILLATING, PILOT_BENCH, declared_limit
from coldpin.pilot.duty_cycle import duty_for_current, offered_current
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.case import Build, UnitClass
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.records.pilot import Meaning
from coldpin.standards.connections import coding, plug
from coldpin.standards.pilot import duty_segments, duty_zones, generator
from coldpin.standards.wording import limit_value


def largest_offer(bench: BenchEvidence) -> tuple[Quantity, str] | None:
    """Return the largest current that any capture offers, and the entry that shows it.

    Parameters
    ----------
    bench : BenchEvidence
        With decoded captures.

    Returns
    -------
    tuple or None
        The current [A] and the id of the entry; None where no current is offered.
    """
    offers = [
        (run.offered_current_a.current, capture.entry.id)
        for capture in bench.captures
        for run in capture.reading.runs
        if run.state in OSCILLATING and run.offered_current_a and run.offered_current_a.meaning is Meaning.CURRENT
    ]
    return max(offers, key=lambda offer: offer[0].value, default=None)


def _place(bench: BenchEvidence, check: str, title: str, limit: Limit, *evidence: str) -> Finding:
    offer = largest_offer(bench)
    bare = Finding(
        id=f"{check}.value",
        check=check,
        title=title,
        statement="No capture offers a current.",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=("current-offer",),
        evidence=evidence,
    )
    if offer is None:
        return replace(bare, answer="cannot tell", limit=limit)
    current, entry = offer
    widened = with_duty_tolerance(bench, limit)
    finding = judged(replace(bare, evidence=(entry, *evidence)), current, widened)
    said = placed("The largest current offered", replace(finding, remarks=(widened.note,)))
    rating = f"{limit_value(limit)}, {limit_value(widened)} with the duty cycle's tolerance"
    return replace(said, statement=said.statement.replace(limit_value(widened), rating, 1))


def with_duty_tolerance(bench: BenchEvidence, limit: Limit) -> Limit:
    """Return a limit on the offer with what the published tolerance of the duty cycle allows on top.

    A unit that offers just the rating may be off by that tolerance and be as it should.

    Parameters
    ----------
    bench : BenchEvidence
        For the edition.
    limit : Limit
        A rating. [A]

    Returns
    -------
    Limit
        The rating and the allowance, told in its note.
    """
    published = generator(bench.book, bench.edition).duty_tolerance
    tolerance = published.maximum
    assert limit.maximum is not None, "a rating is a largest current"
    assert tolerance is not None, "the tolerance is known in every edition"
    duty = duty_for_current(limit.maximum, duty_segments(bench.book)) + tolerance
    most = offered_current(Quantity(duty, 0.0, "%"), duty_zones(bench.book, bench.edition)).current.value
    note = (
        f"The rating is {limit.maximum:g} A; the limit allows the published tolerance of the duty cycle, "
        f"{tolerance:g} % of the period, on top ({published.source}, standing: {published.standing})."
    )
    weaker = max(limit.standing, published.standing, key=tuple(Standing).index)
    return replace(limit, maximum=max(limit.maximum, round(most, 9)), note=note, standing=weaker)


def run_plug(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the offer against the rating of the plug.

    Parameters
    ----------
    bench : BenchEvidence
        With the claim "plug" and a decoded capture.

    Returns
    -------
    tuple of Finding
        One finding, decisive where the offer is beyond the plug.

    Raises
    ------
    UnknownName
        The plug is not in the table.
    """
    limit = plug(bench.book, bench.claim("plug"))
    finding = _place(bench, "offer-plug", "Offer against the plug", limit)
    if finding.outcome is not Outcome.BEYOND:
        return (finding,)
    plain = "The unit tells the car to draw more than its plug is made for."
    return (replace(finding, decisive=True, plain=plain, statement=f"{plain} {finding.statement}"),)


def run_rating(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the offer against the rated current on the plate.

    Parameters
    ----------
    bench : BenchEvidence
        With the claim "rated_current" and a decoded capture.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        The rated current cannot be read.
    """
    rated = claimed(bench, "rated_current", "A")
    assert rated is not None, "the check needs the rated current"
    limit = declared_limit("rated current", rated, "the plate or listing")
    return (_place(bench, "offer-rating", "Offer against the declared rating", limit),)


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
    offer = _place(bench, "coding", "Offer against the coding", limit, entry.id)
    return (finding, replace(offer, id="coding.offer"))


def _holds(limit: Limit, value: float) -> bool:
    return (limit.minimum is None or value >= limit.minimum) and (limit.maximum is None or value <= limit.maximum)


def _plugged(unit: UnitClass) -> str:
    if unit.build is Build.FIXED:
        return "a fixed unit has no plug on the supply side"
    return with_pilot(unit)


def _coded(unit: UnitClass) -> str:
    if "1" in unit.connector:
        return "a type 1 connector carries no coding of the current"
    return with_pilot(unit)


CODING = Need(shows="coding resistance")

PLUG = Check(
    id="offer-plug",
    title="Offer not above the plug",
    question="Does the unit offer more current than its plug is made for?",
    needs=(CAPTURE, Need(claim="plug")),
    bench=PILOT_BENCH,
    limits=("plug",),
    run=run_plug,
    bears=(Bearing(function="current-offer", within_if_works=0.99, within_if_not=0.3),),
    applies=_plugged,
)
RATING = Check(
    id="offer-rating",
    title="Offer not above the declared rating",
    question="Does the unit offer more current than its plate or listing says?",
    needs=(CAPTURE, Need(claim="rated_current")),
    bench=PILOT_BENCH,
    limits=(),
    run=run_rating,
    bears=(Bearing(function="current-offer", within_if_works=0.99, within_if_not=0.6),),
    applies=with_pilot,
)
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

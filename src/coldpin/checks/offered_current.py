"""The current that is offered, placed against what plug, coding and plate can bear."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Need, with_pilot
from coldpin.checks.duty import TRANSFER
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed
from coldpin.checks.pilot_runs import NEED as CAPTURE
from coldpin.checks.pilot_runs import OSCILLATING, PILOT_BENCH, STEADY
from coldpin.checks.readings import claimed
from coldpin.pilot.duty_cycle import duty_for_current, offered_current
from coldpin.quantity import Quantity
from coldpin.records.case import Build, UnitClass
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.records.pilot import Meaning
from coldpin.standards.connections import plug
from coldpin.standards.pilot import duty_segments, duty_zones, generator
from coldpin.standards.wording import limit_value


def largest_offer(bench: BenchEvidence) -> tuple[Quantity, str] | None:
    """Return the largest current that any capture offers, and the entry that shows it.

    Parameters
    ----------
    bench : BenchEvidence
        With decoded captures; those in which something was broken or shorted count only where there is no other.

    Returns
    -------
    tuple or None
        The current [A] and the id of the entry; None where no current is offered.
    """
    quiet = [capture for capture in bench.captures if capture.condition("event") in STEADY]
    offers = [
        (run.offered_current_a.current, capture.entry.id)
        for capture in quiet or bench.captures
        for run in capture.reading.runs
        if run.state in OSCILLATING and run.offered_current_a and run.offered_current_a.meaning is Meaning.CURRENT
    ]
    return max(offers, key=lambda offer: offer[0].value, default=None)


def place_offer(bench: BenchEvidence, check: str, title: str, limit: Limit, *evidence: str) -> Finding:
    """Place the largest offer of any capture against a rating.

    Parameters
    ----------
    bench : BenchEvidence
        With decoded captures.
    check : str
        Id of the check.
    title : str
        Title of the finding.
    limit : Limit
        The rating. [A]
    *evidence : str
        Entries that the rating rests on.

    Returns
    -------
    Finding
        Undecided where no capture offers a current.
    """
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
    finding = place_offer(bench, "offer-plug", "Offer against the plug", limit)
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
    return (place_offer(bench, "offer-rating", "Offer against the declared rating", limit),)


def declared_limit(title: str, maximum: float, by: str) -> Limit:
    """Return a limit that the specimen or its papers set themselves.

    Parameters
    ----------
    title : str
        What it limits.
    maximum : float
        The largest current. [A]
    by : str
        Who says so, as "the plate".

    Returns
    -------
    Limit
        With ``asserted_by`` set.
    """
    return Limit(
        id="declared",
        title=title,
        unit="A",
        maximum=maximum,
        source=by,
        standing=Standing.COMMON_PRACTICE,
        asserted_by=by,
    )


def with_plug(unit: UnitClass) -> str:
    """Say whether a unit has a pilot and a plug on the supply side.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    str
        Empty where it applies, else why not.
    """
    if unit.build is Build.FIXED:
        return "a fixed unit has no plug on the supply side"
    return with_pilot(unit)


PLUG = Check(
    id="offer-plug",
    title="Offer not above the plug",
    question="Does the unit offer more current than its plug is made for?",
    needs=(CAPTURE, Need(claim="plug")),
    bench=PILOT_BENCH,
    limits=("plug",),
    run=run_plug,
    bears=(Bearing(function="current-offer", within_if_works=0.99, within_if_not=0.3),),
    transfer=TRANSFER,
    applies=with_plug,
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
    transfer=TRANSFER,
    applies=with_pilot,
)

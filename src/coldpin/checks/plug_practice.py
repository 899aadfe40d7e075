"""What the lead claims and offers to carry for hours through a household plug, against its country's practice."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known
from coldpin.checks.offered_current import largest_offer, place_offer
from coldpin.checks.readings import claimed
from coldpin.records.case import Build, UnitClass
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.connections import marked_socket_practice, plug_practice
from coldpin.standards.table import needed

CHECK_ID = "plug-practice"
TITLE = "Claimed current against the country's practice for hours"
OFFER_TITLE = "Offered current against the country's practice for hours"
ASK = "Local codes and the fitter on the spot come first."


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the claimed current, and the largest offered, against what the country lets such a plug carry for hours.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims "plug", "country" and "rated_current"; captures of the offer join in where they are there.

    Returns
    -------
    tuple of Finding
        The claim, and the offer where one was captured; where no practice is known it says so and judges nothing.

    Raises
    ------
    CaseError
        The claimed current cannot be read.
    UnknownName
        The plug is not in the table.
    """
    country, word = bench.claim("country").upper(), bench.claim("plug")
    current = claimed(bench, "rated_current", "A")
    assert current is not None, "the check needs the claimed current"
    known = plug_practice(bench.book, word, country)
    if not known:
        statement = (
            f"No practice for hours of charging through {word} in {country} is known to us: ask the local codes."
        )
        return (_finding(statement, Outcome.NOT_APPLICABLE, answer="none known", remarks=_elsewhere(bench, word)),)
    limit = min(known, key=lambda one: needed(one, "maximum"))
    beyond = current > needed(limit, "maximum")
    side = "above" if beyond else "within"
    statement = f"The lead is sold for {current:g} A through {word}: {side} {as_known(limit)} for hours in {country}."
    return (
        _finding(
            statement,
            Outcome.BEYOND if beyond else Outcome.WITHIN,
            limit=limit,
            answer=f"{current:g} A claimed",
            remarks=(*_other(limit), *_marked(bench, word, country, current, beyond=beyond), ASK),
        ),
        *_offered(bench, limit, word, country),
    )


def _offered(bench: BenchEvidence, limit: Limit, word: str, country: str) -> tuple[Finding, ...]:
    """Place what the lead offers the car, which is what flows for hours whatever it is sold for."""
    offer = largest_offer(bench)
    if offer is None:
        return ()
    finding = place_offer(bench, CHECK_ID, OFFER_TITLE, limit)
    beyond = finding.outcome is Outcome.BEYOND
    remarks = (
        *finding.remarks,
        *_other(limit),
        *_marked(bench, word, country, offer[0].value, beyond=beyond),
        ASK,
    )
    return (replace(finding, id=f"{CHECK_ID}.offer", functions=(), remarks=remarks),)


def _finding(
    statement: str, outcome: Outcome, *, answer: str, limit: Limit | None = None, remarks: tuple[str, ...] = ()
) -> Finding:
    return Finding(
        id=f"{CHECK_ID}.claim",
        check=CHECK_ID,
        title=TITLE,
        statement=statement,
        outcome=outcome,
        reach=Reach.CONSTRUCTION,
        functions=(),
        limit=limit,
        answer=answer,
        remarks=remarks,
    )


def _elsewhere(bench: BenchEvidence, word: str) -> tuple[str, ...]:
    """Say what is known of the plug in most of Europe, where nothing is of the country."""
    known = plug_practice(bench.book, word, "EU")
    return (f"For comparison, in most of Europe: {as_known(known[0])}. It decides nothing here.",) if known else ()


def _other(limit: Limit) -> tuple[str, ...]:
    return (f"Another text: {limit.other}.",) if limit.other else ()


def _marked(bench: BenchEvidence, word: str, country: str, current: float, *, beyond: bool) -> tuple[str, ...]:
    """Say whether a marked socket would bear what a plain one does not."""
    sockets = marked_socket_practice(bench.book, word, country)
    if not beyond or not sockets:
        return ()
    best = max(sockets, key=lambda one: needed(one, "maximum"))
    enough = "serves" if current <= needed(best, "maximum") else "does not serve either"
    return (f"A {best.title.partition(', ')[0].partition(' in a ')[2]} {enough}: {as_known(best)}.",)


def _with_socket(unit: UnitClass) -> str:
    return "a fixed unit has no plug on the supply side" if unit.build is Build.FIXED else ""


CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Is the lead sold for more current than the practice of its country lets such a plug carry for hours?",
    needs=(Need(claim="plug"), Need(claim="country"), Need(claim="rated_current")),
    bench=Procedure(
        level=Level.DEAD,
        instrument="none: read plate, print and listing",
        minutes=5,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Look at the plug and find its kind: `coldpin sources plug` lists those known.",
            "Write down the current that plate, papers or listing claim, and for which country the lead is sold.",
        ),
        transfers="Holds for any lead with this plug and claim.",
    ),
    limits=("plug-practice",),
    run=run,
    bears=(),
    applies=_with_socket,
)

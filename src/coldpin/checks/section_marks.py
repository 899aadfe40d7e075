"""What the marks of a cable say of its size, held against each other and against its coding: no instrument needed."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.coding import CODED, CODING, told_coding
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst_entry
from coldpin.checks.marked_size import CLAIM, PRINT, MarkedSize, marked_size, printed_size
from coldpin.checks.readings import claimed
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.proximity import ProximityMeaning
from coldpin.standards.conductors import customary_section
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value

CUSTOM = (
    "The standard codes a current; which cross-section goes with it is custom of the trade, and no text asks for it."
)


def run_print(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Hold the size printed on the sheath against the one that plate, papers or listing claim.

    Parameters
    ----------
    bench : BenchEvidence
        With both claims.

    Returns
    -------
    tuple of Finding
        One finding; none where the print names no size.

    Raises
    ------
    CaseError
        The claimed size cannot be read.
    """
    printed, claim = printed_size(bench.claim("cable_print")), claimed(bench, "cross_section", "mm²")
    if printed is None or claim is None:
        return ()
    agrees = printed.size_mm2 >= claim
    said = f"{PRINT[0].upper()}{PRINT[1:]} says {printed.size_mm2:g} mm², {CLAIM} says {claim:g} mm²."
    return (
        Finding(
            id="section-print.claim",
            check="section-print",
            title="Size claimed against size printed",
            statement=said if agrees else f"{said} One of the two is wrong.",
            outcome=Outcome.WITHIN if agrees else Outcome.BEYOND,
            reach=Reach.CONSTRUCTION,
            functions=(),
            answer=f"{printed.size_mm2:g} mm² printed",
        ),
    )


def run_coding(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Hold the size a cable is marked with against the one that is customary for the current it is coded for.

    Of several readings of the coding the worst is told.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the coding resistance, and a size printed or claimed.

    Returns
    -------
    tuple of Finding
        One finding; none where no size is marked, or no custom is known for the coded current.

    Raises
    ------
    CaseError
        A reading or the claimed size cannot be read.
    """
    marked = marked_size(bench)
    if marked is None:
        return ()
    found = [_against_custom(bench, entry, marked) for entry in bench.matching(CODING)]
    told = [finding for finding in found if finding is not None]
    return (worst_entry(told),) if told else ()


def _against_custom(bench: BenchEvidence, entry: Entry, marked: MarkedSize) -> Finding | None:
    told = told_coding(bench, entry)
    coded = told.zones[0].coded_current_a
    bare = Finding(
        id="coding-section.size",
        check="coding-section",
        title="Size of the cable against its coding",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        answer="cannot tell",
        evidence=(entry.id,),
        remarks=(CUSTOM,),
    )
    if coded is None or told.meaning is ProximityMeaning.UNDECIDED:
        return replace(bare, statement=f"Which current the coding stands for cannot be told: {told.statement}")
    limit = customary_section(bench.book, coded)
    if limit is None:
        return None
    enough = marked.size_mm2 >= needed(limit, "minimum")
    said = (
        f"The coding stands for {coded:g} A and {marked.said_by} says {marked.size_mm2:g} mm²; customary is "
        f"{limit_value(limit)} ({limit.source}, standing: {limit.standing})."
    )
    return replace(
        bare,
        limit=limit,
        outcome=Outcome.WITHIN if enough else Outcome.BEYOND,
        answer=f"{marked.size_mm2:g} mm² for {coded:g} A",
        statement=said if enough else f"{said} A vehicle may draw more than such a cable is usually made for.",
    )


PRINT_CHECK = Check(
    id="section-print",
    title="Size claimed against size printed",
    question="Is the cross-section that is claimed the one that stands on the sheath?",
    needs=(Need(claim="cross_section"), Need(claim="cable_print")),
    bench=Procedure(
        level=Level.DEAD,
        instrument="the eye, a lens, a camera",
        minutes=3,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Unplugged: read and photograph everything on the sheath, from one end to the other.",
            "Write down the cross-section that plate, papers and listing name, and where.",
        ),
        transfers="Holds for every piece that is marked so.",
    ),
    limits=(),
    run=run_print,
    bears=(),
    applies=always,
)
CODING_CHECK = replace(
    CODED,
    id="coding-section",
    title="Size of the cable against its coding",
    question="Is the cross-section the one that is customary for the current the cable is coded for?",
    needs=(CODING,),
    any_of=(Need(claim="cross_section"), Need(claim="cable_print")),
    limits=("section-custom",),
    run=run_coding,
    bears=(),
)

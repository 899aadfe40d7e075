"""Everything on the current's way side by side with what the lead claims and offers: the weakest part is named."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.carrying_size import CarryingSize, carrying_size
from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.coding import PRINTED
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.offered_current import declared_limit, largest_offer, place_offer, with_duty_tolerance
from coldpin.checks.readings import claimed, mean, readings
from coldpin.checks.supply_path import within_unless
from coldpin.copper.current_path import CABLE, LOADED_CORES, asks, carriers, claims, current_path
from coldpin.pilot.proximity import read_proximity
from coldpin.records.case import Build
from coldpin.records.current_path import CurrentPath, PathPart
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.proximity import ProximityMeaning
from coldpin.standards.cable_ratings import LOWEST_COUNTS, cable_ratings, row_text, tables_named
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_source, number_text

CHECK_ID = "current-path"
CODING = "coding resistance"
FUNCTION = "current-offer"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Tell the weakest part and what is claimed or offered above it, and place the offer against the cable.

    The offer against the plug, the plate and the coding are checks of their own; of the parts here it is placed against
    the cable, which no other check does.

    Parameters
    ----------
    bench : BenchEvidence
        With claims of plug, size or current; captures and the coding join in where they are there.

    Returns
    -------
    tuple of Finding
        The comparison, unless it is of claims alone and they agree: then nothing was tested; and the offer against the
        cable where both are known.

    Raises
    ------
    EntryError
        A reading cannot be read.
    CaseError
        A claim cannot be read.
    UnknownName
        The plug is not in the table.
    """
    told = path_of(bench)
    if told is None:
        return ()
    size = carrying_size(bench)
    compared = _named(_compared(told, size), bench, size)
    tested = bench.captures or bench.showing(CODING) or (size is not None and size.entries)
    if compared.outcome is not Outcome.BEYOND and not tested:
        return ()
    return (compared, *_cable(bench, size))


def _named(finding: Finding, bench: BenchEvidence, size: CarryingSize | None) -> Finding:
    """Add which table holds for what, where they name different currents for the cable's size."""
    if size is None or size.size_mm2 is None:
        return finding
    cores = LOADED_CORES.get(bench.case.unit.phases, LOADED_CORES[1])
    rows = cable_ratings(bench.book, cross_section_mm2=size.size_mm2, loaded_cores=cores)
    differ = tables_named(rows, LOWEST_COUNTS, bench.claim("country"))
    return replace(finding, remarks=(*finding.remarks[:-1], differ, *finding.remarks[-1:])) if differ else finding


def path_of(bench: BenchEvidence) -> CurrentPath | None:
    """Return everything on the current's way side by side.

    Parameters
    ----------
    bench : BenchEvidence
        With claims of plug, size or current; captures and the coding join in where they are there.

    Returns
    -------
    CurrentPath or None
        None where no part that carries is known.

    Raises
    ------
    EntryError
        A reading cannot be read.
    CaseError
        A claim cannot be read.
    UnknownName
        The plug is not in the table.
    """
    told = current_path(_parts(bench, carrying_size(bench)))
    return None if told.weakest is None else told


def _parts(bench: BenchEvidence, size: CarryingSize | None) -> list[PathPart]:
    unit = bench.case.unit
    parts = list(
        carriers(
            bench.book,
            plug_word="" if unit.build is Build.FIXED else bench.claim("plug"),
            country=bench.claim("country"),
            connector=unit.connector,
            cross_section_mm2=None if size is None else size.size_mm2,
            phases=unit.phases,
        )
    )
    rated = claimed(bench, "rated_current", "A")
    if rated is not None:
        parts.append(claims("rated current", rated, said_by="plate, papers or listing"))
    printed = PRINTED.search(bench.claim("cable_print"))
    if printed is not None:
        parts.append(
            claims(
                "current printed on the cable", float(printed[1].replace(",", ".")), said_by="the print", about=CABLE
            )
        )
    parts.extend(
        claims("current of the coding", coded, said_by="the coding resistor", about=CABLE) for coded in _coded(bench)
    )
    offer = largest_offer(bench)
    if offer is not None:
        told = declared_limit("largest current offered", offer[0].value, "measured")
        allowed = needed(with_duty_tolerance(bench, told), "maximum") - offer[0].value
        parts.append(asks("largest current offered", offer[0], allowed=allowed))
    return parts


def _coded(bench: BenchEvidence) -> tuple[float, ...]:
    """Return every current that a reading of the coding stands for, each once."""
    unit = bench.case.unit
    if "1" in unit.connector:
        return ()
    each = [
        read_proximity(mean(readings(bench, entry)).quantity, bench.book, connector=unit.connector, phases=unit.phases)
        for entry in bench.showing(CODING)
    ]
    coded = [one.coded_current_a for one in each if one.meaning is ProximityMeaning.CURRENT]
    return tuple(dict.fromkeys(current for current in coded if current is not None))


def _compared(told: CurrentPath, size: CarryingSize | None) -> Finding:
    assert told.weakest is not None, "told only where something carries"
    rated = [one for one in told.exceeding if not one.part.for_hours]
    outcomes = {one.outcome for one in rated}
    outcome = next((one for one in (Outcome.BEYOND, Outcome.UNDECIDED) if one in outcomes), Outcome.WITHIN)
    if told.outcome is Outcome.NOT_TESTED:
        outcome = Outcome.UNDECIDED
    practice = (
        ("What a household socket is allowed for hours is judged by itself, and not here.",)
        if len(rated) < len(told.exceeding)
        else ()
    )
    finding = Finding(
        id=f"{CHECK_ID}.weakest",
        check=CHECK_ID,
        title="Weakest part on the current's way",
        statement=told.statement if size is None or size.size_mm2 is not None else f"{size.why} {told.statement}",
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=(),
        limit=told.weakest.limit,
        answer=told.weakest.name,
        evidence=() if size is None else size.entries,
        remarks=(*(_line(part) for part in told.parts), *(() if size is None else (size.why,)), *practice),
    )
    return within_unless(finding, (size.why,) if size is not None and size.size_mm2 is None else ())


def _line(part: PathPart) -> str:
    amps = number_text(float(f"{part.current_a.value:.3g}"), "A")
    source = part.said_by if part.limit is None else f"{limit_source(part.limit)}; standing: {part.limit.standing}"
    return f"{part.name[0].upper()}{part.name[1:]}: {amps} ({source})."


def _cable(bench: BenchEvidence, size: CarryingSize | None) -> tuple[Finding, ...]:
    """Place the offer against the lowest printed rating of the size by which the cable is rated."""
    if size is None or not bench.captures:
        return ()
    if size.size_mm2 is None:
        return (_without_rating(size),)
    cores = LOADED_CORES.get(bench.case.unit.phases, LOADED_CORES[1])
    rows = cable_ratings(bench.book, cross_section_mm2=size.size_mm2, loaded_cores=cores)
    if not rows:
        return ()
    finding = place_offer(bench, CHECK_ID, "Offer against the cable", rows[0].limit, *size.entries)
    said = (
        f"{size.why} The rating is {row_text(rows[0].limit)}, for a cable lying free at 30 °C; coiled it carries far "
        "less."
    )
    differ = tables_named(rows, LOWEST_COUNTS, bench.claim("country"))
    remarks = (*finding.remarks, *((differ,) if differ else ()), said)
    return (replace(finding, id=f"{CHECK_ID}.cable", functions=(FUNCTION,), reckoned=True, remarks=remarks),)


def _without_rating(size: CarryingSize) -> Finding:
    return Finding(
        id=f"{CHECK_ID}.cable",
        check=CHECK_ID,
        title="Offer against the cable",
        statement=size.why,
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        reckoned=True,
        answer="cannot tell",
        evidence=size.entries,
    )


CHECK = Check(
    id=CHECK_ID,
    title="Current's way",
    question="Which part between socket and car carries the least, and is more than that claimed or offered?",
    needs=(),
    any_of=(Need(claim="plug"), Need(claim="cable_print"), Need(claim="cross_section")),
    bench=Procedure(
        level=Level.DEAD,
        instrument="none: read plug, plate, print and papers",
        minutes=5,
        cautions=DEAD_CAUTIONS,
        steps=(
            "Write down the kind of plug, the print on the cable, the plate, each with a photograph.",
            "Where it was done: the capture of the offer and the coding resistance join in.",
        ),
        transfers="Holds for any lead with these parts and prints.",
    ),
    limits=("plug", "coupler", "cable-rating"),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.98, within_if_not=0.6),),
    applies=always,
)

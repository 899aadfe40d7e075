"""Required distances for a person who asks, with nothing written anywhere."""

from __future__ import annotations

import re
from dataclasses import replace
from enum import StrEnum
from typing import TypeVar

from coldpin.errors import InputError, OutsideRange, QuantityTextError, UnitError, UnknownName
from coldpin.insulation.placing import place_distance, placements_told
from coldpin.insulation.required import required_distances
from coldpin.insulation.required_telling import limits_used, row_told, weaker_than_asked
from coldpin.insulation.situation import IN_CABLE_MODE, insulation_for, propose_situation, why_reinforced
from coldpin.quantity import AtLeast, AtMost, Quantity, parse_quantity, parse_reading
from coldpin.records.case import Build, Cable, UnitClass
from coldpin.records.distance import PathKind
from coldpin.records.required_distances import (
    Barrier,
    DegreeRows,
    DistancePlacement,
    DistanceRow,
    InsulationKind,
    InsulationSituation,
    Location,
    MaterialGroup,
    OvervoltageCategory,
    RequiredDistances,
    SituationProposal,
    SupplySystem,
)
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import Book, load_book

UNKNOWN = "unknown"
"""How a material group is given of which nothing is known."""

LONGEST = 200.0
"""Ours: no lead or wall unit is as wide; a longer reading is asked about, for it is likely in another unit. [mm]"""

WALL_MODE = 3
"""Ours to name: the charging mode of a fixed unit."""

_BARE = re.compile(r"[0-9][0-9 _]*(?:[.,][0-9]+)?")


def tell_required_distances(
    *,
    voltage: str,
    overvoltage_category: str = "",
    pollution_degree: int | None = None,
    material_group: str = UNKNOWN,
    insulation: str = "",
    between: str = "",
    altitude: str = "0 m",
    system: str = SupplySystem.LINE_TO_NEUTRAL.value,
    working_voltage: str = "",
    working_peak: str = "",
    printed_wiring: bool = False,
    unit: str = "",
    place: str = "",
    sealing_proved: bool = False,
    reading: str = "",
    reading_of: str = "",
    accuracy: str = "",
    book: Book | None = None,
) -> RequiredDistances:
    """Say which distances are asked for between two circuits, by which rows, and where a reading falls.

    A number without a unit is taken in V, m or mm, as the option says.

    Parameters
    ----------
    voltage : str
        Nominal voltage, r.m.s.: "230 V".
    overvoltage_category : str
        "I" to "IV"; where it is left out, that of the unit.
    pollution_degree : int, optional
        1 to 3; where it is left out, those of unit and place.
    material_group : str
        "I", "II", "IIIa", "IIIb", or "unknown".
    insulation : str
        "functional", "basic", "supplementary" or "reinforced"; where it is left out, what ``between`` asks for, else
        reinforced.
    between : str
        "mains-pilot", "mains-low-voltage", "mains-touchable", "mains-earth", "line-neutral" or "behind-fuse".
    altitude : str
        Above sea level: "0 m".
    system : str
        What the nominal voltage is measured between: "line to neutral", "three-phase", "split-phase", "unearthed",
        "corner-earthed".
    working_voltage : str
        Across the insulation, r.m.s., where it was found out.
    working_peak : str
        The peak that recurs there, where it was found out.
    printed_wiring : bool
        Whether the columns for printed wiring serve.
    unit : str
        "portable" or "fixed": proposes category and degree where these are left out.
    place : str
        "indoors", "industrial", "outdoors"; unknown where it is left out.
    sealing_proved : bool
        Whether a test shows that the housing keeps water and dirt out.
    reading : str
        A distance that was measured: "4.4 mm ± 0.1 mm".
    reading_of : str
        "clearance" or "creepage"; both where it is left out, as for a gap on a flat surface.
    accuracy : str
        The calliper's accuracy as its maker writes it, where the reading states none.
    book : Book, optional
        The constants; ours where it is left out.

    Returns
    -------
    RequiredDistances
        Basic and reinforced rows, sources, other texts, test voltages, and the reading placed.

    Raises
    ------
    QuantityTextError
        A value cannot be read.
    UnitError
        A unit is unknown or of another kind.
    UnknownName
        A name is not one of those listed.
    OutsideRange
        A voltage, degree, altitude or reading is one that cannot be or is not tabulated.
    InputError
        Neither category and degree nor a unit to propose them are given.

    Examples
    --------
    >>> told = tell_required_distances(
    ...     voltage="230 V",
    ...     overvoltage_category="II",
    ...     pollution_degree=2,
    ...     material_group="IIIa",
    ...     insulation="reinforced",
    ... )
    >>> told.clearance_mm, told.creepage_mm, told.groove_x_mm
    (3.0, 5.0, 1.0)
    >>> wall = tell_required_distances(voltage="230 V", unit="fixed", place="outdoors", material_group="IIIa")
    >>> wall.clearance_mm, wall.creepage_mm, [rows.pollution_degree for rows in wall.milder_degrees]
    (5.5, 8.0, [2])
    """
    constants = book or load_book()
    proposal = _proposal(constants, unit, place, sealing_proved=sealing_proved)
    category, degrees = _judged_by(proposal, overvoltage_category, pollution_degree)
    barrier = _named(Barrier, between, "barrier")
    kind, asks = (None, None) if barrier is None else insulation_for(constants, barrier)
    given = _named(InsulationKind, insulation, "insulation")
    if given is not None and given is not kind:
        kind, asks = given, None
    kind = kind or InsulationKind.REINFORCED
    situation = InsulationSituation(
        nominal_voltage_v=_number(voltage, "V", "nominal voltage"),
        overvoltage_category=category,
        pollution_degree=degrees[-1],
        material_group=_group(material_group),
        system=_named(SupplySystem, system, "supply system") or SupplySystem.LINE_TO_NEUTRAL,
        altitude_m=_number(altitude, "m", "altitude"),
        working_voltage_v=_number(working_voltage, "V", "working voltage") if working_voltage else None,
        working_peak_v=_number(working_peak, "V", "working peak") if working_peak else None,
        printed_wiring=printed_wiring,
    )
    told = required_distances(constants, situation, kind, barrier=barrier, kind_limit=asks)
    milder = tuple(_rows_of(constants, told, degree) for degree in degrees[:-1])
    told = replace(told, proposal=proposal, milder_degrees=milder)
    if reading:
        one = _named(PathKind, reading_of, "kind of distance")
        told = _with_reading(told, _reading(reading, accuracy), (one,) if one else tuple(PathKind))
    said = _said(told, portable=unit != Build.FIXED.value)
    told = replace(told, statements=(*weaker_than_asked(constants, told), *_placed(told), *told.statements, *said))
    return replace(told, sources=limits_used(constants, told))


Word = TypeVar("Word", bound=StrEnum)


def _named(kind: type[Word], given: str, what: str) -> Word | None:
    if not given:
        return None
    for member in kind:
        if member.value.casefold() == given.strip().casefold():
            return member
    raise UnknownName.among(what, given, [member.value for member in kind])


def _group(given: str) -> MaterialGroup | None:
    if given.strip().casefold() == UNKNOWN:
        return None
    for group in MaterialGroup:
        if group.value.casefold() == given.strip().casefold():
            return group
    raise UnknownName.among("material group", given, [*(group.value for group in MaterialGroup), UNKNOWN])


def _number(given: str, unit: str, what: str) -> float:
    text = given.strip()
    if _BARE.fullmatch(text):
        text = f"{text} {unit}"
    try:
        return parse_quantity(text, unit).value
    except UnitError as error:
        raise UnitError(f"{what} {given!r}: {error}") from error
    except QuantityTextError as error:
        raise QuantityTextError(f"{what} {given!r}: {error}") from error


def _proposal(book: Book, unit: str, place: str, *, sealing_proved: bool) -> SituationProposal | None:
    build = _named(Build, unit, "unit")
    location = _named(Location, place, "place") or Location.UNKNOWN
    if build is None:
        return None
    mode = IN_CABLE_MODE if build is Build.PORTABLE else WALL_MODE
    described = UnitClass(charging_mode=mode, build=build, cable=Cable.ATTACHED)
    return propose_situation(book, described, location, sealing_proved=sealing_proved)


def _judged_by(
    proposal: SituationProposal | None, category: str, degree: int | None
) -> tuple[OvervoltageCategory, tuple[int, ...]]:
    given = _named(OvervoltageCategory, category, "overvoltage category")
    if proposal is not None:
        given = given or proposal.overvoltage_category
    degrees = (degree,) if degree is not None else () if proposal is None else proposal.pollution_degrees
    if given is None or not degrees:
        raise InputError(
            "overvoltage category and pollution degree are not both given: give them, or the unit (portable or fixed) "
            "and the place, by which they are proposed"
        )
    return given, degrees


def _rows_of(book: Book, told: RequiredDistances, degree: int) -> DegreeRows:
    situation = replace(told.situation, pollution_degree=degree)
    there = required_distances(book, situation, told.insulation, barrier=told.barrier)
    return DegreeRows(pollution_degree=degree, basic=there.basic, reinforced=there.reinforced)


def _reading(reading: str, accuracy: str) -> Quantity:
    read = parse_reading(reading, "mm")
    if isinstance(read, AtLeast | AtMost):
        raise OutsideRange(f"the reading {reading!r} only bounds the distance: give what the calliper shows")
    if not 0.0 < read.value < LONGEST:
        raise OutsideRange(
            f"the reading {reading!r} is {read.value:g} mm; a gap in a lead or wall unit is above 0 mm and below "
            f"{LONGEST:g} mm: check its unit and sign"
        )
    if accuracy and read.u is None:
        exact = replace(read, u=0.0, low=None, high=None, why="")
        return parse_accuracy(accuracy).apply(exact, id="calliper: gap", label="gap")
    return read


def _with_reading(told: RequiredDistances, reading: Quantity, kinds: tuple[PathKind, ...]) -> RequiredDistances:
    def placed(basic: DistanceRow, reinforced: DistanceRow) -> tuple[DistancePlacement, ...]:
        return tuple(
            place_distance(reading, row, kind, asked=row.insulation is told.asked.insulation)
            for row in (basic, reinforced)
            for kind in kinds
        )

    milder = tuple(replace(rows, placements=placed(rows.basic, rows.reinforced)) for rows in told.milder_degrees)
    return replace(told, reading=reading, placements=placed(told.basic, told.reinforced), milder_degrees=milder)


def _said(told: RequiredDistances, *, portable: bool) -> tuple[str, ...]:
    said: list[str] = []
    for rows in told.milder_degrees:
        asked = rows.reinforced if told.insulation is InsulationKind.REINFORCED else rows.basic
        said.append(f"In pollution degree {rows.pollution_degree}: {row_told(asked)}")
    if told.proposal is not None:
        said += told.proposal.reasons
    if told.barrier is not None and told.insulation is InsulationKind.REINFORCED:
        said += why_reinforced(told.barrier, portable=portable)
    return tuple(said)


def _placed(told: RequiredDistances) -> tuple[str, ...]:
    """Say where the reading falls: it was asked first, and stands directly under the table."""
    if told.reading is None:
        return ()
    said: list[str] = []
    for rows in told.milder_degrees:
        said += placements_told(told.reading, rows.placements, degree=rows.pollution_degree)
    return (*said, *placements_told(told.reading, told.placements, degree=told.situation.pollution_degree))

"""Where the insulation of a charging lead or wall unit stands: category, pollution and kind, from class and place."""

from __future__ import annotations

import re

from coldpin.records.case import Build, UnitClass
from coldpin.records.finding import Limit
from coldpin.records.required_distances import (
    Barrier,
    InsulationKind,
    Location,
    OvervoltageCategory,
    SituationProposal,
)
from coldpin.standards.book import Book
from coldpin.standards.table import Row

IN_CABLE_MODE = 2
"""Ours to name: the charging mode of a lead with its electronics in the cable."""

_INDUSTRIAL = re.compile(r"\b(?:industr\w*|workshop|factory|plant|foundry|mill)\b", re.IGNORECASE)
_OUTDOORS = re.compile(
    r"\b(?:out[ -]?(?:doors?|side|buildings?)|drive(?:way)?|garden|yard|quay|pier|marina|harbou?r|street|road\w*|kerb|"
    r"pavement|car[ -]?(?:park\w*|port)|parking|camp\w*|field|farm\w*|terrace|patio|balcony|roof|(?:house|outer) wall|"
    r"open[ -]air|beside|behind|by the|near|next to|front of|at the (?:back|side) of)\b",
    re.IGNORECASE,
)
"""Places in the open, and the words that put a thing beside a building and not in it."""

_INDOORS = re.compile(r"\b(?:in[ -]?doors?|inside|garage|cellar|house|hall|shed)\b", re.IGNORECASE)


def location_of(place: str) -> Location:
    """Return the kind of place that a person's words mean.

    Parameters
    ----------
    place : str
        "outdoors", "garage", "on the drive in front of the house".

    Returns
    -------
    Location
        Outdoors where the words speak of outdoors at all, or of a place beside another, else industrial, else indoors;
        unknown where they say none.

    Examples
    --------
    >>> [location_of(text).value for text in ("garage", "drive beside the house", "workshop", "")]
    ['indoors', 'outdoors', 'industrial', 'unknown']
    """
    ways = ((_OUTDOORS, Location.OUTDOORS), (_INDUSTRIAL, Location.INDUSTRIAL), (_INDOORS, Location.INDOORS))
    return next((location for words, location in ways if words.search(place)), Location.UNKNOWN)


def propose_situation(
    book: Book,
    unit: UnitClass,
    location: Location = Location.UNKNOWN,
    *,
    sealing_proved: bool = False,
) -> SituationProposal:
    """Return the category and the pollution degrees by which a unit is to be judged.

    The product standard's words go before the generic ones. Indoors the degree is 2, in industry 3. Outdoors, and where
    the place is not known, both 2 and 3 are judged, unless it is proved that the housing keeps water and dirt out.

    Parameters
    ----------
    book : Book
        The constants.
    unit : UnitClass
        The class of the unit.
    location : Location
        Where it is used.
    sealing_proved : bool
        Whether a test, not a marking, shows that the housing keeps water and dirt out.

    Returns
    -------
    SituationProposal
        Category, degrees (rising), and why.

    Raises
    ------
    UnknownName
        A row of the table is missing.

    Examples
    --------
    >>> from coldpin.records.case import Cable
    >>> from coldpin.standards.book import load_book
    >>> wall = UnitClass(charging_mode=3, build=Build.FIXED, cable=Cable.ATTACHED)
    >>> told = propose_situation(load_book(), wall, Location.OUTDOORS)
    >>> told.overvoltage_category.value, told.pollution_degrees
    ('III', (2, 3))
    >>> propose_situation(load_book(), wall, Location.OUTDOORS, sealing_proved=True).pollution_degrees
    (2,)

    Sources
    -------
    ``charging.category.*``, ``charging.pollution.*`` (IEC 61851-1 clause 12), ``in-cable.overvoltage-category``.
    """
    category = _category(book, unit)
    degrees, rows, reason = _degrees(book, location, sealing_proved=sealing_proved)
    fixed = unit.build is Build.FIXED
    why = (
        "It is part of the fixed installation: surges reach it before any plug and cord damp them."
        if fixed
        else "It is portable and plugged into a socket."
    )
    return SituationProposal(
        overvoltage_category=OvervoltageCategory(category.word("category")),
        pollution_degrees=degrees,
        reasons=(f"Overvoltage category {category.word('category')}. {why}", reason),
        limits=(category.limit, *rows),
    )


def _category(book: Book, unit: UnitClass) -> Row:
    if unit.build is Build.PORTABLE and unit.charging_mode == IN_CABLE_MODE:
        return book.row("in-cable.overvoltage-category")
    return book.row(f"charging.category.{unit.build.value}")


def _degrees(book: Book, location: Location, *, sealing_proved: bool) -> tuple[tuple[int, ...], tuple[Limit, ...], str]:
    def degree(name: str) -> int:
        return int(book.row(f"charging.pollution.{name}").number("degree"))

    def limits(*names: str) -> tuple[Limit, ...]:
        return tuple(book.limit(f"charging.pollution.{name}") for name in names)

    inside = degree("sealed")
    if location is Location.INDOORS:
        found = degree("indoors")
        return (found,), limits("indoors"), f"Pollution degree {found}: it is used indoors."
    if location is Location.INDUSTRIAL and not sealing_proved:
        found = degree("industrial")
        return (found,), limits("industrial"), f"Pollution degree {found}: it is used in industry."
    name = "industrial" if location is Location.INDUSTRIAL else "outdoors"
    where = {
        Location.INDUSTRIAL: "it is used in industry",
        Location.OUTDOORS: "it is used outdoors",
        Location.UNKNOWN: "nobody said where it is used, and charging leads lie outdoors",
    }[location]
    if sealing_proved:
        return (inside,), limits(name, "sealed"), f"Pollution degree {inside}: {where}, and its sealing is proved."
    harsh = degree(name)
    return (
        tuple(sorted({inside, harsh})),
        limits(name, "sealed"),
        f"Pollution degrees {inside} and {harsh}: {where}, and its sealing is not proved; both are judged.",
    )


def insulation_for(book: Book, barrier: Barrier) -> tuple[InsulationKind, Limit]:
    """Return the kind of insulation that is asked for between two circuits, and by what.

    Parameters
    ----------
    book : Book
        The constants.
    barrier : Barrier
        Between what it stands.

    Returns
    -------
    tuple of InsulationKind and Limit
        The kind, and the rule that asks for it.

    Raises
    ------
    UnknownName
        A row of the table is missing.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [insulation_for(load_book(), barrier)[0].value for barrier in (Barrier.MAINS_PILOT, Barrier.MAINS_EARTH)]
    ['reinforced', 'basic']

    Sources
    -------
    ``insulation-kind.*``.
    """
    row = book.row(f"insulation-kind.{barrier.value}")
    return InsulationKind(row.word("insulation")), row.limit


def why_reinforced(barrier: Barrier, *, portable: bool) -> tuple[str, ...]:
    """Say why basic insulation is not enough between two circuits.

    Parameters
    ----------
    barrier : Barrier
        Between what the insulation stands.
    portable : bool
        Whether the unit is plugged into sockets, whose earth can be missing.

    Returns
    -------
    tuple of str
        Sentences; none where basic insulation is what is asked for.

    Examples
    --------
    >>> why_reinforced(Barrier.MAINS_EARTH, portable=True)
    ()
    >>> len(why_reinforced(Barrier.MAINS_PILOT, portable=True))
    2
    """
    touched = {
        Barrier.MAINS_PILOT: (
            "The pilot ends at the vehicle connector, where a hand can touch it, and goes on to the car: what parts it "
            "from mains must hold even where one layer has given way."
        ),
        Barrier.MAINS_LOW_VOLTAGE: (
            "Low voltage that a hand or the pilot can reach must stay parted from mains even where one layer has given "
            "way."
        ),
        Barrier.MAINS_TOUCHABLE: (
            "A surface that is not earthed has nothing behind it but the insulation: one layer giving way must not "
            "make it live."
        ),
    }.get(barrier)
    if touched is None:
        return ()
    if not portable:
        return (touched,)
    lost = (
        "A portable lead has its earth from whatever socket it meets: an old socket, an extension cord or a broken "
        "core takes it away unseen. With the earth gone, basic insulation that gives way makes the pilot, the "
        "connector and the car live, and no fuse or residual-current device acts until somebody touches them; so the "
        "earth that could make basic insulation enough cannot be counted on."
    )
    return (touched, lost)

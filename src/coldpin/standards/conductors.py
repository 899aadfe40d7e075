"""Conductors by class and marked size: how much they may resist, and how they are built."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

COATINGS = ("plain", "tinned")
"""How the wires are: bare, or coated with tin or another metal."""

CONDUCTOR_CLASSES = (1, 2, 5, 6)
"""Classes of IEC 60228: solid, stranded, flexible, extra-flexible."""

FLEXIBLE = 5
"""The class that a charging cable must have (``conductor-demand.charging-cable``)."""

METALS = ("copper", "aluminium")
"""The metals whose conductors IEC 60228 limits."""

REFERENCE_TEMPERATURE = 20.0
"""The temperature for which IEC 60228 limits a resistance, and to which both temperature coefficients refer. [°C]"""

_RESISTANCE = "conductor."
_STRANDS = "strands."


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandPattern:
    """How a flexible conductor of a size is customarily built: so many wires of one diameter."""

    wires: int
    wire_diameter_mm: float
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedFactor:
    """A factor to 20 °C as IEC 60228 prints it, rounded and for both metals alike, at a temperature. [°C]"""

    temperature: float
    factor: float


def _of_class(row: Row, conductor_class: int) -> bool:
    return str(conductor_class) in row.words("classes")


def _size_rows(
    book: Book, prefix: str, *, conductor_class: int, coating: str = "", metal: str = ""
) -> dict[float, Row]:
    if conductor_class not in CONDUCTOR_CLASSES:
        known = [str(number) for number in CONDUCTOR_CLASSES]
        raise UnknownName.among("conductor class", str(conductor_class), known)
    if coating and coating not in COATINGS:
        raise UnknownName.among("coating", coating, COATINGS)
    if metal and metal not in METALS:
        raise UnknownName.among("metal", metal, METALS)
    return {
        row.number("cross_section"): row
        for row in book.under(prefix)
        if _of_class(row, conductor_class)
        and (not coating or row.word("coating") == coating)
        and (not metal or row.word("metal") == metal)
    }


def _at(rows: dict[float, Row], cross_section_mm2: float, what: str) -> Row:
    for size, row in rows.items():
        if math.isclose(size, cross_section_mm2):
            return row
    known = ", ".join(f"{size:g}" for size in rows) or "none"
    raise OutsideRange(f"{what}: no row for {cross_section_mm2:g} mm²; known: {known} mm². Give the size as marked")


def resistance_limit(
    book: Book,
    *,
    conductor_class: int = FLEXIBLE,
    coating: str = "plain",
    cross_section_mm2: float,
    metal: str = "copper",
) -> Limit:
    """Return how much a conductor of a marked size may resist at 20 °C, for each kilometre of cable.

    Parameters
    ----------
    book : Book
        The constants.
    conductor_class : int
        1 solid, 2 stranded, 5 flexible, 6 extra-flexible.
    coating : str
        "plain" or "tinned".
    cross_section_mm2 : float
        The marked size. [mm²]
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    Limit
        In Ω/km.

    Raises
    ------
    UnknownName
        There is no such class, coating or metal.
    OutsideRange
        The table has no such size.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> resistance_limit(load_book(), cross_section_mm2=2.5).maximum
    7.98
    >>> resistance_limit(load_book(), cross_section_mm2=2.5, coating="tinned").maximum
    8.21

    Sources
    -------
    ``conductor.*``, IEC 60228:2004 Tables 1 to 4.
    """
    rows = _size_rows(book, _RESISTANCE, conductor_class=conductor_class, coating=coating, metal=metal)
    return _at(rows, cross_section_mm2, f"resistance of class {conductor_class}, {coating} {metal}").limit


def cross_sections(
    book: Book, *, conductor_class: int = FLEXIBLE, coating: str = "plain", metal: str = "copper"
) -> tuple[float, ...]:
    """Return the sizes for which a resistance is limited.

    Parameters
    ----------
    book : Book
        The constants.
    conductor_class : int
        1 solid, 2 stranded, 5 flexible, 6 extra-flexible.
    coating : str
        "plain" or "tinned".
    metal : str
        "copper" or "aluminium".

    Returns
    -------
    tuple of float
        Rising. [mm²]

    Raises
    ------
    UnknownName
        There is no such class, coating or metal.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> cross_sections(load_book(), conductor_class=2, metal="aluminium")
    (10.0, 16.0, 25.0, 35.0)

    Sources
    -------
    ``conductor.*``.
    """
    return tuple(sorted(_size_rows(book, _RESISTANCE, conductor_class=conductor_class, coating=coating, metal=metal)))


def printed_factors(book: Book) -> tuple[PrintedFactor, ...]:
    """Return the factors to 20 °C that IEC 60228 prints.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of PrintedFactor
        By rising temperature. They are kept to be compared with, and not used.

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> printed_factors(load_book())[5]
    PrintedFactor(temperature=30.0, factor=0.962)

    Sources
    -------
    ``conductor-correction.*``, IEC 60228:2004 Annex A.
    """
    rows = book.under("conductor-correction.")
    return tuple(
        PrintedFactor(temperature=row.number("temperature"), factor=needed(row.limit, "nominal")) for row in rows
    )


def strand_pattern(book: Book, *, conductor_class: int = FLEXIBLE, cross_section_mm2: float) -> StrandPattern:
    """Return how a flexible conductor of a size is customarily built.

    Parameters
    ----------
    book : Book
        The constants.
    conductor_class : int
        5 flexible, 6 extra-flexible.
    cross_section_mm2 : float
        The marked size. [mm²]

    Returns
    -------
    StrandPattern
        Number and diameter of the wires; it binds nobody.

    Raises
    ------
    UnknownName
        There is no such class.
    OutsideRange
        The table has no such size.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> pattern = strand_pattern(load_book(), cross_section_mm2=2.5)
    >>> pattern.wires, pattern.wire_diameter_mm
    (50, 0.25)

    Sources
    -------
    ``strands.*``.
    """
    rows = _size_rows(book, _STRANDS, conductor_class=conductor_class)
    row = _at(rows, cross_section_mm2, f"wires of class {conductor_class}")
    wires = round(needed(row.limit, "nominal"))
    return StrandPattern(wires=wires, wire_diameter_mm=row.number("wire_mm"), limit=row.limit)


def largest_strand(book: Book, *, conductor_class: int = FLEXIBLE, cross_section_mm2: float) -> Limit:
    """Return how thick one wire of a flexible conductor may be.

    Parameters
    ----------
    book : Book
        The constants.
    conductor_class : int
        5 flexible.
    cross_section_mm2 : float
        The marked size. [mm²]

    Returns
    -------
    Limit
        In mm.

    Raises
    ------
    UnknownName
        There is no such class.
    OutsideRange
        The table has no such size.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> largest_strand(load_book(), cross_section_mm2=2.5).maximum
    0.26

    Sources
    -------
    ``strand-diameter.*``.
    """
    rows = _size_rows(book, "strand-diameter.", conductor_class=conductor_class)
    return _at(rows, cross_section_mm2, f"largest wire of class {conductor_class}").limit


def largest_conductor_diameter(book: Book, *, conductor_class: int = FLEXIBLE, cross_section_mm2: float) -> Limit:
    """Return how thick a round flexible conductor without its insulation may be.

    Parameters
    ----------
    book : Book
        The constants.
    conductor_class : int
        5 flexible, 6 extra-flexible.
    cross_section_mm2 : float
        The marked size. [mm²]

    Returns
    -------
    Limit
        In mm.

    Raises
    ------
    UnknownName
        There is no such class.
    OutsideRange
        The table has no such size.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> largest_conductor_diameter(load_book(), cross_section_mm2=6.0).maximum
    3.9

    Sources
    -------
    ``conductor-diameter.*``.
    """
    rows = _size_rows(book, "conductor-diameter.", conductor_class=conductor_class)
    return _at(rows, cross_section_mm2, f"diameter of class {conductor_class}").limit


def customary_section(book: Book, current: float) -> Limit | None:
    """Return the cross-section that is customary for a coded current.

    Parameters
    ----------
    book : Book
        The constants.
    current : float
        The current that the coding resistor stands for. [A]

    Returns
    -------
    Limit or None
        In mm²; None where no custom is known for the current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> customary_section(load_book(), 32.0).minimum, customary_section(load_book(), 16.0)
    (6.0, None)

    Sources
    -------
    ``section-custom.*``.
    """
    for row in book.under("section-custom."):
        if math.isclose(row.number("current"), current):
            return row.limit
    return None

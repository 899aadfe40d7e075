"""Voltage drop: what tables print for each ampere and metre, how much may be lost, what the supply may be off."""

from __future__ import annotations

import math
from dataclasses import dataclass

from coldpin.errors import OutsideRange
from coldpin.quantity import convert
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed

_DROP = "drop."
_DROP_LIMIT = "drop-limit."


@dataclass(frozen=True, slots=True, kw_only=True)
class PrintedDrop:
    """The voltage drop that a table prints for one size of cable.

    ``per_ampere_metre`` is the drop of one ampere along one metre of cable: out and back with one phase, between lines
    with three. [Ω/m] ``conductor_temperature`` is the conductor's. [°C]
    """

    cross_section_mm2: float
    conductor_temperature: float
    phases: int
    per_ampere_metre: float
    limit: Limit


def printed_drops(book: Book, *, phases: int = 1) -> tuple[PrintedDrop, ...]:
    """Return the printed voltage drops of flexible cables.

    Parameters
    ----------
    book : Book
        The constants.
    phases : int
        1 or 3.

    Returns
    -------
    tuple of PrintedDrop
        In the order of the table; a size may stand in two rows, at two temperatures of the conductor.

    Raises
    ------
    OutsideRange
        There are no cables of so many phases.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(row.cross_section_mm2, row.per_ampere_metre) for row in printed_drops(load_book())][5:7]
    [(2.5, 0.019), (4.0, 0.012)]

    Sources
    -------
    ``drop.cord-60.*``, ``drop.cable-90.*``.
    """
    check_phases(phases)
    return tuple(
        PrintedDrop(
            cross_section_mm2=row.number("cross_section"),
            conductor_temperature=row.number("conductor_c"),
            phases=phases,
            per_ampere_metre=convert(needed(row.limit, "nominal"), row.limit.unit, "Ω/m"),
            limit=row.limit,
        )
        for row in book.under(_DROP)
        if "cross_section" in row.data and row.number("phases") == phases
    )


def printed_drop(
    book: Book, *, cross_section_mm2: float, conductor_temperature: float, phases: int = 1
) -> PrintedDrop | None:
    """Return the printed voltage drop of a size, in the row whose conductor is nearest in temperature.

    Parameters
    ----------
    book : Book
        The constants.
    cross_section_mm2 : float
        The marked size. [mm²]
    conductor_temperature : float
        Temperature of the conductor. [°C]
    phases : int
        1 or 3.

    Returns
    -------
    PrintedDrop or None
        None where no table has the size.

    Raises
    ------
    OutsideRange
        There are no cables of so many phases.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> printed_drop(load_book(), cross_section_mm2=4.0, conductor_temperature=90.0).per_ampere_metre
    0.0132

    Sources
    -------
    ``drop.cord-60.*``, ``drop.cable-90.*``.
    """
    rows = [row for row in printed_drops(book, phases=phases) if math.isclose(row.cross_section_mm2, cross_section_mm2)]
    return min(rows, key=lambda row: abs(row.conductor_temperature - conductor_temperature), default=None)


def cord_temperature(book: Book) -> float:
    """Return the temperature of the conductor for which the drop of a cord is printed.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        What a loaded cord is reckoned at where nobody measured it. [°C]

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> cord_temperature(load_book())
    60.0

    Sources
    -------
    ``drop.cord-60.*``, BS 7671 table 4F3B.
    """
    return printed_drops(book)[0].conductor_temperature


def check_phases(phases: int) -> None:
    """Refuse a number of phases for which there is no formula.

    Parameters
    ----------
    phases : int
        1 or 3.

    Raises
    ------
    OutsideRange
        It is another number.
    """
    if phases not in (1, 3):
        raise OutsideRange(f"{phases} phases: a lead has 1 or 3")


def drop_limit(book: Book, *, private_source: bool = False) -> Limit:
    """Return how much of the nominal voltage may be lost from the origin of an installation to a load, lighting apart.

    Parameters
    ----------
    book : Book
        The constants.
    private_source : bool
        Whether the installation has a source of its own in place of the public supply.

    Returns
    -------
    Limit
        In per cent of the nominal voltage; the fixed wiring takes its part first, a lead has only what is left.

    Raises
    ------
    UnknownName
        The table lacks it.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> drop_limit(load_book()).maximum
    5.0

    Sources
    -------
    ``drop-limit.*.other``, IEC 60364-5-52 annex G.
    """
    return book.limit(f"{_DROP_LIMIT}{'private' if private_source else 'public'}.other")


def supply_voltage(book: Book) -> float:
    """Return the nominal voltage of the supply, line to neutral.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        U0. [V]

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> supply_voltage(load_book())
    230.0

    Sources
    -------
    ``supply.voltage``.
    """
    return needed(book.limit("supply.voltage"), "nominal")


def supply_frequency(book: Book) -> float:
    """Return the nominal frequency of the supply.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        In Hz.

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> supply_frequency(load_book())
    50.0

    Sources
    -------
    ``supply.frequency``.
    """
    return needed(book.limit("supply.frequency"), "nominal")


def highest_voltage(book: Book, nominal: float) -> float:
    """Return the highest voltage that a supply may have.

    Parameters
    ----------
    book : Book
        The constants.
    nominal : float
        Its nominal voltage. [V]

    Returns
    -------
    float
        With the tolerance above it. [V]

    Raises
    ------
    InputError
        An own value of the case gives no maximum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(highest_voltage(load_book(), 230.0), 1)
    253.0

    Sources
    -------
    ``supply.tolerance``.
    """
    return nominal * (1.0 + needed(book.limit("supply.tolerance"), "maximum") / 100)


def supply_tolerance(book: Book) -> Limit:
    """Return how far the supply may be off its nominal voltage where the installation is connected.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In per cent.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> supply_tolerance(load_book()).minimum
    -10.0

    Sources
    -------
    ``supply.tolerance``.
    """
    return book.limit("supply.tolerance")


def cable_reactance(book: Book) -> float:
    """Return the reactance of one metre of a conductor in a cable, where nothing better is known.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        λ. [Ω/m]

    Raises
    ------
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(cable_reactance(load_book()), 6)
    8e-05

    Sources
    -------
    ``drop.reactance``.
    """
    limit = book.limit("drop.reactance")
    return convert(needed(limit, "nominal"), limit.unit, "Ω/m")

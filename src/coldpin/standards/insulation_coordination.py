"""Insulation coordination: impulse voltages, clearances, what they withstand and altitude, by IEC 60664-1."""

from __future__ import annotations

from typing import Final

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.records.required_distances import OvervoltageCategory
from coldpin.standards.between_rows import Looked, looked_up
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

POLLUTION_DEGREES: Final = (1, 2, 3)
"""The degrees for which there are tables of clearance and creepage."""


def rated_impulse(book: Book, line_to_neutral: float, category: OvervoltageCategory) -> Limit:
    """Return the rated impulse voltage of a supply.

    Parameters
    ----------
    book : Book
        The constants.
    line_to_neutral : float
        Nominal voltage from line to neutral, or what stands for it. [V]
    category : OvervoltageCategory
        The category.

    Returns
    -------
    Limit
        In V, peak; the next row above serves.

    Raises
    ------
    OutsideRange
        The voltage is above the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [rated_impulse(load_book(), volts, OvervoltageCategory.II).nominal for volts in (120.0, 230.0)]
    [1500.0, 2500.0]

    Sources
    -------
    ``rated-impulse.*``, IEC 60664-1 table F.1.
    """
    rows = [row for row in book.under("rated-impulse.") if row.word("category") == category.value]
    found = looked_up(rows, line_to_neutral, across="supply", gives="nominal", what="rated impulse voltage", unit="V")
    return found.rows[-1]


def next_impulse(book: Book, impulse: float) -> Limit | None:
    """Return the next step of the preferred series of impulse voltages.

    Parameters
    ----------
    book : Book
        The constants.
    impulse : float
        A rated impulse voltage. [V]

    Returns
    -------
    Limit or None
        In V; None where the voltage is not of the series, or its last.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> next_impulse(load_book(), 2500.0).nominal, next_impulse(load_book(), 2000.0)
    (4000.0, None)

    Sources
    -------
    ``impulse-series.*``.
    """
    series = sorted((needed(row.limit, "nominal"), row.limit) for row in _series(book))
    steps = [step for step, _ in series]
    if impulse not in steps or impulse == steps[-1]:
        return None
    return series[steps.index(impulse) + 1][1]


def _series(book: Book) -> tuple[Row, ...]:
    return book.under("impulse-series.")


def clearance_by_impulse(book: Book, impulse: float, degree: int) -> Limit:
    """Return the clearance that an impulse voltage asks for, in the most inhomogeneous field and up to 2000 m.

    Parameters
    ----------
    book : Book
        The constants.
    impulse : float
        The impulse voltage that must be withstood. [V]
    degree : int
        Pollution degree, 1 to 3.

    Returns
    -------
    Limit
        In mm; the next row above serves.

    Raises
    ------
    OutsideRange
        The voltage is above the table, or there is no table for the degree.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [clearance_by_impulse(load_book(), 800.0, degree).minimum for degree in (1, 2, 3)]
    [0.1, 0.2, 0.8]

    Sources
    -------
    ``clearance-impulse.a.*``, IEC 60664-1 table F.2 case A.
    """
    check_degree(degree)
    rows = [row for row in book.under("clearance-impulse.a.") if row.number("degree") == degree]
    return looked_up(rows, impulse, across="impulse", gives="minimum", what="clearance", unit="V").rows[-1]


def clearance_by_peak(book: Book, peak: float) -> Looked:
    """Return the clearance that a steady, temporary or recurring peak voltage asks for, up to 2000 m.

    Parameters
    ----------
    book : Book
        The constants.
    peak : float
        The peak. [V]

    Returns
    -------
    Looked
        In mm, between the rows and by the row above. That the first is allowed is from memory.

    Raises
    ------
    OutsideRange
        The voltage is above the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> found = clearance_by_peak(load_book(), 3235.7)
    >>> round(found.value, 2), found.stepped
    (2.73, 3.8)

    Sources
    -------
    ``clearance-peak.a.*``, IEC 60664-1 table F.7a or F.8, case A.
    """
    rows = book.under("clearance-peak.a.")
    return looked_up(rows, peak, across="peak", gives="minimum", what="clearance by peak voltage", unit="V")


def altitude_factor(book: Book, altitude: float) -> Looked:
    """Return the factor on a clearance for thin air.

    Parameters
    ----------
    book : Book
        The constants.
    altitude : float
        Above sea level; what lies below 2000 m has no factor. [m]

    Returns
    -------
    Looked
        Between the rows and by the row above. [1] The factor bends upwards, so that the straight line between two rows
        lies above what is true between them.

    Raises
    ------
    OutsideRange
        The altitude is above the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [round(altitude_factor(load_book(), metres).value, 3) for metres in (0.0, 2500.0, 4000.0)]
    [1.0, 1.07, 1.29]

    Sources
    -------
    ``altitude-factor.*``, IEC 60664-1 table A.2.
    """
    rows = book.under("altitude-factor.")
    above_sea = max(altitude, 0.0)
    return looked_up(rows, above_sea, across="altitude", gives="nominal", what="altitude factor", unit="m")


def clearance_withstand(book: Book, clearance_mm: float) -> Looked | None:
    """Return the a.c. voltage that a clearance withstands in the most inhomogeneous field at 2000 m.

    Parameters
    ----------
    book : Book
        The constants.
    clearance_mm : float
        The clearance. [mm]

    Returns
    -------
    Looked or None
        In V r.m.s.; None outside the part of the table that was read.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> clearance_withstand(load_book(), 3.0).value
    2210.0

    Sources
    -------
    ``clearance-withstand.*``, IEC 60664-1 table A.1 case A.
    """
    rows = book.under("clearance-withstand.")
    held = [row.number("clearance") for row in rows]
    if not min(held) <= clearance_mm <= max(held):
        return None
    return looked_up(rows, clearance_mm, across="clearance", gives="nominal", what="withstand voltage", unit="mm")


def sea_level_impulse(book: Book, impulse: float) -> Limit | None:
    """Return the impulse test voltage near sea level that stands for a rated impulse voltage at 2000 m.

    Parameters
    ----------
    book : Book
        The constants.
    impulse : float
        Rated impulse voltage. [V]

    Returns
    -------
    Limit or None
        In V; None where the voltage is not of the series.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> sea_level_impulse(load_book(), 4000.0).nominal
    4920.0

    Sources
    -------
    ``sea-level-impulse.*``, IEC 62368-1 table 15.
    """
    for row in book.under("sea-level-impulse."):
        if row.number("impulse") == impulse:
            return row.limit
    return None


def check_degree(degree: int) -> None:
    """Refuse a pollution degree without tables.

    Parameters
    ----------
    degree : int
        Pollution degree.

    Raises
    ------
    OutsideRange
        It is not 1, 2 or 3.

    Examples
    --------
    >>> check_degree(2)
    """
    if degree not in POLLUTION_DEGREES:
        raise OutsideRange(
            f"pollution degree {degree}: clearance and creepage are tabulated for 1, 2 and 3; degree 4 is wet or dusty "
            "at all times and needs a housing that lowers it"
        )

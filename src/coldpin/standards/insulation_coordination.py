"""Insulation coordination: impulse voltage, clearance, creepage, altitude, grooves, by the tables of IEC 60664-1."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.records.required_distances import MaterialGroup, OvervoltageCategory
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

POLLUTION_DEGREES: Final = (1, 2, 3)
"""The degrees for which there are tables of clearance and creepage."""

_NO_GROUP = "all"


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What a table gave: the value between two rows, and that of the row above, which is no less exacting.

    ``rows`` is the row above alone where the table was entered at it, or below its first row.
    """

    value: float
    stepped: float
    rows: tuple[Limit, ...]


def looked_up(
    rows: Iterable[Row], entry: float, *, across: str, gives: Literal["minimum", "nominal"], what: str, unit: str
) -> Looked:
    """Enter a column of a table between its rows.

    Parameters
    ----------
    rows : iterable of Row
        The column.
    entry : float
        What the table is entered with, in ``unit``.
    across : str
        The name of the rows' own number.
    gives : str
        Which number of a limit the value is.
    what : str
        How a message names the table.
    unit : str
        The unit of the entry.

    Returns
    -------
    Looked
        The interpolated value, that of the next row above, and the rows; below the first row, that row.

    Raises
    ------
    OutsideRange
        The entry is beyond the last row, or is no positive number.
    InputError
        An own value of the case leaves the number out.
    """
    column = sorted(rows, key=lambda row: row.number(across))
    if not column:
        raise OutsideRange(f"{what}: there is no such table")
    last = column[-1].number(across)
    if not 0.0 <= entry <= last:
        raise OutsideRange(f"{what}: no row for {entry:g} {unit}; the table ends at {last:g} {unit}")
    place = next(index for index, row in enumerate(column) if row.number(across) >= entry)
    above = column[place]
    high = needed(above.limit, gives)
    at = above.number(across)
    if place == 0 or at == entry:
        return Looked(value=high, stepped=high, rows=(above.limit,))
    below = column[place - 1]
    low, start = needed(below.limit, gives), below.number(across)
    value = low + (high - low) * (entry - start) / (at - start)
    return Looked(value=value, stepped=high, rows=(below.limit, above.limit))


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


def creepage(book: Book, voltage: float, *, degree: int, group: MaterialGroup, printed_wiring: bool = False) -> Looked:
    """Return the creepage of basic insulation.

    Parameters
    ----------
    book : Book
        The constants.
    voltage : float
        Working voltage, r.m.s. [V]
    degree : int
        Pollution degree, 1 to 3.
    group : MaterialGroup
        Of the surface.
    printed_wiring : bool
        Whether to take the column for printed wiring; degree 3 and group IIIb in degree 2 have none, and the common
        column serves.

    Returns
    -------
    Looked
        In mm, between the rows and by the row above.

    Raises
    ------
    OutsideRange
        The voltage is above the table, or there is no table for the degree.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> creepage(load_book(), 250.0, degree=2, group=MaterialGroup.IIIA).value
    2.5
    >>> creepage(load_book(), 250.0, degree=2, group=MaterialGroup.IIIA, printed_wiring=True).value
    1.0

    Sources
    -------
    ``creepage.*``, IEC 60664-1 table F.4 or F.5.
    """
    check_degree(degree)
    column = [row for row in book.under("creepage.") if row.number("degree") == degree]
    printed = [row for row in column if row.yes("printed_wiring") and _serves(row, group)]
    common = [row for row in column if not row.yes("printed_wiring") and _serves(row, group)]
    rows = printed if printed_wiring and printed else common
    return looked_up(rows, voltage, across="rms", gives="minimum", what="creepage", unit="V")


def _serves(row: Row, group: MaterialGroup) -> bool:
    named = row.word("group")
    return named == _NO_GROUP or group.value in named.split(", ")


def rationalised_voltage(book: Book, nominal: float) -> float:
    """Return the row of the creepage table that serves a nominal voltage.

    The printed list is the next row above throughout. What it is said to lower (415 V to 400 V, 660 V and 690 V to
    630 V: memory) is not lowered here.

    Parameters
    ----------
    book : Book
        The constants.
    nominal : float
        Nominal voltage across the insulation. [V]

    Returns
    -------
    float
        The voltage of the row. [V]

    Raises
    ------
    OutsideRange
        The voltage is above the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [rationalised_voltage(load_book(), volts) for volts in (120.0, 230.0, 400.0)]
    [125.0, 250.0, 400.0]

    Sources
    -------
    ``rationalised-voltage.*``, IEC 60664-1 table F.3a or F.3.
    """
    listed = {row.number("rms") for row in book.under("creepage.")}
    above = [row for row in sorted(listed) if row >= nominal]
    if not above or nominal < 0.0:
        raise OutsideRange(f"creepage: no row for {nominal:g} V; the table ends at {max(listed):g} V")
    return above[0]


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


def groove_width(book: Book, degree: int) -> Limit:
    """Return the width X below which a groove is bridged, before a small clearance reduces it.

    Parameters
    ----------
    book : Book
        The constants.
    degree : int
        Pollution degree, 1 to 4.

    Returns
    -------
    Limit
        In mm.

    Raises
    ------
    UnknownName
        There is no such degree.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [groove_width(load_book(), degree).nominal for degree in (1, 2, 3)]
    [0.25, 1.0, 1.5]

    Sources
    -------
    ``groove-width.*``, IEC 60664-1 clause 6.2 or 6.8.
    """
    return book.limit(f"groove-width.pd{degree:d}")


def groove_x(book: Book, degree: int, clearance_mm: float) -> float:
    r"""Return the width X below which a groove is bridged, for an associated clearance.

    .. math:: X = \min(X_0, c / 3) \text{ where } c < 3 \\text{ mm, else } X_0

    Parameters
    ----------
    book : Book
        The constants.
    degree : int
        Pollution degree, 1 to 4.
    clearance_mm : float
        The required clearance c. [mm]

    Returns
    -------
    float
        X; never more than that of the degree. [mm]

    Raises
    ------
    UnknownName
        There is no such degree.
    InputError
        An own value of the case gives no nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [round(groove_x(load_book(), 2, clearance), 3) for clearance in (0.6, 1.5, 3.0)]
    [0.2, 0.5, 1.0]

    Sources
    -------
    ``groove-width.*``, ``groove-width.exception``.
    """
    width = needed(groove_width(book, degree), "nominal")
    below = needed(book.limit("groove-width.exception"), "maximum")
    return width if clearance_mm >= below else min(width, clearance_mm / 3)


def material_group(book: Book, tracking_index: float) -> MaterialGroup:
    """Return the material group of a comparative tracking index.

    Parameters
    ----------
    book : Book
        The constants.
    tracking_index : float
        The index by IEC 60112. [V]

    Returns
    -------
    MaterialGroup
        The group.

    Raises
    ------
    OutsideRange
        The index is below that of the last group.
    InputError
        An own value of the case gives no minimum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [material_group(load_book(), index).value for index in (100.0, 175.0, 400.0, 600.0)]
    ['IIIb', 'IIIa', 'II', 'I']

    Sources
    -------
    ``material-group.*``.
    """
    rows = sorted(book.under("material-group."), key=lambda row: needed(row.limit, "minimum"), reverse=True)
    for row in rows:
        if tracking_index >= needed(row.limit, "minimum"):
            return MaterialGroup(row.word("group"))
    least = needed(rows[-1].limit, "minimum")
    raise OutsideRange(f"tracking index {tracking_index:g}: the groups end at {least:g}; such a material is in none")


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

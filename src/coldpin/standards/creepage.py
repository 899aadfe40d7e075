"""Creepage, material groups, and the grooves that it walks or crosses, by the tables of IEC 60664-1."""

from __future__ import annotations

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.records.required_distances import MaterialGroup
from coldpin.standards.between_rows import Looked, looked_up
from coldpin.standards.book import Book
from coldpin.standards.insulation_coordination import check_degree
from coldpin.standards.table import Row, needed

_NO_GROUP = "all"


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

    .. math:: X = \min(X_0, c / 3) \text{ where } c < 3 \text{ mm, else } X_0

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

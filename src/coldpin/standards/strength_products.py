"""Voltages of the electric strength test by standards of other equipment, beside those of IEC 60664-1."""

from __future__ import annotations

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.records.required_distances import InsulationKind
from coldpin.standards.between_rows import looked_up
from coldpin.standards.book import Book
from coldpin.standards.insulation_products import word_of
from coldpin.standards.table import needed


def strength_by_62368(
    book: Book, *, impulse: float, peak: float, nominal: float, insulation: InsulationKind
) -> tuple[Limit, ...]:
    """Return the peaks of the electric strength test of IEC 62368-1, of which the highest is taken.

    Parameters
    ----------
    book : Book
        The constants.
    impulse : float
        Transient voltage of the mains, peak. [V]
    peak : float
        Peak of the working voltage. [V]
    nominal : float
        Nominal voltage of the mains, r.m.s. [V]
    insulation : InsulationKind
        The kind.

    Returns
    -------
    tuple of Limit
        By transient, by peak of the working voltage, by nominal voltage, highest first; those beyond their table are
        left out.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = strength_by_62368(
    ...     load_book(), impulse=2500.0, peak=420.0, nominal=240.0, insulation=InsulationKind.REINFORCED
    ... )
    >>> told[0].nominal
    4000.0

    Sources
    -------
    ``iec-62368.strength-*``, IEC 62368-1 tables 25, 26, 27.
    """
    kind = word_of(insulation)
    found = []
    for name, across, entry in (
        ("transient", "impulse", impulse),
        ("mains", "supply", nominal),
        ("peak", "peak", peak),
    ):
        rows = [row for row in book.under(f"iec-62368.strength-{name}.") if row.word("insulation") == kind]
        try:
            looked = looked_up(rows, entry, across=across, gives="nominal", what="electric strength", unit="V")
        except OutsideRange:
            continue
        found.append(looked.rows[-1])
    return tuple(sorted(found, key=lambda limit: needed(limit, "nominal"), reverse=True))


def strength_by_60335(book: Book, *, nominal: float, insulation: InsulationKind) -> Limit | None:
    """Return the a.c. voltage of the electric strength test of IEC 60335-1.

    Parameters
    ----------
    book : Book
        The constants.
    nominal : float
        Rated voltage, r.m.s. [V]
    insulation : InsulationKind
        The kind; functional insulation has none.

    Returns
    -------
    Limit or None
        In V r.m.s.; None above 250 V.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> strength_by_60335(load_book(), nominal=230.0, insulation=InsulationKind.REINFORCED).nominal
    3000.0

    Sources
    -------
    ``iec-60335.strength.*``, IEC 60335-1 table 7.
    """
    rows = [row for row in book.under("iec-60335.strength.") if row.word("insulation") == insulation.value]
    if not rows or nominal > max(row.number("supply") for row in rows):
        return None
    return looked_up(rows, nominal, across="supply", gives="nominal", what="electric strength", unit="V").rows[-1]

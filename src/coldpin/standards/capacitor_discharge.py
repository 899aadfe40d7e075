"""What charge may stay on the pins of a plug, and how long after it was drawn: looked up in the book of constants."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coldpin.errors import OutsideRange
from coldpin.records.finding import Limit
from coldpin.standards.between_rows import looked_up
from coldpin.standards.book import Book
from coldpin.standards.table import needed

CLASSES = (1, 2)
"""The classes of energy sources that a charged capacitor is placed in."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DischargeRule:
    """One text's rule for the pins of a plug: the peak voltage that may be left after a time.

    ``limit`` is in V, or in s where the text limits the time constant; then ``time_s`` is that time and nothing is said
    of a voltage. ``above_f`` is the capacitance up to which the rule asks nothing. [F]
    """

    limit: Limit
    time_s: float
    above_f: float = 0.0

    @property
    def of_time_constant(self) -> bool:
        """Whether the time constant is limited and not a voltage."""
        return self.limit.unit == "s"


def plug_rules(book: Book, capacitance: float) -> tuple[DischargeRule, ...]:
    """Return what the texts ask of the pins of a plug with so much capacitance between them.

    Parameters
    ----------
    book : Book
        The constants.
    capacitance : float
        Between the pins. [F]

    Returns
    -------
    tuple of DischargeRule
        Household appliances, machines, information equipment by its time constant, then by energy as built and after a
        fault.

    Raises
    ------
    OutsideRange
        The capacitance is not above 0, or below the printed table.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(rule.limit.maximum, rule.time_s) for rule in plug_rules(load_book(), 470e-9)]
    [(34.0, 1.0), (60.0, 1.0), (1.0, 1.0), (60.0, 2.0), (120.0, 2.0)]

    Sources
    -------
    ``residual-voltage.plug.*``, ``discharge.time-constant.plug``, ``discharge.time.energy``, ``charged.*``.
    """
    rows = [
        book.row(name)
        for name in (
            "residual-voltage.plug.appliance",
            "residual-voltage.plug.machine",
            "discharge.time-constant.plug",
        )
    ]
    found = [
        DischargeRule(
            limit=row.limit,
            time_s=needed(row.limit, "maximum") if row.limit.unit == "s" else row.number("time"),
            above_f=1e-6 * row.number("above_uf") if "above_uf" in row.data else 0.0,
        )
        for row in rows
    ]
    after = needed(book.limit("discharge.time.energy"), "maximum")
    found += [DischargeRule(limit=charged_limit(book, capacitance, source), time_s=after) for source in CLASSES]
    return tuple(found)


def charged_limit(book: Book, capacitance: float, source: int) -> Limit:
    """Return the peak voltage to which a capacitor may be charged in a class of energy source.

    Parameters
    ----------
    book : Book
        The constants.
    capacitance : float
        The capacitance. [F]
    source : int
        1 or 2.

    Returns
    -------
    Limit
        In V, linear between the nearest two rows and cut to a tenth of a volt; that of 300 nF above it.

    Raises
    ------
    OutsideRange
        The capacitance is not above 0, or below the printed table, or there is no such class.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> book = load_book()
    >>> [round(charged_limit(book, farad, 1).maximum, 2) for farad in (1e-6, 170e-9, 130.5e-9)]
    [60.0, 75.0, 87.5]

    Sources
    -------
    ``charged.*``, IEC 62368-1 table 5.
    """
    if source not in CLASSES:
        raise OutsideRange(f"there is no table of charged capacitors for class {source}: 1 or 2")
    rows = sorted(book.under(f"charged.{source}."), key=lambda row: row.number("capacitance_nf"))
    nano = 1e9 * capacitance
    lowest, highest = rows[0].number("capacitance_nf"), rows[-1].number("capacitance_nf")
    if not nano >= lowest * (1.0 - _ROUNDING):
        raise OutsideRange(
            f"the capacitance is {nano:g} nF; what may stay on it is printed from {lowest:g} nF on: is the unit right?"
        )
    if nano >= highest:
        return rows[-1].limit
    found = looked_up(rows, nano, across="capacitance_nf", gives="maximum", what="charged capacitor", unit="nF")
    return replace(
        found.rows[-1],
        id=f"charged.{source}",
        title=f"peak voltage of a charged capacitor of {nano:.3g} nF, class {source}",
        maximum=math.floor(10.0 * found.value) / 10.0,
    )


_ROUNDING = 1e-9
"""Ours: how far a float may fall below the lowest row by rounding alone. [1]"""

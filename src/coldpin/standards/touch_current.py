"""How much current may reach a hand, and through what it may come: looked up in the book of constants."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed

METAL = "touch-current.supply-unit.class-I"
HOUSING = "touch-current.supply-unit.class-II"
BESIDE = (
    "touch-current.information.class-I",
    "touch-current.information.class-II",
    "touch-current.energy.1.ac",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectiveImpedanceRule:
    """What a protective impedance may let through and how it must be made.

    ``peak_a`` and ``direct_a`` are currents [A]; ``parts`` is how many separate parts there must be, each of which
    keeps the limit alone [1].
    """

    peak_a: float
    direct_a: float
    parts: int
    limits: tuple[Limit, ...]


def touch_limits(book: Book) -> tuple[Limit, ...]:
    """Return the limits of touch current for what a hand reaches, that of a charging unit first.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of Limit
        Metal that is earthed in use (the vehicle), the housing, then those of other equipment beside them. [mA]

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [limit.maximum for limit in touch_limits(load_book())]
    [3.5, 0.25, 3.5, 0.25, 0.5]

    Sources
    -------
    ``touch-current.*``.
    """
    return tuple(book.limit(name) for name in (METAL, HOUSING, *BESIDE))


def capacitor_tolerance(book: Book) -> Limit:
    """Return how far a capacitor may lie from its mark where no tolerance is marked.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In per cent, either way.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> capacitor_tolerance(load_book()).maximum
    20.0

    Sources
    -------
    ``touch-current.capacitor-tolerance``.
    """
    return book.limit("touch-current.capacitor-tolerance")


def resistor_tolerance(book: Book) -> Limit:
    """Return how far a resistor may lie from its mark where no tolerance is said.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In per cent, either way.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> resistor_tolerance(load_book()).maximum
    5.0

    Sources
    -------
    ``touch-current.resistor-tolerance``.
    """
    return book.limit("touch-current.resistor-tolerance")


def protective_impedance_rule(book: Book) -> ProtectiveImpedanceRule:
    """Return what a protective impedance may let through and of how many parts it must be.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    ProtectiveImpedanceRule
        Currents in A.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> rule = protective_impedance_rule(load_book())
    >>> rule.peak_a, rule.parts
    (0.0007, 2)

    Sources
    -------
    ``protective-impedance.*``, IEC 60335-1 8.1.4.
    """
    peak, direct, parts = (book.limit(f"protective-impedance.{name}") for name in ("ac", "dc", "parts"))
    return ProtectiveImpedanceRule(
        peak_a=1e-3 * needed(peak, "maximum"),
        direct_a=1e-3 * needed(direct, "maximum"),
        parts=int(needed(parts, "minimum")),
        limits=(peak, direct, parts),
    )

"""Which parts may stand over a barrier inside a unit, and how a cord is held: looked up in the book of constants."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Row, needed

REINFORCED = "reinforced"
BASIC = "basic"
NONE = "no"


@dataclass(frozen=True, slots=True, kw_only=True)
class BridgingPart:
    """A kind of part over a barrier.

    ``isolates`` is "reinforced", "basic" or "no"; ``marked`` is true where only its mark shows it; ``in_series`` is how
    many of them make reinforced insulation [1].
    """

    role: str
    isolates: str
    marked: bool
    in_series: int
    limit: Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class CordPull:
    """How a cord is pulled and how far it may come: force [N], number of pulls [1], displacement as a limit in mm."""

    force: float
    pulls: int
    displacement: Limit
    limits: tuple[Limit, ...]


def bridging_part(book: Book, role: str) -> BridgingPart:
    """Return what a part over a barrier is.

    Parameters
    ----------
    book : Book
        The constants.
    role : str
        Its role: "optocoupler", "Y2 capacitor", "resistors".

    Returns
    -------
    BridgingPart
        Whether it isolates, whether it must be marked, how many in series.

    Raises
    ------
    UnknownName
        The role is not in the table; the message lists them.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> part = bridging_part(load_book(), "Y2 capacitor")
    >>> part.isolates, part.in_series
    ('basic', 2)

    Sources
    -------
    ``part.*``.
    """
    return _find(book, "part.", "part over a barrier", role)


def supply_topology(book: Book, name: str) -> BridgingPart:
    """Return whether a supply of the electronics isolates from the mains by how it is made.

    Parameters
    ----------
    book : Book
        The constants.
    name : str
        "mains transformer", "switching with transformer", "switching without transformer", "dropper".

    Returns
    -------
    BridgingPart
        Whether it isolates.

    Raises
    ------
    UnknownName
        It is not in the table; the message lists them.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> supply_topology(load_book(), "dropper").isolates
    'no'

    Sources
    -------
    ``supply-topology.*``.
    """
    return _find(book, "supply-topology.", "supply of the electronics", name)


def _find(book: Book, prefix: str, what: str, name: str) -> BridgingPart:
    rows = {row.word("role"): row for row in book.under(prefix)}
    if name not in rows:
        raise UnknownName.among(what, name, rows)
    return _part(rows[name])


def _part(row: Row) -> BridgingPart:
    return BridgingPart(
        role=row.word("role"),
        isolates=row.word("isolates"),
        marked=row.yes("marked"),
        in_series=int(row.number("in_series")) if "in_series" in row.data else 1,
        limit=row.limit,
    )


def cord_pull(book: Book) -> CordPull:
    """Return how a cord's anchorage is tried.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    CordPull
        Force, pulls, displacement.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> pull = cord_pull(load_book())
    >>> pull.force, pull.pulls, pull.displacement.maximum
    (60.0, 25, 2.0)

    Sources
    -------
    ``cord-anchorage.*``.
    """
    force, pulls, displacement = (book.limit(f"cord-anchorage.{name}") for name in ("pull", "pulls", "displacement"))
    return CordPull(
        force=needed(force, "minimum"),
        pulls=int(needed(pulls, "minimum")),
        displacement=displacement,
        limits=(displacement, force, pulls),
    )

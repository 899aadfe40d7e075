"""How warm plugs and couplers may get, and what is known of their contacts."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import needed

_RISE = "accessory.rise."

HOUSEHOLD, THIRTEEN, INDUSTRIAL, COUPLER = "household", "13 A", "industrial", "coupler"


@dataclass(frozen=True, slots=True, kw_only=True)
class CableEnd:
    """How far a hot plug warms its cable: shortest and longest length over which its rise falls to 1/e. [m]"""

    shortest: float
    longest: float
    limit: Limit


def accessory_rise(book: Book, kind: str) -> Limit:
    """Return the largest rise of a kind of accessory over the air around it.

    Parameters
    ----------
    book : Book
        The constants.
    kind : str
        "household", "13 A", "industrial", "coupler" or "trailer".

    Returns
    -------
    Limit
        In kelvin.

    Raises
    ------
    UnknownName
        The table has no such kind.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> limit = accessory_rise(load_book(), "household")
    >>> limit.maximum, limit.standing.value
    (45.0, 'memory')

    Sources
    -------
    ``accessory.rise.*``.
    """
    rows = {row.word("kind"): row for row in book.under(_RISE)}
    if kind not in rows:
        raise UnknownName.among("kind of accessory", kind, rows)
    return rows[kind].limit


def accessory_of_plug(plug: str) -> str:
    """Return which kind of accessory a plug is, by its word in the table of plugs.

    Parameters
    ----------
    plug : str
        Such as "CEE 7/7", "BS 1363", "IEC 60309 32 A 1-phase"; may be empty.

    Returns
    -------
    str
        "13 A", "industrial", or "household" for all others, the empty word too.

    Examples
    --------
    >>> accessory_of_plug("iec-60309-32A-1ph"), accessory_of_plug("BS 1363"), accessory_of_plug("CEE 7/7")
    ('industrial', '13 A', 'household')
    """
    word = plug.casefold().replace("-", " ")
    if "60309" in word:
        return INDUSTRIAL
    return THIRTEEN if "1363" in word else HOUSEHOLD


def steady_below(book: Book) -> Limit:
    """Return the change of temperature below which a part counts as steady.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In kelvin per hour.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> steady_below(load_book()).maximum
    1.0

    Sources
    -------
    ``accessory.steady``.
    """
    return book.limit("accessory.steady")


def good_contact(book: Book) -> Limit:
    """Return the resistance of a good contact of a household plug, per pole.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        In milliohm.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> good_contact(load_book()).maximum
    5.0

    Sources
    -------
    ``accessory.contact.household``.
    """
    return book.limit("accessory.contact.household")


def copper_conducts(book: Book) -> float:
    """Return the thermal conductivity of annealed copper.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        In W/(m·K).

    Raises
    ------
    InputError
        The table gives no number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> copper_conducts(load_book())
    401.0

    Sources
    -------
    ``accessory.copper-conducts``.
    """
    return book.row("accessory.copper-conducts").number("conductivity")


def cable_end(book: Book) -> CableEnd:
    """Return how far the warmth of a hot plug reaches into common cables.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    CableEnd
        Shortest and longest length. [m]

    Raises
    ------
    InputError
        An own value of the case leaves an end out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> cable_end(load_book()).shortest, cable_end(load_book()).longest
    (0.058, 0.112)

    Sources
    -------
    ``accessory.end-length``.
    """
    limit = book.limit("accessory.end-length")
    return CableEnd(shortest=1e-3 * needed(limit, "minimum"), longest=1e-3 * needed(limit, "maximum"), limit=limit)


def hottest_air(book: Book) -> float:
    """Return the air in which a lead is judged where its papers name none.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        In °C.

    Raises
    ------
    InputError
        An own value of the case has no maximum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> hottest_air(load_book())
    40.0

    Sources
    -------
    ``heating.hottest-air``.
    """
    return needed(book.limit("heating.hottest-air"), "maximum")

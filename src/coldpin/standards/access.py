"""What may be reached by which probe, and what an IP code says: looked up in the book of constants."""

from __future__ import annotations

import re
from dataclasses import dataclass

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Row

_CODE = re.compile(
    r"(?<![A-Za-z0-9])IP[ ]?(?P<solid>[0-6X])(?P<water>[0-8X])(?P<letter>[A-D]?)(?![A-Za-z0-9])", re.IGNORECASE
)
UNKNOWN = "X"
"""A digit that is not claimed."""
JETS = 6
"""The highest digit of jets; the digits above are of immersion, and do not include it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IngressCode:
    """A degree of protection as it is written: digits, -1 where one is not claimed, and the additional letter."""

    text: str
    solid: int
    water: int
    letter: str


def read_ingress_codes(text: str) -> tuple[IngressCode, ...]:
    """Find the degrees of protection in a text.

    Parameters
    ----------
    text : str
        A claim, a plate, a listing.

    Returns
    -------
    tuple of IngressCode
        In the order of the text.

    Examples
    --------
    >>> [(code.text, code.solid, code.water) for code in read_ingress_codes("IP66; plug ip 4X, IP20B")]
    [('IP66', 6, 6), ('IP4X', 4, -1), ('IP20B', 2, 0)]
    >>> read_ingress_codes("zip 66, IP 192.168.1.1")
    ()
    """
    found = []
    for match in _CODE.finditer(text):
        solid, water = match["solid"].upper(), match["water"].upper()
        found.append(
            IngressCode(
                text=f"IP{solid}{water}{match['letter'].upper()}",
                solid=-1 if solid == UNKNOWN else int(solid),
                water=-1 if water == UNKNOWN else int(water),
                letter=match["letter"].upper(),
            )
        )
    return tuple(found)


def ingress_rows(book: Book, code: IngressCode) -> tuple[Row, ...]:
    """Return what the digits and the letter of a degree of protection keep out.

    Parameters
    ----------
    book : Book
        The constants.
    code : IngressCode
        The degree.

    Returns
    -------
    tuple of Row
        One for each that is claimed.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> (code,) = read_ingress_codes("IPX4D")
    >>> [row.word("keeps_out") for row in ingress_rows(load_book(), code)]
    ['splashes from all sides', 'a wire']

    Sources
    -------
    ``ip.*``.
    """
    names = [f"ip.solid.{code.solid}"] if code.solid >= 0 else []
    names += [f"ip.water.{code.water}"] if code.water >= 0 else []
    names += [f"ip.letter.{code.letter}"] if code.letter else []
    return tuple(book.row(name) for name in names)


def outdoors_asks(book: Book) -> Row:
    """Return the degree of protection that is asked of supply equipment outdoors.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Row
        With "digit" and "water_digit".

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> outdoors_asks(load_book()).number("water_digit")
    4.0

    Sources
    -------
    ``ip.use.outdoors``.
    """
    return book.row("ip.use.outdoors")


def probe_row(book: Book, probe: str) -> Row:
    """Return an access probe.

    Parameters
    ----------
    book : Book
        The constants.
    probe : str
        "XXB finger" or "XXD wire".

    Returns
    -------
    Row
        Its form and its force, the latter as the largest of its limit. [N]

    Raises
    ------
    UnknownName
        There is none of that name.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> probe_row(load_book(), "XXB finger").limit.maximum
    10.0

    Sources
    -------
    ``access.probe.*``.
    """
    by_name = {row.word("probe"): row for row in book.under("access.probe.")}
    if probe not in by_name:
        raise UnknownName.among("access probe", probe, by_name)
    return by_name[probe]


def access_rule(book: Book, name: str) -> Limit:
    """Return what is asked of access to live parts.

    Parameters
    ----------
    book : Book
        The constants.
    name : str
        "live-parts", "top-surface", "vehicle-connector", "shutter" or "interlock".

    Returns
    -------
    Limit
        In words.

    Raises
    ------
    UnknownName
        There is none of that name.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> access_rule(load_book(), "live-parts").title
    'live parts cannot be reached by a finger (IPXXB)'

    Sources
    -------
    ``access.*``.
    """
    return book.limit(f"access.{name}")

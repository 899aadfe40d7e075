"""How recesses are measured: looked up in the book of constants."""

from __future__ import annotations

import math

from coldpin.standards.book import Book
from coldpin.standards.table import needed


def bridged_angle(book: Book) -> float:
    """Return the angle of an inside corner below which product standards bridge it.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    float
        The angle. [rad]

    Raises
    ------
    UnknownName
        The book has no such row.
    InputError
        The row has no maximum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> round(math.degrees(bridged_angle(load_book())))
    80
    """
    limit = book.limit("path-measuring.corner")
    return math.radians(needed(limit, "maximum"))

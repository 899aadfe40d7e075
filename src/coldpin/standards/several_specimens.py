"""How several specimens of one model are laid together: looked up in the book of constants."""

from __future__ import annotations

from coldpin.records.finding import Limit
from coldpin.standards.book import Book


def difference_limit(book: Book) -> Limit:
    """Return up to which part of its expanded uncertainty a difference of two results is none.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        With its largest value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> difference_limit(load_book()).maximum
    1.0
    """
    return book.limit("several.difference")


def share_rule(book: Book) -> Limit:
    """Return by which interval the share of all units is told.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    Limit
        Its coverage probability as nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> share_rule(load_book()).nominal
    0.95
    """
    return book.limit("several.share")

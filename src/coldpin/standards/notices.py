"""Which elements a notice or a letter holds, and which text asks for each: looked up in the book of constants."""

from __future__ import annotations

from coldpin.standards.book import Book
from coldpin.standards.table import Row


def notice_elements(book: Book, to: str) -> tuple[Row, ...]:
    """Return the elements of a draft, in the order in which they are written.

    Parameters
    ----------
    book : Book
        The constants.
    to : str
        "authority", "marketplace" or "seller".

    Returns
    -------
    tuple of Row
        Each with its "element"; title and source are those of its limit.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [row.word("element") for row in notice_elements(load_book(), "marketplace")][:4]
    ['facts', 'addresses', 'sender', 'good-faith']

    Sources
    -------
    ``notice.*``.
    """
    return book.under(f"notice.{to}.")

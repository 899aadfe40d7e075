"""What is asked to stand on a product and in its papers, and by which text: looked up in the book of constants."""

from __future__ import annotations

from coldpin.standards.book import Book
from coldpin.standards.table import Row

SECTION = "marking."


def marking_rows(book: Book, group: str) -> tuple[Row, ...]:
    """Return the marks of one group.

    Parameters
    ----------
    book : Book
        The constants.
    group : str
        "identity", "responsible", "ratings", "conformity" or "information".

    Returns
    -------
    tuple of Row
        Each with its "item"; the limit says by which text it is asked.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [row.word("item") for row in marking_rows(load_book(), "conformity")]
    ['standard claimed', 'mark of conformity']

    Sources
    -------
    ``marking.*``.
    """
    return tuple(row for row in book.under(SECTION) if row.word("group") == group)

"""What ``coldpin sources`` and the page of sources show: every constant with where it is from."""

from __future__ import annotations

from coldpin.errors import UnknownName
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.table import Table
from coldpin.standards.wording import limit_paragraph, limit_value

__all__ = ["catalogue", "find_sources", "limit_paragraph", "limit_value"]


def find_sources(book: Book, word: str) -> tuple[Limit, ...]:
    """Return the limits that a word finds; an id finds itself first.

    Parameters
    ----------
    book : Book
        The book, with the case's own values if it has any.
    word : str
        An id or some words; empty for all.

    Returns
    -------
    tuple of Limit
        The limits, never empty.

    Raises
    ------
    UnknownName
        Nothing holds the word; the message names the subjects.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [limit.id for limit in find_sources(load_book(), "bs 1363 hours")]
    ['plug-practice.bs-1363.gb']
    """
    found = book.search(word)
    if not found:
        subjects = sorted({name.split(".")[0] for name in book.rows})
        raise UnknownName(f"no constant holds {word!r}: try one of {', '.join(subjects)}, or no word for all")
    first = [limit for limit in found if limit.id == word]
    return (*first, *(limit for limit in found if limit.id != word))


def catalogue(book: Book) -> tuple[Table, ...]:
    """Return the tables of a book in the order in which a page lists them.

    Parameters
    ----------
    book : Book
        The book.

    Returns
    -------
    tuple of Table
        Tables by title; each holds its rows in the order of its file.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [table.title for table in catalogue(load_book())][0]
    'Access to live parts and degrees of protection'
    """
    return tuple(sorted(book.tables, key=lambda table: table.title))

"""Every constant with its source and standing."""

from __future__ import annotations

from pathlib import Path

from coldpin.records.finding import Limit
from coldpin.standards.book import load_book
from coldpin.standards.sources import find_sources as search
from coldpin.workbench.shelving import open_bench


def find_sources(word: str = "", *, case: Path | str | None = None) -> tuple[Limit, ...]:
    """Return the constants whose id, title, source or note holds a word.

    Parameters
    ----------
    word : str
        The word; all constants where empty.
    case : Path or str, optional
        A case whose own constants take the place of ours.

    Returns
    -------
    tuple of Limit
        In the order of the tables.

    Raises
    ------
    UnknownName
        Nothing holds the word.
    CaseError
        The case cannot be read.

    Examples
    --------
    >>> find_sources("plug.cee-7-4")[0].maximum
    16.0
    """
    book = load_book()
    if case is not None:
        book = book.with_own(open_bench(case).case.description().constants)
    return search(book, word)

"""Every constant with its source and standing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from coldpin.errors import UnknownName
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Limit, Standing
from coldpin.standards.book import load_book
from coldpin.standards.sources import catalogue
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


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceTable:
    """A table of constants: its title, and how many of its rows are looked for."""

    title: str
    found: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceList:
    """Constants that are looked for.

    Parameters
    ----------
    tables : tuple of SourceTable
        Every table, by title, with what of it holds the words and has the standing.
    shown : tuple of Limit
        Those of the table asked for, or of all, the first of many.
    left_out : int
        How many more there are.
    """

    tables: tuple[SourceTable, ...]
    shown: tuple[Limit, ...]
    left_out: int


def list_sources(
    words: str = "",
    *,
    standing: str = "",
    table: str = "",
    constants: Iterable[OwnConstant] = (),
    most: int | None = None,
) -> SourceList:
    """Return the constants that hold some words, have a standing and stand in a table, with how many each table has.

    Parameters
    ----------
    words : str
        All of which must occur; an id finds itself first.
    standing : str
        The standing they must have; any where empty.
    table : str
        Title of the table; all where empty.
    constants : iterable of OwnConstant
        A case's own values, which take the place of ours.
    most : int, optional
        So many are shown at most; all where left out.

    Returns
    -------
    SourceList
        Empty where nothing holds the words.

    Raises
    ------
    UnknownName
        There is no such standing or table.
    InputError
        An own value cannot be used.

    Examples
    --------
    >>> found = list_sources("schuko", most=1)
    >>> found.shown[0].id, found.left_out > 0
    ('accessory.rise.household', True)
    """
    if standing and standing not in list(Standing):
        raise UnknownName.among("standing", standing, list(Standing))
    book = load_book().with_own(constants)
    tables = catalogue(book)
    if table and table not in {one.title for one in tables}:
        raise UnknownName.among("table", table, [one.title for one in tables])
    wanted = {limit.id for limit in book.search(words) if standing in ("", limit.standing)}
    held = {one.title: [row.limit for row in one.rows if row.limit.id in wanted] for one in tables}
    found = [limit for title, limits in held.items() if table in ("", title) for limit in limits]
    found.sort(key=lambda limit: limit.id != words.strip())
    return SourceList(
        tables=tuple(SourceTable(title=title, found=len(limits)) for title, limits in held.items()),
        shown=tuple(found[:most]),
        left_out=len(found) - len(found[:most]),
    )

"""The book of constants: all tables, looked up by id or word, and a user's own values put in place of ours."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from importlib import resources
from types import MappingProxyType

from coldpin.errors import InputError, UnknownName
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Limit, Standing
from coldpin.standards.table import Row, Table, check_order, read_table
from coldpin.standards.wording import limit_value


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Book:
    """All tables, with the values of a case or shelf in place of ours where it has its own.

    A book is equal to itself only, so that what was made with it can be remembered by it.

    ``sections`` holds the rows under each start of an id that ends with a point, in the order of the tables.

    Examples
    --------
    >>> load_book().limit("pilot.high-open.iec-3").maximum
    12.6
    """

    tables: tuple[Table, ...]
    rows: Mapping[str, Row]
    sections: Mapping[str, tuple[Row, ...]] = field(repr=False, compare=False)

    def row(self, id: str) -> Row:  # noqa: A002 - the word that coldpin prints and the reader types
        """Return the row of an id.

        Parameters
        ----------
        id : str
            What ``coldpin sources`` prints.

        Returns
        -------
        Row
            The limit and what stands beside it.

        Raises
        ------
        UnknownName
            There is no such id; the nearest ones are named.
        """
        found = self.rows.get(id)
        if found is not None:
            return found
        near = difflib.get_close_matches(id, self.rows, n=3, cutoff=0.5)
        hint = f"; did you mean {' or '.join(map(repr, near))}?" if near else "."
        raise UnknownName(f"unknown constant {id!r}{hint} `coldpin sources` lists all {len(self.rows)} ids")

    def limit(self, id: str) -> Limit:  # noqa: A002 - the word that coldpin prints and the reader types
        """Return the limit of an id.

        Parameters
        ----------
        id : str
            What ``coldpin sources`` prints.

        Returns
        -------
        Limit
            The limit as it holds in this book.

        Raises
        ------
        UnknownName
            There is no such id; the nearest ones are named.
        """
        return self.row(id).limit

    def under(self, prefix: str) -> tuple[Row, ...]:
        """Return the rows whose id starts with a prefix, in the order of the tables.

        Parameters
        ----------
        prefix : str
            The start of the id; with its final point ("pilot.duty-zone.") it is found at once.

        Returns
        -------
        tuple of Row
            The rows.
        """
        if prefix.endswith("."):
            return self.sections.get(prefix, ())
        return tuple(row for name, row in self.rows.items() if name.startswith(prefix))

    def search(self, word: str = "") -> tuple[Limit, ...]:
        """Return the limits in which every word occurs, in id, title, source, place, note or the row's words.

        Parameters
        ----------
        word : str
            One or several words; upper and lower case are the same. Empty: all limits.

        Returns
        -------
        tuple of Limit
            The limits, in the order of the tables.

        Examples
        --------
        >>> [limit.id for limit in load_book().search("schuko iec 60884")]
        ['accessory.rise.household']
        """
        wanted = word.casefold().split()
        return tuple(row.limit for row in self.rows.values() if all(part in _haystack(row) for part in wanted))

    def with_own(self, constants: Iterable[OwnConstant], *, asserted_by: str = "this case") -> Book:
        """Return a book in which a user's own values stand in place of ours.

        The three numbers of the own value replace ours together, so that one limit never mixes two sources. What is
        replaced stays to be seen under ``other``.

        Parameters
        ----------
        constants : iterable of OwnConstant
            The own values, by the ids that ``coldpin sources`` prints.
        asserted_by : str
            Who says so, as a reader would say it ("this case", "this shelf").

        Returns
        -------
        Book
            The new book; this one is unchanged.

        Raises
        ------
        UnknownName
            An id, or a standing, does not exist.
        InputError
            A value has no number, numbers out of order, no source, or its id comes twice.

        Examples
        --------
        >>> own = OwnConstant(id="earth.in-service", source="EN 50678:2020, 5.3", maximum=0.3)
        >>> limit = load_book().with_own([own]).limit("earth.in-service")
        >>> limit.standing.value, limit.asserted_by
        ('standard', 'this case')
        """
        changed: dict[str, Row] = {}
        for own in constants:
            if own.id in changed:
                raise InputError(f"own constant {own.id!r} of {asserted_by} is given twice: keep one of them")
            row = self.row(own.id)
            changed[own.id] = replace(row, limit=_own_limit(row.limit, own, asserted_by))
        if not changed:
            return self
        tables = tuple(
            replace(table, rows=tuple(changed.get(row.limit.id, row) for row in table.rows)) for table in self.tables
        )
        return _bind(tables)


def _haystack(row: Row) -> str:
    limit = row.limit
    texts = (limit.id, limit.title, limit.source, limit.edition, limit.place, limit.note, *row.words("words"))
    return "\n".join(texts).casefold()


def _own_limit(ours: Limit, own: OwnConstant, asserted_by: str) -> Limit:
    where = f"own constant {own.id!r} of {asserted_by}"
    if own.standing not in set(Standing):
        raise UnknownName.among(f"standing in {where}:", own.standing, [standing.value for standing in Standing])
    if not own.source.strip():
        raise InputError(f"{where} names no source: say in which text the value stands, with edition and clause")
    numbers = {"minimum": own.minimum, "nominal": own.nominal, "maximum": own.maximum}
    if all(number is None for number in numbers.values()):
        raise InputError(f"{where} has no number: give minimum, nominal or maximum in {ours.unit or 'its unit'}")
    check_order(numbers, where)
    replaced = f"in place of {limit_value(ours) or 'no number'}, {ours.source} ({ours.standing})"
    return Limit(
        id=ours.id,
        title=ours.title,
        unit=ours.unit,
        minimum=own.minimum,
        nominal=own.nominal,
        maximum=own.maximum,
        source=own.source,
        standing=Standing(own.standing),
        other="; ".join(filter(None, (replaced, ours.other))),
        note=own.note,
        asserted_by=asserted_by,
    )


def _bind(tables: tuple[Table, ...]) -> Book:
    rows: dict[str, Row] = {}
    for table in tables:
        for row in table.rows:
            held = rows.setdefault(row.limit.id, row)
            if held is not row:
                raise InputError(f"table {row.table}, entry {row.limit.id!r}: the id is taken by table {held.table}")
    return Book(tables=tables, rows=MappingProxyType(rows), sections=MappingProxyType(_sections(rows)))


def _sections(rows: Mapping[str, Row]) -> dict[str, tuple[Row, ...]]:
    under: dict[str, list[Row]] = {}
    for name, row in rows.items():
        for point, letter in enumerate(name, start=1):
            if letter == ".":
                under.setdefault(name[:point], []).append(row)
    return {prefix: tuple(held) for prefix, held in under.items()}


@cache
def load_book() -> Book:
    """Return the book of the constants that come with coldpin.

    Returns
    -------
    Book
        The book; read once, the same object each time.

    Raises
    ------
    InputError
        A table is not as it must be; the message names table and entry.

    Examples
    --------
    >>> len(load_book().search("control pilot")) > 0
    True
    """
    folder = resources.files("coldpin.standards").joinpath("tables")
    files = sorted((file for file in folder.iterdir() if file.name.endswith(".toml")), key=lambda file: file.name)
    return _bind(tuple(read_table(file.name, file.read_text(encoding="utf-8")) for file in files))

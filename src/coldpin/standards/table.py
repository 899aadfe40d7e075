"""One table: its form on disk, how it is checked, and the rows it holds."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType
from typing import Any, Final, Literal

from coldpin.errors import InputError, UnitError
from coldpin.quantity.units import find_unit
from coldpin.records.finding import Limit, Standing

Datum = str | float | bool | tuple[str, ...]
"""What a row may hold beside its limit."""

_NUMBERS: Final = ("minimum", "nominal", "maximum")
_TEXTS: Final = ("id", "title", "unit", "source", "edition", "place", "standing", "other", "note")
_KNOWN: Final = frozenset({*_NUMBERS, *_TEXTS, "read_in"})
_GRID: Final = ("rows", "row_unit", "across", "gives", "columns")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One limit of a table with what its subject needs beside it (a slope, the pins of a plug)."""

    table: str
    limit: Limit
    data: Mapping[str, Datum]

    def number(self, name: str) -> float:
        """Return a number that stands beside the limit.

        Parameters
        ----------
        name : str
            Its key in the table.

        Returns
        -------
        float
            The number, in the unit the table names.

        Raises
        ------
        InputError
            The row has no such number.
        """
        found = self.data.get(name)
        if isinstance(found, float):
            return found
        raise InputError(f"table {self.table}, entry {self.limit.id!r}: {name!r} must be a number, given {found!r}")

    def word(self, name: str) -> str:
        """Return a word that stands beside the limit.

        Parameters
        ----------
        name : str
            Its key in the table.

        Returns
        -------
        str
            The word; empty where the row has none.
        """
        found = self.data.get(name, "")
        return found if isinstance(found, str) else ""

    def words(self, name: str) -> tuple[str, ...]:
        """Return the words that stand beside the limit.

        Parameters
        ----------
        name : str
            Their key in the table.

        Returns
        -------
        tuple of str
            The words; empty where the row has none.
        """
        found = self.data.get(name, ())
        return found if isinstance(found, tuple) else ()

    def yes(self, name: str) -> bool:
        """Return whether something is so.

        Parameters
        ----------
        name : str
            Its key in the table.

        Returns
        -------
        bool
            True where the table says so; false where it says no or nothing.
        """
        return self.data.get(name) is True


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One subject's table as it stands in its file; ``grids`` are the ids of its rows that are cells of one grid."""

    name: str
    title: str
    note: str
    rows: tuple[Row, ...]
    grids: tuple[Grid, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """A printed table whose cells are limits: a heading for its rows and one for each column, and the ids of its cells.

    ``cells`` has one tuple for each row. What the cells share but for title and number is that of each.
    """

    id: str
    title: str
    note: str
    across: str
    rows: tuple[str, ...]
    columns: tuple[str, ...]
    cells: tuple[tuple[str, ...], ...]


def needed(limit: Limit, which: Literal["minimum", "nominal", "maximum"]) -> float:
    """Return one number of a limit that a look-up cannot do without.

    Parameters
    ----------
    limit : Limit
        The limit.
    which : str
        Which of its three numbers.

    Returns
    -------
    float
        The number, in the unit of the limit.

    Raises
    ------
    InputError
        The limit, perhaps an own value of the case, does not give it.
    """
    numbers = {"minimum": limit.minimum, "nominal": limit.nominal, "maximum": limit.maximum}
    number = numbers[which]
    if number is None:
        raise InputError(
            f"constant {limit.id!r} ({limit.source}) has no {which}, which is needed here: give it in {limit.unit}"
        )
    return number


def read_table(name: str, text: str) -> Table:
    """Read and check one table.

    Parameters
    ----------
    name : str
        The file's name, for messages.
    text : str
        TOML: ``[about]`` with title, note and the names of further columns; ``[read_in]`` with the texts read, each by
        a short name; ``[[group]]`` with what its limits share and ``[[group.limits]]``; ``[[grid]]`` for a table whose
        every cell is a limit: what they share, ``rows`` and ``row_unit``, the name of the row's number as ``across``,
        which number the cells are as ``gives``, and ``[[grid.columns]]`` with ``id``, ``title``, further columns and
        ``values``.

    Returns
    -------
    Table
        The table.

    Raises
    ------
    InputError
        Something is missing, unknown, twice there or out of order; the message names table and entry.

    Examples
    --------
    >>> table = read_table("mine.toml", '''
    ... about.title = "Mine"
    ... [[group]]
    ... source = "my notes"
    ... standing = "common practice"
    ... limits = [{ id = "mine.voltage", title = "voltage", unit = "V", maximum = 5.0 }]
    ... ''')
    >>> table.rows[0].limit.maximum
    5.0
    """
    try:
        plain = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"table {name} is not TOML: {error}") from error
    about, texts = plain.get("about", {}), plain.get("read_in", {})
    if not about.get("title"):
        raise InputError(f"table {name} has no title: add one under [about]")
    columns = frozenset(about.get("data", ()))
    rows: dict[str, Row] = {}
    for group in plain.get("group", ()):
        shared = {key: value for key, value in group.items() if key != "limits"}
        for entry in group.get("limits", ()):
            row = _read_row(name, shared | entry, texts, columns)
            if row.limit.id in rows:
                raise InputError(f"table {name}, entry {row.limit.id!r}: the id is there twice")
            rows[row.limit.id] = row
    grids = []
    for plain_grid in plain.get("grid", ()):
        grid, cells = _read_grid(name, plain_grid, texts, columns)
        for cell in cells:
            if rows.setdefault(cell.limit.id, cell) is not cell:
                raise InputError(f"table {name}, entry {cell.limit.id!r}: the id is there twice")
        grids.append(grid)
    if not rows:
        raise InputError(f"table {name} has no limits: add [[group]] and [[group.limits]]")
    return Table(
        name=name, title=about["title"], note=about.get("note", ""), rows=tuple(rows.values()), grids=tuple(grids)
    )


def _read_grid(
    table: str, plain: dict[str, Any], texts: Mapping[str, str], columns: frozenset[str]
) -> tuple[Grid, tuple[Row, ...]]:
    where = f"table {table}, grid {plain.get('id', 'without id')!r}"
    missing = [key for key in _GRID if not plain.get(key)]
    if missing:
        raise InputError(f"{where}: {missing[0]!r} is missing: add it")
    if plain["across"] not in columns:
        raise InputError(f"{where}: 'across' is {plain['across']!r}, which is not listed as data under [about]: add it")
    shared = {key: value for key, value in plain.items() if key not in (*_GRID, "id", "title")}
    if plain["gives"] not in _NUMBERS:
        raise InputError(f"{where}: 'gives' must be one of {', '.join(_NUMBERS)}, given {plain['gives']!r}")
    heads = tuple(f"{number:g}{_unit_in_id(plain['row_unit'])}" for number in plain["rows"])
    cells: list[list[Row]] = [[] for _ in heads]
    for column in plain["columns"]:
        own = {key: value for key, value in column.items() if key not in ("values", "id", "title")}
        values = column.get("values", ())
        if len(values) != len(heads):
            raise InputError(f"{where}, column {column.get('id')!r}: {len(values)} values for {len(heads)} rows")
        for place, (head, number, value) in enumerate(zip(heads, plain["rows"], values, strict=True)):
            entry = {
                "id": ".".join(filter(None, (plain["id"], column.get("id", ""), head))),
                "title": f"{plain['title']}, {column['title']}, {number:g} {plain['row_unit']}",
                plain["gives"]: value,
                plain["across"]: number,
            }
            cells[place].append(_read_row(table, shared | own | entry, texts, columns))
    grid = Grid(
        id=plain["id"],
        title=plain["title"],
        note=plain.get("note", ""),
        across=f"{plain['across'].replace('_', ' ')} [{plain['row_unit']}]",
        rows=tuple(f"{number:g}" for number in plain["rows"]),
        columns=tuple(column["title"] for column in plain["columns"]),
        cells=tuple(tuple(row.limit.id for row in line) for line in cells),
    )
    return grid, tuple(row for line in cells for row in line)


def _unit_in_id(unit: str) -> str:
    return unit if unit.isascii() and unit.isalpha() else ""


def _read_row(table: str, plain: dict[str, object], texts: Mapping[str, str], columns: frozenset[str]) -> Row:
    where = f"table {table}, entry {plain.get('id', 'without id')!r}"
    unknown = sorted(set(plain) - _KNOWN - columns)
    if unknown:
        raise InputError(f"{where}: unknown key {unknown[0]!r}; known: {', '.join(sorted(_KNOWN | columns))}")
    for needed in ("id", "title", "source", "standing"):
        if not plain.get(needed):
            raise InputError(f"{where}: {needed!r} is missing: add it")
    words = {key: _text(plain.get(key, ""), key, where) for key in _TEXTS}
    numbers = {key: _number(plain.get(key), key, where) for key in _NUMBERS}
    check_order(numbers, where)
    _check_unit(words["unit"], any(number is not None for number in numbers.values()), where)
    limit = Limit(
        id=words["id"],
        title=words["title"],
        unit=words["unit"],
        minimum=numbers["minimum"],
        nominal=numbers["nominal"],
        maximum=numbers["maximum"],
        source=words["source"],
        edition=words["edition"],
        place=words["place"],
        standing=_standing(words["standing"], where),
        read_in=_read_in(plain.get("read_in", ()), texts, where),
        other=words["other"],
        note=words["note"],
    )
    if limit.standing is Standing.READ and not limit.read_in:
        raise InputError(f"{where}: standing is 'read' and no text is named: add it under read_in")
    data = {key: _datum(plain[key], key, where) for key in columns if key in plain}
    return Row(table=table, limit=limit, data=MappingProxyType(data))


def _text(given: object, key: str, where: str) -> str:
    if isinstance(given, str):
        return given
    raise InputError(f"{where}: {key!r} must be text, given {given!r}")


def _number(given: object, key: str, where: str) -> float | None:
    if given is None:
        return None
    if isinstance(given, (int, float)) and not isinstance(given, bool) and abs(given) < float("inf"):
        return float(given)
    raise InputError(f"{where}: {key!r} must be a number, given {given!r}")


def _check_unit(unit: str, has_number: bool, where: str) -> None:
    if not has_number:
        return
    try:
        symbol = find_unit(unit).symbol
    except UnitError as error:
        raise InputError(f"{where}: {error}") from error
    if symbol != unit:
        raise InputError(f"{where}: unit {unit!r} must be written {symbol!r}")


def _standing(given: str, where: str) -> Standing:
    if given in set(Standing):
        return Standing(given)
    raise InputError(f"{where}: unknown standing {given!r}; known: {', '.join(Standing)}")


def _read_in(given: object, texts: Mapping[str, str], where: str) -> tuple[str, ...]:
    if not isinstance(given, (list, tuple)):
        raise InputError(f"{where}: 'read_in' must be a list of names under [read_in], given {given!r}")
    absent = [key for key in given if key not in texts]
    if absent:
        raise InputError(f"{where}: text {absent[0]!r} is not listed under [read_in]; known: {', '.join(texts)}")
    return tuple(texts[key] for key in given)


def _datum(given: object, key: str, where: str) -> Datum:
    if isinstance(given, (bool, str)):
        return given
    if isinstance(given, (int, float)):
        return float(given)
    if isinstance(given, list) and all(isinstance(member, str) for member in given):
        return tuple(given)
    raise InputError(f"{where}: {key!r} must be a number, text, yes or no, or a list of texts, given {given!r}")


def check_order(numbers: Mapping[str, float | None], where: str) -> None:
    """Refuse numbers of a limit that fall from minimum over nominal to maximum.

    Parameters
    ----------
    numbers : mapping of str to float or None
        The three numbers by name; None where there is none.
    where : str
        How a message names the place.

    Raises
    ------
    InputError
        One is above the next.
    """
    given = [(name, number) for name in _NUMBERS if (number := numbers.get(name)) is not None]
    for (name, number), (next_name, next_number) in pairwise(given):
        if number > next_number:
            raise InputError(
                f"{where}: {name} {number:g} is above {next_name} {next_number:g}; minimum, nominal and maximum "
                f"must not fall: correct one of them"
            )

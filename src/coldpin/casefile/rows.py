"""Rows of a list in ``case.toml``: one added, changed or taken out, every other byte of the file as it was.

A row is known by what is in it and not by its place: who edits says which row they saw, and a row that another
editor moved is found all the same. Where another editor changed other values of that row meanwhile, both changes hold.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args, get_origin, get_type_hints

import tomlkit

from coldpin.casefile.description import CASE_FILE, parse_description
from coldpin.casefile.toml_text import parse_toml, with_value
from coldpin.casefile.untrusted import decode_text
from coldpin.errors import CaseError, ConflictError
from coldpin.records.case import CaseDescription
from coldpin.records.plain import to_plain

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class RowChange:
    """One row of a list as an editor saw it, and as it is wanted.

    Parameters
    ----------
    key : str
        Name of the list, such as ``"conditions_of_use"``.
    old : mapping or None
        The row as it was seen, every value; None to add one.
    new : mapping or None
        The row wanted, every value; None to take it out.
    """

    key: str
    old: Row | None
    new: Row | None


_HEADER = re.compile(r"[ \t]*\[")
_QUOTED = re.compile(r"\"(?:\\.|[^\"\\])*\"|'[^']*'")


def edit_row(data: bytes, key: str, old: Row | None, new: Row | None, *, where: str = CASE_FILE) -> bytes:
    """Add, change or take out one row of a list, if it still is what the editor saw.

    Parameters
    ----------
    data : bytes
        The file as it is now.
    key : str
        Name of the list, such as ``"conditions_of_use"``.
    old : mapping or None
        The row as the editor saw it, every value; None to add one.
    new : mapping or None
        The row wanted, every value; None to take it out.
    where : str
        The file, for a message.

    Returns
    -------
    bytes
        The new file; the same bytes where it says so already.

    Raises
    ------
    ConflictError
        No row is as the editor saw it, in what is to be changed.
    CaseError
        There is no such list, or the result would not be a valid description.
    """
    rows = rows_of(data, key, where=where)
    if old is None:
        if new is None:
            return data
        changed = _with_row(data, key, _lean(key, new, where), where=where)
    else:
        place = place_of(rows, old, new)
        if place is None:
            if new is None or dict(new) in rows:
                return data  # somebody else did the same
            raise ConflictError(
                f"{where}: the row of {key} that was {_lean(key, old, where)} when the edit began is another by now, "
                f"or gone; "
                f"{_lean(key, new, where)} was not written: look at both and edit again"
            )
        if new is None:
            changed = _without_row(data, key, place, where=where)
        else:
            changed = _with_values(data, key, place, old, new, where=where)
    parse_description(changed, where=where)
    return changed


def edit_rows(data: bytes, changes: Sequence[RowChange], *, where: str = CASE_FILE) -> bytes:
    """Do several changes of rows, all of them or none.

    Parameters
    ----------
    data : bytes
        The file as it is now.
    changes : sequence of RowChange
        In the order in which they are done.
    where : str
        The file, for a message.

    Returns
    -------
    bytes
        The new file.

    Raises
    ------
    ConflictError
        A row is not as the editor saw it; the message names it, and all that was not written with it.
    CaseError
        There is no such list, or the result would not be a valid description.
    """
    for change in changes:
        try:
            data = edit_row(data, change.key, change.old, change.new, where=where)
        except ConflictError as error:
            others = [_told(other, where) for other in changes if other is not change]
            if not others:
                raise
            raise ConflictError(f"{error}. Nor was written what belongs to it: {'; '.join(others)}") from error
    return data


def _told(change: RowChange, where: str) -> str:
    if change.new is None:
        return f"{change.key} without one row"
    return f"{change.key}: {_lean(change.key, change.new, where)}"


def rows_of(data: bytes, key: str, *, where: str = CASE_FILE) -> list[dict[str, Any]]:
    """Return the rows of a list, every value of each, also those that the file leaves out.

    Parameters
    ----------
    data : bytes
        The file.
    key : str
        Name of the list.
    where : str
        The file, for a message.

    Returns
    -------
    list of dict
        In their order.

    Raises
    ------
    CaseError
        The file is not valid, or there is no such list.
    """
    _row_kind(key, where)
    found: list[dict[str, Any]] = to_plain(parse_description(data, where=where))[key]
    return found


def _row_kind(key: str, where: str) -> type[Any]:
    """Return the record that the rows of a list are."""
    hint = get_type_hints(CaseDescription).get(key)
    kind = get_args(hint)[0] if get_origin(hint) is tuple else None
    if kind is None or not dataclasses.is_dataclass(kind):
        raise CaseError(f"{where}: {key!r} is no list of tables: check the key")
    assert isinstance(kind, type), "a list holds records of a class"
    return kind


def place_of(rows: Sequence[Row], old: Row, new: Row | None) -> int | None:
    """Return which row an editor saw: one that is the same, else the only one that is so in name and in what changes.

    Parameters
    ----------
    rows : sequence of mapping
        As they are now, every value of each.
    old : mapping
        The row as the editor saw it.
    new : mapping or None
        The row wanted; None to take it out, for which it must be the same.

    Returns
    -------
    int or None
        Its place; None where none is, or more than one.

    Examples
    --------
    >>> rows = [{"name": "shed", "hours": "8 h"}, {"name": "quay", "hours": ""}]
    >>> place_of(rows, {"name": "shed", "hours": ""}, {"name": "pier", "hours": ""})
    0
    """
    exact = [place for place, row in enumerate(rows) if row == dict(old)]
    if exact:
        return exact[0]
    if new is None:
        return None
    first = next(iter(old), "")  # what a row is called stands first in every record
    kept = {first, *(name for name in old if old[name] != new.get(name))}
    near = [place for place, row in enumerate(rows) if all(row.get(name) == old[name] for name in kept)]
    return near[0] if len(near) == 1 else None


def _lean(key: str, row: Row, where: str) -> dict[str, Any]:
    """Leave out what a row does not say: what is as it is where nothing is written."""
    silent = {
        one.name: to_plain(one.default)
        for one in dataclasses.fields(_row_kind(key, where))
        if one.default is not dataclasses.MISSING
    }
    return {name: value for name, value in row.items() if value is not None and value != silent.get(name, ...)}


def _with_row(data: bytes, key: str, row: dict[str, Any], *, where: str) -> bytes:
    text = decode_text(data, where=where)
    before = parse_toml(data, where=where)
    wanted = {**before, key: [*before.get(key, []), row]}
    ends = "\r\n" if "\r\n" in text else "\n"
    block = ends.join([f"[[{key}]]", *(f"{name} = {_written(value)}" for name, value in row.items())]) + ends
    lines = text.splitlines(keepends=True)
    for at in (*_behind(lines, key), len(lines)):
        head, tail = "".join(lines[:at]), "".join(lines[at:])
        if head and not head.endswith("\n"):
            head += ends
        gap = "" if not head or (tail and head.endswith(2 * ends)) else ends
        # a blank line of ours on one side alone: taken out again, the row leaves the file as it was
        after = "" if gap or not tail or tail.startswith(ends) else ends
        changed = f"{head}{gap}{block}{after}{tail}".encode()
        if _says(changed, wanted):
            return changed
    return with_value(data, key, wanted[key], where=where)


def _behind(lines: list[str], key: str) -> list[int]:
    """Return the lines behind which a row belongs: the last of its list, else the example of one in the comments."""
    blocks = _blocks(lines, key)
    if blocks:
        return [blocks[-1][1]]
    example = [number for number, line in enumerate(lines) if line.strip() == f"# [[{key}]]"]
    if not example:
        return []
    at = example[-1]
    while at < len(lines) and lines[at].lstrip().startswith("#"):
        at += 1
    return [at]


def _blocks(lines: list[str], key: str) -> list[tuple[int, int]]:
    """Return first line and end of each row: up to what stands before the next table, its own comments with it."""
    header = re.compile(rf"[ \t]*\[\[[ \t]*{re.escape(key)}[ \t]*\]\][ \t]*(#.*)?\r?\n?")
    found = []
    for first, line in enumerate(lines):
        if not header.fullmatch(line):
            continue
        end = first + 1
        while end < len(lines) and not _HEADER.match(lines[end]):
            end += 1
        last = end
        while last > first + 1 and not _says_something(lines[last - 1]):
            last -= 1
        while last < end and lines[last].lstrip().startswith("#"):
            last += 1
        found.append((first, last))
    return found


def _says_something(line: str) -> bool:
    return bool(line.strip()) and not line.lstrip().startswith("#")


def _without_row(data: bytes, key: str, place: int, *, where: str) -> bytes:
    text = decode_text(data, where=where)
    before = parse_toml(data, where=where)
    left = [row for number, row in enumerate(before[key]) if number != place]
    wanted = {name: value for name, value in {**before, key: left}.items() if name != key or left}
    lines = text.splitlines(keepends=True)
    blocks = _blocks(lines, key)
    if place < len(blocks):
        first, end = blocks[place]
        if "#" in _QUOTED.sub("", "".join(lines[first:end])):
            raise CaseError(f"{where}: this row of {key!r} has comments, which would be lost with it: edit it by hand")
        if end < len(lines) and not lines[end].strip() and (first == 0 or not lines[first - 1].strip()):
            end += 1
        elif first and not lines[first - 1].strip() and (end == len(lines) or lines[end].strip()):
            first -= 1
        changed = "".join((*lines[:first], *lines[end:])).encode()
        if _says(changed, wanted):
            return changed
    return with_value(data, f"{key}.{place}", None, where=where)


def _with_values(data: bytes, key: str, place: int, old: Row, new: Row, *, where: str) -> bytes:
    for name in dict.fromkeys((*old, *new)):
        if old.get(name) != new.get(name):
            data = _with_one(data, key, place, name, new.get(name), where=where)
    return data


def _with_one(data: bytes, key: str, place: int, name: str, value: Any, *, where: str) -> bytes:
    """Change one value of a row, in the lines of that row alone; one that is new stands behind the last of them."""
    before = parse_toml(data, where=where)
    row = {other: held for other, held in before[key][place].items() if other != name}
    if value is not None:
        row[name] = value
    wanted = {**before, key: [row if at == place else one for at, one in enumerate(before[key])]}
    text = decode_text(data, where=where)
    lines = text.splitlines(keepends=True)
    blocks = _blocks(lines, key)
    if place >= len(blocks):
        return with_value(data, f"{key}.{place}.{name}", value, where=where)
    first, end = blocks[place]
    while end > first + 1 and not _says_something(lines[end - 1]):
        end -= 1
    block = "".join(lines[first:end])
    if name in before[key][place]:
        block = with_value(block.encode(), f"{key}.0.{name}", value, where=where).decode()
    elif value is not None:
        ends = "\r\n" if "\r\n" in text else "\n"
        block += "" if block.endswith("\n") else ends
        block += f"{name} = {_written(value)}{ends}"
    changed = "".join((*lines[:first], block, *lines[end:])).encode()
    return changed if _says(changed, wanted) else with_value(data, f"{key}.{place}.{name}", value, where=where)


def _says(data: bytes, wanted: dict[str, Any]) -> bool:
    try:
        return parse_toml(data, where="") == wanted
    except CaseError:
        return False


def _written(value: Any) -> str:
    return str(tomlkit.item(value).as_string())

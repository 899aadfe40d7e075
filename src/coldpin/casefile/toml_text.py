"""TOML that people write: read strictly with one clear message, changed one value at a time with comments kept."""

from __future__ import annotations

import re
import tomllib
from datetime import date, time
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from coldpin.casefile.untrusted import MAXIMUM_DEPTH, check_plain, decode_text, require_shallow
from coldpin.errors import CaseError

ABSENT = object()
"""Stands for "there is no such key"."""

_ANY_HEADER = re.compile(r"[ \t]*\[")
_BARE_LINE_END = re.compile(r"(?<!\r)\n")
_PLACE = re.compile(r" \(at (?P<place>[^)]*)\)$")
_NUMBER = re.compile(r"[0-9]{1,6}")
_KEY_PART = re.compile(r"(?P<name>[\w-]+|\"[^\"\n]*\"|'[^'\n]*')|(?P<dot>\.)|[ \t]+|(?P<other>.|\n)")
_QUOTED = re.compile(r"\"\"\".*?\"\"\"|'''.*?'''|\"(?:\\.|[^\"\\])*\"|'[^']*'", re.DOTALL)


def parse_toml(data: bytes, *, where: str) -> dict[str, Any]:
    """Return what a TOML file holds; dates as text, so that they may be written with or without quotes.

    Parameters
    ----------
    data : bytes
        The file.
    where : str
        The file, for a message.

    Returns
    -------
    dict
        Tables, lists, texts, numbers.

    Raises
    ------
    CaseError
        It is not UTF-8 or not TOML (the message gives line and column), or holds what cannot be printed.
    """
    text = decode_text(data, where=where)
    _refuse_endless_key(text, where)
    try:
        plain = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        said = str(error)
        found = _PLACE.search(said)
        place = found["place"] if found else "somewhere"
        reason = _PLACE.sub("", said)
        raise CaseError(f"{where}, {place}: not TOML ({reason[:1].lower()}{reason[1:]}): mend this line") from error
    except (RecursionError, ValueError) as error:
        raise CaseError(f"{where}: not readable as TOML ({error}): mend or restore the file") from error
    require_shallow(plain, where=where)
    check_plain(plain, where=where)
    texts = _dates_as_text(plain)
    assert isinstance(texts, dict)
    return texts


def require_format(plain: dict[str, Any], known: str, *, where: str) -> None:
    """Refuse a file of another format than the one this program reads.

    Parameters
    ----------
    plain : dict
        What the file holds.
    known : str
        The format this program reads.
    where : str
        The file, for a message.

    Raises
    ------
    CaseError
        ``format`` is missing or another.
    """
    found = plain.get("format")
    if found is None:
        raise CaseError(f"{where}: key 'format' is missing: add format = \"{known}\" as the first line")
    if found != known:
        raise CaseError(
            f"{where}: its format is {str(found)[:60]!r}; this program reads {known!r}: "
            "use the coldpin that wrote it, or a newer one"
        )


def value_at(plain: Any, key: str) -> Any:
    """Return the value at a dotted key.

    Parameters
    ----------
    plain : object
        Tables and lists.
    key : str
        Such as ``"specimen.serial"`` or ``"alternatives.0.price"``.

    Returns
    -------
    object
        The value, or :data:`ABSENT`.

    Examples
    --------
    >>> value_at({"claims": {"words": ["16 A"]}}, "claims.words.0")
    '16 A'
    """
    for step in key.split("."):
        if isinstance(plain, dict) and step in plain:
            plain = plain[step]
        elif isinstance(plain, list) and _NUMBER.fullmatch(step) and int(step) < len(plain):
            plain = plain[int(step)]
        else:
            return ABSENT
    return plain


def with_value(data: bytes, key: str, new: object, *, where: str) -> bytes:
    """Return a TOML file with one value changed, added or taken out, all else as it was.

    Parameters
    ----------
    data : bytes
        The file, known to be TOML.
    key : str
        Dotted key.
    new : object
        Text, number, truth value, list or table; None takes the key out.
    where : str
        The file, for a message.

    Returns
    -------
    bytes
        The new file.

    Raises
    ------
    CaseError
        The key leads through something that is no table, or the change would lose comments.

    Examples
    --------
    >>> with_value(b'serial = ""  # on the plate', "serial", "B 17", where="case.toml")
    b'serial = "B 17"  # on the plate'
    """
    text = decode_text(data, where=where)
    *steps, last = key.split(".")
    try:
        document = tomlkit.parse(text)
        if tomlkit.dumps(document) != text:
            return _in_its_own_lines(text, steps, last, new, where=where)
        table = _table_at(document, steps, key, where)
        if not _extended(table, last, new):
            _refuse_lost_comments(table, last, key, where)
            if new is None:
                table.pop(_index(table, last))
            else:
                table[_index(table, last)] = new
        changed = tomlkit.dumps(document)
        if _BARE_LINE_END.search(text) is None:
            changed = _BARE_LINE_END.sub("\r\n", changed)
        return changed.encode()
    except (TOMLKitError, KeyError, IndexError, TypeError, ValueError) as error:
        raise CaseError(f"{where}: {key!r} cannot be set ({error}): check the key, or edit the file by hand") from error


def _in_its_own_lines(text: str, steps: list[str], last: str, new: object, *, where: str) -> bytes:
    """Change a value in the lines of its table alone, where a file written whole would have its tables moved."""
    lines = text.splitlines(keepends=True)
    headers = [at for at, line in enumerate(lines) if _ANY_HEADER.match(line)]
    first = 0
    if steps:
        own = re.compile(rf"[ \t]*\[[ \t]*{re.escape('.'.join(steps))}[ \t]*\][ \t]*(#.*)?\r?\n?")
        found = [at for at in headers if own.fullmatch(lines[at])]
        if len(found) != 1:
            place = ".".join((*steps, last))
            raise CaseError(f"{where}: {place!r} stands where its table is not written by itself: edit it by hand")
        first = found[0]
    end = next((at for at in headers if at > first or not steps), len(lines))
    part = with_value("".join(lines[first:end]).encode(), ".".join((*steps, last)), new, where=where).decode()
    return "".join((*lines[:first], part, *lines[end:])).encode()


def _refuse_endless_key(text: str, where: str) -> None:
    """Refuse a key of very many parts before the parser, whose time grows with the cube of their number, sees it."""
    for number, line in enumerate(text.splitlines(), start=1):
        if line.count(".") <= MAXIMUM_DEPTH:
            continue
        parts = 0
        for token in _KEY_PART.finditer(line):
            parts = 0 if token["other"] else parts + bool(token["dot"])
            if parts > MAXIMUM_DEPTH:
                raise CaseError(f"{where}, line {number}: a key of more than {MAXIMUM_DEPTH} parts: mend this line")


def _table_at(document: Any, steps: list[str], key: str, where: str) -> Any:
    table = document
    for step in steps:
        if isinstance(table, dict) and step not in table:
            table[step] = tomlkit.table()
        table = table[_index(table, step)]
        if not isinstance(table, (dict, list)):
            raise CaseError(f"{where}: {key!r} leads through {step!r}, which is a value, not a table: check the key")
    return table


def _index(table: Any, step: str) -> str | int:
    return int(step) if isinstance(table, list) else step


def _extended(table: Any, last: str, new: object) -> bool:
    """Append what is new at the end of a list, so that comments between its lines stay."""
    old = table.get(last) if isinstance(table, dict) else None
    if not isinstance(old, tomlkit.items.Array) or not isinstance(new, (list, tuple)):
        return False
    if len(new) < len(old) or list(new[: len(old)]) != old.unwrap():
        return False
    for value in new[len(old) :]:
        old.append(value)
    return True


def _refuse_lost_comments(table: Any, last: str, key: str, where: str) -> None:
    item = value_at(table, last)
    if isinstance(item, (list, dict)) and "#" in _QUOTED.sub("", tomlkit.item(item).as_string()):
        raise CaseError(f"{where}: {key!r} has comments between its lines, which would be lost: edit it by hand")


def _dates_as_text(plain: object) -> object:
    match plain:
        case dict():
            return {key: _dates_as_text(value) for key, value in plain.items()}
        case list():
            return [_dates_as_text(value) for value in plain]
        case date() | time():
            return plain.isoformat()
        case _:
            return plain

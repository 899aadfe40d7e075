"""What comes from a file that anybody may have written: checked text and plain values, or one clear message."""

from __future__ import annotations

import dataclasses
import json
import math
import unicodedata
from collections.abc import Iterator, Mapping
from enum import Enum
from typing import Any, NoReturn

from coldpin.errors import CaseError

MAXIMUM_TEXT = 1 << 20
"""Largest text file of a case that is read: descriptions and entries are small, evidence is not text. [bytes]"""

_ALLOWED_CONTROLS = "\n\t"


def decode_text(data: bytes, *, where: str) -> str:
    """Return bytes as text.

    Parameters
    ----------
    data : bytes
        UTF-8, with or without a byte order mark.
    where : str
        The file, for a message.

    Returns
    -------
    str
        The text.

    Raises
    ------
    CaseError
        The bytes are not UTF-8; the message tells the line.
    """
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise CaseError(
            f"{where}, line {line}: byte 0x{data[error.start]:02x} is not UTF-8 text: save the file as UTF-8"
        ) from error


def parse_json(data: bytes, *, where: str) -> dict[str, Any]:
    """Return the JSON object in a file, refusing what JSON does not have.

    Parameters
    ----------
    data : bytes
        The file.
    where : str
        The file, for a message.

    Returns
    -------
    dict
        The object.

    Raises
    ------
    CaseError
        It is not JSON, not an object, nested too deep, holds NaN, an infinity, or the same key twice.
    """

    def refuse_constant(name: str) -> NoReturn:
        raise CaseError(f"{where}: {name} is not a number that can be written in JSON: write null")

    def refuse_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        plain = dict(pairs)
        if len(plain) < len(pairs):
            keys = [key for key, _ in pairs]
            twice = next(key for key in keys if keys.count(key) > 1)
            raise CaseError(f"{where}: key {twice!r} is given twice: keep one")
        return plain

    text = decode_text(data, where=where)
    try:
        plain = json.loads(text, parse_constant=refuse_constant, object_pairs_hook=refuse_twice)
    except json.JSONDecodeError as error:
        raise CaseError(f"{where}, line {error.lineno}, column {error.colno}: not JSON ({error.msg})") from error
    except (ValueError, RecursionError) as error:
        raise CaseError(f"{where}: not readable as JSON ({error})") from error
    if not isinstance(plain, dict):
        raise CaseError(f"{where}: holds {type(plain).__name__}, not a JSON object")
    return plain


def check_plain(plain: object, *, where: str) -> None:
    """Refuse texts with characters that are not for reading, and numbers that are none.

    Parameters
    ----------
    plain : object
        A record, or dicts, lists, texts and numbers.
    where : str
        The file or entry, for a message.

    Raises
    ------
    CaseError
        A text holds a control character or half a surrogate pair, or a number is NaN or infinite.

    Examples
    --------
    >>> check_plain({"note": "cut" + chr(0)}, where="case.toml")
    Traceback (most recent call last):
    ...
    coldpin.errors.CaseError: case.toml: note holds the character U+0000, which cannot be printed: take it out
    """
    for place, value in walk(plain):
        if isinstance(value, str):
            for character in value:
                if unicodedata.category(character) in ("Cc", "Cs") and character not in _ALLOWED_CONTROLS:
                    raise CaseError(
                        f"{where}: {place} holds the character U+{ord(character):04X}, which cannot be printed: "
                        "take it out"
                    )
        elif isinstance(value, float) and not math.isfinite(value):
            raise CaseError(f"{where}: {place} is {value}: write a number, or leave it out")


def walk(plain: object, place: str = "") -> Iterator[tuple[str, object]]:
    """Go through every value in a record or in plain dicts and lists, each with its place.

    Parameters
    ----------
    plain : object
        A record, or dicts, lists, texts and numbers.
    place : str
        How to call the whole.

    Yields
    ------
    tuple of str and object
        Place such as ``"claims.words.0"`` and the value there; keys of mappings are given as values too.

    Examples
    --------
    >>> list(walk({"a": [1, 2]}))
    [('a', 'a'), ('a.0', 1), ('a.1', 2)]
    """
    match plain:
        case Mapping():
            for key, value in plain.items():
                inner = f"{place}.{key}" if place else str(key)
                yield inner, key
                yield from walk(value, inner)
        case list() | tuple():
            for number, value in enumerate(plain):
                yield from walk(value, f"{place}.{number}" if place else str(number))
        case Enum():
            yield place, plain.value
        case _ if dataclasses.is_dataclass(plain) and not isinstance(plain, type):
            for field in dataclasses.fields(plain):
                yield from walk(getattr(plain, field.name), f"{place}.{field.name}" if place else field.name)
        case _:
            yield place or "the whole", plain

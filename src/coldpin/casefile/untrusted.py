"""What comes from a file that anybody may have written: plain files, checked text, or one message."""

from __future__ import annotations

import contextlib
import dataclasses
import errno
import json
import math
import os
import stat
import unicodedata
from collections.abc import Iterator, Mapping
from enum import Enum
from pathlib import Path
from typing import Any, NoReturn

from coldpin.errors import CaseError, StorageError
from coldpin.records.assessment import Problem

MAXIMUM_TEXT = 1 << 20
"""Largest text file of a case that is read: descriptions and entries are small, evidence is not text. [bytes]"""

MAXIMUM_DEPTH = 100
"""Deepest nesting that is read; our own files have fewer than ten levels."""

_ALLOWED_CONTROLS = "\n\t"


def read_regular(path: Path, *, limit: int) -> bytes:
    """Read a plain file of at most so many bytes; never a link, a folder or a device.

    Parameters
    ----------
    path : Path
        The file.
    limit : int
        Largest size. [bytes]

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    CaseError
        It is missing, not a plain file, larger than the limit, or cannot be read.
    """
    with open_regular(path) as descriptor:
        size = os.fstat(descriptor).st_size
        if size > limit:
            raise CaseError(f"{path} has {size} bytes; at most {limit} are read: this is not what belongs here")
        read = bytearray()
        while piece := os.read(descriptor, 1 << 20):
            read += piece
            if len(read) > limit:
                raise CaseError(f"{path} grows while it is read: wait until its writer has finished")
        return bytes(read)


@contextlib.contextmanager
def open_regular(path: Path) -> Iterator[int]:
    """Open a plain file for reading; never a link, a folder or a device.

    Parameters
    ----------
    path : Path
        The file.

    Yields
    ------
    int
        A file descriptor, closed after the block.

    Raises
    ------
    CaseError
        It is missing, not a plain file, or cannot be read.
    """
    # Without O_NONBLOCK a named pipe would hold us until somebody writes to it.
    flags = os.O_RDONLY
    for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_CLOEXEC", "O_BINARY"):
        flags |= getattr(os, name, 0)
    try:
        descriptor = os.open(path, flags)
    except ValueError as error:
        raise CaseError(f"{os.fspath(path)!r} is no file name ({error})") from error
    except OSError as error:
        raise CaseError(f"{path} {_unopened(path, error)}") from error
    try:
        mode = os.fstat(descriptor).st_mode
        if not stat.S_ISREG(mode):
            raise CaseError(f"{path} is {_sort(mode)}; only plain files are read: give the file itself")
        yield descriptor
    except OSError as error:
        raise CaseError(f"{path} cannot be read ({error.strerror}): mend the cause or put a copy there") from error
    finally:
        os.close(descriptor)


def require_folder(path: Path, *, what: str) -> None:
    """Refuse what is not a folder of its own, so that nothing is written or read elsewhere through a link.

    Parameters
    ----------
    path : Path
        The folder.
    what : str
        What it is, for a message.

    Raises
    ------
    CaseError
        It is missing, a link, or no folder.
    """
    try:
        mode = os.lstat(path).st_mode
    except OSError as error:
        raise CaseError(f"{what} {path} cannot be opened ({error.strerror}): put the folder back") from error
    if stat.S_ISLNK(mode):
        raise CaseError(f"{what} {path} is a link; a case holds plain folders: put the folder itself in its place")
    if not stat.S_ISDIR(mode):
        raise CaseError(f"{what} {path} is not a folder: move it away")


def names_in(folder: Path) -> list[str]:
    """Return the names in a folder, sorted, without hidden ones.

    Parameters
    ----------
    folder : Path
        The folder.

    Returns
    -------
    list of str
        Names; none where the folder is missing.

    Raises
    ------
    StorageError
        The folder cannot be read.
    """
    try:
        return sorted(name for name in os.listdir(folder) if not name.startswith("."))  # noqa: PTH208 names, not paths
    except FileNotFoundError:
        return []
    except OSError as error:
        raise StorageError(
            f"{folder} cannot be read ({error.strerror}); nothing was changed: mend the cause"
        ) from error


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
    require_shallow(plain, where=where)
    if not isinstance(plain, dict):
        raise CaseError(f"{where}: holds {type(plain).__name__}, not a JSON object")
    return plain


def require_shallow(plain: object, *, where: str) -> None:
    """Refuse what is nested deeper than anything of ours, so that what follows may go down by recursion.

    Parameters
    ----------
    plain : object
        Dicts, lists, texts and numbers.
    where : str
        The file, for a message.

    Raises
    ------
    CaseError
        It is nested deeper than :data:`MAXIMUM_DEPTH`.
    """
    level: list[object] = [plain]
    for _ in range(MAXIMUM_DEPTH):
        level = [
            inner
            for outer in level
            if isinstance(outer, (dict, list))
            for inner in (outer.values() if isinstance(outer, dict) else outer)
        ]
        if not level:
            return
    raise CaseError(f"{where}: nested deeper than {MAXIMUM_DEPTH} levels: this is not what belongs here")


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


def problem(where: str, error: Exception, *, root: Path) -> Problem:
    """Say as a problem what an error says, with paths as they are seen from the folder it is about.

    A problem is printed in reports: where the case lies on somebody's disk is nobody's business, and a file name that
    is no text must not stop the printing.

    Parameters
    ----------
    where : str
        The file or folder, as seen from ``root``.
    error : Exception
        What was raised.
    root : Path
        The case's or the shelf's folder.

    Returns
    -------
    Problem
        The problem.

    Examples
    --------
    >>> error = CaseError("/cases/skerrow-16/entries/x.json is a link")
    >>> problem("entries/x.json", error, root=Path("/cases/skerrow-16")).what
    'entries/x.json is a link'
    """
    return Problem(where=printable(where), what=printable(str(error).replace(f"{root}{os.sep}", "")))


def printable(name: str) -> str:
    r"""Return a file name as it may be printed: names are bytes on some systems, and need not be text.

    Parameters
    ----------
    name : str
        As the system gives it.

    Returns
    -------
    str
        With escapes for what is no text.

    Examples
    --------
    >>> print(printable("a" + chr(0xDCFF)))
    a\udcff
    """
    return name.encode("utf-8", "backslashreplace").decode()


def _unopened(path: Path, error: OSError) -> str:
    if error.errno == errno.ENOENT:
        return "is not there: check the name"
    if error.errno == errno.ELOOP:
        return "is a link; only plain files are read: give the file itself"
    if path.is_dir():
        return "is a folder; only plain files are read: give the file itself"
    return f"cannot be opened ({error.strerror}): mend the cause or put a copy there"


def _sort(mode: int) -> str:
    sorts = ((stat.S_ISDIR, "a folder"), (stat.S_ISFIFO, "a named pipe"), (stat.S_ISSOCK, "a socket"))
    return next((name for test, name in sorts if test(mode)), "a device")

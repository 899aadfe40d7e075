"""What a file is at first sight, by its first bytes: what kind of thing, and its first rows as they stand."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture.encoding import decode, find_encoding
from coldpin.capture.log import sniff_log
from coldpin.capture.log_choices import Value
from coldpin.capture.signature import content_signature, is_text
from coldpin.capture.source import CaptureFile
from coldpin.errors import CaptureError
from coldpin.records.dialect import Dialect
from coldpin.records.file_words import Sort
from coldpin.records.log import LogQuantity

SHOWN_ROWS = 12
"""Ours: so many first rows tell a person what a table holds. [rows]"""

LONGEST_ROW = 160
"""Ours: of a row so much is shown. [characters]"""

HEAD = 8192
"""So much of a file is looked at: more than any preamble of a bench instrument. [bytes]"""

SHOWN_BYTES = 64
"""Ours: of what is no text so much is shown. [bytes]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstLook:
    """A file at first sight.

    Parameters
    ----------
    sort : Sort
        What it seems to be.
    content : str
        What its content is, in words with their article.
    rows : tuple of str
        Its first rows, or its first bytes in hexadecimal digits.
    dialect : Dialect or None
        How it would be read as a capture or log; None where it cannot be told, or there is nothing to read.
    asks : str
        Why it cannot be read as it stands, with the choices; empty where it can.
    quantities : tuple of LogQuantity
        What the columns of a log hold.
    columns : tuple of str
        Names of the columns of a table, as far as a header tells them.
    """

    sort: Sort
    content: str
    rows: tuple[str, ...] = ()
    dialect: Dialect | None = None
    asks: str = ""
    quantities: tuple[LogQuantity, ...] = ()
    columns: tuple[str, ...] = ()


_PICTURES = ("PNG", "JPEG", "GIF", "BMP", "TIFF", "WebP")
_VIDEOS = ("AVI", "Matroska", "MP4 or HEIF")
_STILLS = (b"heic", b"heix", b"mif1", b"avif", b"heif")


def first_look(path: Path) -> FirstLook:
    """Say what a file seems to be.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    FirstLook
        By its content, whatever its name says.

    Raises
    ------
    CaptureError
        It is not a plain file, or cannot be opened.
    """
    with CaptureFile(path) as file:
        head = file.head(HEAD)
    content = content_signature(head[:512])
    rows = _rows(head)
    if any(f" {name}" in f" {content}" for name in _PICTURES) or (head[4:8] == b"ftyp" and head[8:12] in _STILLS):
        return FirstLook(sort=Sort.PICTURE, content=content)
    if any(name in content for name in _VIDEOS):
        return FirstLook(sort=Sort.VIDEO, content=content)
    if "PDF" in content or "rich-text" in content or "office" in content:
        return FirstLook(sort=Sort.PAPER, content=content)
    if "web page" in content:
        return FirstLook(sort=Sort.PAGE, content=content, rows=rows)
    if content == "a JSON document":
        drawn = b'"FeatureCollection"' in head or _is_drawing(head)
        return FirstLook(sort=Sort.BOARD if drawn else Sort.OTHER, content=content, rows=rows)
    return _table(path, content or ("text" if is_text(head) else "binary, not text"), rows)


def try_as(
    path: Path, sort: Sort, choices: dict[str, Value], remembered: Dialect | None = None
) -> tuple[Dialect | None, str]:
    """Say how a file would be read as a capture or a log, from its first lines and from choices by hand.

    Parameters
    ----------
    path : Path
        The file.
    sort : Sort
        A capture or a log.
    choices : dict
        The options by hand of that sort.
    remembered : Dialect or None
        How files of the instrument were read before: tried first, dropped where it does not fit.

    Returns
    -------
    tuple of Dialect or None and str
        How; or None and what is asked.

    Raises
    ------
    UnknownName
        A choice is not known.
    """
    from coldpin.capture import sniff  # it imports the readers, of which this is used by

    try:
        if sort is Sort.LOG:
            return sniff_log(path, choices=choices, remembered=remembered), ""
        plain = {name: value for name, value in choices.items() if isinstance(value, str | float | int)}
        return sniff(path, choices=plain, remembered=remembered), ""
    except CaptureError as error:
        return None, str(error).removeprefix(f"{path}: ")


def _table(path: Path, content: str, rows: tuple[str, ...]) -> FirstLook:
    """Look whether a file is a capture or a log: a table of voltages alone over a count of time is a capture."""
    capture, asked = try_as(path, Sort.CAPTURE, {})
    log, asked_log = try_as(path, Sort.LOG, {})
    held = () if log is None or log.log is None else tuple(LogQuantity(one) for one in log.log.columns.values())
    told = tuple(one for one in held if one not in (LogQuantity.OTHER, LogQuantity.VOLTAGE))
    columns = () if log is None or log.log is None else tuple(filter(None, (log.time, *log.log.columns)))
    stamped = any(_STAMPED.match(row) for row in rows)
    if log is not None and (told or (held and stamped)):
        return FirstLook(sort=Sort.LOG, content=content, rows=rows, dialect=log, quantities=held, columns=columns)
    if capture is not None:
        return FirstLook(sort=Sort.CAPTURE, content=content, rows=rows, dialect=capture, columns=columns)
    if content != "text":
        return FirstLook(sort=Sort.OTHER, content=content, rows=rows, asks=asked)
    if sum(_NUMBERS.fullmatch(row) is not None for row in rows) < FEWEST_ROWS:
        return FirstLook(sort=Sort.PAPER, content=content, rows=rows)
    if stamped:
        return FirstLook(sort=Sort.LOG, content=content, rows=rows, asks=asked_log)
    return FirstLook(sort=Sort.CAPTURE, content=content, rows=rows, asks=asked, columns=columns)


_NUMBERS = re.compile(r"[-+0-9.,;: \teEnNaA/\"]*[0-9][-+0-9.,;: \teEnNaA/\"]*")
"""A row of numbers, whatever separates them."""

_STAMPED = re.compile(
    r"\W?(?:[0-9]{4}[-/.][0-9]{1,2}[-/.][0-9]{1,2}|[0-9]{1,2}[-/.][0-9]{1,2}[-/.][0-9]{2,4}|[0-9]{1,2}:[0-9]{2})\b"
)
"""A row that begins with a date or a time of day: loggers write these, scopes do not."""

FEWEST_ROWS = 2
"""Ours: so many rows of numbers among the first make a table of a text. [rows]"""


def _rows(head: bytes) -> tuple[str, ...]:
    if not head:
        return ()
    if not is_text(head):
        shown = head[:SHOWN_BYTES].hex(" ")
        return tuple(shown[start : start + 48].strip() for start in range(0, len(shown), 48))
    text = decode(head, find_encoding(head, "").name)
    return tuple(line[:LONGEST_ROW] for line in text.splitlines()[:SHOWN_ROWS])


def _is_drawing(head: bytes) -> bool:
    try:
        plain = json.loads(head)
    except (ValueError, RecursionError):
        return False
    return isinstance(plain, dict) and "features" in plain

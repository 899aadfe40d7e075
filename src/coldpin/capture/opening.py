"""The first lines of a capture, among which header and rows are looked for."""

from __future__ import annotations

import re
from dataclasses import dataclass

from coldpin.capture.encoding import Encoding, decode, find_encoding
from coldpin.capture.source import LONGEST_LINE, TOO_LONG, CaptureFile
from coldpin.errors import CaptureError

FIRST_LOOK = 1 << 16
LONGEST_PREAMBLE = 1 << 20
"""Bytes within which the first row of numbers must stand."""

MOST_LINES = 1000
"""Lines within which the first row of numbers must stand, and the most that are looked at."""


_GROUPED = re.compile(r"(?<![0-9.,])[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+|(?<![0-9.,])[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """The first lines of a file, and those among which the first rows of numbers are looked for.

    These are the same, unless many lines are passed over by hand: then ``lines`` begin after ``offset`` lines.
    ``whole`` is true if ``lines`` go to the end of the file.
    """

    top: tuple[str, ...]
    lines: tuple[str, ...]
    offset: int
    whole: bool
    encoding: Encoding


def open_lines(file: CaptureFile, encoding: str, size: int, skip: int) -> Opening:
    """Return the first lines of a file.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    encoding : str
        The encoding given by hand, or the empty text.
    size : int
        How many bytes to look at.
    skip : int
        How many lines are passed over by hand.

    Returns
    -------
    Opening
        The lines.

    Raises
    ------
    CaptureError
        The file ends before the lines to be passed over do.
    """
    head = file.head(size)
    try:
        found = find_encoding(head, encoding)
        text = decode(head, found.name)
    except UnicodeError as error:
        raise file.error(f"it is not {encoding} text ({error}): leave out --encoding, or say another") from None
    lines = text.replace("\r", "\n").split("\n") if found.line_end == b"\r" else text.split("\n")
    whole = size >= file.size
    if not whole:
        lines.pop()
    top = tuple(line.rstrip("\r") for line in lines[:MOST_LINES])
    long = next((number for number, line in enumerate(top, start=1) if len(line) > LONGEST_LINE), 0)
    if long or (not whole and not lines and size > LONGEST_LINE):
        raise file.error(TOO_LONG, line=long or 1)
    whole = whole and len(lines) <= MOST_LINES
    if skip <= MOST_LINES // 2 or whole:
        return Opening(top=top, lines=top, offset=0, whole=whole, encoding=found)
    block = next(file.blocks(found.name, found.line_end, skip=skip), None)
    if block is None:
        raise file.error(f"it ends before line {skip + 1}: say a smaller --skip-rows")
    text = block.data.decode("utf-8" if found.name.startswith("utf-16") else found.name, errors="replace")
    lines = [line.rstrip("\r") for line in text.removesuffix("\n").split("\n")[:MOST_LINES]]
    return Opening(top=top, lines=tuple(lines), offset=skip, whole=False, encoding=found)


def no_rows_error(file: CaptureFile, opening: Opening) -> CaptureError:
    """Build the error for a file in which no rows of numbers are found.

    Parameters
    ----------
    file : CaptureFile
        The opened file.
    opening : Opening
        Its first lines.

    Returns
    -------
    CaptureError
        The error, to be raised by the caller.
    """
    shown = next((line.strip() for line in opening.lines if line.strip()), "")
    grouped = next(filter(None, map(_GROUPED.search, opening.lines)), None)
    if grouped is not None:
        return file.error(
            f"{grouped[0]!r} groups its digits, which is not read, since the same signs mark decimals elsewhere: "
            "export the capture again without grouping"
        )
    if not shown and opening.whole:
        return file.error("the file is empty: export the capture again")
    where = (
        "the file" if opening.whole else f"the first {len(opening.lines)} lines, which is as far as a header may go,"
    )
    verb = "has" if opening.whole else "have"
    return file.error(
        f"{where} {verb} no rows of numbers (it begins {shown[:60]!r}); fields are separated by comma, semicolon, "
        "tab or spaces, digits are not grouped: check that the samples themselves were exported, or say "
        "--separator, --decimal, --skip-rows or --encoding"
    )

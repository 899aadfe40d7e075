"""Where a drawing to be measured comes from: a file, or a case with the gaps recorded by calliper beside it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture.board_file import BoardFile, parse_board, read_bytes
from coldpin.errors import InputError
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.assessment import Problem
from coldpin.records.distance import PathKind
from coldpin.standards.book import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadGap:
    """A gap as it was read: its ends, what the calliper showed, the entry where there is one. [mm]

    ``over_parts`` is true of the sum of the gaps of one way over parts that float.
    """

    ends: tuple[str, str]
    kind: PathKind
    reading: Quantity
    over_parts: bool = False
    entry: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingSource:
    """A drawing with the gaps that were read beside it, and what of the case could not be used.

    ``book`` are the constants, with those of the case in place of ours. ``searched`` says across which two sides
    somebody looked for shorter gaps, and where, each in words of the vocabulary.
    """

    name: str
    sha256: str
    read: BoardFile
    book: Book
    gaps: tuple[ReadGap, ...] = ()
    searched: tuple[tuple[str, str], ...] = ()
    problems: tuple[Problem, ...] = ()


def open_drawing(path: Path, part: str, book: Book) -> DrawingSource:
    """Open a drawing: a file, or the newest of a part of a case.

    Parameters
    ----------
    path : Path
        A GeoJSON file, or the folder of a case.
    part : str
        Which board of the case, where it has several.
    book : Book
        The constants.

    Returns
    -------
    DrawingSource
        The drawing, and of a case the gaps read by calliper for the same part.

    Raises
    ------
    CaptureError
        The drawing cannot be read.
    CaseError
        The case cannot be read, or has no drawing.
    UnknownName
        The case has no drawing of that part, or several and none is named; all are listed.
    InputError
        A part is named and the drawing is a file.
    """
    if path.is_dir():
        # with the checks and the report comes what a quick look at a file should not wait for
        from coldpin.workbench.board_case import drawing_of_case

        return drawing_of_case(path, part, book)
    if part:
        raise InputError(f"part {part!r} is given, and {path.name} is a file: a part is one of a case's boards")
    data = read_bytes(path)
    return DrawingSource(
        name=path.name, sha256=hashlib.sha256(data).hexdigest(), read=parse_board(data, where=path.name), book=book
    )


def gap_by_hand(text: str) -> ReadGap:
    """Read a gap as a person types it.

    Parameters
    ----------
    text : str
        "R5 | relay pin 3 = 4.97 mm ± 0.03 mm"; a straight gap.

    Returns
    -------
    ReadGap
        The gap.

    Raises
    ------
    InputError
        It does not name two ends and a reading.
    QuantityTextError
        The reading cannot be read, or has no unit.
    UnitError
        Its unit is of another kind.

    Examples
    --------
    >>> gap = gap_by_hand("R5 | relay pin 3 = 4.97 mm ± 0.03 mm")
    >>> gap.ends, gap.reading.value
    (('R5', 'relay pin 3'), 4.97)
    """
    between, equals, reading = text.rpartition("=")
    ends = tuple(end.strip() for end in between.split("|"))
    if not equals or len(ends) != 2 or not all(ends):
        raise InputError(f"gap {text!r}: write both ends and the reading, as 'R5 | relay pin 3 = 4.97 mm ± 0.03 mm'")
    read = parse_quantity(reading.strip(), "mm", id=f"calliper: {between.strip()}", label="calliper")
    return ReadGap(ends=(ends[0], ends[1]), kind=PathKind.CLEARANCE, reading=read)

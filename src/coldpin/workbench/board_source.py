"""Where a drawing to be measured comes from: a file, or a case with the gaps recorded by calliper beside it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture.board_file import BoardFile, parse_board, read_bytes
from coldpin.checks import BenchEvidence
from coldpin.checks.distance_drawings import part_of
from coldpin.checks.distance_evidence import further_gaps, summed
from coldpin.checks.evidence import Side, mean, readings
from coldpin.errors import CaseError, EntryError, InputError, UnknownName
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.assessment import Problem
from coldpin.records.board_words import BOARD_DRAWING, CALLIPER_GAP
from coldpin.records.distance import PathKind
from coldpin.records.entry import Entry
from coldpin.standards.book import Book
from coldpin.workbench.assessing import edition_for
from coldpin.workbench.board_filing import read_drawing
from coldpin.workbench.shelving import open_bench


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

    ``book`` are the constants, with those of the case in place of ours.
    """

    name: str
    sha256: str
    read: BoardFile
    book: Book
    gaps: tuple[ReadGap, ...] = ()
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
        return _from_case(path, part, book)
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


def _from_case(folder: Path, part: str, book: Book) -> DrawingSource:
    bench = open_bench(folder)
    description = bench.case.description()
    entries = bench.case.effective().entries
    drawn = {part_of(entry): entry for entry in entries if entry.shows == BOARD_DRAWING}
    if not drawn:
        raise CaseError(f"{folder.name} has no drawing of a board: file one with add --shows '{BOARD_DRAWING}'")
    if part not in drawn and (part or len(drawn) > 1):
        raise UnknownName.among("part", part, drawn)
    chosen = part if part in drawn else next(iter(drawn))
    seen = BenchEvidence(
        case=description,
        edition=edition_for(description),
        book=book.with_own(description.constants),
        entries=entries,
        instruments=bench.instruments,
    )
    gaps: list[ReadGap] = []
    problems = list(bench.problems)
    for entry in entries:
        if entry.shows == CALLIPER_GAP and part_of(entry) == chosen:
            try:
                gaps.append(_gap(seen, entry))
            except EntryError as error:
                problems.append(Problem(where=f"entry {entry.id}", what=error.problem))
    entry = drawn[chosen]
    assert entry.evidence is not None, "a drawing that counts names its file"
    return DrawingSource(
        name=entry.evidence.file,
        sha256=entry.evidence.sha256,
        read=read_drawing(bench, entry),
        book=seen.book,
        gaps=tuple(gaps),
        problems=tuple(problems),
    )


def _gap(seen: BenchEvidence, entry: Entry) -> ReadGap:
    ends = entry.conditions.get("from", ""), entry.conditions.get("to", "")
    if not all(ends):
        raise EntryError.of(entry.id, "it does not name both ends: correct it with the conditions from and to")
    measured = mean(readings(seen, entry))
    if measured.side is not Side.VALUE:
        raise EntryError.of(entry.id, "its reading only bounds the gap")
    kind = PathKind(entry.conditions.get("kind") or PathKind.CLEARANCE)
    further = further_gaps(seen, entry)
    if further and kind is PathKind.CREEPAGE:
        raise EntryError.of(entry.id, "a sum of gaps walked along the surface is not held against a drawing")
    every = summed(measured.quantity, further, 0.0).quantity
    return ReadGap(ends=ends, kind=kind, reading=every, over_parts=bool(further), entry=entry.id)

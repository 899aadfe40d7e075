"""The newest drawing of a case, with the gaps recorded by calliper on the same board."""

from __future__ import annotations

from pathlib import Path

from coldpin.checks import BenchEvidence, BoardEvidence
from coldpin.checks.distance_drawings import part_of
from coldpin.checks.distance_evidence import further_gaps, sides_of, summed
from coldpin.checks.readings import Side, mean, readings
from coldpin.errors import CaseError, EntryError, UnknownName
from coldpin.records.assessment import Problem
from coldpin.records.board_words import BOARD_DRAWING, CALLIPER_GAP
from coldpin.records.distance import PathKind
from coldpin.records.entry import Entry
from coldpin.standards.book import Book
from coldpin.workbench.board_filing import read_drawing
from coldpin.workbench.board_source import DrawingSource, ReadGap
from coldpin.workbench.opening import edition_for
from coldpin.workbench.shelving import open_bench


def drawing_of_case(folder: Path, part: str, book: Book) -> DrawingSource:
    """Open the newest drawing of a part of a case, with the gaps read by calliper on it.

    Parameters
    ----------
    folder : Path
        The case.
    part : str
        Which board, where there are several.
    book : Book
        The constants.

    Returns
    -------
    DrawingSource
        The drawing, the gaps, and what could not be used.

    Raises
    ------
    CaptureError
        The drawing cannot be read.
    CaseError
        The case cannot be read, or has no drawing.
    UnknownName
        There is no drawing of that part, or several and none is named; all are listed.
    """
    bench = open_bench(folder)
    description = bench.case.description()
    entries = bench.case.effective().entries
    drawn = {part_of(entry): entry for entry in entries if entry.shows == BOARD_DRAWING}
    if not drawn:
        raise CaseError(f"{folder.name} has no drawing of a board: file one with add --shows '{BOARD_DRAWING}'")
    if part not in drawn and (part or len(drawn) > 1):
        raise UnknownName.among("part", part, drawn)
    chosen = part if part in drawn else next(iter(drawn))
    entry = drawn[chosen]
    assert entry.evidence is not None, "a drawing that counts names its file"
    drawing = read_drawing(bench, entry)
    seen = BenchEvidence(
        case=description,
        edition=edition_for(description),
        book=book.with_own(description.constants),
        entries=entries,
        instruments=bench.instruments,
        boards=(BoardEvidence(entry=entry, board=drawing.board),),
    )
    searched: list[tuple[str, str]] = []
    gaps: list[ReadGap] = []
    problems = list(bench.problems)
    for read in entries:
        if read.shows == CALLIPER_GAP and part_of(read) == chosen:
            try:
                gaps.append(_gap(seen, read))
                searched.append((sides_of(seen, read), read.conditions.get("searched", "")))
            except EntryError as error:
                problems.append(Problem(where=f"entry {read.id}", what=error.problem))
    return DrawingSource(
        name=entry.evidence.file,
        sha256=entry.evidence.sha256,
        read=drawing,
        book=seen.book,
        gaps=tuple(gaps),
        searched=tuple(searched),
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

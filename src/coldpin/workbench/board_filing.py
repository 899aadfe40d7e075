"""Drawings of boards in a case: filed version by version, and read back for the checks."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from coldpin.capture.board_file import MOST_BYTES, BoardFile, parse_board, read_bytes
from coldpin.casefile.boards import version_of
from coldpin.casefile.evidence import require_same
from coldpin.casefile.untrusted import read_regular
from coldpin.checks import BoardEvidence
from coldpin.checks.distance_drawings import part_of
from coldpin.errors import CaseError, InputError
from coldpin.records.assessment import Problem
from coldpin.records.board_questions import net_questions
from coldpin.records.board_words import BOARD_DRAWING
from coldpin.records.entry import Entry, EvidenceFile
from coldpin.records.vocabulary import showing
from coldpin.workbench.same_recording import Recordings
from coldpin.workbench.shelving import Bench

ONLY_BOARD = "board"
"""What the board of a unit is called in file names where the tester gives it no name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledDrawing:
    """A drawing that was kept: the file, the entry of the version before it, if there is one, and remarks."""

    file: EvidenceFile
    replaces: Entry | None
    remarks: tuple[str, ...]

    @property
    def reason(self) -> str:
        """Why the version before is replaced."""
        return f"drawn anew: version {version_of(self.file)}"


def file_drawing(bench: Bench, path: Path | str, conditions: Mapping[str, str]) -> FiledDrawing:
    """Read the drawing of a board, and keep it as the next version of its part.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    path : Path or str
        A GeoJSON file; it is left where it is.
    conditions : mapping of str to str
        Of the entry; its ``part`` says of which board it is.

    Returns
    -------
    FiledDrawing
        The file, and the entry whose place the new one takes.

    Raises
    ------
    CaptureError
        The file is no drawing, or draws what cannot be; nothing was filed.
    CaseError
        The drawing is the newest version already.
    StorageError
        The disk refused; nothing was filed.
    """
    source = Path(path)
    data = read_bytes(source)
    read = parse_board(data, where=source.name)
    part = conditions.get("part", "").strip()
    held = bench.case.effective().entries
    before = [entry for entry in held if entry.shows == BOARD_DRAWING and part_of(entry) == part]
    file = bench.case.file_board(data, board=part or ONLY_BOARD, original_name=source.name)
    if before and before[-1].evidence is not None and before[-1].evidence.file == file.file:
        raise CaseError(
            f"the drawing {source.name!r} is the newest version already, to the byte (entry {before[-1].id}): nothing "
            "was written"
        )
    replaced = before[-1] if before else None
    told = [f"version {version_of(file)}: it takes the place of entry {replaced.id}, which stays"] if replaced else []
    return FiledDrawing(file=file, replaces=replaced, remarks=(*told, *read.remarks, *_picture_remarks(held, read)))


def _picture_remarks(entries: tuple[Entry, ...], read: BoardFile) -> list[str]:
    """Say where the picture that a drawing was made over is not in the case."""
    calibration = read.board.calibration
    if calibration is None:
        return []
    if not calibration.picture:
        return ["the drawing is in pixels and does not say of which picture: add scale.picture, its sha256"]
    filed = {file.sha256 for entry in entries if entry.evidence for file in entry.evidence.files}
    if calibration.picture in filed:
        return []
    return [f"the picture it was drawn over (sha256 {calibration.picture[:12]}…) is not in the case: file it too"]


def read_drawing(bench: Bench, entry: Entry) -> BoardFile:
    """Read the drawing of an entry.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        An entry with a filed drawing.

    Returns
    -------
    BoardFile
        The board, and remarks.

    Raises
    ------
    InputError
        The file is gone, was changed since it was filed, or cannot be read.
    """
    if entry.evidence is None or not entry.evidence.file:
        raise InputError(f"entry {entry.id} shows a board but names no file: withdraw it and file the drawing again")
    path = bench.case.evidence_path(entry.evidence)
    require_same(path, entry.evidence.sha256)
    return parse_board(read_regular(path, limit=MOST_BYTES), where=path.name)


def read_boards(bench: Bench, entries: tuple[Entry, ...], problems: list[Problem]) -> tuple[BoardEvidence, ...]:
    """Read the drawings of a case; one that cannot be read costs its own entry and no other.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entries : tuple of Entry
        The entries that count.
    problems : list of Problem
        What could not be used is added to it, and which nets of a drawing nothing is asked of.

    Returns
    -------
    tuple of BoardEvidence
        The drawings, in the order of their entries.
    """
    found = []
    met = Recordings()
    for entry in entries:
        if showing(entry.shows).recorded_as != "board":
            continue
        try:
            board = read_drawing(bench, entry).board
            if told := met.again(entry, part_of(entry)):
                problems.append(told)
                continue
            found.append(BoardEvidence(entry=entry, board=board))
            problems += [Problem(where=f"entry {entry.id}", what=asked) for asked in net_questions(board)]
        except InputError as error:
            if all(problem.what != str(error) for problem in problems):
                problems.append(Problem(where=f"entry {entry.id}", what=str(error)))
    return tuple(found)

"""Drawings of boards opened to be drawn on, begun on a photograph, and filed as the next version of their part."""

from __future__ import annotations

import tempfile
from datetime import datetime
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.board_adding import one_shape_each
from coldpin.capture.board_file import MOST_BYTES, parse_board
from coldpin.capture.photo import picture_facts
from coldpin.casefile.boards import version_of
from coldpin.casefile.corrections import Effective
from coldpin.casefile.evidence import require_same
from coldpin.casefile.untrusted import read_regular
from coldpin.checks.distance_drawings import part_of
from coldpin.errors import ConflictError, InputError, UnknownName
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.photo_reading import PhotoFacts, read_plane
from coldpin.records.board import BoardModel, Calibration
from coldpin.records.board_words import BOARD_DRAWING
from coldpin.records.drawing_sheet import BoardsOfCase, DrawingSheet, FaceReading, FiledBoard, SheetShape
from coldpin.records.entry import Entry
from coldpin.records.photo import PhotoReading
from coldpin.workbench.clock import now as clock
from coldpin.workbench.entries import Added, add_evidence
from coldpin.workbench.other_faces import is_picture, other_pictures, reading_of
from coldpin.workbench.shelving import Bench, open_bench

MARGIN = 0.04
"""Ours: this part of a drawing's larger side is seen beyond its outermost corner. [1]"""

FILE = "drawing.geojson"
"""What a drawing that was made on the page is called."""


def boards_of_case(folder: Path | str) -> BoardsOfCase:
    """Return the drawings of a case by part, and the photographs that can be drawn on.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    BoardsOfCase
        Drawings in the order of their parts' first; photographs the newest first.

    Raises
    ------
    CaseError
        The case cannot be read.
    """
    case = open_bench(folder).case
    held = case.effective()
    boards = []
    for entry in held.entries:
        if entry.shows == BOARD_DRAWING and entry.evidence is not None:
            struck = held.history_of(entry.id).struck
            earlier = tuple(one for one in struck[::-1] if one.evidence is not None)
            boards.append(
                FiledBoard(part=part_of(entry), entry=entry, version=version_of(entry.evidence), earlier=earlier)
            )
    photographs = tuple(entry for entry in held.entries[::-1] if is_picture(entry))
    return BoardsOfCase(boards=tuple(boards), photographs=photographs)


def picture_path(folder: Path | str, entry: str) -> Path:
    """Return where the picture of an entry stands.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of an entry with a photograph.

    Returns
    -------
    Path
        A plain file inside the case.

    Raises
    ------
    UnknownName
        There is no such entry, or it has no photograph.
    CaseError
        The case cannot be read, or the file is missing.
    """
    case = open_bench(folder).case
    filed = {one.id: one for one in case.entries().entries if is_picture(one)}
    if entry not in filed:
        raise UnknownName.among("photograph", entry, filed)
    evidence = filed[entry].evidence
    assert evidence is not None
    return case.evidence_path(evidence)


def open_sheet(folder: Path | str, entry: str) -> DrawingSheet:
    """Open a filed drawing to draw on.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it; an earlier version may be opened too.

    Returns
    -------
    DrawingSheet
        The drawing with what it was made over.

    Raises
    ------
    UnknownName
        There is no such drawing.
    CaseError
        The case or the file cannot be read.
    CaptureError
        The file is no drawing.
    """
    bench = open_bench(folder)
    held = bench.case.effective()
    found, name, data = _filed(bench, held, entry)
    assert found.evidence is not None
    read = parse_board(data, where=name)
    calibration = read.board.calibration
    part = part_of(found)
    photograph = _photograph_of(held, calibration)
    return DrawingSheet(
        entry=found.id,
        newest=newest_drawing(held, part),
        part=part,
        version=version_of(found.evidence),
        photograph=photograph,
        unit="mm" if calibration is None else "px",
        view=_view(read.board),
        near=_near(read.board),
        drawing=one_shape_each(data, where=name),
        shapes=_shapes(read.board),
        scale=None if calibration is None else scale_of(calibration),
        others=other_pictures(held, photograph),
        laid=_laid(read.board),
        remarks=read.remarks,
    )


def drawing_file(folder: Path | str, entry: str) -> tuple[str, bytes]:
    """Return the file of a drawing as it was filed.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the entry that filed it.

    Returns
    -------
    tuple of (str, bytes)
        Its name, and GeoJSON.

    Raises
    ------
    UnknownName
        There is no such drawing.
    CaseError
        The case or the file cannot be read, or was changed since it was filed.
    """
    bench = open_bench(folder)
    _, name, data = _filed(bench, bench.case.effective(), entry)
    return name, data


def _filed(bench: Bench, held: Effective, entry: str) -> tuple[Entry, str, bytes]:
    """Return the entry of a drawing, counting or not, with the name and the bytes of its file."""
    filed = {
        one.id: one
        for history in held.histories
        for one in history.members
        if one.shows == BOARD_DRAWING and one.evidence is not None and one.evidence.file
    }
    if entry not in filed:
        raise UnknownName.among("drawing of a board", entry, filed)
    evidence = filed[entry].evidence
    assert evidence is not None
    path = bench.case.evidence_path(evidence)
    require_same(path, evidence.sha256)
    return filed[entry], path.name, read_regular(path, limit=MOST_BYTES)


def new_sheet(folder: Path | str, photograph: str, *, part: str = "") -> DrawingSheet:
    """Begin a drawing on a photograph: without scale, and nothing drawn.

    Parameters
    ----------
    folder : Path or str
        The case.
    photograph : str
        Id of the entry of the picture.
    part : str
        Of which board it is.

    Returns
    -------
    DrawingSheet
        To be calibrated and drawn on; it is no file yet.

    Raises
    ------
    UnknownName
        There is no such photograph.
    CaseError
        The case cannot be read.
    CaptureError
        The file is no picture that is read here.
    """
    width, height = picture_facts(picture_path(folder, photograph)).size_px
    held = open_bench(folder).case.effective()
    return DrawingSheet(
        entry="",
        newest=newest_drawing(held, part),
        part=part,
        version=0,
        photograph=photograph,
        unit="px",
        view=(0.0, 0.0, float(width), float(height)),
        near=(0.0, 0.0, float(width), float(height)),
        drawing={"type": "FeatureCollection", "view": "plan", "features": []},
        shapes=(),
        scale=None,
        others=other_pictures(held, photograph),
    )


def newest_drawing(held: Effective, part: str) -> str:
    """Return the id of the entry whose drawing of a part counts.

    Parameters
    ----------
    held : Effective
        The entries of the case.
    part : str
        Which board.

    Returns
    -------
    str
        Empty where there is none.
    """
    drawn = [one for one in held.entries if one.shows == BOARD_DRAWING and part_of(one) == part]
    return drawn[-1].id if drawn else ""


def save_drawing(
    folder: Path | str,
    data: bytes,
    *,
    who: str,
    before: str | None,
    part: str = "",
    drawn_from: str = "",
    note: str = "",
    now: datetime | None = None,
) -> Added:
    """File a drawing that was made over another: the next version of its part, in whose place it comes.

    Parameters
    ----------
    folder : Path or str
        The case.
    data : bytes
        The drawing, GeoJSON in UTF-8.
    who : str
        Who drew it.
    before : str or None
        The entry of the version it was made over, empty where there was none; None to file it over whatever counts.
    part : str
        Of which board it is.
    drawn_from : str
        What it was drawn from, a word of the vocabulary.
    note : str
        Anything else.
    now : datetime, optional
        The instant of writing; the clock's where left out.

    Returns
    -------
    Added
        The entry, and remarks.

    Raises
    ------
    ConflictError
        Another version was filed since; nothing was written, and both are to be looked at.
    CaptureError
        It is no drawing; nothing was written.
    CaseError
        The drawing is the newest version already, or the entry is not as it must be.
    StorageError
        The disk refused.
    """
    written = now or clock()
    newest = newest_drawing(open_bench(folder).case.effective(), part)
    if before is not None and before != newest:
        there = (
            f"another version of this drawing was filed since yours was opened (entry {newest})"
            if before
            else f"a drawing of this board is there already (entry {newest})"
        )
        raise ConflictError(
            f"{there}; nothing was written and nothing is lost: look at it beside yours, then file yours over it, and "
            "both stay"
        )
    conditions = {"part": part, "drawn from": drawn_from}
    with tempfile.TemporaryDirectory(prefix="coldpin-") as place:
        path = Path(place) / FILE
        path.write_bytes(data)
        return add_evidence(
            folder,
            path,
            shows=BOARD_DRAWING,
            who=who,
            conditions={name: value for name, value in conditions.items() if value},
            note=note,
            now=written,
        )


def scale_of(calibration: Calibration) -> PhotoReading | None:
    """Return what the picture under a drawing says of itself.

    Parameters
    ----------
    calibration : Calibration
        Its calibration.

    Returns
    -------
    PhotoReading or None
        None where it cannot be fitted, or the size of the picture is not known.
    """
    if calibration.picture_size_px is None:
        return None
    facts = PhotoFacts(
        name="",
        sha256=calibration.picture,
        size_px=calibration.picture_size_px,
        at_s=None,
        focal_px=None,
        lens_mm=calibration.camera_height_mm,
        card=None,
    )
    try:
        plane = fit_plane(calibration)
        return read_plane(facts, calibration, plane, remarks=plane.remarks)
    except InputError:
        return None


def _laid(board: BoardModel) -> FaceReading | None:
    """Return how the other face lies; marks that do not fit are told when it is to be shown."""
    if board.other_face is None:
        return None
    try:
        return reading_of(board)
    except InputError:
        return None


def _photograph_of(held: Effective, calibration: Calibration | None) -> str:
    if calibration is None or not calibration.picture:
        return ""
    pictures = (one for one in held.entries if is_picture(one))
    return next((one.id for one in pictures if one.evidence and one.evidence.sha256 == calibration.picture), "")


def _view(board: BoardModel) -> tuple[float, float, float, float]:
    """Return the whole picture, or where there is none what is drawn with a margin; y down."""
    calibration = board.calibration
    if calibration is not None and calibration.picture_size_px is not None:
        width, height = calibration.picture_size_px
        return 0.0, 0.0, float(width), float(height)
    return _near(board)


def _near(board: BoardModel) -> tuple[float, float, float, float]:
    corners = np.concatenate([_down(shape.outline, board) for shape in board.features])
    low, high = corners.min(axis=0), corners.max(axis=0)
    margin = MARGIN * float((high - low).max())
    left, top = (low - margin).tolist()
    width, height = (high - low + 2.0 * margin).tolist()
    return left, top, width, height


def _down(ring: NDArray[np.float64], board: BoardModel) -> NDArray[np.float64]:
    """Return a ring with y down, as a sheet is looked at."""
    return ring * (1.0, -1.0) if board.calibration is None else ring


def _shapes(board: BoardModel) -> tuple[SheetShape, ...]:
    return tuple(
        SheetShape(
            name=shape.name,
            role=shape.role.value,
            net=shape.net,
            group=shape.group,
            rings=tuple(
                tuple((float(x), float(y)) for x, y in _down(ring, board)) for ring in (shape.outline, *shape.openings)
            ),
        )
        for shape in board.features
    )

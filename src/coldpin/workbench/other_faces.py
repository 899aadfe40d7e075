"""The photograph of the other face under a drawing: how it lies, and the picture itself, mirrored and put in place."""

from __future__ import annotations

import io
import math
from functools import lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.board_file import parse_faces
from coldpin.capture.photo import read_colours
from coldpin.casefile.corrections import Effective
from coldpin.casefile.evidence import require_same
from coldpin.errors import InputError, UnknownName
from coldpin.insulation.other_face import LaidFace, lay_other_face
from coldpin.records.board import BoardModel
from coldpin.records.by_content import ByContent
from coldpin.records.drawing_sheet import FaceReading, OtherPicture
from coldpin.records.entry import Entry
from coldpin.workbench.shelving import open_bench

PHOTOGRAPH = "photograph"
"""What a filed picture is called among pieces of evidence."""

PIECES = 48
"""Ours: the picture is laid piece by piece, so many across and down; within one what the lens bends is far under a
pixel."""

QUALITY = 90
"""Of the JPEG that is looked at, of 100; edges are found in what was laid, not in it."""

UNSEEN = (32, 40, 44)
"""Where the other picture does not reach: the ground of the sheet. [1]"""

ODD = 2.0
"""Ours: marks that miss their places by so many times what they were picked with are asked about. [1]"""

_DIGITS = 4
"""Decimals of a millimetre or pixel, far below what is picked."""

WHERE = "as it is drawn"


def is_picture(entry: Entry) -> bool:
    """Return whether an entry filed a photograph.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    bool
        Of a file that is in the case.
    """
    return entry.evidence is not None and entry.evidence.media == PHOTOGRAPH and bool(entry.evidence.file)


def other_pictures(held: Effective, photograph: str) -> tuple[OtherPicture, ...]:
    """Return the photographs of a case that may be of the other face.

    Parameters
    ----------
    held : Effective
        The entries that count.
    photograph : str
        The entry of the picture that is drawn on.

    Returns
    -------
    tuple of OtherPicture
        The newest first; none where no picture is drawn on.
    """
    pictures = (one for one in held.entries[::-1] if photograph and is_picture(one) and one.id != photograph)
    return tuple(
        OtherPicture(entry=one.id, called=one.conditions.get("of") or one.shows, picture=one.evidence.sha256)
        for one in pictures
        if one.evidence is not None
    )


def read_other_face(data: bytes) -> FaceReading:
    """Say how the photograph of the other face lies under a drawing.

    Parameters
    ----------
    data : bytes
        The drawing, GeoJSON in UTF-8, on which nothing may be drawn yet.

    Returns
    -------
    FaceReading
        With how well it is known.

    Raises
    ------
    CaptureError
        It is no drawing.
    InputError
        It names no photograph of the other face, or the marks do not fit one.
    """
    return reading_of(parse_faces(data, where=WHERE))


def reading_of(board: BoardModel) -> FaceReading:
    """Say how the photograph of the other face lies under a board as read.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    FaceReading
        With how well it is known.

    Raises
    ------
    InputError
        It names no photograph of the other face, or the marks do not fit one.
    """
    laid = _laid(board)
    assert board.other_face is not None
    places = np.concatenate([board.other_face.drawn, *(shape.outline for shape in board.features)])
    (left, top), (right, bottom) = places.min(axis=0), places.max(axis=0)
    spread = laid.spread_mm(np.array([[left, top], [right, top], [right, bottom], [left, bottom]]))
    pixel = laid.drawn_pixel_mm(places.mean(axis=0))
    u_mm, within = spread or (None, None)
    return FaceReading(
        schema="coldpin.other_face/1",
        picture=board.other_face.picture,
        marks=len(board.other_face.drawn),
        misses_mm=tuple(round(float(one), _DIGITS) for one in laid.misses_mm),
        u_mm=None if u_mm is None else round(u_mm, _DIGITS),
        u_px=None if u_mm is None else round(u_mm / pixel, _DIGITS),
        within_mm=None if within is None else math.ceil(100.0 * within) / 100.0,
        remarks=_remarks(laid),
    )


def _laid(board: BoardModel) -> LaidFace:
    if board.other_face is None or board.calibration is None:
        raise InputError(
            "no photograph of the other face is laid under this drawing: choose one, and mark two places or more that "
            "are seen in both"
        )
    return lay_other_face(board.calibration, board.other_face)


def _remarks(laid: LaidFace) -> tuple[str, ...]:
    told = []
    count = len(laid.misses_mm)
    if laid.plane.square:
        told.append(
            f"{count} marks do not show how the other picture was tilted, and that is in its uncertainty: four or more "
            "near the corners of the board do"
        )
    if laid.wider is None:
        told.append("a mark in a wrong place would not be seen: put one more than these")
    elif laid.wider > ODD:
        worst = int(np.argmax(laid.misses_mm))
        told.append(
            f"the marks miss their places, mark {worst + 1} by {laid.misses_mm[worst]:.2g} mm, more than they were "
            "picked with: is each the same place on both faces?"
        )
    if laid.plane.covariance is None:
        told.append("with what uncertainty corners are picked is not stated, so it is not known how well it lies")
    return tuple(told)


def laid_colours(folder: Path | str, data: bytes) -> NDArray[np.uint8]:
    """Return the photograph of the other face as it lies under a drawing: seen through the board.

    Parameters
    ----------
    folder : Path or str
        The case.
    data : bytes
        The drawing, GeoJSON in UTF-8.

    Returns
    -------
    NDArray[np.uint8]
        Array of shape (height, width, 3), pixel by pixel on the picture that is drawn over.

    Raises
    ------
    UnknownName
        The case has no such photograph.
    CaptureError
        It is no drawing, or the photograph cannot be read.
    InputError
        The marks do not fit, or the size of the picture that is drawn over is not known.
    CaseError
        The case cannot be read, or the photograph was changed since it was filed.
    MissingExtra
        The library that reads pictures is not installed.
    """
    board = parse_faces(data, where=WHERE)
    case = open_bench(folder).case
    laid = _laid(board)
    assert board.other_face is not None
    assert board.calibration is not None
    size = board.calibration.picture_size_px
    if size is None:
        raise InputError("the size of the picture that is drawn over is not in its scale: calibrate it anew")
    filed = {one.evidence.sha256: one.evidence for one in case.entries().entries if one.evidence and is_picture(one)}
    if board.other_face.picture not in filed:
        raise UnknownName.among("photograph", board.other_face.picture, filed)
    path = case.evidence_path(filed[board.other_face.picture])
    require_same(path, board.other_face.picture)
    return _put_in_place(str(path), ByContent((laid, size)))


@lru_cache(maxsize=1)
def _put_in_place(path: str, asked: ByContent[tuple[LaidFace, tuple[int, int]]]) -> NDArray[np.uint8]:
    """Lay a picture once for all that is looked for in it; a mesh of straight pieces follows tilt and lens."""
    from PIL import Image

    laid, (width, height) = asked.given
    across, down = (np.linspace(0, side, PIECES + 1).round().astype(int) for side in (width, height))
    nodes = np.stack(np.meshgrid(across, down), axis=-1)
    # the library counts from the corner of the first pixel, a drawing from its middle
    seen = laid.to_other_px(nodes.reshape(-1, 2) - 0.5).reshape(nodes.shape) + 0.5
    mesh = [
        (
            (across[i], down[j], across[i + 1], down[j + 1]),
            tuple(np.concatenate([seen[j, i], seen[j + 1, i], seen[j + 1, i + 1], seen[j, i + 1]]).tolist()),
        )
        for j in range(PIECES)
        for i in range(PIECES)
        if across[i] < across[i + 1] and down[j] < down[j + 1]
    ]
    picture = Image.fromarray(read_colours(path))
    under = picture.transform(
        (width, height), Image.Transform.MESH, mesh, resample=Image.Resampling.BICUBIC, fillcolor=UNSEEN
    )
    return np.asarray(under)


def laid_picture(folder: Path | str, data: bytes) -> bytes:
    """Return the photograph of the other face as it lies under a drawing, to be looked at.

    Parameters
    ----------
    folder : Path or str
        The case.
    data : bytes
        The drawing, GeoJSON in UTF-8.

    Returns
    -------
    bytes
        JPEG, of the size of the picture that is drawn over.

    Raises
    ------
    UnknownName
        The case has no such photograph.
    CaptureError
        It is no drawing, or the photograph cannot be read.
    InputError
        The marks do not fit, or the size of the picture that is drawn over is not known.
    CaseError
        The case cannot be read, or the photograph was changed since it was filed.
    MissingExtra
        The library that reads pictures is not installed.
    """
    from PIL import Image

    held = io.BytesIO()
    Image.fromarray(laid_colours(folder, data)).save(held, format="JPEG", quality=QUALITY)
    return held.getvalue()

"""The photograph under a drawing: laid flat for the report, upright to draw on."""

from __future__ import annotations

import base64
import io
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.photo import picture_facts, read_colours
from coldpin.checks import BoardEvidence
from coldpin.errors import InputError, MissingExtra
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.corner_scatter import in_millimetres
from coldpin.records.board import BoardModel, Calibration
from coldpin.records.entry import Entry
from coldpin.records.inside import BoardPhotograph
from coldpin.records.keeping import Keeping, made_anew
from coldpin.workbench.capture_reading import sha256_of
from coldpin.workbench.shelving import Bench

_WIDEST_PX = 900
_HIGHEST_PX = 900
"""The picture in a report is no larger than can be seen there. [px]"""
_QUALITY = 78
"""Of the JPEG, of 100."""
_PALE = 0.6
"""How much of its contrast with white the picture keeps, so that lines on it stand out."""
_WHITE = 255.0
_MARGIN_MM = 1.0
"""Beyond the outermost shape. [mm]"""


def board_photograph(
    bench: Bench, entries: tuple[Entry, ...], drawn: BoardEvidence, *, keep: Keeping = made_anew
) -> BoardPhotograph | None:
    """Return the photograph that a drawing was made over, laid flat in the plane of the board.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entries : tuple of Entry
        The entries that count.
    drawn : BoardEvidence
        The drawing.
    keep : Keeping
        Gives back what was made before.

    Returns
    -------
    BoardPhotograph or None
        None where it was made over none, where that is not in the case or cannot be read here, or where the face lies
        above the plane that was calibrated, so that drawing and picture would not lie on each other.
    """
    calibration = drawn.board.calibration
    if calibration is None or calibration.face_above_mm:
        return None
    filed = (one for one in entries if one.evidence is not None and one.evidence.file)
    photo = next((one for one in filed if one.evidence and one.evidence.sha256 == calibration.picture), None)
    if photo is None or photo.evidence is None:
        return None
    try:
        path = bench.case.evidence_path(photo.evidence)
        before = sha256_of(path)
    except InputError:
        return None
    return keep(
        "photograph of a board",
        (drawn.board, photo.id, before),
        lambda: _flat(path, drawn.board, calibration, photo.id),
        unchanged=lambda: sha256_of(path) == before,
    )


SHOWN_AS_THEY_ARE = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp"}
"""Forms of pictures that every browser shows."""

_SHOWN_QUALITY = 92
"""Of the JPEG that is drawn on where the file itself cannot be shown, of 100; edges are found in the file itself."""


def picture_upright(path: Path, *, within_px: int | None = None) -> tuple[bytes, str]:
    """Return a photograph as it is drawn on: upright, its pixels those that are measured in.

    Parameters
    ----------
    path : Path
        The photograph.
    within_px : int, optional
        No wider and no higher than this, for a print of it; whole where left out. [px]

    Returns
    -------
    tuple of (bytes, str)
        A picture that a browser shows, and its media type; the file itself where that is one and stored upright.

    Raises
    ------
    CaptureError
        It is no picture that is read here.
    MissingExtra
        The library that reads pictures is not installed.
    """
    facts = picture_facts(path)
    if within_px is not None and within_px < max(facts.size_px):
        return _as_jpeg(read_colours(path), within_px=within_px), SHOWN_AS_THEY_ARE["JPEG"]
    if facts.stored_upright and facts.form in SHOWN_AS_THEY_ARE:
        return path.read_bytes(), SHOWN_AS_THEY_ARE[facts.form]
    return _as_jpeg(read_colours(path), quality=_SHOWN_QUALITY), SHOWN_AS_THEY_ARE["JPEG"]


def _flat(path: Path, board: BoardModel, calibration: Calibration, entry: str) -> BoardPhotograph | None:
    try:
        pixels = read_colours(path)
        plane = fit_plane(calibration)
        corners = np.concatenate([shape.outline for shape in in_millimetres(board).features])
    except (InputError, MissingExtra):
        return None
    low, high = corners.min(axis=0) - _MARGIN_MM, corners.max(axis=0) + _MARGIN_MM
    size = high - low
    scale = min(_WIDEST_PX / size[0], _HIGHEST_PX / size[1])
    columns, rows = (max(int(scale * side), 1) for side in size)
    across = low[0] + (np.arange(columns) + 0.5) * size[0] / columns
    down = high[1] - (np.arange(rows) + 0.5) * size[1] / rows
    grid = np.stack(np.meshgrid(across, down), axis=-1).reshape(-1, 2)
    flat = _sampled(pixels, plane.to_px(grid)).reshape(rows, columns, 3)
    return BoardPhotograph(
        entry=entry,
        jpeg=base64.b64encode(_as_jpeg(flat)).decode("ascii"),
        low_mm=(float(low[0]), float(low[1])),
        high_mm=(float(high[0]), float(high[1])),
    )


def _sampled(pixels: NDArray[np.uint8], places: NDArray[np.float64]) -> NDArray[np.uint8]:
    """Return the nearest pixel of each place; white where the picture does not reach. [px]"""
    nearest = np.rint(places).astype(np.int64)
    height, width = pixels.shape[:2]
    inside = ((nearest >= 0) & (nearest < [width, height])).all(axis=1)
    found = np.full((len(places), 3), _WHITE)
    found[inside] = pixels[nearest[inside, 1], nearest[inside, 0]]
    return np.asarray(_WHITE - _PALE * (_WHITE - found), dtype=np.uint8)


def _as_jpeg(pixels: NDArray[np.uint8], *, quality: int = _QUALITY, within_px: int | None = None) -> bytes:
    from PIL import Image

    held = io.BytesIO()
    picture = Image.fromarray(pixels)
    if within_px is not None:
        picture.thumbnail((within_px, within_px))
    picture.save(held, format="JPEG", quality=quality, optimize=True)
    return held.getvalue()

"""The photograph of the other face in a drawing's file: by which marks it was laid under it.

.. code-block:: text

    "other_face": {"picture": "<sha256>", "picture_size_px": [4000, 3000],
                   "marks": [{"at": [412, 388], "px": [3391, 402]}, ...]}

``at`` is a place of the drawing, ``px`` the same in the other picture as it was taken.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from coldpin.capture.board_place import Place, shown
from coldpin.capture.board_scale import read_pair, read_sha256, read_size
from coldpin.records.board import Calibration, OtherFace

FEWEST_MARKS = 2
"""Marks by which a picture can be turned, stretched and moved."""

MOST_MARKS = 200
"""Ours: marks of one drawing; each was put by hand."""

_KNOWN = ("picture", "picture_size_px", "marks")
_MARK = '{"at": [x, y], "px": [x, y]}, a place of the drawing and the same in the other picture'


def read_other_face(plain: object, calibration: Calibration | None, place: Place) -> OtherFace | None:
    """Read the other face of a drawing.

    Parameters
    ----------
    plain : object
        The member ``other_face``, as the JSON reader returned it.
    calibration : Calibration or None
        The scale of the drawing, None where it is in millimetres.
    place : Place
        The drawing.

    Returns
    -------
    OtherFace or None
        None where there is none.

    Raises
    ------
    CaptureError
        The drawing is over no picture, a member is missing, misspelt or of another kind, or two marks coincide.
    """
    if plain is None:
        return None
    if not isinstance(plain, dict):
        raise place.error(f"other_face is {shown(plain)}: write picture, picture_size_px and marks, or leave it out")
    if calibration is None:
        raise place.error("a picture of the other_face is laid under a drawing over a photograph; this has none")
    unknown = next((name for name in plain if name not in _KNOWN), None)
    if unknown is not None:
        raise place.error(f"other_face has the unknown member {shown(unknown)}: known are {', '.join(_KNOWN)}")
    picture = read_sha256(plain.get("picture"), "other_face.picture", place)
    size = read_size(plain.get("picture_size_px"), "other_face.picture_size_px", place)
    if not picture or size is None:
        raise place.error("other_face has no picture or no picture_size_px: write both, so that it is found again")
    marks = plain.get("marks")
    if not isinstance(marks, list) or not FEWEST_MARKS <= len(marks) <= MOST_MARKS:
        found = f"{len(marks)} marks" if isinstance(marks, list) else shown(marks)
        raise place.error(f"other_face has {found}: give {FEWEST_MARKS} to {MOST_MARKS}, each {_MARK}")
    read = [_mark(mark, number, place) for number, mark in enumerate(marks, start=1)]
    drawn, seen = (np.array(half) for half in zip(*read, strict=True))
    for half, where in ((drawn, "the drawing"), (seen, "the other picture")):
        if len(np.unique(half, axis=0)) < len(half):
            raise place.error(f"two marks of other_face have one place in {where}: take one out, or correct it")
    return OtherFace(picture=picture, picture_size_px=size, drawn=drawn, seen_px=seen)


def _mark(mark: object, number: int, place: Place) -> tuple[tuple[float, float], tuple[float, float]]:
    if not isinstance(mark, dict):
        raise place.error(f"other_face, mark {number} is {shown(mark)}: write {_MARK}")
    at = read_pair(mark.get("at"), place, f"other_face, mark {number}, at")
    return at, read_pair(mark.get("px"), place, f"other_face, mark {number}, px")


def plain_other_face(other: OtherFace) -> dict[str, Any]:
    """Return the member ``other_face`` of a drawing.

    Parameters
    ----------
    other : OtherFace
        The photograph, and the marks.

    Returns
    -------
    dict
        As the JSON writer takes it.
    """
    pairs = zip(other.drawn.tolist(), other.seen_px.tolist(), strict=True)
    return {
        "picture": other.picture,
        "picture_size_px": list(other.picture_size_px),
        "marks": [{"at": at, "px": px} for at, px in pairs],
    }

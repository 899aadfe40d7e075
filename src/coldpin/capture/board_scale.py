"""The scale of a drawing of a board: millimetres, or pixels of a picture with the points that tell their size."""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from coldpin.capture.board_place import Place, shown
from coldpin.records.board import Calibration

METHODS = ("card", "rectangle", "pitch")
"""How pixels were calibrated."""

_MILLIMETRES = ("unit", "pick_u_mm")
_PIXELS = (
    *("unit", "method", "points", "found_u_px", "pick_u_px", "length_u_relative", "camera_height_mm"),
    *("picture", "picture_size_px", "face_above_mm"),
)
_FEWEST_POINTS = 2
_MOST_POINTS = 10_000
_SHA256 = re.compile(r"[0-9a-f]{64}")
_UNITS = {"mm": "mm", "millimetre": "mm", "millimetres": "mm", "px": "px", "pixel": "px", "pixels": "px"}


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnScale:
    """What the member ``scale`` says: a calibration for a drawing in pixels, else how well corners were picked. [mm]"""

    calibration: Calibration | None = None
    pick_u_mm: float | None = None


def read_scale(plain: object, place: Place) -> DrawnScale:
    """Read the scale of a drawing.

    Parameters
    ----------
    plain : object
        The member ``scale``, as the JSON reader returned it.
    place : Place
        The drawing.

    Returns
    -------
    DrawnScale
        The scale.

    Raises
    ------
    CaptureError
        There is none, its unit is not known, or pixels come without points that tell their size.
    """
    if not isinstance(plain, dict):
        raise place.error(
            f"the member scale is {'missing' if plain is None else shown(plain)}: a drawing without scale tells no "
            'distance; add "scale": {"unit": "mm"}, or pixels with their calibration'
        )
    given = place.word(plain.get("unit"), "scale.unit", _UNITS)
    if not given:
        raise place.error('scale has no unit: write "mm", or "px" with the calibration')
    if _UNITS[given] == "mm":
        _refuse_unknown(plain, _MILLIMETRES, place)
        return DrawnScale(pick_u_mm=place.optional(plain, "pick_u_mm", above=0.0))
    return DrawnScale(calibration=_calibration(plain, place))


def plain_scale(calibration: Calibration | None, pick_u_mm: float | None) -> dict[str, Any]:
    """Return the member ``scale`` of a drawing.

    Parameters
    ----------
    calibration : Calibration or None
        None for a drawing in millimetres.
    pick_u_mm : float or None
        Standard uncertainty of each coordinate of a drawing in millimetres. [mm]

    Returns
    -------
    dict
        As the JSON writer takes it; what is not known is left out.
    """
    if calibration is None:
        return {"unit": "mm"} if pick_u_mm is None else {"unit": "mm", "pick_u_mm": pick_u_mm}
    pairs = zip(calibration.picture_px.tolist(), calibration.plane_mm.tolist(), strict=True)
    known = {name: getattr(calibration, name) for name in _PIXELS if name not in ("unit", "method", "points")}
    return {
        "unit": "px",
        "method": calibration.method,
        "points": [{"px": px, "mm": mm} for px, mm in pairs],
        **{name: value for name, value in known.items() if value not in (None, "")},
    }


def _calibration(plain: Mapping[str, Any], place: Place) -> Calibration:
    _refuse_unknown(plain, _PIXELS, place)
    method = place.word(plain.get("method"), "scale.method", METHODS)
    if not method:
        raise place.error(f"scale is in pixels and has no method: add one of {', '.join(METHODS)}")
    points = plain.get("points")
    if not isinstance(points, list) or not _FEWEST_POINTS <= len(points) <= _MOST_POINTS:
        found_instead = f"{len(points)} points" if isinstance(points, list) else shown(points)
        raise place.error(
            f"scale is in pixels and its points are {found_instead}: give at least {_FEWEST_POINTS}, "
            'each {"px": [x, y], "mm": [x, y]}, of which the true places are known'
        )
    found = [_point(point, place, number) for number, point in enumerate(points, start=1)]
    picture, plane = (np.array(half) for half in zip(*found, strict=True))
    for half, unit in ((picture, "px"), (plane, "mm")):
        if len(np.unique(half, axis=0)) < len(half):
            raise place.error(f"two points of the scale have one place [{unit}]: take one out, or correct it")
    return Calibration(
        method=method,
        picture_px=picture,
        plane_mm=plane,
        found_u_px=place.optional(plain, "found_u_px", above=0.0),
        pick_u_px=place.optional(plain, "pick_u_px", above=0.0),
        length_u_relative=place.optional(plain, "length_u_relative", least=0.0),
        camera_height_mm=place.optional(plain, "camera_height_mm", above=0.0),
        picture=read_sha256(plain.get("picture"), "scale.picture", place),
        face_above_mm=place.optional(plain, "face_above_mm"),
        picture_size_px=read_size(plain.get("picture_size_px"), "scale.picture_size_px", place),
    )


def read_size(given: object, what: str, place: Place) -> tuple[int, int] | None:
    """Read the size of a picture.

    Parameters
    ----------
    given : object
        As the JSON reader returned it.
    what : str
        What it is called in messages.
    place : Place
        The drawing.

    Returns
    -------
    tuple of int or None
        Pixels across and down; None where it is not said. [px]

    Raises
    ------
    CaptureError
        They are no whole numbers above zero.
    """
    if given is None:
        return None
    width, height = read_pair(given, place, what)
    if min(width, height) < 1 or not (width.is_integer() and height.is_integer()):
        raise place.error(f"{what} is {width:g} by {height:g}: write the pixels across and down, whole numbers")
    return int(width), int(height)


def read_sha256(given: object, what: str, place: Place) -> str:
    """Read by what a picture is known.

    Parameters
    ----------
    given : object
        As the JSON reader returned it.
    what : str
        What it is called in messages.
    place : Place
        The drawing.

    Returns
    -------
    str
        64 hexadecimal digits, empty where it is not said.

    Raises
    ------
    CaptureError
        It is something else.
    """
    sha256 = place.text(given, what)
    if sha256 and not _SHA256.fullmatch(sha256):
        raise place.error(f"{what} is {shown(sha256)}: write the sha256 of the picture, 64 hexadecimal digits")
    return sha256


def read_pair(given: object, place: Place, what: str) -> tuple[float, float]:
    """Read a place.

    Parameters
    ----------
    given : object
        As the JSON reader returned it.
    place : Place
        The drawing.
    what : str
        What it is called in messages.

    Returns
    -------
    tuple of float
        Both coordinates.

    Raises
    ------
    CaptureError
        It is no list of two numbers.
    """
    if not isinstance(given, list) or len(given) != 2:
        raise place.error(f"{what} is {shown(given)}: write two numbers, [x, y]")
    x, y = (place.number_of(value, what) for value in given)
    return x, y


def _point(point: object, place: Place, number: int) -> tuple[tuple[float, float], tuple[float, float]]:
    if not isinstance(point, dict):
        raise place.error(f'scale, point {number} is {shown(point)}: write {{"px": [x, y], "mm": [x, y]}}')
    return read_pair(point.get("px"), place, f"scale, point {number}, px"), read_pair(
        point.get("mm"), place, f"scale, point {number}, mm"
    )


def _refuse_unknown(plain: Mapping[str, Any], known: Sequence[str], place: Place) -> None:
    for name in plain:
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            hint = f"did you mean '{near[0]}'?" if near else f"known with this unit: {', '.join(known)}"
            raise place.error(f"scale has the unknown member {shown(name)}: {hint}")

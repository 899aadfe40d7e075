"""Lengths that were pointed out in a picture: a row of pins, a rectangle, a gap set by calliper."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.board import Calibration

Array = NDArray[np.float64]

_POINT = re.compile(r"([0-9]+(?:\.[0-9]+)?),([0-9]+(?:\.[0-9]+)?)")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownLength:
    """A length between two points of a picture; ``ends_px``: array of shape (2, 2)."""

    ends_px: Array
    length: Quantity


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class KnownRectangle:
    """A rectangle in a picture; ``corners_px``: array of shape (4, 2), clockwise as seen, from the upper left."""

    corners_px: Array
    width: Quantity
    height: Quantity


def parse_length(text: str) -> KnownLength:
    """Read a length that was pointed out in a picture.

    Parameters
    ----------
    text : str
        Two points in pixels, and the length between them: "100,50 1243,50 = 22.86 mm ± 0.02 mm".

    Returns
    -------
    KnownLength
        The length.

    Raises
    ------
    InputError
        It is not written so, or the length is not above 0.
    QuantityTextError
        The length cannot be read.
    UnitError
        Its unit is not one of a length.

    Examples
    --------
    >>> known = parse_length("100,50 1243,50 = 22.86 mm")
    >>> known.ends_px.tolist(), known.length.value
    ([[100.0, 50.0], [1243.0, 50.0]], 22.86)
    """
    points, told = _halves(text, "100,50 1243,50 = 22.86 mm")
    ends = _points(points, 2, text, "100,50 1243,50 = 22.86 mm")
    return KnownLength(ends_px=ends, length=_above_zero(told, text))


def parse_rectangle(text: str) -> KnownRectangle:
    """Read a rectangle that was pointed out in a picture.

    Parameters
    ----------
    text : str
        Four corners in pixels, clockwise as seen, then the side between the first two and that between the next:
        "100,100 1100,140 1060,760 140,700 = 50 mm x 30 mm".

    Returns
    -------
    KnownRectangle
        The rectangle.

    Raises
    ------
    InputError
        It is not written so, a side is not above 0, or the corners go the other way round or make no convex shape.
    QuantityTextError
        A side cannot be read.
    UnitError
        The unit of a side is not one of a length.

    Examples
    --------
    >>> known = parse_rectangle("100,100 1100,140 1060,760 140,700 = 50 mm x 30 mm")
    >>> known.width.value, known.height.value
    (50.0, 30.0)
    """
    example = "100,100 1100,140 1060,760 140,700 = 50 mm x 30 mm"
    points, told = _halves(text, example)
    corners = _points(points, 4, text, example)
    width, sign, height = re.sub("[×X]", "x", told).partition("x")
    if not sign:
        raise InputError(f"{text!r} names no two sides: write it as {example!r}")
    edges = np.roll(corners, -1, axis=0) - corners
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    if not np.all(turns > 0.0):
        raise InputError(
            f"the corners of {text!r} do not run clockwise round a rectangle as it is seen: give upper left, upper "
            "right, lower right, lower left"
        )
    return KnownRectangle(corners_px=corners, width=_above_zero(width, text), height=_above_zero(height, text))


def calibrate_by_hand(
    known: KnownLength | KnownRectangle,
    *,
    size_px: tuple[int, int],
    pick_u_px: float | None,
    camera_height_mm: float | None = None,
    picture: str = "",
) -> Calibration:
    """Return the calibration by a length or a rectangle that was pointed out.

    Parameters
    ----------
    known : KnownLength or KnownRectangle
        What was pointed out.
    size_px : tuple of int
        Width and height of the picture. [px]
    pick_u_px : float or None
        Standard uncertainty of each coordinate picked, here and in the drawing; None where not known. [px]
    camera_height_mm : float or None
        Distance of the lens from the plane; None where it was not measured. [mm]
    picture : str
        SHA-256 of the picture.

    Returns
    -------
    Calibration
        What goes into a board's file.

    Raises
    ------
    InputError
        A point lies outside the picture.
    """
    if isinstance(known, KnownLength):
        method, points = "pitch", known.ends_px
        plane = np.array([[0.0, 0.0], [known.length.value, 0.0]])
        relative = _relative(known.length)
    else:
        method, points = "rectangle", known.corners_px
        width, height = known.width.value, known.height.value
        plane = np.array([[0.0, height], [width, height], [width, 0.0], [0.0, 0.0]])
        sides = (_relative(known.width), _relative(known.height))
        relative = None if None in sides else max(side for side in sides if side is not None)
    if np.any(points < 0.0) or np.any(points > np.array(size_px) - 1.0):
        raise InputError(f"a point lies outside the picture, which has {size_px[0]} × {size_px[1]} pixels: correct it")
    return Calibration(
        method=method,
        picture_px=points,
        plane_mm=plane,
        found_u_px=pick_u_px,
        pick_u_px=pick_u_px,
        length_u_relative=relative,
        camera_height_mm=camera_height_mm,
        picture=picture,
        picture_size_px=size_px,
    )


def _halves(text: str, example: str) -> tuple[str, str]:
    points, sign, told = text.partition("=")
    if not sign:
        raise InputError(f"{text!r} does not say what it stands for: write it as {example!r}")
    return points, told


def _points(text: str, count: int, whole: str, example: str) -> Array:
    found = [_POINT.fullmatch(part) for part in text.split()]
    if len(found) != count or None in found:
        raise InputError(f"{whole!r} is not read: give {count} points in pixels and what they stand for, {example!r}")
    points = np.array([[float(one[1]), float(one[2])] for one in found if one is not None])
    if len(np.unique(points, axis=0)) < count:
        raise InputError(f"two points of {whole!r} are the same: correct one of them")
    return points


def _above_zero(text: str, whole: str) -> Quantity:
    found = parse_quantity(text.strip(), "mm")
    if not 0.0 < found.value < math.inf:
        raise InputError(f"the length in {whole!r} must be above 0")
    return found


def _relative(length: Quantity) -> float | None:
    return None if length.u is None else length.u / length.value

"""From one point in a picture to the outline of all that looks like it and hangs together with it: a proposal.

It helps to draw, it does not measure. What it finds is as coarse as a pixel and stops where the colour changes: copper
under a solder mask, shadows and print mislead it. So it says what is odd about its find, and a person confirms it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from coldpin.errors import InputError
from coldpin.insulation.opencv import load_opencv
from coldpin.records.outline_proposal import OutlineProposal

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

TOLERANCE = 12.0
"""Ours: colours within this of that of the point belong to it, in units of L*a*b*, of which one is just seen. [1]"""

SMOOTHING_PX = 1.0
"""Ours: width of the blur that takes grain away before colours are compared. [px]"""

AROUND_PX = 2
"""Ours: the colour is the median of a square that reaches so far around the point. [px]"""

CORNERS_WITHIN_PX = 1.0
"""Ours: the outline is drawn with as few corners as stay within this of it. [px]"""

LEAST_PX = 30.0
"""Ours: a smaller area, or hole in it, is grain. [px²]"""

OTHER_TOLERANCE = 1.3
"""Ours: the find is repeated with a tolerance larger and smaller by this factor. [1]"""

UNSTEADY = 0.15
"""Ours: an area that changes by more than this part with the tolerance has no sharp border. [1]"""

MOST_OF_PICTURE = 0.4
"""Ours: a find that covers more of the picture than this has run out. [1]"""

FIRST_PART_PX = 200
"""Ours: how far around the point is looked first; copper beside a slot is rarely larger. [px]"""

LARGER = 3
"""Ours: the next part that is looked at reaches so many times as far. [1]"""

CLEAR_PX = 16
"""Ours: a find nearer than this to the edge of the part may go on beyond, or feel the blur end there. [px]"""

COARSE_U_PX = 1.0
"""Ours: standard uncertainty of a corner found so, beside what another tolerance moves it by. [px]"""


def grow_region(
    picture: NDArray[np.uint8], point_px: tuple[float, float], *, tolerance: float = TOLERANCE
) -> OutlineProposal:
    """Propose the outline of what looks like a point of a picture and hangs together with it.

    Parameters
    ----------
    picture : NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.
    point_px : tuple of float
        A point inside, x to the right and y down. [px]
    tolerance : float
        How far a colour may be from that of the point, in units of L*a*b*. [1]

    Returns
    -------
    OutlineProposal
        To be looked at, with what is odd about it.

    Raises
    ------
    InputError
        The picture is no picture, the point lies outside it, the tolerance is not above 0, or nothing larger than
        grain hangs together there.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    if picture.ndim != 3 or picture.shape[2] != 3 or picture.dtype != np.uint8:
        raise InputError(f"the picture has shape {picture.shape}: rows, columns and three colours of 8 bits are needed")
    height, width = picture.shape[:2]
    x, y = point_px
    if not (0.0 <= x <= width - 1.0 and 0.0 <= y <= height - 1.0):
        raise InputError(f"point ({x:g}, {y:g}) lies outside the picture of {width} × {height} pixels: give one inside")
    if not (math.isfinite(tolerance) and tolerance > 0.0):
        raise InputError(f"tolerance {tolerance:g}: it must be above 0; usual is {TOLERANCE:g}")
    find = _find(picture, (round(y), round(x)), tolerance)
    area, others, corner = find.area, find.others, find.corner_px
    size = float(area.sum())
    if size < LEAST_PX:
        raise InputError(
            f"nothing larger than grain hangs together at ({x:g}, {y:g}): give a point farther inside, or a larger "
            "tolerance"
        )
    outline = _largest(_traced(_with_rim(area)).simplify(CORNERS_WITHIN_PX))
    corners = shapely.get_coordinates(outline.exterior)[:-1]
    far = [_far_from_rim(other) for other in others]
    openings = tuple(shapely.get_coordinates(ring)[:-1] for ring in outline.interiors)
    return OutlineProposal(
        outline_px=corners + corner,
        openings_px=tuple(ring + corner for ring in openings),
        corner_u_px=_steadiness(corners, far),
        openings_u_px=tuple(_steadiness(ring, far) for ring in openings),
        made_by=f"grown from the point ({x:g}, {y:g}) within {tolerance:g} of its colour",
        remarks=_remarks(find, size, [float(other.sum()) for other in others], width * height),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Find:
    """What hangs together with a point, by three tolerances, in the part of the picture that was looked at.

    ``corner_px`` is where that part begins, ``at_edge`` says whether the find runs to the edge of the picture.
    """

    area: Mask
    others: list[Mask]
    corner_px: Array
    at_edge: bool


def _find(picture: NDArray[np.uint8], at: tuple[int, int], tolerance: float) -> _Find:
    """Look in a part of the picture around a point, and in a larger one where the find is not clear of its edge.

    What is clear of the edge is the same in every larger part, so it is what the whole picture gives.
    """
    size, point = np.array(picture.shape[:2]), np.array(at)
    half = FIRST_PART_PX
    while True:
        low, high = np.maximum(point - half, 0), np.minimum(point + half + 1, size)
        distance = _colour_distance(picture[low[0] : high[0], low[1] : high[1]], at - low)
        found = [_region(distance, at - low, tolerance * by) for by in (1.0, OTHER_TOLERANCE, 1.0 / OTHER_TOLERANCE)]
        widest = found[1]
        cut = (low > 0, high < size)
        if not any(cut[end][axis] and _near_side(widest, axis, end, CLEAR_PX) for end in (0, 1) for axis in (0, 1)):
            break
        half *= LARGER
    return _Find(
        area=found[0],
        others=found[1:],
        corner_px=low[::-1].astype(np.float64),
        at_edge=any(not cut[end][axis] and _near_side(found[0], axis, end, 1) for end in (0, 1) for axis in (0, 1)),
    )


def _near_side(area: Mask, axis: int, end: int, within: int) -> bool:
    """Say whether an area comes near to a side of the part that was looked at: its first or last rows or columns."""
    span = slice(None, within) if end == 0 else slice(-within, None)
    return bool((area[span] if axis == 0 else area[:, span]).any())


def _colour_distance(picture: NDArray[np.uint8], at: NDArray[np.int64]) -> NDArray[np.float32]:
    cv2 = load_opencv("growing a region of a picture")
    smooth = cv2.GaussianBlur(picture.astype(np.float32) / np.float32(np.iinfo(np.uint8).max), (0, 0), SMOOTHING_PX)
    # half as fine as usual: a picture of a telephone has fifty million pixels
    colours = np.asarray(cv2.cvtColor(smooth, cv2.COLOR_RGB2LAB), dtype=np.float32)
    row, column = at
    near = colours[
        max(row - AROUND_PX, 0) : row + AROUND_PX + 1, max(column - AROUND_PX, 0) : column + AROUND_PX + 1
    ].reshape(-1, 3)
    return np.asarray(np.linalg.norm(colours - np.median(near, axis=0), axis=2))


def _region(distance: NDArray[np.float32], at: NDArray[np.int64], tolerance: float) -> Mask:
    """Return what hangs together with a place, small holes filled and hairs of a pixel cut off."""
    from scipy import ndimage

    like = ndimage.binary_opening(distance <= tolerance, structure=np.ones((3, 3), dtype=bool))
    place = (int(at[0]), int(at[1]))
    like[place] = True
    labels, _ = ndimage.label(like)
    area = labels == labels[place]
    holes, count = ndimage.label(~area)
    small = np.flatnonzero(ndimage.sum_labels(~area, holes, np.arange(1, count + 1)) < LEAST_PX) + 1
    return np.asarray(area | np.isin(holes, small))


def _far_from_rim(area: Mask) -> NDArray[np.float32]:
    """Return how far each pixel lies from the rim of an area. [px]"""
    cv2 = load_opencv("growing a region of a picture")
    grown = _with_rim(area).astype(np.uint8)
    inner = cv2.erode(grown, np.ones((3, 3), dtype=np.uint8))
    return np.asarray(cv2.distanceTransform(1 - (grown - inner), cv2.DIST_L2, cv2.DIST_MASK_5), dtype=np.float32)


def _steadiness(corners: Array, far: list[NDArray[np.float32]]) -> Array:
    """Return the standard uncertainty of corners: coarse, and how far from the rims found otherwise. [px]"""
    height, width = far[0].shape
    columns, rows = np.clip(np.rint(corners).astype(np.int64), 0, [width - 1, height - 1]).T
    moved = np.max([one[rows, columns] for one in far], axis=0) - CORNERS_WITHIN_PX
    return np.asarray(np.hypot(COARSE_U_PX, np.maximum(moved, 0.0)), dtype=np.float64)


@dataclass(frozen=True, slots=True)
class _Ring:
    corners: Array
    hole: bool


def _with_rim(area: Mask) -> Mask:
    """Return an area with the pixel along its rim that the blur took away."""
    from scipy import ndimage

    return np.asarray(ndimage.binary_dilation(area, structure=np.ones((3, 3), dtype=bool)))


def _traced(area: Mask) -> shapely.Polygon:
    """Return the polygon whose rim runs along the outer edges of the pixels of an area."""
    cv2 = load_opencv("growing a region of a picture")
    # four times as fine, so that the rim of a pixel and not its middle is followed
    fine = 4
    rows, columns = np.flatnonzero(area.any(axis=1)), np.flatnonzero(area.any(axis=0))
    top, left = int(rows[0]), int(columns[0])
    part = area[top : rows[-1] + 1, left : columns[-1] + 1]
    enlarged = np.pad(np.kron(part, np.ones((fine, fine), dtype=np.uint8)).astype(np.uint8), 1)
    found, order = cv2.findContours(enlarged, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    rings = [
        _Ring((np.asarray(ring, dtype=np.float64)[:, 0] - 0.5) / fine - 0.5 + [left, top], parent >= 0)
        for ring, (*_, parent) in zip(found, order[0], strict=True)
        if len(ring) > 2
    ]
    outer = max((shapely.Polygon(ring.corners) for ring in rings if not ring.hole), key=lambda polygon: polygon.area)
    holes = [ring.corners for ring in rings if ring.hole and outer.contains(shapely.Point(ring.corners.mean(axis=0)))]
    return _largest(shapely.Polygon(outer.exterior, holes).buffer(0.0))


def _largest(geometry: BaseGeometry) -> shapely.Polygon:
    parts = [part for part in shapely.get_parts(geometry) if isinstance(part, shapely.Polygon)]
    return max(parts, key=lambda polygon: polygon.area)


def _remarks(find: _Find, size: float, other_sizes: list[float], whole: int) -> tuple[str, ...]:
    remarks = ["proposed by colour alone: look at every side of it before it is confirmed"]
    if find.at_edge:
        remarks.append("it runs to the edge of the picture: it may go on beyond")
    if size > MOST_OF_PICTURE * whole:
        remarks.append(f"it covers {100.0 * size / whole:.0f} % of the picture: it has likely run out somewhere")
    most = max(abs(other / size - 1.0) for other in other_sizes)
    if most > UNSTEADY:
        remarks.append(
            f"its border is not sharp: with another tolerance its area changes by {100.0 * most:.0f} %; draw by hand "
            "where the border is not seen"
        )
    return tuple(remarks)

"""From an outline drawn by hand to the edges that the picture has nearby: a proposal, side by side, corner by corner.

Across each side of the outline the picture is looked at on many short lines. Where most of them have their steepest
change of colour on one straight line, the side is laid there; corners are where two sides meet. A side without a clear
edge stays as it was drawn, and is named.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.records.outline_proposal import OutlineProposal

Array = NDArray[np.float64]

REACH_PX = 6.0
"""Ours: how far from the drawn side an edge is looked for. [px]"""

STEP_PX = 0.25
"""Ours: steps along a line across a side. [px]"""

BLUR_PX = 1.0
"""Ours: width of the smoothing along such a line. [px]"""

CORNER_PX = 2.5
"""Ours: so near to a corner the other side disturbs. [px]"""

FEWEST_LINES = 6
"""Ours: fewer lines across a side show no edge."""

INDEPENDENT_PX = 3.0
"""Ours: lines nearer to each other than the blur of a picture see the same grain. [px]"""

OUTLIER = 3.0
"""Ours: an edge farther from the line than so many deviations is that of something else. [1]"""

MOST_SCATTER_PX = 1.2
"""Ours: edges that scatter more than this about their line are not one straight edge. [px]"""

LEAST_SHARE = 0.6
"""Ours: at least this part of the lines must agree. [1]"""

LEAST_CONTRAST = 6.0
"""Ours: a change of colour below this (of 255) is grain or shadow. [1]"""

LEAST_U_PX = 0.15
"""Ours: what light, shadow and colour fringes leave of the place of an edge. [px]"""

BESIDE_PX = 4.0
"""Ours: a second edge within this of the steepest pulls the middle of the change toward it. [px]"""

MOST_LEAN_PX = 0.4
"""Ours: where the middle of the change lies farther from its steepest place, there are likely two edges. [px]"""

SHALLOW_DEG = 20.0
"""Ours: sides that meet under less than this have no sharp corner; each is laid to its edge by itself. [°]"""

ROUNDS = 5
"""Ours: how often the line is fitted without what lies far from it."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Edge:
    """A side as found: its middle, its direction, and the standard uncertainties of both. [px]"""

    point: Array
    along: Array
    offset_u: float
    slope_u: float
    lean: float = 0.0

    def u_at(self, place: Array) -> float:
        """Return how well it is known at a place on it. [px]"""
        far = float((place - self.point) @ self.along)
        return math.hypot(self.offset_u, self.slope_u * far, LEAST_U_PX)

    def foot(self, place: Array) -> Array:
        """Return the point of it nearest to a place. [px]"""
        return np.asarray(self.point + ((place - self.point) @ self.along) * self.along)


def snap_edges(picture: NDArray[np.uint8], outline_px: Array, *, reach: float = REACH_PX) -> OutlineProposal:
    """Propose an outline whose sides lie on edges of the picture near to those drawn.

    Parameters
    ----------
    picture : NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.
    outline_px : NDArray[np.float64]
        Array of shape (n, 2), the corners as drawn, x to the right and y down. [px]
    reach : float
        How far from each side an edge is looked for. [px]

    Returns
    -------
    OutlineProposal
        To be looked at; sides without a clear edge are as drawn.

    Raises
    ------
    InputError
        The picture is no picture, fewer than three corners are given, one is not finite, or the reach is not above 0.
    """
    if picture.ndim != 3 or picture.shape[2] != 3:
        raise InputError(f"the picture has shape {picture.shape}: rows, columns and three colours are needed")
    drawn = np.asarray(outline_px, dtype=np.float64)
    if drawn.ndim != 2 or drawn.shape[1] != 2 or len(drawn) < 3 or not np.isfinite(drawn).all():
        raise InputError(f"the outline has shape {drawn.shape}: three or more corners are needed, each with x and y")
    if not (math.isfinite(reach) and reach > 0.0):
        raise InputError(f"reach {reach:g} px: it must be above 0; usual is {REACH_PX:g}")
    colours = picture.astype(np.float64)
    ends = np.roll(drawn, -1, axis=0)
    edges = [_edge(colours, start, end, reach) for start, end in zip(drawn, ends, strict=True)]
    corners, sure, far = drawn.copy(), np.full(len(drawn), math.nan), []
    for number, place in enumerate(drawn):
        found = _corner(edges[number - 1], edges[number], place)
        if found is None:
            continue
        if math.dist(found[0], place) > math.sqrt(2.0) * reach:
            far.append(number)
            continue
        corners[number], sure[number] = found
    lost = [number for number, edge in enumerate(edges) if edge is None]
    double = [number for number, edge in enumerate(edges) if edge is not None and edge.lean > MOST_LEAN_PX]
    return OutlineProposal(
        outline_px=corners,
        corner_u_px=sure,
        made_by=f"laid to the edges of the picture within {reach:g} px",
        remarks=_remarks(len(drawn), lost, double, far),
    )


def _edge(colours: Array, start: Array, end: Array, reach: float) -> _Edge | None:
    """Return the straight edge near a side, None where there is no clear one."""
    length = math.dist(start, end)
    lines = int(length - 2.0 * CORNER_PX)
    if lines < FEWEST_LINES:
        return None
    along = (end - start) / length
    across = np.array([-along[1], along[0]])
    places = np.linspace(CORNER_PX, length - CORNER_PX, lines)
    offsets = np.arange(-reach, reach + 0.5 * STEP_PX, STEP_PX)
    seen = _seen(colours, start + places[:, None, None] * along + offsets[None, :, None] * across)
    if seen is None:
        return None
    steepest, clear, lean = _steepest(seen, offsets)
    if clear.sum() < max(FEWEST_LINES, LEAST_SHARE * lines):
        return None
    edge = _line(start, along, across, places[clear], steepest[clear], fewest=LEAST_SHARE * lines)
    return None if edge is None else replace(edge, offset_u=math.hypot(edge.offset_u, lean), lean=lean)


def _seen(colours: Array, points: Array) -> Array | None:
    """Return the colours at points, array of shape (lines, offsets, 3); None where these leave the picture."""
    from scipy import ndimage

    height, width = colours.shape[:2]
    x, y = points[..., 0], points[..., 1]
    if x.min() < 0.0 or y.min() < 0.0 or x.max() > width - 1.0 or y.max() > height - 1.0:
        return None
    return np.stack([ndimage.map_coordinates(colours[..., band], [y, x], order=1) for band in range(3)], axis=-1)


def _steepest(seen: Array, offsets: Array) -> tuple[Array, NDArray[np.bool_], float]:
    """Return where each line changes most from the colour of one side to that of the other, and where it does so.

    With it how far the middle of the change lies from there: two edges side by side, as the wall of a slot makes, pull
    it to one side.

    Colours are looked at along the one direction in which both sides differ most, so that copper under a mask, which
    is hardly lighter, is seen by its hue.
    """
    from scipy import ndimage

    third = len(offsets) // 3
    sides = np.median(seen[:, -third:], axis=(0, 1)) - np.median(seen[:, :third], axis=(0, 1))
    contrast = float(np.linalg.norm(sides))
    if contrast < LEAST_CONTRAST:
        return np.zeros(len(seen)), np.zeros(len(seen), dtype=bool), 0.0
    level = seen @ (sides / contrast)
    slope = ndimage.gaussian_filter1d(level, BLUR_PX / STEP_PX, axis=1, order=1)
    at = np.argmax(slope, axis=1)
    inside = (at > 0) & (at < len(offsets) - 1)
    at = np.clip(at, 1, len(offsets) - 2)
    rows = np.arange(len(seen))
    before, here, after = slope[rows, at - 1], slope[rows, at], slope[rows, at + 1]
    bend = before - 2.0 * here + after
    part = np.divide(0.5 * (before - after), bend, out=np.zeros(len(seen)), where=bend < 0.0)
    found = offsets[at] + STEP_PX * np.clip(part, -1.0, 1.0)
    near = np.abs(offsets[None] - found[:, None]) <= BESIDE_PX
    weight = np.where(near, np.clip(slope, 0.0, None), 0.0)
    total = weight.sum(axis=1)
    middle = np.divide((weight * offsets).sum(axis=1), total, out=found.copy(), where=total > 0.0)
    return found, inside & (here > 0.0), abs(float(np.median(middle - found)))


def _line(start: Array, along: Array, across: Array, places: Array, offsets: Array, *, fewest: float) -> _Edge | None:
    """Return the line through most of the edges found, None where they are not on one."""
    rows = np.column_stack([np.ones(len(places)), places - places.mean()])
    kept = np.abs(offsets - np.median(offsets)) <= OUTLIER * max(_deviation(offsets), STEP_PX)
    for _ in range(ROUNDS):
        if kept.sum() < max(fewest, FEWEST_LINES):
            return None
        fitted = np.linalg.lstsq(rows[kept], offsets[kept], rcond=None)[0]
        left = offsets - rows @ fitted
        kept = np.abs(left) <= OUTLIER * max(_deviation(left[kept]), STEP_PX)
    count = int(kept.sum())
    scatter = float(np.sqrt(np.sum(left[kept] ** 2) / max(count - 2, 1)))
    if scatter > MOST_SCATTER_PX or count < max(fewest, FEWEST_LINES):
        return None
    # neighbouring lines see the same grain
    repeated = min(INDEPENDENT_PX, float(count))
    spread = float(np.sqrt(np.sum(rows[kept, 1] ** 2)))
    direction = along + fitted[1] * across
    return _Edge(
        point=start + fitted[0] * across + (places.mean() * along),
        along=direction / np.linalg.norm(direction),
        offset_u=scatter * math.sqrt(repeated / count),
        slope_u=scatter * math.sqrt(repeated) / spread if spread > 0.0 else 0.0,
    )


def _deviation(values: Array) -> float:
    """Return the standard deviation by the median of the deviations, which a few far ones do not move."""
    return float(np.median(np.abs(values - np.median(values)))) / QUARTILE


QUARTILE = 0.6745
"""Half of the values of a normal variable lie within so many of its standard deviations. [1]"""


def _corner(before: _Edge | None, after: _Edge | None, place: Array) -> tuple[Array, float] | None:
    """Return where two sides meet, or the drawn corner laid to the one that was found; with its uncertainty."""
    if before is not None and after is not None:
        sine = float(before.along[0] * after.along[1] - before.along[1] * after.along[0])
        if abs(sine) > math.sin(math.radians(SHALLOW_DEG)):
            off = after.point - before.point
            far = float(off[0] * after.along[1] - off[1] * after.along[0]) / sine
            meeting = before.point + far * before.along
            return meeting, math.hypot(before.u_at(meeting), after.u_at(meeting)) / abs(sine) / math.sqrt(2.0)
        middle = 0.5 * (before.foot(place) + after.foot(place))
        return middle, max(before.u_at(middle), after.u_at(middle))
    edge = before if before is not None else after
    if edge is None:
        return None
    # along the side that was found it is as it was drawn: how well, only the person knows
    return edge.foot(place), math.nan


def _remarks(count: int, lost: list[int], double: list[int], far: list[int]) -> tuple[str, ...]:
    remarks = [
        (
            "proposed: look at every side of it before it is confirmed; where the wall of a slot, or of the board, is "
            "seen below its rim, the rim counts"
        )
    ]
    if lost:
        remarks.append(f"no clear edge between the corners {_sides(count, lost)}: left as drawn there")
    if double:
        remarks.append(
            f"likely two edges side by side between the corners {_sides(count, double)}, as the wall of a slot makes: "
            "look which is the rim"
        )
    if far:
        remarks.append(
            f"the edges at the corners {_listed([str(number + 1) for number in far])} meet far from where they were "
            "drawn: left as drawn there"
        )
    return tuple(remarks)


def _sides(count: int, numbers: list[int]) -> str:
    return _listed([f"{number + 1}–{(number + 1) % count + 1}" for number in numbers])


def _listed(words: list[str]) -> str:
    return ", ".join(words)

"""From an outline drawn by hand to the edges that the picture has nearby: a proposal, side by side, corner by corner.

Across each side of the outline the picture is looked at on many short lines. Where most of them have their steepest
change of colour on one straight line, the side is laid there; corners are where two sides meet. A side without a clear
edge stays as it was drawn, and is named. Where several edges run along a side, as rim and foot of the wall of a slot,
the picture alone does not say which is meant: the side is laid in the middle, and its uncertainty covers them all.
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

FARTHEST_REACH_PX = 50.0
"""Ours: what is farther from an outline is another thing. [px]"""

REACHES_AROUND = 3.0
"""Ours: a side may be turned by a reach at each end, is looked at a reach beside that, and one is to spare. [1]"""

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

BLUR_SHARE = 0.25
"""Ours: an edge is known no better than to this part of the deviation of its blur, in which a thin wall hides. [1]"""

RIVAL = 0.3
"""Ours: a change of colour along a side that is steeper than this part of the steepest may be the edge meant. [1]"""

TURNS = 25
"""Ours: so many slopes are tried where no line was found, from one end a reach aside to the other."""

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
    """A side as found: its middle, its direction, and the standard uncertainties of both; how far rivals part. [px]"""

    point: Array
    along: Array
    offset_u: float
    slope_u: float
    apart: float = 0.0

    def u_at(self, place: Array) -> float:
        """Return how well it is known at a place on it. [px]"""
        far = float((place - self.point) @ self.along)
        return math.hypot(self.offset_u, self.slope_u * far, LEAST_U_PX)

    def foot(self, place: Array) -> Array:
        """Return the point of it nearest to a place. [px]"""
        return np.asarray(self.point + ((place - self.point) @ self.along) * self.along)


def snap_edges(
    picture: NDArray[np.uint8], outline_px: Array, *, reach: float = REACH_PX, drawn_u_px: Array | None = None
) -> OutlineProposal:
    """Propose an outline whose sides lie on edges of the picture near to those drawn.

    Parameters
    ----------
    picture : NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.
    outline_px : NDArray[np.float64]
        Array of shape (n, 2), the corners as drawn, x to the right and y down. [px]
    reach : float
        How far from each side an edge is looked for. [px]
    drawn_u_px : NDArray[np.float64], optional
        Array of shape (n,), the standard uncertainty of the corners as drawn, where that is known: those that no edge
        shows then count as badly as that, and as the worst side of the outline. [px]

    Returns
    -------
    OutlineProposal
        To be looked at; sides without a clear edge are as drawn.

    Raises
    ------
    InputError
        The picture is no picture, fewer than three corners are given, one is not finite, or the reach is not above
        0, or is too far.
    """
    if picture.ndim != 3 or picture.shape[2] != 3:
        raise InputError(f"the picture has shape {picture.shape}: rows, columns and three colours are needed")
    drawn = np.asarray(outline_px, dtype=np.float64)
    if drawn.ndim != 2 or drawn.shape[1] != 2 or len(drawn) < 3 or not np.isfinite(drawn).all():
        raise InputError(f"the outline has shape {drawn.shape}: three or more corners are needed, each with x and y")
    if not 0.0 < reach <= FARTHEST_REACH_PX:
        raise InputError(
            f"reach {reach:g} px: it must be above 0 and at most {FARTHEST_REACH_PX:g} px; usual is {REACH_PX:g}"
        )
    colours, origin = _around(picture, drawn, reach)
    ends = np.roll(drawn, -1, axis=0)
    edges = [
        None if found is None else replace(found, point=found.point + origin)
        for start, end in zip(drawn, ends, strict=True)
        for found in [_edge(colours, start - origin, end - origin, reach)]
    ]
    corners, sure, far = drawn.copy(), np.full(len(drawn), math.nan), []
    for number, place in enumerate(drawn):
        found = _corner(edges[number - 1], edges[number], place)
        if found is None:
            continue
        if math.dist(found[0], place) > math.sqrt(2.0) * reach:
            far.append(number)
            continue
        corners[number], sure[number] = found
    if drawn_u_px is not None:
        # whatever runs beside one side, as a wall round the end of a slot does, may run on where it is not seen
        worst = max((edge.u_at(edge.point) for edge in edges if edge is not None), default=0.0)
        sure = np.where(np.isnan(sure), np.maximum(drawn_u_px, worst), sure)
    lost = [number for number, edge in enumerate(edges) if edge is None]
    double = {number: edge.apart for number, edge in enumerate(edges) if edge is not None and edge.apart}
    return OutlineProposal(
        outline_px=corners,
        corner_u_px=sure,
        made_by=f"laid to the edges of the picture within {reach:g} px",
        remarks=_remarks(len(drawn), lost, double, far),
    )


def _around(picture: NDArray[np.uint8], drawn: Array, reach: float) -> tuple[Array, Array]:
    """Return the part of a picture in which edges are looked for, and where in it that lies: x and y. [px]"""
    margin = REACHES_AROUND * reach + CORNER_PX
    size = np.array(picture.shape[1::-1])
    low = np.clip(np.floor(drawn.min(axis=0) - margin), 0, size - 1).astype(np.int64)
    high = np.clip(np.ceil(drawn.max(axis=0) + margin), low, size - 1).astype(np.int64) + 1
    return picture[low[1] : high[1], low[0] : high[0]].astype(np.float64), low.astype(np.float64)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Side:
    """A side as drawn, with the places along it and the offsets across it at which the picture is looked at. [px]"""

    colours: Array
    start: Array
    along: Array
    across: Array
    places: Array
    offsets: Array

    def seen(self, slope: float = 0.0) -> Array | None:
        """Return the colours there, array of shape (lines, offsets, 3), along a side turned by a slope."""
        aside = self.offsets[None, :] + slope * (self.places - self.places.mean())[:, None]
        places = self.start + self.places[:, None, None] * self.along + aside[..., None] * self.across
        return _seen(self.colours, places)

    def profile(self, slope: float) -> Array:
        """Return how steeply the colour changes at each offset, as the mean of all lines has it: (offsets,)."""
        from scipy import ndimage

        seen = self.seen(slope)
        if seen is None:
            return np.zeros(len(self.offsets))
        mean = ndimage.gaussian_filter1d(seen.mean(axis=0), BLUR_PX / STEP_PX, axis=0, order=1)
        return np.asarray(np.linalg.norm(mean, axis=1) / STEP_PX)


def _edge(colours: Array, start: Array, end: Array, reach: float) -> _Edge | None:
    """Return the straight edge near a side, None where there is no clear one."""
    length = math.dist(start, end)
    lines = int(length - 2.0 * CORNER_PX)
    if lines < FEWEST_LINES:
        return None
    along = (end - start) / length
    side = _Side(
        colours=colours,
        start=start,
        along=along,
        across=np.array([-along[1], along[0]]),
        places=np.linspace(CORNER_PX, length - CORNER_PX, lines),
        offsets=np.arange(-reach, reach + 0.5 * STEP_PX, STEP_PX),
    )
    seen = side.seen()
    if seen is None:
        return None
    steepest, clear, lean = _steepest(seen, side.offsets)
    if clear.sum() < max(FEWEST_LINES, LEAST_SHARE * lines):
        edge = None
    else:
        edge = _line(side, side.places[clear], steepest[clear], fewest=LEAST_SHARE * lines)
    if edge is None:
        # the lines may be parted between two edges
        turns = np.linspace(-reach, reach, TURNS) / length
        slope = max(turns, key=lambda turn: float(np.sum(side.profile(turn) ** 2)))
        return _between_rivals(side, float(slope), _rivals(side.profile(slope), side.offsets), float(np.ptp(turns)))
    slope = float(edge.along @ side.across) / float(edge.along @ along)
    profile = side.profile(slope)
    rivals = _rivals(profile, side.offsets)
    if len(rivals) > 1:
        middle = _between_rivals(side, slope, rivals, 0.0)
        assert middle is not None, "there are two"
        return replace(middle, offset_u=math.hypot(middle.offset_u, edge.offset_u), slope_u=edge.slope_u)
    offset_u = math.hypot(edge.offset_u, lean, BLUR_SHARE * _width(profile, side.offsets))
    return replace(edge, offset_u=offset_u, apart=lean if lean > MOST_LEAN_PX else 0.0)


def _rivals(profile: Array, offsets: Array) -> Array:
    """Return the offsets at which edges run along a side: peaks of how steeply the colour changes. [px]"""
    # a step blurred by this much changes no steeper
    steep = max(RIVAL * float(profile.max()), LEAST_CONTRAST / (math.sqrt(2.0 * math.pi) * BLUR_PX))
    peaks = (profile[1:-1] > profile[:-2]) & (profile[1:-1] >= profile[2:]) & (profile[1:-1] > steep)
    return np.asarray(offsets[1:-1][peaks])


def _between_rivals(side: _Side, slope: float, rivals: Array, turns: float) -> _Edge | None:
    """Return the line in the middle of edges that compete, known to half their distance; None where they do not.

    That half is the standard deviation of a place that is as likely at one end as at the other.
    """
    if len(rivals) < 2:
        return None
    apart = float(np.ptp(rivals))
    direction = side.along + slope * side.across
    return _Edge(
        point=side.start + float(rivals.min() + 0.5 * apart) * side.across + side.places.mean() * side.along,
        along=direction / np.linalg.norm(direction),
        offset_u=0.5 * apart,
        slope_u=turns / TURNS,
        apart=apart,
    )


def _width(profile: Array, offsets: Array) -> float:
    """Return the deviation of the blur of the steepest edge, from the width of its peak at half height. [px]"""
    top = int(np.argmax(profile))
    low = np.flatnonzero(profile < 0.5 * profile[top])
    left, right = low[low < top], low[low > top]
    reaches = [float(abs(offsets[top] - offsets[at])) for at in (*left[-1:], *right[:1])]
    # a Gaussian falls to half within 1.18 of its deviation
    half = math.sqrt(2.0 * math.log(2.0))
    return max(reaches, default=float(offsets[-1])) / half


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


def _line(side: _Side, places: Array, offsets: Array, *, fewest: float) -> _Edge | None:
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
    direction = side.along + fitted[1] * side.across
    return _Edge(
        point=side.start + fitted[0] * side.across + (places.mean() * side.along),
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
            # in any direction: also in that of the side that is known less well
            return meeting, max(before.u_at(meeting), after.u_at(meeting)) / abs(sine)
        middle = 0.5 * (before.foot(place) + after.foot(place))
        return middle, max(before.u_at(middle), after.u_at(middle))
    edge = before if before is not None else after
    if edge is None:
        return None
    # along the side that was found it is as it was drawn: how well, only the person knows
    return edge.foot(place), math.nan


def _remarks(count: int, lost: list[int], double: dict[int, float], far: list[int]) -> tuple[str, ...]:
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
            f"several edges side by side between the corners {_sides(count, list(double))}, up to "
            f"{max(double.values()):.1f} px apart, as the wall of a slot makes: laid in their middle, with an "
            "uncertainty that covers them; look which is the rim, and draw that side by hand"
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

"""Proposed outlines over the photograph they were found in, to be looked at side by side: the whole, then each near by.

Lines are thin, so that the edge under them is seen; a circle at a corner is twice its standard uncertainty.
"""

from __future__ import annotations

import io
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import MissingExtra
from coldpin.records.outline import Point, ProposedOutline

if TYPE_CHECKING:
    from PIL import Image

_WIDTH = 1200
"""Of the picture. [px]"""

_HIGHEST = 900
"""Of one view. [px]"""

_MOST_ENLARGED = 12.0
"""A pixel of the photograph becomes no larger than this: beyond, only squares are seen. [1]"""

_AROUND = 12.0
"""What is shown beside an outline. [px]"""

_LEAST_ENLARGED = 3.0
"""An outline that is shown smaller is shown again corner by corner. [1]"""

_CORNERS = 12
"""As many corners are shown by themselves."""

_CORNER_AROUND = 20.0
"""What is shown around such a corner. [px]"""

_TILES = 4
"""Corners beside each other."""

_LINE, _CIRCLE, _PAPER, _INK = (255, 0, 255), (0, 230, 255), (255, 255, 255), (0, 0, 0)
_TEXT = 18
_BAR = 28
"""Height of a line of text. [px]"""


def draw_outlines(photograph: NDArray[np.uint8], outlines: Sequence[ProposedOutline]) -> bytes:
    """Return the picture in which proposals are looked at.

    Parameters
    ----------
    photograph : NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.
    outlines : sequence of ProposedOutline
        What was proposed on it.

    Returns
    -------
    bytes
        A PNG file.

    Raises
    ------
    MissingExtra
        The library that writes pictures is not installed.
    """
    try:
        from PIL import Image
    except ModuleNotFoundError as error:
        raise MissingExtra.of("photo", "drawing on a picture") from error
    height, width = photograph.shape[:2]
    whole = (0.0, 0.0, width - 1.0, height - 1.0)
    views = [
        _bar("PROPOSED, confirmed by nobody. Magenta: outline; circle: twice the uncertainty of a corner."),
        _view(photograph, whole, outlines, (_WIDTH, _HIGHEST), named=True),
    ]
    for one in outlines:
        box = _box(one)
        near = _view(photograph, box, (one,), (_WIDTH, _HIGHEST))
        views += [_bar(f"{one.number}: {one.label}"), near]
        if _enlarged(box, (_WIDTH, _HIGHEST)) < _LEAST_ENLARGED:
            views += _corner_by_corner(photograph, one)
    sheet = Image.new("RGB", (_WIDTH, sum(view.height for view in views)), _PAPER)
    top = 0
    for view in views:
        sheet.paste(view, (0, top))
        top += view.height
    held = io.BytesIO()
    sheet.save(held, format="PNG")
    return held.getvalue()


Box = tuple[float, float, float, float]


def _box(one: ProposedOutline) -> Box:
    corners = np.array(one.outline_px)
    (left, upper), (right, lower) = corners.min(axis=0) - _AROUND, corners.max(axis=0) + _AROUND
    return float(left), float(upper), float(right), float(lower)


def _enlarged(box: Box, most: tuple[int, int]) -> float:
    left, upper, right, lower = box
    return min(most[0] / (right - left + 1.0), most[1] / (lower - upper + 1.0), _MOST_ENLARGED)


def _corner_by_corner(photograph: NDArray[np.uint8], one: ProposedOutline) -> list[Image.Image]:
    """Return rows of views around the corners of an outline that is too large to be seen whole."""
    from PIL import Image

    side = _WIDTH // _TILES
    views = [
        _view(
            photograph,
            (x - _CORNER_AROUND, y - _CORNER_AROUND, x + _CORNER_AROUND, y + _CORNER_AROUND),
            (one,),
            (side, side),
        )
        for x, y in one.outline_px[:_CORNERS]
    ]
    rows = []
    for first in range(0, len(views), _TILES):
        row = Image.new("RGB", (_WIDTH, side), _PAPER)
        for number, view in enumerate(views[first : first + _TILES]):
            row.paste(view, (number * side, 0))
        rows.append(row)
    more = len(one.outline_px) - _CORNERS
    return [*rows, *([_bar(f"and {more} corners more")] if more > 0 else [])]


def _view(
    photograph: NDArray[np.uint8],
    box: Box,
    outlines: Sequence[ProposedOutline],
    most: tuple[int, int],
    *,
    named: bool = False,
) -> Image.Image:
    """Return a part of the photograph with outlines on it, no larger than asked for."""
    from PIL import Image, ImageDraw, ImageFont

    height, width = photograph.shape[:2]
    left, upper = max(int(box[0]), 0), max(int(box[1]), 0)
    right, lower = min(int(box[2]) + 2, width), min(int(box[3]) + 2, height)
    scale = _enlarged((left, upper, right - 1.0, lower - 1.0), most)
    size = max(round((right - left) * scale), 1), max(round((lower - upper) * scale), 1)
    how = Image.Resampling.NEAREST if scale > 1.0 else Image.Resampling.BOX
    view = Image.fromarray(np.ascontiguousarray(photograph[upper:lower, left:right])).resize(size, how)
    pen = ImageDraw.Draw(view)

    def at(point: Point) -> Point:
        # pixels count from the middle of the upper left one
        return (point[0] - left + 0.5) * scale, (point[1] - upper + 0.5) * scale

    for one in outlines:
        for ring in (one.outline_px, *one.openings_px):
            pen.line([at(point) for point in (*ring, ring[0])], fill=_LINE, width=2)
        for number, (point, u) in enumerate(zip(one.outline_px, one.corner_u_px, strict=True), start=1):
            x, y = at(point)
            if u is not None and not named:
                reach = max(2.0 * u * scale, 1.0)
                pen.ellipse((x - reach, y - reach, x + reach, y + reach), outline=_CIRCLE)
            if not named:
                pen.text((x + 4, y + 4), str(number), fill=_LINE, font=ImageFont.load_default(_TEXT))
        if named:
            pen.text(at(one.outline_px[0]), str(one.number), fill=_LINE, font=ImageFont.load_default(_TEXT))
    return view


def _bar(text: str) -> Image.Image:
    from PIL import Image, ImageDraw, ImageFont

    bar = Image.new("RGB", (_WIDTH, _BAR), _PAPER)
    ImageDraw.Draw(bar).text((4, 2), text, fill=_INK, font=ImageFont.load_default(_TEXT))
    return bar

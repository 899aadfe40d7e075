"""The signs that mark a place in a drawing, and the hatchings that fill one."""

from __future__ import annotations

import math
from collections.abc import Sequence

Point = tuple[float, float]
Marker = str | tuple[int, int, int]
"""A letter for a shape, or a polygon by its corners, a zero, and by how many degrees it is turned."""

OPEN = ("|", "_", "x")
"""Signs of lines, which nothing fills."""
_ROUND = ("o", ".")
_TRIANGLES = {"^": 0.0, "<": 90.0, "v": 180.0, ">": 270.0}
"""Which way a triangle points: by how many degrees it is turned to the left."""
_CROSS = ((-1, -2), (0, -1), (1, -2), (2, -1), (1, 0), (2, 1), (1, 2), (0, 1), (-1, 2), (-2, 1), (-1, 0), (-2, -1))
_PLUS = ((-1, -3), (1, -3), (1, -1), (3, -1), (3, 1), (1, 1), (1, 3), (-1, 3), (-1, 1), (-3, 1), (-3, -1), (-1, -1))
_HATCHED = 72.0
"""A hatching has six lines for each of its signs over this length. [points]"""


def marker_path(marker: Marker, size: float) -> tuple[str, str]:
    """Return a sign as a path around the origin, and how its corners are joined.

    Parameters
    ----------
    marker : Marker
        o . s D ^ v < > X P h | _ x, or a polygon.
    size : float
        Its size. [points]

    Returns
    -------
    tuple of str
        The path, y downwards, and round or miter.

    Examples
    --------
    >>> marker_path("s", 4.0)
    ('M -2 2 L 2 2 L 2 -2 L -2 -2 Z', 'miter')
    """
    half = 0.5 * size
    if marker in _ROUND:
        radius = half if marker == "o" else 0.5 * half
        arc = f"A {radius:g} {radius:g} 0 1 1"
        return f"M {-radius:g} 0 {arc} {radius:g} 0 {arc} {-radius:g} 0 Z", "round"
    if marker in OPEN:
        return _strokes(str(marker), half), "round"
    if isinstance(marker, tuple):
        return _closed(_regular(marker[0], marker[2]), half), "miter"
    if marker in _TRIANGLES:
        return _closed(_turned(((0.0, 1.0), (-1.0, -1.0), (1.0, -1.0)), _TRIANGLES[marker]), half), "miter"
    if marker == "s":
        return _closed(((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)), half), "miter"
    if marker == "D":
        return _closed(((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)), half * math.sqrt(2.0)), "miter"
    if marker == "h":
        return _closed(_regular(6, 0.0), half), "miter"
    corners, reach = (_CROSS, 4.0) if marker == "X" else (_PLUS, 6.0)
    return _closed(corners, size / reach), "miter"


def _strokes(marker: str, half: float) -> str:
    if marker == "|":
        return f"M 0 {half:g} L 0 {-half:g}"
    if marker == "_":
        return f"M {-half:g} 0 L {half:g} 0"
    return f"M {-half:g} {half:g} L {half:g} {-half:g} M {-half:g} {-half:g} L {half:g} {half:g}"


def _closed(corners: Sequence[Point], scale: float) -> str:
    return f"M {' L '.join(f'{scale * x:.4g} {-scale * y:.4g}' for x, y in corners)} Z"


def _turned(corners: Sequence[Point], degrees: float) -> list[Point]:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return [(x * cos - y * sin, x * sin + y * cos) for x, y in corners]


def _regular(count: int, degrees: float) -> list[Point]:
    """Return the corners of a regular polygon, the first straight above the middle before it is turned."""
    whole = 360.0 / count
    return [_turned(((0.0, 1.0),), degrees + whole * place)[0] for place in range(count)]


def hatching(hatch: str) -> tuple[float, str]:
    """Return a hatching as a square that repeats: its side, and the lines in it.

    Parameters
    ----------
    hatch : str
        Strokes, bars or crosses; the more of them, the closer the lines.

    Returns
    -------
    tuple
        Side of the square in points, and a path.

    Examples
    --------
    >>> hatching("||||||")
    (2.0, 'M 1 0 L 1 2')
    """
    each = _HATCHED / (6.0 * len(hatch))
    if hatch[0] == "|":
        return each, f"M {0.5 * each:g} 0 L {0.5 * each:g} {each:g}"
    side = 2.0 * each
    spill = 0.25 * side
    up = (
        f"M {-spill:g} {side + spill:g} L {side + spill:g} {-spill:g} M {-spill:g} {spill:g} L {spill:g} {-spill:g} "
        f"M {side - spill:g} {side + spill:g} L {side + spill:g} {side - spill:g}"
    )
    if hatch[0] == "/":
        return side, up
    down = (
        f"M {-spill:g} {-spill:g} L {side + spill:g} {side + spill:g} M {-spill:g} {side - spill:g} L {spill:g} "
        f"{side + spill:g} M {side - spill:g} {-spill:g} L {side + spill:g} {spill:g}"
    )
    return side, f"{up} {down}"

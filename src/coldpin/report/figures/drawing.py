"""How a figure is drawn and written: one quiet style, text that stays text, the same bytes every time.

Colours are few and never carry a meaning alone. Each is a name of :class:`Ink`, so that a page can put its own dark
shade in the place of the printed one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from functools import partial
from typing import TypeAlias

from coldpin.report.figures.canvas import Canvas
from coldpin.report.figures.ink import Ink
from coldpin.report.figures.panel import Panel
from coldpin.report.lettering import for_print

__all__ = [
    "POINTS",
    "WIDTH_MM",
    "Canvas",
    "Ink",
    "Panel",
    "Pencil",
    "draw",
    "draw_png",
    "drawn_by",
    "letter",
    "quiet_axes",
    "with_own_ids",
]

MM_PER_INCH = 25.4
POINTS = 72.0 / MM_PER_INCH
"""Points in a millimetre: the unit in which a drawing is written."""

WIDTH_MM = 170.0
"""Width of a figure as printed. [mm]"""


Pencil: TypeAlias = Callable[[Callable[[], str]], str]
"""Is given what draws a figure, and returns what that would: by calling it, or from elsewhere."""
_PENCIL: ContextVar[Pencil] = ContextVar("pencil", default=lambda made: made())


def draw(width_mm: float, height_mm: float, paint: Callable[[Canvas], None]) -> str:
    """Draw a figure and return it as SVG.

    Parameters
    ----------
    width_mm : float
        Width. [mm]
    height_mm : float
        Height. [mm]
    paint : callable
        Puts axes and all else into the figure it is given.

    Returns
    -------
    str
        One ``svg`` element, without declaration, metadata or identifiers that nothing uses.
    """
    return _PENCIL.get()(partial(_drawn, width_mm, height_mm, paint))


@contextmanager
def drawn_by(pencil: Pencil) -> Iterator[None]:
    """Have a pencil of one's own draw all figures within the block, each in its turn.

    Parameters
    ----------
    pencil : callable
        Is given what draws a figure, and returns it as SVG.

    Yields
    ------
    None
        Nothing; the block runs.
    """
    before = _PENCIL.set(pencil)
    try:
        yield
    finally:
        _PENCIL.reset(before)


def _drawn(width_mm: float, height_mm: float, paint: Callable[[Canvas], None]) -> str:
    canvas = Canvas(width_mm * POINTS, height_mm * POINTS)
    paint(canvas)
    return canvas.svg()


def draw_png(width_mm: float, height_mm: float, paint: Callable[[Canvas], None], *, width_px: int) -> bytes:
    """Draw a figure and return it as PNG on white, for a video or a page that takes no SVG.

    Parameters
    ----------
    width_mm : float
        Width. [mm]
    height_mm : float
        Height. [mm]
    paint : callable
        Puts axes and all else into the figure it is given.
    width_px : int
        Width of the picture in pixels.

    Returns
    -------
    bytes
        The picture, the same bytes every time.
    """
    # loads long, and most drawings are written as they are
    from coldpin.report._typst import picture

    dense = width_px / (width_mm / MM_PER_INCH)
    return picture(_drawn(width_mm, height_mm, paint), width_mm=width_mm, height_mm=height_mm, dots_per_inch=dense)


def letter(text: str, *, longest: int = 200) -> str:
    """Return text as a figure can hold it: letters the font has, on one line, not longer than there is room.

    Parameters
    ----------
    text : str
        Any text.
    longest : int
        How many characters there is room for.

    Returns
    -------
    str
        The text, cut with an ellipsis where it is longer.
    """
    plain = " ".join(for_print(text).split())
    return plain if len(plain) <= longest else plain[: longest - 1].rstrip() + "…"


def quiet_axes(axes: Panel, *, left: bool = True, bottom: bool = True) -> None:
    """Leave of a frame only what is read.

    Parameters
    ----------
    axes : Panel
        The panel.
    left : bool
        Whether the left side is kept, with its marks.
    bottom : bool
        Whether the bottom is kept, with its marks.
    """
    axes.y_marks.shown, axes.x_marks.shown = left, bottom


def with_own_ids(svg: str, prefix: str) -> str:
    """Return an SVG whose identifiers begin with a prefix, so that several can stand in one page.

    Parameters
    ----------
    svg : str
        What :func:`draw` returned.
    prefix : str
        ASCII words joined by hyphens.

    Returns
    -------
    str
        The same drawing.

    Examples
    --------
    >>> with_own_ids('<g id="a" clip-path="url(#a)"/>', "f1")
    '<g id="f1-a" clip-path="url(#f1-a)"/>'
    """
    named = re.sub(r'(\sid=")', rf"\g<1>{prefix}-", svg)
    named = re.sub(r"url\(#", f"url(#{prefix}-", named)
    return re.sub(r'(xlink:href="#)', rf"\g<1>{prefix}-", named)

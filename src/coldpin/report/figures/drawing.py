"""How a figure is drawn and written: one quiet style, text that stays text, the same bytes every time.

Colours are few and never carry a meaning alone. Each is a name of :class:`Ink`, so that a page can put its own dark
shade in the place of the printed one.
"""

from __future__ import annotations

import io
import re
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum
from functools import partial
from typing import TypeAlias
from xml.etree import ElementTree

import matplotlib as mpl
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties

from coldpin.report.lettering import for_print

MM = 1.0 / 25.4
"""One millimetre. [inch]"""

WIDTH_MM = 170.0
"""Width of a figure as printed. [mm]"""

_LOCK = threading.Lock()

Pencil: TypeAlias = Callable[[Callable[[], str]], str]
"""Is given what draws a figure, and returns what that would: by calling it, or from elsewhere."""
_PENCIL: ContextVar[Pencil] = ContextVar("pencil", default=lambda made: made())


class Ink(StrEnum):
    """The colours of a figure, as printed."""

    TEXT = "#1b262c"
    QUIET = "#56656e"
    RULE = "#c3ccd0"
    COLD = "#1a5875"
    MIST = "#dce8ee"
    FROST = "#eef3f5"
    DEEP = "#b5cfdc"
    COPPER = "#a6461a"
    EMBER = "#f6e3d8"
    OCHRE = "#7d6100"
    SAND = "#f5efd8"
    PAPER = "#ffffff"


_STYLE: dict[str, object] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "coldpin",
    "text.parse_math": False,
    "font.family": ["DejaVu Sans"],
    "font.size": 7.5,
    "hatch.linewidth": 0.5,
    "path.simplify": False,
    "figure.dpi": 72.0,
    "axes.facecolor": "none",
    "axes.edgecolor": Ink.RULE,
    "axes.linewidth": 0.6,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.titley": 1.0,
    **{
        f"{axis}tick.{what}": value
        for axis in "xy"
        for what, value in (
            ("color", Ink.RULE),
            ("labelcolor", Ink.QUIET),
            ("labelsize", 7.0),
            ("major.size", 2.5),
            ("major.width", 0.6),
        )
    },
}
"""What every figure has in common is said here once: said of each axis anew it takes long."""


_LINES: dict[tuple[str, float, str], tuple[float, float, float]] = {}
"""Width, height and descent of the lines that were measured, by text, size and weight; all are of one family."""

MOST_LINES = 20_000
"""Ours: lines whose size is remembered, some megabytes; a report has two thousand."""


class _Renderer(RendererSVG):
    """Writes a figure, and measures a line of text once for all figures: marks and units come back in most of them."""

    def get_text_width_height_descent(
        self, s: str, prop: FontProperties, ismath: bool | str
    ) -> tuple[float, float, float]:
        """Return the size of a line of text, as the library measures it."""
        line = s, prop.get_size_in_points(), str(prop.get_weight())
        if line not in _LINES:
            if len(_LINES) >= MOST_LINES:
                _LINES.clear()
            _LINES[line] = super().get_text_width_height_descent(s, prop, ismath)  # type: ignore[no-untyped-call]  # the library has no types here
        return _LINES[line]


def draw(width_mm: float, height_mm: float, paint: Callable[[Figure], None]) -> str:
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


def _drawn(width_mm: float, height_mm: float, paint: Callable[[Figure], None]) -> str:
    with _LOCK, mpl.rc_context(_STYLE):  # type: ignore[arg-type]  # the stubs list the keys they know
        figure = Figure(figsize=(width_mm * MM, height_mm * MM), facecolor="none")
        paint(figure)
        written = io.StringIO()
        wide, high = figure.get_size_inches() * figure.dpi
        bare = {"Date": None, "Creator": None}
        renderer = _Renderer(wide, high, written, image_dpi=figure.dpi, metadata=bare)  # type: ignore[no-untyped-call]  # the library has no types here
        figure.draw(renderer)
        renderer.finalize()  # type: ignore[no-untyped-call]  # the library has no types here
    return _trimmed(written.getvalue())


def draw_png(width_mm: float, height_mm: float, paint: Callable[[Figure], None], *, width_px: int) -> bytes:
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
    with _LOCK, mpl.rc_context(_STYLE):  # type: ignore[arg-type]  # the stubs list the keys they know
        figure = Figure(figsize=(width_mm * MM, height_mm * MM), facecolor="white")
        FigureCanvasAgg(figure)
        paint(figure)
        written = io.BytesIO()
        figure.savefig(written, format="png", dpi=width_px / (width_mm * MM), metadata={"Software": None})
    return written.getvalue()


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


def quiet_axes(axes: Axes, *, left: bool = True, bottom: bool = True) -> None:
    """Leave of a frame only what is read.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
        The axes.
    left : bool
        Whether the left side is kept.
    bottom : bool
        Whether the bottom is kept.
    """
    if not left and not bottom:
        axes.set_axis_off()
        return
    if not left:
        axes.spines["left"].set_visible(False)
        axes.set_yticks([])
    if not bottom:
        axes.spines["bottom"].set_visible(False)
        axes.set_xticks([])


_SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"
_REFERENCE = re.compile(r"url\(#([^)]+)\)")


def _trimmed(svg: str) -> str:
    """Drop the metadata, unused identifiers and the fixed size; keep the view box."""
    root = ElementTree.fromstring(svg)
    for parent in list(root.iter()):
        for child in list(parent):
            if child.tag == f"{{{_SVG}}}metadata":
                parent.remove(child)
    used = {
        match for element in root.iter() for value in element.attrib.values() for match in _REFERENCE.findall(value)
    }
    used |= {
        element.attrib[f"{{{_XLINK}}}href"][1:] for element in root.iter() if f"{{{_XLINK}}}href" in element.attrib
    }
    for element in root.iter():
        if element.get("id") not in used:
            element.attrib.pop("id", None)
        element.tail = None if element.tail is None or not element.tail.strip() else element.tail
    ElementTree.register_namespace("", _SVG)
    ElementTree.register_namespace("xlink", _XLINK)
    return ElementTree.tostring(root, encoding="unicode")


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

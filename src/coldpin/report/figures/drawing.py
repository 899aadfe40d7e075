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
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from coldpin.report.lettering import for_print

MM = 1.0 / 25.4
"""One millimetre. [inch]"""

WIDTH_MM = 170.0
"""Width of a figure as printed. [mm]"""

_STYLE: dict[str, object] = {
    "svg.fonttype": "none",
    "svg.hashsalt": "coldpin",
    "text.parse_math": False,
    "font.family": ["DejaVu Sans"],
    "font.size": 7.5,
    "hatch.linewidth": 0.5,
    "path.simplify": False,
}
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
        FigureCanvasSVG(figure)
        paint(figure)
        written = io.BytesIO()
        figure.savefig(written, format="svg", metadata={"Date": None, "Creator": None}, transparent=True)
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
    for side, kept in (("left", left), ("bottom", bottom), ("top", False), ("right", False)):
        axes.spines[side].set_visible(kept)
        axes.spines[side].set_color(Ink.RULE)
        axes.spines[side].set_linewidth(0.6)
    axes.tick_params(colors=Ink.QUIET, width=0.6, length=2.5, labelsize=7, color=Ink.RULE)
    if not left:
        axes.set_yticks([])
    if not bottom:
        axes.set_xticks([])


_SVG = "http://www.w3.org/2000/svg"
_XLINK = "http://www.w3.org/1999/xlink"
_REFERENCE = re.compile(r"url\(#([^)]+)\)")


def _trimmed(svg: bytes) -> str:
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

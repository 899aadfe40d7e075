"""A part of a sheet with a scale across and one upwards, and all that is drawn by them.

Its methods are called as in the library that draws pictures elsewhere, and do of it what our figures need. Nothing is
placed before the whole is written, so that the ends of a scale may be given last.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Unpack

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coldpin.report.figures.axis_marks import AxisMarks, across_marks, upward_marks
from coldpin.report.figures.lines_of_text import TextBlock, box_around, lay_out, text_elements
from coldpin.report.figures.scale import Scale
from coldpin.report.figures.shapes import OPEN
from coldpin.report.figures.strokes import AreaLook, BoxLook, Frame, LineLook, WordLook, area_look, look

if TYPE_CHECKING:
    from coldpin.report.figures.canvas import Canvas

Places = NDArray[np.float64]

_SIZE = 7.5
"""Size of letters where none is asked for. [points]"""
_AREAS, _LINES, _WORDS = 1.0, 2.0, 3.0
"""What lies over what where nothing is asked for: areas lowest, words on top."""
_MARKS, _SIDES = 1.5, 2.5
"""Where the marks of the scales lie in that order, and the sides."""
_ARROW = (3.0, 1.5)
"""Length and half the width of the head of an arrow. [points]"""
_SHRUNK = 2.0
"""An arrow begins and ends so far from its places. [points]"""


@dataclass(frozen=True, slots=True)
class _Mark:
    depth: float
    written: Callable[[], str]


class Panel:
    """A box on a sheet, with both its scales. Its methods add to the drawing."""

    def __init__(self, canvas: Canvas, left: float, top: float, width: float, height: float) -> None:
        self._canvas = canvas
        self.left, self.top, self.width, self.height = left, top, width, height
        self._across, self._upward = Scale(), Scale()
        self._marks: list[_Mark] = []
        self._x, self._y = AxisMarks(), AxisMarks()
        self._title: tuple[str, WordLook] | None = None

    # ---- scales

    def set_xlim(self, first: float, last: float) -> None:
        """Set the ends of the scale across.

        Parameters
        ----------
        first, last : float
            Left and right, in the unit of the axis.
        """
        self._across = self._across.between(first, last)

    def set_ylim(self, first: float, last: float) -> None:
        """Set the ends of the scale upwards.

        Parameters
        ----------
        first, last : float
            Bottom and top, in the unit of the axis.
        """
        self._upward = self._upward.between(first, last)

    def get_xlim(self) -> tuple[float, float]:
        """Return the ends of the scale across.

        Returns
        -------
        tuple of float
            Left and right.
        """
        return self._across.first, self._across.last

    def get_ylim(self) -> tuple[float, float]:
        """Return the ends of the scale upwards.

        Returns
        -------
        tuple of float
            Bottom and top.
        """
        return self._upward.first, self._upward.last

    def set_logarithmic(self, *, x: bool = False, y: bool = False) -> None:
        """Make a scale logarithmic; it then has no marks but those that are given.

        Parameters
        ----------
        x, y : bool
            Which.
        """
        self._across = Scale(self._across.first, self._across.last, x)
        self._upward = Scale(self._upward.first, self._upward.last, y)

    @property
    def x_marks(self) -> AxisMarks:
        """The marks of the scale across."""
        return self._x

    @property
    def y_marks(self) -> AxisMarks:
        """The marks of the scale upwards."""
        return self._y

    def set_xticks(self, places: Sequence[float], labels: Sequence[str] | None = None) -> None:
        """Mark the scale across at places of one's own.

        Parameters
        ----------
        places : sequence of float
            The places.
        labels : sequence of str, optional
            What stands at each; the place itself where left out.
        """
        self._x.places, self._x.labels = list(places), None if labels is None else list(labels)

    def set_yticks(self, places: Sequence[float], labels: Sequence[str] | None = None) -> None:
        """Mark the scale upwards at places of one's own.

        Parameters
        ----------
        places : sequence of float
            The places.
        labels : sequence of str, optional
            What stands at each; the place itself where left out.
        """
        self._y.places, self._y.labels = list(places), None if labels is None else list(labels)

    def set_xlabel(self, text: str, *, labelpad: float, **style: Unpack[WordLook]) -> None:
        """Name the scale across.

        Parameters
        ----------
        text : str
            Its name.
        labelpad : float
            Its distance from the marks. [points]
        **style : WordLook
            How it looks.
        """
        self._x.name = (text, labelpad, style)

    def set_ylabel(self, text: str, *, labelpad: float, **style: Unpack[WordLook]) -> None:
        """Name the scale upwards.

        Parameters
        ----------
        text : str
            Its name.
        labelpad : float
            Its distance from the marks. [points]
        **style : WordLook
            How it looks.
        """
        self._y.name = (text, labelpad, style)

    def set_title(self, text: str, *, pad: float, **style: Unpack[WordLook]) -> None:
        """Write a title above the upper left corner.

        Parameters
        ----------
        text : str
            The title.
        pad : float
            Its distance from the panel. [points]
        **style : WordLook
            How it looks.
        """
        place: WordLook = {"frame": Frame.PANEL, "va": "baseline", "ha": "left"}
        self._words(text, 0.0, 1.0, (0.0, pad), {**style, **place})

    # ---- lines

    def plot(self, x: ArrayLike, y: ArrayLike, **style: Unpack[LineLook]) -> None:
        """Draw a line through places, and a sign at each where one is asked for.

        Parameters
        ----------
        x, y : ArrayLike
            Arrays of shape (n,), in the units of the axes; the line is broken where either is no number.
        **style : LineLook
            How it looks.
        """
        self._add(style.get("zorder", _LINES), partial(self._line, x, y, style))

    def axhline(self, y: float, **style: Unpack[LineLook]) -> None:
        """Draw a line across the whole panel.

        Parameters
        ----------
        y : float
            Where, in the unit of the axis.
        **style : LineLook
            How it looks.
        """
        framed: LineLook = {**style, "frame": Frame.ROW}
        self.plot([0.0, 1.0], [y, y], **framed)

    def axvline(self, x: float, **style: Unpack[LineLook]) -> None:
        """Draw a line up the whole panel.

        Parameters
        ----------
        x : float
            Where, in the unit of the axis.
        **style : LineLook
            How it looks.
        """
        framed: LineLook = {**style, "frame": Frame.COLUMN}
        self.plot([x, x], [0.0, 1.0], **framed)

    def verticals(self, places: Sequence[float], **style: Unpack[LineLook]) -> None:
        """Draw lines up the whole panel.

        Parameters
        ----------
        places : sequence of float
            Where, in the unit of the axis.
        **style : LineLook
            How they look.
        """
        x = [one for place in places for one in (place, place, math.nan)]
        framed: LineLook = {**style, "frame": Frame.COLUMN}
        self.plot(x, [0.0, 1.0, math.nan] * len(places), **framed)

    def arrow(self, start: tuple[float, float], end: tuple[float, float], **style: Unpack[LineLook]) -> None:
        """Draw an arrow; one that ends outside the panel is left out.

        Parameters
        ----------
        start, end : tuple of float
            From where to where, in the units of the axes.
        **style : LineLook
            How it looks.
        """
        self._add(style.get("zorder", _WORDS), partial(self._arrow, start, end, style))

    # ---- areas

    def fill_between(self, x: ArrayLike, low: ArrayLike, high: ArrayLike, **style: Unpack[AreaLook]) -> None:
        """Fill what lies between two lines over the same places.

        Parameters
        ----------
        x : ArrayLike
            Array of shape (n,), in the unit of the axis.
        low, high : ArrayLike
            Arrays of shape (n,), or one value for all; where either is no number nothing is filled.
        **style : AreaLook
            How it looks.
        """
        across = np.asarray(x, dtype=np.float64)
        first, last = (np.broadcast_to(np.asarray(side, dtype=np.float64), across.shape) for side in (low, high))
        self._add(style.get("zorder", _AREAS), partial(self._band, across, first, last, style, turned=False))

    def fill_betweenx(self, y: ArrayLike, low: ArrayLike, high: ArrayLike, **style: Unpack[AreaLook]) -> None:
        """Fill what lies between two lines beside each other.

        Parameters
        ----------
        y : ArrayLike
            Array of shape (n,), in the unit of the axis upwards.
        low, high : ArrayLike
            Arrays of shape (n,), or one value for all, in the unit of the axis across.
        **style : AreaLook
            How it looks.
        """
        upward = np.asarray(y, dtype=np.float64)
        first, last = (np.broadcast_to(np.asarray(side, dtype=np.float64), upward.shape) for side in (low, high))
        self._add(style.get("zorder", _AREAS), partial(self._band, upward, first, last, style, turned=True))

    def axhspan(self, low: float, high: float, **style: Unpack[AreaLook]) -> None:
        """Fill a strip across the whole panel.

        Parameters
        ----------
        low, high : float
            From where to where, in the unit of the axis.
        **style : AreaLook
            How it looks.
        """
        corners = ((0.0, low), (1.0, low), (1.0, high), (0.0, high))
        self._add(style.get("zorder", _AREAS), partial(self._rings, (corners,), style, Frame.ROW))

    def axvspan(self, low: float, high: float, **style: Unpack[AreaLook]) -> None:
        """Fill a strip up the whole panel.

        Parameters
        ----------
        low, high : float
            From where to where, in the unit of the axis.
        **style : AreaLook
            How it looks.
        """
        corners = ((low, 0.0), (high, 0.0), (high, 1.0), (low, 1.0))
        self._add(style.get("zorder", _AREAS), partial(self._rings, (corners,), style, Frame.COLUMN))

    def rectangle(self, corner: tuple[float, float], width: float, height: float, **style: Unpack[AreaLook]) -> None:
        """Draw a rectangle.

        Parameters
        ----------
        corner : tuple of float
            One of its corners, in the units of the axes.
        width, height : float
            From there to the opposite one, in the units of the axes.
        **style : AreaLook
            How it looks.
        """
        (x, y), u, v = corner, corner[0] + width, corner[1] + height
        self.rings((((x, y), (u, y), (u, v), (x, v)),), **style)

    def bars(
        self, stretches: Sequence[tuple[float, float]], standing: tuple[float, float], **style: Unpack[AreaLook]
    ) -> None:
        """Draw bars in a row.

        Parameters
        ----------
        stretches : sequence of tuple of float
            Where each begins and how long it is, in the unit of the axis across.
        standing : tuple of float
            Where all begin and how high they are, in the unit of the axis upwards.
        **style : AreaLook
            How they look.
        """
        low, high = standing[0], standing[0] + standing[1]
        ends = ((start, start + length) for start, length in stretches)
        self.rings([((x, low), (u, low), (u, high), (x, high)) for x, u in ends], **style)

    def rings(self, rings: Sequence[Sequence[tuple[float, float]]], **style: Unpack[AreaLook]) -> None:
        """Draw an area by the rings around it; one that turns the other way cuts a hole.

        Parameters
        ----------
        rings : sequence of sequence of tuple of float
            Corners of each, in the units of the axes.
        **style : AreaLook
            How it looks.
        """
        self._add(style.get("zorder", _AREAS), partial(self._rings, rings, style, Frame.DATA))

    # ---- words

    def text(self, x: float, y: float, text: str, **style: Unpack[WordLook]) -> None:
        """Write words.

        Parameters
        ----------
        x, y : float
            Where, in the units of the axes.
        text : str
            One line or several.
        **style : WordLook
            How they look.
        """
        self._words(text, x, y, (0.0, 0.0), style)

    def annotate(
        self, text: str, place: tuple[float, float], offset: tuple[float, float], **style: Unpack[WordLook]
    ) -> None:
        """Write words beside a place; they are left out where it lies outside the panel.

        Parameters
        ----------
        text : str
            The words.
        place : tuple of float
            The place, in the units of the axes.
        offset : tuple of float
            How far to the right and above they stand. [points]
        **style : WordLook
            How they look.
        """
        self._words(text, *place, offset, style, within=style.get("frame", Frame.DATA) is Frame.DATA)

    def svg(self) -> str:
        """Return all that was drawn, from the lowest to the highest.

        Returns
        -------
        str
            Elements of SVG.
        """
        box = (self.left, self.top, self.width, self.height)
        scales = (across_marks(self._x, self._across, box), upward_marks(self._y, self._upward, box))
        of_scales = [_Mark(_MARKS, lambda: "".join(one.marks for one in scales))]
        sides = [_Mark(_SIDES, lambda: "".join(one.side for one in scales))]
        ordered = sorted((*self._marks, *of_scales, *sides), key=lambda mark: mark.depth)
        return "".join(mark.written() for mark in ordered)

    # ---- how each is written

    def _add(self, depth: float, written: Callable[[], str]) -> None:
        self._marks.append(_Mark(depth, written))

    def _place(self, x: ArrayLike, y: ArrayLike, frame: Frame) -> tuple[Places, Places]:
        """Return where places stand on the sheet. [points]"""
        x = np.asarray(x, dtype=np.float64) if frame in (Frame.PANEL, Frame.ROW) else self._across.along(x)
        y = np.asarray(y, dtype=np.float64) if frame in (Frame.PANEL, Frame.COLUMN) else self._upward.along(y)
        return self.left + self.width * x, self.top + self.height * (1.0 - y)

    def _clip(self) -> str:
        return f' clip-path="url(#{self._canvas.clip(self.left, self.top, self.width, self.height)})"'

    def _line(self, x: ArrayLike, y: ArrayLike, style: LineLook) -> str:
        across, upward = self._place(x, y, style.get("frame", Frame.DATA))
        ink, clip = style.get("color", "none"), self._clip() if style.get("clip_on", True) else ""
        drawn = ""
        dashes = style.get("linestyle", "-")
        if dashes != "none" and (trail := _trail(across, upward)):
            solid = dashes in ("-", "solid")
            said = look(
                stroke=str(ink),
                width=style.get("linewidth", 1.0),
                dashes=dashes,
                cap=style.get("solid_capstyle", "projecting") if solid else "butt",
                join=style.get("solid_joinstyle", "round"),
                alpha=style.get("alpha", 1.0),
            )
            drawn = f'<path d="{trail}"{clip} style="{said}"/>'
        return drawn + (self._signs(across, upward, style, clip) if "marker" in style else "")

    def _signs(self, across: Places, upward: Places, style: LineLook, clip: str) -> str:
        ink = str(style.get("color", "none"))
        name, join = self._canvas.sign(style["marker"], style.get("markersize", 6.0))
        said = look(
            fill="none" if style["marker"] in OPEN else str(style.get("markerfacecolor", ink)),
            stroke=str(style.get("markeredgecolor", ink)),
            width=style.get("markeredgewidth", 1.0),
            join=join,
        )
        uses = "".join(
            f'<use xlink:href="#{name}" x="{x:.2f}" y="{y:.2f}" style="{said}"/>'
            for x, y in zip(across.tolist(), upward.tolist(), strict=True)
            if math.isfinite(x) and math.isfinite(y)
        )
        return f"<g{clip}>{uses}</g>" if uses else ""

    def _arrow(self, start: tuple[float, float], end: tuple[float, float], style: LineLook) -> str:
        (x, u), (y, v) = (one.tolist() for one in self._place((start[0], end[0]), (start[1], end[1]), Frame.DATA))
        length = math.hypot(u - x, v - y)
        if not self._holds(*end) or length <= 2.0 * _SHRUNK:
            return ""
        cos, sin = (u - x) / length, (v - y) / length
        x, y, u, v = x + _SHRUNK * cos, y + _SHRUNK * sin, u - _SHRUNK * cos, v - _SHRUNK * sin
        back, aside = _ARROW
        barbs = " ".join(
            f"{word} {u - back * cos - way * aside * sin:.2f} {v - back * sin + way * aside * cos:.2f} {middle}"
            for word, way, middle in (("M", 1.0, f"L {u:.2f} {v:.2f}"), ("L", -1.0, ""))
        )
        said = look(stroke=str(style.get("color", "none")), width=style.get("linewidth", 1.0))
        return f'<path d="M {x:.2f} {y:.2f} L {u:.2f} {v:.2f} {barbs.rstrip()}" style="{said}"/>'

    def _rings(self, rings: Sequence[Sequence[tuple[float, float]]], style: AreaLook, frame: Frame) -> str:
        paths = []
        for ring in rings:
            across, upward = self._place([x for x, _ in ring], [y for _, y in ring], frame)
            paths.append(_trail(across, upward, closed=True))
        return self._area(" ".join(filter(None, paths)), style, join="miter")

    def _band(self, along: Places, low: Places, high: Places, style: AreaLook, *, turned: bool) -> str:
        known = np.isfinite(along) & np.isfinite(low) & np.isfinite(high)
        ends = np.flatnonzero(np.diff(np.concatenate(([False], known, [False])).astype(np.int8)))
        paths = []
        for first, last in ends.reshape(-1, 2):
            place, one, other = along[first:last], low[first:last], high[first:last]
            if style.get("stepped", False):
                place = np.concatenate((place[:1], np.repeat(0.5 * (place[1:] + place[:-1]), 2), place[-1:]))
                one, other = np.repeat(one, 2), np.repeat(other, 2)
            there_and_back = np.concatenate((place, place[::-1]))
            sides = np.concatenate((one, other[::-1]))
            x, y = (sides, there_and_back) if turned else (there_and_back, sides)
            paths.append(_trail(*self._place(x, y, Frame.DATA), closed=True))
        return self._area(" ".join(paths), style, join="round")

    def _area(self, path: str, style: AreaLook, *, join: str) -> str:
        if not path:
            return ""
        said = area_look(style)
        if hatch := style.get("hatch"):
            said["fill"] = f"url(#{self._canvas.hatch(hatch, said['fill'], said['stroke'])})"
        return f'<path d="{path}"{self._clip()} style="{look(**said, join=join)}"/>'

    def _words(
        self, text: str, x: float, y: float, offset: tuple[float, float], style: WordLook, *, within: bool = False
    ) -> None:
        if text:
            self._add(style.get("zorder", _WORDS), partial(self._worded, text, x, y, offset, style, within=within))

    def _holds(self, x: float, y: float) -> bool:
        return self._across.holds(x) and self._upward.holds(y)

    def _worded(
        self, text: str, x: float, y: float, offset: tuple[float, float], style: WordLook, *, within: bool
    ) -> str:
        if within and not self._holds(x, y):
            return ""
        across, upward = self._place(x, y, style.get("frame", Frame.DATA))
        if not (np.isfinite(across) and np.isfinite(upward)):
            return ""
        at = float(across) + offset[0], float(upward) - offset[1]
        size, bold = style.get("fontsize", _SIZE), style.get("fontweight", "normal") == "bold"
        block = lay_out(text, size, bold=bold, spacing=style.get("linespacing", 1.2))
        ha, va, turned = style.get("ha", "left"), style.get("va", "baseline"), style.get("rotation", 0.0) == 90.0
        if turned:
            ha, va = _TURNED_ACROSS[va], _TURNED_UPWARD[ha]
        box = _boxed(block, *at, ha=ha, va=va, style=style["box"]) if "box" in style else ""
        ink = str(style.get("color", "none"))
        words = box + text_elements(block, *at, size=size, bold=bold, ink=ink, ha=ha, va=va, turned=turned)
        return f"<g{self._clip()}>{words}</g>" if style.get("clip_on", False) else words


_TURNED_ACROSS = {"bottom": "left", "center": "center", "top": "right", "baseline": "left"}
_TURNED_UPWARD = {"left": "top", "center": "center", "right": "bottom"}
"""What of a text that runs upwards stands at its place, said of the text before it is turned."""


def _boxed(block: TextBlock, x: float, y: float, *, ha: str, va: str, style: BoxLook) -> str:
    left, top, width, height = box_around(block, x, y, ha=ha, va=va)
    pad = style.get("pad", 0.0)
    said = look(
        fill=str(style.get("facecolor", "none")),
        stroke=str(style.get("edgecolor", "none")),
        width=style.get("linewidth", 1.0),
        join="miter",
        alpha=style.get("alpha", 1.0),
    )
    if style.get("circle", False):
        radius = 0.5 * max(width, height) + pad
        return f'<circle cx="{left + 0.5 * width:.2f}" cy="{top + 0.5 * height:.2f}" r="{radius:.2f}" style="{said}"/>'
    return (
        f'<rect x="{left - pad:.2f}" y="{top - pad:.2f}" width="{width + 2.0 * pad:.2f}" '
        f'height="{height + 2.0 * pad:.2f}" style="{said}"/>'
    )


def _trail(across: Places, upward: Places, *, closed: bool = False) -> str:
    """Return places as a path, broken where there is none; a single place is no path."""
    known = np.isfinite(across) & np.isfinite(upward)
    end = " Z" if closed else ""
    if known.all():
        return _joined(across, upward) + end if across.size > 1 else ""
    ends = np.flatnonzero(np.diff(np.concatenate(([False], known, [False])).astype(np.int8))).reshape(-1, 2)
    pieces = [_joined(across[first:last], upward[first:last]) + end for first, last in ends if last - first > 1]
    return " ".join(pieces)


def _joined(across: Places, upward: Places) -> str:
    return "M " + " L ".join([f"{x:.2f} {y:.2f}" for x, y in zip(across.tolist(), upward.tolist(), strict=True)])

"""One residual current as it was captured, with the output beside it: when it began and when the output died."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas

from coldpin.records.pilot import Bracket
from coldpin.records.trip_test import ResidualPicture
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import measured

_HEIGHT_MM = 70.0
_LEFT_MM, _RIGHT_MM, _BOTTOM_MM, _TOP_MM, _GAP_MM = 17.0, 6.0, 11.0, 7.0, 4.0
_ROOM = 1.12
_SECONDS_FROM = 2.0
_THINNEST = 0.004
"""A bracket is drawn at least so wide, as a part of the axis."""


def leak(picture: ResidualPicture, anchors: Anchors) -> Figure:
    """Return a captured residual current with the output beside it.

    Parameters
    ----------
    picture : ResidualPicture
        Current, output, and the two brackets.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    named = f" ({picture.file})" if picture.file else ""
    return Figure(
        anchor=anchors.fresh("figure-leak"),
        svg=draw(WIDTH_MM, _HEIGHT_MM, lambda canvas: _paint(canvas, picture)),
        alt=_told(picture),
        caption=f"Residual current and output as captured{named}: {_which(picture)}",
        width_mm=WIDTH_MM,
    )


def _which(picture: ResidualPicture) -> str:
    if picture.operation.tripped:
        return (
            "the slowest operation. Bands: within which the current began and the output died, as read; the delay of "
            "the output's sensor is taken out of the time and not of the drawing."
        )
    return "the output did not die while the current was on."


def _paint(canvas: Canvas, picture: ResidualPicture) -> None:
    each = 0.5 * (_HEIGHT_MM - _BOTTOM_MM - _TOP_MM - _GAP_MM)
    wide = (WIDTH_MM - _LEFT_MM - _RIGHT_MM) / WIDTH_MM
    factor, unit = (1.0, "s") if picture.time_s[-1] > _SECONDS_FROM else (1000.0, "ms")
    time = factor * np.array(picture.time_s)
    panels = (
        (_BOTTOM_MM + each + _GAP_MM, picture.current_ma, "current (mA)", Ink.COPPER, False),
        (_BOTTOM_MM, picture.output_v, "output (V)", Ink.COLD, True),
    )
    for bottom, pairs, name, ink, last in panels:
        axes: Axes = canvas.add_axes((_LEFT_MM / WIDTH_MM, bottom / _HEIGHT_MM, wide, each / _HEIGHT_MM))
        quiet_axes(axes)
        low, high = (np.array(side) for side in zip(*pairs, strict=True))
        reach = _ROOM * max(float(np.abs(low).max()), float(np.abs(high).max()), 1e-9)
        axes.set_xlim(float(time[0]), float(time[-1]))
        axes.set_ylim(-reach, reach)
        axes.axhline(0.0, color=Ink.RULE, linewidth=0.5, zorder=0)
        for bracket, band in ((picture.began_s, Ink.EMBER), (picture.opened_s, Ink.DEEP)):
            if bracket is not None:
                _band(axes, bracket, factor, band)
        if np.array_equal(low, high):
            axes.plot(time, low, color=ink, linewidth=0.8, zorder=2)
        else:
            axes.fill_between(time, low, high, color=ink, linewidth=0.5, zorder=2)
        axes.set_ylabel(name, fontsize=7, color=Ink.QUIET, labelpad=2)
        axes.tick_params(labelsize=6.5)
        if last:
            axes.set_xlabel(f"time from the current's beginning ({unit})", fontsize=7, color=Ink.QUIET, labelpad=2)
        else:
            axes.set_xticklabels([])
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.patch.set_visible(False)
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(_HEIGHT_MM, 0.0)
    quiet_axes(words, left=False, bottom=False)
    words.text(_LEFT_MM, 3.0, letter(_head(picture), longest=110), ha="left", va="center", fontsize=7, color=Ink.TEXT)


def _band(axes: Axes, bracket: Bracket, factor: float, ink: str) -> None:
    first, last = (factor * end for end in bracket)
    least = _THINNEST * (axes.get_xlim()[1] - axes.get_xlim()[0])
    spare = max(0.0, 0.5 * (least - (last - first)))
    axes.axvspan(first - spare, last + spare, facecolor=ink, edgecolor="none", zorder=1)


def _head(picture: ResidualPicture) -> str:
    one = picture.operation
    flowed = measured(one.current_ma) if one.current_ma.u is not None else f"{one.current_ma.value:.3g} mA"
    way = f", {one.way}" if one.way else ""
    if not one.tripped:
        return f"{flowed} of {one.kind.value} current{way}: the output stayed live for {one.time_s.value:.3g} s"
    took = measured(one.time_s) if one.time_s.u is not None else f"{one.time_s.value:.3g} s"
    return f"{flowed} of {one.kind.value} current{way}: the output was dead after {took}"


def _told(picture: ResidualPicture) -> str:
    """Tell the picture in words."""
    largest = max(abs(end) for pair in picture.current_ma for end in pair)
    return f"{_head(picture)}. The current reaches {largest:.3g} mA at its crest; above it the output's voltage."

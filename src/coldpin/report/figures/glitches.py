"""Glitches: how many of which width, and the longest of them in their cycles and near by."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import MaxNLocator

from coldpin.records.assessment import GlitchPicture, PilotEvidence, Trace
from coldpin.records.pilot import Glitch, GlitchWidths
from coldpin.report.anchors import Anchors, slug
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import counted, number
from coldpin.report.times import duration

_BARS_MM = 30.0
_ROW_MM = 36.0
_LEFT, _CYCLE, _NEAR_AT, _NEAR = 0.075, 0.54, 0.70, 0.28
"""Where the two panels of a row stand, in parts of the width."""


def glitches(capture: PilotEvidence, anchors: Anchors) -> tuple[Figure, ...]:
    """Return the figure of glitches.

    Parameters
    ----------
    capture : PilotEvidence
        A capture as read.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    tuple of Figure
        One drawing with caption and description; none where there are no glitches.
    """
    listed = capture.reading.glitches
    pictures = tuple(picture for picture in capture.glitches if picture.near.time_s)
    if not listed.count:
        return ()
    height = _BARS_MM + _ROW_MM * len(pictures)
    longest = f" Below: the {counted(len(pictures), 'longest one', 'longest')}, each in its cycle and near by."
    return (
        Figure(
            anchor=anchors.fresh(f"figure-glitches-{slug(capture.file or capture.entry)}"),
            svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, listed.widths, pictures, height)),
            alt=_told(capture),
            caption="Glitches: what departs from its level for a moment and comes back, counted by width."
            + (longest if pictures else ""),
            width_mm=WIDTH_MM,
        ),
    )


def _paint(
    canvas: Canvas, widths: tuple[GlitchWidths, ...], pictures: tuple[GlitchPicture, ...], height: float
) -> None:
    bars: Axes = canvas.add_axes((_LEFT, 1.0 - 0.72 * _BARS_MM / height, 1.0 - _LEFT - 0.02, 0.54 * _BARS_MM / height))
    _bars(bars, widths)
    for place, picture in enumerate(pictures):
        bottom = 1.0 - (_BARS_MM + _ROW_MM * (place + 0.76)) / height
        for left, width, trace, narrow in (
            (_LEFT, _CYCLE, picture.around, False),
            (_NEAR_AT, _NEAR, picture.near, True),
        ):
            axes: Axes = canvas.add_axes((left, bottom, width, 0.54 * _ROW_MM / height))
            _trace(axes, trace, picture.glitch)
            if narrow:
                _name(
                    axes, f"{duration(picture.glitch.width_s)}, reaching {_volts(picture.glitch.peak_v)}", strong=False
                )
            else:
                _name(axes, f"{picture.glitch.state.value} at {_instant(picture.glitch)}", strong=True)
                axes.set_ylabel("pilot (V)", fontsize=7, color=Ink.QUIET, labelpad=1)


def _bars(axes: Axes, widths: tuple[GlitchWidths, ...]) -> None:
    quiet_axes(axes, left=False)
    axes.bar(range(len(widths)), [width.count for width in widths], width=0.94, color=Ink.DEEP, edgecolor="none")
    most = max((width.count for width in widths), default=1)
    axes.set_ylim(0.0, 1.3 * most)
    axes.set_xlim(-0.6, len(widths) - 0.4)
    for place, width in enumerate(widths):
        if width.count:
            said: dict[str, Any] = {"ha": "center", "va": "bottom", "fontsize": 7, "color": Ink.TEXT}
            axes.text(place, width.count + 0.03 * most, number(width.count), **said)
    axes.set_xticks(
        [place - 0.5 for place in range(len(widths) + 1)],
        [duration(bound) for bound in (widths[0].above_s, *(width.up_to_s for width in widths))] if widths else [],
    )
    _name(axes, "how many, by width", strong=False)


def _trace(axes: Axes, trace: Trace, glitch: Glitch) -> None:
    time = np.asarray(trace.time_s)
    unit, factor = ("ms", 1e-3) if time[-1] - time[0] >= 5e-4 else ("µs", 1e-6)
    low, high = np.asarray(trace.low_v), np.asarray(trace.high_v)
    quiet_axes(axes)
    axes.axvspan(0.0, glitch.width_s / factor, facecolor=Ink.EMBER, edgecolor="none", zorder=-1)
    if not trace.every_sample:
        axes.fill_between(time / factor, low, high, facecolor=Ink.COLD, edgecolor=Ink.COLD, linewidth=0.4)
    axes.plot(time / factor, high, color=Ink.COLD, linewidth=0.9, solid_joinstyle="round")
    # half a stretch to either side, so that one of few samples is a line and not a point
    step = 0.5 * (time[-1] - time[0]) / max(1, time.size - 1)
    inside = (time >= -3.0 * step) & (time < glitch.width_s + step)
    axes.plot(time[inside] / factor, _outermost(low, high, glitch)[inside], color=Ink.COPPER, linewidth=1.4)
    axes.axhline(0.0, color=Ink.RULE, linewidth=0.6, zorder=0)
    axes.set_xlim(time[0] / factor, max(time[-1] / factor, time[0] / factor + 1e-9))
    values = [value for value in (*trace.low_v, *trace.high_v, 0.0) if math.isfinite(value)]
    margin = 0.08 * (max(values) - min(values)) + 0.3
    axes.set_ylim(min(values) - margin, max(values) + margin)
    axes.yaxis.set_major_locator(MaxNLocator(4, steps=[1, 1.5, 3, 6, 10]))
    axes.xaxis.set_major_locator(MaxNLocator(5, steps=[1, 2, 5, 10]))
    axes.set_xlabel(f"from its start ({unit})", fontsize=7, color=Ink.QUIET, labelpad=1)


def _outermost(low: np.ndarray, high: np.ndarray, glitch: Glitch) -> np.ndarray:
    """Return of each stretch the end that the glitch reaches for."""
    return low if abs(float(low.min()) - glitch.peak_v) < abs(float(high.max()) - glitch.peak_v) else high


def _name(axes: Axes, text: str, *, strong: bool) -> None:
    weight = "bold" if strong else "normal"
    size = 8 if strong else 7
    axes.set_title(letter(text, longest=60), loc="left", fontsize=size, fontweight=weight, color=Ink.TEXT, pad=4)


def _volts(voltage: float) -> str:
    return f"{number(round(voltage, 1))} V"


def _instant(glitch: Glitch) -> str:
    return f"{number(round(glitch.start_s, 6))} s"


def _told(capture: PilotEvidence) -> str:
    listed = capture.reading.glitches
    classes = "; ".join(
        f"{width.count} longer than {duration(width.above_s)} and up to {duration(width.up_to_s)}"
        for width in listed.widths
        if width.count
    )
    drawn = ", ".join(
        f"{duration(one.width_s)} in {one.state.value} at {_instant(one)} reaching {_volts(one.peak_v)}"
        for one in (picture.glitch for picture in capture.glitches)
    )
    return f"{counted(listed.count, 'glitch', 'glitches')}: {classes}." + (f" The longest: {drawn}." if drawn else "")

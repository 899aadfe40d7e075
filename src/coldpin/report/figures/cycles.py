"""One clean cycle of each state beside the windows it is judged against."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import MaxNLocator

from coldpin.quantity.model import Quantity
from coldpin.records.assessment import CyclePicture, PilotEvidence
from coldpin.records.pilot import Run
from coldpin.report.anchors import Anchors, slug
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import measured, number

_ROW_MM = 38.0
_MOST = 6
"""Panels in one figure, so that it fits a page."""

Window = tuple[float | None, float | None]


def cycles(capture: PilotEvidence, anchors: Anchors) -> tuple[Figure, ...]:
    """Return the figures of clean cycles, at most six in one.

    Parameters
    ----------
    capture : PilotEvidence
        A capture as read.
    anchors : Anchors
        Where the figures get their anchors.

    Returns
    -------
    tuple of Figure
        The drawings with captions and descriptions; none where no cycle was clean.
    """
    pictures = tuple(picture for picture in capture.cycles if picture.trace.time_s)
    groups = (pictures[start : start + _MOST] for start in range(0, len(pictures), _MOST))
    return tuple(_figure(capture, group, anchors) for group in groups)


def _figure(capture: PilotEvidence, pictures: tuple[CyclePicture, ...], anchors: Anchors) -> Figure:
    rows = math.ceil(len(pictures) / 2)
    named = "; ".join(dict.fromkeys(picture.windows_source for picture in pictures if picture.windows_source))
    source = f" Windows: {named}." if named else ""
    return Figure(
        anchor=anchors.fresh(f"figure-cycles-{slug(capture.file or capture.entry)}"),
        svg=draw(WIDTH_MM, rows * _ROW_MM, lambda canvas: _paint(canvas, capture, pictures)),
        alt=" ".join(_told(picture, _run_of(picture, capture)) for picture in pictures),
        caption=f"One clean cycle of each state. Shaded: the window its level is judged against.{source}",
        width_mm=WIDTH_MM,
    )


def _run_of(picture: CyclePicture, capture: PilotEvidence) -> Run | None:
    """Return the run a picture was cut from, or else the longest of its state."""
    runs = [run for run in capture.reading.runs if run.state.value == picture.state]
    start, end = picture.trace.time_s[0], picture.trace.time_s[-1]
    around = [run for run in runs if run.start_s <= start and end <= run.end_s]
    return max(around or runs, key=lambda run: run.end_s - run.start_s, default=None)


def _paint(canvas: Canvas, capture: PilotEvidence, pictures: tuple[CyclePicture, ...]) -> None:
    rows = math.ceil(len(pictures) / 2)
    low, high = _reach(pictures)
    for place, picture in enumerate(pictures):
        row, column = divmod(place, 2)
        left, bottom = 0.068 + 0.505 * column, 1.0 - (row + 1.0 - 0.2) / rows
        axes: Axes = canvas.add_axes((left, bottom, 0.225, 0.66 / rows))
        axes.set_ylim(low, high)
        _panel(axes, picture, _run_of(picture, capture))


def _reach(pictures: tuple[CyclePicture, ...]) -> tuple[float, float]:
    """Return the voltages between which all panels are drawn. [V]"""
    edges = [
        edge for picture in pictures for window in (picture.high_window_v, picture.low_window_v) for edge in window
    ]
    values = [edge for edge in edges if edge is not None]
    values += [value for picture in pictures for value in (*picture.trace.low_v, *picture.trace.high_v)]
    values = [value for value in values if math.isfinite(value)] or [0.0]
    margin = 0.05 * (max(values) - min(values)) + 0.3
    return min(values) - margin, max(values) + margin


def _panel(axes: Axes, picture: CyclePicture, run: Run | None) -> None:
    time = np.asarray(picture.trace.time_s)
    unit, factor = ("ms", 1e-3) if time[-1] - time[0] >= 5e-4 else ("µs", 1e-6)
    time = (time - time[0]) / factor
    quiet_axes(axes)
    axes.set_xlim(0.0, max(float(time[-1]), 1e-9))
    _window(axes, picture.high_window_v, run.high_v if run else None, "high")
    _window(axes, picture.low_window_v, run.low_v if run else None, "low")
    if not picture.trace.every_sample:
        axes.fill_between(
            time, picture.trace.low_v, picture.trace.high_v, facecolor=Ink.COLD, edgecolor=Ink.COLD, linewidth=0.4
        )
    axes.plot(time, picture.trace.high_v, color=Ink.COLD, linewidth=1.0, solid_joinstyle="round")
    axes.axhline(0.0, color=Ink.RULE, linewidth=0.6, zorder=0)
    axes.yaxis.set_major_locator(MaxNLocator(5, steps=[1, 1.5, 3, 6, 10]))
    axes.xaxis.set_major_locator(MaxNLocator(4, steps=[1, 2, 5, 10]))
    axes.set_xlabel(f"time ({unit})", fontsize=7, color=Ink.QUIET, labelpad=1)
    axes.set_title(
        f"State {letter(picture.state, longest=12)}", loc="left", fontsize=8, fontweight="bold", color=Ink.TEXT, pad=4
    )
    axes.set_ylabel("pilot (V)", fontsize=7, color=Ink.QUIET, labelpad=1)


def _window(axes: Axes, window: Window, level: Quantity | None, word: str) -> None:
    low, high = window
    if low is not None or high is not None:
        bottom, top = axes.get_ylim()
        axes.axhspan(
            bottom if low is None else low,
            top if high is None else high,
            facecolor=Ink.MIST,
            edgecolor="none",
            zorder=-1,
        )
        for edge in (low, high):
            if edge is not None:
                axes.axhline(edge, color=Ink.QUIET, linewidth=0.5, linestyle=(0, (3, 2)), zorder=0)
    beside = _middle(window, level)
    if beside is None:
        return
    if level is not None:
        _beside(axes, beside, f"{word} {measured(level)}", above=True)
    if low is not None or high is not None:
        _beside(axes, beside, _between(window), above=False)


def _middle(window: Window, level: Quantity | None) -> float | None:
    """Return the height at which a level is told of: its own, or that of its window."""
    if level is not None and math.isfinite(level.value):
        return level.value
    edges = [edge for edge in window if edge is not None]
    return sum(edges) / len(edges) if edges else None


def _beside(axes: Axes, height: float, text: str, *, above: bool) -> None:
    axes.annotate(
        letter(text, longest=44),
        (1.0, height),
        xycoords=("axes fraction", "data"),
        xytext=(4.0, 1.0 if above else -1.0),
        textcoords="offset points",
        ha="left",
        va="bottom" if above else "top",
        fontsize=7 if above else 6.5,
        color=Ink.TEXT if above else Ink.QUIET,
    )


def _between(window: Window) -> str:
    low, high = window
    if low is None:
        return f"window: at most {number(high or 0.0)} V"
    if high is None:
        return f"window: at least {number(low)} V"
    return f"window {number(low)} to {number(high)} V"


def _told(picture: CyclePicture, run: Run | None) -> str:
    parts = []
    for word, window, level in (
        ("high", picture.high_window_v, run.high_v if run else None),
        ("low", picture.low_window_v, run.low_v if run else None),
    ):
        judged = "" if window == (None, None) else f", {_between(window)}"
        if level is not None:
            parts.append(f"{word} level {measured(level)}{judged}")
    return f"State {picture.state}: {'; '.join(parts) or 'no settled level'}."

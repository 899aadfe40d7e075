"""The states of the pilot as a ribbon over its voltage."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import MaxNLocator

from coldpin.records.assessment import PilotEvidence, Trace
from coldpin.records.pilot import FITS_NONE, MEANINGS, Run, State
from coldpin.report.anchors import Anchors, slug
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import counted, number
from coldpin.report.times import duration

_HEIGHT_MM = 54.0
_PLOT_MM = 150.0
_LETTER_MM = 1.7
_TOLD = 12
_FINEST = 400
"""Stretches in one drawing: finer ones would lie under the width of a line."""
_RESOLVED = 100
"""Fewer pulses than these are drawn one by one."""

_FILLS = {"A": Ink.FROST, "B": Ink.MIST, "C": Ink.DEEP, "D": Ink.DEEP, "E": Ink.EMBER, "F": Ink.EMBER}


def ribbon(capture: PilotEvidence, anchors: Anchors) -> Figure:
    """Return the figure of states over time.

    Parameters
    ----------
    capture : PilotEvidence
        A capture as read.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    svg = draw(WIDTH_MM, _HEIGHT_MM, lambda canvas: _paint(canvas, capture))
    unlabelled = sum(not _has_room(run, capture) for run in capture.reading.runs)
    short = f" {counted(unlabelled, 'run')} too short to label; the table gives all." if unlabelled else ""
    return Figure(
        anchor=anchors.fresh(f"figure-states-{slug(capture.file or capture.entry)}"),
        svg=svg,
        alt=ribbon_told(capture),
        caption=f"The pilot voltage and the state it means. Striped: the unit sends pulses.{short}",
        width_mm=WIDTH_MM,
    )


def _span(capture: PilotEvidence) -> float:
    return max(capture.reading.source.duration_s, 1e-9)


def _has_room(run: Run, capture: PilotEvidence) -> bool:
    width = (run.end_s - run.start_s) / _span(capture) * _PLOT_MM
    return width >= _LETTER_MM * max(len(_name(run.state)), 2) + 1.0


def _name(state: State) -> str:
    return "?" if state is State.UNDEFINED else state.value


def _paint(canvas: Canvas, capture: PilotEvidence) -> None:
    top: Axes = canvas.add_axes((0.075, 0.80, 0.905, 0.13))
    below: Axes = canvas.add_axes((0.075, 0.155, 0.905, 0.62))
    unit, factor = _time_unit(_span(capture))
    for axes in (top, below):
        axes.set_xlim(0.0, _span(capture) / factor)
    _bands(top, capture, factor)
    _voltage(below, joined_for_drawing(capture), factor)
    starts = [run.start_s / factor for run in capture.reading.runs]
    below.vlines(starts, 0.0, 1.0, transform=below.get_xaxis_transform(), color=Ink.RULE, linewidth=0.5, zorder=0)
    below.set_xlabel(f"time ({unit})", fontsize=7, color=Ink.QUIET, labelpad=2)
    below.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))


def _time_unit(span: float) -> tuple[str, float]:
    for unit, factor in (("h", 3600.0), ("min", 60.0), ("s", 1.0), ("ms", 1e-3)):
        if span >= 2.0 * factor:
            return unit, factor
    return "µs", 1e-6


def _bands(axes: Axes, capture: PilotEvidence, factor: float) -> None:
    axes.set_ylim(0.0, 1.0)
    quiet_axes(axes, left=False, bottom=False)
    alike: dict[tuple[Ink, str], list[tuple[float, float]]] = {}
    for run in capture.reading.runs:
        style = (_FILLS.get(run.state.value[0], Ink.EMBER), ":" if run.state is State.UNDEFINED else "-")
        alike.setdefault(style, []).append(_stretch(run, factor))
        if _has_room(run, capture):
            _label(axes, run, *_stretch(run, factor), capture)
    for (fill, line), stretches in alike.items():
        band: dict[str, Any] = {"facecolor": fill, "edgecolor": Ink.QUIET, "linewidth": 0.5, "linestyle": line}
        axes.broken_barh(stretches, (0.0, 1.0), **band)
    pulsed = [_stretch(run, factor) for run in capture.reading.runs if run.state.oscillating]
    if pulsed:
        stripes: dict[str, Any] = {"facecolor": "none", "edgecolor": Ink.COLD, "linewidth": 0.0, "hatch": "||||||"}
        axes.broken_barh(pulsed, (0.0, 0.16), **stripes)


def _stretch(run: Run, factor: float) -> tuple[float, float]:
    """Return where a run begins and how long it is, in the unit of the axis."""
    return run.start_s / factor, (run.end_s - run.start_s) / factor


def _label(axes: Axes, run: Run, start: float, width: float, capture: PilotEvidence) -> None:
    middle = start + 0.5 * width
    room = (run.end_s - run.start_s) / _span(capture) * _PLOT_MM
    length = duration(run.end_s - run.start_s)
    meaning = MEANINGS.get(run.state.value[0], FITS_NONE)
    both = room >= 1.25 * len(length) + 1.0
    axes.text(
        middle,
        0.68 if both else 0.55,
        _name(run.state),
        ha="center",
        va="center",
        fontsize=8,
        fontweight="bold",
        color=Ink.TEXT,
    )
    if both:
        axes.text(middle, 0.34, length, ha="center", va="center", fontsize=6, color=Ink.TEXT)
    if room >= 1.25 * len(meaning) + 1.0:
        axes.text(middle, 1.18, letter(meaning), ha="center", va="bottom", fontsize=6.5, color=Ink.QUIET)


def joined_for_drawing(capture: PilotEvidence) -> Trace:
    """Join stretches until each holds a whole cycle or more, or the width of a line; no extreme is lost.

    A stretch shorter than a cycle may hold its low half only, and an envelope of such stretches would show gaps that
    the pilot does not have.

    Parameters
    ----------
    capture : PilotEvidence
        A capture as read.

    Returns
    -------
    Trace
        Its trace, of at most four hundred stretches where its pulses are too many to be drawn one by one.
    """
    trace, pulses = capture.trace, sum(run.cycles for run in capture.reading.runs)
    if trace.every_sample or pulses < _RESOLVED:
        return trace
    size = math.ceil(len(trace.time_s) / min(_FINEST, pulses // 2))
    starts = range(0, len(trace.time_s), size)
    return Trace(
        time_s=tuple(0.5 * (trace.time_s[at] + trace.time_s[min(at + size, len(trace.time_s)) - 1]) for at in starts),
        low_v=tuple(min(trace.low_v[at : at + size]) for at in starts),
        high_v=tuple(max(trace.high_v[at : at + size]) for at in starts),
        every_sample=False,
    )


def _voltage(axes: Axes, trace: Trace, factor: float) -> None:
    time = np.asarray(trace.time_s) / factor
    low, high = np.asarray(trace.low_v), np.asarray(trace.high_v)
    quiet_axes(axes)
    if trace.every_sample:
        axes.plot(time, high, color=Ink.COLD, linewidth=0.8, solid_joinstyle="round")
    else:
        axes.fill_between(time, low, high, facecolor=Ink.DEEP, edgecolor=Ink.COLD, linewidth=0.8)
    axes.axhline(0.0, color=Ink.RULE, linewidth=0.6, zorder=0)
    lowest, highest = _extremes(trace)
    margin = 0.06 * (highest - lowest) + 0.3
    axes.set_ylim(lowest - margin, highest + margin)
    axes.yaxis.set_major_locator(MaxNLocator(9, steps=[1, 1.5, 3, 6, 10]))
    axes.set_ylabel("pilot to earth (V)", fontsize=7, color=Ink.QUIET, labelpad=2)


def _extremes(trace: Trace) -> tuple[float, float]:
    """Return the lowest and highest voltage of a trace; zero where it holds no number. [V]"""
    return (
        min((value for value in trace.low_v if math.isfinite(value)), default=0.0),
        max((value for value in trace.high_v if math.isfinite(value)), default=0.0),
    )


def ribbon_told(capture: PilotEvidence) -> str:
    """Return what the figure shows, for whoever cannot see it.

    Parameters
    ----------
    capture : PilotEvidence
        The capture as decoded.

    Returns
    -------
    str
        Length, lowest and highest voltage, changes and first runs of states.
    """
    runs = capture.reading.runs
    told = ", ".join(f"{run.state.value} for {duration(run.end_s - run.start_s)}" for run in runs[:_TOLD])
    more = f", and {counted(len(runs) - _TOLD, 'more run', 'more runs')}" if len(runs) > _TOLD else ""
    lowest, highest = _extremes(capture.trace)
    changes = sum(a.state is not b.state for a, b in pairwise(runs))
    between = f"between {number(round(lowest, 1))} V and {number(round(highest, 1))} V"
    return (
        f"Pilot voltage over {duration(_span(capture))}, {between}, "
        f"with {counted(changes, 'change')} of state: {told or 'no state'}{more}."
    )

"""What a unit must take for B, C and D, over the resistance of the load, and how one unit answered at the edges."""

from __future__ import annotations

import math
import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.patches import Rectangle
from matplotlib.ticker import NullFormatter, NullLocator

from coldpin.quantity.model import Quantity
from coldpin.records.boundary import BoundaryAnswer, BoundaryChart, BoundaryWindow, Recognition
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import measured

_PLOT_MM = 86.0
_LEAST_MM = 74.0
_ROW_MM = 5.4
_FULL_SCALE_MM = 11.0
_LIST_MM = 104.0
"""Where the list of answers begins. [mm]"""
_MOST = 24
"""Answers listed beside the chart; what is more is counted."""

_INKS = {Recognition.RECOGNISED: Ink.COLD, Recognition.NOT_RECOGNISED: Ink.COPPER, Recognition.UNDECIDED: Ink.OCHRE}
_MARKERS = {Recognition.RECOGNISED: "s", Recognition.NOT_RECOGNISED: "^", Recognition.UNDECIDED: "D"}


def boundary(chart: BoundaryChart, anchors: Anchors) -> Figure:
    """Return the chart of boundary resistances.

    Parameters
    ----------
    chart : BoundaryChart
        Windows, curve and answers.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description; without answers it shows what is asked of any unit.
    """
    listed = min(len(chart.answers), _MOST) + (len(chart.answers) > _MOST)
    height = max(_LEAST_MM, _FULL_SCALE_MM + _ROW_MM * listed)
    answers = (
        " Marks: the loads that were put on, with the level seen where one was measured, else on the curve."
        if chart.answers
        else ""
    )
    return Figure(
        anchor=anchors.fresh("figure-boundary"),
        svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, chart, height)),
        alt=_told(chart),
        caption="Loads that a unit must take for a state, and the high level over the load at a nominal generator. "
        f"Shaded: the window of each state, up to the resistors it is tested with.{answers}",
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, chart: BoundaryChart, height: float) -> None:
    bottom, top = 10.0, 3.0
    axes: Axes = canvas.add_axes(
        (12.0 / WIDTH_MM, bottom / height, _PLOT_MM / WIDTH_MM, (height - bottom - top) / height)
    )
    _frame(axes, chart)
    for window in chart.windows:
        _window(axes, window)
    axes.plot(chart.load, chart.level, color=Ink.QUIET, linewidth=0.9, zorder=2)
    for answer in chart.answers:
        _mark(axes, chart, answer)
    _numbers(axes, chart)
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(height, 0.0)
    words.patch.set_visible(False)
    quiet_axes(words, left=False, bottom=False)
    if chart.answers:
        _list(words, chart.answers)
    else:
        _asked(words, chart.windows)


def _frame(axes: Axes, chart: BoundaryChart) -> None:
    axes.set_xscale("log")
    axes.set_xlim(min(chart.load), max(chart.load))
    seen = [_place(chart, answer)[1] for answer in chart.answers]
    axes.set_ylim(min(0.0, *seen, 0.0), max(chart.level[-1], *seen, 0.0) * 1.04)
    quiet_axes(axes)
    axes.xaxis.set_minor_locator(NullLocator())
    axes.xaxis.set_minor_formatter(NullFormatter())
    ends = sorted(end for window in chart.windows for end in (window.low, window.high))
    axes.set_xticks(ends, [f"{end:.0f}" for end in ends])
    levels = sorted(end for window in chart.windows for end in (window.level_low, window.level_high))
    axes.set_yticks(levels, [f"{end:.2f}" for end in levels])
    axes.tick_params(labelsize=6.5)
    axes.set_xlabel("load behind the diode (Ω)", fontsize=7, color=Ink.QUIET, labelpad=2)
    axes.set_ylabel("high level of the pilot (V)", fontsize=7, color=Ink.QUIET, labelpad=2)


def _window(axes: Axes, window: BoundaryWindow) -> None:
    """Draw what must be taken for a state as a box, with lines from its ends to both axes."""
    low, high = window.low, window.high
    box = (low, window.level_low)
    axes.add_patch(
        Rectangle(box, high - low, window.level_high - window.level_low, facecolor=Ink.MIST, edgecolor=Ink.DEEP, lw=0.6)
    )
    left = axes.get_xlim()[0]
    for end, level in ((low, window.level_low), (high, window.level_high)):
        axes.plot([end, end, left], [0.0, level, level], color=Ink.RULE, linewidth=0.5, linestyle=(0, (2, 2)), zorder=0)
    axes.text(
        low * 1.06,
        window.level_high - 0.12,
        window.state,
        ha="left",
        va="top",
        fontsize=10,
        fontweight="bold",
        color=Ink.COLD,
    )


def _place(chart: BoundaryChart, answer: BoundaryAnswer) -> tuple[float, float]:
    """Return where an answer stands: at the level that was seen, else on the curve; off the chart, on its rim."""
    load = float(np.clip(np.nan_to_num(answer.resistance.value, nan=0.0), chart.load[0], chart.load[-1]))
    if answer.level is not None and math.isfinite(answer.level.value):
        return load, answer.level.value
    return load, float(np.interp(math.log(load), np.log(chart.load), chart.level))


def _ends(quantity: Quantity | None, value: float) -> tuple[float, float]:
    if quantity is None or quantity.low is None or quantity.high is None:
        return value, value
    return quantity.low, quantity.high


def _mark(axes: Axes, chart: BoundaryChart, answer: BoundaryAnswer) -> None:
    ink, (value, level) = _INKS[answer.answer], _place(chart, answer)
    across, along = _ends(answer.resistance, value), _ends(answer.level, level)
    axes.plot([max(across[0], axes.get_xlim()[0]), across[1]], [level, level], color=ink, linewidth=1.4, zorder=3)
    axes.plot([value, value], list(along), color=ink, linewidth=1.4, zorder=3)
    fill = Ink.PAPER if answer.answer is Recognition.UNDECIDED else ink
    marker = _MARKERS[answer.answer]
    axes.plot([value], [level], marker=marker, markersize=4.6, color=ink, markerfacecolor=fill, zorder=4)


_NEAR = 0.25
"""Marks nearer to each other than this share one label, in volts along the curve."""


def _numbers(axes: Axes, chart: BoundaryChart) -> None:
    """Write beside each mark which lines of the list it stands for; repeats lie on one another and share a label."""
    labels: list[tuple[float, float, Recognition, list[int]]] = []
    for place, answer in enumerate(chart.answers, start=1):
        value, level = _place(chart, answer)
        for label in labels:
            if label[2] is answer.answer and math.hypot(level - label[1], 4.0 * math.log(value / label[0])) < _NEAR:
                label[3].append(place)
                break
        else:
            labels.append((value, level, answer.answer, [place]))
    for value, level, answered, places in labels:
        text = ", ".join(map(str, places))
        axes.annotate(
            text,
            (value, level),
            (3.2, -2.4),
            textcoords="offset points",
            ha="left",
            va="top",
            fontsize=6,
            color=_INKS[answered],
        )


def _list(axes: Axes, answers: tuple[BoundaryAnswer, ...]) -> None:
    for place, answer in enumerate(answers[:_MOST], start=1):
        middle = 4.0 + _ROW_MM * (place - 0.5)
        ink = _INKS[answer.answer]
        axes.text(_LIST_MM, middle, str(place), ha="right", va="center", fontsize=6.5, color=ink)
        fill = "none" if answer.answer is Recognition.UNDECIDED else ink
        axes.plot(
            [_LIST_MM + 2.6], [middle], marker=_MARKERS[answer.answer], markersize=4.2, color=ink, markerfacecolor=fill
        )
        load = answer.fitted or measured(answer.resistance)
        seen = "" if answer.level is None else f", {measured(answer.level)}"
        axes.text(
            _LIST_MM + 5.2,
            middle - 0.2,
            letter(f"{answer.state}: {load}{seen}", longest=47),
            ha="left",
            va="bottom",
            fontsize=6,
            color=Ink.TEXT,
        )
        word = letter(_word(answer), longest=52)
        axes.text(_LIST_MM + 5.2, middle + 0.1, word, ha="left", va="top", fontsize=6, fontweight="bold", color=ink)
    if len(answers) > _MOST:
        middle = 4.0 + _ROW_MM * (_MOST + 0.5)
        more = f"and {len(answers) - _MOST} more"
        axes.text(_LIST_MM + 5.2, middle, more, ha="left", va="center", fontsize=6.5, color=Ink.QUIET)


def _word(answer: BoundaryAnswer) -> str:
    return answer.answer.value + (f": {answer.because}" if answer.because else "")


def _asked(axes: Axes, windows: tuple[BoundaryWindow, ...]) -> None:
    """Say in words what is asked of any unit, where there are no answers."""
    for place, window in enumerate(windows):
        told = "\n".join(textwrap.wrap(letter(_window_told(window)), 46))
        axes.text(_LIST_MM, 6.0 + 17.0 * place, told, ha="left", va="top", fontsize=7, color=Ink.TEXT, linespacing=1.35)


def _window_told(window: BoundaryWindow) -> str:
    with_r2 = "" if window.resistor == "R2" else " with R2 at its own ends"
    return (
        f"State {window.state}: {window.resistor} from {window.resistor_low:g} Ω to {window.resistor_high:g} Ω"
        f"{with_r2}, a load of {window.low:.0f} Ω to {window.high:.0f} Ω, which gives {window.level_low:.2f} V to "
        f"{window.level_high:.2f} V (standing: {window.standing})."
    )


def _told(chart: BoundaryChart) -> str:
    asked = " ".join(_window_told(window) for window in chart.windows)
    answers = [
        f"{answer.state} with {answer.fitted or measured(answer.resistance)}"
        f"{'' if answer.level is None else ', ' + measured(answer.level)}: {_word(answer)}."
        for answer in chart.answers
    ]
    return " ".join([asked, *answers])

"""The zones of effect over current and time, with the cases of one specimen in them."""

from __future__ import annotations

import math
import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import NullFormatter, NullLocator

from coldpin.records.shock import ShockCase, ShockEvidence, ZoneLine
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.shock_words import broken, current

_PLOT_MM = 96.0
_HEIGHT_MM = 84.0
_LIST_MM = 114.0
"""Where the list of cases begins. [mm]"""
_ROW_MM = 10.2
_TOP_MM = 3.0
_BOTTOM_MM = 11.0
_LEFT_MM = 15.0
_LEAST_MA, _MOST_MA = 0.1, 5000.0
_SHORTEST_S, _LONGEST_S = 0.01, 10.0
_TICKS_MA = (0.1, 0.5, 2.0, 5.0, 10.0, 30.0, 100.0, 500.0, 2000.0)
_TICKS_S = (0.01, 0.03, 0.1, 0.3, 1.0, 3.0, 10.0)
_FILLS = (
    (Ink.FROST, 1.0),
    (Ink.MIST, 1.0),
    (Ink.DEEP, 1.0),
    (Ink.COPPER, 0.15),
    (Ink.COPPER, 0.3),
    (Ink.COPPER, 0.45),
)
"""Ink and strength from zone AC-1 to AC-4.3, stronger where it is worse; each zone has its name in it."""
_NAMES = (
    ("AC-1", 0.22, 1.0),
    ("AC-2", 2.4, 1.0),
    ("AC-3", 24.0, 1.0),
    ("AC-4.1", 63.0, 0.92),
    ("AC-4.2", 94.0, 0.92),
    ("AC-4.3", 700.0, 0.92),
)
_NARROW = ("AC-4.1", "AC-4.2")
"""Zones that are too narrow for a name that lies."""


def zones(evidence: ShockEvidence, anchors: Anchors) -> Figure:
    """Return the figure of the zones with the cases of a specimen.

    Parameters
    ----------
    evidence : ShockEvidence
        Cases and curves.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    height = max(_HEIGHT_MM, _TOP_MM + _ROW_MM * len(evidence.cases) + 4.0)
    return Figure(
        anchor=anchors.fresh("figure-zones"),
        svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, evidence, height)),
        alt=_told(evidence),
        caption="What a current through a person does that flows for a time, a.c., as from the left hand to the feet. "
        "Mark: the one in twenty who lets most through; its line reaches to the median. A mark at the upper rim: "
        "nothing is shown to break it. Broken lines: curves that are remembered or only drawn.",
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, evidence: ShockEvidence, height: float) -> None:
    plot = _HEIGHT_MM - _TOP_MM - _BOTTOM_MM
    axes: Axes = canvas.add_axes(
        (
            _LEFT_MM / WIDTH_MM,
            (height - _TOP_MM - plot) / height,
            (_PLOT_MM) / WIDTH_MM,
            plot / height,
        )
    )
    _frame(axes)
    _fill(axes, evidence.curves)
    for case in evidence.cases:
        _mark(axes, case)
    _numbers(axes, evidence.cases)
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(height, 0.0)
    words.patch.set_visible(False)
    quiet_axes(words, left=False, bottom=False)
    for place, case in enumerate(evidence.cases, start=1):
        _line(words, case, place)


def _frame(axes: Axes) -> None:
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(_LEAST_MA, _MOST_MA)
    axes.set_ylim(_SHORTEST_S, _LONGEST_S * 1.25)
    quiet_axes(axes)
    for axis, ticks, unit in ((axes.xaxis, _TICKS_MA, ""), (axes.yaxis, _TICKS_S, "")):
        axis.set_minor_locator(NullLocator())
        axis.set_minor_formatter(NullFormatter())
        axis.set_ticks(list(ticks), [f"{tick:g}{unit}" for tick in ticks])
    axes.tick_params(labelsize=6.5)
    axes.set_xlabel("current that the heart meets (mA)", fontsize=7, color=Ink.QUIET, labelpad=2)
    axes.set_ylabel("how long it flows (s)", fontsize=7, color=Ink.QUIET, labelpad=2)


def _fill(axes: Axes, curves: tuple[ZoneLine, ...]) -> None:
    times = np.geomspace(_SHORTEST_S, _LONGEST_S * 1.25, 160)
    drawn = [np.interp(np.log(times), np.log(curve.durations_s), np.log(curve.currents_ma)) for curve in curves]
    edges = [np.full_like(times, _LEAST_MA), *map(np.exp, drawn), np.full_like(times, _MOST_MA)]
    for place, (ink, strength) in enumerate(_FILLS):
        axes.fill_betweenx(times, edges[place], edges[place + 1], color=ink, alpha=strength, linewidth=0.0, zorder=0)
    for curve, edge in zip(curves, edges[1:], strict=False):
        weak = curve.standing.value not in ("standard", "read")
        axes.plot(edge, times, color=Ink.QUIET, lw=0.8, linestyle=(0, (3, 2)) if weak else "-", zorder=1)
        axes.text(edge[0], _SHORTEST_S * 1.06, curve.name, fontsize=6, color=Ink.QUIET, ha="left", va="bottom")
    for name, at, when in _NAMES:
        turned = 90.0 if name in _NARROW else 0.0
        height = 3.6 if name in _NARROW else when
        axes.text(at, height, name, fontsize=6.2, color=Ink.TEXT, ha="center", va="center", rotation=turned, zorder=1)


def _ink(case: ShockCase) -> Ink:
    if case.comparison:
        return Ink.QUIET
    return Ink.COPPER if case.zone.value.startswith("AC-4") else Ink.COLD


def _mark(axes: Axes, case: ShockCase) -> None:
    (value, at), ink = _place(case), _ink(case)
    if case.median_ma is not None:
        axes.plot([max(case.median_ma, _LEAST_MA), value], [at, at], color=ink, linewidth=1.4, zorder=3)
    axes.plot(
        [value],
        [at],
        marker="^" if case.time_s is None else "o",
        markersize=4.6,
        color=ink,
        markerfacecolor=Ink.PAPER if case.comparison else ink,
        clip_on=False,
        zorder=4,
    )


def _place(case: ShockCase) -> tuple[float, float]:
    """Return where a case stands: at its current and time, off the chart on its rim."""
    at = _LONGEST_S if case.time_s is None else min(max(case.time_s, _SHORTEST_S), _LONGEST_S)
    return min(max(case.current_ma, _LEAST_MA), _MOST_MA), at


_NEAR = 0.12
"""Marks nearer to each other than this share one label, in decades along either axis."""

_CROWDED = 0.35
"""Labels nearer to each other than this, in decades, stand below one another."""
_STEP = 7.5
"""How much lower the next one stands. [points]"""


def _numbers(axes: Axes, cases: tuple[ShockCase, ...]) -> None:
    """Write below each mark which lines of the list it stands for."""
    labels: list[tuple[float, float, list[int]]] = []
    for place, case in enumerate(cases, start=1):
        value, at = _place(case)
        for label in labels:
            if math.hypot(math.log10(value / label[0]), math.log10(at / label[1])) < _NEAR:
                label[2].append(place)
                break
        else:
            labels.append((value, at, [place]))
    written: list[tuple[float, float]] = []
    for value, at, places in labels:
        crowd = sum(
            abs(math.log10(value / other)) < _CROWDED and abs(math.log10(at / when)) < _CROWDED
            for other, when in written
        )
        written.append((value, at))
        axes.annotate(
            ", ".join(map(str, places)),
            (value, at),
            (0.0, -4.0 - _STEP * crowd),
            textcoords="offset points",
            ha="center",
            va="top",
            fontsize=6,
            fontweight="bold",
            color=Ink.TEXT,
            zorder=5,
        )


def _line(axes: Axes, case: ShockCase, place: int) -> None:
    top = _TOP_MM + _ROW_MM * (place - 1)
    ink = _ink(case)
    axes.text(_LIST_MM + 2.5, top, str(place), ha="right", va="top", fontsize=6.5, fontweight="bold", color=ink)
    title = textwrap.wrap(letter(case.title, longest=92), 48)[:2]
    axes.text(_LIST_MM + 4.0, top, "\n".join(title), ha="left", va="top", fontsize=6, color=Ink.TEXT, linespacing=1.2)
    said = letter(f"{current(case.current_ma)}, {broken(case)}: {case.zone.value}", longest=56)
    below = top + 2.6 * len(title) + 0.4
    axes.text(_LIST_MM + 4.0, below, said, ha="left", va="top", fontsize=6, fontweight="bold", color=ink)


def _told(evidence: ShockEvidence) -> str:
    said = [
        f"{case.title}: {current(case.current_ma)}"
        + ("" if case.median_ma is None else f" ({current(case.median_ma)} at the median)")
        + f", {broken(case)}, zone {case.zone.value}."
        for case in evidence.cases
    ]
    ends = [
        f"Curve {curve.name} from {curve.currents_ma[0]:g} mA to {curve.currents_ma[-1]:g} mA."
        for curve in evidence.curves
        if math.isfinite(curve.currents_ma[0])
    ]
    return " ".join((*said, *ends))

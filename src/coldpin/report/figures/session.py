"""A charge over time: phases as a ribbon, current or power below, what was marked, and where nothing is known."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import MaxNLocator

from coldpin.records.session import PhaseKind, SessionPhase, SessionReading, SessionTrace
from coldpin.report.anchors import Anchors, slug
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import counted, found, measured
from coldpin.report.times import duration, elapsed, elapsed_span

_HEIGHT_MM = 74.0
_PLOT_MM = 154.0
_LETTER_MM = 1.45
_SYMBOL_MM = 2.2
_CIRCLE_MM = 3.9
"""Marks nearer to each other than this have their numbers one below the other."""
_TOLD = 12
_MARKED = 9

_FILLS = {
    PhaseKind.WAITING: Ink.FROST,
    PhaseKind.RAMP: Ink.MIST,
    PhaseKind.STEADY: Ink.DEEP,
    PhaseKind.REDUCED: Ink.MIST,
    PhaseKind.VARYING: Ink.MIST,
    PhaseKind.PAUSED: Ink.FROST,
    PhaseKind.SUPPLY_LOST: Ink.EMBER,
    PhaseKind.NOT_RECORDED: Ink.FROST,
    PhaseKind.ENDED: Ink.FROST,
}
_SYMBOLS = {
    PhaseKind.WAITING: "o",
    PhaseKind.RAMP: (3, 0, -30),
    PhaseKind.STEADY: "s",
    PhaseKind.REDUCED: "v",
    PhaseKind.VARYING: "D",
    PhaseKind.PAUSED: "|",
    PhaseKind.SUPPLY_LOST: "X",
    PhaseKind.NOT_RECORDED: "x",
    PhaseKind.ENDED: "_",
}
"""Where a phase is too short for its word it has its shape, which the line above the ribbon explains."""


def session_timeline(reading: SessionReading, trace: SessionTrace, anchors: Anchors, *, name: str) -> Figure:
    """Return the figure of a charge over time.

    Parameters
    ----------
    reading : SessionReading
        The charge as read.
    trace : SessionTrace
        What is drawn of its log.
    anchors : Anchors
        Where the figure gets its anchor.
    name : str
        The log's file or entry.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    svg = draw(WIDTH_MM, _HEIGHT_MM, lambda canvas: _paint(canvas, reading, trace))
    return Figure(
        anchor=anchors.fresh(f"figure-charge-{slug(name)}"),
        svg=svg,
        alt=session_told(reading),
        caption=_caption(reading, trace),
        width_mm=WIDTH_MM,
    )


def _caption(reading: SessionReading, trace: SessionTrace) -> str:
    what = "current" if trace.unit == "A" else "power"
    said = [f"The {what} of a charge and its phases; where rows lie close, the band holds every one of them."]
    if any(phase.rows == 0 for phase in reading.phases):
        said.append("Hatched: nothing was recorded.")
    if _offers(reading, trace):
        said.append("Broken line: the current offered.")
    placed = [mark for mark in reading.marks if not mark.not_placed]
    if placed:
        listed = placed[:_MARKED]
        told = "; ".join(
            f"{place} {mark.kind.value} at {elapsed(mark.at_s.value)}" for place, mark in enumerate(listed, start=1)
        )
        more = f"; {counted(len(placed) - _MARKED, 'more mark')}" if len(placed) > _MARKED else ""
        said.append(f"Marks: {told}{more}.")
    if len(placed) < len(reading.marks):
        nowhere = counted(len(reading.marks) - len(placed), "mark")
        said.append(f"Not drawn, for it is not known where in the log they lie: {nowhere}.")
    return " ".join(said)


def _span(reading: SessionReading) -> float:
    return max(reading.phases[-1].end_s, 1e-9)


def _unit(span: float) -> tuple[str, float]:
    for unit, factor in (("d", 86400.0), ("h", 3600.0), ("min", 60.0)):
        if span >= 3.0 * factor:
            return unit, factor
    return "s", 1.0


def _paint(canvas: Canvas, reading: SessionReading, trace: SessionTrace) -> None:
    ribbon: Axes = canvas.add_axes((0.075, 0.82, 0.905, 0.10))
    below: Axes = canvas.add_axes((0.075, 0.125, 0.905, 0.655))
    unit, factor = _unit(_span(reading))
    for axes in (ribbon, below):
        axes.set_xlim(0.0, _span(reading) / factor)
    _phases(ribbon, reading, factor)
    _values(below, reading, trace, factor)
    _marks(below, reading, factor)
    below.set_xlabel(f"time from the first row ({unit})", fontsize=7, color=Ink.QUIET, labelpad=2)
    below.xaxis.set_major_locator(MaxNLocator(9, steps=[1, 2, 3, 5, 6, 10]))


def _room_mm(phase: SessionPhase, reading: SessionReading) -> float:
    return phase.duration_s / _span(reading) * _PLOT_MM


def _has_word(phase: SessionPhase, reading: SessionReading) -> bool:
    return _room_mm(phase, reading) >= _LETTER_MM * len(phase.kind.value) + 1.0


def _phases(axes: Axes, reading: SessionReading, factor: float) -> None:
    axes.set_ylim(0.0, 1.0)
    quiet_axes(axes, left=False, bottom=False)
    symbols: dict[PhaseKind, list[float]] = {}
    narrow: list[tuple[PhaseKind, float]] = []
    for phase in reading.phases:
        start, width = phase.start_s / factor, phase.duration_s / factor
        band: dict[str, Any] = {"facecolor": _FILLS[phase.kind], "edgecolor": Ink.QUIET, "linewidth": 0.4}
        if phase.rows == 0:
            band |= {"hatch": "////", "edgecolor": Ink.RULE}
        axes.broken_barh([(start, width)], (0.0, 1.0), **band)
        middle = start + 0.5 * width
        if _has_word(phase, reading):
            axes.text(
                middle, 0.5, letter(phase.kind.value), ha="center", va="center_baseline", fontsize=7, color=Ink.TEXT
            )
        elif _room_mm(phase, reading) >= _SYMBOL_MM or phase.kind is PhaseKind.SUPPLY_LOST:
            symbols.setdefault(phase.kind, []).append(middle)
        else:
            narrow.append((phase.kind, middle))
    for kind, places in symbols.items():
        axes.plot(places, [0.5] * len(places), **_shape(kind))
    above = _above(axes, narrow, _span(reading) / factor)
    _key(axes, [kind for kind in PhaseKind if kind in symbols or kind in above])


def _above(axes: Axes, narrow: list[tuple[PhaseKind, float]], span: float) -> set[PhaseKind]:
    """Put the shapes of phases that hold none over the ribbon, side by side; return which kinds are there.

    Where many phases follow close upon each other a shape that would stand far from its phase is left out.
    """
    apart, last = span / _PLOT_MM * _SYMBOL_MM, -math.inf
    for kind, middle in narrow:
        at = max(middle, last + apart)
        if at - middle <= 1.5 * apart:
            axes.plot([at], [1.17], **_shape(kind))
            last = at
    return {kind for kind, _ in narrow}


def _shape(kind: PhaseKind) -> dict[str, Any]:
    return {
        "linestyle": "none",
        "marker": _SYMBOLS[kind],
        "markersize": 4.0,
        "color": Ink.COPPER if kind is PhaseKind.SUPPLY_LOST else Ink.TEXT,
        "markeredgewidth": 0.7,
        "clip_on": False,
    }


def _key(axes: Axes, kinds: list[PhaseKind]) -> None:
    """Explain the shapes in one line above the ribbon, in the order in which phases come."""
    at = 0.004
    for kind in kinds:
        axes.plot([at], [1.56], transform=axes.transAxes, **_shape(kind))
        axes.text(
            at + 0.011, 1.56, kind.value, transform=axes.transAxes, ha="left", va="center_baseline", fontsize=6.5,
            color=Ink.QUIET,
        )  # fmt: skip
        at += 0.031 + _LETTER_MM * 0.93 * len(kind.value) / _PLOT_MM


def _values(axes: Axes, reading: SessionReading, trace: SessionTrace, factor: float) -> None:
    quiet_axes(axes)
    time = np.asarray(trace.time_s) / factor
    low, high = (np.array([np.nan if v is None else v for v in side]) for side in (trace.low, trace.high))
    scale, unit = _scale(trace.unit, float(np.nanmax(high, initial=0.0)))
    band: dict[str, Any] = {"facecolor": Ink.DEEP, "edgecolor": Ink.COLD, "linewidth": 0.7, "step": "mid"}
    axes.fill_between(time, low / scale, high / scale, **band)
    for phase in reading.phases:
        if phase.rows == 0:
            hatched: dict[str, Any] = {"facecolor": "none", "edgecolor": Ink.RULE, "hatch": "////", "linewidth": 0.0}
            axes.axvspan(phase.start_s / factor, phase.end_s / factor, **hatched)
        elif phase.kind is PhaseKind.SUPPLY_LOST:
            axes.axvspan(phase.start_s / factor, phase.end_s / factor, facecolor=Ink.EMBER, linewidth=0.0, zorder=0)
    tops = [float(np.nanmax(high, initial=0.0)) / scale]
    for start, end, offer in _offers(reading, trace):
        axes.plot(
            [start / factor, end / factor], [offer / scale] * 2, color=Ink.OCHRE, linewidth=0.9, linestyle=(0, (4, 2))
        )
        tops.append(offer / scale)
    axes.set_ylim(min(0.0, float(np.nanmin(low, initial=0.0)) / scale), 1.16 * max(*tops, 1e-9))
    axes.yaxis.set_major_locator(MaxNLocator(6, steps=[1, 2, 4, 5, 10]))
    named = "current" if trace.unit == "A" else "power"
    axes.set_ylabel(f"{named} ({unit})", fontsize=7, color=Ink.QUIET, labelpad=2)


def _scale(unit: str, largest: float) -> tuple[float, str]:
    return (1e3, "kW") if unit == "W" and largest >= 2e3 else (1.0, unit)


def _offers(reading: SessionReading, trace: SessionTrace) -> list[tuple[float, float, float]]:
    """Return from when to when how much was offered, over the phases it was compared with."""
    if trace.unit != "A":
        return []
    phases = reading.phases
    return [
        (phases[one.phase].start_s, phases[one.phase].end_s, one.offer_a.value)
        for one in reading.offer
        if not math.isnan(one.offer_a.value)
    ]


def _marks(axes: Axes, reading: SessionReading, factor: float) -> None:
    """Give each mark a number along the top; what it is stands in the caption."""
    _, top = axes.get_ylim()
    before, level = -math.inf, 0
    placed = [mark for mark in reading.marks if not mark.not_placed]
    for place, mark in enumerate(placed[:_MARKED], start=1):
        at = mark.at_s.value / factor
        if mark.at_s.low is not None and mark.at_s.high is not None:
            axes.axvspan(mark.at_s.low / factor, mark.at_s.high / factor, facecolor=Ink.RULE, alpha=0.5, linewidth=0.0)
        axes.axvline(at, color=Ink.TEXT, linewidth=0.6, linestyle=(0, (1, 1.5)))
        level = level + 1 if (at - before) * factor / _span(reading) * _PLOT_MM < _CIRCLE_MM else 0
        axes.text(
            at, top * (0.962 - 0.085 * level), str(place), ha="center", va="center", fontsize=6.5, color=Ink.TEXT,
            bbox={"boxstyle": "circle,pad=0.22", "facecolor": Ink.FROST, "edgecolor": Ink.TEXT, "linewidth": 0.5},
        )  # fmt: skip
        before = at


def session_told(reading: SessionReading) -> str:
    """Return what the figure shows, for whoever cannot see it.

    Parameters
    ----------
    reading : SessionReading
        The charge as read.

    Returns
    -------
    str
        Its phases, energy, losses of the supply and gaps.
    """
    phases = reading.phases
    told = "; ".join(
        f"{phase.kind.value} {elapsed_span(phase.start_s, phase.end_s)}{_drawn(phase)}" for phase in phases[:_TOLD]
    )
    more = f"; and {counted(len(phases) - _TOLD, 'more phase')}" if len(phases) > _TOLD else ""
    if reading.outages:
        lost = f"{counted(len(reading.outages), 'loss', 'losses')} of the supply"
    else:
        lost = "no loss of the supply" if reading.source.voltage_logged else "a loss of the supply could not be seen"
    gaps = f"nothing recorded {counted(len(reading.gaps), 'time')}" if reading.gaps else "recorded without a gap"
    return (
        f"A charge over {duration(_span(reading))}, {counted(len(phases), 'phase')}: {told}{more}. "
        f"Energy {found(reading.energy_wh)}; {lost}; {gaps}."
    )


def _drawn(phase: SessionPhase) -> str:
    if phase.kind not in (PhaseKind.STEADY, PhaseKind.REDUCED):
        return ""
    shown = phase.power_w if math.isnan(phase.current_a.value) else phase.current_a
    return f" at {measured(shown)}"

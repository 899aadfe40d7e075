"""Times to trip over the residual current, beside the longest that are allowed and the current that must be held."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.ticker import FuncFormatter, NullFormatter, NullLocator

from coldpin.quantity.model import Quantity
from coldpin.records.trip_test import ResidualKind, RowRole, TripOperation, TripRow, TripTest
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import counted

_HEIGHT_MM = 78.0
_LEFT_MM, _BOTTOM_MM, _TOP_MM, _RIGHT_MM = 17.0, 12.0, 6.0, 40.0
_LEAST_S, _MOST_S = 0.004, 40.0
_ROOM = 1.6
_POINTS = 60
_MARKERS = ("o", "^")

FORMS = {
    ResidualKind.ALTERNATING: ("alternating residual current (mA, r.m.s.)", "0°", "180°"),
    ResidualKind.PULSATING: ("pulsating residual current (mA, r.m.s.)", "positive", "negative"),
    ResidualKind.SMOOTH: ("smooth direct residual current (mA)", "positive", "negative"),
}
"""How the axis is called, and both ways in which each form begins."""


def trip(test: TripTest, anchors: Anchors) -> Figure:
    """Return the chart of a test with residual currents.

    Parameters
    ----------
    test : TripTest
        Rows and operations.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    return Figure(
        anchor=anchors.fresh("figure-trip"),
        svg=draw(WIDTH_MM, _HEIGHT_MM, lambda canvas: _paint(canvas, test)),
        alt=_told(test),
        caption=f"Times to trip with {test.kind.value} residual current. Shaded: later than allowed, as known, and "
        "below the current that must not trip it. Marks: each current put on; open marks with an arrow did not trip "
        "while it was on; on the axis below, currents at which a slow rise tripped.",
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, test: TripTest) -> None:
    axes: Axes = canvas.add_axes(
        (
            _LEFT_MM / WIDTH_MM,
            _BOTTOM_MM / _HEIGHT_MM,
            (WIDTH_MM - _LEFT_MM - _RIGHT_MM) / WIDTH_MM,
            (_HEIGHT_MM - _BOTTOM_MM - _TOP_MM) / _HEIGHT_MM,
        )
    )
    _frame(axes, test)
    _held(axes, test)
    _limits(axes, test)
    for operation in test.operations:
        if operation.rate_ma_s is None:
            _mark(axes, operation, test)
        else:
            _rise(axes, operation, test.kind)
    _legend(canvas, test)


def _reach(test: TripTest) -> tuple[float, float]:
    currents = [row.current_ma for row in test.rows if row.role is not RowRole.RISE]
    currents += [operation.current_ma.value for operation in test.operations if operation.current_ma.value > 0.0]
    return min(currents) / _ROOM, max(currents) * _ROOM


def _frame(axes: Axes, test: TripTest) -> None:
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(*_reach(test))
    axes.set_ylim(_LEAST_S, _MOST_S)
    quiet_axes(axes)
    for axis in (axes.xaxis, axes.yaxis):
        axis.set_minor_locator(NullLocator())
        axis.set_minor_formatter(NullFormatter())
    currents = sorted({row.current_ma for row in test.rows if row.role is not RowRole.RISE})
    axes.set_xticks(currents, [f"{current:.3g}" for current in currents])
    axes.set_yticks([0.01, 0.1, 1.0, 10.0])
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: f"{value:g}"))
    axes.tick_params(labelsize=6.5)
    axes.set_xlabel(FORMS[test.kind][0], fontsize=7, color=Ink.QUIET, labelpad=2)
    axes.set_ylabel("time to open contacts (s)", fontsize=7, color=Ink.QUIET, labelpad=2)


def _held(axes: Axes, test: TripTest) -> None:
    """Shade the currents that must not trip it."""
    for row in test.rows:
        if row.role is RowRole.HOLD:
            axes.axvspan(axes.get_xlim()[0], row.current_ma, facecolor=Ink.FROST, edgecolor="none", zorder=0)
            axes.axvline(row.current_ma, color=Ink.DEEP, linewidth=0.8, linestyle=(0, (3, 2)), zorder=1)
            place = math.sqrt(axes.get_xlim()[0] * row.current_ma)
            axes.text(place, _MOST_S * 0.75, "holds", ha="center", va="top", fontsize=6.5, color=Ink.COLD)


def _limits(axes: Axes, test: TripTest) -> None:
    """Draw the longest times as steps, or as the curve that they follow, and shade what is later."""
    tripping = sorted(
        (row for row in test.rows if row.role is RowRole.TRIP and not _instead(row)), key=lambda row: row.current_ma
    )
    if not tripping:
        return
    currents, longest = _curve(tripping) if tripping[0].inverse else _steps(tripping, axes.get_xlim()[1])
    axes.fill_between(currents, longest, [_MOST_S] * len(currents), facecolor=Ink.EMBER, linewidth=0.0, zorder=0)
    axes.plot(currents, longest, color=Ink.COPPER, linewidth=1.1, zorder=2)
    for row in tripping:
        if row.limit.maximum is not None:
            axes.annotate(
                f"{row.limit.maximum:.3g} s",
                (row.current_ma, row.limit.maximum),
                (2.5, 2.5),
                textcoords="offset points",
                fontsize=6.5,
                color=Ink.COPPER,
            )


def _instead(row: TripRow) -> bool:
    return row.name.endswith("-instead")


def _steps(rows: list[TripRow], end: float) -> tuple[list[float], list[float]]:
    currents: list[float] = []
    longest: list[float] = []
    for place, row in enumerate(rows):
        until = rows[place + 1].current_ma if place + 1 < len(rows) else end
        currents += [row.current_ma, until]
        longest += [row.limit.maximum or _MOST_S] * 2
    return currents, longest


def _curve(rows: list[TripRow]) -> tuple[list[float], list[float]]:
    """Return the straight line, on both logarithmic axes, on which the rows of an inverse curve lie."""
    first, last = rows[0], rows[-1]
    assert first.limit.maximum is not None, "a row of the curve has its time"
    assert last.limit.maximum is not None, "a row of the curve has its time"
    slope = math.log(last.limit.maximum / first.limit.maximum) / math.log(last.current_ma / first.current_ma)
    step = (last.current_ma / first.current_ma) ** (1.0 / _POINTS)
    currents = [first.current_ma * step**place for place in range(_POINTS + 1)]
    return currents, [first.limit.maximum * (current / first.current_ma) ** slope for current in currents]


def _ends(quantity: Quantity) -> tuple[float, float]:
    low = quantity.value if quantity.low is None else quantity.low
    high = quantity.value if quantity.high is None else quantity.high
    return low, high


def _wanted(one: TripOperation, test: TripTest) -> bool:
    """Say whether a device that did not act at a current did what it should."""
    return any(row.role is RowRole.HOLD and one.current_ma.value <= row.current_ma for row in test.rows)


def _mark(axes: Axes, one: TripOperation, test: TripTest) -> None:
    current, time = one.current_ma.value, min(max(one.time_s.value, _LEAST_S * 1.1), _MOST_S / 1.1)
    ink = Ink.COLD if one.tripped or _wanted(one, test) else Ink.COPPER
    marker = _MARKERS[one.way == FORMS[test.kind][2]]
    axes.plot(list(_ends(one.current_ma)), [time, time], color=ink, linewidth=0.7, zorder=3)
    if one.tripped:
        axes.plot([current, current], list(_ends(one.time_s)), color=ink, linewidth=0.7, zorder=3)
    else:
        axes.annotate(
            "",
            (current, time * 1.55),
            (current, time),
            arrowprops={"arrowstyle": "->", "color": ink, "linewidth": 0.8},
            zorder=3,
        )
    fill = ink if one.tripped else Ink.PAPER
    axes.plot([current], [time], marker=marker, markersize=4.2, color=ink, markerfacecolor=fill, zorder=4)


def _rise(axes: Axes, one: TripOperation, kind: ResidualKind) -> None:
    marker = _MARKERS[one.way == FORMS[kind][2]]
    ink = Ink.COLD if one.tripped else Ink.COPPER
    fill = ink if one.tripped else Ink.PAPER
    axes.plot(
        [one.current_ma.value],
        [_LEAST_S],
        marker=marker,
        markersize=4.2,
        color=ink,
        markerfacecolor=fill,
        clip_on=False,
        zorder=4,
    )


def _legend(canvas: Canvas, test: TripTest) -> None:
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(_HEIGHT_MM, 0.0)
    words.patch.set_visible(False)
    quiet_axes(words, left=False, bottom=False)
    left, top = WIDTH_MM - _RIGHT_MM + 4.0, 10.0
    rows = (
        (_MARKERS[0], Ink.COLD, Ink.COLD, f"tripped, {FORMS[test.kind][1]}"),
        (_MARKERS[1], Ink.COLD, Ink.COLD, f"tripped, {FORMS[test.kind][2]}"),
        (_MARKERS[0], Ink.QUIET, Ink.PAPER, "did not trip"),
    )
    for place, (marker, ink, fill, word) in enumerate(rows):
        at = top + 5.0 * place
        words.plot([left], [at], marker=marker, markersize=4.2, color=ink, markerfacecolor=fill)
        words.text(left + 3.0, at, letter(word, longest=30), ha="left", va="center", fontsize=6.5, color=Ink.TEXT)


def _told(test: TripTest) -> str:
    """Tell the chart in words: what is asked at each current, and what was seen."""
    done = counted(len(test.operations), "operation")
    held = sum(not operation.tripped for operation in test.operations)
    placed = " ".join(one.statement for one in test.placements)
    return f"{done} with {test.kind.value} residual current, of which {held} did not trip. {placed}"

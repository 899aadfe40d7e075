"""Measured values of several specimens side by side, each row on a scale of its own, with limits that are near."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas

from coldpin.quantity import Quantity, format_value
from coldpin.records.finding import Limit
from coldpin.records.together import ValueAgreement, ValueTogether
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import measured

_MOST = 14
"""Rows in the figure, so that it fits a page; what differs stands first."""

_LINE_MM, _PAD_MM, _TOP_MM = 3.2, 5.2, 7.0
_LEFT, _RIGHT = 58.0, 128.0
"""Between these a row's scale runs; left of it the name, right of it whether the values agree. [mm]"""

_SHAPES = ("o", "s", "D", "^", "v", "P", "X", "h")
_REACH = 3.0
"""A limit is drawn where it lies within so many spans of the values."""

_MARGIN = 0.08
_AGREED = {
    ValueAgreement.AGREE: ("agree within U", Ink.QUIET),
    ValueAgreement.DIFFER: ("differ by more than U", Ink.COPPER),
    ValueAgreement.UNKNOWN: ("cannot be told", Ink.QUIET),
}


def values_beside(rows: Sequence[ValueTogether], anchors: Anchors) -> tuple[Figure, ...]:
    """Return the picture of the values with their 95 % intervals.

    Parameters
    ----------
    rows : sequence of ValueTogether
        The values, in the order of the report.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    tuple of Figure
        None where there is nothing to draw.
    """
    of_one_unit = [row for row in rows if all(value is None or value.unit == row.unit for value in row.values)]
    shown = sorted(of_one_unit, key=lambda row: row.agreement is not ValueAgreement.DIFFER)[:_MOST]
    if not shown:
        return ()
    height = _TOP_MM + sum(_height(row) for row in shown)
    left_out = len(rows) - len(shown)
    more = f" {left_out} more stand in the table alone." if left_out else ""
    return (
        Figure(
            anchor=anchors.fresh("figure-values"),
            svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, shown, height)),
            alt=" ".join(_told(row) for row in shown),
            caption="Measured values of the specimens with their 95 % intervals, numbered as in the table; an open "
            "mark has no known uncertainty. Each row has a scale of its own. Upright bars: limits, where they lie "
            f"near.{more}",
            width_mm=WIDTH_MM,
        ),
    )


def _told(row: ValueTogether) -> str:
    each = "; ".join(f"specimen {place} {measured(value)}" for place, value in enumerate(row.values, start=1) if value)
    return f"{row.title}: {each}; {row.agreement.value}."


def _height(row: ValueTogether) -> float:
    return _PAD_MM + _LINE_MM * len(_drawn(row))


def _drawn(row: ValueTogether) -> list[tuple[int, Quantity]]:
    return [(place, value) for place, value in enumerate(row.values, start=1) if value is not None]


def _ends(value: Quantity) -> tuple[float, float]:
    low = value.value if value.low is None else value.low
    high = value.value if value.high is None else value.high
    return low, high


def _paint(canvas: Canvas, rows: Sequence[ValueTogether], height: float) -> None:
    axes: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, WIDTH_MM)
    axes.set_ylim(height, 0.0)
    axes.patch.set_visible(False)
    quiet_axes(axes, left=False, bottom=False)
    for x, head in ((0.0, "measured"), (_LEFT, "value of each specimen, 95 %"), (_RIGHT + 4.0, "side by side")):
        axes.text(x, 3.2, head, fontsize=6.5, color=Ink.QUIET, va="center")
    top = _TOP_MM
    for row in rows:
        _row(axes, row, top)
        top += _height(row)


def _row(axes: Axes, row: ValueTogether, top: float) -> None:
    drawn = _drawn(row)
    middle = top + 0.5 * _height(row)
    axes.plot([0.0, WIDTH_MM], [top, top], color=Ink.RULE, linewidth=0.5)
    name = "\n".join(textwrap.wrap(letter(row.title, longest=78), 40)[:2])
    axes.text(0.0, middle, name, fontsize=7, color=Ink.TEXT, va="center", linespacing=1.2)
    ends = [end for _, value in drawn for end in _ends(value)]
    low, high = min(ends), max(ends)
    limits = _near(row.limit if row.limit is not None and row.limit.unit == row.unit else None, low, high)
    low, high = min((low, *limits)), max((high, *limits))
    span = (high - low) or abs(high) or 1.0
    low, high = low - _MARGIN * span, high + _MARGIN * span

    def place(value: float) -> float:
        return _LEFT + (value - low) / (high - low) * (_RIGHT - _LEFT)

    bottom = top + 1.0 + _LINE_MM * len(drawn)
    for limit in limits:
        axes.plot([place(limit)] * 2, [top + 0.6, bottom], color=Ink.COPPER, linewidth=1.6, alpha=0.6)
    for line, (number, value) in enumerate(drawn):
        y = top + 1.0 + _LINE_MM * (line + 0.5)
        known = value.u is not None
        axes.plot([place(end) for end in _ends(value)], [y, y], color=Ink.COLD, linewidth=1.4)
        axes.plot(
            [place(value.value)],
            [y],
            marker=_SHAPES[(number - 1) % len(_SHAPES)],
            markersize=4.0,
            color=Ink.COLD,
            markerfacecolor=Ink.COLD if known else Ink.PAPER,
            linestyle="none",
        )
        axes.text(_LEFT - 1.5, y, str(number), fontsize=6, color=Ink.QUIET, va="center", ha="right")
    foot = bottom + 0.5
    axes.plot([_LEFT, _RIGHT], [foot, foot], color=Ink.RULE, linewidth=0.5)
    for at, align in ((low, "left"), (high, "right")):
        told = format_value(float(f"{at:.3g}"), row.unit)
        axes.text(place(at), foot + 0.6, letter(told), fontsize=5.5, color=Ink.QUIET, va="top", ha=align)
    words, ink = _AGREED[row.agreement]
    weight = "bold" if row.agreement is ValueAgreement.DIFFER else "normal"
    axes.text(_RIGHT + 4.0, middle, words, fontsize=7, color=ink, va="center", fontweight=weight)


def _near(limit: Limit | None, low: float, high: float) -> tuple[float, ...]:
    """Return the limits that lie so near that a scale can show both them and the values."""
    if limit is None:
        return ()
    reach = _REACH * ((high - low) or abs(high))
    return tuple(
        bound for bound in (limit.minimum, limit.maximum) if bound is not None and low - reach <= bound <= high + reach
    )

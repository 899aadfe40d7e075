"""Each number that was found, against its limit: one strip a finding."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.patches import Rectangle

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Finding, Limit, Outcome
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import bounds, found
from coldpin.report.words import OUTCOME_WORDS
from coldpin.standards.wording import number_text

_ROW_MM = 8.2
_MOST = 16
"""Strips in one figure, so that it fits a page."""

_INKS = {Outcome.WITHIN: Ink.COLD, Outcome.BEYOND: Ink.COPPER, Outcome.UNDECIDED: Ink.OCHRE}
_MARKERS = {Outcome.WITHIN: "s", Outcome.BEYOND: "^", Outcome.UNDECIDED: "D"}


@dataclass(frozen=True, slots=True)
class _Strip:
    finding: Finding
    quantity: Quantity
    limit: Limit


def strips(findings: Sequence[Finding], anchors: Anchors) -> tuple[Figure, ...]:
    """Return the charts of measured intervals against limits, at most sixteen strips in one.

    Parameters
    ----------
    findings : sequence of Finding
        All findings; those without number or without limit are passed over.
    anchors : Anchors
        Where the figures get their anchors.

    Returns
    -------
    tuple of Figure
        The drawings with captions and descriptions; none where nothing has a number.
    """
    shown = [strip for finding in findings if (strip := _strip_of(finding)) is not None]
    groups = [shown[start : start + _MOST] for start in range(0, len(shown), _MOST)]
    return tuple(_figure(group, anchors) for group in groups)


def _strip_of(finding: Finding) -> _Strip | None:
    """Return what a strip is drawn from, or nothing where there is no number or no bound to draw."""
    limit, quantity = finding.limit, finding.quantity
    if limit is None or quantity is None or finding.outcome not in _INKS:
        return None
    held = [value for value in (limit.minimum, limit.maximum) if value is not None]
    drawable = bool(held) and all(math.isfinite(value) for value in (*held, *_ends(quantity), quantity.value))
    return _Strip(finding, quantity, limit) if drawable else None


def _ends(quantity: Quantity) -> tuple[float, float]:
    """Return the ends of the interval, the value itself where the uncertainty is not known."""
    low = quantity.value if quantity.low is None else quantity.low
    high = quantity.value if quantity.high is None else quantity.high
    return low, high


def _figure(group: Sequence[_Strip], anchors: Anchors) -> Figure:
    return Figure(
        anchor=anchors.fresh("figure-strips"),
        svg=draw(WIDTH_MM, _ROW_MM * len(group) + 2.0, lambda canvas: _paint(canvas, group)),
        alt=" ".join(_told(strip.finding) for strip in group),
        caption="What was measured, against the limit as known. Shaded: inside the limit. The bar is the 95 % "
        "interval; every strip has a scale of its own.",
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, group: Sequence[_Strip]) -> None:
    axes: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, WIDTH_MM)
    axes.set_ylim(_ROW_MM * len(group) + 2.0, 0.0)
    quiet_axes(axes, left=False, bottom=False)
    # many lines at once: each drawn by itself takes long
    middles = [1.0 + _ROW_MM * (place + 0.40) for place in range(len(group))]
    axes.hlines(middles, _LEFT, _RIGHT, color=Ink.RULE, linewidth=0.6, zorder=0)
    edges: list[tuple[float, float]] = []
    for middle, strip in zip(middles, group, strict=True):
        scale = _Scale(strip.quantity, strip.limit)
        edges += [(place, middle) for place in _limit(axes, middle, strip.limit, scale)]
        _value(axes, middle, strip, scale)
    at = [middle for _, middle in edges]
    tops, feet = [middle - 2.2 for middle in at], [middle + 2.2 for middle in at]
    axes.vlines([place for place, _ in edges], tops, feet, color=Ink.QUIET, linewidth=0.7)


_LEFT, _RIGHT = 56.0, 126.0
"""Between these the strip runs; left of it the title, right of it the value. [mm]"""


def _limit(axes: Axes, middle: float, limit: Limit, scale: _Scale) -> list[float]:
    """Draw the inside of a limit as a band with the values of its edges; return where these stand."""
    start = _LEFT if limit.minimum is None else scale.at(limit.minimum)
    end = _RIGHT if limit.maximum is None else scale.at(limit.maximum)
    axes.add_patch(Rectangle((start, middle - 2.2), end - start, 4.4, facecolor=Ink.MIST, edgecolor="none", zorder=-1))
    both = limit.minimum is not None and limit.maximum is not None
    for edge, place, outward, inward in (
        (limit.minimum, start, "right", "left"),
        (limit.maximum, end, "left", "right"),
    ):
        if edge is not None:
            side = outward if both else inward
            axes.text(place, middle + 2.7, _edge(edge, limit.unit), ha=side, va="top", fontsize=6, color=Ink.QUIET)
    return [place for edge, place in ((limit.minimum, start), (limit.maximum, end)) if edge is not None]


def _value(axes: Axes, middle: float, strip: _Strip, scale: _Scale) -> None:
    """Draw the interval with its value, the title left of it, the words right of it."""
    finding, quantity = strip.finding, strip.quantity
    ink = _INKS[finding.outcome]
    title = "\n".join(textwrap.wrap(letter(finding.title, longest=68), 38)[:2])
    axes.text(0.0, middle, title, ha="left", va="center", fontsize=7, color=Ink.TEXT, linespacing=1.25)
    ends = [scale.at(end) for end in _ends(quantity)]
    axes.plot(ends, [middle, middle], color=ink, linewidth=2.4, solid_capstyle="butt")
    fill = "none" if finding.outcome is Outcome.UNDECIDED else ink
    marker = _MARKERS[finding.outcome]
    axes.plot([scale.at(quantity.value)], [middle], marker=marker, markersize=4.6, color=ink, markerfacecolor=fill)
    words: dict[str, Any] = {"ha": "left", "fontsize": 7}
    axes.text(_RIGHT + 6.0, middle - 0.3, letter(found(quantity), longest=34), va="bottom", color=Ink.TEXT, **words)
    outcome = OUTCOME_WORDS[finding.outcome]
    axes.text(_RIGHT + 6.0, middle + 0.5, outcome, va="top", fontweight="bold", color=ink, **words)


def _edge(edge: float, unit: str) -> str:
    return letter(number_text(edge, unit), longest=16)


class _Scale:
    """A straight scale that holds the limits, the interval, and zero where there is one limit only."""

    def __init__(self, quantity: Quantity, limit: Limit) -> None:
        edges = [edge for edge in (limit.minimum, limit.maximum) if edge is not None]
        held = [*edges, quantity.value, *_ends(quantity)]
        if len(edges) == 1:
            held.append(0.0)
        spare = 0.12 * (max(held) - min(held)) or 1.0
        self._low, self._high = min(held) - spare, max(held) + spare

    def at(self, value: float) -> float:
        """Return where a value stands. [mm]"""
        return _LEFT + (value - self._low) / (self._high - self._low) * (_RIGHT - _LEFT)


def _told(finding: Finding) -> str:
    limit = f", limit {bounds(finding.limit)}" if finding.limit is not None else ""
    return f"{finding.title}: {found(finding.quantity)}{limit}, {OUTCOME_WORDS[finding.outcome]}."

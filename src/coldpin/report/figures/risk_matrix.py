"""The published matrix with every scenario in it: where its best estimate lies, and how far it reaches."""

from __future__ import annotations

import math

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.patches import Rectangle

from coldpin.records.scenario import InjuryScenario, RiskLevel, ScenarioBand, SpecimenRisk
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes

_HEIGHT_MM = 104.0
_PLOT_MM = 82.0
_LEFT_MM = 23.0
_BOTTOM_MM = 16.0
_TOP_MM = 5.5
_RIGHT_MM = 2.0
_LIST_MM = 109.0
LONGEST = 54
"""Ours: of a title so much stands beside the matrix; in the widest letters used here it ends before the edge."""

_ROW_MM = 3.55
_NARROWEST = 4.4
_TOP = 0.0
_BOTTOM = -9.0
"""Powers of ten that the chart spans; what is less likely stands on its lower rim."""
_NUMBER = 0.26
"""Powers of ten that a number is high, with a little air."""

FILLS = {RiskLevel.LOW: "none", RiskLevel.MEDIUM: Ink.SAND, RiskLevel.HIGH: Ink.EMBER, RiskLevel.SERIOUS: Ink.EMBER}
INKS = {
    RiskLevel.LOW: Ink.QUIET,
    RiskLevel.MEDIUM: Ink.OCHRE,
    RiskLevel.HIGH: Ink.COPPER,
    RiskLevel.SERIOUS: Ink.COPPER,
}


def risk_matrix(risk: SpecimenRisk, scenarios: tuple[InjuryScenario, ...], anchors: Anchors) -> Figure:
    """Return the matrix with the scenarios in it.

    Parameters
    ----------
    risk : SpecimenRisk
        With the rows of the matrix.
    scenarios : tuple of InjuryScenario
        In the order in which they are numbered.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """

    def paint(canvas: Canvas) -> None:
        _paint(canvas, risk, scenarios, WIDTH_MM)
        _list(canvas, scenarios)

    return Figure(
        anchor=anchors.fresh("figure-risk-matrix"),
        svg=draw(WIDTH_MM, _HEIGHT_MM, paint),
        alt=matrix_told(scenarios),
        caption="Severity and probability of each scenario in the published matrix (from memory; its letters: L low, "
        "M medium, H high, S serious). Full mark: the best estimates, with nothing working that was not shown; bar: "
        "95 % of the draws; open mark: with all of it working. Numbers as in the table below.",
        width_mm=WIDTH_MM,
    )


def matrix_alone(risk: SpecimenRisk, scenarios: tuple[InjuryScenario, ...], anchors: Anchors) -> Figure:
    """Return the matrix without the names beside it, for where they are set as text by what shows it.

    Parameters
    ----------
    risk : SpecimenRisk
        With the rows of the matrix.
    scenarios : tuple of InjuryScenario
        In the order in which they are numbered.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its description, and no caption.
    """
    width = _LEFT_MM + _PLOT_MM + _RIGHT_MM
    return Figure(
        anchor=anchors.fresh("figure-risk-matrix"),
        svg=draw(width, _HEIGHT_MM, lambda canvas: _paint(canvas, risk, scenarios, width)),
        alt=matrix_told(scenarios),
        caption="",
        width_mm=width,
    )


def _paint(canvas: Canvas, risk: SpecimenRisk, scenarios: tuple[InjuryScenario, ...], width: float) -> None:
    axes: Axes = canvas.add_axes(
        (
            _LEFT_MM / width,
            _BOTTOM_MM / _HEIGHT_MM,
            _PLOT_MM / width,
            (_HEIGHT_MM - _BOTTOM_MM - _TOP_MM) / _HEIGHT_MM,
        )
    )
    by_severity = {
        severity: [(place, one) for place, one in enumerate(scenarios, start=1) if one.worst.severity == severity]
        for severity in range(1, 5)
    }
    widths = {severity: max(1.6 + len(held), _NARROWEST) for severity, held in by_severity.items()}
    edges = {severity: sum(widths[one] for one in range(1, severity)) for severity in range(1, 5)}
    axes.set_xlim(0.0, sum(widths.values()))
    axes.set_ylim(_BOTTOM, _TOP)
    quiet_axes(axes, bottom=False)
    _cells(axes, risk, edges, widths)
    for severity, held in by_severity.items():
        raised = numbers_at([_height(one.worst.high) for _, one in held])
        for at, (place, one) in enumerate(held):
            _scenario(axes, edges[severity] + 1.3 + at, place, one, raised[at])
        words = ("", "first aid", "doctor", "hospital", "fatal")[severity]
        middle = edges[severity] + widths[severity] / 2
        axes.text(middle, _BOTTOM - 0.2, f"{severity}\n{words}", ha="center", va="top", fontsize=6, color=Ink.TEXT)
    axes.set_yticks(
        [math.log10(row.lower) for row in risk.matrix if row.lower > 0.0],
        [row.label for row in risk.matrix if row.lower > 0.0],
    )
    axes.tick_params(axis="y", labelsize=6.5)
    axes.text(
        0.5,
        -0.13,
        "severity of the injury",
        ha="center",
        va="top",
        fontsize=7,
        color=Ink.QUIET,
        transform=axes.transAxes,
    )
    axes.set_ylabel("probability in the life of the product", fontsize=7, color=Ink.QUIET, labelpad=2)


def _cells(axes: Axes, risk: SpecimenRisk, edges: dict[int, float], widths: dict[int, float]) -> None:
    upper = _TOP
    for row in risk.matrix:
        lower = math.log10(row.lower) if row.lower > 0.0 else _BOTTOM
        for severity, level in enumerate(row.levels, start=1):
            box = (edges[severity], lower)
            axes.add_patch(
                Rectangle(
                    box, widths[severity], upper - lower, facecolor=FILLS[level], edgecolor=Ink.RULE, lw=0.5, zorder=0
                )
            )
            axes.text(
                edges[severity] + 0.2,
                (upper + lower) / 2,
                level.value[0].upper(),
                ha="left",
                va="center",
                fontsize=6,
                color=INKS[level],
                zorder=1,
            )
        upper = lower


def numbers_at(bars: list[float]) -> list[float]:
    """Return where the numbers of scenarios side by side stand, so that neighbours do not run into each other.

    Parameters
    ----------
    bars : list of float
        Upper ends of their bars, from left to right, in powers of ten.

    Returns
    -------
    list of float
        Where each number begins: just above its bar, or a line higher where the one to its left is as high.

    Examples
    --------
    >>> [round(one, 2) for one in numbers_at([-3.0, -3.0, -3.0, -5.0])]
    [-2.9, -2.64, -2.9, -4.9]
    """
    found: list[float] = []
    for bar in bars:
        above = bar + 0.1
        if found and abs(above - found[-1]) < _NUMBER:
            above = found[-1] + _NUMBER
        found.append(above)
    return found


def _scenario(axes: Axes, at: float, place: int, one: InjuryScenario, number: float) -> None:
    ink = INKS[one.level]
    middle = _height(one.worst.probability)
    axes.plot([at, at], [_height(one.worst.low), _height(one.worst.high)], color=ink, linewidth=1.4, zorder=3)
    axes.plot([at], [middle], marker="o", markersize=4.0, color=ink, zorder=4)
    axes.text(at, number, str(place), ha="center", va="bottom", fontsize=6, color=ink, zorder=5)
    if one.mildest != one.worst:
        below = _milder(one)
        axes.plot([at, at], [below, middle], color=ink, linewidth=0.5, linestyle=(0, (1, 2)), zorder=2)
        axes.plot([at], [below], marker="o", markersize=3.6, color=ink, markerfacecolor=Ink.PAPER, zorder=4)


def _milder(one: InjuryScenario) -> float:
    return _height(one.mildest.probability)


def _height(probability: float) -> float:
    return max(_BOTTOM, min(_TOP, math.log10(probability))) if probability > 0.0 else _BOTTOM


def _list(canvas: Canvas, scenarios: tuple[InjuryScenario, ...]) -> None:
    words: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    words.set_xlim(0.0, WIDTH_MM)
    words.set_ylim(_HEIGHT_MM, 0.0)
    words.patch.set_visible(False)
    quiet_axes(words, left=False, bottom=False)
    step = min(_ROW_MM, (_HEIGHT_MM - 2 * _TOP_MM) / max(len(scenarios), 1))
    for place, one in enumerate(scenarios, start=1):
        middle = _TOP_MM + step * (place - 0.5)
        words.text(_LIST_MM, middle, str(place), ha="right", va="center", fontsize=6, color=INKS[one.level])
        words.text(
            _LIST_MM + 1.4,
            middle,
            letter(one.title, longest=LONGEST),
            ha="left",
            va="center",
            fontsize=5.6,
            color=Ink.TEXT,
        )


def _reach(band: ScenarioBand) -> str:
    low, high = band.bands
    return f"band '{band.band}'" + ("" if low == high else f", from '{low}' to '{high}'")


def matrix_told(scenarios: tuple[InjuryScenario, ...]) -> str:
    """Say in words what the matrix shows.

    Parameters
    ----------
    scenarios : tuple of InjuryScenario
        In the order in which they are numbered.

    Returns
    -------
    str
        Scenario by scenario.
    """
    return " ".join(
        f"{place}. {one.title}: severity {one.worst.severity}, {_reach(one.worst)}, {one.level.value}"
        + (f"; with all that was not shown working {one.mildest.level.value}." if one.mildest != one.worst else ".")
        for place, one in enumerate(scenarios, start=1)
    )

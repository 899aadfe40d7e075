"""The chain of one scenario: how each conditional step takes the probability down, and which moves the level."""

from __future__ import annotations

import math
import textwrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.patches import Rectangle

from coldpin.records.scenario import Ground, InjuryScenario, ScenarioStep, Span, SpecimenRisk
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.figures.risk_matrix import FILLS, INKS

_ROW_MM = 8.6
_HEAD_MM = 3.0
_FOOT_MM = 12.0
_LEFT_MM = 66.0
_RIGHT_MM = 4.0
_LEAST_DECADES = 5.0
_GRAVEST = 4

_SHORT = {
    Ground.FINDING: "found",
    Ground.FUNCTION: "tested",
    Ground.OPEN: "not shown: both bounds",
    Ground.PUBLISHED: "published",
    Ground.PHYSICS: "from the current through the body",
    Ground.STATED: "as stated",
    Ground.JUDGEMENT: "judgement",
    Ground.OWN: "estimate of this case",
}


def scenario_chain(risk: SpecimenRisk, one: InjuryScenario, anchors: Anchors) -> Figure:
    """Return the chain of a scenario.

    Parameters
    ----------
    risk : SpecimenRisk
        With the rows of the matrix.
    one : InjuryScenario
        The scenario.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    height = _HEAD_MM + _ROW_MM * len(one.steps) + _FOOT_MM
    gravest = max((step.otherwise for step in one.steps), default=0)
    milder = (
        ""
        if one.worst.severity == _GRAVEST or gravest < one.worst.severity
        else f" The level is that of severity {one.worst.severity}, which ends the chain earlier."
    )
    return Figure(
        anchor=anchors.fresh("figure-chain"),
        svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, risk, one, height)),
        alt=_told(one),
        caption=f"{one.title}: the probability up to and with each step. Full mark and bar: the step's best estimate, "
        "low and high; open mark: with its function working where that was not shown; shaded: the level at the end of "
        f"the chain.{milder}",
        width_mm=WIDTH_MM,
    )


def _paint(canvas: Canvas, risk: SpecimenRisk, one: InjuryScenario, height: float) -> None:
    axes: Axes = canvas.add_axes(
        (
            _LEFT_MM / WIDTH_MM,
            _FOOT_MM / height,
            (WIDTH_MM - _LEFT_MM - _RIGHT_MM) / WIDTH_MM,
            (height - _FOOT_MM - _HEAD_MM) / height,
        )
    )
    before = [1.0, *(step.so_far for step in one.steps[:-1])]
    least = min(
        (
            start * span.low
            for start, step in zip(before, one.steps, strict=True)
            for span in _spans(step)
            if span.low > 0
        ),
        default=1.0,
    )
    left = min(math.floor(math.log10(least)), -_LEAST_DECADES)
    axes.set_xlim(left, 0.15)
    axes.set_ylim(len(one.steps), 0.0)
    quiet_axes(axes, left=False)
    _levels(axes, risk, one, left)
    for place, (start, step) in enumerate(zip(before, one.steps, strict=True)):
        _step(axes, place, start, step, step.id == one.mover, left)
    ticks = [math.log10(row.lower) for row in risk.matrix if row.lower > 0.0 and math.log10(row.lower) >= left]
    labels = [row.label.removeprefix("> ") for row in risk.matrix if row.lower > 0.0 and math.log10(row.lower) >= left]
    axes.set_xticks(ticks, labels)
    axes.tick_params(axis="x", labelsize=6)
    axes.set_xlabel("probability in the life of the product", fontsize=7, color=Ink.QUIET, labelpad=2)


def _spans(step: ScenarioStep) -> tuple[Span, ...]:
    return (step.span,) if step.if_works is None else (step.span, step.if_works)


def _levels(axes: Axes, risk: SpecimenRisk, one: InjuryScenario, left: float) -> None:
    """Shade the levels of the severity at the end of the chain."""
    severity = max(one.worst.severity, 1)
    upper = axes.get_xlim()[1]
    for row in risk.matrix:
        lower = math.log10(row.lower) if row.lower > 0.0 else left
        level = row.levels[severity - 1]
        lower = max(lower, left)
        if upper <= left:
            break
        axes.add_patch(
            Rectangle(
                (lower, 0.0),
                upper - lower,
                len(one.steps),
                facecolor=FILLS[level],
                edgecolor=Ink.RULE,
                lw=0.4,
                zorder=0,
            )
        )
        axes.text(
            (lower + upper) / 2,
            len(one.steps) - 0.04,
            level.value[0].upper(),
            ha="center",
            va="bottom",
            fontsize=5.6,
            color=INKS[level],
            zorder=1,
        )
        upper = lower


def _step(axes: Axes, place: int, start: float, step: ScenarioStep, mover: bool, left: float) -> None:
    middle, ink = place + 0.5, Ink.COPPER if mover else Ink.COLD
    at = _along(step.so_far, left)
    axes.plot([_along(start, left), at], [middle, middle], color=Ink.QUIET, linewidth=0.6, zorder=2)
    if place:
        axes.plot([_along(start, left)] * 2, [middle - 1.0, middle], color=Ink.QUIET, linewidth=0.6, zorder=2)
    ends = [_along(start * step.span.low, left), _along(min(start * step.span.high, start), left)]
    axes.plot(ends, [middle, middle], color=ink, linewidth=2.0, zorder=3)
    axes.plot([at], [middle], marker="o", markersize=4.4, color=ink, zorder=4)
    if step.if_works is not None:
        works = _along(start * step.if_works.best, left)
        axes.plot([works, at], [middle, middle], color=ink, linewidth=0.6, linestyle=(0, (1, 2)), zorder=2)
        axes.plot([works], [middle], marker="o", markersize=4.0, color=ink, markerfacecolor=Ink.PAPER, zorder=4)
    width = axes.get_xlim()[1] - left
    words = letter(step.text, longest=110)
    lines = _wrapped(words, 52)
    axes.text(
        left - 0.02 * width,
        middle - (0.1 if len(lines) > 1 else 0.14),
        "\n".join(lines),
        ha="right",
        va="center",
        fontsize=6.2,
        color=Ink.TEXT,
        fontweight="bold" if mover else "normal",
        linespacing=1.15,
        clip_on=False,
    )
    axes.text(
        left - 0.02 * width,
        middle + (0.32 if len(lines) > 1 else 0.2),
        _SHORT[step.ground] + (" · moves the level" if mover else ""),
        ha="right",
        va="center",
        fontsize=5.4,
        color=ink if mover else Ink.QUIET,
        clip_on=False,
    )


def _wrapped(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width)[:2]


def _along(probability: float, left: float) -> float:
    return max(math.log10(probability), left) if probability > 0.0 else left


def _told(one: InjuryScenario) -> str:
    steps = " ".join(
        f"{place}. {step.text} Given all before: best {step.span.best:.2g}, low {step.span.low:.2g}, high "
        f"{step.span.high:.2g}"
        + (f"; {step.if_works.best:.2g} with its function working" if step.if_works is not None else "")
        + f" ({_SHORT[step.ground]})."
        for place, step in enumerate(one.steps, start=1)
    )
    return f"{steps} {one.statement}"

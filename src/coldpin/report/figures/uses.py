"""Conditions of use in one picture: the answer to each, the largest current there, and what limits it."""

from __future__ import annotations

import textwrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas
from matplotlib.patches import Rectangle

from coldpin.conclusion.use_telling import current_told
from coldpin.records.use import UseAnswer, UseJudgement
from coldpin.report.anchors import Anchors
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes

_ROW_MM = 10.5
_TOP_MM = 7.0
_NAME_MM, _ANSWER_MM, _BAR_MM, _BAR_END_MM = 0.0, 57.0, 106.0, 128.0
"""Where the columns begin, and where the bar of the largest current ends. [mm]"""

ANSWER_INKS = {
    UseAnswer.NO_OBJECTION: Ink.COLD,
    UseAnswer.WITH_MEASURES: Ink.OCHRE,
    UseAnswer.CANNOT_JUDGE: Ink.QUIET,
    UseAnswer.ADVISED_AGAINST: Ink.COPPER,
}
MARKERS = {
    UseAnswer.NO_OBJECTION: "o",
    UseAnswer.WITH_MEASURES: "D",
    UseAnswer.CANNOT_JUDGE: "s",
    UseAnswer.ADVISED_AGAINST: "X",
}
"""Each answer has a shape of its own beside its words, so that nothing rests on colour alone."""


def uses_figure(judged: tuple[UseJudgement, ...], anchors: Anchors) -> Figure:
    """Return the picture of the conditions of use.

    Parameters
    ----------
    judged : tuple of UseJudgement
        At least one.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    Figure
        The drawing with its caption and description.
    """
    height = _TOP_MM + _ROW_MM * len(judged) + 1.0
    return Figure(
        anchor=anchors.fresh("figure-uses"),
        svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, judged, height)),
        alt="Answers to the conditions of use. " + " ".join(_told(one) for one in judged),
        caption="The answer to each condition of use, and the largest current there with what limits it. Where it is "
        "advised against or cannot be judged there is none: what the way bears is no leave to draw it.",
        width_mm=WIDTH_MM,
    )


def _told(one: UseJudgement) -> str:
    by = f" by {one.limited_by}" if one.limited_by else ""
    return f"{one.name}: {one.answer.value}, largest current {current_told(one)}{by}."


def _paint(canvas: Canvas, judged: tuple[UseJudgement, ...], height: float) -> None:
    axes: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, WIDTH_MM)
    axes.set_ylim(height, 0.0)
    axes.patch.set_visible(False)
    quiet_axes(axes, left=False, bottom=False)
    heads = ((_NAME_MM, "where and how"), (_ANSWER_MM, "answer"), (_BAR_MM, "largest current, and what limits it"))
    for x, head in heads:
        axes.text(x, 3.2, head, fontsize=6.5, color=Ink.QUIET, va="center")
    most = max((one.largest_current_a or 0.0 for one in judged), default=0.0) or 1.0
    for place, one in enumerate(judged):
        _row(axes, one, _TOP_MM + _ROW_MM * place, most)


def _row(axes: Axes, one: UseJudgement, top: float, most: float) -> None:
    middle, ink = top + 0.5 * _ROW_MM, ANSWER_INKS[one.answer]
    axes.plot([0.0, WIDTH_MM], [top, top], color=Ink.RULE, linewidth=0.5)
    name = "\n".join(textwrap.wrap(letter(one.name, longest=78), 40)[:2])
    axes.text(_NAME_MM, middle, name, fontsize=7, color=Ink.TEXT, va="center", linespacing=1.2)
    axes.plot([_ANSWER_MM + 1.5], [middle], marker=MARKERS[one.answer], markersize=5, color=ink, linestyle="none")
    answer = "\n".join(textwrap.wrap(one.answer.value, 24))
    axes.text(
        _ANSWER_MM + 4.5, middle, answer, fontsize=7.5, fontweight="bold", color=ink, va="center", linespacing=1.2
    )
    if one.largest_current_a is None:
        told = current_told(one)
        axes.text(_BAR_MM, middle, told.replace(" (", "\n("), fontsize=7, color=Ink.QUIET, va="center")
    else:
        length = (_BAR_END_MM - _BAR_MM) * one.largest_current_a / most
        axes.add_patch(Rectangle((_BAR_MM, middle - 1.6), length, 3.2, facecolor=Ink.DEEP, edgecolor="none"))
        amperes = f"{one.largest_current_a:.3g} A"
        axes.text(_BAR_MM + 0.8, middle, amperes, fontsize=7, color=Ink.TEXT, va="center", fontweight="bold")
    limited = "\n".join(textwrap.wrap(letter(one.limited_by, longest=62), 33)[:2])
    axes.text(_BAR_END_MM + 1.5, middle, limited, fontsize=6.5, color=Ink.TEXT, va="center", linespacing=1.2)

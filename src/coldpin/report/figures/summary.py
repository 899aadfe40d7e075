"""The summary picture, for a video or a page: the sentence, every function, where it may be used, date and names."""

from __future__ import annotations

import math
import textwrap

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas

from coldpin.conclusion.risk_telling import risk_in_brief
from coldpin.records.assessment import Assessment, Basis
from coldpin.records.function import FunctionState
from coldpin.records.use import UseAnswer
from coldpin.report.figures.drawing import Ink, draw, draw_png, letter, quiet_axes
from coldpin.report.figures.uses import ANSWER_INKS, MARKERS
from coldpin.report.times import moment
from coldpin.report.words import STATE_WORDS, specimen_name

WIDE_MM, HIGH_MM, WIDE_PX = 320.0, 180.0, 1920
"""A picture in the shape of a video: 16 to 9. [mm], and its width in pixels"""

_LEFT, _RIGHT, _USES = 12.0, 308.0, 214.0
_HEAD_SIZES = ((25.0, 54, 2), (20.0, 68, 3), (16.0, 86, 4), (13.0, 106, 5), (11.5, 120, 7))
"""Sizes of the sentence: points, letters on a line, lines there is room for; the largest that holds it all."""

_RISK_LETTERS = 150
"""Letters on a line of the risk."""

_STATE_MARKS = {
    FunctionState.SHOWN: ("o", Ink.COLD),
    FunctionState.FAULTY: ("v", Ink.COPPER),
    FunctionState.SHOWN_ABSENT: ("X", Ink.COPPER),
    FunctionState.NOT_SHOWN: ("s", Ink.QUIET),
}

_IN_BRIEF = {UseAnswer.WITH_MEASURES: "only with the measures in the report"}
"""Answers whose own words point to what stands below them in the report, and has no room here."""


def summary_svg(assessment: Assessment) -> bytes:
    """Return the summary picture as SVG.

    Parameters
    ----------
    assessment : Assessment
        The record.

    Returns
    -------
    bytes
        A file.
    """
    return draw(WIDE_MM, HIGH_MM, lambda canvas: _paint(canvas, assessment)).encode()


def summary_png(assessment: Assessment) -> bytes:
    """Return the summary picture as PNG, 1920 pixels wide.

    Parameters
    ----------
    assessment : Assessment
        The record.

    Returns
    -------
    bytes
        A file.
    """
    return draw_png(WIDE_MM, HIGH_MM, lambda canvas: _paint(canvas, assessment), width_px=WIDE_PX)


def _paint(canvas: Canvas, assessment: Assessment) -> None:
    axes: Axes = canvas.add_axes((0.0, 0.0, 1.0, 1.0))
    axes.set_xlim(0.0, WIDE_MM)
    axes.set_ylim(HIGH_MM, 0.0)
    axes.set_facecolor("white")
    quiet_axes(axes, left=False, bottom=False)
    bottom = _sentence(axes, assessment)
    axes.plot([_LEFT, _RIGHT], [bottom, bottom], color=Ink.RULE, linewidth=0.8)
    _functions(axes, assessment, bottom + 8.0)
    _uses(axes, assessment, bottom + 8.0)
    _foot(axes, assessment)


def headline_lines(text: str) -> tuple[float, tuple[str, ...]]:
    """Return the sentence as lines, with the largest size that has room for all of it.

    Parameters
    ----------
    text : str
        The sentence.

    Returns
    -------
    tuple
        Size in points, and the lines; the last ends with an ellipsis where even the smallest has no room.

    Examples
    --------
    >>> headline_lines("Skerrow 16: no objection found.")
    (25.0, ('Skerrow 16: no objection found.',))
    """
    for size, letters, most in _HEAD_SIZES:
        lines = textwrap.wrap(text, letters)
        if len(lines) <= most:
            return size, tuple(lines)
    size, letters, most = _HEAD_SIZES[-1]
    return size, tuple(textwrap.wrap(text, letters, max_lines=most, placeholder=" …"))


def _sentence(axes: Axes, assessment: Assessment) -> float:
    headline = assessment.conclusion.headline
    kicker = f"{specimen_name(assessment.case)} · bench assessment of one specimen · {headline.basis.value}"
    axes.text(_LEFT, 12.0, letter(kicker), fontsize=11, color=Ink.QUIET, va="center")
    size, lines = headline_lines(letter(headline.text, longest=2000))
    told = "\n".join(lines)
    axes.text(_LEFT, 19.0, told, fontsize=size, fontweight="bold", color=Ink.TEXT, va="top", linespacing=1.2)
    bottom = 24.0 + len(lines) * size * 0.46
    if assessment.risk is None or not assessment.scenarios:
        return bottom
    titles = {function.id: function.title for function in assessment.functions}
    risk = f"{risk_in_brief(assessment.risk, assessment.scenarios, titles)} · {Basis.OPINION.value}"
    wrapped = textwrap.wrap(letter(risk, longest=600), _RISK_LETTERS)
    axes.text(_LEFT, bottom - 2.0, "\n".join(wrapped), fontsize=10, color=Ink.TEXT, va="top", linespacing=1.2)
    return bottom + 1.0 + 4.6 * len(wrapped)


def _functions(axes: Axes, assessment: Assessment, top: float) -> None:
    functions = assessment.functions
    axes.text(_LEFT, top, "What protects the user", fontsize=11, fontweight="bold", color=Ink.COLD, va="center")
    rows = math.ceil(len(functions) / 2) or 1
    step = min(8.2, (HIGH_MM - 22.0 - top) / rows)
    for place, function in enumerate(functions):
        x = _LEFT + (place // rows) * 100.0
        y = top + 7.0 + step * (place % rows)
        marker, ink = _STATE_MARKS[function.state]
        axes.plot([x + 1.6], [y], marker=marker, markersize=6, color=ink, linestyle="none")
        axes.text(x + 5.0, y, letter(function.title, longest=42), fontsize=8.6, color=Ink.TEXT, va="center")
        axes.text(x + 93.0, y, STATE_WORDS[function.state], fontsize=8.2, color=ink, va="center", ha="right")


def _uses(axes: Axes, assessment: Assessment, top: float) -> None:
    uses = assessment.conditions_of_use
    if not uses:
        return
    axes.text(_USES, top, "Where and how", fontsize=11, fontweight="bold", color=Ink.COLD, va="center")
    step = min(11.5, (HIGH_MM - 22.0 - top) / len(uses))
    for place, use in enumerate(uses):
        y = top + 7.0 + step * place
        answer = use.answer
        axes.plot([_USES + 1.6], [y], marker=MARKERS[answer], markersize=6, color=ANSWER_INKS[answer], linestyle="none")
        axes.text(_USES + 5.0, y - 0.3, letter(use.name, longest=54), fontsize=8.6, color=Ink.TEXT, va="bottom")
        current = ""
        if use.largest_current_a is not None and answer in (UseAnswer.NO_OBJECTION, UseAnswer.WITH_MEASURES):
            current = f", up to {use.largest_current_a:.3g} A"
        told = f"{_IN_BRIEF.get(answer, answer.value)}{current}"
        axes.text(_USES + 5.0, y + 0.3, told, fontsize=8.2, fontweight="bold", color=ANSWER_INKS[answer], va="top")


def _foot(axes: Axes, assessment: Assessment) -> None:
    by = f" by {assessment.case.tester}" if assessment.case.tester else ""
    left = f"Assessed on {moment(assessment.assessed_on)}{by}"
    right = f"coldpin {assessment.program_version}, which certifies nothing · the report holds every number and source"
    axes.plot([_LEFT, _RIGHT], [HIGH_MM - 12.0] * 2, color=Ink.RULE, linewidth=0.8)
    axes.text(_LEFT, HIGH_MM - 7.0, letter(left), fontsize=9, color=Ink.QUIET, va="center")
    axes.text(_RIGHT, HIGH_MM - 7.0, letter(right), fontsize=9, color=Ink.QUIET, va="center", ha="right")

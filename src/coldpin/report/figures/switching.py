"""What the output did when the pilot changed: every delay of every event on one axis of time, beside its limit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure as Canvas

from coldpin.quantity.model import Quantity
from coldpin.records.assessment import PilotEvidence
from coldpin.records.finding import Outcome
from coldpin.records.pilot import SwitchingEvent
from coldpin.report.anchors import Anchors, slug
from coldpin.report.delays import delay_limit_said, delay_said, event_said, is_open
from coldpin.report.document import Figure
from coldpin.report.figures.drawing import WIDTH_MM, Ink, draw, letter, quiet_axes
from coldpin.report.numbers import counted
from coldpin.report.times import duration
from coldpin.report.words import OUTCOME_WORDS

_ROW_MM = 12.0
_FOOT_MM = 11.0
_LABEL_MM = 52.0
_OUTCOME_MM = 30.0
_INKS = {Outcome.WITHIN: Ink.COLD, Outcome.BEYOND: Ink.COPPER, Outcome.UNDECIDED: Ink.OCHRE}
_MARKERS = {Outcome.WITHIN: "s", Outcome.BEYOND: "^", Outcome.UNDECIDED: "D"}
_SHORTEST = 1e-4
_STACKED = 5
_ROOM = 0.3
"""The part of the axis that the words at a limit need."""


def switching(capture: PilotEvidence, anchors: Anchors) -> tuple[Figure, ...]:
    """Return the figure of delays against limits.

    Parameters
    ----------
    capture : PilotEvidence
        A capture as read.
    anchors : Anchors
        Where the figure gets its anchor.

    Returns
    -------
    tuple of Figure
        The drawing with its caption and description; none where the output was not captured or answered nothing.
    """
    events = capture.reading.switching
    if not events:
        return ()
    height = _ROW_MM * len(events) + _FOOT_MM
    return (
        Figure(
            anchor=anchors.fresh(f"figure-switching-{slug(capture.file or capture.entry)}"),
            svg=draw(WIDTH_MM, height, lambda canvas: _paint(canvas, events, height)),
            alt=" ".join(_told(event) for event in events),
            caption=(
                "From each change of the pilot to the answer of the output: a small mark for every operation with its "
                "95 % interval, the large one is the worst. An arrow to the right means at least so long. Hatched is "
                "the side of the limit that is not allowed."
            ),
            width_mm=WIDTH_MM,
        ),
    )


def _told(event: SwitchingEvent) -> str:
    outcome, said = OUTCOME_WORDS[Outcome(event.outcome)], event_said(event.event)
    said = said[0].upper() + said[1:]
    times = counted(event.operations, "time") if event.delay_s is None else counted(event.operations, "operation")
    if event.delay_s is None:
        return f"{said}: {times}, {outcome}."
    every = ", ".join(delay_said(delay) for delay in event.delays_s)
    limit = f"; limit {delay_limit_said(event)}" if event.limit_s is not None else ""
    return f"{said}: {times}, worst {delay_said(event.delay_s)}{limit}, {outcome}; all: {every}."


def _times(events: Sequence[SwitchingEvent]) -> tuple[float, float]:
    """Return the ends of the axis: every delay, its interval and every limit lie between. [s]"""
    shown = [time for event in events for delay in event.delays_s for time in _ends(delay)]
    shown += [event.limit_s for event in events if event.limit_s is not None]
    shown = [max(time, _SHORTEST) for time in shown if math.isfinite(time)] or [1e-2, 1.0]
    least, most = 0.5 * min(shown), 3.0 * max(shown)
    # two decades at least, so that two times stand on the axis
    return min(least, most / 100.0), most


def _ends(delay: Quantity) -> tuple[float, float]:
    # the bounds of what nobody stated are no interval
    if delay.u is None or delay.low is None or delay.high is None:
        return delay.value, delay.value
    return delay.low, delay.high


def _paint(canvas: Canvas, events: Sequence[SwitchingEvent], height: float) -> None:
    left, right = _LABEL_MM / WIDTH_MM, _OUTCOME_MM / WIDTH_MM
    bottom = _FOOT_MM / height
    axes: Axes = canvas.add_axes((left, bottom, 1.0 - left - right, 1.0 - bottom - 1.0 / height))
    quiet_axes(axes, left=False)
    axes.set_xscale("log")
    axes.set_xlim(*_times(events))
    axes.set_ylim(len(events), 0.0)
    ticks = [10.0**power for power in range(-4, 6) if _times(events)[0] <= 10.0**power <= _times(events)[1]]
    axes.set_xticks(ticks, [duration(tick) for tick in ticks])
    between = [step * 10.0**power for power in range(-4, 6) for step in (2.0, 5.0)]
    axes.set_xticks([tick for tick in between if _times(events)[0] <= tick <= _times(events)[1]], minor=True)
    axes.tick_params(which="minor", labelbottom=False, length=1.5, color=Ink.RULE)
    axes.set_xlabel("time from the change of the pilot", fontsize=7, color=Ink.QUIET, labelpad=2)
    for row, event in enumerate(events):
        if row:
            axes.axhline(row, color=Ink.RULE, linewidth=0.5, zorder=0)
        _label(axes, row, event)
        if event.delay_s is None:
            _without_delay(axes, row, event)
        else:
            _limit(axes, row, event)
            _delays(axes, row, event)


def _label(axes: Axes, row: int, event: SwitchingEvent) -> None:
    beside: dict[str, Any] = {"transform": axes.get_yaxis_transform(), "va": "center", "clip_on": False}
    edge = -_LABEL_MM / (WIDTH_MM - _LABEL_MM - _OUTCOME_MM)
    changed = f"{event.state_from.value} to {event.state_to.value}"
    counts = counted(event.operations, "time") if event.delay_s is None else counted(event.operations, "operation")
    axes.text(edge, row + 0.32, letter(event_said(event.event)), fontsize=7, color=Ink.TEXT, **beside)
    axes.text(edge, row + 0.68, letter(f"{changed}, {counts}"), fontsize=6.5, color=Ink.QUIET, **beside)
    outcome = Outcome(event.outcome)
    ink = _INKS.get(outcome, Ink.QUIET)
    worst = "" if event.delay_s is None else delay_said(event.delay_s)
    axes.text(1.02, row + 0.32, letter(OUTCOME_WORDS[outcome]), fontsize=7, fontweight="bold", color=ink, **beside)
    axes.text(1.02, row + 0.68, letter(worst, longest=34), fontsize=6, color=Ink.TEXT, **beside)


def _limit(axes: Axes, row: int, event: SwitchingEvent) -> None:
    if event.limit_s is None:
        axes.text(
            0.99, row + 0.16, "no limit known", fontsize=6, color=Ink.QUIET, ha="right", va="center",
            transform=axes.get_yaxis_transform(),
        )  # fmt: skip
        return
    least, most = axes.get_xlim()
    too_long = event.limit_kind == "max"
    side = (event.limit_s, most) if too_long else (least, event.limit_s)
    style: dict[str, Any] = {
        "facecolor": Ink.EMBER,
        "edgecolor": Ink.RULE,
        "hatch": "////",
        "linewidth": 0.0,
        "zorder": 0,
    }
    axes.fill_betweenx([row + 0.04, row + 0.96], *side, **style)
    axes.vlines(event.limit_s, row + 0.04, row + 0.96, color=Ink.TEXT, linewidth=1.2)
    fault = "too late" if too_long else "too early"
    room = math.log(side[1] / side[0]) / math.log(most / least)
    rightward = too_long == (room > _ROOM)
    if room > _ROOM:
        said = f"{fault}: {delay_limit_said(event)}"
    else:
        said = f"{delay_limit_said(event)}, {'after' if too_long else 'before'} that {fault}"
    axes.annotate(
        said,
        (event.limit_s, row + 0.16),
        xytext=(3 if rightward else -3, 0),
        textcoords="offset points",
        fontsize=6,
        color=Ink.TEXT,
        ha="left" if rightward else "right",
        va="center",
        bbox={
            "boxstyle": "square,pad=0.15",
            "facecolor": Ink.EMBER if room > _ROOM else Ink.FROST,
            "edgecolor": "none",
        },
    )


def _delays(axes: Axes, row: int, event: SwitchingEvent) -> None:
    ink = _INKS.get(Outcome(event.outcome), Ink.QUIET)
    worst = _worst_of(event)
    for place, delay in enumerate(event.delays_s):
        height = row + 0.36 + 0.5 * (place % _STACKED) / _STACKED
        low, high = (max(end, _SHORTEST) for end in _ends(delay))
        value = max(delay.value, _SHORTEST)
        axes.hlines(height, low, high, color=ink if place == worst else Ink.QUIET, linewidth=1.4)
        marker = ">" if is_open(delay) else _MARKERS.get(Outcome(event.outcome), "o") if place == worst else "|"
        axes.plot(
            [value],
            [height],
            marker=marker,
            markersize=6.0 if place == worst else 5.0,
            color=ink if place == worst else Ink.QUIET,
            markeredgecolor=Ink.FROST if place == worst else Ink.QUIET,
            markeredgewidth=0.6 if place == worst else 1.0,
            zorder=4 if place == worst else 3,
            clip_on=False,
        )
        if is_open(delay):
            axes.annotate(
                "",
                (value * 1.6, height),
                (value, height),
                arrowprops={"arrowstyle": "->", "color": ink if place == worst else Ink.QUIET, "linewidth": 1.0},
            )


def _worst_of(event: SwitchingEvent) -> int:
    return next(
        (place for place, delay in enumerate(event.delays_s) if delay is event.delay_s or delay == event.delay_s), 0
    )


def _without_delay(axes: Axes, row: int, event: SwitchingEvent) -> None:
    at = ", ".join(duration(moment) for moment in event.at_s[:_STACKED])
    more = " …" if len(event.at_s) > _STACKED else ""
    axes.text(
        0.02, row + 0.5, letter(f"at {at}{more} from the first sample"), fontsize=6.5, color=Ink.TEXT, va="center",
        transform=axes.get_yaxis_transform(),
    )  # fmt: skip

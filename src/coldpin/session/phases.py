"""The phases of a charge: found on the compressed log, their edges between two rows of the log itself."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from coldpin.records.session import Bracket, EventMark, MarkKind, PhaseKind, SupplyOutage
from coldpin.session.charge_log import ChargeLog
from coldpin.session.compression import Stretches, compress
from coldpin.session.levels import Level, is_ramp, levels_of_draw, trimmed
from coldpin.session.outages import (
    BY_MARKS,
    BY_VOLTAGE,
    MarkedOutage,
    Spacing,
    gap_is_outage,
    marked_outages,
    rows_after_gaps,
    spacing_of,
    supply_absent,
)

DRAWS_A = 0.5
"""Ours: from this current on a car draws; an idle unit stays far below. [A]"""

RESTS_A = 0.25
"""Ours: below this a car that drew has stopped. [A]"""

DRAWS_W = 100.0
"""Ours: as `DRAWS_A`, where only power was logged. [W]"""

RESTS_W = 50.0
"""Ours: as `RESTS_A`, where only power was logged. [W]"""

SHARE_OF_CURRENT = 0.025
"""Ours: rows of one level span no more than this part of it; one ampere of 32 A is more, and a car that keeps to an
offer wanders less. [1]"""

SHARE_OF_POWER = 0.06
"""Ours: the same where only power was logged, which follows the mains' voltage. [1]"""

LEAST_A = 0.2
"""Ours: the least span of a level's rows, near zero. [A]"""

LEAST_W = 40.0
"""Ours: as `LEAST_A`, where only power was logged. [W]"""

NOISE_SPAN = 8.0
"""Ours: and no less than so many standard deviations of the meter's noise: some thousand rows span that much. [1]"""

STEPS_SPAN = 2.5
"""Ours: and no less than so many steps of the meter: a level on the border of two steps with noise of a third of one
shows three values, and a change of three steps is one. [1]"""

DEVIATION_OF_DIFFERENCES = 1.0484
"""The standard deviation of a normal variable over the median distance of two of its draws: 1 / (0.6745 √2). [1]"""

NEW_CHARGE = 3600.0
"""Ours: after so long without a draw, what follows is no longer called reduced beside what was before. [s]"""

FEWEST_OF_CHANGE = 2
"""Ours: a change with fewer rows of its own is the bracket between its neighbours. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A phase by its rows: ``first`` to ``last``, both included, lie wholly in it; a gap lies between two rows.

    Times are in seconds from the first row, with the brackets of both ends. ``shown_by`` says what shows a loss of the
    supply.
    """

    kind: PhaseKind
    first: int
    last: int
    start_s: float
    end_s: float
    start_bracket_s: Bracket
    end_bracket_s: Bracket
    shown_by: str = ""
    is_gap: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How a charge went: its spans, which cover the log without a hole, and how the log runs."""

    spans: tuple[Span, ...]
    spacing: Spacing


def find_course(log: ChargeLog, *, marks: Iterable[EventMark] = (), gap_from: float | None = None) -> Course:
    """Return the phases of a charge.

    The log is compressed to stretches whose rows span no more than a width (about a fortieth of the current), levels
    are found among the stretches, and their ends are moved to the last row that lies on the level. A change lies
    between two rows; both are told.

    Parameters
    ----------
    log : ChargeLog
        The rows.
    marks : iterable of EventMark
        What was marked, by the clock of the log: a breaker off and on shows a loss of the supply, a plug pulled the
        end of a charge.
    gap_from : float or None
        The interval between rows from which on it is a gap; None lets the log tell. [s]

    Returns
    -------
    Course
        Spans in order.

    Examples
    --------
    >>> from coldpin.records.log import Log, LogChannel, LogQuantity
    >>> from coldpin.session.charge_log import charge_log
    >>> amperes = np.concatenate([np.zeros(60), np.full(600, 16.0), np.full(300, 10.0), np.zeros(60)])
    >>> channel = LogChannel(name="I", quantity=LogQuantity.CURRENT, unit="A", values=amperes, resolution=0.01)
    >>> log = charge_log(Log(time_s=np.arange(1020.0), channels=(channel,)))
    >>> [(span.kind.value, span.start_s) for span in find_course(log).spans]
    [('waiting', 0.0), ('steady', 59.5), ('reduced', 659.5), ('ended', 959.5)]
    """
    marks = tuple(marks)
    spacing = spacing_of(log.time_s, gap_from=gap_from)
    absent = supply_absent(log.voltage_v, log.time_s.size)
    marked = tuple(_ended_as_shown(log.time_s, absent, outage) for outage in marked_outages(marks))
    by_mark = _marked_rows(log, marked) & ~absent
    lost = absent | by_mark
    after_gaps = rows_after_gaps(log.time_s, spacing.gap_from_s)
    changes = np.flatnonzero(np.diff(lost.astype(np.int8))) + 1
    noise = noise_of(log)
    stretches = compress(
        log.time_s,
        log.lead,
        share=SHARE_OF_CURRENT if log.by_current else SHARE_OF_POWER,
        least=max(LEAST_A if log.by_current else LEAST_W, NOISE_SPAN * noise, STEPS_SPAN * log.lead_step),
        cuts=np.union1d(after_gaps, changes),
    )
    bounds = [0, *np.searchsorted(stretches.first, after_gaps).tolist(), stretches.count]
    classes = _classes(log, stretches, lost, bounds)
    segments = [_segment(log, stretches, noise, runs) for runs in classes]
    pulled = [mark.at_s.value for mark in marks if mark.kind is MarkKind.PLUG_PULLED]
    spans = _joined(log, segments, lost, by_mark, marked, pulled)
    return Course(spans=tuple(spans), spacing=spacing)


def noise_of(log: ChargeLog) -> float:
    """Return how much the rows of a log scatter while a car draws, whatever slow changes there are.

    Parameters
    ----------
    log : ChargeLog
        The rows.

    Returns
    -------
    float
        Standard deviation, from the median distance of rows that follow each other, in the unit of the lead; 0 where
        nothing is drawn.
    """
    drawing = log.lead >= (DRAWS_A if log.by_current else DRAWS_W)
    distances = np.abs(np.diff(log.lead))[drawing[1:] & drawing[:-1]]
    return DEVIATION_OF_DIFFERENCES * float(np.median(distances)) if distances.size else 0.0


def _ended_as_shown(time_s: NDArray[np.float64], absent: NDArray[np.bool_], marked: MarkedOutage) -> MarkedOutage:
    """Return a marked loss that the voltage shows too as ended when the voltage came back, unless marked before."""
    first = int(np.searchsorted(time_s, marked.begin_s[0]))
    last = int(np.searchsorted(time_s, marked.begin_s[1])) + 1
    shown = np.flatnonzero(absent[first:last])
    if not shown.size:
        return marked
    back = np.flatnonzero(~absent[first + int(shown[0]) :])
    if not back.size:
        return marked
    row = first + int(shown[0]) + int(back[0])
    if marked.end_s is not None and marked.end_s[0] <= float(time_s[row]):
        return marked
    return MarkedOutage(begin_s=marked.begin_s, end_s=(float(time_s[row - 1]), float(time_s[row])))


def _marked_rows(log: ChargeLog, marked: Iterable[MarkedOutage]) -> NDArray[np.bool_]:
    """Say which rows without a draw lie in a marked loss: from the first moment it may have begun to its sure end."""
    rows = np.zeros(log.time_s.size, np.bool_)
    rests = log.lead < (RESTS_A if log.by_current else RESTS_W)
    for outage in marked:
        end = np.inf if outage.end_s is None else outage.end_s[0]
        rows |= (log.time_s >= outage.begin_s[0]) & (log.time_s < end) & rests
    return rows


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """Rows of one kind within a part of the log that has no gap; ``mean`` is that of the lead."""

    kind: str
    first: int
    last: int
    mean: float
    width: float = 0.0


def _segment(log: ChargeLog, stretches: Stretches, noise: float, classes: list[_Class]) -> list[_Piece]:
    """Return what lies between two gaps: levels, and changes where there are rows enough between two of them."""
    levels: list[Level] = []
    begin, end = classes[0][1], classes[-1][2]
    for place, (kind, first, last) in enumerate(classes):
        if kind == "draw":
            held = levels_of_draw(stretches, first, last, noise=noise)
            levels += [trimmed(level, log.lead, log.lead_step) for level in held]
            continue
        rest = Level(
            kind=kind,
            first=int(stretches.first[first]),
            last=int(stretches.last[last - 1]),
            mean=0.0,
            width=float(stretches.width[first]),
        )
        # what a draw left behind, or begins with, is trimmed; the ticks of an idle unit beside a gap are not
        head = place > 0 and classes[place - 1][0] == "draw"
        tail = place + 1 < len(classes) and classes[place + 1][0] == "draw"
        levels.append(trimmed(rest, log.lead, log.lead_step, head=head and kind == "off", tail=tail and kind == "off"))
    row, end_row = int(stretches.first[begin]), int(stretches.last[end - 1]) + 1
    pieces: list[_Piece] = []
    for level in levels:
        piece = _Piece(kind=level.kind, first=level.first, last=level.last, mean=level.mean, width=level.width)
        pieces += [*_change(stretches, row, level.first, pieces[-1:], [piece]), piece]
        row = level.last + 1
    return pieces + _change(stretches, row, end_row, pieces[-1:], [])


_Class = tuple[str, int, int]
"""A run of stretches of one class ("lost", "off", "draw"): the first, and the one after its last."""


def _classes(
    log: ChargeLog, stretches: Stretches, lost: NDArray[np.bool_], bounds: Sequence[int]
) -> list[list[_Class]]:
    """Return the runs of stretches of one class in each part of the log, whose stretches lie between two bounds."""
    draws, rests = (DRAWS_A, RESTS_A) if log.by_current else (DRAWS_W, RESTS_W)
    mean = stretches.mean
    sure = (mean >= draws) | (mean <= rests)
    # what lies between the two thresholds is as what was before it; at the beginning, what it is nearer to
    sure[bounds[:-1]] = True
    last_sure = np.maximum.accumulate(np.where(sure, np.arange(mean.size), 0))
    drawing = (mean >= 0.5 * (draws + rests))[last_sure]
    kind = np.where(lost[stretches.first], 2, drawing.astype(np.int8))
    begins = np.union1d(np.flatnonzero(np.diff(kind)) + 1, bounds[:-1]).tolist()
    names = [("off", "draw", "lost")[one] for one in kind[begins].tolist()]
    runs = list(zip(names, begins, [*begins[1:], mean.size], strict=True))
    parts = np.searchsorted(begins, bounds).tolist()
    return [runs[first:end] for first, end in pairwise(parts)]


def _change(stretches: Stretches, row: int, end_row: int, before: list[_Piece], after: list[_Piece]) -> list[_Piece]:
    """Return the change that the rows between two levels make; none where they are too few to be one."""
    between = before and after and not before[0].kind == after[0].kind == "off"
    if end_row <= row or (between and end_row - row < FEWEST_OF_CHANGE):
        return []
    first = int(np.searchsorted(stretches.first, row, side="right")) - 1
    last = int(np.searchsorted(stretches.first, end_row))
    means = stretches.mean[first:last].tolist()
    path = [*(piece.mean for piece in before), *means, *(piece.mean for piece in after)]
    kind = "ramp" if is_ramp(path) else "varying"
    return [_Piece(kind=kind, first=row, last=end_row - 1, mean=float(np.mean(means)))]


def _joined(
    log: ChargeLog,
    segments: list[list[_Piece]],
    lost: NDArray[np.bool_],
    by_mark: NDArray[np.bool_],
    marked: tuple[MarkedOutage, ...],
    pulled: Sequence[float],
) -> list[Span]:
    """Give each piece its kind and its ends, and put what the gaps are between the parts of the log."""
    kinds = _kinds(log, [piece for segment in segments for piece in segment], pulled)
    time = log.time_s
    spans: list[Span] = []
    place = 0
    for segment in segments:
        if spans:
            spans.append(_gap(time, spans[-1].last, segment[0].first, lost, marked))
        for index, piece in enumerate(segment):
            before = segment[index - 1].last if index else max(piece.first - 1, 0)
            after = segment[index + 1].first if index + 1 < len(segment) else min(piece.last + 1, time.size - 1)
            start_bracket = (float(time[before]), float(time[piece.first]))
            end_bracket = (float(time[piece.last]), float(time[after]))
            spans.append(
                Span(
                    kind=kinds[place],
                    first=piece.first,
                    last=piece.last,
                    start_s=0.5 * sum(start_bracket) if index else start_bracket[1],
                    end_s=0.5 * sum(end_bracket) if index + 1 < len(segment) else end_bracket[0],
                    start_bracket_s=start_bracket,
                    end_bracket_s=end_bracket,
                    shown_by=_shown_by(kinds[place], bool(by_mark[piece.first])),
                )
            )
            place += 1
    return spans


def _shown_by(kind: PhaseKind, marked: bool) -> str:
    return "" if kind is not PhaseKind.SUPPLY_LOST else BY_MARKS if marked else BY_VOLTAGE


def _gap(
    time: NDArray[np.float64], before: int, after: int, lost: NDArray[np.bool_], marked: tuple[MarkedOutage, ...]
) -> Span:
    start, end = float(time[before]), float(time[after])
    shown = gap_is_outage(start, end, lost_before=bool(lost[before]), lost_after=bool(lost[after]), marked=marked)
    return Span(
        kind=PhaseKind.SUPPLY_LOST if shown else PhaseKind.NOT_RECORDED,
        first=before,
        last=after,
        start_s=start,
        end_s=end,
        start_bracket_s=(start, start),
        end_bracket_s=(end, end),
        shown_by=shown,
        is_gap=True,
    )


def _kinds(log: ChargeLog, pieces: list[_Piece], pulled: Sequence[float]) -> list[PhaseKind]:
    """Name the pieces: what is off by what is drawn before and after it, what is drawn by what was held before."""
    drawing = [place for place, piece in enumerate(pieces) if piece.kind in ("draw", "ramp", "varying")]
    first, last = (drawing[0], drawing[-1]) if drawing else (len(pieces), len(pieces))
    named: list[PhaseKind] = []
    held: _Piece | None = None
    drawn_until = 0.0
    for place, piece in enumerate(pieces):
        if log.time_s[piece.first] - drawn_until > NEW_CHARGE:
            held = None
        if piece.kind == "draw":
            reduced = held is not None and piece.mean < held.mean - held.width
            held = piece if held is None or piece.mean > held.mean else held
            named.append(PhaseKind.REDUCED if reduced else PhaseKind.STEADY)
        elif piece.kind == "off":
            rest = PhaseKind.WAITING if place < first else PhaseKind.ENDED if place > last else PhaseKind.PAUSED
            if place > first and any(log.time_s[piece.first] <= at <= log.time_s[piece.last] for at in pulled):
                rest, held = PhaseKind.ENDED, None
            named.append(rest)
        else:
            named.append(PhaseKind.SUPPLY_LOST if piece.kind == "lost" else PhaseKind(piece.kind))
        if piece.kind not in ("off", "lost"):
            drawn_until = float(log.time_s[piece.last])
    return named


def find_outages(course: Course, marks: Iterable[EventMark] = ()) -> tuple[SupplyOutage, ...]:
    """Return the losses of the supply, with what follows another without a row between as one.

    Parameters
    ----------
    course : Course
        The phases.
    marks : iterable of EventMark
        What was marked: where a mark shows the loss, its interval bounds the beginning and the end.

    Returns
    -------
    tuple of SupplyOutage
        In order.
    """
    found: list[SupplyOutage] = []
    marked = marked_outages(marks)
    for before, span in pairwise([None, *course.spans]):
        if span is None or span.kind is not PhaseKind.SUPPLY_LOST:
            continue
        outage = _outage(span, marked)
        if found and before is not None and before.kind is PhaseKind.SUPPLY_LOST:
            shown = found[-1].shown_by if found[-1].shown_by == outage.shown_by else BY_VOLTAGE
            outage = SupplyOutage(
                start_s=found[-1].start_s,
                end_s=outage.end_s,
                start_bracket_s=found[-1].start_bracket_s,
                end_bracket_s=outage.end_bracket_s,
                shown_by=shown,
            )
            found.pop()
        found.append(outage)
    return tuple(found)


def _outage(span: Span, marked: tuple[MarkedOutage, ...]) -> SupplyOutage:
    start, end = span.start_bracket_s, span.end_bracket_s
    if span.shown_by == BY_MARKS:
        for outage in marked:
            if span.start_bracket_s[0] <= outage.begin_s[1] and outage.begin_s[0] <= span.end_bracket_s[1]:
                start = outage.begin_s
                end = outage.end_s or span.end_bracket_s
                break
    return SupplyOutage(
        start_s=0.5 * sum(start) if start[0] < start[1] else start[0],
        end_s=0.5 * sum(end) if end[0] < end[1] else end[0],
        start_bracket_s=start,
        end_bracket_s=end,
        shown_by=span.shown_by,
    )

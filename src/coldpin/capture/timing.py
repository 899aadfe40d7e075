"""The time between samples: from a time column, from what the file states, or by hand, each held against the other.

A time column is usually rounded, so its differences say little: the step comes from its whole span, or from
what the header states, and every row is held against equal steps within half of the last digit written.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.preamble import StatedStep
from coldpin.errors import CaptureError

JITTER = 0.01
"""The part of a step by which a row may be off beside the rounding of its time."""

SINGLE_PRECISION = 2.0**-23
"""Times computed in 32 bits are off by as much of their own size, however many digits are written."""

_WELL_KNOWN = 1e-5
_SEEN = 1e-3
_PART = 1 << 16


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeColumn:
    """A time column as read.

    ``times``: array of shape (n,). [s] ``place`` is the power of ten of the last digit written and ``digits`` the
    most significant digits written, both in the unit of the file, of which ``factor`` makes seconds.
    ``row`` gives the line of the file for an index; ``name`` is the column's.
    """

    times: NDArray[np.float64]
    place: int
    digits: int
    factor: float
    row: Callable[[int], int]
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """The time between samples and the time of the first one [s], where the step came from, and remarks."""

    step: float
    start: float
    origin: str
    remarks: tuple[str, ...] = ()


Refuse = Callable[[str, int | None], CaptureError]
"""Builds the error that names the file: what is wrong, and the line."""


def format_time(seconds: float) -> str:
    """Return a time with a unit that suits its size.

    Parameters
    ----------
    seconds : float
        The time. [s]

    Returns
    -------
    str
        Such as "2.0 µs", with up to five significant digits.

    Examples
    --------
    >>> format_time(2e-6), format_time(-0.0325), format_time(61.0)
    ('2 µs', '-32.5 ms', '61 s')
    """
    if seconds == 0.0:
        return "0 s"
    for factor, unit in ((1.0, "s"), (1e3, "ms"), (1e6, "µs"), (1e9, "ns")):
        if abs(seconds) * factor >= 1.0:
            return f"{seconds * factor:.5g} {unit}"
    return f"{seconds * 1e9:.5g} ns"


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """What a time column says of the step: the step, and half the width that its rounding allows. [s]

    ``allowed`` is by how much a row may be off beside its rounding, ``off`` by how much the worst one is off in all.
    """

    step: float
    half_width: float
    allowed: float
    off: float


def from_column(column: TimeColumn, refuse: Refuse) -> Span:
    """Return the step of a time column, after holding every row against equal steps.

    Parameters
    ----------
    column : TimeColumn
        The column.
    refuse : callable
        Builds an error that names the file.

    Returns
    -------
    Span
        The step and how well it is known.

    Raises
    ------
    CaptureError
        Fewer than two rows, a time missing, time that goes back or stands still, or uneven steps.
    """
    times = column.times
    if times.size < 2:
        raise refuse("one row of samples has no step: give --step or --rate, or export more rows", None)
    _check_order(column, refuse)
    span = float(times[-1] - times[0])
    if span <= 0.0:
        raise refuse(f"the time in column {column.name!r} stands still: give --step or --rate", column.row(0))
    step = float(f"{span / (times.size - 1):.12g}")
    largest = max(abs(float(times[0])), abs(float(times[-1])))
    allowed = max(JITTER * step, min(SINGLE_PRECISION * largest, 0.1 * step))
    ends = _rounding(times[[0, -1]], column)
    worst = 0.0
    for part in _parts(times.size):
        off = np.abs(times[part] - (times[0] + step * np.arange(part.start, part.stop)))
        worst = max(worst, float(off.max()))
        if float((off - _rounding(times[part], column)).max()) > allowed + ends[0]:
            raise _uneven(column, refuse)
    return Span(step=step, half_width=float(ends.sum()) / (times.size - 1), allowed=allowed, off=worst)


def _parts(size: int, overlap: int = 0) -> Iterator[slice]:
    """Cut an array into parts, so that what is computed of it never needs as much memory again."""
    for start in range(0, size, _PART):
        yield slice(start, min(start + _PART + overlap, size))


def _check_order(column: TimeColumn, refuse: Refuse) -> None:
    for part in _parts(column.times.size, overlap=1):
        times = column.times[part]
        lost = np.flatnonzero(~np.isfinite(times))
        if lost.size:
            raise refuse(
                f"the time in column {column.name!r} is missing; every row needs one: export the capture again, "
                "or give --step if the rows are evenly spaced",
                column.row(part.start + int(lost[0])),
            )
        steps = np.diff(times)
        back = np.flatnonzero(steps < 0.0)
        if back.size:
            at = int(back[0])
            raise refuse(
                f"time goes back by {format_time(-float(steps[at]))}; samples must be in order: "
                "export the capture again or cut it before this row",
                column.row(part.start + at + 1),
            )


def _rounding(times: NDArray[np.float64], column: TimeColumn) -> NDArray[np.float64]:
    """Half of the last digit each time was written to: fixed places, or as many digits as its size leaves."""
    size = np.abs(times) / column.factor
    with np.errstate(divide="ignore"):
        power = np.floor(np.log10(size)) - (column.digits - 1)
    place = np.maximum(power, float(column.place))
    rounding: NDArray[np.float64] = 0.5 * column.factor * 10.0**place + np.spacing(np.abs(times))
    return rounding


def _uneven(column: TimeColumn, refuse: Refuse) -> CaptureError:
    steps = np.diff(column.times)
    at = int(np.argmax(steps))
    return refuse(
        f"the rows are not evenly spaced: the largest gap is {format_time(float(steps[at]))} from row "
        f"{column.row(at)} to this row, where {format_time(float(np.median(steps)))} is usual; "
        "this is a log, not a waveform: export the samples themselves, or cut the file at the gap",
        column.row(at + 1),
    )


def settle(
    column: TimeColumn | None,
    *,
    by_hand: float | None,
    stated: StatedStep | None,
    refuse: Refuse,
    instead: str = "",
) -> Timing:
    """Return the time between samples from all that is known of it.

    By hand goes first, then what the file states, then the span of the time column. What the file states must
    agree with the span of the column within the rounding of both.

    Parameters
    ----------
    column : TimeColumn or None
        The time column, if there is one.
    by_hand : float or None
        The step a person or a dialect says. [s]
    stated : StatedStep or None
        The step the file states.
    refuse : callable
        Builds an error that names the file.
    instead : str
        What there is in place of a time column, for the message.

    Returns
    -------
    Timing
        The timing.

    Raises
    ------
    CaptureError
        There is no step, the column is not even, or the two disagree.
    """
    if column is None:
        return _without_column(by_hand, stated, refuse, instead)
    start = float(column.times[0])
    if by_hand is not None:
        start = start if math.isfinite(start) else 0.0
        return Timing(step=by_hand, start=start, origin="given by hand", remarks=_beside(column, by_hand, refuse))
    span = from_column(column, refuse)
    if stated is None:
        return Timing(step=span.step, start=start, origin="from the time column", remarks=_rounded(span))
    return _stated_beside(column, stated, span, refuse)


def _without_column(by_hand: float | None, stated: StatedStep | None, refuse: Refuse, instead: str) -> Timing:
    if by_hand is not None:
        return Timing(step=by_hand, start=0.0, origin="given by hand")
    if stated is not None:
        return Timing(step=stated.value, start=0.0, origin="from the header")
    raise refuse(
        f"there is no time column{instead} and the lines above the data state no time between samples: "
        "give --step or --rate, or name the column with --time",
        None,
    )


def _beside(column: TimeColumn, by_hand: float, refuse: Refuse) -> tuple[str, ...]:
    """Hold a step given by hand against the column; the hand wins, but a difference is said."""
    try:
        span = from_column(column, refuse)
    except CaptureError as error:
        return (f"the step given by hand was used although the time column says otherwise ({error})",)
    if abs(by_hand - span.step) <= span.half_width + span.allowed / (column.times.size - 1):
        return ()
    return (
        f"the step given by hand, {format_time(by_hand)}, is not that of the time column, {format_time(span.step)}",
    )


def _rounded(span: Span) -> tuple[str, ...]:
    if span.half_width <= _WELL_KNOWN * span.step or span.off <= _SEEN * span.step:
        return ()
    remark = (
        f"the time column is rounded: its span gives a step of {format_time(span.step)} "
        f"± {format_time(span.half_width)} (limits); --step gives a better known one"
    )
    return (remark,)


def _stated_beside(column: TimeColumn, stated: StatedStep, span: Span, refuse: Refuse) -> Timing:
    intervals = column.times.size - 1
    start = float(column.times[0])
    step = span.step
    apart = abs(stated.value - step)
    by_column = span.half_width + span.allowed / intervals
    if apart <= by_column:
        return Timing(step=stated.value, start=start, origin="from the header")
    if apart <= by_column + stated.half_width:
        remark = (
            f"line {stated.line} states a step of {format_time(stated.value)}, rounded; the time column says "
            f"{format_time(step)}, which was used"
        )
        return Timing(step=step, start=start, origin="from the time column", remarks=(remark,))
    raise refuse(
        f"line {stated.line} states a step of {format_time(stated.value)} ({stated.text[:80]!r}), but the time column "
        f"{column.name!r} spans {format_time(step * intervals)} in {intervals} steps, {format_time(step)} each: "
        "say which is right with --step, or check the unit of the time column",
        None,
    )

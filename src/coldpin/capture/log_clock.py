"""From the stamps of a log to a time that only rises: what is a setting of the clock, what an outage, and what is said.

A clock that is put back shows itself, for time does not run back. One that is put forward looks like an outage, and is
taken for one unless a person says otherwise.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import CaptureError
from coldpin.records.log import ClockStep

MINUTE = 60.0
HOUR = 3600.0
DAY = 86400.0

GAP_STEPS = 3.0
"""Ours: a step longer than this many usual ones is told as a gap; up to two a logger may miss by its own timing."""

MISPLACED_STEPS = 1.5
"""Ours: between one usual step, which a row in its place leaves, and two, which one taken away leaves."""

ALONE_STEPS = 2.5
"""Ours: a row of a wrong time leaves those beside it one usual step apart where it came from elsewhere, two where it
stands in its place; half a step more for uneven ones."""

FARTHEST = 100.0 * 365.0 * DAY
"""Ours: a century from the first row no log has gone; a logger whose clock was never set begins in 1970. [s]"""

_LISTED = 3

Refuse = Callable[[str, int], CaptureError]
"""Builds the error that names the file and the row, by its index."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """The time of each row, what was set at the clock, and what is to be said.

    ``time_s``: array of shape (n,), rising, from the first row. [s]
    """

    time_s: NDArray[np.float64]
    steps: tuple[ClockStep, ...]
    remarks: tuple[str, ...]


def settle_clock(
    stamps: NDArray[np.float64],
    *,
    resolution: float,
    by_hand: Mapping[int, float],
    line: Callable[[int], int],
    refuse: Refuse,
    midnight: bool = False,
    dated: bool = True,
) -> Clock:
    """Turn stamps into a time that rises.

    Parameters
    ----------
    stamps : ndarray
        Array of shape (n,), seconds from the first row by the clock as it showed. [s]
    resolution : float
        The last place to which they are written. [s]
    by_hand : mapping of int to float
        By how much the clock was put forward before a row, by the row's index, as far as a person said so. [s]
    line : callable
        From the index of a row to its line in the file.
    refuse : callable
        Builds the error that names a row.
    midnight : bool
        True for times of day, which begin anew each day.
    dated : bool
        True for a clock that people set; a count from the start of the log is not told of summer time.

    Returns
    -------
    Clock
        The time, the settings, the remarks.

    Raises
    ------
    CaptureError
        Rows are out of order, or a setting said by hand cannot be meant.

    Examples
    --------
    >>> stamps = np.array([0.0, 60.0, 120.0, -3420.0, -3360.0])
    >>> clock = settle_clock(stamps, resolution=1.0, by_hand={}, line=lambda row: row + 2, refuse=CaptureError)
    >>> clock.time_s.tolist(), clock.steps[0].seconds
    ([0.0, 60.0, 120.0, 180.0, 240.0], -3600.0)
    """
    far = np.abs(stamps) > FARTHEST
    if far.any():
        row = int(np.argmax(far))
        raise refuse(
            f"its time lies {_duration(abs(float(stamps[row])))} from that of the first row: mend the cell, or take "
            "the row out",
            row,
        )
    remarks: list[str] = []
    if midnight:
        stamps, days = _past_midnight(stamps)
        if days:
            remarks.append(f"the times of day begin anew {_times(days)}: taken for midnight")
    steps = np.diff(stamps)
    rising = steps[steps > 0.0]
    usual = float(np.median(rising)) if rising.size else resolution
    settings = _settings(stamps, steps, usual, by_hand, line, refuse)
    remarks += [_told(setting, stamps, usual, line, by_hand) for setting in settings[:_LISTED]]
    if len(settings) > _LISTED:
        remarks.append(f"settings of the clock besides these: {len(settings) - _LISTED}")
    time_s = stamps.copy()
    for setting in settings:
        time_s[setting.row :] -= setting.seconds
    remarks += _gap_remarks(time_s, usual, line, dated=dated and not midnight)
    time_s, same = _spread(time_s, resolution, usual)
    if same:
        remarks.append(
            f"rows with the time of the row above: {same}; spread evenly within the last place written "
            f"({_duration(resolution)})"
        )
    still = np.diff(time_s) <= 0.0
    if still.any():
        raise refuse(
            "its time differs from that of the row above by less than can be kept beside the length of the log: cut "
            "the log into shorter ones",
            int(np.argmax(still)) + 1,
        )
    return Clock(time_s=time_s, steps=settings, remarks=tuple(remarks))


def _past_midnight(stamps: NDArray[np.float64]) -> tuple[NDArray[np.float64], int]:
    """Count the days on where a time of day falls by more than half a day."""
    falls = np.diff(stamps) < -0.5 * DAY
    days = np.concatenate(([0.0], np.cumsum(falls)))
    return stamps + DAY * days, int(falls.sum())


def _settings(
    stamps: NDArray[np.float64],
    steps: NDArray[np.float64],
    usual: float,
    by_hand: Mapping[int, float],
    line: Callable[[int], int],
    refuse: Refuse,
) -> tuple[ClockStep, ...]:
    found: dict[int, float] = {}
    for row, seconds in by_hand.items():
        if not 0 < row < stamps.size:
            raise CaptureError(
                f"--clock-step names a row that is not there: give a line after the first row of {line(0)}"
            )
        if steps[row - 1] - seconds < 0.0:
            raise refuse(
                f"--clock-step says that the clock was put forward by {_duration(seconds)}, but the time would then go "
                f"back by {_duration(seconds - float(steps[row - 1]))}: say less",
                row,
            )
        found[row] = seconds
    for row in (np.flatnonzero(steps < 0.0) + 1).tolist():
        if row in found:
            continue
        ahead = row - 1
        if ahead not in found and _is_alone(stamps, ahead, usual):
            raise refuse(
                f"its time lies {_duration(abs(float(stamps[ahead] - stamps[row])))} after that of the row below, "
                "which goes on from the row above: one stamp is wrong, or the rows are out of order; mend the cell or "
                f"take the row out, or where the clock was put forward say --clock-step '{line(ahead)}=TIME'",
                ahead,
            )
        if row + 1 not in found and _is_alone(stamps, row, usual):
            raise refuse(
                f"its time lies {_duration(abs(float(stamps[row] - stamps[row + 1])))} before that of the row below, "
                "which goes on from the row above: one stamp is wrong, or the rows are out of order; mend the cell or "
                "take the row out",
                row,
            )
        if _is_misplaced(stamps, row, usual):
            raise refuse(
                "its time lies before that of the row above, and the row below goes on from there: the rows are out of "
                "order; sort them by time and read the log again",
                row,
            )
        found[row] = _put_back(float(steps[row - 1]), usual)
    return tuple(ClockStep(row=row, seconds=found[row]) for row in sorted(found))


def _is_misplaced(stamps: NDArray[np.float64], row: int, usual: float) -> bool:
    """Say whether a row that goes back is one out of order: without it the rows around it are a usual step apart."""
    if row + 1 >= stamps.size:
        return False
    around = float(stamps[row + 1] - stamps[row - 1])
    after = float(stamps[row + 1] - stamps[row])
    return 0.0 < around <= MISPLACED_STEPS * usual < after


def _is_alone(stamps: NDArray[np.float64], row: int, usual: float) -> bool:
    """Say whether a row's time is far from those on both sides, which are as near each other as rows are without it."""
    if not 0 < row < stamps.size - 1:
        return False
    before, at, after = (float(stamp) for stamp in stamps[row - 1 : row + 2])
    near = ALONE_STEPS * usual
    return 0.0 < after - before <= near < min(abs(at - before), abs(after - at))


def _put_back(step: float, usual: float) -> float:
    """Return by how much the clock was put forward (below zero) where the stamps go back.

    A whole number of hours where that leaves up to two usual steps between the rows, else what leaves one.
    """
    hours = np.floor(step / HOUR) * HOUR
    return float(hours) if 0.0 < step - hours <= 2.0 * usual < HOUR else step - usual


def _told(
    setting: ClockStep,
    stamps: NDArray[np.float64],
    usual: float,
    line: Callable[[int], int],
    by_hand: Mapping[int, float],
) -> str:
    row = setting.row
    if row in by_hand:
        return f"row {line(row)}: the clock was put forward by {_duration(setting.seconds)}, as was said by hand"
    left = float(stamps[row] - stamps[row - 1]) - setting.seconds
    about = "" if abs(setting.seconds % HOUR) else ", as at the end of summer time"
    return (
        f"row {line(row)}: the time goes back by {_duration(float(stamps[row - 1] - stamps[row]))}; taken for a "
        f"setting of the clock by {_duration(-setting.seconds)}{about}: the time goes on by {_duration(left)}, where "
        f"the usual step is {_duration(usual)}; how long it really took cannot be told"
    )


def _gap_remarks(time_s: NDArray[np.float64], usual: float, line: Callable[[int], int], *, dated: bool) -> list[str]:
    steps = np.diff(time_s)
    gaps = np.flatnonzero(steps > GAP_STEPS * usual)
    if not gaps.size:
        return []
    longest = int(gaps[np.argmax(steps[gaps])])
    told = (
        f"gaps longer than three usual steps of {_duration(usual)}: {gaps.size}, the longest "
        f"{_duration(float(steps[longest]))} before row {line(longest + 1)}"
    )
    remarks = [told]
    hours = gaps[np.abs(steps[gaps] - usual - HOUR) <= usual] if dated and 2.0 * usual < HOUR else gaps[:0]
    for gap in hours[:_LISTED].tolist():
        row = line(gap + 1)
        remarks.append(
            f"row {row}: the time jumps by an hour beside the usual step; kept as a gap. Where the clock was put "
            f"forward there (summer time), say --clock-step '{row}=1 h'"
        )
    return remarks


def _spread(time_s: NDArray[np.float64], resolution: float, usual: float) -> tuple[NDArray[np.float64], int]:
    """Spread rows of one time evenly over what its last place leaves open, but not beyond the next row."""
    same = np.diff(time_s) == 0.0
    count = int(same.sum())
    if not count:
        return time_s, 0
    firsts = np.flatnonzero(np.concatenate(([True], ~same)))
    sizes = np.diff(np.concatenate((firsts, [time_s.size])))
    ahead = np.concatenate((np.diff(time_s[firsts]), [usual]))
    room = np.minimum(ahead, resolution) if resolution > 0.0 else ahead
    group = np.repeat(np.arange(firsts.size), sizes)
    place = np.arange(time_s.size) - firsts[group]
    return time_s + place * room[group] / sizes[group], count


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _duration(seconds: float) -> str:
    """Return a time as people say it.

    >>> _duration(3600.0), _duration(95.0), _duration(0.5)
    ('1 h', '95 s', '0.5 s')
    """
    for size, unit in ((DAY, "d"), (HOUR, "h"), (MINUTE, "min")):
        if abs(seconds) >= 2.0 * size or (abs(seconds) >= size and seconds % size == 0.0):
            return f"{seconds / size:.4g} {unit}"
    return f"{seconds:.4g} s"

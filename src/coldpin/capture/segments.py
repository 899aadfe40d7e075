"""Stretches of equal steps in a record with several rates, or with gaps between its time stamps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.said import Said
from coldpin.capture.timing import JITTER, format_time
from coldpin.errors import AmbiguousDialect, CaptureError

FEWEST_STEPS = 2
"""Steps in a row that make a stretch; a single one is a gap."""

_LISTED = 1 << 4
"""Stretches listed in a question."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """A stretch of equal steps: its number from 1, its first and last sample from 0, its step [s] and times. [s]

    ``rate`` is the rate that the file states for it [Hz], None where only time stamps tell.
    """

    number: int
    first: int
    last: int
    step: float
    start: float
    end: float
    rate: float | None = None

    @property
    def samples(self) -> int:
        """How many samples it has."""
        return self.last - self.first + 1


def by_rates(times: NDArray[np.float64], rates: Sequence[tuple[float, int]]) -> tuple[Segment, ...]:
    """Return the stretches that a file's rates make; neighbours of one rate are one stretch.

    Parameters
    ----------
    times : NDArray
        Array of shape (n,), the time of each sample. [s]
    rates : sequence of tuple
        Rate [Hz] and number of the last sample, counted from 1.

    Returns
    -------
    tuple of Segment
        The stretches with samples in them.

    Examples
    --------
    >>> [(s.first, s.last, s.step) for s in by_rates(np.arange(6.0), [(10.0, 2), (5.0, 6)])]
    [(0, 1, 0.1), (2, 5, 0.2)]
    """
    bounds: list[tuple[float, int, int]] = []
    first = 0
    for rate, end in rates:
        if end <= first:
            continue
        if bounds and bounds[-1][0] == rate:
            bounds[-1] = (rate, bounds[-1][1], end - 1)
        else:
            bounds.append((rate, first, end - 1))
        first = end
    return tuple(
        _segment(number, first, last, 1.0 / rate, times, rate) for number, (rate, first, last) in enumerate(bounds, 1)
    )


def by_times(times: NDArray[np.float64], *, quantum: float) -> tuple[Segment, ...]:
    """Return the stretches in which time stamps are evenly spaced.

    A stretch ends where a step differs from the one before by more than the rounding of the stamps and a hundredth of a
    step on either side.

    Parameters
    ----------
    times : NDArray
        Array of shape (n,), the time stamps. [s]
    quantum : float
        What one step of a stamp's last digit is. [s]

    Returns
    -------
    tuple of Segment
        The stretches of at least two steps.

    Raises
    ------
    CaptureError
        Time goes back or stands still.

    Examples
    --------
    >>> stamps = np.array([0.0, 1.0, 2.0, 3.0, 9.0, 10.0, 11.0])
    >>> [(s.first, s.last) for s in by_times(stamps, quantum=1e-6)]
    [(0, 3), (4, 6)]
    """
    steps = np.diff(times)
    back = np.flatnonzero(~(steps > 0.0))
    if back.size:
        at = int(back[0])
        raise CaptureError(
            f"time goes back by {format_time(-float(steps[at]))} at sample {at + 2}; samples must be in order: export "
            "the record again"
        )
    if not steps.size:
        return ()
    apart = np.abs(np.diff(steps)) > 2.0 * (JITTER * np.minimum(steps[:-1], steps[1:]) + quantum)
    starts = np.concatenate(([0], np.flatnonzero(apart) + 1))
    ends = np.concatenate((starts[1:] - 1, [steps.size - 1]))
    found: list[Segment] = []
    for begin, end in zip(starts.tolist(), ends.tolist(), strict=True):
        first, last = begin, end + 1
        if found and found[-1].last == first:
            first += 1
        if end - begin + 1 >= FEWEST_STEPS and last - first >= FEWEST_STEPS:
            step = float(times[last] - times[first]) / (last - first)
            found.append(_segment(len(found) + 1, first, last, step, times, None))
    return tuple(found)


def _segment(
    number: int, first: int, last: int, step: float, times: NDArray[np.float64], rate: float | None
) -> Segment:
    return Segment(
        number=number, first=first, last=last, step=step, start=float(times[first]), end=float(times[last]), rate=rate
    )


def choose_segment(segments: Sequence[Segment], said: Said) -> tuple[Segment, tuple[str, ...]]:
    """Return the stretch that is meant, or raise with the list.

    Parameters
    ----------
    segments : sequence of Segment
        The stretches.
    said : Said
        What was said; it may name one by number.

    Returns
    -------
    tuple
        The stretch; a remark if there are others.

    Raises
    ------
    AmbiguousDialect
        There are several and none was named.
    CaptureError
        There is none, or not the one that was named.
    """
    if not segments:
        raise CaptureError(
            "its time stamps are nowhere evenly spaced, which a waveform needs: export the record with a fixed rate"
        )
    wanted = said.choices.segment or (said.base.segment if "segment" in said.kept else None)
    if wanted is None:
        if len(segments) == 1:
            return segments[0], ()
        raise AmbiguousDialect(
            f"it has {len(segments)} stretches of equal steps, and a waveform has one: {_listed(segments)}"
        )
    if wanted > len(segments):
        raise CaptureError(f"--segment {wanted} is not there; it has {_listed(segments)}")
    chosen = segments[wanted - 1]
    if len(segments) == 1:
        return chosen, ()
    others = sum(segment.samples for segment in segments) - chosen.samples
    remark = (
        f"read is stretch {wanted} of {len(segments)} with equal steps, {_told(chosen)}; "
        f"the {others} samples of the others were left out"
    )
    return chosen, (remark,)


def _listed(segments: Sequence[Segment]) -> str:
    told = "; ".join(f"--segment {segment.number} ({_told(segment)})" for segment in segments[:_LISTED])
    more = f"; and {len(segments) - _LISTED} more" if len(segments) > _LISTED else ""
    return told + more


def _told(segment: Segment) -> str:
    return (
        f"{segment.samples} samples, {1.0 / segment.step:.6g} a second, "
        f"{format_time(segment.start)} to {format_time(segment.end)}"
    )

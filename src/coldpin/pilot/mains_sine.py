"""A sine fitted to the mains that a channel shows, and where its samples leave that sine.

An opening is not seen at once: near a crossing rest and mains look alike, and a charge may decay from where the sine
was. A departure is bounded by the last sample that surely follows the sine and the first that surely does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coldpin.pilot.crossings import Indices, Numbers

THRESHOLD = 0.35
"""Ours: a sample beyond this part of the amplitude belongs to a half of the mains. [1]"""

BOUNCE = 20e-3
"""Ours: contacts may bounce for so long; an interruption that is shorter does not divide a live stretch. [s]"""

FITTED_SAMPLES = 1024
"""Ours: a sine is fitted to so many samples at most. [1]"""

CLIPPED_SHARE = 0.1
"""Ours: with more than this part of the samples at the ends of the instrument's range a channel was clipped. [1]"""

AGREES_NOISE = 5.0
AGREES_SHARE = 0.03
"""Ours: a sample agrees with the sine within this many standard deviations of the fit, or this part of the amplitude
where that is more: the mains is no clean sine."""

WORST_FIT = 0.15
"""Ours: a fit that leaves more than this part of the amplitude is none; the halves alone then bound the instants."""

LASTING = 0.5e-3
LASTING_SHARE = 0.7
"""Ours: a departure from the sine counts when this share of the samples of this time departs; a spike does not."""

RECONTACT = 4.0
"""Ours: contacts touched again where the voltage jumped back to the sine by this many times what agrees. [1]"""

_TIME_CONSTANTS = np.append(np.geomspace(0.2, 1e8, 200), np.inf)
"""Ours: a charge is tried with time constants a tenth apart, from one gone in a sample to one that stays. [samples]"""

_CLIPPED_HEIGHTS = np.linspace(0.7, 1.3, 13)
"""Ours: beyond the instrument's range the sine is carried on, and may be higher or lower by these factors. [1]"""

_TRIED = 12
_PASSED = 64
"""Ours: so many samples are tried before the distance between them is doubled; so many are compared for each."""

_HARMONICS = (3, 5, 7)
_ITERATIONS = 4
"""Ours: the mains has odd harmonics; its frequency is found in so many steps, each a hundred times closer."""


@dataclass(frozen=True, slots=True, eq=False)
class Sine:
    """A fitted sine with its harmonics: samples ``start:stop`` made it, ``tolerance`` is within what it holds. [V]"""

    start: int
    stop: int
    turns: float
    centre: float
    coefficients: Numbers
    orders: tuple[int, ...]
    tolerance: float

    def at(self, place: Indices) -> Numbers:
        """Return the sine at some samples.

        Parameters
        ----------
        place : NDArray[np.int64]
            Array of shape (m,), the places of the samples. [1]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (m,). [V]
        """
        value: Numbers = _columns(np.asarray(self.turns * (place - self.centre)), self.orders) @ self.coefficients
        return value


@dataclass(frozen=True, slots=True)
class Range:
    """Ends and middle of what a channel shows, and the amplitude of the mains in it. [V]"""

    lowest: float
    middle: float
    highest: float
    amplitude: float


def _columns(turn: Numbers, orders: tuple[int, ...]) -> Numbers:
    parts = [np.ones_like(turn)]
    for order in orders:
        parts += [np.cos(order * turn), np.sin(order * turn)]
    return np.stack(parts, axis=1)


def _least_squares(columns: Numbers, shown: Numbers) -> Numbers:
    """Solve the normal equations: a few columns of the same size, over a whole number of periods nearly orthogonal."""
    square = np.einsum("ij,ik->jk", columns, columns)
    solution: Numbers = np.linalg.lstsq(square, np.einsum("ij,i->j", columns, shown), rcond=None)[0]
    return solution


def fit_sine(voltage: Numbers, start: int, stop: int, period: float, *, ends: tuple[float, float]) -> Sine | None:
    """Fit a sine of unknown frequency, and its odd harmonics, to some samples.

    Samples at the ends of the instrument's range are left out where they are many: there the channel was clipped.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,). [V]
    start, stop : int
        First sample of the part, and one past the last.
    period : float
        The period as known so far, in samples. [1]
    ends : tuple of float
        The lowest and the highest voltage that the channel shows. [V]

    Returns
    -------
    Sine or None
        None where the samples are no such sine.

    Examples
    --------
    >>> sine = fit_sine(np.sin(2.0 * np.pi * np.arange(500) / 101.3), 0, 300, 100.0, ends=(-1.0, 1.0))
    >>> bool(abs(sine.at(np.array([400]))[0] - np.sin(2.0 * np.pi * 400 / 101.3)) < 1e-3)
    True
    """
    place = np.arange(start, stop, max(1, (stop - start) // FITTED_SAMPLES), dtype=np.int64)
    shown = voltage[place]
    present = np.isfinite(shown)
    clipped = present & ((shown >= ends[1]) | (shown <= ends[0]))
    is_clipped = clipped.mean() > CLIPPED_SHARE
    place, shown = place[present & ~clipped], shown[present & ~clipped]
    full = not is_clipped and period >= 4 * max(_HARMONICS) and stop - start > period
    orders = (1, *_HARMONICS) if full else (1,)
    if place.size < 4 * len(orders) + 4:
        return None
    centre, turns = 0.5 * (start + stop), 2.0 * np.pi / period
    along: Numbers = np.asarray(place - centre, dtype=np.float64)
    for _ in range(_ITERATIONS):
        columns = _columns(turns * along, orders)
        coefficients = _least_squares(columns, shown)
        slope = along * (coefficients[2] * columns[:, 1] - coefficients[1] * columns[:, 2])
        scale = float(np.abs(slope).max()) or 1.0
        more = _least_squares(np.column_stack((columns, slope / scale)), shown)
        turns += float(np.clip(more[-1] / scale, -0.1 * turns, 0.1 * turns))
    columns = _columns(turns * along, orders)
    coefficients = _least_squares(columns, shown)
    left = shown - columns @ coefficients
    deviation = float(left.std())
    amplitude = float(np.hypot(coefficients[1], coefficients[2]))
    if not deviation <= WORST_FIT * amplitude:
        return None
    tolerance = max(AGREES_NOISE * deviation, AGREES_SHARE * amplitude)
    return Sine(start, stop, turns, centre, coefficients.astype(np.float64), orders, tolerance)


def leave_sine(
    shown: Numbers, expected: Numbers, tolerance: float, range_: Range, interval: float, *, opening: bool
) -> tuple[tuple[int, int], tuple[int, int]] | None:
    """Return where samples first leave a sine they follow at the beginning, and where they leave it for good.

    Parameters
    ----------
    shown : NDArray[np.float64]
        Array of shape (n,), the samples, away from where the sine is followed. [V]
    expected : NDArray[np.float64]
        Array of shape (n,), the sine carried on. [V]
    tolerance : float
        Within which the two agree. [V]
    range_ : Range
        What the channel shows.
    interval : float
        Time between samples. [s]
    opening : bool
        Whether a charge may decay from where the sine is left: the samples then run forward in time.

    Returns
    -------
    tuple of tuple of int, or None
        Each a pair of places in ``shown``: the last that surely still follows, the first that surely does not. None
        where the sine is never left.

    Examples
    --------
    Contacts that open at sample 199 still show it; only sample 198 is surely before.

    >>> sine = 325.0 * np.cos(2.0 * np.pi * np.arange(400) / 200.0)
    >>> ends = Range(lowest=-325.0, middle=0.0, highest=325.0, amplitude=325.0)
    >>> leave_sine(np.where(np.arange(400) < 200, sine, 0.0), sine, 10.0, ends, 1e-4, opening=True)
    ((198, 200), (198, 200))
    """
    apart = np.abs(shown - np.clip(expected, range_.lowest, range_.highest))
    bad = apart > tolerance
    window = max(2, round(LASTING / interval))
    total = np.concatenate(([0], np.cumsum(bad), np.full(window, bad.sum())))
    # what does not last, for there are no more samples, is no departure: the last sample alone may be noise
    share = (total[window : window + bad.size] - total[: bad.size]) / window
    leaving = np.flatnonzero(bad & (share >= LASTING_SHARE))
    if not leaving.size:
        return None
    begin = int(leaving[0])
    height = np.abs(shown - range_.middle)
    reach = slice(begin, min(shown.size, begin + round(BOUNCE / interval)))
    lowest = np.fmin.accumulate(height[reach])
    again = (
        ~bad[reach]
        & (height[reach] > lowest + RECONTACT * tolerance)
        & (np.abs(expected[reach] - range_.middle) > 0.5 * THRESHOLD * range_.amplitude)
    )
    touched = np.flatnonzero(again)
    done = begin + int(touched[-1]) + 1 if touched.size else begin
    last_sure = _followed_until if opening else _rested_before
    first = (last_sure(shown, expected, tolerance, begin, window, range_), begin)
    if done == begin:
        return first, first
    last = min(done, shown.size - 1)
    return first, (max(begin, last_sure(shown, expected, tolerance, last, window, range_)), last)


def _rested_before(shown: Numbers, expected: Numbers, tolerance: float, begin: int, window: int, range_: Range) -> int:
    """Go back from rest towards the sine, in reversed time, as far as the two cannot be told apart."""
    after = np.arange(begin, min(shown.size, begin + max(3, window)))
    after = after[np.isfinite(shown[after])]
    rest = float(np.median(shown[after])) if after.size else np.nan
    sine = np.clip(expected[:begin], range_.lowest, range_.highest)
    # only a sample that follows the sine, where rest is elsewhere, is sure
    sure = np.flatnonzero((np.abs(shown[:begin] - sine) <= tolerance) & (np.abs(sine - rest) > 2.0 * tolerance))
    return int(sure[-1]) if sure.size else 0


def _followed_until(shown: Numbers, expected: Numbers, tolerance: float, begin: int, window: int, range_: Range) -> int:
    """Go back from a departure as far as an opening explains every sample since.

    After an opening a charge may decay from where the sine was then, with any time constant; one that decays at once is
    rest. An opening is possible at a sample if one of them passes within twice what agrees of all samples from there to
    a little after the departure. A sample off the sine proves nothing: a part of the charge may be gone at once, and
    the sine may come by where the rest of it stays, so that the departure does not last at first.
    """
    stop = min(shown.size, begin + max(3, window))
    off = np.abs(shown - np.clip(expected, range_.lowest, range_.highest)) > tolerance
    # beyond the instrument's range the mains and a charge look alike, unless what followed was rest at once
    alike = (expected > range_.highest + tolerance) | (expected < range_.lowest - tolerance)
    alike &= not abs(shown[begin] - range_.middle) <= 2.0 * tolerance
    earliest, stride = begin, 1
    while earliest > 0:
        tried = np.arange(earliest - 1, max(-1, earliest - 1 - _TRIED * stride), -stride)
        possible = [
            bool(off[place] or alike[place]) or _explains(shown, expected, tolerance, int(place), stop, range_)
            for place in tried
        ]
        if not all(possible):
            return int(tried[possible.index(False)])
        earliest, stride = int(tried[-1]), 2 * stride
    return 0


def _explains(shown: Numbers, expected: Numbers, tolerance: float, place: int, stop: int, range_: Range) -> bool:
    """Say whether a charge that decays from the sine at a sample passes all samples from the next on."""
    later = np.unique(np.linspace(place + 1, stop - 1, _PASSED).astype(np.int64))
    later = later[np.isfinite(shown[later])]
    height = expected[place] - range_.middle
    within = range_.lowest - tolerance <= expected[place] <= range_.highest + tolerance
    # a sine is less well known where the channel is clipped
    heights = height * (np.ones(1) if within else _CLIPPED_HEIGHTS)
    decay = np.exp(-(later - place)[None, :] / _TIME_CONSTANTS[:, None])
    charge = range_.middle + heights[:, None, None] * decay[None, :, :]
    apart = np.abs(np.clip(charge, range_.lowest, range_.highest) - shown[later])
    return bool((apart <= 2.0 * tolerance).all(axis=2).any())

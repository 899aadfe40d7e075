"""The output as mains: when a sine of 50 Hz or 60 Hz is there, told apart from rest, noise and stored charge.

Samples beyond a threshold make halves; halves that alternate in sign at the pace of the mains make a chain. A charge
that a capacitor keeps after the contacts have opened may be as high as the mains, but it does not alternate. Near its
zero crossings the mains is small and says nothing, so the instants of a chain's ends are found on a sine fitted to it:
an end lies where the samples leave the continued sine, and as far back as the two cannot be told apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from coldpin.pilot.crossings import Flags, Indices, Numbers
from coldpin.pilot.mains_sine import BOUNCE, THRESHOLD, Range, Sine, fit_sine, leave_sine
from coldpin.records.pilot import Bracket, LiveStretch

SLOWEST = 44.0
FASTEST = 66.0
"""Ours: mains of 50 Hz or 60 Hz lies between these, instruments and networks at their worst. [Hz]"""

LONGEST_GAP = 4.5e-3
"""Ours: the mains is below the threshold for 2.6 ms at most at each crossing; so long a gap parts two halves. [s]"""

LONGEST_HALF = 12e-3
"""Ours: what stays beyond the threshold on one side for longer is a stored charge, not a half of the mains. [s]"""

PLAUSIBLE = 0.6
"""Ours: halves that stay below this part of the amplitude, :data:`FEWEST_WEAK` in a row, are what couples across open
contacts: no supply falls so far and stays on, and contacts that part or touch cut two halves at most. [1]"""

FEWEST_WEAK = 3
"""Ours: one half may be cut by the switching, and one more by a bounce. [1]"""

QUIETED = 2e-3
"""Ours: mains deep in noise is looked for in means over this time, which take 2 % from its amplitude. [s]"""

FEWEST_HALVES = 4
FEWEST_IN_MEANS = 20
"""Ours: so many alternating halves in a row are needed to recognise the mains in a channel nobody described; more in
means, for slow noise that was averaged alternates at the pace of the mains here and there. [1]"""

CLEAR_FROM = 5
"""Ours: from a chain of more halves two are left out of the fit beside the switching, else one. [1]"""

_BLOCK = 1.0 / SLOWEST
_BLOCK_SAMPLES = 128
"""Ours: the amplitude is looked for in blocks of a period, thinned out to so many samples."""

_OUTER = 0.1
_OUTER_OF_SINE = 0.951
"""A sine's tenth and ninetieth percentile lie at cos(0.1 π) of its amplitude. [1]"""

FITTED_PERIODS = 5
"""Ours: the sine is fitted to so many periods at most: more would only average over drift. [1]"""

_COARSE = 0.55
"""Ours: without a fit an instant may lie anywhere in a half and the gap beside it: this part of a period. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Halves:
    """Stretches of samples beyond the threshold on one side of the middle, in order; every array of shape (h,)."""

    first: Indices
    last: Indices
    positive: Flags


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MainsTrace:
    """What is known of a channel that may show mains.

    ``middle`` and ``amplitude`` are in volts as read, ``lowest`` and ``highest`` the ends of what it shows [V];
    ``chains`` holds the first and the last half of each chain.
    """

    voltage: Numbers
    interval: float
    middle: float
    amplitude: float
    lowest: float
    highest: float
    halves: Halves
    chains: tuple[tuple[int, int], ...]

    def recognised(self, fewest: int = FEWEST_HALVES) -> bool:
        """Say whether the channel shows mains beyond doubt.

        Parameters
        ----------
        fewest : int
            How many halves in a row are needed. [1]

        Returns
        -------
        bool
            True where a chain is long enough and has the pace of the mains.
        """
        return any(last - first + 1 >= fewest and self._has_pace_of_mains(first, last) for first, last in self.chains)

    def _has_pace_of_mains(self, first: int, last: int) -> bool:
        return 1.0 / FASTEST <= self._period(first, last) <= 1.0 / SLOWEST

    def _period(self, first: int, last: int) -> float:
        starts = self.halves.first[first : last + 1]
        if starts.size < 2:
            return _BLOCK
        # the first half may have been cut short by the closing
        steps = np.diff(starts[1:]) if starts.size > 3 else np.diff(starts)
        return 2.0 * float(np.median(steps)) * self.interval

    def stretches(self) -> tuple[LiveStretch, ...]:
        """Return when the mains was there.

        Returns
        -------
        tuple of LiveStretch
            In order of time.
        """
        return tuple(self._stretch(group) for group in self._groups())

    def _groups(self) -> list[list[tuple[int, int]]]:
        """Join chains parted by no more than a bounce, or by samples that are missing; noise has not their pace."""
        groups: list[list[tuple[int, int]]] = []
        longest = round(LONGEST_HALF / self.interval)
        for chain in self.chains:
            if chain[1] - chain[0] + 1 >= FEWEST_HALVES and not self._has_pace_of_mains(*chain):
                continue
            if groups:
                half = groups[-1][-1][1]
                # what lasts longer than a half is a charge: it says nothing of the contacts until they close again
                from_ = min(int(self.halves.last[half]), int(self.halves.first[half]) + longest)
                to = int(self.halves.first[chain[0]])
                missing = int(np.isnan(self.voltage[from_ : to + 1]).sum())
                if (to - from_ - missing) * self.interval <= BOUNCE:
                    groups[-1].append(chain)
                    continue
            groups.append([chain])
        return groups

    def _stretch(self, group: list[tuple[int, int]]) -> LiveStretch:
        long_enough = [chain for chain in group if chain[1] - chain[0] >= 3] or group
        closing = self._end(group[0], long_enough[0], forward=False)
        opening = self._end(group[-1], long_enough[-1], forward=True)
        return LiveStretch(
            first_contact_s=None if closing is None else closing[1],
            closed_s=None if closing is None else closing[0],
            first_break_s=None if opening is None else opening[0],
            opened_s=None if opening is None else opening[1],
        )

    def _end(self, outer: tuple[int, int], fitted: tuple[int, int], *, forward: bool) -> tuple[Bracket, Bracket] | None:
        """Return the end nearest to the fitted chain and the outermost one, or None where the capture ends live."""
        period = self._period(*fitted)
        sine = self._sine(fitted, period, forward=forward)
        found = None if sine is None else self._departure(sine, outer, period, forward=forward)
        if found is None:
            coarse = self._coarse(outer, period, forward=forward)
            return None if coarse is None else (coarse, coarse)
        if found == _NEVER:
            return None
        return self._covering(found[0]), self._covering(found[1])

    def _coarse(self, chain: tuple[int, int], period: float, *, forward: bool) -> Bracket | None:
        halves, reach = self.halves, _COARSE * period
        if forward:
            half = chain[1]
            early = float(halves.first[half]) * self.interval
            late = min(early, float(halves.last[half]) * self.interval) + reach
            return None if late >= (self.voltage.size - 1) * self.interval else (early, late)
        half = chain[0]
        touching = half > 0 and (halves.first[half] - halves.last[half - 1]) * self.interval <= LONGEST_GAP
        before = float(halves.last[half - 1] if touching else halves.last[half]) * self.interval - reach
        return None if before <= 0.0 else (before, float(halves.first[half]) * self.interval)

    def _sine(self, chain: tuple[int, int], period: float, *, forward: bool) -> Sine | None:
        """Fit the sine near one end of a chain, clear of the halves that the switching may have cut."""
        halves = self.halves
        first, last = chain
        if last - first < 3:
            return None
        clear = 2 if last - first >= CLEAR_FROM else 1
        span = round(FITTED_PERIODS * period / self.interval)
        if forward:
            stop = int(halves.last[last - clear])
            start = max(int(halves.first[first + 1]), stop - span)
        else:
            start = int(halves.first[first + clear])
            stop = min(int(halves.last[last - 1]), start + span)
        return fit_sine(self.voltage, start, stop + 1, period / self.interval, ends=(self.lowest, self.highest))

    def _departure(
        self, sine: Sine, outer: tuple[int, int], period: float, *, forward: bool
    ) -> tuple[Bracket, Bracket] | None:
        around = round(1.5 * period / self.interval)
        size = self.voltage.size
        if forward:
            start, stop = sine.stop - around // 4, min(size, int(self.halves.last[outer[1]]) + around)
            place = np.arange(start, stop)
        else:
            start, stop = max(0, int(self.halves.first[outer[0]]) - around), sine.start + around // 4
            place = np.arange(stop - 1, start - 1, -1)
        shown = self.voltage[place]
        range_ = Range(self.lowest, self.middle, self.highest, self.amplitude)
        expected = sine.at(place)
        found = leave_sine(shown, expected, sine.tolerance, range_, self.interval, opening=forward)
        if found is None:
            at_edge = stop == size if forward else start == 0
            return _NEVER if at_edge else None
        begin, done = (
            tuple(sorted((float(place[low]) * self.interval, float(place[high]) * self.interval)))
            for low, high in found
        )
        return (begin[0], begin[1]), (done[0], done[1])

    def _covering(self, bracket: Bracket) -> Bracket:
        """Widen a bracket over samples that are missing beside it: what happened there was not seen."""
        low, high = round(bracket[0] / self.interval), round(bracket[1] / self.interval)
        if np.isnan(self.voltage[max(0, low - 1) : high + 2]).any():
            before = np.flatnonzero(np.isfinite(self.voltage[: max(1, low)]))
            after = np.flatnonzero(np.isfinite(self.voltage[high + 1 :]))
            low = int(before[-1]) if before.size else 0
            high = high + 1 + int(after[0]) if after.size else self.voltage.size - 1
        return low * self.interval, high * self.interval


_NEVER: tuple[Bracket, Bracket] = ((-1.0, -1.0), (-1.0, -1.0))


def mains_trace(voltage: Numbers, interval: float) -> MainsTrace:
    """Look for mains in a channel.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), the second channel as read, NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]

    Returns
    -------
    MainsTrace
        Halves and chains; both are empty where nothing alternates.

    Examples
    --------
    >>> time = np.arange(3000) * 1e-4
    >>> live = (time > 0.1) & (time < 0.2)
    >>> trace = mains_trace(np.where(live, 325.0 * np.sin(2 * np.pi * 50.0 * time), 0.0), 1e-4)
    >>> (stretch,) = trace.stretches()
    >>> stretch.closed_s[0] <= 0.1 <= stretch.closed_s[1] and stretch.opened_s[0] <= 0.2 <= stretch.opened_s[1]
    True
    """
    middle, amplitude = _swing(voltage, interval)
    halves = _find_halves(voltage - middle, amplitude, interval)
    return MainsTrace(
        voltage=voltage,
        interval=interval,
        middle=middle,
        amplitude=amplitude,
        lowest=float(np.nanmin(voltage)),
        highest=float(np.nanmax(voltage)),
        halves=halves,
        chains=_find_chains(halves, interval),
    )


def _swing(voltage: Numbers, interval: float) -> tuple[float, float]:
    """Return middle and amplitude of the widest alternation, spikes set aside. [V]"""
    block = max(4, round(_BLOCK / interval))
    stride = max(1, block // _BLOCK_SAMPLES)
    thin = voltage[::stride]
    length = max(4, block // stride)
    count = thin.size // length
    cut = thin[: count * length].reshape(count, length) if count else thin[None, :]
    cut = cut[np.isfinite(cut).all(axis=1)]
    if not cut.size:
        return 0.0, 0.0
    low, high = np.quantile(cut, (_OUTER, 1.0 - _OUTER), axis=1)
    swing = 0.5 * (high - low) / _OUTER_OF_SINE
    wide = swing >= 0.5 * swing.max()
    return float(np.median(0.5 * (high + low)[wide])), float(np.median(swing[wide]))


def in_means(voltage: Numbers, interval: float) -> tuple[Numbers, float]:
    """Return means over :data:`QUIETED`, in which noise is less, and the time between them.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]

    Returns
    -------
    tuple of NDArray[np.float64] and float
        The means, array of shape (m,) [V], and the time between them [s].

    Examples
    --------
    >>> in_means(np.array([1.0, 3.0, 5.0, 7.0]), 1e-3)
    (array([2., 6.]), 0.002)
    """
    length = max(1, round(QUIETED / interval))
    count = voltage.size // length
    return voltage[: count * length].reshape(count, length).mean(axis=1), length * interval


def _find_halves(voltage: Numbers, amplitude: float, interval: float) -> Halves:
    # a missing sample compares false
    height = np.abs(voltage)
    beyond = np.flatnonzero(height >= THRESHOLD * amplitude) if amplitude > 0.0 else np.empty(0, np.int64)
    if not beyond.size:
        nothing = np.empty(0, np.int64)
        return Halves(first=nothing, last=nothing, positive=np.empty(0, np.bool_))
    positive = voltage[beyond] > 0.0
    parted = (positive[1:] != positive[:-1]) | (np.diff(beyond) * interval > LONGEST_GAP)
    bound = np.concatenate(([0], np.flatnonzero(parted) + 1, [beyond.size]))
    kept = _plausible(np.maximum.reduceat(height[beyond], bound[:-1]) >= PLAUSIBLE * amplitude)
    return Halves(first=beyond[bound[:-1]][kept], last=beyond[bound[1:] - 1][kept], positive=positive[bound[:-1]][kept])


def _plausible(high: Flags) -> Flags:
    """Return which halves belong to the mains: all but those of low ones in a row that are too many to be cut ones."""
    turns = np.flatnonzero(np.concatenate(([True], high[1:] != high[:-1])))
    length = np.diff(np.concatenate((turns, [high.size])))
    kept: Flags = np.repeat(high[turns] | (length < FEWEST_WEAK), length)
    return kept


def _find_chains(halves: Halves, interval: float) -> tuple[tuple[int, int], ...]:
    if halves.first.size < 2:
        return ()
    short = (halves.last - halves.first) * interval <= LONGEST_HALF
    linked = (
        (halves.positive[1:] != halves.positive[:-1])
        & ((halves.first[1:] - halves.last[:-1]) * interval <= LONGEST_GAP)
        & short[:-1]
    )
    padded = np.concatenate(([False], linked, [False]))
    first = np.flatnonzero(padded[1:] & ~padded[:-1])
    last = np.flatnonzero(padded[:-1] & ~padded[1:])
    # a burst of noise alternates too, but not for so long
    lasting = (halves.last[last] - halves.first[first]) * interval >= LONGEST_HALF
    return tuple(zip(first[lasting].tolist(), last[lasting].tolist(), strict=True))

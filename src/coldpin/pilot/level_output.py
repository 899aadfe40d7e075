"""The output as a d.c. level or as the trace of a relay's coil: when it is up."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from coldpin.pilot.crossings import Indices, Numbers
from coldpin.pilot.mains_sine import BOUNCE
from coldpin.records.pilot import Bracket, LiveStretch

LEAST_LEVEL = 1.0
"""Ours: a level that never changes is up from this voltage on: between the low of the lowest logic and its high. [V]"""

UP = 0.5
COIL_UP = 0.25
"""Ours: a level is up beyond this part of its height; a coil that is held with less than it was pulled with, too."""

LEAST_DROP = 0.02
MOST_DROP = 0.1
DROP_NOISE = 8.0
"""Ours: a level begins to fall where it is lower by this part of its height, or so many standard deviations of its
noise between them: a capacitor may keep it up for long after the contacts have opened."""

HIGH_NOISE = 6.0
"""Ours: noise lifts no sample of a million by more than this many of its standard deviations. [1]"""

LONGEST_GAP = 25e-3
"""Ours: a gap this short does not end a level: a photocoupler on the mains pauses at every crossing, a coil may be
switched fast to save power, contacts bounce. [s]"""

USUAL = 0.9
"""Ours: gaps as long as this share of all are usual; what lies beyond the last pulse by less is not seen. [1]"""

_BLOCK = 1e-3
_LASTING = 5e-3
"""Ours: a level is looked for in blocks of 1 ms, and counts where it lasts for this time. [s]"""

_OUTER = 0.1
_SWING_NOISE = 3.0
"""Ours: two levels are two where they are this many spans of the noise (from its lowest to its highest tenth) apart."""

_LEAST_SAMPLES = 16
"""Ours: a block holds so many samples at least, whatever its time."""


def level_height(voltage: Numbers, interval: float, *, coil: bool = False) -> tuple[float, float]:
    """Return the level at rest and when up.

    A level is what most samples of a block show, a coil's what the highest tenth does, for it may be switched fast; it
    counts where it lasts.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]
    coil : bool
        Whether this is a coil.

    Returns
    -------
    tuple of float
        Rest and up; equal where there is one level only. [V]

    Examples
    --------
    >>> level_height(np.repeat([0.1, 5.0, 0.1], 1000), 1e-4)
    (0.1, 5.0)
    """
    present = voltage[np.isfinite(voltage)]
    if not present.size:
        return 0.0, 0.0
    length = min(max(_LEAST_SAMPLES, round(_BLOCK / interval)), present.size)
    blocks = present[: present.size // length * length].reshape(-1, length)
    low, middle, high = np.quantile(blocks, (_OUTER, 0.5, 1.0 - _OUTER), axis=1)
    noise = float(np.median(high - low))
    step = interval * length
    # the kick of a coil that lets go is soon over
    wanted = LONGEST_GAP if coil else _LASTING
    bottom = -_lasting(-middle, step, wanted)
    top = _lasting(high if coil else middle, step, wanted)
    half = 0.5 * (bottom + top)
    above, below = present[present > half], present[present <= half]
    if not (above.size and below.size) or top - bottom <= _SWING_NOISE * noise:
        only = float(np.median(present))
        return only, only
    lower, upper = float(np.median(below)), float(np.median(above))
    # the level farther from zero is the one that is up
    return (lower, upper) if abs(upper) >= abs(lower) else (upper, lower)


def _lasting(levels: Numbers, step: float, seconds: float) -> float:
    """Return the highest level that the blocks of some time in a row reach: noise reaches high here and there."""
    kept = levels
    for shift in range(1, min(levels.size, max(1, round(seconds / step)))):
        kept = np.minimum(kept[:-1], levels[shift:])
    return float(kept.max())


def level_stretches(
    voltage: Numbers, interval: float, *, rest: float, up: float, coil: bool
) -> tuple[LiveStretch, ...]:
    """Return when a level was up.

    The level falls from the instant the contacts open; where a capacitor lets it fall slowly, the first tenth of the
    fall is carried back in a straight line, which an exponential never outruns.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), NaN where a sample is missing. [V]
    interval : float
        Time between samples. [s]
    rest, up : float
        The two levels. [V]
    coil : bool
        Whether this is a coil, which may be held with less than it was pulled with and falls fast.

    Returns
    -------
    tuple of LiveStretch
        In order of time; none where the two levels are equal.

    Examples
    --------
    >>> voltage = np.repeat([0.0, 5.0, 0.0], [1000, 2000, 1000])
    >>> (stretch,) = level_stretches(voltage, 1e-4, rest=0.0, up=5.0, coil=False)
    >>> [round(edge, 4) for edge in (*stretch.closed_s, *stretch.opened_s)]
    [0.0999, 0.1, 0.2999, 0.3]
    """
    if up == rest:
        return ()
    part = (voltage - rest) / (up - rest)
    is_up = np.flatnonzero(part >= (COIL_UP if coil else UP))
    if not is_up.size:
        return ()
    gaps = np.diff(is_up)
    parted = np.flatnonzero(gaps * interval > LONGEST_GAP)
    parted = parted[[not _missing(voltage, int(is_up[at]), int(is_up[at + 1]), interval) for at in parted]]
    bound = np.concatenate(([0], parted + 1, [is_up.size]))
    return tuple(_stretch(part, is_up[first:stop], interval, coil=coil) for first, stop in pairwise(bound.tolist()))


def _missing(voltage: Numbers, first: int, last: int, interval: float) -> bool:
    """Say whether a gap is one of samples rather than of voltage."""
    gap = voltage[first + 1 : last]
    return bool((gap.size - int(np.isnan(gap).sum())) * interval <= LONGEST_GAP)


def _stretch(part: Numbers, up: Indices, interval: float, *, coil: bool) -> LiveStretch:
    bounce = round(BOUNCE / interval)
    first, last = int(up[0]), int(up[-1])
    inner, pauses = _pauses(part, up)
    # a level that pauses all along: what happens within a pause is not seen
    inside = (inner > first + bounce) & (inner < last - bounce)
    pause = int(np.quantile(pauses[inside], USUAL, method="higher")) if inside.sum() > (last - first) // bounce else 1
    odd = pauses > pause
    early, late = odd & (inner - first <= bounce), odd & (last - inner <= bounce)
    settled = int((inner + pauses)[early][-1]) if early.any() else first
    let_go = int(inner[late][0]) if late.any() else last
    began, ended = first <= pause - 1, last + pause >= part.size
    return LiveStretch(
        first_contact_s=None if began else _rise(part, first, pause, interval),
        closed_s=None if began else _rise(part, settled, pause, interval),
        first_break_s=None if ended else _fall(part, let_go, pause, interval, coil=coil),
        opened_s=None if ended else _fall(part, last, pause, interval, coil=coil),
    )


def _pauses(part: Numbers, up: Indices) -> tuple[Indices, Indices]:
    """Return the last samples before the pauses of a stretch, and how long each is.

    A pause falls all the way: noise on a level that sinks past the middle does not.
    """
    gaps = np.diff(up)
    inner, length = up[:-1][gaps > 1], gaps[gaps > 1]
    resting = np.concatenate(([0], np.cumsum(part[up[0] : up[-1] + 1] <= MOST_DROP)))
    from_ = inner - up[0]
    falls = resting[from_ + length] > resting[from_]
    return inner[falls], length[falls]


def _rise(part: Numbers, at: int, pause: int, interval: float) -> Bracket:
    begin = max(0, at - round(BOUNCE / interval) - 1)
    at_rest = np.flatnonzero(part[begin:at] <= MOST_DROP)
    before = begin + int(at_rest[-1]) if at_rest.size else at - 1
    return max(0, min(before, at - pause)) * interval, at * interval


def _fall(part: Numbers, at: int, pause: int, interval: float, *, coil: bool) -> Bracket:
    """Return when the level left its height, before it fell below the middle after sample ``at``."""
    seen = np.flatnonzero(np.isfinite(part[at + 1 :]))
    after = at + 1 + (int(seen[0]) if seen.size else 0)
    if coil or pause > 1:
        return at * interval, max(after, at + pause) * interval
    begin = max(0, at - round(1.0 / interval))
    before = part[begin : at + 1]
    usual = part[max(0, at - 2 * round(1.0 / interval)) : at + 1]
    height = float(np.nanmedian(usual[usual >= 1.0 - MOST_DROP])) if (usual >= 1.0 - MOST_DROP).any() else 1.0
    noise = float(np.nanmedian(np.abs(np.diff(usual)))) if usual.size > 1 else 0.0
    drop = min(MOST_DROP, max(LEAST_DROP, DROP_NOISE * noise))
    high = np.flatnonzero(before >= height * (1.0 - drop))
    if not high.size:
        return begin * interval, after * interval
    left = begin + int(high[-1])
    if left >= at:
        return at * interval, after * interval
    slope = (height * (1.0 - drop) - float(part[at])) / (at - left)
    # the last sample that is high may owe it to its noise
    back = (height * drop + HIGH_NOISE * noise) / slope if slope > 0.0 else 0.0
    return max(0.0, left - back) * interval, (left + 1) * interval

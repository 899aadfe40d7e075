"""The plan of a capture: everything that must be the same for all its parts, fixed before the first is read."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.pilot.crossings import SHORTEST_HALF
from coldpin.pilot.cycles import BLOCK, LEAD, LONGEST_HALF, LONGEST_SETTLING, SETTLED_HALF, SETTLING
from coldpin.pilot.scale import NOISE_SAMPLES, Scale, scale_of
from coldpin.pilot.states import SHORTEST_RUN, SHORTEST_RUN_SHARE, Windows
from coldpin.pilot.stream.counts import MISSING, as_counts, counted_scale, is_stored_small
from coldpin.records.samples import SampleSource

PAGE_BLOCKS = 1 << 8
"""Ours: blocks of 1 ms in a page, the stretch whose cycles are summed up together: about a quarter of a second."""

MOST_BATCHES = 1 << 10
"""Ours: the periods of a capture are kept in about so many batches at most, however long it is."""

NOISE_PIECES = 1 << 6
"""Ours: noise and step are taken from so many pieces, spread evenly: a quiet beginning must not speak for all."""

HEAD_AND_TAIL = 4
"""How many times the longest half a result can reach: a crossing back to where the band was left, the chatter it
belongs to, and the two halves of a cycle."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Plan:
    """What every part of one capture is read with.

    A count c stands for ``gain * c + zero`` [V], ``origin`` is the count of 0 V. The signal is above the band where
    ``c > over`` and below it where ``c < under``; ``below`` is the last count under 0 V, ``above`` the first over it.
    ``band`` is how far the counts of a plateau may lie apart before it is looked at more closely, as one is that holds
    counts at or beyond ``lowest`` or ``highest``: these are missing or beyond the instrument's range.

    The rest are numbers of samples: ``glitch`` the shortest half of a cycle, ``longest`` the longest; ``settling``,
    ``longest_settling`` and ``lead`` what is left out of a half; ``short`` the halves whose drift is looked at;
    ``block`` a steady block, ``page`` a page, ``reach`` how far from a place samples can still matter,
    ``shortest_run`` the shortest run. ``batch`` pages make a batch.
    """

    samples: int
    scale: Scale
    windows: Windows
    small: bool
    gain: float
    zero: float
    origin: float
    over: int
    under: int
    below: int
    above: int
    band: int
    lowest: int
    highest: int
    glitch: int
    longest: int
    settling: int
    longest_settling: int
    lead: int
    short: int
    block: int
    page: int
    reach: int
    shortest_run: float
    batch: int

    @property
    def pages(self) -> int:
        """The number of pages of the whole capture; the last may be shorter."""
        return -(-self.samples // self.page)

    def window(self, page: int, stop: int) -> tuple[int, int]:
        """Return the samples that pages need.

        Parameters
        ----------
        page : int
            The first page.
        stop : int
            One past the last page.

        Returns
        -------
        tuple of int
            First sample, and one past the last.
        """
        return max(0, page * self.page - self.reach), min(self.samples, stop * self.page + self.reach)


def plan_of(
    *,
    samples: int,
    scale: Scale,
    windows: Windows,
    stored: np.dtype[Any] | type,
    gain: float = 1.0,
    zero: float = 0.0,
    overload: tuple[int, int] | None = None,
    page: int | None = None,
) -> Plan:
    """Return the plan of a capture.

    Parameters
    ----------
    samples : int
        Number of samples of the whole. [1]
    scale : Scale
        The scale of the whole.
    windows : Windows
        The windows states are told by.
    stored : numpy.dtype
        The stored type.
    gain : float
        Volts for one stored step. [V]
    zero : float
        Volts of a stored 0. [V]
    overload : tuple of int or None
        The stored values at and beyond which a sample is beyond the instrument's range.
    page : int or None
        Samples of a page, a multiple of a block of 1 ms; None for about a quarter of a second. [1]

    Returns
    -------
    Plan
        Thresholds in counts, times in samples.

    Examples
    --------
    >>> from coldpin.standards import Edition, load_book
    >>> from coldpin.pilot.states import windows_of
    >>> scale = Scale(interval=1e-6, noise=0.02, step=0.0, hysteresis=0.2, spread=0.1)
    >>> plan = plan_of(
    ...     samples=10**9, scale=scale, windows=windows_of(load_book(), Edition.IEC_3), stored=np.int16, gain=5e-4
    ... )
    >>> plan.over, plan.under, plan.longest, plan.page, plan.pages, plan.reach
    (399, -399, 5000, 256000, 3907, 20061)
    """
    dtype = np.dtype(stored)
    small = is_stored_small(dtype, gain)
    step, rest = counted_scale(dtype, gain, zero)
    origin = -rest / step
    limits = np.iinfo(np.int16 if small else np.int32)
    interval = scale.interval
    block = max(1, scale.count(BLOCK))
    longest = math.floor(LONGEST_HALF / interval * (1.0 + 1e-9))
    glitch = scale.count(SHORTEST_HALF)
    size = page or block * PAGE_BLOCKS
    lowest, highest = ends_of(overload, gain)

    def counted(volts: float) -> float:
        return min(max((volts - rest) / step, float(limits.min)), float(limits.max))

    return Plan(
        samples=samples,
        scale=scale,
        windows=windows,
        small=small,
        gain=step,
        zero=rest,
        origin=origin,
        over=max(limits.min, math.ceil(counted(scale.hysteresis)) - 1),
        under=min(limits.max, math.floor(counted(-scale.hysteresis)) + 1),
        below=math.ceil(origin) - 1,
        above=math.floor(origin) + 1,
        band=math.floor(2.0 * scale.spread / step * (1.0 + 1e-9)),
        lowest=lowest,
        highest=highest,
        glitch=glitch,
        longest=longest,
        settling=scale.count(SETTLING),
        longest_settling=scale.count(LONGEST_SETTLING),
        lead=scale.count(LEAD),
        short=scale.count(LONGEST_SETTLING / SETTLED_HALF),
        block=block,
        page=size,
        reach=HEAD_AND_TAIL * (longest + glitch) + 1,
        shortest_run=min(SHORTEST_RUN / interval, SHORTEST_RUN_SHARE * samples) * (1.0 - 1e-9),
        batch=max(1, -(-samples // size) // MOST_BATCHES),
    )


def ends_of(overload: tuple[int, int] | None, gain: float) -> tuple[int, int]:
    """Return the counts at and beyond which a sample has no level.

    Parameters
    ----------
    overload : tuple of int or None
        The same in stored values, lower first.
    gain : float
        Volts for one stored step. [V]

    Returns
    -------
    tuple of int
        Lower and upper count; where nothing is told only the count of a missing sample is beyond.

    Examples
    --------
    >>> ends_of((-32768, 32767), -1e-3), ends_of(None, 1.0)
    ((-32767, 32768), (-2147483648, 2147483648))
    """
    if overload is None:
        return MISSING, -MISSING
    return overload if gain > 0.0 else (-overload[1], -overload[0])


def source_scale(source: SampleSource, resolution: float | None, *, progress: Callable[[float], None]) -> Scale:
    """Return the scale of a capture that stays where it is, from pieces spread over all of it.

    Parameters
    ----------
    source : SampleSource
        The capture.
    resolution : float or None
        One step of the instrument, if known. [V]
    progress : callable
        Is told the part done, 0 to 1, where all of the capture must be gone through.

    Returns
    -------
    Scale
        Noise, step, hysteresis and spread.

    Raises
    ------
    InputError
        The capture has no samples, or fewer than it told, or its interval is not a positive time.
    """
    if source.samples <= 0:
        raise InputError(
            "the capture has no samples; a pilot needs at least one: check the file and the columns chosen"
        )
    if not 0.0 < source.sample_interval < math.inf:
        raise InputError(
            f"the capture's sample interval is {source.sample_interval:g} s; it must be a positive time: give it "
            "with --step or --rate"
        )
    length = min(source.samples, NOISE_SAMPLES // NOISE_PIECES)
    starts = np.linspace(0, source.samples - length, NOISE_PIECES).astype(np.int64)
    if source.samples <= NOISE_SAMPLES:
        starts, length = np.zeros(1, np.int64), source.samples
    pieces = np.zeros((starts.size, length), source.dtype.newbyteorder("="))
    if source.seekable:
        for place, start in enumerate(starts.tolist()):
            if source.read(start, pieces[place]) != length:
                raise too_short(start, source.samples)
    else:
        _collect(source, starts, pieces, progress)
    gain, zero = counted_scale(source.dtype, source.gain, source.zero)
    counts = as_counts(pieces.reshape(-1), source.gain, source.zero)
    volts = counts.astype(np.float64) * gain + zero
    # clipped samples are all alike and would hide the noise
    lowest, highest = ends_of(source.overload, source.gain)
    volts[(counts <= lowest) | (counts >= highest)] = np.nan
    if starts.size > 1:
        # neighbours in this array, not in the capture
        volts.reshape(pieces.shape)[:, -1] = np.nan
    return scale_of(volts, source.sample_interval, resolution)


def too_short(place: int, samples: int) -> InputError:
    """Return the error that tells of a capture that ends too early.

    Parameters
    ----------
    place : int
        Near which sample it ends.
    samples : int
        How many it should have. [1]

    Returns
    -------
    InputError
        The error.
    """
    return InputError(
        f"the capture ends near sample {place}, before the {samples} it told of: export it again, or read a copy that "
        "nothing writes to"
    )


def _collect(
    source: SampleSource, starts: NDArray[np.int64], pieces: NDArray[Any], progress: Callable[[float], None]
) -> None:
    length = pieces.shape[1]
    place = 0
    for chunk, _ in source.chunks(1 << 20):
        for row in np.flatnonzero((starts < place + chunk.size) & (starts + length > place)).tolist():
            first, stop = max(place, int(starts[row])), min(place + chunk.size, int(starts[row]) + length)
            pieces[row, first - starts[row] : stop - starts[row]] = chunk[first - place : stop - place]
        place += chunk.size
        progress(place / source.samples)

"""A capture looked at in any zoom: what an opened one gives.

A window of it is drawn from its samples, or from its levels where a column of the drawing is no finer than these.
While the levels are not made, windows that are not wide are drawn all the same.
"""

from __future__ import annotations

from functools import partial
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.records.waveform import Waveform
from coldpin.workbench.wave_kept import KeptWave
from coldpin.workbench.wave_levels import Cut, Extremes, cut_for, envelope

MOST_COLUMNS = 1 << 12
"""Ours: the widest screen there is has no more columns. [1]"""

DIRECT = 1 << 20
"""Ours: while the levels are not made, a window of so many samples is drawn from the file itself. [1]"""

CHANNELS = ("pilot", "output")


class Samples(Protocol):
    """Where the samples of an opened wave come from."""

    def __call__(self, first: int, stop: int) -> Waveform:
        """Return a part of the capture.

        Parameters
        ----------
        first, stop : int
            Its first sample and one past its last. [1]

        Returns
        -------
        Waveform
            The pilot, and the output where there is one.
        """
        ...


class Wave:
    """A capture opened for being looked at; it may be used by several threads at once.

    Parameters
    ----------
    key : str
        Changes when anything does that the wave is made of.
    samples : int
        How many it has; 0 where that is not known yet. [1]
    sample_interval : float
        From one to the next. [s]
    channels : int
        1, or 2 with an output.
    read : callable or None
        Gives its samples; None where they have to be copied first.
    kept : object or None
        Its levels; None where it has none or they are not made yet.
    prepared : bool
        Whether any window can be drawn.

    Attributes
    ----------
    columns : tuple of str
        The columns or channels of the file that it is read from, that of the pilot first.
    """

    def __init__(
        self,
        key: str,
        *,
        samples: int,
        sample_interval: float,
        channels: int,
        read: Samples | None,
        kept: KeptWave | None,
        prepared: bool,
    ) -> None:
        self.key, self.samples, self.sample_interval = key, samples, sample_interval
        self.channels = CHANNELS[:channels]
        self.prepared = prepared
        self.columns: tuple[str, ...] = ()
        self._read, self._kept = read, kept

    def cut(self, first: int, count: int, columns: int) -> tuple[Cut, tuple[Extremes, ...]] | None:
        """Return a window as the lowest and highest sample of each column.

        Parameters
        ----------
        first, count : int
            The window, in samples. [1]
        columns : int
            How many columns, but for one more at an edge; `MOST_COLUMNS` at most. [1]

        Returns
        -------
        tuple of Cut and (tuple of NDArray), or None
            What is drawn, and for each channel an array of shape (columns, 2) [V]; None where the wave has to be
            prepared for so wide a window.

        Raises
        ------
        InputError
            The window lies outside the capture, or the file cannot be read.
        """
        if self._read is None or (not self.prepared and count > DIRECT):
            return None
        if columns > MOST_COLUMNS:
            raise InputError(f"{columns} columns were asked for; at most {MOST_COLUMNS} are given at once")
        cut = cut_for(self.samples, first=first, count=count, columns=columns)
        kept = self._kept
        if kept is not None and cut.per_column >= kept.plan.first_block:
            return cut, tuple(
                envelope(cut, kept.plan, volts=_no_samples, level=partial(kept.level, channel))
                for channel in range(len(self.channels))
            )
        part = self._read(cut.first, cut.stop)
        read = (part.voltage,) if part.output is None else (part.voltage, part.output)
        return cut, tuple(envelope(cut, None, volts=partial(_given, own), level=_no_level) for own in read)

    def part(self, first: int, stop: int) -> Waveform | None:
        """Return some of the samples.

        Parameters
        ----------
        first, stop : int
            The first sample and one past the last; what lies outside the capture is left out. [1]

        Returns
        -------
        Waveform or None
            None where the samples have to be copied first.

        Raises
        ------
        InputError
            The file cannot be read.
        """
        if self._read is None:
            return None
        return self._read(max(first, 0), min(stop, self.samples))


def _given(volts: NDArray[np.float64], first: int, count: int) -> NDArray[np.float64]:
    assert volts.size == count, f"samples {first} to {first + count} were read"
    return volts


def _no_samples(first: int, count: int) -> NDArray[np.float64]:
    raise AssertionError(f"levels hold what is coarser than a block, samples {first} to {first + count} were asked for")


def _no_level(place: int, first: int, count: int) -> Extremes:
    raise AssertionError(f"there are no levels, blocks {first} to {first + count} of {place} were asked for")

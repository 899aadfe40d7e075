"""A window of a wave as a record, and as numbers that are quick to send and to draw."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from coldpin.records.wave import WaveChannel, WaveCut
from coldpin.workbench.wave_kept import SCHEMA
from coldpin.workbench.wave_levels import Cut
from coldpin.workbench.waves import Wave


def cut_record(wave: Wave, *, first: int, count: int, columns: int) -> WaveCut | None:
    """Return a window of a wave as a record.

    Parameters
    ----------
    wave : Wave
        The wave.
    first, count : int
        The window, in samples. [1]
    columns : int
        How many columns at most, but for one more at an edge. [1]

    Returns
    -------
    WaveCut or None
        None where the wave has to be prepared for so wide a window.

    Raises
    ------
    InputError
        The window lies outside the capture, or the file cannot be read.
    """
    found = wave.cut(first, count, columns)
    if found is None:
        return None
    cut, channels = found
    return _record(
        wave,
        cut,
        tuple(
            WaveChannel(name=name, low_v=_numbers(volts[:, 0]), high_v=_numbers(volts[:, 1]))
            for name, volts in zip(wave.channels, channels, strict=True)
        ),
    )


def cut_bytes(wave: Wave, *, first: int, count: int, columns: int) -> tuple[WaveCut, bytes] | None:
    """Return a window of a wave as numbers of 32 bits, little-endian: quicker to send and to draw than text.

    Of each channel the lowest of all columns come first, then the highest of all; where each column is one sample,
    the samples alone. NaN stands for a column without samples. Places and times are in the record, in 64 bits.

    Parameters
    ----------
    wave : Wave
        The wave.
    first, count : int
        The window, in samples. [1]
    columns : int
        How many columns at most, but for one more at an edge. [1]

    Returns
    -------
    tuple of WaveCut and bytes, or None
        What the bytes are, its channels named and empty; None where the wave has to be prepared for so wide a window.

    Raises
    ------
    InputError
        The window lies outside the capture, or the file cannot be read.
    """
    found = wave.cut(first, count, columns)
    if found is None:
        return None
    cut, channels = found
    sides = slice(0, 1 if cut.per_column == 1 else 2)
    data = b"".join(np.ascontiguousarray(volts[:, sides].T, "<f4").tobytes() for volts in channels)
    return _record(wave, cut, tuple(WaveChannel(name=name, low_v=(), high_v=()) for name in wave.channels)), data


def _record(wave: Wave, cut: Cut, channels: tuple[WaveChannel, ...]) -> WaveCut:
    return WaveCut(
        schema=SCHEMA,
        first=cut.first,
        stop=cut.stop,
        samples_per_column=cut.per_column,
        start_s=cut.first * wave.sample_interval,
        sample_interval_s=wave.sample_interval,
        channels=channels,
    )


def _numbers(values: NDArray[np.float32]) -> tuple[float | None, ...]:
    return tuple(None if math.isnan(value) else value for value in values.tolist())

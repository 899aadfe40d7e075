"""A long wave in the cache of its case: its levels, and its samples where these had to be copied.

The file begins with what is in it, as JSON; then stand the samples, if copied, as rows of 64-bit numbers, then the
levels of each channel, finest first, as pairs of 32-bit numbers.
"""

from __future__ import annotations

import json
import os
from contextlib import ExitStack
from dataclasses import dataclass
from typing import Final

import numpy as np

from coldpin.errors import CaseError
from coldpin.records.waveform import Waveform
from coldpin.workbench.shelving import Bench
from coldpin.workbench.wave_levels import Extremes, LevelPlan, plan_levels

SCHEMA: Final = "coldpin.wave/1"

HEAD = 1 << 12
"""Bytes at the beginning of a kept wave that say what is in it, filled up with spaces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptWave:
    """A wave in the cache: its levels, and where it was copied its samples.

    Attributes
    ----------
    descriptor : int
        Of its file, open for reading.
    plan : LevelPlan
        Which levels there are, and how long.
    channels : int
        1, or 2 with an output.
    copied : bool
        Whether its samples stand before the levels.
    sample_interval : float
        From one sample to the next. [s]
    start : float
        Time of the first sample. [s]
    resolution : float or None
        Smallest step of the samples; None where it is not known. [V]
    """

    descriptor: int
    plan: LevelPlan
    channels: int
    copied: bool
    sample_interval: float
    start: float
    resolution: float | None

    def level(self, channel: int, place: int, first: int, count: int) -> Extremes:
        """Return blocks of a level.

        Parameters
        ----------
        channel : int
            The channel, counted from 0.
        place : int
            The level, counted from the finest.
        first, count : int
            The blocks. [1]

        Returns
        -------
        NDArray
            Of shape (count, 2), lowest and highest. [V]

        Raises
        ------
        CaseError
            The file was cut short.
        """
        size = 2 * np.dtype(np.float32).itemsize
        before = sum(self.plan.counts[:place]) + channel * sum(self.plan.counts)
        data = _read(self.descriptor, self._levels + size * (before + first), size * count)
        return np.frombuffer(data, "<f4").reshape(count, 2)

    def samples(self, first: int, stop: int) -> Waveform:
        """Return samples that were copied.

        Parameters
        ----------
        first, stop : int
            The first sample and one past the last. [1]

        Returns
        -------
        Waveform
            The pilot, and the output where there is one.

        Raises
        ------
        CaseError
            The file was cut short.
        """
        row = self.channels * np.dtype(np.float64).itemsize
        data = _read(self.descriptor, HEAD + row * first, row * (stop - first))
        table = np.frombuffer(data, "<f8").reshape(stop - first, self.channels)
        return Waveform(
            voltage=np.ascontiguousarray(table[:, 0]),
            sample_interval=self.sample_interval,
            start=self.start + first * self.sample_interval,
            output=np.ascontiguousarray(table[:, 1]) if self.channels > 1 else None,
            resolution=self.resolution,
        )

    @property
    def _levels(self) -> int:
        copied = self.plan.samples * self.channels * np.dtype(np.float64).itemsize if self.copied else 0
        return HEAD + copied


def _read(descriptor: int, place: int, size: int) -> bytes:
    data = os.pread(descriptor, size, place)
    if len(data) != size:
        raise CaseError("the prepared wave was cut short: delete the folder 'cache' of the case and open it once more")
    return data


def find_kept(bench: Bench, key: str, files: ExitStack) -> KeptWave | None:
    """Return a wave of the cache; what is damaged there counts as not made.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    key : str
        The key of the wave.
    files : ExitStack
        Closes its file.

    Returns
    -------
    KeptWave or None
        None where it is not made.
    """
    try:
        descriptor = files.enter_context(bench.case.waves.open(key))
    except CaseError:
        return None
    try:
        said = json.loads(os.pread(descriptor, HEAD, 0))
        kept = KeptWave(
            descriptor=descriptor,
            plan=plan_levels(int(said["samples"])),
            channels=int(said["channels"]),
            copied=bool(said["copied"]),
            sample_interval=float(said["sample_interval"]),
            start=float(said["start"]),
            resolution=None if said["resolution"] is None else float(said["resolution"]),
        )
    except (ValueError, KeyError, TypeError, OSError):
        return None
    whole = os.fstat(descriptor).st_size == kept_size(kept.plan, kept.channels, copied=kept.copied)
    return kept if whole and said.get("schema") == SCHEMA else None


def kept_size(plan: LevelPlan, channels: int, *, copied: bool) -> int:
    """Return how long the file of a kept wave is.

    Parameters
    ----------
    plan : LevelPlan
        Its levels.
    channels : int
        1, or 2 with an output.
    copied : bool
        Whether its samples stand before the levels.

    Returns
    -------
    int
        In bytes.
    """
    samples = plan.samples * channels * np.dtype(np.float64).itemsize if copied else 0
    return HEAD + samples + channels * sum(plan.counts) * 2 * np.dtype(np.float32).itemsize

"""A capture with equal steps: what a scope or a sound card saw on the pilot, and perhaps on the output."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Waveform:
    """Samples at equal steps.

    ``voltage``: array of shape (n,), one value per sample, NaN where a sample is missing. [V]
    ``output``: array of shape (n,) or None, the second channel as read. [V]
    ``overload``: array of shape (n,) of bool or None, true where the instrument said "beyond its range".
    ``sample_interval`` and ``start`` are in seconds, ``resolution`` is one step of the instrument's scale. [V]
    ``remarks`` say what the reader had to do (encoding, missing marks, a rounded time column).
    """

    voltage: NDArray[np.float64]
    sample_interval: float
    start: float = 0.0
    output: NDArray[np.float64] | None = None
    overload: NDArray[np.bool_] | None = None
    resolution: float | None = None
    remarks: tuple[str, ...] = ()

    @property
    def samples(self) -> int:
        """The number of samples n."""
        return int(self.voltage.size)

    @property
    def duration(self) -> float:
        """The time from the first sample to one step past the last. [s]"""
        return self.samples * self.sample_interval

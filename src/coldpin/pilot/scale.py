"""The scale of one capture: its noise, its step, and what follows from them for finding edges and plateaus."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

LEAST_HYSTERESIS = 0.2
"""Ours: half-width of the band around 0 V a signal must cross to count as an edge. [V] It lies below the 0.55 V of the
weakest diode, so that a pilot shorted behind its diode (+0.7 V, -12 V) still oscillates, and above common noise."""

GREATEST_HYSTERESIS = 1.0
"""Ours: the band never grows beyond this, or state D without a diode (+2.9 V, -2.4 V) would be lost in noise. [V]"""

HYSTERESIS_NOISE = 5.0
"""Ours: hysteresis in standard deviations of the noise; one false edge in a million samples or fewer."""

HYSTERESIS_STEPS = 1.5
"""Ours: hysteresis in steps of the instrument, so that a level between two steps cannot make edges."""

SPREAD_NOISE = 4.0
SPREAD_STEPS = 1.0
SPREAD_LEAST = 0.02
"""Ours: samples of a plateau farther from its median than this many standard deviations, steps and volts are spikes."""

SPREAD_MOST = 1.0
"""Ours: and never more than this, or noise that fills the range would have a level. [V]"""

NOISE_SAMPLES = 1 << 18
"""Ours: noise and step are taken from this many samples at most, spread over the capture."""

MEDIAN_TO_SIGMA = 1.0 / (0.6744897501960817 * math.sqrt(2.0))
"""Median of absolute differences of neighbours to standard deviation, for a normal distribution."""

_MOST_STEPS = 1024
"""Ours: values that come in more sizes than this do not look stepped: ten bits over a plateau or two."""

_LARGEST_STEP = 0.6
"""Ours: the smallest distance of two values is no step when it is wider than this: then they are levels. [V]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """What finding edges and plateaus needs to know of a capture before it starts.

    The same scale must be used for every part of one capture: then its parts join to the whole.

    ``interval`` is the time between samples [s], ``noise`` the standard deviation of quick noise [V], ``step`` one step
    of the instrument, 0 where none is seen [V], ``hysteresis`` the half-width of the band around 0 V [V], ``spread``
    how far a plateau's sample may lie from its median [V].
    """

    interval: float
    noise: float
    step: float
    hysteresis: float
    spread: float

    def count(self, seconds: float) -> int:
        """Return how many samples cover at least a time.

        Parameters
        ----------
        seconds : float
            The time. [s]

        Returns
        -------
        int
            The number of sample intervals, rounded up. [1]

        Examples
        --------
        >>> scale_of(np.zeros(10), 1e-6).count(10e-6)
        10
        """
        # the ratio of two decimal fractions may come out a hair above a whole number
        return math.ceil(seconds / self.interval * (1.0 - 1e-9))


def scale_of(voltage: NDArray[np.float64], interval: float, resolution: float | None = None) -> Scale:
    """Return the scale of a capture from its samples.

    The noise is the median absolute difference of neighbouring samples, which edges and spikes do not touch. Where the
    instrument's step is not told it is looked for in the values.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), one value per sample, NaN where missing or clipped. [V]
    interval : float
        Time between samples. [s]
    resolution : float or None
        One step of the instrument, if known. [V]

    Returns
    -------
    Scale
        Noise, step, hysteresis and spread.

    Examples
    --------
    >>> round(scale_of(np.tile([9.0, 9.1], 500), 1e-6).hysteresis, 2)
    0.52
    """
    differences = np.diff(_spread_out(voltage))
    differences = np.abs(differences[np.isfinite(differences)])
    noise = float(np.median(differences)) * MEDIAN_TO_SIGMA if differences.size else 0.0
    step = resolution if resolution is not None else step_of(voltage)
    return Scale(
        interval=interval,
        noise=noise,
        step=step,
        hysteresis=min(GREATEST_HYSTERESIS, max(LEAST_HYSTERESIS, HYSTERESIS_NOISE * noise, HYSTERESIS_STEPS * step)),
        spread=min(SPREAD_MOST, SPREAD_NOISE * noise + SPREAD_STEPS * step + SPREAD_LEAST),
    )


def _spread_out(voltage: NDArray[np.float64]) -> NDArray[np.float64]:
    if voltage.size <= NOISE_SAMPLES:
        return voltage
    # 64 pieces over the whole capture: a quiet beginning must not speak for a noisy rest
    pieces = 1 << 6
    length = NOISE_SAMPLES // pieces
    starts = np.linspace(0, voltage.size - length, pieces).astype(np.int64)
    cut: NDArray[np.float64] = voltage[(starts[:, None] + np.arange(length)[None, :])]
    cut[:, -1] = np.nan
    return cut.reshape(-1)


def step_of(voltage: NDArray[np.float64]) -> float:
    """Return the step of the instrument that shows in the values of a capture.

    Parameters
    ----------
    voltage : NDArray[np.float64]
        Array of shape (n,), one value per sample. [V]

    Returns
    -------
    float
        The smallest distance between two values that occur more than once, 0 where they do not look stepped. [V]

    Examples
    --------
    >>> step_of(np.round(np.sin(np.arange(2000) / 50.0) * 8.0) / 4.0)
    0.25
    """
    sample = _spread_out(voltage)[:NOISE_SAMPLES]
    values, counts = np.unique(sample[np.isfinite(sample)], return_counts=True)
    # what stands once only is no step of an instrument: a correction, an average, a mark of something else
    values = values[counts > 1]
    if not 2 <= values.size <= _MOST_STEPS or sample.size < values.size << 3:
        return 0.0
    smallest = float(np.min(np.diff(values)))
    return smallest if 1e-4 <= smallest <= _LARGEST_STEP else 0.0

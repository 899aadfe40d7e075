"""What sampling leaves unknown: where an edge lies between two samples, where a level lies between two steps."""

from __future__ import annotations

import math

import numpy as np

from coldpin.pilot.crossings import Crossings, Numbers

HARMONICS = np.arange(1, 1 + (1 << 8))
"""Ours: terms of the Fourier series of a sawtooth; the rest is 0.2 % of its mean square."""

CURVATURE = 0.2
"""Ours: what the bend of an edge leaves in its place whatever the phase, in samples for each part of the swing made in
one. [1] Worked out for exponential edges with lags of 0.05 to 8 sample intervals in states B and D."""

UNSEEN = 1.35
"""Ours: an edge that makes g of the swing in one sample is placed with up to this many times g of the error of one not
seen at all. [1] Worked out for the same edges."""

_WALKS = np.array([-1.0, -0.5, 0.0, 0.5, 1.0])


def sawtooth_deviation(resultants: Numbers) -> float:
    r"""Return the standard deviation of the mean of a sawtooth of unit height, over an unknown common phase.

    Rounding to a step errs by a sawtooth of the true place within the step. If the places within the step are
    spread, the errors average out; how far is told by the resultants R of the places on a circle, one per harmonic:

    .. math:: u^2 = \sum_m \frac{|R_m|^2}{2 \pi^2 m^2}

    It is 1/√12 where all places are the same and 0 where they are evenly spread.

    Parameters
    ----------
    resultants : NDArray[np.float64]
        Lengths |R_m| of the mean vectors for m = 1, 2, ..., array of shape (256,). [1]

    Returns
    -------
    float
        u in steps. [1]

    Examples
    --------
    >>> round(sawtooth_deviation(np.ones(HARMONICS.size)), 3), round(1.0 / math.sqrt(12.0), 3)
    (0.288, 0.289)

    Sources
    -------
    Parseval's theorem for the sawtooth.
    """
    return float(np.sqrt(_sawtooth_variances(resultants)))


def _sawtooth_variances(resultants: Numbers) -> Numbers:
    """Return the square of the same for each row of resultants."""
    return np.asarray(np.sum(resultants**2 / (2.0 * (math.pi * HARMONICS) ** 2), axis=-1))


def dithered_step(noise_in_steps: float) -> float:
    r"""Return the standard uncertainty that the steps of an instrument leave in a mean of noisy samples.

    Normal noise of standard deviation s spreads the values over the steps: :math:`|R_m| = e^{-2 \pi^2 m^2 s^2}`.

    Parameters
    ----------
    noise_in_steps : float
        Standard deviation s of the noise before the steps, in steps. [1]

    Returns
    -------
    float
        u in steps. [1]

    Examples
    --------
    >>> [round(dithered_step(noise), 4) for noise in (0.0, 0.3, 0.5)]
    [0.2883, 0.0381, 0.0016]

    Sources
    -------
    Characteristic function of the normal distribution.
    """
    return sawtooth_deviation(np.exp(-2.0 * (math.pi * HARMONICS * noise_in_steps) ** 2))


def sampling_lock(samples_per_cycle: float, cycles: int) -> float:
    """Return how much of the error of placing edges between samples is left in a mean over cycles.

    If the sampling is locked to the oscillator each edge falls on the same place between two samples and errs by
    the same; if it walks through, the errors average out. The period is only known to one sample in the whole run, so
    the walk least favourable within that is taken.

    Parameters
    ----------
    samples_per_cycle : float
        Mean period in samples. [1]
    cycles : int
        Number of cycles. [1]

    Returns
    -------
    float
        Standard deviation of the mean error, in samples: 1/√12 if locked, near 0 if not. [1]

    Examples
    --------
    >>> round(sampling_lock(1000.0, 500), 3), round(sampling_lock(44.1, 5000), 3)
    (0.288, 0.029)
    """
    if cycles < 2:
        return sawtooth_deviation(np.ones(HARMONICS.size))
    walks = (samples_per_cycle % 1.0) + _WALKS / cycles
    # resultant of `cycles` equal steps of phase: the Dirichlet kernel
    half_step = math.pi * walks[:, None] * HARMONICS[None, :]
    sines = np.sin(half_step)
    with np.errstate(invalid="ignore", divide="ignore"):
        lengths = np.abs(np.sin(cycles * half_step) / (cycles * sines))
    lengths = np.where(np.abs(sines) < 1e-9, 1.0, lengths)
    return float(np.sqrt(_sawtooth_variances(lengths).max()))


def steepness(edges: Crossings, swing: float) -> Numbers:
    """Return which part of the swing each edge makes within one sample interval.

    Parameters
    ----------
    edges : Crossings
        The edges, m of them.
    swing : float
        Distance of the two plateaus. [V]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (m,): near 0 for an edge seen by many samples, 1 for one that falls between two. [1]
    """
    return np.clip(edges.steepest / swing, 0.0, 1.0)


def placed(edges: Crossings, steep: Numbers) -> Numbers:
    r"""Return where between its two samples each crossing is placed.

    Linear interpolation is right for an edge that many samples show. Where the whole edge falls between two samples
    it knows nothing of the place and would always put it nearer to the lower plateau: the middle is then the
    unbiased choice. Between the two the mean goes over with the steepness g:

    .. math:: f = (1 - g^2) f_{linear} + g^2 / 2

    Parameters
    ----------
    edges : Crossings
        The edges, m of them.
    steep : NDArray[np.float64]
        Array of shape (m,): their steepness. [1]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (m,): fractions of a sample interval. [1]
    """
    return edges.fraction + np.where(edges.clean, steep**2 * (0.5 - edges.fraction), 0.0)


def placement_deviation(steep: float, lock: float) -> float:
    r"""Return the standard uncertainty that sampling leaves in the mean place of many edges.

    .. math:: u = \sqrt{(\min(1, b g) u_{lock})^2 + (c g (1 - g))^2}

    Parameters
    ----------
    steep : float
        Mean steepness g of the edges. [1]
    lock : float
        What :func:`sampling_lock` says. [1]

    Returns
    -------
    float
        u in sample intervals. [1]

    Examples
    --------
    >>> round(placement_deviation(1.0, 0.287), 3), round(placement_deviation(0.3, 0.0), 3)
    (0.287, 0.042)
    """
    return math.hypot(min(1.0, UNSEEN * steep) * lock, CURVATURE * steep * (1.0 - steep))

"""Spikes that couple onto the pilot from outside: short pulses at random instants."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.simulator.unit import VirtualUnit

NARROWEST = 0.3
"""The narrowest spike is this part of the widest. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Spike:
    """A pulse with straight sides that adds ``peak`` to the pilot from ``start`` on, for ``width``. [s], [V]"""

    start: float
    width: float
    peak: float


def draw_spikes(unit: VirtualUnit, duration: float, rng: np.random.Generator) -> tuple[Spike, ...]:
    """Draw the spikes of a capture: how many by Poisson's law, each of a width and a sign of its own.

    Parameters
    ----------
    unit : VirtualUnit
        The unit with its rate of spikes, their height and the width of the widest.
    duration : float
        Length of the capture. [s]
    rng : numpy.random.Generator
        Where they come from.

    Returns
    -------
    tuple of Spike
        In order of time.

    Examples
    --------
    >>> draw_spikes(VirtualUnit(), 1.0, np.random.default_rng(1))
    ()
    """
    if not unit.spike_rate:
        return ()
    count = int(rng.poisson(unit.spike_rate * duration))
    starts = np.sort(rng.uniform(0.0, duration, count))
    widths = unit.spike_width * rng.uniform(NARROWEST, 1.0, count)
    signs = rng.choice((-1.0, 1.0), count)
    return tuple(
        Spike(start=float(start), width=float(width), peak=float(sign) * unit.spike_height)
        for start, width, sign in zip(starts, widths, signs, strict=True)
    )


def added_by(spikes: Sequence[Spike], times: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what spikes add to the pilot.

    Parameters
    ----------
    spikes : sequence of Spike
        The spikes.
    times : numpy.ndarray
        Array of shape (n,), in order. [s]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,). [V]

    Examples
    --------
    >>> added_by([Spike(start=0.1, width=0.2, peak=5.0)], np.array([0.0, 0.15, 0.25, 0.4])).tolist()
    [0.0, 5.0, 5.0, 0.0]
    """
    added = np.zeros_like(times)
    for spike in spikes:
        inside = slice(*np.searchsorted(times, [spike.start, spike.start + spike.width]))
        added[inside] += spike.peak
    return added

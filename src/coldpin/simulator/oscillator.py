"""The virtual oscillator: its edges, as it warms up, jitters and is told to change its offer."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from coldpin.simulator.course import Condition
from coldpin.simulator.unit import VirtualUnit

_NEWTON_STEPS = 8


def warmed(unit: VirtualUnit, times: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how far the unit has warmed up; it is cold when the schedule starts.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    times : numpy.ndarray
        Array of shape (n,), from the start of the schedule. [s]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,): 0 cold, 1 warm. [1]

    Examples
    --------
    >>> [round(float(part), 3) for part in warmed(VirtualUnit(warm_up=10.0), np.array([-1.0, 0.0, 10.0]))]
    [0.0, 0.0, 0.632]
    """
    return np.asarray(-np.expm1(-np.maximum(times, 0.0) / unit.warm_up), dtype=np.float64)


def cycles_since_start(unit: VirtualUnit, times: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return how many cycles the oscillator goes through from the start of the schedule to some times.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    times : numpy.ndarray
        Array of shape (n,). [s]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,), negative before the start. [1]

    Examples
    --------
    >>> cycles_since_start(VirtualUnit(), np.array([0.25])).tolist()
    [250.0]
    """
    cold = unit.frequency * times
    # The integral of 1 - exp(-t / T) is t less T times that same part.
    gained = np.maximum(times, 0.0) - unit.warm_up * warmed(unit, times)
    return np.asarray(cold + unit.frequency * unit.frequency_drift * gained, dtype=np.float64)


def duty_at(unit: VirtualUnit, parts: Sequence[Condition], times: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the duty cycle that the controller sets at some times, warming up included.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    parts : sequence of Condition
        What happened, in order.
    times : numpy.ndarray
        Array of shape (n,). [s]

    Returns
    -------
    numpy.ndarray
        Array of shape (n,). [%]
    """
    starts = np.array([part.start for part in parts])
    duties = np.array([part.duty for part in parts])
    place = np.maximum(np.searchsorted(starts, times, side="right") - 1, 0)
    return np.asarray(duties[place] + unit.duty_drift * warmed(unit, times), dtype=np.float64)


def driver_edges(
    unit: VirtualUnit, parts: Sequence[Condition], rng: np.random.Generator
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Return the oscillator's edges around a stretch of time, at a random phase.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    parts : sequence of Condition
        What happened, in order.
    rng : numpy.random.Generator
        Where phase and jitter come from.

    Returns
    -------
    tuple of numpy.ndarray
        Instants, array of shape (n,) [s], and whether each rises, array of shape (n,) of bool.
    """
    begin, end = parts[0].start, parts[-1].end
    period = 1.0 / unit.frequency
    # The edges must reach to the end even of an oscillator that has become faster.
    cycles = math.ceil((end - begin) / period * max(1.0, 1.0 + unit.frequency_drift)) + 3
    first = float(rng.uniform(0.0, 1.0))
    rises = np.asarray(begin + period * (first + np.arange(-2, cycles)), dtype=np.float64)
    if unit.frequency_drift:
        rises = _at_cycles(unit, unit.frequency * rises)
    periods = 1.0 / (unit.frequency * (1.0 + unit.frequency_drift * warmed(unit, rises)))
    edges = np.stack([rises, rises + periods * duty_at(unit, parts, rises) / 100.0], axis=1).ravel()
    if unit.jitter:
        edges += rng.normal(0.0, unit.jitter, edges.size)
    return edges, np.arange(edges.size) % 2 == 0


def _at_cycles(unit: VirtualUnit, cycles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return when the oscillator has gone through these cycles, by Newton's method from the cold oscillator."""
    times = cycles / unit.frequency
    for _ in range(_NEWTON_STEPS):
        speed = unit.frequency * (1.0 + unit.frequency_drift * warmed(unit, times))
        times = times - (cycles_since_start(unit, times) - cycles) / speed
    return times

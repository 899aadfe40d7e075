"""Frequency and duty cycle of a run with their uncertainty."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from coldpin.pilot.crossings import Flags, Numbers
from coldpin.pilot.cycles import CycleTable
from coldpin.pilot.figures import (
    FEWEST,
    IRREGULAR,
    NOT_INCLUDED,
    SAMPLING_SPREAD,
    Source,
    inliers,
    mean_deviation,
    vertical,
)
from coldpin.pilot.placement import placed, placement_deviation, sampling_lock, steepness
from coldpin.quantity import Quantity

BATCHES = 16
"""Ours: the mean period takes its uncertainty from so many stretches of a run: an oscillator that wanders has less
certain a mean than its single periods suggest."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Timing:
    """Frequency [Hz] and duty cycle [%] of a run; both None where its cycles have none in common."""

    frequency: Quantity | None = None
    duty: Quantity | None = None


def timing_of(cycles: CycleTable, keep: Flags, swing: float, source: Source) -> Timing:
    r"""Return the frequency and the duty cycle of the cycles of a run.

    .. math:: f = 1 / \bar T, \quad D = \overline{t_{on} / T}

    both between crossings of 0 V. Uncertainty: the scatter of the cycles; the placing of edges between samples; for the
    frequency the clock of the instrument, which cancels in the duty cycle; for the duty cycle the voltage error of
    the instrument at 0 V, divided by the slope of the edges. A capacitance on the pilot delays
    the rising crossing more than the falling one: the duty cycle at the place of measurement is given as it is there.

    Parameters
    ----------
    cycles : CycleTable
        The cycles of the capture, c of them.
    keep : NDArray[np.bool_]
        Array of shape (c,): those of the run.
    swing : float
        Distance of high and low level, or a lower bound of it. [V]
    source : Source
        The capture.

    Returns
    -------
    Timing
        Frequency and duty cycle.
    """
    which = np.flatnonzero(keep & cycles.clean)
    if which.size == 0 or swing <= 0.0:
        return Timing()
    rises, falls, ends = cycles.rise.take(which), cycles.fall.take(which), cycles.end.take(which)
    rise_steep, fall_steep = steepness(rises, swing), steepness(falls, swing)
    at_rise, at_fall = placed(rises, rise_steep), placed(falls, fall_steep)
    at_end = placed(ends, steepness(ends, swing))
    period = (ends.index - rises.index) + (at_end - at_rise)
    duty = ((falls.index - rises.index) + (at_fall - at_rise)) / period
    median = float(np.median(period))
    regular = np.abs(period - median) <= IRREGULAR * median
    if regular.mean() < 1.0 - IRREGULAR:
        return Timing()
    usual = regular & inliers(period, SAMPLING_SPREAD) & inliers(duty, SAMPLING_SPREAD / median)
    if not usual.any():
        return Timing()
    lock = sampling_lock(float(period[usual].mean()), int(usual.sum()))
    placing = (
        placement_deviation(float(rise_steep[usual].mean()), lock),
        placement_deviation(float(fall_steep[usual].mean()), lock),
    )
    slopes = (float(np.median(np.abs(rises.rise[usual]))), float(np.median(np.abs(falls.rise[usual]))))
    return Timing(
        frequency=_frequency(period[usual], placing[0], slopes[0], source),
        duty=_duty(duty[usual], float(period[usual].mean()), placing, slopes, source),
    )


def _frequency(period: Numbers, placing: float, slope: float, source: Source) -> Quantity:
    mean = float(period.mean())
    count = period.size
    batches = min(BATCHES, count // 10)
    if batches >= FEWEST:
        means = period[: count - count % batches].reshape(batches, -1).mean(axis=1)
        scatter, dof = float(means.std(ddof=1)) / math.sqrt(batches), batches - 1.0
    elif count >= FEWEST:
        scatter, dof = mean_deviation(period), count - 1.0
    else:
        scatter, dof = math.sqrt(2.0) * source.scale.noise / slope / count, math.inf
    return frequency_quantity(mean, count, (scatter, dof), placing, source)


def frequency_quantity(
    mean: float, count: int, scatter: tuple[float, float], placing: float, source: Source
) -> Quantity:
    """Return a frequency with its uncertainty.

    Parameters
    ----------
    mean : float
        Mean period. [sample intervals]
    count : int
        Number of cycles. [1]
    scatter : tuple of float
        Standard deviation of the mean [sample intervals] and its degrees of freedom.
    placing : float
        What placing edges between samples leaves open in each. [sample intervals]
    source : Source
        The capture.

    Returns
    -------
    Quantity
        The frequency. [Hz]
    """
    value = 1.0 / (mean * source.scale.interval)
    # only the first and the last edge place the whole run
    ends = math.sqrt(2.0) * placing / count
    parts = [
        source.component("scatter of the period", value * scatter[0] / mean, scatter[1]),
        source.component("placing of the edges in the period", value * ends / mean),
    ]
    whys = []
    if source.accuracy is None or source.accuracy.timebase is None:
        whys.append("accuracy of the timebase not stated, so not included")
    else:
        # a clock that counts a period too long makes the frequency too low
        parts += [
            replace(part, contribution=-(value**2) * part.contribution)
            for part in source.accuracy.timebase.components(
                1.0 / value, "s", id=f"{source.accuracy.id}: timebase", label="timebase"
            )
        ]
    return source.quantity(value, "Hz", parts, whys)


def _duty(
    duty: Numbers, period: float, placing: tuple[float, float], slopes: tuple[float, float], source: Source
) -> Quantity:
    count = duty.size
    if count >= FEWEST:
        scatter, dof = mean_deviation(duty), count - 1.0
    else:
        # noise moves a crossing by noise over slope
        jitter = source.scale.noise * math.hypot(1.0 / slopes[0], 1.0 / slopes[1])
        scatter, dof = jitter / period / math.sqrt(count), math.inf
    return duty_quantity(float(duty.mean()), (scatter, dof), period, placing, slopes, source)


def duty_quantity(
    share: float,
    scatter: tuple[float, float],
    period: float,
    placing: tuple[float, float],
    slopes: tuple[float, float],
    source: Source,
) -> Quantity:
    """Return a duty cycle with its uncertainty.

    Parameters
    ----------
    share : float
        Mean share of the on-time. [1]
    scatter : tuple of float
        Standard deviation of the mean [1] and its degrees of freedom.
    period : float
        Mean period. [sample intervals]
    placing : tuple of float
        What placing edges between samples leaves open in rising and in falling ones. [sample intervals]
    slopes : tuple of float
        Step across 0 V from one sample to the next, rising and falling. [V]
    source : Source
        The capture.

    Returns
    -------
    Quantity
        The duty cycle. [%]
    """
    value = 100.0 * share
    percent = 100.0 / period
    parts = [
        source.component("scatter of the duty cycle", 100.0 * scatter[0], scatter[1]),
        source.component("placing of the rising edges", percent * placing[0]),
        source.component("placing of the falling edges", percent * placing[1]),
    ]
    whys = []
    if source.accuracy is None or source.accuracy.vertical is None:
        whys.append(NOT_INCLUDED)
    else:
        per_volt = percent * (1.0 / slopes[0] + 1.0 / slopes[1])
        # what moves 0 V is an offset, of unknown sign against the error of the levels
        parts += [
            replace(part, id=f"{part.id} at 0 V", contribution=per_volt * part.contribution)
            for part in vertical(source.accuracy, 0.0, "vertical accuracy at 0 V")
        ]
    return source.quantity(value, "%", parts, whys)

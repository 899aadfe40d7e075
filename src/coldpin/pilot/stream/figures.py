"""Figures of a run from its sums, with the same shares of uncertainty as those from whole arrays."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coldpin.pilot.figures import FEWEST, IRREGULAR, Source, mean_deviation_of
from coldpin.pilot.levels import UNSETTLED, UNTOLD, left_by_drift, level_quantity, settling_component, steps_component
from coldpin.pilot.placement import placement_deviation, sampling_lock
from coldpin.pilot.stream.sums import (
    COARSE_BITS,
    COARSE_SHARE_BITS,
    INTERVAL,
    SHARE,
    VOLT,
    LevelSums,
    TimeSums,
)
from coldpin.pilot.timing import BATCHES, Timing, duty_quantity, frequency_quantity
from coldpin.quantity import Component, Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scatter:
    """Mean and scatter of values from their sums, as whole numbers of ``1 / unit``."""

    count: int
    total: int
    squares: int
    steps: int
    pairs: int
    unit: int

    def variance(self) -> float:
        if self.count < 2:
            return 0.0
        exact = self.count * self.squares - self.total**2
        return exact / (self.count * (self.count - 1) * self.unit**2)

    def deviation(self) -> float:
        """Return the standard deviation of the mean."""
        steps = self.steps / (self.pairs * self.unit**2) if self.pairs else 2.0 * self.variance()
        return mean_deviation_of(self.count, self.variance(), steps)


def level_of_sums(sums: LevelSums, source: Source, gain: float, what: str) -> Quantity | None:
    """Return the level of a run.

    Parameters
    ----------
    sums : LevelSums
        Sums over its plateaus.
    source : Source
        The capture.
    gain : float
        Volts of one count. [V]
    what : str
        Name of the level ("high level").

    Returns
    -------
    Quantity or None
        The level [V], None where most cycles show none.

    Examples
    --------
    >>> from coldpin.pilot.scale import Scale
    >>> scale = Scale(interval=1e-6, noise=0.0, step=0.01, hysteresis=0.2, spread=0.1)
    >>> sums = LevelSums(rows=8, seen=8, kept=8, total=8 * 9 * VOLT, squares=8 * (9 * VOLT) ** 2, pairs=7, told=8)
    >>> level_of_sums(sums, Source(scale=scale, accuracy=None, name="a"), 0.01, "high level").value
    9.0
    """
    if not sums.seen or sums.seen < 0.5 * sums.rows:
        return None
    if not sums.kept:
        return Quantity(sums.early_total / (sums.early * VOLT), None, "V", why=UNSETTLED)
    value = sums.total / (sums.kept * VOLT)
    scatter = _Scatter(
        count=sums.kept, total=sums.total, squares=sums.squares, steps=sums.steps, pairs=sums.pairs, unit=VOLT
    )
    within = variance_within(sums)
    left, whys = _left(sums, value, source)
    parts = (
        _scatter_component(sums, scatter, within, source, what),
        steps_component((sums.most - sums.least) / sums.kept * gain, scatter.variance() + within, source, what),
        settling_component(left, source, what),
    )
    return level_quantity(value, parts, whys, source, what)


def variance_within(sums: LevelSums) -> float:
    """Return the variance of samples about the level of their own plateau.

    Parameters
    ----------
    sums : LevelSums
        Sums over plateaus.

    Returns
    -------
    float
        It, 0 where no plateau has two samples. [V²]
    """
    return sums.within / (SHARE * sums.freedom) if sums.freedom else 0.0


def one_value(sums: LevelSums) -> bool:
    """Say whether all samples of the plateaus that counted are equal.

    Parameters
    ----------
    sums : LevelSums
        Sums over plateaus.

    Returns
    -------
    bool
        Whether they are.
    """
    return sums.kept > 0 and sums.most == sums.least and sums.kept * sums.squares == sums.total**2


def _left(sums: LevelSums, value: float, source: Source) -> tuple[float, list[str]]:
    if not sums.told:
        return abs(value) * sums.lag / (sums.kept * SHARE), [UNTOLD]
    drift = _Scatter(
        count=sums.told,
        total=sums.drift,
        squares=sums.drift_squares,
        steps=sums.drift_steps,
        pairs=sums.drift_pairs,
        unit=VOLT,
    )
    noise = drift.deviation() if sums.told > 1 else source.scale.noise
    return left_by_drift(sums.drift / (sums.told * VOLT), noise), []


def _scatter_component(sums: LevelSums, scatter: _Scatter, within: float, source: Source, what: str) -> Component:
    label = f"scatter of the {what}"
    if sums.kept >= FEWEST:
        return source.component(label, scatter.deviation(), sums.kept - 1.0)
    # neighbouring samples need not be independent: count cycles, not samples
    if sums.freedom < 1:
        return source.component(label, source.scale.noise / math.sqrt(sums.kept))
    return source.component(label, math.sqrt(within / sums.kept), float(sums.freedom))


def timing_of_sums(sums: TimeSums, batches: tuple[tuple[int, int, int], ...], source: Source) -> Timing:
    """Return the frequency and the duty cycle of a run.

    The mean period takes its uncertainty from means over stretches of the run: over a sixteenth of it, or over a few
    cycles where it has not so many batches.

    Parameters
    ----------
    sums : TimeSums
        Sums over its cycles.
    batches : tuple of tuple
        Number of batch, cycles and the sum of their periods, in order.
    source : Source
        The capture.

    Returns
    -------
    Timing
        Frequency and duty cycle; none where the cycles have none in common.
    """
    if not sums.kept or sums.regular < (1.0 - IRREGULAR) * sums.rows or not _alike(batches):
        return Timing()
    mean = sums.period / (sums.kept * INTERVAL)
    lock = sampling_lock(mean, sums.kept)
    placing = (
        placement_deviation(sums.rise_steep / (sums.kept * SHARE), lock),
        placement_deviation(sums.fall_steep / (sums.kept * SHARE), lock),
    )
    # the run hangs between its first and its last edge, which do not average out
    ends = placement_deviation(sums.rise_steep / (sums.kept * SHARE), sampling_lock(mean, 1))
    slopes = (sums.rise_slope / (sums.kept * VOLT), sums.fall_slope / (sums.kept * VOLT))
    noise = source.scale.noise
    if sums.kept >= FEWEST:
        duty = _Scatter(
            count=sums.kept,
            total=sums.duty_coarse,
            squares=sums.duty_squares,
            steps=sums.duty_steps,
            pairs=sums.pairs,
            unit=SHARE >> COARSE_SHARE_BITS,
        )
        duty_scatter = (duty.deviation(), sums.kept - 1.0)
    else:
        # noise moves a crossing by noise over slope
        jitter = noise * math.hypot(1.0 / slopes[0], 1.0 / slopes[1])
        duty_scatter = (jitter / mean / math.sqrt(sums.kept), math.inf)
    return Timing(
        frequency=frequency_quantity(mean, sums.kept, _period_scatter(sums, batches, noise / slopes[0]), ends, source),
        duty=duty_quantity(sums.duty / (sums.kept * SHARE), duty_scatter, mean, placing, slopes, source),
    )


def _alike(batches: tuple[tuple[int, int, int], ...]) -> bool:
    """Whether the mean periods of most batches lie near the middle one, as those of single cycles must."""
    counts = np.array([count for _, count, _ in batches], np.float64)
    means = np.array([total / count for _, count, total in batches])
    order = np.argsort(means)
    half = int(np.searchsorted(np.cumsum(counts[order]), 0.5 * counts.sum()))
    usual = means[order][half]
    return bool(counts[np.abs(means - usual) <= IRREGULAR * usual].sum() >= (1.0 - IRREGULAR) * counts.sum())


def _period_scatter(sums: TimeSums, batches: tuple[tuple[int, int, int], ...], jitter: float) -> tuple[float, float]:
    """Return the standard deviation of the mean period and its degrees of freedom."""
    if len(batches) >= BATCHES:
        groups = np.array_split(np.array([(count, total) for _, count, total in batches], dtype=object), BATCHES)
        means = [group[:, 1].sum() / (int(group[:, 0].sum()) * INTERVAL) for group in groups]
        return float(np.std(means, ddof=1)) / math.sqrt(BATCHES), BATCHES - 1.0
    coarse = INTERVAL >> COARSE_BITS
    if sums.stretches >= FEWEST:
        means_of = _Scatter(
            count=sums.stretches,
            total=sums.stretch,
            squares=sums.stretch_squares,
            steps=0,
            pairs=0,
            unit=coarse,
        )
        return math.sqrt(means_of.variance() / sums.stretches), sums.stretches - 1.0
    if sums.kept >= FEWEST:
        single = _Scatter(
            count=sums.kept,
            total=sums.period_coarse,
            squares=sums.period_squares,
            steps=sums.period_steps,
            pairs=sums.pairs,
            unit=coarse,
        )
        return single.deviation(), sums.kept - 1.0
    return math.sqrt(2.0) * jitter / sums.kept, math.inf

"""What sampling leaves unknown, against draws of the same errors."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.pilot.crossings import find_crossings
from coldpin.pilot.figures import mean_deviation
from coldpin.pilot.placement import (
    HARMONICS,
    dithered_step,
    placed,
    placement_deviation,
    sampling_lock,
    sawtooth_deviation,
    steepness,
)
from coldpin.pilot.scale import Scale

from .rc_circuit import Load, Unit, crossing, relax, rest

DRAWS = 4000
TRUNCATED = 0.002
"""The series of the sawtooth is cut after 256 terms: 0.2 % of its square is missing where all phases agree."""


@pytest.mark.hand("a rectangular distribution of width 1 has the standard deviation 1/√12")
def test_one_place_for_all_is_a_rectangular_distribution() -> None:
    """Without any spread of phases the error is that of one rounding."""
    assert sawtooth_deviation(np.ones(HARMONICS.size)) == pytest.approx(1.0 / math.sqrt(12.0), rel=TRUNCATED)
    assert sampling_lock(48.0, 1) == pytest.approx(1.0 / math.sqrt(12.0), rel=TRUNCATED)


@pytest.mark.independent("Monte Carlo: mean of rounded normal noise about a random level")
@pytest.mark.parametrize("noise", [0.05, 0.2, 0.35, 0.5])
def test_noise_averages_steps_out_as_predicted(noise: float) -> None:
    """The error that rounding leaves in the mean of many noisy samples is the predicted one."""
    rng = np.random.default_rng(11)
    levels = rng.random(400)
    errors = [np.round(level + rng.normal(0.0, noise, 40_000)).mean() - level for level in levels]
    sampling = noise / math.sqrt(40_000)

    assert np.std(errors) == pytest.approx(math.hypot(dithered_step(noise), sampling), rel=0.15, abs=2e-4)


@pytest.mark.independent("Monte Carlo: edges of random phase, rounded to samples")
@pytest.mark.parametrize(
    ("period", "cycles"), [(48.0, 100), (48.0004, 100), (44.1, 200), (47.97, 57), (1000.5, 9), (191.3, 100)]
)
def test_locked_sampling_is_told_from_walking(period: float, cycles: int) -> None:
    """The error of the mean over a run is at most the predicted one, and not far below where sampling is locked."""
    phases = np.random.default_rng(12).random(DRAWS)
    edges = phases[:, None] + period * np.arange(cycles)[None, :]
    errors = (np.floor(edges) + 0.5 - edges).mean(axis=1)
    predicted = sampling_lock(period, cycles)

    assert np.sqrt(np.mean(errors**2)) <= predicted * 1.03
    if period == 48.0:
        assert np.sqrt(np.mean(errors**2)) == pytest.approx(predicted, rel=0.03)


@pytest.mark.independent("edges of the circuit solved by hand, sampled at every phase")
@pytest.mark.parametrize("interval_in_lags", [0.125, 0.25, 0.5, 1.0, 2.0, 5.0, 20.0])
@pytest.mark.parametrize("resistance", [2740.0, 246.0], ids=["B", "D"])
@pytest.mark.parametrize("rising", [True, False])
def test_edges_are_placed_within_their_uncertainty(interval_in_lags: float, resistance: float, rising: bool) -> None:
    """Whatever the sampling rate, the places found scatter about the true one by no more than is said."""
    unit, load = Unit(), Load(resistance=resistance)
    interval = interval_in_lags * unit.resistance * unit.capacitance
    sources = (unit.low, unit.high) if rising else (unit.high, unit.low)
    start = rest(sources[0], load, unit)
    swing = abs(rest(sources[1], load, unit) - start)
    truth = crossing(start, sources[1], load, unit) / interval
    scale = Scale(interval=interval, noise=0.0, step=0.0, hysteresis=0.2, spread=0.1)
    errors, steeps = [], []
    for phase in (np.arange(100) + 0.5) / 100.0:
        times = (np.arange(-6, 120) + phase) * interval
        voltage = np.where(times < 0.0, start, relax(start, sources[1], load, unit, np.maximum(times, 0.0)))
        edge = find_crossings(voltage, scale)
        one = steepness(edge, swing)
        errors.append(float(edge.index[0] + placed(edge, one)[0]) - 6.0 + phase - truth)
        steeps.append(float(one[0]))
    steep = float(np.mean(steeps))

    # locked: any single phase may be the one of a whole run
    assert np.sqrt(np.mean(np.square(errors))) <= 1.1 * placement_deviation(steep, sampling_lock(1.0, 1))
    # walking: only the mean over the phases is left, within twice its standard uncertainty
    assert abs(np.mean(errors)) <= 2.0 * placement_deviation(steep, 0.0) + 0.01


@pytest.mark.independent("Monte Carlo: independent normal values")
def test_independent_values_keep_the_plain_deviation_of_the_mean() -> None:
    """For white noise the standard uncertainty is s / √n but for the one run in twenty taken for a drift."""
    rng = np.random.default_rng(13)
    runs = rng.normal(0.0, 1.0, (2000, 40))
    plain = runs.std(axis=1, ddof=1) / math.sqrt(40.0)
    ratios = np.array([mean_deviation(run) for run in runs]) / plain

    assert (ratios >= 1.0 - 1e-12).all()
    assert np.mean(ratios > 1.0 + 1e-12) == pytest.approx(0.05, abs=0.02)


@given(st.integers(3, 200), st.floats(0.01, 5.0))
def test_a_pure_drift_counts_as_one_value(count: int, slope: float) -> None:
    """Values that only drift say about their mean hardly more than one of them would."""
    values = np.linspace(0.0, slope, count)

    assert mean_deviation(values) >= 0.4 * values.std(ddof=1) if count >= 5 else True
    assert mean_deviation(values) <= values.std(ddof=1) * (1.0 + 1e-9)


def test_equal_values_have_no_scatter() -> None:
    """No scatter is no scatter."""
    assert mean_deviation(np.full(10, 3.0)) == 0.0

"""Logs smoother than their last digit: what is fitted, and that the end of finite volumes lies within the interval."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats

from coldpin.copper.heating_digits import at_changes
from coldpin.copper.heating_grid import Blocks
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.heating_rows import Array, Stretch, gather
from coldpin.copper.temperature_rise import BY_CHANGES, rise_of_log
from coldpin.quantity import Quantity
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.records.log import LogChannel, LogQuantity
from coldpin.simulator.cable import VirtualCable, VirtualTerminal
from coldpin.simulator.heating import HeatingRun, LoggedSensor, log_heating
from coldpin.simulator.logger import VirtualLogger
from coldpin.standards.book import load_book

COVERAGE = 0.95

HOT = VirtualCable(plug=VirtualTerminal(joints=(0.010, 0.0003)))
"""A joint of 10 mΩ in its plug, which warms by some 20 K."""

CASES = {
    "sheath, to 0.5 K, after 2 τ": (VirtualCable(), HeatedPart.SHEATH, 0.5, 660.0),
    "plug, to 0.1 K, after 3 τ": (VirtualCable(), HeatedPart.PLUG, 0.1, 1350.0),
    "hot plug, to 0.5 K, after 2 τ": (HOT, HeatedPart.PLUG, 0.5, 900.0),
}


def quantised(name: str, seed: int) -> tuple[TemperatureRise, float]:
    """What a log without noise says of the rise in the end, and how far the part rises in truth. [K]"""
    cable, part, step, lasts = CASES[name]
    # where the last digit changes is drawn, by current and air
    random = np.random.default_rng(seed)
    air, current = 21.0 + random.uniform(0.0, step), 22.0 + random.uniform(-2.0, 2.0)
    run = HeatingRun(currents=((60.0, 0.0), (4000.0, current)), ambient=air, stopped_at=60.0 + lasts)
    sensor = LoggedSensor(
        name="part", at=part.value, place=2.5 if part is HeatedPart.SHEATH else 0.0, noise=0.0, step=step
    )
    seen = log_heating(cable, run, seed=seed, sensors=(sensor,), logger=VirtualLogger(interval=2.0))
    told = rise_of_log(
        HeatingTest(
            part=part,
            time_s=seen.log.time_s,
            channel=seen.log.channels[0],
            ambient=Quantity(air, 0.0, "°C"),
            current=Quantity(current, 0.0, "A"),
            start_s=60.0,
        ),
        AskedUse(),
        load_book(),
    )
    return told, seen.truth.ends["part"] - air


@pytest.mark.independent("finite volumes of the simulator, which share no formula with the fit")
@pytest.mark.parametrize("name", CASES)
def test_a_log_without_noise_has_an_interval_with_two_ends_that_holds_the_truth(
    name: str, proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Read to whole digits, the end lies within the interval as often as 95 % allow, and the interval is closed."""
    trials = 24 if proving else 2
    held = closed = 0
    for seed in range(trials):
        told, truth = quantised(name, seed)
        low, high = told.end_rise_k.low, told.end_rise_k.high
        assert low is not None
        assert BY_CHANGES in told.remarks
        closed += high is not None
        held += low <= truth and (high is None or truth <= high)

    measured(f"coverage of the end without noise, {name}", held / trials, "1", "≥ 95 % (binomial)")
    measured(f"closed above without noise, {name}", closed / trials, "1", "more than half")
    assert held >= int(stats.binom.ppf(0.005, trials, COVERAGE))
    assert closed > trials / 2


def rows_of(time: Array, read: Array, step: float) -> tuple[Blocks, Blocks | None]:
    """Means of all rows, and what their changes of digit give."""
    rows = Stretch(first=0, end=time.size, current=None)
    means = gather(time, read, np.full(time.size, 20.0), None, rows, began=0.0, step=step)
    return means, at_changes(time, read, rows, means, began=0.0)


TIME = np.arange(0.0, 1600.0, 2.0)
SMOOTH = 20.0 + 12.0 * -np.expm1(-TIME / 400.0)


@pytest.mark.hand("a reading lies within half a step of the truth, and midway between two numbers when it changes")
def test_what_is_fitted_lies_nearer_the_truth_than_the_readings() -> None:
    """No place is off by more than half a step, and those that count for most are off by hardly anything."""
    _, found = rows_of(TIME, np.round(SMOOTH), 1.0)

    assert found is not None
    off = np.abs(found.temperature - np.interp(found.time, TIME, SMOOTH))
    assert off.max() <= 0.5
    assert off[found.counts > 1.5].max() < 0.05
    assert found.finer > 1.0


def test_a_log_that_scatters_is_fitted_by_its_means() -> None:
    """Noise of half a digit lets the last digit go back and forth; nothing is taken for a moment of change."""
    noise = np.random.default_rng(4).normal(0.0, 0.05, TIME.size)

    assert rows_of(TIME, np.round(SMOOTH + noise, 1), 0.1)[1] is None


@pytest.mark.parametrize("step", [0.0, 0.001, 5.0])
def test_a_digit_that_changes_always_or_hardly_ever_says_no_moments(step: float) -> None:
    """A step as fine as the rows, none at all, and one as coarse as the whole rise leave the means."""
    assert rows_of(TIME, step * np.round(SMOOTH / step) if step else SMOOTH, step)[1] is None


def test_many_changes_are_gathered_and_empty_rows_left_out() -> None:
    """Of 400 changes no more places are left than of means, in order; rows without a reading make no change."""
    time = np.arange(0.0, 8000.0, 2.0)
    read = np.round(20.0 + 0.005 * time, 1)
    read[[10, 500, 501]] = np.nan

    means, found = rows_of(time, read, 0.1)

    assert found is not None
    assert found.time.size <= means.time.size
    assert np.all(np.diff(found.time) > 0.0)
    np.testing.assert_allclose(found.temperature, 20.0 + 0.005 * found.time, atol=0.03)


def test_a_plug_that_runs_away_in_whole_digits_has_no_end() -> None:
    """Whether it rises faster and faster is seen from the rows themselves."""
    rise = np.round(21.0 + 8.0 * np.expm1(TIME / 760.0))
    channel = LogChannel(name="plug", quantity=LogQuantity.TEMPERATURE, unit="°C", values=rise, resolution=1.0)
    test = HeatingTest(
        part=HeatedPart.PLUG,
        time_s=TIME,
        channel=channel,
        ambient=Quantity(21.0, 0.2, "°C"),
        current=Quantity(16.0, 0.05, "A"),
        start_s=0.0,
    )

    told = rise_of_log(test, AskedUse(), load_book())

    assert told.open_above
    assert told.end_temperature_c.high is None
    assert told.reached is None

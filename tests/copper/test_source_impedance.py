"""Impedance of the supply: a real household's log, two readings, and what is asked of odd values."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from coldpin.copper.source_impedance import (
    FEWEST_STEPS,
    Steps,
    find_steps,
    impedance_from_readings,
    impedance_from_steps,
    impedance_of_two,
    questions,
)
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Quantity

HOUSEHOLD = "household-vi-1min/household_2007-02-01_14.csv"


@pytest.mark.independent(
    "the same 14 days reckoned beside: 146 steps, least squares 0.248 Ω, median 0.256 Ω, MAD 0.043 Ω"
)
def test_a_household_log_of_two_weeks(open_data: Path) -> None:
    """Both estimates, scatter and number to the digits given; each estimate lies in the interval."""
    voltage, current = np.loadtxt(open_data / HOUSEHOLD, delimiter=",", skiprows=1, usecols=(3, 4), unpack=True)
    steps = find_steps(60.0 * np.arange(voltage.size), voltage=voltage, current=current)
    found = impedance_from_steps(steps, accuracy=0.01)

    assert found.steps == 146
    assert found.least_squares_ohm == pytest.approx(0.248, abs=5e-4)
    assert found.median_ohm == pytest.approx(0.256, abs=5e-4)
    assert found.scatter_ohm == pytest.approx(0.043, abs=5e-4)
    assert found.resistance_ohm.low is not None
    assert found.resistance_ohm.high is not None
    assert found.resistance_ohm.low < 0.248 < found.resistance_ohm.high
    assert "Other loads" in found.remarks[0]


@pytest.mark.independent("halves of the same 14 days against each other")
def test_the_two_weeks_agree_with_each_other(open_data: Path) -> None:
    """Two halves differ by no more than their intervals allow."""
    voltage, current = np.loadtxt(open_data / HOUSEHOLD, delimiter=",", skiprows=1, usecols=(3, 4), unpack=True)
    halves = []
    for part in (slice(None, voltage.size // 2), slice(voltage.size // 2, None)):
        volts, amps = voltage[part], current[part]
        steps = find_steps(60.0 * np.arange(volts.size), voltage=volts, current=amps)
        halves.append(impedance_from_steps(steps, accuracy=0.0).resistance_ohm)
    first, second = halves
    assert first.u is not None
    assert second.u is not None

    assert abs(first.value - second.value) <= 3.0 * np.hypot(first.u, second.u)


def drawn_log(
    seed: int, *, impedance: float, wander: float, rows: int = 4000
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Voltage and current of a supply whose other loads move the voltage as a random walk does."""
    generator = np.random.default_rng(seed)
    on = np.cumsum(generator.random(rows) < 0.02) % 2
    current = 10.0 * on + generator.normal(1.0, 0.05, rows)
    voltage = 232.0 - impedance * current + np.cumsum(generator.normal(0.0, wander, rows))
    return voltage, current


def test_the_interval_holds_the_truth_as_often_as_it_says(proving: bool) -> None:
    """Of simulated supplies with other loads nineteen in twenty, less what chance allows (exact binomial)."""
    trials = 400 if proving else 60
    held = 0
    for seed in range(trials):
        voltage, current = drawn_log(seed, impedance=0.3, wander=0.4)
        steps = find_steps(np.arange(float(voltage.size)), voltage=voltage, current=current)
        found = impedance_from_steps(steps, accuracy=0.0).resistance_ohm
        assert found.low is not None
        assert found.high is not None
        held += found.low <= 0.3 <= found.high

    assert held >= stats.binom.ppf(0.001, trials, 0.95)


@pytest.mark.parametrize(("written", "load"), [(1.0, 8.7), (1.0, 13.0), (0.5, 8.7), (0.1, 8.7)])
def test_the_interval_holds_the_truth_where_the_log_has_few_digits(written: float, load: float) -> None:
    """One heater that goes on and off in a log of whole, half or tenth volts: its error is the same each time."""
    trials, held = 60, 0
    for seed in range(trials):
        generator = np.random.default_rng(seed)
        current = 0.4 + load * np.resize([0.0, 0.0, 0.0, 1.0, 1.0, 1.0], 240)
        wandering = 232.0 + generator.uniform(0.0, 1.0) + np.cumsum(generator.normal(0.0, 0.15, current.size))
        voltage = written * np.round((wandering - 0.25 * current) / written)
        rounded = np.asarray(np.round(current, 1), dtype=np.float64)
        steps = find_steps(np.arange(0.0, 60.0 * 240, 60.0), voltage=voltage, current=rounded)
        found = impedance_from_steps(steps, accuracy=0.0).resistance_ohm
        assert found.low is not None
        assert found.high is not None
        held += found.low <= 0.25 <= found.high

    assert stats.binomtest(held, trials, 0.95, alternative="less").pvalue > 0.01


def test_a_log_too_coarse_for_its_steps_says_so() -> None:
    """Where whole volts do not move with the load nothing is told of the supply, and not that its poles are changed."""
    current = np.resize([0.0, 0.0, 9.0, 9.0], 80)
    voltage = np.round(230.4 - 0.02 * current) + (np.arange(80) == 79)
    steps = find_steps(np.arange(80.0), voltage=voltage, current=current)

    with pytest.raises(OutsideRange, match=r"writes its voltage in steps of 1.0 V, and steps of 9.0 A move it by less"):
        impedance_from_steps(steps, accuracy=0.0)


def test_a_switch_of_the_transformers_tap_does_not_move_the_median() -> None:
    """Some steps that are nothing of the load's shift the least squares, and the estimator's gap is in the budget."""
    rise = np.tile([10.0, -10.0], 30)
    voltage = -0.25 * rise
    voltage[:4] += 6.0
    found = impedance_from_steps(Steps(current=rise, voltage=voltage, row=np.arange(60)), accuracy=0.0)

    assert found.median_ohm == pytest.approx(0.25)
    voltage[:30:2] += 2.0
    shifted = impedance_from_steps(Steps(current=rise, voltage=voltage, row=np.arange(60)), accuracy=0.0)
    assert shifted.resistance_ohm.u is not None
    assert shifted.least_squares_ohm != pytest.approx(shifted.median_ohm)


def test_gaps_and_rows_without_a_value_make_no_step() -> None:
    """Neither across an hour without rows nor beside a row without a voltage."""
    time = np.array([0.0, 60.0, 4000.0, 4060.0, 4120.0])
    voltage = np.array([230.0, 229.0, 226.0, np.nan, 230.0])
    current = np.array([0.0, 0.0, 16.0, 0.0, 16.0])

    assert find_steps(time, voltage=voltage, current=current).row.size == 0


def test_few_steps_and_a_rising_voltage_are_refused() -> None:
    """What to do stands in the message."""
    with pytest.raises(OutsideRange, match=f"at least {FEWEST_STEPS} are needed: log longer"):
        impedance_from_steps(
            find_steps(np.arange(3.0), voltage=np.array([230.0, 226.0, 230.0]), current=np.array([0.0, 16.0, 0.0])),
            accuracy=0.0,
        )
    time, current = np.arange(30.0), np.resize([0.0, 16.0], 30)
    with pytest.raises(OutsideRange, match="does a source feed in beside the load"):
        impedance_from_steps(find_steps(time, voltage=230.0 + 0.2 * current, current=current), accuracy=0.0)
    with pytest.raises(InputError, match="each row needs all three"):
        find_steps(time, voltage=time[1:], current=current)
    with pytest.raises(OutsideRange, match="least step"):
        find_steps(time, voltage=time, current=current, least_step=0.0)


def test_a_column_in_milliamperes_is_questioned_and_not_corrected() -> None:
    """250 mΩ read from milliamperes by mistake is 0.00025 Ω: asked about, kept as it is."""
    time, current = np.arange(30.0), np.resize([0.0, 16000.0], 30)
    found = impedance_from_steps(find_steps(time, voltage=230.0 - 0.25e-3 * current, current=current), accuracy=0.0)

    assert found.median_ohm == pytest.approx(0.25e-3)
    assert "is the current in A" in found.remarks[-1]
    assert questions(0.25) == ()


def test_without_the_meters_accuracy_the_uncertainty_is_not_known() -> None:
    """The estimate and its scatter are told all the same."""
    time, current = np.arange(30.0), np.resize([0.0, 16.0], 30)
    found = impedance_from_steps(find_steps(time, voltage=230.0 - 0.25 * current, current=current), accuracy=None)

    assert found.resistance_ohm.u is None
    assert "accuracy of the meter" in found.resistance_ohm.why
    assert found.scatter_ohm == pytest.approx(0.0, abs=1e-12)


@pytest.mark.hand("(232.4 V − 228.4 V) / 16 A = 0.25 Ω")
def test_two_readings() -> None:
    """The difference of two readings of one meter, whose error of scale cancels."""
    meter = {"loaded": Quantity(228.4, 0.05, "V"), "unloaded": Quantity(232.4, 0.05, "V")}
    found = impedance_from_readings(**meter, current=Quantity(16.0, 0.1, "A"))

    assert found.resistance_ohm.value == pytest.approx(0.25)
    assert found.resistance_ohm.u == pytest.approx(np.hypot(np.sqrt(2.0) * 0.05 / 16.0, 0.25 * 0.1 / 16.0))
    assert "wandered" in found.remarks[0]


@pytest.mark.parametrize(
    ("unloaded", "loaded", "current", "message"),
    [(230.0, 231.0, 16.0, "changed over"), (230.0, 226.0, 0.0, "must be above 0 A")],
)
def test_two_readings_that_show_nothing(unloaded: float, loaded: float, current: float, message: str) -> None:
    """A voltage that did not fall, or no load."""
    volts = {"unloaded": Quantity(unloaded, 0.1, "V"), "loaded": Quantity(loaded, 0.1, "V")}
    with pytest.raises(OutsideRange, match=message):
        impedance_from_readings(**volts, current=Quantity(current, 0.1, "A"))


@given(fall=st.floats(0.1, 20.0), more=st.floats(1.01, 3.0), current=st.floats(1.0, 32.0))
def test_a_larger_fall_is_a_larger_impedance(fall: float, more: float, current: float) -> None:
    """And a larger current for the same fall a smaller one."""
    base = impedance_of_two(unloaded=230.0, loaded=230.0 - fall, current=current)

    assert impedance_of_two(unloaded=230.0, loaded=230.0 - more * fall, current=current) > base
    assert impedance_of_two(unloaded=230.0, loaded=230.0 - fall, current=more * current) < base

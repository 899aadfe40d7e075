"""Steps of the offer inside one state: found to the cycle, and told from noise, drift and coarse sampling."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.pilot import read_pilot
from coldpin.pilot.offer_steps import LEAST_STEP, steps_of
from coldpin.records.pilot import PilotReading, State
from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.simulator.load import Schedule
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition

CYCLE = 1e-3
DUTY = 26.67


def read(schedule: Schedule, interval: float = 4e-6, **unit: float) -> PilotReading:
    """A capture of a virtual unit as read."""
    specimen = VirtualUnit(duty=DUTY, **unit)  # type: ignore[arg-type]  # fields by name
    bench = set_up_bench(VirtualScope(), seed=1)
    taken = simulate_capture(specimen, VirtualVehicle(), schedule, bench, seed=1, sample_interval=interval)
    return read_pilot(taken.waveform, book=load_book(), edition=Edition.IEC_3)


@pytest.mark.hand("duty cycle and instants of the schedule")
@pytest.mark.parametrize(("interval", "duty"), [(4e-6, 16.67), (1e-6, 25.0), (2e-5, 16.67)])
@pytest.mark.parametrize("letter", ["B", "C"])
def test_a_change_of_the_offer_splits_its_run(interval: float, duty: float, letter: str) -> None:
    """Each part has its own duty cycle, and the change is placed to two cycles."""
    reading = read(((0.15, letter), (0.1, f"{letter}, duty {duty}")), interval)
    runs = [run for run in reading.runs if run.state is State(f"{letter}2")]
    before, after = runs

    assert before.duty_percent is not None
    assert after.duty_percent is not None
    one_sample = 100.0 * interval / CYCLE
    assert before.duty_percent.value == pytest.approx(DUTY, abs=0.3 + one_sample)
    assert after.duty_percent.value == pytest.approx(duty, abs=0.3 + one_sample)
    assert after.start_s == pytest.approx(0.15, abs=2.0 * CYCLE)
    assert before.end_s == after.start_s


@pytest.mark.parametrize("interval", [1e-6, 4e-6, 1.0 / 48e3, 2e-5])
@pytest.mark.parametrize("unit", [{}, {"jitter": 5e-6}, {"duty_drift": 3.0, "warm_up": 0.3}, {"frequency": 1003.1}])
def test_noise_sampling_and_drift_are_no_steps(interval: float, unit: dict[str, float]) -> None:
    """One offer is one run, whatever the instrument and the oscillator do to it."""
    assert [run.state for run in read(((0.5, "B"),), interval, **unit).runs] == [State.B2]


@given(
    first=st.integers(18, 60),
    second=st.integers(18, 60),
    step=st.floats(1.2, 40.0),
    down=st.booleans(),
    length=st.integers(3, 6),
)
def test_any_step_is_found_where_it_is(first: int, second: int, step: float, down: bool, length: int) -> None:
    """Two values that last, one step: at the first cycle of the second."""
    duty = np.repeat([45.0, 45.0 - step if down else 45.0 + step], [first, second])

    assert steps_of(duty, length, least=LEAST_STEP) == [first]


def test_a_step_below_half_an_ampere_is_wandering() -> None:
    """Neither a small step nor a slow ramp through many points is a change of the offer."""
    assert steps_of(np.repeat([26.0, 26.7], 40), 5, least=LEAST_STEP) == []
    assert steps_of(np.linspace(20.0, 30.0, 200), 5, least=LEAST_STEP) == []
    assert steps_of(np.empty(0), 5, least=LEAST_STEP) == []

"""The virtual oscillator: warming up, dying, and offers that change while it runs."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import quad

from coldpin.errors import OutsideRange
from coldpin.simulator import VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.simulator.controller import conditions
from coldpin.simulator.load import Schedule
from coldpin.simulator.oscillator import cycles_since_start, driver_edges
from coldpin.simulator.scope import VirtualScope

DRIFTING = VirtualUnit(frequency_drift=-0.04, duty_drift=1.5, warm_up=0.5)


def edges(unit: VirtualUnit, schedule: Schedule) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Rising and falling edges."""
    instants, rising = driver_edges(unit, conditions(unit, VirtualVehicle(), schedule), np.random.default_rng(1))
    return instants[rising], instants[~rising]


@pytest.mark.independent("the frequency integrated by quadrature")
@pytest.mark.parametrize("until", [0.1, 0.7, 3.0])
def test_cycles_are_the_integral_of_the_frequency(until: float) -> None:
    """The count of cycles is the integral of a frequency that settles exponentially."""

    def frequency(time: float) -> float:
        return 1000.0 * (1.0 - 0.04 * (1.0 - math.exp(-time / 0.5)))

    counted = cycles_since_start(DRIFTING, np.array([until]))[0]

    assert counted == pytest.approx(quad(frequency, 0.0, until, epsabs=1e-10)[0], rel=1e-12)


@pytest.mark.hand(
    "1000 Hz cold; 1000 x (1 - 0.04 (1 - e^-4)) Hz after four time constants; duty 26.67 % + 1.5 (1 - e^-4)"
)
def test_frequency_and_duty_move_as_the_unit_warms_up() -> None:
    """The first periods are those of the cold oscillator, the last those of the warm one; rises stay in order."""
    rises, falls = edges(DRIFTING, [(2.0, "B")])
    periods = np.diff(rises)
    duties = 100.0 * (falls - rises)[:-1] / periods
    inside = (rises[:-1] > 0.0) & (rises[:-1] < 2.0)

    assert 1.0 / periods[inside][0] == pytest.approx(1000.0, abs=0.1)
    assert 1.0 / periods[inside][-1] == pytest.approx(1000.0 * (1.0 - 0.04 * (1.0 - np.exp(-4.0))), abs=0.1)
    assert duties[inside][0] == pytest.approx(26.67, abs=0.01)
    assert duties[inside][-1] == pytest.approx(26.67 + 1.5 * (1.0 - np.exp(-4.0)), abs=0.01)
    assert np.all(periods > 0.0)
    assert rises[0] < 0.0
    assert rises[-1] > 2.0


@pytest.mark.hand("a faster oscillator needs more edges to reach the end")
def test_edges_reach_to_the_end_of_a_faster_oscillator() -> None:
    """Also an oscillator that speeds up is still running at the end."""
    rises, _ = edges(VirtualUnit(frequency_drift=0.2, warm_up=0.1), [(1.0, "B")])

    assert rises[-1] > 1.0


@pytest.mark.hand("number of rises in the truth's run over its length")
def test_the_truth_of_a_drifting_run_is_that_of_the_whole() -> None:
    """The truth gives the mean frequency of the run, which the samples have too."""
    quiet = VirtualScope(bits=24, noise=0.0, gain_limit=0.0, offset_limit=0.0, timebase_limit=0.0)
    bench = set_up_bench(quiet, seed=1)
    capture = simulate_capture(DRIFTING, VirtualVehicle(), [(1.0, "B")], bench, seed=1, sample_interval=1e-5)
    (run,) = capture.truth.runs
    voltage = capture.waveform.voltage
    at = np.flatnonzero((voltage[:-1] <= 0.0) & (voltage[1:] > 0.0))

    assert run.frequency == pytest.approx((at.size - 1) / ((at[-1] - at[0]) * 1e-5), abs=0.05)
    assert run.duty == pytest.approx(100.0 * np.mean(voltage > 0.0), abs=0.2)
    assert run.frequency is not None
    assert run.frequency < 990.0


@pytest.mark.hand("after its death the pilot rests high: 9 V in B, and never crosses zero again")
def test_a_dead_oscillator_leaves_the_pilot_high() -> None:
    """The oscillator stops in the middle of a run, and the truth says so."""
    unit = VirtualUnit(oscillator_dies=0.05)
    bench = set_up_bench(VirtualScope(noise=0.0), seed=1)
    capture = simulate_capture(unit, VirtualVehicle(), [(0.1, "B")], bench, seed=1, sample_interval=1e-5)

    assert [(run.state, run.start) for run in capture.truth.runs] == [("B2", 0.0), ("B1", 0.05)]
    assert capture.waveform.voltage[:5000].min() < -11.0
    assert capture.waveform.voltage[5010:].min() > 8.0


@pytest.mark.hand("six requests a second apart: the first at once, the next when five seconds have passed")
def test_offers_change_no_more_often_than_every_five_seconds() -> None:
    """A sound unit keeps an offer for five seconds and then takes what was asked last."""
    asked = [(1.0, "C")] + [(1.0, f"C, duty {duty}") for duty in (10, 12, 14, 16, 18, 20, 22)]
    told: list[tuple[float, float]] = []
    for part in conditions(VirtualUnit(), VirtualVehicle(), asked):
        if not told or told[-1][1] != part.duty:
            told.append((part.start, part.duty))

    assert told == [(0.0, 26.67), (1.0, 10.0), (6.0, 20.0)]


@pytest.mark.hand("the duty cycles that were asked for, less what the edges take")
def test_an_offer_that_changes_is_in_samples_and_truth() -> None:
    """Each offer is a run of its own with its own duty cycle."""
    quiet = VirtualScope(bits=24, noise=0.0, gain_limit=0.0, offset_limit=0.0, timebase_limit=0.0)
    bench = set_up_bench(quiet, seed=1)
    steps = [(0.2, "B"), (0.2, "B, duty 50"), (0.2, "B, duty 50")]
    capture = simulate_capture(VirtualUnit(), VirtualVehicle(), steps, bench, seed=1, sample_interval=2e-6)
    first, second = capture.truth.runs
    high = capture.waveform.voltage > 0.0

    assert first.duty == pytest.approx(26.67, abs=0.15)
    assert second.duty == pytest.approx(50.0, abs=0.15)
    assert 100.0 * np.mean(high[2000:98_000]) == pytest.approx(first.duty, abs=0.3)
    assert 100.0 * np.mean(high[102_000:]) == pytest.approx(second.duty, abs=0.3)


@pytest.mark.hand("texts of the messages")
def test_drifts_that_cannot_be_are_refused() -> None:
    """A drift that leaves no oscillator is named."""
    with pytest.raises(OutsideRange, match="it is a part of the frequency"):
        VirtualUnit(frequency_drift=-1.0)
    with pytest.raises(OutsideRange, match="an oscillator lies between 0 and 100 %"):
        VirtualUnit(duty_drift=-30.0)
    with pytest.raises(OutsideRange, match="warm_up is 0; it must be above zero"):
        VirtualUnit(warm_up=0.0)

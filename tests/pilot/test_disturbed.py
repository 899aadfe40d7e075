"""Plateaus under overshoot, ringing, ripple, hum, spikes and a sampling filter; what ripples stays a state."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.pilot import ScopeAccuracy, read_pilot
from coldpin.records.pilot import PilotReading
from coldpin.records.waveform import Waveform
from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.simulator.fault import fault
from coldpin.standards import Edition, load_book, parse_accuracy

from .rc_circuit import LOADS, Stage, Unit, rest, sample_times, waveform

Numbers = NDArray[np.float64]
BOOK = load_book()
PERIOD = 1.0 / 1003.7
FINE = ScopeAccuracy(vertical=parse_accuracy("0.01 V"))
"""Better than common scopes, so that U is hardly wider than what the disturbance itself leaves."""


def _since(time: Numbers, duty: float) -> tuple[Numbers, Numbers]:
    """Time since the last rising and the last falling edge of the source. [s]"""
    return time % PERIOD, (time - duty / 100.0 * PERIOD) % PERIOD


def _overshoot(voltage: Numbers, time: Numbers, duty: float) -> Numbers:
    up, down = _since(time, duty)
    return voltage + 4.0 * np.exp(-up / 3e-6) - 4.0 * np.exp(-down / 3e-6)


def _ringing(voltage: Numbers, time: Numbers, duty: float) -> Numbers:
    up, down = (3.0 * np.exp(-since / 3e-6) * np.sin(2e6 * since) for since in _since(time, duty))
    return voltage + up - down


def _hum(voltage: Numbers, time: Numbers, duty: float) -> Numbers:
    del duty
    return voltage + 0.3 * np.sin(2.0 * np.pi * 50.0 * time + 1.0)


def _fast_ripple(voltage: Numbers, time: Numbers, duty: float) -> Numbers:
    del duty
    return voltage + 0.2 * np.sin(2.0 * np.pi * 63e3 * time)


def _spikes(voltage: Numbers, time: Numbers, duty: float) -> Numbers:
    del time, duty
    rng = np.random.default_rng(6)
    at = rng.choice(voltage.size, voltage.size // 100, replace=False)
    spiked = voltage.copy()
    spiked[at] += rng.choice([-6.0, 6.0], at.size)
    return spiked


def _humps(voltage: Numbers, time: Numbers, duty: float) -> Numbers:
    del time, duty
    taps = np.sinc(0.9 * np.arange(-12, 13)) * np.hamming(25)
    return np.convolve(np.pad(voltage, 12, mode="edge"), taps / taps.sum(), "valid")


DISTURBANCES = {
    "overshoot of 4 V": _overshoot,
    "ringing of 3 V": _ringing,
    "hum of 0.3 V": _hum,
    "ripple of 0.2 V at 63 kHz": _fast_ripple,
    "spikes of 6 V in one sample of a hundred": _spikes,
    "humps of a steep sampling filter": _humps,
}


def read(voltage: Numbers, interval: float = 1e-6, accuracy: ScopeAccuracy | None = None) -> PilotReading:
    """Read bare samples."""
    given = Waveform(voltage=voltage, sample_interval=interval)
    return read_pilot(given, book=BOOK, edition=Edition.IEC_3, accuracy=accuracy)


@pytest.mark.independent("circuit solved by hand, disturbed")
@pytest.mark.parametrize("disturb", DISTURBANCES.values(), ids=list(DISTURBANCES))
def test_levels_stay_within_their_uncertainty(
    disturb: Callable[[Numbers, Numbers, float], Numbers], measured: Callable[[str, float, str, str], None]
) -> None:
    """State and both levels are right from 5 % (a plateau of 50 µs) to 96 %, with little and with much capacitance."""
    worst = 0.0
    for duty in (5.0, 53.33, 96.0):
        for letter, capacitance in (("A", 1e-9), ("C", 1e-9), ("C", 5.5e-9), ("D", 3.1e-9)):
            unit = Unit(capacitance=capacitance, frequency=1.0 / PERIOD)
            times = sample_times(60_000, 1e-6)
            clean = waveform([Stage(duration=0.061, load=LOADS[letter], duty=duty)], unit, times)
            shown = disturb(clean, times, duty) + np.random.default_rng(3).normal(0.0, 0.02, times.size)
            (run,) = read(shown, accuracy=FINE).runs
            assert run.state.value == f"{letter}2"
            for level, true in ((run.high_v, rest(unit.high, LOADS[letter], unit)), (run.low_v, unit.low)):
                assert level is not None
                assert level.expanded is not None
                assert abs(level.value - true) <= level.expanded, (duty, letter, capacitance)
                worst = max(worst, abs(level.value - true))
    measured(f"level under {disturb.__name__.strip('_').replace('_', ' ')}", worst, "V", "≤ its U")


@pytest.mark.hand("a level of 9 V with a ripple that keeps it within 8 V to 10 V")
@pytest.mark.parametrize(("frequency", "amplitude"), [(50.0, 0.9), (100.0, 0.5), (1000.0, 0.3), (20e3, 0.4)])
def test_a_steady_state_that_ripples_is_that_state(frequency: float, amplitude: float) -> None:
    """Its level lies in the middle of the ripple, and its uncertainty holds the middle."""
    time = sample_times(100_000, 1e-6)
    ripple = amplitude * np.sin(2.0 * np.pi * frequency * time)
    (run,) = read(9.0 + ripple + np.random.default_rng(1).normal(0.0, 0.01, time.size)).runs

    assert run.state.value == "B1"
    assert run.low_v is None
    assert run.high_v is not None
    assert run.high_v.expanded is not None
    assert abs(run.high_v.value - 9.0) <= max(run.high_v.expanded, 0.002)


@pytest.mark.hand("a level that jumps between two states within each block is neither")
def test_two_levels_of_two_states_are_undefined() -> None:
    """Nothing is averaged over a window's edge."""
    voltage = np.asarray(np.tile(np.repeat([9.0, 6.0], [60, 40]), 500), dtype=np.float64)
    (run,) = read(voltage).runs

    assert run.state.value == "undefined"


@pytest.mark.hand("an 8-bit level between two steps, beside a few values off the steps")
def test_odd_values_do_not_hide_the_steps_of_an_instrument() -> None:
    """A level that toggles between two steps has one level although some samples were altered."""
    step = 0.15625
    toggling = 57 * step + step * np.random.default_rng(2).integers(0, 2, 50_000)
    toggling[1000:1006] = [8.9101, 8.9733, 8.91337, 8.7541, 8.7212, 8.8888]
    (run,) = read(np.asarray(toggling, dtype=np.float64)).runs

    assert run.state.value == "B1"
    assert run.high_v is not None
    assert run.high_v.value == pytest.approx(57.5 * step, abs=0.5 * step)


@pytest.mark.independent("simulator: rails with half a volt of ripple at twice the mains frequency")
@pytest.mark.parametrize("interval", [1e-6, 1.0 / 48e3])
def test_a_unit_with_ripple_on_the_simulated_bench(interval: float) -> None:
    """All states are told, steady and oscillating, and levels are within 4 U of the truth."""
    unit, vehicle = fault("ripple").applied(VirtualUnit(duty=26.67), VirtualVehicle())
    bench = set_up_bench(VirtualScope(gain_limit=0.0, offset_limit=0.0, bits=12, noise=0.005), seed=3)
    schedule = [(0.1, "A"), (0.2, "B"), (0.2, "C"), (0.1, "D")]
    captured = simulate_capture(unit, vehicle, schedule, bench, seed=3, sample_interval=interval)
    reading = read_pilot(captured.waveform, book=BOOK, edition=Edition.IEC_3)

    assert [run.state.value for run in reading.runs] == [run.state for run in captured.truth.runs]
    for run, true in zip(reading.runs, captured.truth.runs, strict=True):
        for level, expected in ((run.high_v, true.high), (run.low_v, true.low)):
            if expected is not None:
                assert level is not None
                assert level.u is not None
                assert abs(level.value - expected) <= 4.0 * level.u

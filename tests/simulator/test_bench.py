"""The virtual instruments: what they add, what they take, and that their errors stay the same."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator import (
    Bench,
    MeterRange,
    VirtualMeter,
    VirtualScope,
    VirtualUnit,
    VirtualVehicle,
    set_up_bench,
    simulate_capture,
)
from coldpin.simulator.scope import digitise

QUIET = VirtualScope(bits=24, noise=0.0, hum=0.0)
OHMS = VirtualMeter(
    name="ohms",
    percent=0.5,
    digits=2,
    ranges=(
        MeterRange(top=2.0, digit=0.001, unit="Ω"),
        MeterRange(top=200.0, digit=0.1, unit="Ω"),
        MeterRange(top=20.0e3, digit=10.0, unit="kΩ", factor=1.0e3),
    ),
)


def steady_level(bench: Bench, unit: VirtualUnit, seed: int) -> float:
    capture = simulate_capture(unit, VirtualVehicle(), [(0.01, "A")], bench, seed=seed)
    return float(np.mean(capture.waveform.voltage))


@pytest.mark.hand("two levels of the same bench give its gain and its offset: a straight line through two points")
def test_scope_errors_are_drawn_once_for_a_bench() -> None:
    """Gain and offset found from two levels are the bench's own, and the same in every later capture."""
    bench = set_up_bench(QUIET, seed=11)
    strong, weak = VirtualUnit(rail_high=12.0), VirtualUnit(rail_high=3.0)
    divider = 1.0 / (1.0 + 1000.0 / 10.0e6)
    for seed in range(3):
        high, low = steady_level(bench, strong, seed), steady_level(bench, weak, seed + 100)
        gain = (high - low) / (9.0 * divider)
        assert gain - 1.0 == pytest.approx(bench.gain, abs=2e-6)
        assert high - gain * 12.0 * divider == pytest.approx(bench.offset, abs=1e-5)
    assert set_up_bench(QUIET, seed=12).gain != bench.gain


@pytest.mark.hand("rectangular: never outside, mean absolute value half the limit, standard deviation limit / √3")
def test_bench_errors_fill_the_limits_the_maker_states() -> None:
    """Errors over many benches are rectangular as wide as the statement."""
    benches = [set_up_bench(VirtualScope(), [OHMS], seed=seed) for seed in range(1500)]
    scope = VirtualScope()
    for drawn, limit in (
        ([bench.gain for bench in benches], scope.gain_limit),
        ([bench.output_gain for bench in benches], scope.gain_limit),
        ([bench.offset for bench in benches], scope.offset_limit),
        ([bench.timebase for bench in benches], scope.timebase_limit),
        ([bench.meter_parts["ohms"] for bench in benches], 1.0),
    ):
        assert np.abs(drawn).max() <= limit
        assert np.std(drawn) == pytest.approx(limit / math.sqrt(3.0), rel=0.05)


@pytest.mark.hand("a clock 200 ppm slow counts 200 ppm more periods in what it takes for a second")
def test_timebase_error_shows_in_the_frequency() -> None:
    """The period read by the scope's clock is short by the clock's error."""
    bench = replace(set_up_bench(QUIET, seed=1), timebase=2.0e-4, gain=0.0, offset=0.0)
    capture = simulate_capture(VirtualUnit(), VirtualVehicle(), [(0.5, "B")], bench, seed=1)
    voltage = capture.waveform.voltage
    at = np.flatnonzero((voltage[:-1] <= 0.0) & (voltage[1:] > 0.0))
    crossings = (at - voltage[at] / (voltage[at + 1] - voltage[at])) * 1.0e-6
    period = (crossings[-1] - crossings[0]) / (at.size - 1)

    assert period == pytest.approx(1.0e-3 / (1.0 + 2.0e-4), abs=1e-9)
    assert capture.waveform.samples == 500_000


@pytest.mark.hand("40 V over 256 steps are 0.15625 V; beyond -20 V and 19.84375 V nothing is told apart")
def test_samples_are_steps_of_the_converter_and_clipped_ones_are_marked() -> None:
    """Every sample is a whole number of steps; what lies beyond the screen stops at its end and is marked."""
    wide = set_up_bench(VirtualScope(), seed=2)
    capture = simulate_capture(VirtualUnit(), VirtualVehicle(), [(0.02, "B")], wide, seed=2)
    codes = capture.waveform.voltage / 0.15625
    assert capture.waveform.resolution == 0.15625
    assert np.array_equal(codes, np.round(codes))
    assert capture.waveform.overload is None

    narrow = set_up_bench(VirtualScope(full_scale=20.0), seed=2)
    clipped = simulate_capture(VirtualUnit(), VirtualVehicle(), [(0.02, "B")], narrow, seed=2).waveform
    assert clipped.overload is not None
    assert clipped.voltage.min() == -10.0
    assert np.mean(clipped.overload) == pytest.approx(1.0 - 0.2667, abs=0.01)
    assert np.all(clipped.voltage[clipped.overload] == -10.0)
    assert not clipped.overload[clipped.voltage > -10.0].any()


@given(st.integers(1, 16), st.lists(st.floats(-30.0, 30.0), min_size=1, max_size=20))
@pytest.mark.hand("rounding to the nearest step leaves at most half a step")
def test_quantisation_leaves_half_a_step(bits: int, volts: list[float]) -> None:
    """A sample within the scale is at most half a step away; one beyond is marked and lies at the end."""
    voltage = np.array(volts)
    samples, beyond = digitise(voltage, full_scale=40.0, bits=bits)
    step = 40.0 / 2**bits

    assert np.all(np.abs(samples - voltage)[~beyond] <= step / 2.0 + 1e-12)
    assert np.all(np.isin(samples[beyond], [-20.0, 20.0 - step]))


@pytest.mark.hand("noise of 20 mV before a fine converter has a standard deviation of 20 mV")
def test_noise_is_as_large_as_stated() -> None:
    """Noise adds with its r.m.s. value, about the level."""
    noisy = replace(QUIET, noise=0.02)
    capture = simulate_capture(VirtualUnit(), VirtualVehicle(), [(0.1, "A")], set_up_bench(noisy, seed=1), seed=1)

    assert np.std(capture.waveform.voltage) == pytest.approx(0.02, rel=0.02)


@pytest.mark.hand("a pole at 20 kHz has τ = 7.96 µs, so 10-90 % takes at least 2.2 τ = 17.5 µs")
def test_bandwidth_slows_the_edges() -> None:
    """A scope of little bandwidth shows edges as slow as its pole makes them."""

    def rise_time(bandwidth: float) -> float:
        scope = replace(QUIET, bandwidth=bandwidth, gain_limit=0.0, offset_limit=0.0)
        unit = VirtualUnit(capacitance=1.0e-10)
        bench = set_up_bench(scope, seed=1)
        seen = simulate_capture(
            unit, VirtualVehicle(capacitance=0.0), [(0.003, "B")], bench, seed=1, sample_interval=1.0e-7
        ).waveform.voltage
        low, high = float(seen.min()), float(seen.max())
        at = int(np.flatnonzero((seen[:-1] <= 0.0) & (seen[1:] > 0.0))[0])
        edge = seen[max(0, at - 600) : at + 600]
        inside = (edge > low + 0.1 * (high - low)) & (edge < low + 0.9 * (high - low))
        return float(np.count_nonzero(inside)) * 1.0e-7

    assert rise_time(20.0e6) < 1.3e-6
    assert rise_time(20.0e3) == pytest.approx(2.197 * 7.96e-6, rel=0.03)


@given(st.floats(0.0, 19_000.0), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
@pytest.mark.hand("0.5 % of reading + 2 digits, one digit of scatter, half a digit of rounding")
def test_readings_stay_within_the_statement(truth: float, part: float, scattered: float) -> None:
    """A reading is within the stated limits, its scatter and the rounding of its last figure."""
    text, unit = OHMS.show(truth, part=part, scattered=scattered).split()
    used = OHMS.range_for(truth)
    assert used is not None
    value = float(text) * used.factor

    assert unit == used.unit
    assert abs(value - truth) <= 0.005 * truth + (2.0 + 1.0 + 0.5) * used.digit * (1.0 + 1e-9)


@pytest.mark.hand("resolution of the range picked")
@pytest.mark.parametrize(
    ("truth", "text"),
    [(0.1184, "0.118 Ω"), (2.5, "2.5 Ω"), (1500.0, "1.50 kΩ"), (25_000.0, "> 20.00 kΩ"), (0.0, "0.000 Ω")],
)
def test_a_meter_writes_as_its_display_shows(truth: float, text: str) -> None:
    """The range picked sets figures and unit; beyond the last one the reading says so."""
    assert OHMS.show(truth, part=0.0) == text


@pytest.mark.hand("the part is drawn for the bench, the scatter for each reading")
def test_repeats_share_the_error_of_their_meter() -> None:
    """Repeats scatter by a digit about one value that stays off the truth by the same amount."""
    bench = set_up_bench(QUIET, [OHMS], seed=4)
    rng = np.random.default_rng(1)
    first, second = (
        [float(text.removesuffix(" Ω")) for text in bench.read("ohms", 0.5, rng=rng, repeats=40)] for _ in range(2)
    )

    off = bench.meter_parts["ohms"] * (0.005 * 0.5 + 0.002)
    assert np.mean(first) - 0.5 == pytest.approx(off, abs=5e-4)
    assert np.mean(first) == pytest.approx(np.mean(second), abs=5e-4)
    assert np.ptp(first) >= 0.001


@pytest.mark.hand("texts of the messages")
def test_instruments_that_cannot_be_are_refused() -> None:
    """Unknown meters, empty meters and impossible scopes are each named."""
    bench = set_up_bench(QUIET, [OHMS], seed=4)
    with pytest.raises(UnknownName, match="unknown meter on this bench 'volts'"):
        bench.read("volts", 1.0, rng=np.random.default_rng(1))
    with pytest.raises(OutsideRange, match="virtual meter none: it has no range; give at least one"):
        VirtualMeter(name="none", percent=1.0, digits=1, ranges=())
    with pytest.raises(OutsideRange, match="virtual scope scope: 0 bits; converters have 1 to 24"):
        VirtualScope(bits=0)
    with pytest.raises(OutsideRange, match="full_scale is 0; it must be above zero"):
        VirtualScope(full_scale=0.0)

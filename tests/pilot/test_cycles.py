"""Crossings, glitches, plateaus and the parts a capture is taken into."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.pilot.crossings import drop_glitches, find_crossings
from coldpin.pilot.cycles import Decoded, decode
from coldpin.pilot.plateaus import find_levels
from coldpin.pilot.scale import Scale, scale_of, step_of

from .rc_circuit import LOADS, Stage, Unit, rest, sample_times, waveform

Numbers = NDArray[np.float64]
MICROSECOND = 1e-6
QUIET = Scale(interval=MICROSECOND, noise=0.0, step=0.0, hysteresis=0.2, spread=0.1)


def square(on: int, off: int, cycles: int, *, high: float = 9.0, low: float = -12.0) -> Numbers:
    """Return whole cycles, each beginning with its low half."""
    return np.tile(np.repeat([low, high], [off, on]), cycles)


def pilot(
    stages: list[Stage], *, interval: float = MICROSECOND, noise: float = 0.0, unit: Unit | None = None
) -> Numbers:
    """Return a capture of stages of the circuit solved by hand."""
    samples = round(sum(stage.duration for stage in stages) / interval)
    clean = waveform(stages, unit or Unit(), sample_times(samples, interval), phase=0.37)
    return clean + np.random.default_rng(1).normal(0.0, noise, samples)


def parts(decoded: Decoded) -> Numbers:
    """Return first and stop of all parts of a capture, in order of time: array of shape (k, 2)."""
    steady, cycles = decoded.steady, decoded.cycles
    first = np.concatenate((cycles.first, steady.first, decoded.single_first))
    stop = np.concatenate((cycles.stop, steady.stop, decoded.single_stop))
    order = np.argsort(first)
    return np.stack((first[order], stop[order]), axis=1)


@pytest.mark.hand("a ramp from -12 V to +9 V in 21 samples passes 0 V at its sample 12")
def test_a_crossing_is_placed_at_zero_by_interpolation() -> None:
    """The integer is the sample before, the fraction the way to 0 V; hysteresis does not move either."""
    ramp = np.concatenate((np.full(100, -12.0), np.arange(-11.75, 9.0), np.full(100, 9.0)))
    for hysteresis in (0.1, 1.0, 8.0):
        found = find_crossings(ramp, Scale(interval=1e-6, noise=0.0, step=0.0, hysteresis=hysteresis, spread=0.1))

        assert (found.index.tolist(), found.fraction.tolist()) == ([111], [0.75])
        assert (found.rise.tolist(), found.rising.tolist(), found.clean.tolist()) == ([1.0], [True], [True])


@given(st.integers(30, 900), st.integers(30, 900), st.integers(2, 8), st.floats(2.5, 12.5), st.floats(-12.5, -2.2))
def test_cycles_of_a_square_wave(on: int, off: int, cycles: int, high: float, low: float) -> None:
    """Count, period, on-time and levels of an ideal square wave come back exactly."""
    table = decode(square(on, off, cycles, high=high, low=low), QUIET).cycles

    assert table.first.tolist() == [off + k * (on + off) for k in range(cycles - 1)]
    assert table.period_samples() == pytest.approx(on + off, abs=1e-9)
    # the crossing lies where the line between two samples meets 0 V, alike at both edges
    up, down = -low / (high - low), high / (high - low)
    assert table.on_samples() == pytest.approx(on + down - up, abs=1e-9)
    assert table.high.levels.level == pytest.approx(high, abs=1e-9)
    assert table.low.levels.level == pytest.approx(low, abs=1e-9)


@given(
    st.lists(
        st.tuples(st.floats(2e-4, 0.012), st.sampled_from("ABCD"), st.sampled_from([0.0, 5.0, 26.7, 60.0, 100.0])),
        min_size=1,
        max_size=6,
    ),
    st.sampled_from([MICROSECOND, 5e-6, 1.0 / 48000.0]),
)
def test_the_parts_cover_the_capture(stages: list[tuple[float, str, float]], interval: float) -> None:
    """Cycles, steady blocks and single halves join without gap or overlap, whatever happens on the pilot."""
    voltage = pilot(
        [Stage(duration=duration, load=LOADS[load], duty=duty) for duration, load, duty in stages],
        interval=interval,
        noise=0.05,
    )
    covered = parts(decode(voltage, scale_of(voltage, interval)))

    assert covered[0, 0] == 0
    assert covered[-1, 1] == voltage.size
    assert (covered[1:, 0] == covered[:-1, 1]).all()


@given(st.integers(0, 60_000), st.integers(3000, 40_000))
def test_a_part_of_a_capture_gives_the_same_integers(first: int, length: int) -> None:
    """A part read with the whole's scale and its place gives the same cycles and blocks, but for those at its ends."""
    stages = [Stage(duration=0.012, load=LOADS["A"])]
    stages += [Stage(duration=0.04, load=LOADS["B"], duty=26.7), Stage(duration=0.05, load=LOADS["C"], duty=0.0)]
    voltage = pilot(stages, noise=0.05)
    scale = scale_of(voltage, MICROSECOND)
    whole = decode(voltage, scale)
    stop = min(voltage.size, first + length)
    part = decode(voltage[first:stop], scale, offset=first)

    inside = (whole.cycles.first > first) & (whole.cycles.stop < stop)
    for name in ("rise", "fall", "end"):
        assert getattr(part.cycles, name).index.tolist() == getattr(whole.cycles, name).index[inside].tolist()
        assert (getattr(part.cycles, name).fraction == getattr(whole.cycles, name).fraction[inside]).all()
    assert part.cycles.high.levels.samples.tolist() == whole.cycles.high.levels.samples[inside].tolist()
    assert part.cycles.high.levels.level == pytest.approx(whole.cycles.high.levels.level[inside], abs=1e-9)
    shared = np.isin(whole.steady.first, part.steady.first) & np.isin(whole.steady.stop, part.steady.stop)
    assert np.isin(part.steady.first, whole.steady.first[shared]).sum() >= part.steady.first.size - 4


@given(st.integers(-50, 50).filter(bool), st.floats(0.3, 4.0))
def test_levels_follow_offset_and_gain(offset_steps: int, gain: float) -> None:
    """A gain scales every level; a small offset moves every level and leaves the order of parts."""
    voltage = pilot([Stage(duration=0.01, load=LOADS["B"], duty=40.0)], noise=0.03)
    plain = decode(voltage, scale_of(voltage, MICROSECOND)).cycles
    scaled = decode(voltage * gain, scale_of(voltage * gain, MICROSECOND)).cycles
    moved = decode(voltage + 0.002 * offset_steps, scale_of(voltage, MICROSECOND)).cycles

    assert (scaled.rise.index == plain.rise.index).all()
    assert scaled.rise.fraction == pytest.approx(plain.rise.fraction, abs=1e-9)
    assert scaled.high.levels.level == pytest.approx(gain * plain.high.levels.level, rel=2e-3)
    assert moved.high.levels.level == pytest.approx(plain.high.levels.level + 0.002 * offset_steps, abs=1e-9)
    assert moved.low.levels.level == pytest.approx(plain.low.levels.level + 0.002 * offset_steps, abs=1e-9)


@pytest.mark.hand("a dip of 5 samples at 1 MS/s lasts 5 µs, a third of the shortest half")
@pytest.mark.parametrize("side", [-12.0, 9.0])
def test_a_glitch_makes_no_cycle(side: float) -> None:
    """A short excursion is listed as a glitch; the cycle around it keeps its times and its level."""
    voltage = square(300, 700, 5)
    place = 2350 if side > 0.0 else 2800
    voltage[place : place + 5] = side
    decoded = decode(voltage, QUIET)

    assert decoded.cycles.period_samples().tolist() == [1000.0] * 4
    assert decoded.cycles.high.levels.level.tolist() == [9.0] * 4
    assert decoded.cycles.low.levels.level.tolist() == [-12.0] * 4
    glitches = decoded.glitches
    assert (glitches.index.tolist(), glitches.samples.tolist(), glitches.positive.tolist()) == (
        [place],
        [5],
        [side > 0.0],
    )


def test_a_chattering_edge_is_one_edge() -> None:
    """Crossings that follow each other within a half too short are one edge, placed at the last."""
    voltage = square(300, 700, 4)
    voltage[1700:1712] = [9.0, 9.0, -12.0, -12.0, -12.0, 9.0, 9.0, -12.0, -12.0, 9.0, 9.0, 9.0]
    kept, glitches = drop_glitches(find_crossings(voltage, QUIET), QUIET)

    assert kept.index.tolist() == [699, 999, 1708, 1999, 2699, 2999, 3699]
    assert glitches.samples.tolist() == [2, 3, 2, 2]
    assert (kept.rising[1:] != kept.rising[:-1]).all()


def test_noise_at_zero_makes_no_crossings() -> None:
    """A pilot at 0 V with noise stays one steady stretch: the hysteresis grows with the noise."""
    voltage = np.random.default_rng(2).normal(0.0, 0.1, 200_000)
    decoded = decode(voltage, scale_of(voltage, MICROSECOND))

    assert decoded.cycles.first.size == 0
    assert decoded.glitches.index.size <= 2
    assert np.abs(decoded.steady.levels.level).max() < 0.02


@pytest.mark.parametrize("gap", [slice(3100, 3200), slice(2995, 3005), slice(2690, 2710)])
def test_missing_samples_never_become_levels(gap: slice) -> None:
    """Levels come from what is there; a crossing across a gap is marked, and its cycle keeps its place."""
    voltage = square(300, 700, 6)
    voltage[gap] = np.nan
    cycles = decode(voltage, QUIET).cycles

    assert cycles.first.tolist() == [
        700,
        1700,
        min(2700, gap.start) if gap.stop > 2700 > gap.start else 2700,
        3700,
        4700,
    ]
    assert cycles.high.levels.level.tolist() == [9.0] * 5
    assert cycles.low.levels.level.tolist() == [-12.0] * 5
    touched = gap.start < 3005
    assert cycles.clean.all() == (not touched)


def test_clipped_samples_have_a_sign_and_no_level() -> None:
    """A low half beyond the instrument's range keeps the cycle and has no level, be it marked by value or by NaN."""
    voltage = np.maximum(square(300, 700, 5), -10.0)
    overload = voltage <= -10.0
    cycles = decode(voltage, QUIET, overload=overload).cycles

    assert cycles.period_samples().tolist() == [1000.0] * 4
    assert np.isnan(cycles.low.levels.level).all()
    assert cycles.high.levels.level.tolist() == [9.0] * 4


@pytest.mark.parametrize("voltage", [np.full(5000, np.nan), np.array([np.nan]), np.array([9.0])])
def test_hardly_anything_to_read(voltage: Numbers) -> None:
    """Nothing but gaps, or a single sample, is one steady stretch."""
    decoded = decode(voltage, scale_of(voltage, MICROSECOND))

    assert parts(decoded)[-1, 1] == voltage.size
    assert decoded.cycles.first.size == 0
    assert (
        np.isfinite(decoded.steady.levels.level).tolist() == np.isfinite(voltage[: decoded.steady.first.size]).tolist()
    )


@pytest.mark.hand("levels of the circuit at rest, V = Vd + (E - Vd) R / (R1 + R)")
@pytest.mark.parametrize("load", "ABCD")
@pytest.mark.parametrize("duty", [3.0, 5.0, 50.0, 97.0])
def test_plateaus_are_the_levels_at_rest(load: str, duty: float) -> None:
    """From 3 % to 97 % the plateaus are those the circuit rests at, edges and ringing left out."""
    unit = Unit(capacitance=1.6e-9)
    voltage = pilot([Stage(duration=0.02, load=LOADS[load], duty=duty)], noise=0.02, unit=unit)
    cycles = decode(voltage, scale_of(voltage, MICROSECOND)).cycles
    fewest = int(cycles.high.levels.samples.min()) if duty < 50.0 else int(cycles.low.levels.samples.min())

    # the mean of n samples of 20 mV noise over 19 cycles, five standard deviations, and what 12 µs leave of the edge
    allowed = 5.0 * 0.02 / np.sqrt(19.0 * fewest) + 12.0 * np.exp(-14.0 / 1.6)
    assert cycles.high.levels.level.mean() == pytest.approx(rest(unit.high, LOADS[load], unit), abs=allowed)
    assert cycles.low.levels.level.mean() == pytest.approx(rest(unit.low, LOADS[load], unit), abs=allowed)
    assert cycles.high.settled.all()
    assert cycles.low.settled.all()


def test_overshoot_and_spikes_do_not_move_a_plateau() -> None:
    """Ringing after an edge decays before the settled part; single spikes are set aside."""
    rng = np.random.default_rng(3)
    voltage = square(300, 700, 30) + rng.normal(0.0, 0.02, 30_000)
    ringing = 2.0 * np.exp(-np.arange(40) / 4.0) * np.cos(np.arange(40) / 1.5)
    for edge in range(700, 30_000, 1000):
        voltage[edge : edge + 40] += ringing
        voltage[edge + 150 + edge % 7] += 4.0
    cycles = decode(voltage, scale_of(voltage, MICROSECOND)).cycles

    assert cycles.high.levels.level == pytest.approx(9.0, abs=5.0 * 0.02 / np.sqrt(250.0))
    assert (cycles.high.levels.samples >= 250).all()


def test_two_levels_in_one_stretch_are_told() -> None:
    """A stretch with two levels is not steady, and both are given; one with a level and a spike is."""
    two = np.repeat([0.5, -12.0], [300, 700])
    one = np.concatenate((np.full(990, 3.0), np.full(10, 8.0)))
    found = find_levels(np.concatenate((two, one)), None, np.array([0, 1000]), np.array([1000, 2000]), QUIET)

    assert found.steady.tolist() == [False, True]
    assert (found.upper.tolist(), found.lower.tolist()) == ([0.5, 3.0], [-12.0, 3.0])
    assert found.level[1] == 3.0


@given(st.integers(0, 2**32 - 1), st.integers(1, 9))
def test_levels_of_many_stretches_are_those_of_each(seed: int, count: int) -> None:
    """Reading stretches together, whatever their lengths, gives what reading each alone gives."""
    rng = np.random.default_rng(seed)
    voltage = rng.normal(0.0, 0.05, 3000) + (rng.random(3000) < 0.02) * rng.normal(0.0, 5.0, 3000)
    usable = rng.random(3000) > 0.05
    bound = np.sort(rng.integers(0, 3001, 2 * count))
    first, stop = bound[0::2], bound[1::2]
    together = find_levels(voltage, usable, first, stop, QUIET)

    for k in range(count):
        alone = find_levels(voltage, usable, first[k : k + 1], stop[k : k + 1], QUIET)
        chosen = voltage[first[k] : stop[k]][usable[first[k] : stop[k]]]
        assert together.level[k] == pytest.approx(alone.level[0], nan_ok=True, abs=1e-12)
        assert together.samples[k] == alone.samples[0] <= chosen.size
        if chosen.size and np.ptp(chosen) <= 2.0 * QUIET.spread:
            assert together.level[k] == pytest.approx(chosen.mean(), abs=1e-12)
        elif chosen.size:
            kept = chosen[np.abs(chosen - np.median(chosen)) <= QUIET.spread]
            expected = kept.mean() if kept.size else np.median(chosen)
            assert together.level[k] == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("step", [0.01, 0.15625])
def test_the_step_of_the_instrument_shows(step: float) -> None:
    """The step is found in stepped values; smooth, constant or two-level signals show none."""
    rng = np.random.default_rng(4)
    smooth = pilot([Stage(duration=0.02, load=LOADS["B"], duty=30.0)], noise=0.05)

    assert step_of(np.round(smooth / step) * step) == pytest.approx(step, rel=1e-9)
    assert step_of(smooth) == 0.0
    assert step_of(np.full(1000, 9.0)) == 0.0
    assert step_of(square(300, 700, 5)) == 0.0
    assert step_of(np.full(1000, np.nan)) == 0.0
    assert scale_of(smooth, MICROSECOND, step).step == step
    assert scale_of(smooth + rng.normal(0.0, 0.1, smooth.size), MICROSECOND).noise == pytest.approx(
        np.hypot(0.05, 0.1), rel=0.03
    )


def test_noise_is_judged_over_the_whole_capture() -> None:
    """In a long capture a quiet beginning does not hide the noise of the rest."""
    voltage = np.random.default_rng(5).normal(0.0, 0.1, 1_000_000)
    voltage[:300_000] = 0.0

    assert scale_of(voltage, MICROSECOND).noise > 0.02


def test_a_million_samples_are_quick(measured: Callable[[str, float, str, str], None]) -> None:
    """Taking apart 1e6 samples finds every cycle; how long it takes is noted, not judged."""
    voltage = pilot([Stage(duration=1.0, load=LOADS["B"], duty=26.7)], noise=0.05)
    best = np.inf
    for _ in range(3):
        begin = time.perf_counter()
        decoded = decode(voltage, scale_of(voltage, MICROSECOND))
        best = min(best, time.perf_counter() - begin)
    measured("pilot: 1e6 samples taken apart into cycles", best, "s", "≤ 0.3")

    assert decoded.cycles.rise.index.size == pytest.approx(1000, abs=2)

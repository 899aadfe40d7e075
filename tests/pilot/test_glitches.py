"""Glitches: found by width wherever they are put, told from edges and from changes of state, listed within bounds."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.pilot import read_pilot
from coldpin.pilot.glitches import LISTED, Excursions, list_glitches
from coldpin.records.pilot import Glitches, PilotReading, State
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, load_book

Numbers = NDArray[np.float64]
BOOK = load_book()
PERIOD, ON = 1000, 300
"""Of the square wave the glitches are put into. [samples of 1 µs]"""


def square(cycles: int = 40, high: float = 9.0, noise: float = 0.02, seed: int = 1) -> Numbers:
    """State B2 at 1 MS/s."""
    clean = np.tile(np.repeat([high, -12.0], [ON, PERIOD - ON]), cycles)
    return clean + np.random.default_rng(seed).normal(0.0, noise, clean.size)


def steady(level: float = 9.0, milliseconds: int = 40, noise: float = 0.02) -> Numbers:
    """State B1 at 1 MS/s."""
    return level + np.random.default_rng(2).normal(0.0, noise, milliseconds * 1000)


def read(voltage: Numbers, overload: NDArray[np.bool_] | None = None) -> PilotReading:
    """Read bare samples, 1 µs apart."""
    given_waveform = Waveform(voltage=voltage, sample_interval=1e-6, overload=overload)
    return read_pilot(given_waveform, book=BOOK, edition=Edition.IEC_3)


def widths(glitches: Glitches) -> list[tuple[int, int]]:
    """Start and width of each listed glitch. [samples]"""
    return [(round(one.start_s / 1e-6), round(one.width_s / 1e-6)) for one in glitches.longest]


@pytest.mark.hand("glitches put into a square wave and a steady level, sample by sample")
@pytest.mark.parametrize("width", [2, 3, 5, 10, 14, 30])
@pytest.mark.parametrize(
    ("where", "peak", "state"),
    [(150, 4.0, "B2"), (150, 14.0, "B2"), (700, -6.0, "B2"), (150, -3.0, "B2"), (700, 3.0, "B2")],
    ids=["dip in high", "spike in high", "hump in low", "across 0 V from high", "across 0 V from low"],
)
def test_a_glitch_is_told_with_width_and_peak(width: int, where: int, peak: float, state: str) -> None:
    """Dip or spike, across 0 V or not, shorter or longer than the shortest half: one glitch, as long as it is."""
    voltage = square()
    start = 20 * PERIOD + where
    voltage[start : start + width] = peak
    reading = read(voltage)

    assert widths(reading.glitches) == [(start, width)]
    (glitch,) = reading.glitches.longest
    assert (glitch.state.value, glitch.peak_v) == (state, peak)
    assert [run.state.value for run in reading.runs] == ["B2"]


@pytest.mark.hand("a glitch put into a steady level, at the border of two blocks of 1 ms, within one, and overlong")
@pytest.mark.parametrize("start", [20_000 - 3, 20_000, 20_500, 20_990])
@pytest.mark.parametrize("peak", [6.0, 12.0, -2.0])
def test_a_glitch_in_a_steady_level(start: int, peak: float) -> None:
    """It is one glitch wherever the blocks happen to end."""
    voltage = steady()
    voltage[start : start + 7] = peak

    assert widths(read(voltage).glitches) == [(start, 7)]


@pytest.mark.hand("signals in which nothing is a glitch")
@pytest.mark.parametrize(
    "voltage",
    [
        square(noise=0.1),
        np.concatenate((steady(9.0)[:20_370], steady(6.0))),
        np.concatenate((square()[:20_150], square(high=6.0)[150:])),
        np.concatenate((steady(), square())),
        9.0 + 0.5 * np.sin(np.arange(40_000) * 2e-3),
        square(noise=0.3),
    ],
    ids=["noise", "B1 to C1", "B2 to C2 within a half", "B1 to B2", "hum", "much noise"],
)
def test_what_is_no_glitch(voltage: Numbers) -> None:
    """Neither a change of state, nor an edge, nor hum, nor noise is listed."""
    assert read(voltage).glitches == Glitches()


@pytest.mark.hand("one sample within a plateau may be a fault of the converter; one that crosses 0 V is listed")
def test_single_samples() -> None:
    """A lone sample counts where it crosses 0 V only."""
    within, across = square(), square()
    within[20_150], across[20_150] = 4.0, -4.0

    assert read(within).glitches.count == 0
    assert widths(read(across).glitches) == [(20_150, 1)]


@pytest.mark.hand("a dip that crosses 0 V in its middle is one dip, as long as it is out of the plateau")
def test_a_dip_across_zero_is_not_counted_twice() -> None:
    """The part below 0 V belongs to the dip."""
    voltage = square()
    voltage[20_150:20_160] = [7.0, 5.0, 3.0, -1.0, -3.0, -3.0, -1.0, 3.0, 5.0, 7.0]

    assert widths(read(voltage).glitches) == [(20_150, 10)]


@pytest.mark.hand("a spike beyond the range of the instrument, each sample marked")
def test_a_clipped_spike_is_listed() -> None:
    """What the instrument could not show still counts, with the end of the range as its peak."""
    voltage = square()
    voltage[20_150:20_155] = 20.0
    overload = voltage == 20.0

    (glitch,) = read(voltage, overload).glitches.longest
    assert (round(glitch.width_s / 1e-6), glitch.peak_v) == (5, 20.0)


@pytest.mark.hand("a pair of halves of 20 µs and of 100 µs within a period, wherever in it")
@pytest.mark.parametrize("width", [20, 100])
@pytest.mark.parametrize(("where", "level"), [(100, -5.0), (600, 5.0), (870, 5.0), (20, -5.0)])
def test_longer_than_the_shortest_half(width: int, where: int, level: float) -> None:
    """What crosses 0 V for so long makes more cycles than there are periods, and is told as one glitch."""
    voltage = square()
    voltage[20_000 + where : 20_000 + width + where] = level
    reading = read(voltage)

    assert widths(reading.glitches) == [(20_000 + where, width)]
    (run,) = reading.runs
    assert run.frequency_hz is not None
    assert run.frequency_hz.value == pytest.approx(1000.0, abs=0.1)


@given(
    st.lists(
        st.tuples(st.integers(1, 38), st.sampled_from([2, 4, 9, 13])), min_size=1, max_size=12, unique_by=lambda g: g[0]
    )
)
def test_all_that_are_put_in_are_counted(glitches: list[tuple[int, int]]) -> None:
    """Any number of dips in any cycles are all found, each in its class of width."""
    voltage = square()
    for cycle, width in glitches:
        voltage[cycle * PERIOD + 150 : cycle * PERIOD + 150 + width] = 3.0
    listed = read(voltage).glitches

    assert listed.count == len(glitches)
    assert sum(width.count for width in listed.widths) == len(glitches)
    assert sorted(widths(listed)) == sorted((cycle * PERIOD + 150, width) for cycle, width in glitches)
    for sort in listed.widths:
        inside = [one for _, one in glitches if sort.above_s < one * 1e-6 * (1 - 1e-9) <= sort.up_to_s]
        assert sort.count == len(inside)


@pytest.mark.hand("classes end at 1, 2, 5 times a power of ten")
def test_classes_of_width() -> None:
    """They reach from below one sample to 20 µs, or to the longest glitch."""
    found = Excursions(index=np.arange(4) * 100, samples=np.array([1, 2, 3, 15]), peak=np.full(4, 3.0))
    listed = list_glitches(found, (), 1e-6)

    bounds = [(width.above_s, width.up_to_s, width.count) for width in listed.widths]
    assert bounds == [(5e-7, 1e-6, 1), (1e-6, 2e-6, 1), (2e-6, 5e-6, 1), (5e-6, 1e-5, 0), (1e-5, 2e-5, 1)]
    assert listed.longest[0].state is State.UNDEFINED


@pytest.mark.hand("the list is bounded, the count is not")
def test_the_list_is_bounded() -> None:
    """A thousand glitches are counted; the longest are listed, longest first."""
    found = Excursions(index=np.arange(1000) * 50, samples=np.arange(1000) % 40 + 1, peak=np.zeros(1000))
    listed = list_glitches(found, (), 1e-6)

    assert listed.count == 1000
    assert len(listed.longest) == LISTED
    assert [glitch.width_s for glitch in listed.longest] == sorted((g.width_s for g in listed.longest), reverse=True)


@pytest.mark.hand("glitches of 5 µs in every plateau: levels and duty stay where they are")
def test_glitches_do_not_move_figures() -> None:
    """Levels, duty cycle and frequency are those of the signal without them."""
    clean, struck = square(noise=0.01), square(noise=0.01)
    at = (np.arange(1, 39)[:, None] * PERIOD + np.array([200, 800])[None, :]).ravel()
    for place in at:
        struck[place : place + 5] = 4.0 if struck[place] > 0.0 else -8.0
    (one,), (other,) = read(clean).runs, read(struck).runs

    assert read(struck).glitches.count == at.size
    for name in ("high_v", "low_v", "duty_percent", "frequency_hz"):
        before, after = getattr(one, name), getattr(other, name)
        assert after.value == pytest.approx(before.value, abs=before.expanded)


@pytest.mark.hand("an edge that chatters: two pulses of 3 samples with gaps of 4 and 8 before it stays up")
def test_a_chattering_edge_lists_its_pulses_only() -> None:
    """The gaps between the pulses are where the signal was and no glitches."""
    voltage = square()
    voltage[20_000 - 18 : 20_000] = [9.0] * 3 + [-12.0] * 4 + [9.0] * 3 + [-12.0] * 8

    assert sorted(widths(read(voltage).glitches)) == [(20_000 - 18, 3), (20_000 - 11, 3)]

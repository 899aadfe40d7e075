"""Slips at the bench, told from the reading."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.pilot import read_pilot
from coldpin.pilot.plausibility import bench_hints
from coldpin.pilot.states import windows_of
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, load_book
from coldpin.standards.pilot import generator

BOOK = load_book()
INTERVAL = 4e-6


def pilot(high: float, low: float = -12.0, duty: float = 0.2667, seconds: float = 0.1) -> NDArray[np.float64]:
    """An oscillating pilot with some noise."""
    times = np.arange(round(seconds / INTERVAL)) * INTERVAL
    square = np.where((times * 1000.37) % 1.0 < duty, high, low)
    return square + np.random.default_rng(1).normal(0.0, 0.01, times.size)


def hints(voltage: NDArray[np.float64], interval: float = INTERVAL) -> tuple[str, ...]:
    """What is told of a capture."""
    reading = read_pilot(Waveform(voltage=voltage, sample_interval=interval), book=BOOK, edition=Edition.IEC_3)
    known = windows_of(BOOK, Edition.IEC_3)
    return bench_hints(reading, windows=known, generator=generator(BOOK, Edition.IEC_3))


@pytest.mark.hand("a sound pilot, B and C, 50 % and 26.67 %, with its diode and without")
def test_a_sound_capture_has_no_hints() -> None:
    """Nothing is asked of what looks like a pilot, a mean of 0 V without a diode included."""
    for high, low, duty in ((8.98, -12.0, 0.2667), (6.0, -12.0, 2 / 3), (12.0, -12.0, 0.5), (8.8, -8.8, 0.5)):
        assert hints(pilot(high, low, duty)) == ()


@pytest.mark.hand("0.9 V and −1.2 V are 9 V and −12 V through a probe of 10:1")
def test_a_forgotten_probe_factor_is_asked_for() -> None:
    """State E it would be otherwise, without a word."""
    (said,) = hints(pilot(8.98) / 10.0)
    assert "probe of 10:1" in said


@pytest.mark.hand("9 V and −12 V at 26.67 % have a mean of −6.4 V, which a capacitor takes away")
def test_a_coupling_capacitor_is_asked_for() -> None:
    """Its levels belong to no state."""
    voltage = pilot(8.98)
    assert any("a.c.-coupled" in said for said in hints(voltage - voltage.mean()))


@pytest.mark.hand("the same samples at a fourth of their interval run at 4 kHz; at 20 ms no 1 kHz can be shown")
def test_a_wrong_rate_is_asked_for() -> None:
    """By a frequency that no unit has, and by a step that can show none."""
    assert "4001 Hz instead of 1000 Hz" in hints(pilot(8.98), INTERVAL / 4.0)[0]
    assert "cannot show an oscillator of 1000 Hz" in hints(pilot(8.98), 20e-3)[0]


@pytest.mark.hand("4610 Ω behind 0.7 V at +12.3 V: 0.7 + 11.6 × 4610 / 5610 = 10.23 V, above B and below A")
def test_a_boundary_level_is_not_held_against_the_unit() -> None:
    """It is told between which windows it lies and that this may be."""
    (said,) = hints(pilot(10.23))
    assert said.startswith("10.23 V lies between the windows of A and B")


@pytest.mark.hand("a screen of ±10 V cuts −12 V off at −10 V")
def test_clipping_is_told_beside_the_levels() -> None:
    """With the value at which the screen ends."""
    (said,) = hints(np.maximum(pilot(8.98), -10.0))
    assert said.startswith("the instrument may have clipped at −10")

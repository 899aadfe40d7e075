"""Every duty boundary and state window of each edition: cell by cell, and a hair beside each through the chain."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.pilot import read_pilot, zone_of
from coldpin.records.pilot import Diode, Run
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, duty_zones, load_book, state_windows

from .rc_circuit import LOADS, Stage, Unit, sample_times, waveform

BOOK = load_book()
EDITIONS = [Edition.IEC_2, Edition.IEC_3, Edition.SAE]
HAIR = 0.05
"""Beside a boundary of the duty cycle. [percentage points]"""
HAIR_V = 0.02
"""Beside the edge of a window. [V]"""
EXACT = 1e-9

IEC = "IEC 61851-1:2010 Table A.6, 2017 Table A.8 (secondary texts; above 7 % and below 8 % from memory)"
SAE = "SAE J1772 OCT2017 page 17, digital zone from a public summary (secondary texts, addresses not recorded)"

ZONES_IEC = [
    (0.0, 3.0, "forbidden", 0.0, 0.0),
    (3.0, 7.0, "digital", 0.0, 0.0),
    (7.0, 8.0, "forbidden", 0.0, 0.0),
    (8.0, 10.0, "current", 6.0, 6.0),
    (10.0, 85.0, "current", 6.0, 51.0),
    (85.0, 96.0, "current", 52.5, 80.0),
    (96.0, 97.0, "current", 80.0, 80.0),
    (97.0, 100.0, "forbidden", 0.0, 0.0),
]
ZONES_SAE = [
    *ZONES_IEC[:2],
    (7.0, 9.5, "forbidden", 0.0, 0.0),
    (9.5, 10.0, "current", 6.0, 6.0),
    *ZONES_IEC[4:6],
    (96.0, 96.5, "current", 80.0, 80.0),
    (96.5, 100.0, "forbidden", 0.0, 0.0),
]
"""From and to which duty cycle [%], what it means, and the current just inside either end. [A]"""
ZONES = {Edition.IEC_2: ZONES_IEC, Edition.IEC_3: ZONES_IEC, Edition.SAE: ZONES_SAE}

OWNERS_IEC = {3.0: 1, 7.0: 1, 8.0: 3, 10.0: 4, 85.0: 4, 96.0: 5, 97.0: 6}
OWNERS_SAE = {3.0: 1, 7.0: 1, 9.5: 3, 10.0: 4, 85.0: 4, 96.0: 5, 96.5: 6}
"""To which zone a boundary itself belongs."""
OWNERS = {Edition.IEC_2: OWNERS_IEC, Edition.IEC_3: OWNERS_IEC, Edition.SAE: OWNERS_SAE}

WINDOWS = {"A": (11.0, 13.0), "B": (8.0, 10.0), "C": (5.0, 7.0), "D": (2.0, 4.0), "E": (-1.0, 1.0)}
LOW = (-13.0, -11.0)
"""The same in all editions: 1 V either way recognises a state. [V]"""


def trapezoid(duty: float, *, high: float = 9.0, low: float = -12.0, cycles: int = 40) -> NDArray[np.float64]:
    """A pilot at 1 MS/s whose crossings of 0 V stand for a duty cycle exactly, with edges of 5 V a µs."""
    period = 1e6 / 1003.7
    time = np.arange(round(cycles * period)) + 0.37
    since = time % period
    until = duty / 100.0 * period
    rising = np.minimum(since, period - since) * np.where(since < 0.5 * period, 1.0, -1.0)
    falling = until - since
    # whichever edge is nearer says how far the ramp is
    ramp = 5.0 * np.where(np.abs(rising) < np.abs(falling), rising, falling)
    voltage = np.clip(ramp, low, high)
    return voltage + np.random.default_rng(1).normal(0.0, 0.005, voltage.size)


def read(voltage: NDArray[np.float64], edition: Edition) -> Run:
    """The one run of a capture at 1 MS/s."""
    (run,) = read_pilot(Waveform(voltage=voltage, sample_interval=1e-6), book=BOOK, edition=edition).runs
    return run


@pytest.mark.published(f"{IEC}; {SAE}")
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_cell_of_the_duty_table(edition: Edition) -> None:
    """Just inside either end of each zone stand its meaning and its current; a boundary belongs to one zone."""
    zones = duty_zones(BOOK, edition)
    for low, high, meaning, first, last in ZONES[edition]:
        for duty, current in ((low + EXACT, first), (high - EXACT, last)):
            zone = zone_of(duty, zones)
            assert zone.meaning.value == meaning, duty
            assert zone.current(duty) == pytest.approx(current, abs=1e-6), duty
    for duty, owner in OWNERS[edition].items():
        zone, inside = zone_of(duty, zones), ZONES[edition][owner]
        assert zone.meaning.value == inside[2], duty
        assert zone.holds(0.5 * (inside[0] + inside[1])), duty
    # a steady line is no duty cycle
    assert [zone_of(duty, zones).meaning.value for duty in (0.0, 100.0)] == ["none", "none"]


@pytest.mark.published(f"{IEC}; {SAE}")
@pytest.mark.parametrize(
    ("edition", "boundary"), [(edition, boundary) for edition in EDITIONS[1:] for boundary in OWNERS[edition]]
)
def test_a_hair_beside_each_boundary_through_the_whole_chain(edition: Edition, boundary: float) -> None:
    """A capture with a duty cycle a hair below or above a boundary reads as that zone, with its current."""
    for duty in (boundary - HAIR, boundary + HAIR):
        (expected,) = (zone for zone in ZONES[edition] if zone[0] < duty < zone[1])
        run = read(trapezoid(duty), edition)
        assert run.state.value == "B2"
        assert run.duty_percent is not None
        assert run.duty_percent.value == pytest.approx(duty, abs=0.5 * HAIR)
        assert run.offered_current_a is not None
        assert run.offered_current_a.meaning.value == expected[2]
        share = (duty - expected[0]) / (expected[1] - expected[0])
        current = expected[3] + share * (expected[4] - expected[3])
        assert run.offered_current_a.current.value == pytest.approx(current, abs=2.5 * 0.5 * HAIR)


@pytest.mark.published(
    "IEC 61851-1:2010 Table A.3, 2017 Table A.4 as restated in public texts (E only 2017); F and low window memory"
)
@pytest.mark.parametrize("edition", EDITIONS)
def test_every_cell_of_the_state_windows(edition: Edition) -> None:
    """The windows of each edition, state by state."""
    windows = {
        (window.letter, window.level): (window.minimum, window.maximum) for window in state_windows(BOOK, edition)
    }

    assert windows == {
        **{(letter, "high"): window for letter, window in WINDOWS.items()},
        **{(letter, "low"): LOW for letter in "ABCDF"},
    }


@pytest.mark.published("IEC 61851-1 Tables A.3 and A.4: each state within 1 V, as restated in public texts")
@pytest.mark.parametrize("edition", EDITIONS)
def test_a_hair_beside_each_window_through_the_whole_chain(edition: Edition) -> None:
    """Levels a hair inside a window are the state, oscillating and steady; a hair outside they are undefined."""
    rng = np.random.default_rng(5)
    for letter, (low, high) in WINDOWS.items():
        for level, inside in (
            (low + HAIR_V, True),
            (high - HAIR_V, True),
            (low - HAIR_V, False),
            (high + HAIR_V, False),
        ):
            steady = read(level + rng.normal(0.0, 0.005, 12_000), edition)
            name = "E" if letter == "E" else f"{letter}1"
            assert steady.state.value == (name if inside else "undefined"), level
            if letter != "E":
                running = read(trapezoid(40.0, high=level, cycles=15), edition)
                assert running.state.value == (f"{letter}2" if inside else "undefined"), level
    for level, inside in (
        (LOW[0] - HAIR_V, False),
        (LOW[0] + HAIR_V, True),
        (LOW[1] - HAIR_V, True),
        (LOW[1] + HAIR_V, False),
    ):
        steady = read(level + rng.normal(0.0, 0.005, 12_000), edition)
        assert steady.state.value == ("F" if inside else "undefined"), level
        running = read(trapezoid(40.0, low=level, cycles=15), edition)
        assert running.diode is (Diode.PRESENT if inside else Diode.UNKNOWN), level


@pytest.mark.hand("the circuit with 270 Ω beside 2740 Ω: 0.7 V + 11.3 V × 245.8 / 1245.8 is 2.93 V")
def test_state_d_and_the_passages_to_and_from_it() -> None:
    """D1 and D2 are told, and what lies between them and B and C, each time at its place."""
    steps = [("B", 100.0), ("D", 100.0), ("D", 40.0), ("C", 40.0), ("D", 40.0), ("B", 40.0), ("C", 100.0), ("D", 100.0)]
    stages = [Stage(duration=0.05, load=LOADS[letter], duty=duty) for letter, duty in steps]
    times = sample_times(400_000, 1e-6)
    voltage = waveform(stages, Unit(capacitance=3e-9), times, 0.3)
    voltage += np.random.default_rng(2).normal(0.0, 0.03, voltage.size)
    reading = read_pilot(Waveform(voltage=voltage, sample_interval=1e-6), book=BOOK, edition=Edition.IEC_3)

    assert [run.state.value for run in reading.runs] == ["B1", "D1", "D2", "C2", "D2", "B2", "C1", "D1"]
    assert [run.end_s for run in reading.runs] == pytest.approx([0.05 * (place + 1) for place in range(8)], abs=1.5e-3)
    for run in reading.runs:
        if run.state.value in ("D1", "D2"):
            assert run.high_v is not None
            assert run.high_v.value == pytest.approx(2.93, abs=0.01)
        if run.state.value == "D2":
            assert run.diode is Diode.PRESENT

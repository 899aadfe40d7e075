"""The diode told by several loads of one capture, where the low level of one load does not tell."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.pilot import read_pilot, read_pilot_stream
from coldpin.pilot.diode import unknown_because
from coldpin.records.pilot import Diode, PilotReading
from coldpin.records.waveform import Waveform
from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.standards import Edition, load_book

from .rc_circuit import LOADS, Stage, Unit, sample_times, waveform, without_diode
from .stream.signals import source_of

BOOK = load_book()
WEAK = Unit(low=-10.7, capacitance=2e-9, frequency=1003.7)
"""A unit whose negative rail lies outside the window; published captures show one at −10.7 V."""


def seen(letters: str, unit: Unit, *, diode: bool = True) -> PilotReading:
    """States one after the other, 40 ms each."""
    stages = [
        Stage(duration=0.04, load=LOADS[letter] if diode else without_diode(LOADS[letter]), duty=40.0)
        for letter in letters
    ]
    times = sample_times(40_000 * len(letters), 1e-6)
    voltage = waveform(stages, unit, times, 0.3) + np.random.default_rng(1).normal(0.0, 0.02, times.size)
    return read_pilot(Waveform(voltage=voltage, sample_interval=1e-6), book=BOOK, edition=Edition.IEC_3)


def told(reading: PilotReading) -> list[tuple[str, str]]:
    """State and diode of each run."""
    return [(run.state.value, run.diode.value) for run in reading.runs]


@pytest.mark.published("a low level of −10.7 V that one vehicle refused (secondary text, address not recorded)")
def test_a_weak_rail_that_does_not_move_shows_a_diode() -> None:
    """By A2 before it, or by another load; nothing is told of A2 itself."""
    assert told(seen("AB", WEAK)) == [("A2", "unknown"), ("B2", "present")]
    assert told(seen("BC", WEAK)) == [("B2", "present"), ("C2", "present")]
    assert told(seen("ABCDB", WEAK)) == [
        ("A2", "unknown"),
        ("B2", "present"),
        ("C2", "present"),
        ("D2", "present"),
        ("B2", "present"),
    ]


@pytest.mark.hand("−10.7 V over 1 kΩ and 2.74 kΩ leaves −7.84 V, which is no 9 V turned over within the rails allowed")
def test_a_weak_rail_that_moves_with_the_load_shows_none() -> None:
    """The low level follows the load as the high one does."""
    assert told(seen("AB", WEAK, diode=False)) == [("A2", "unknown"), ("B2", "absent")]
    assert told(seen("BC", WEAK, diode=False)) == [("B2", "absent"), ("C2", "absent")]


@pytest.mark.hand("one load alone: −10.7 V may be a weak rail or a diode that leaks")
def test_one_load_alone_stays_unknown() -> None:
    """Neither the same state again nor a steady one can tell."""
    reading = seen("B", WEAK)

    assert told(reading) == [("B2", "unknown")]
    assert "no other load to compare it with" in unknown_because(reading.runs[0], reading.runs)


@pytest.mark.hand("a leak beside the diode moves the low level by a third of what no diode would")
def test_a_leaking_diode_stays_unknown() -> None:
    """A low level that moves by a part of it is neither."""
    times = sample_times(80_000, 1e-6)
    wave = [np.where((times[:40_000] * 1003.7) % 1.0 < 0.4, high, low) for high, low in ((12.0, -12.0), (8.97, -10.9))]
    noisy = np.concatenate(wave) + np.random.default_rng(3).normal(0.0, 0.02, times.size)
    reading = read_pilot(Waveform(voltage=noisy, sample_interval=1e-6), book=BOOK, edition=Edition.IEC_3)

    assert told(reading) == [("A2", "unknown"), ("B2", "unknown")]
    assert unknown_because(reading.runs[0], reading.runs) == ""
    assert "neither stands still" in unknown_because(reading.runs[1], reading.runs)


@pytest.mark.independent("simulator: weak negative rail, diode sound or shorted, component by component")
@pytest.mark.parametrize(("diode", "expected"), [("present", Diode.PRESENT), ("shorted", Diode.ABSENT)])
def test_on_the_simulated_bench(diode: str, expected: Diode) -> None:
    """A drawn bench, hum and 8 bits: every loaded state is told rightly."""
    unit = VirtualUnit(rail_low=-10.56, duty=26.67)
    captured = simulate_capture(
        unit,
        VirtualVehicle(diode=diode),  # type: ignore[arg-type]  # one of its words
        [(0.03, "A"), (0.3, "B"), (0.3, "C"), (0.1, "B")],
        set_up_bench(VirtualScope(hum=0.1), seed=4),
        seed=4,
        sample_interval=2e-6,
    )
    runs = read_pilot(captured.waveform, book=BOOK, edition=Edition.IEC_3).runs
    loaded = [run for run in runs if run.state.value in ("B2", "C2")]

    assert len(loaded) >= 3
    assert {run.diode for run in loaded} == {expected}


@pytest.mark.hand("−10 V beside 9 V is within 12.6 V / 11.4 V turned over; beside 6 V it is not, and it did not move")
def test_a_rail_so_weak_that_it_looks_turned_over_is_told_by_the_other_loads() -> None:
    """What one load alone would call absent is present where the low level stands still under another."""
    assert told(seen("B", WEAKER)) == [("B2", "absent")]
    assert told(seen("BCB", WEAKER)) == [("B2", "present"), ("C2", "present"), ("B2", "present")]
    assert told(seen("BCB", WEAKER, diode=False)) == [("B2", "absent"), ("C2", "absent"), ("B2", "absent")]


WEAKER = Unit(low=-9.9, capacitance=2e-9, frequency=1003.7)


@pytest.mark.hand("a screen of ±10 V cuts −12 V off at −10 V, with a diode or not")
@pytest.mark.parametrize("diode", [True, False])
@pytest.mark.parametrize("in_parts", [False, True])
def test_a_clipped_low_level_tells_nothing_of_the_diode(diode: bool, in_parts: bool) -> None:
    """Every low level stands where the instrument ends: the diode is unknown, and the level has no ±."""
    stages = [
        Stage(duration=0.04, load=LOADS[letter] if diode else without_diode(LOADS[letter]), duty=40.0)
        for letter in "BCB"
    ]
    times = sample_times(120_000, 1e-6)
    clean = waveform(stages, Unit(capacitance=2e-9, frequency=1003.7), times, 0.3)
    voltage = np.maximum(clean + np.random.default_rng(1).normal(0.0, 0.02, times.size), -10.0 if diode else -5.0)
    if in_parts:
        counts = np.round(voltage * 1000.0).astype(np.int16)
        runs = read_pilot_stream(source_of(counts, 1e-6), book=BOOK, edition=Edition.IEC_3).runs
    else:
        whole = Waveform(voltage=voltage, sample_interval=1e-6)
        runs = read_pilot(whole, book=BOOK, edition=Edition.IEC_3).runs

    assert [(run.state.value, run.diode.value) for run in runs] == [
        ("B2", "unknown"),
        ("C2", "unknown"),
        ("B2", "unknown"),
    ]
    lows = [run.low_v for run in runs if run.low_v is not None]
    assert {low.u for low in lows} == {None}
    assert all("clipped" in low.why for low in lows)

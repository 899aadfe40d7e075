"""A level at the edge of a window: one run, not one for every turn of the noise."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.pilot import read_pilot, read_pilot_stream
from coldpin.pilot.flicker import Shown, Stretch, settle
from coldpin.pilot.states import STATES
from coldpin.records.pilot import PilotReading, State
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, load_book

from .stream.signals import source_of

INTERVAL = 4e-6
BOOK = load_book()
A2, B2, UNDEFINED = (STATES.index(state) for state in (State.A2, State.B2, State.UNDEFINED))


def seen(*stages: tuple[float, float, float], in_parts: bool) -> PilotReading:
    """Stages of so many seconds at a high and a low level, with 20 mV of noise and steps of 1 mV."""
    parts = []
    for seconds, high, low in stages:
        times = np.arange(round(seconds / INTERVAL)) * INTERVAL
        parts.append(np.where((times * 1000.37) % 1.0 < 0.2667, high, low))
    clean = np.concatenate(parts)
    voltage = clean + np.random.default_rng(1).normal(0.0, 0.02, clean.size)
    counts = np.round(voltage * 1000.0).astype(np.int16)
    if in_parts:
        return read_pilot_stream(source_of(counts, INTERVAL), book=BOOK, edition=Edition.IEC_3)
    whole = Waveform(voltage=counts.astype(np.float64) * 1e-3, sample_interval=INTERVAL, resolution=1e-3)
    return read_pilot(whole, book=BOOK, edition=Edition.IEC_3)


@pytest.mark.hand(
    "−10.00 V turned over is the upper end of 9 V ± 1 V: noise alone says in each cycle which side it is on"
)
@pytest.mark.parametrize("in_parts", [False, True])
def test_a_low_level_at_the_edge_is_one_run(in_parts: bool) -> None:
    """A2 with its low level on the edge is told once, at the middle of all its cycles, whole and in parts."""
    runs = seen((0.3, 12.0, -10.0), (0.2, 8.98, -10.0), (0.3, 12.0, -10.0), in_parts=in_parts).runs

    assert [run.state for run in runs] == [State.A2, State.B2, State.A2]
    for run in (runs[0], runs[2]):
        assert run.low_v is not None
        assert run.low_v.value == pytest.approx(-10.0, abs=0.0005)
        assert run.frequency_hz is not None
        assert run.frequency_hz.value == pytest.approx(1000.37, abs=0.5)


@pytest.mark.hand("8.00 V is the lower end of B; 7.5 V and 9 V are far from it")
@pytest.mark.parametrize("in_parts", [False, True])
def test_a_high_level_at_the_edge_is_one_run_and_what_differs_stays(in_parts: bool) -> None:
    """The wavering joins no level that is another one."""
    runs = seen((0.2, 9.0, -12.0), (0.2, 8.0, -12.0), (0.2, 7.5, -12.0), (0.03, 9.0, -12.0), in_parts=in_parts).runs

    assert [run.state for run in runs] == [State.B2, State.UNDEFINED, State.B2]
    assert runs[-1].end_s - runs[-1].start_s == pytest.approx(0.03, abs=0.002)


def stretch(code: int, samples: int, low: float) -> Stretch:
    """A stretch that shows one state."""
    return Stretch(code=code, samples=samples, shown={code: Shown(samples=samples, high=12.0, low=low)})


@pytest.mark.hand("what lasts 50 or more stands, what lasts less is counted to what stood before it")
def test_what_lasts_stands() -> None:
    """A level that drifts over an edge wavers once; before and after it each state keeps its own."""
    runs = [
        stretch(A2, 80, -10.02),
        stretch(UNDEFINED, 9, -9.99),
        stretch(A2, 8, -10.01),
        stretch(UNDEFINED, 70, -9.98),
    ]
    told = [(run.first, run.stop, run.code) for run in settle(runs, spread=0.1, lasting=50.0)]

    assert told == [(0, 3, A2), (3, 4, UNDEFINED)]
    assert len(settle([stretch(A2, 9, -12.0), stretch(UNDEFINED, 9, -9.9)], spread=0.1, lasting=50.0)) == 2


@pytest.mark.hand("one stretch that holds two states at one level, and one that holds two levels")
def test_a_mixed_stretch_is_told_by_its_own_levels() -> None:
    """States that change at one level are one; states that change with the level are none."""
    one_level = Shown(samples=40, high=12.0, low=-9.99)
    mixed = Stretch(code=UNDEFINED, samples=80, shown={A2: one_level, UNDEFINED: one_level})
    chatter = Stretch(code=UNDEFINED, samples=80, shown={A2: one_level, B2: Shown(samples=40, high=9.0, low=-9.99)})

    assert [run.code for run in settle([mixed], spread=0.1, lasting=50.0)] == [A2]
    assert [run.code for run in settle([chatter], spread=0.1, lasting=50.0)] == [UNDEFINED]

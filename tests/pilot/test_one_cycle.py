"""The figures of one cycle: those of a run, from one cycle alone, with wider uncertainty."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import InputError
from coldpin.pilot import read_pilot
from coldpin.pilot.one_cycle import figures_at, state_bands
from coldpin.records.pilot import Meaning, State
from coldpin.records.wave import CycleFigures
from coldpin.records.waveform import Waveform
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition

BOOK = load_book()
STEP = 1e-6


def noisy(levels: list[float], lengths: list[int], cycles: int, seed: int = 1) -> Waveform:
    """A pilot of equal cycles with noise of 10 mV."""
    plain = np.tile(np.repeat(levels, lengths), cycles)
    return Waveform(voltage=np.random.default_rng(seed).normal(plain, 0.01), sample_interval=STEP)


def at(wave: Waveform, time: float, first: float = 0.0) -> CycleFigures:
    """The figures there."""
    return figures_at(wave, time, first_s=first, book=BOOK, edition=Edition.IEC_3)


@pytest.mark.hand("267 of 1000 samples of 1 µs are high: 26.7 % of 1 kHz; 0.6 A per per cent")
def test_a_cycle_has_its_figures() -> None:
    """State, levels, duty cycle, frequency and offer, each with its uncertainty, and where it lies."""
    found = at(noisy([9.0, -12.0], [267, 733], 20), 5.3e-3)

    assert (found.kind, found.state) == ("cycle", State.B2)
    for quantity, value in ((found.duty_percent, 26.7), (found.frequency_hz, 1000.0), (found.high_v, 9.0)):
        assert quantity is not None
        assert quantity.u is not None
        assert abs(quantity.value - value) < 4.0 * quantity.u + 1e-9
    assert found.offered_current_a is not None
    assert found.offered_current_a.meaning is Meaning.CURRENT
    assert found.offered_current_a.current.value == pytest.approx(16.0, abs=0.1)
    assert found.stretch.from_s == pytest.approx(5e-3, abs=STEP)
    assert found.stretch.to_s == pytest.approx(6e-3, abs=STEP)
    assert found.falls_s == pytest.approx(5.267e-3, abs=STEP)
    assert found.falls_s is not None
    assert found.high_from is not None
    assert found.low_from is not None
    assert found.stretch.from_s < found.high_from.from_s < found.high_from.to_s < found.falls_s
    assert found.falls_s < found.low_from.from_s < found.low_from.to_s < found.stretch.to_s


@pytest.mark.independent("the figures of the whole run, read from all of its cycles")
def test_the_cycles_scatter_about_the_run() -> None:
    """The mean of many single cycles is that of the run, and none is more certain than the run."""
    wave = noisy([6.0, -12.0], [533, 467], 40)
    (run,) = read_pilot(wave, book=BOOK, edition=Edition.IEC_3).runs
    each = [at(wave, (cycle + 0.5) * 1e-3) for cycle in range(1, 38)]
    for name in ("high_v", "low_v", "duty_percent", "frequency_hz"):
        whole = getattr(run, name)
        alone = [getattr(one, name) for one in each]
        assert np.mean([one.value for one in alone]) == pytest.approx(whole.value, rel=2e-4)
        assert all(one.u is not None and one.u >= 0.99 * whole.u for one in alone)


def test_the_place_in_the_whole_capture_counts() -> None:
    """Cut out of a longer one, a part says times of the whole."""
    wave = noisy([9.0, -12.0], [267, 733], 20)
    assert at(wave, 100.0053, first=100.0).stretch.from_s == pytest.approx(100.005, abs=2 * STEP)


@pytest.mark.parametrize(("level", "state"), [(12.0, State.A1), (9.0, State.B1), (-12.0, State.F), (0.0, State.E)])
def test_a_level_that_stands_has_a_level_and_nothing_else(level: float, state: State) -> None:
    """No frequency, no duty cycle, no offer."""
    found = at(noisy([level], [1000], 30), 7.7e-3)

    assert (found.kind, found.state) == ("level", state)
    assert (found.high_v is None) == (level < 0.0)
    told = found.low_v if found.high_v is None else found.high_v
    assert told is not None
    assert told.value == pytest.approx(level, abs=0.01)
    assert (found.frequency_hz, found.duty_percent, found.offered_current_a) == (None, None, None)


def test_what_is_neither_says_so() -> None:
    """The half cut off at the beginning, and where all samples are missing."""
    found = at(noisy([9.0, -12.0], [267, 733], 20), 0.1e-3)
    assert found.kind == "neither"
    assert "neither a whole cycle" in found.why
    empty = at(Waveform(voltage=np.full(100, np.nan), sample_interval=STEP), 1e-5)
    assert (empty.kind, empty.why) == ("neither", "no sample is there")


def test_a_time_outside_is_refused() -> None:
    """The message says from when to when there is something."""
    with pytest.raises(InputError, match=r"goes from 0 s to 0\.02 s here"):
        at(noisy([9.0, -12.0], [267, 733], 20), 0.03)


def test_every_state_has_its_windows_with_their_source() -> None:
    """A low window only while the oscillator runs, and in F."""
    bands = {band.state: band for band in state_bands(BOOK, Edition.IEC_3)}
    assert set(bands) == set(State) - {State.UNDEFINED}
    assert bands[State.B1].low_v is None
    assert bands[State.F].high_v is None
    assert all(band.sources and (band.high_v or band.low_v) for band in bands.values())

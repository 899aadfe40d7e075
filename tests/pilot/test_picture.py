"""What is drawn: envelopes that lose nothing, and one clean cycle of each state."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.pilot import clean_cycles, read_pilot, reduce_trace
from coldpin.records.assessment import CyclePicture
from coldpin.records.case import OwnConstant
from coldpin.records.plain import to_plain
from coldpin.records.waveform import Waveform
from coldpin.standards import Book, Edition, load_book

from .rc_circuit import LOADS, Load, Stage, Unit, sample_times, waveform

BOOK = load_book()
INTERVAL = 1e-6


def capture(
    stages: list[Stage], *, interval: float = INTERVAL, noise: float = 0.02, unit: Unit | None = None
) -> NDArray[np.float64]:
    """Samples of the circuit solved by hand. [V]"""
    samples = round(sum(stage.duration for stage in stages) / interval)
    clean = waveform(stages, unit or Unit(), sample_times(samples, interval), phase=0.2)
    noisy: NDArray[np.float64] = clean + np.random.default_rng(2).normal(0.0, noise, samples)
    return noisy


def pictures(
    voltage: NDArray[np.float64],
    *,
    interval: float = INTERVAL,
    book: Book = BOOK,
    overload: NDArray[np.bool_] | None = None,
) -> tuple[CyclePicture, ...]:
    """The clean cycles of a capture."""
    asked = Waveform(voltage=voltage, sample_interval=interval, overload=overload)
    reading = read_pilot(asked, book=book, edition=Edition.IEC_3)
    return clean_cycles(asked, reading, book=book, edition=Edition.IEC_3)


@given(st.integers(1, 5000), st.integers(1, 300), st.integers(0, 2**32 - 1), st.floats(-10.0, 10.0))
def test_the_envelope_holds_every_sample(samples: int, stretches: int, seed: int, start: float) -> None:
    """Each stretch spans its own samples exactly, so no spike is lost and none is made."""
    voltage = np.random.default_rng(seed).normal(0.0, 5.0, samples)
    trace = reduce_trace(voltage, INTERVAL, start, stretches)

    assert max(trace.high_v) == voltage.max()
    assert min(trace.low_v) == voltage.min()
    if trace.every_sample:
        assert trace.low_v == trace.high_v == tuple(voltage.tolist())
        assert samples <= 2 * stretches
        return
    assert len(trace.time_s) == stretches
    bound = np.linspace(0, samples, stretches + 1).astype(int)
    for k, (first, stop) in enumerate(pairwise(bound.tolist())):
        assert (trace.low_v[k], trace.high_v[k]) == (voltage[first:stop].min(), voltage[first:stop].max())
        assert trace.time_s[k] == pytest.approx(start + 0.5 * (first + stop - 1) * INTERVAL, abs=1e-12)


def test_missing_samples_leave_a_gap() -> None:
    """A stretch without samples is not drawn, one with some is drawn by those, and JSON holds no NaN."""
    voltage = np.arange(100.0)
    voltage[40:60] = np.nan
    voltage[65] = np.nan
    trace = reduce_trace(voltage, 1.0, stretches=10)
    short = reduce_trace(voltage, 1.0, stretches=50)

    assert trace.low_v == (0.0, 10.0, 20.0, 30.0, 60.0, 70.0, 80.0, 90.0)
    assert trace.high_v == (9.0, 19.0, 29.0, 39.0, 69.0, 79.0, 89.0, 99.0)
    assert len(short.time_s) == 79
    assert reduce_trace(np.full(9, np.nan), 1.0).time_s == ()
    assert "nan" not in str(to_plain(trace)).lower()


def test_a_trace_of_no_stretches_is_an_error() -> None:
    """The message says what was asked for."""
    with pytest.raises(InputError, match=r"a trace of 0 stretches was asked for; at least 1 is needed"):
        reduce_trace(np.zeros(5), 1.0, stretches=0)


def test_one_clean_cycle_of_each_state() -> None:
    """A capture gives one cycle for each state in which the oscillator ran, beside its windows and their source."""
    stages = [Stage(duration=0.05, load=LOADS["A"])]
    stages += [Stage(duration=0.05, load=LOADS[letter], duty=26.67) for letter in "BCDB"]
    found = pictures(capture(stages))

    assert [picture.state for picture in found] == ["B2", "C2", "D2"]
    assert [picture.high_window_v for picture in found] == [(8.0, 10.0), (5.0, 7.0), (2.0, 4.0)]
    assert {picture.low_window_v for picture in found} == {(-13.0, -11.0)}
    for picture in found:
        assert picture.windows_source.startswith("high: IEC 61851-1:2017, Table A.4")
        assert "(standing: read); low: IEC 61851-1:2017, Table A.4 (standing: memory)" in picture.windows_source


@pytest.mark.hand("1 ms and 5 % of it on each side, time from the crossing")
@pytest.mark.parametrize("interval", [1e-7, INTERVAL, 1.0 / 48000.0])
def test_the_cycle_is_whole_and_begins_at_its_crossing(interval: float) -> None:
    """Time 0 is the rising crossing of 0 V; both edges and a little of the neighbours are there."""
    (picture,) = pictures(
        capture([Stage(duration=0.03, load=LOADS["B"], duty=40.0)], interval=interval), interval=interval
    )
    time, middle = np.array(picture.trace.time_s), np.array(picture.trace.high_v)

    # a thousandth of the picture is a stretch of the envelope
    assert time[0] == pytest.approx(-5e-5, abs=3.0 * interval + 1e-6)
    assert time[-1] == pytest.approx(1.05e-3, abs=3.0 * interval + 1e-6)
    assert middle[(time > 5e-5) & (time < 3.5e-4)] == pytest.approx(8.98, abs=0.15)
    assert middle[(time > 4.5e-4) & (time < 9.5e-4)] == pytest.approx(-12.0, abs=0.15)
    assert (middle[time < -2.0 * interval] < 0.0).all()
    assert (middle[(time > 2.0 * interval) & (time < 3.5e-4)] > 0.0).all()


def test_the_cycle_is_a_usual_one() -> None:
    """Cycles with spikes, dips or another length are not shown."""
    voltage = capture([Stage(duration=0.03, load=LOADS["B"], duty=40.0)])
    for start in range(0, 28_000, 2000):
        voltage[start + 300 : start + 303] += 7.0
    (picture,) = pictures(voltage)

    assert max(picture.trace.high_v) < 9.2


def test_an_own_window_is_drawn_with_its_source() -> None:
    """A window of the case's own source is shown as such."""
    own = OwnConstant(id="pilot.window.B.high.iec-3", minimum=8.2, maximum=9.8, source="a source of the case")
    (picture,) = pictures(capture([Stage(duration=0.03, load=LOADS["B"], duty=40.0)]), book=BOOK.with_own([own]))

    assert picture.high_window_v == (8.2, 9.8)
    assert "a source of the case" in picture.windows_source


def test_what_has_no_whole_cycle_has_no_picture() -> None:
    """A steady pilot, and one whose edges all fall into gaps, show no cycle."""
    voltage = capture([Stage(duration=0.03, load=Load(), duty=50.0)])
    edges = np.flatnonzero((voltage[1:] > 0.0) != (voltage[:-1] > 0.0))
    for edge in edges:
        voltage[edge - 3 : edge + 4] = np.nan

    assert pictures(capture([Stage(duration=0.03, load=LOADS["B"])])) == ()
    assert pictures(voltage) == ()


def test_a_clipped_cycle_is_drawn_as_it_is() -> None:
    """A cycle whose low level is beyond the range is still a cycle."""
    voltage = np.maximum(capture([Stage(duration=0.03, load=LOADS["B"], duty=40.0)]), -10.0)
    (picture,) = pictures(voltage, overload=voltage <= -10.0)

    assert min(picture.trace.low_v) == -10.0

"""Long captures: the same states and figures as from whole arrays, in bounded memory, whoever reads."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.errors import InputError, Interrupted
from coldpin.pilot import ScopeAccuracy, read_pilot, read_pilot_stream
from coldpin.pilot.stream.gather import gather
from coldpin.pilot.stream.part import join, part_of
from coldpin.pilot.stream.spans import runs_of
from coldpin.quantity import Quantity
from coldpin.records.pilot import PilotReading, State
from coldpin.records.plain import to_plain
from coldpin.records.samples import SampleSource
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, parse_accuracy

from ..rc_circuit import LOADS, NOTHING, SHORT, Stage, Unit, sample_times, waveform
from .signals import BOOK, FEW, GAIN, ArraySource, captures, plan_for, source_of, to_int16

SCOPE = ScopeAccuracy(vertical=parse_accuracy("3 % of full scale 40 V"), timebase=parse_accuracy("50 ppm"), id="scope")
NEAR = 0.1
"""Figures agree within a tenth of their standard uncertainty: outliers are set aside page by page, not run by run."""

STAGES = [
    Stage(duration=0.2, load=NOTHING),
    Stage(duration=0.3, load=LOADS["B"], duty=26.7),
    Stage(duration=0.3, load=LOADS["C"], duty=26.7),
    Stage(duration=0.2, load=LOADS["D"], duty=5.0),
    Stage(duration=0.1, load=SHORT, duty=5.0),
    Stage(duration=0.3, load=LOADS["B"], duty=90.0),
    Stage(duration=0.2, load=NOTHING, duty=0.0),
]


def pilot(interval: float, stages: list[Stage] = STAGES, noise: float = 0.02) -> NDArray[np.int16]:
    """The circuit solved by hand, as an instrument stores it."""
    samples = round(sum(stage.duration for stage in stages) / interval)
    clean = waveform(stages, Unit(frequency=1003.7), sample_times(samples, interval), phase=0.37)
    return to_int16(clean + np.random.default_rng(1).normal(0.0, noise, samples))


def stream(source: SampleSource, accuracy: ScopeAccuracy | None = None, hands: int | None = None) -> PilotReading:
    """Read a capture that stays where it is."""
    return read_pilot_stream(source, book=BOOK, edition=Edition.IEC_3, accuracy=accuracy, hands=hands)


def whole(raw: NDArray[np.int16], interval: float, accuracy: ScopeAccuracy | None = None) -> PilotReading:
    """Read the same capture as a whole array."""
    volts = Waveform(voltage=np.asarray(raw * GAIN, np.float64), sample_interval=interval, resolution=GAIN)
    return read_pilot(volts, book=BOOK, edition=Edition.IEC_3, accuracy=accuracy)


def gap(found: Quantity | None, expected: Quantity | None) -> float:
    """Difference of two figures in standard uncertainties of the expected one."""
    if found is None or expected is None:
        assert found is expected
        return 0.0
    assert (found.u is None) == (expected.u is None)
    return abs(found.value - expected.value) / (expected.u or 1e-6)


@pytest.mark.independent("the reader of whole arrays, which sorts and averages in floating point")
@pytest.mark.parametrize(
    ("interval", "accuracy"),
    [(1.0 / 48000.0, None), (1.0 / 48000.0, SCOPE), (5e-6, None), (1e-6, None), (1e-6, SCOPE), (1e-7, None)],
)
def test_states_and_figures_are_those_of_the_whole_array(
    interval: float,
    accuracy: ScopeAccuracy | None,
    measured: Callable[[str, float, str, str], None],
) -> None:
    """Runs, borders and cycles are equal; levels, frequency and duty cycle agree within a small part of u."""
    # ten million samples a second need no second of each
    stages = STAGES if interval > 5e-7 else STAGES[1:4:2]
    raw = pilot(interval, stages)
    expected, found = whole(raw, interval, accuracy), stream(source_of(raw, interval), accuracy)

    largest = 0.0
    assert len(found.runs) == len(expected.runs)
    for run, other in zip(found.runs, expected.runs, strict=True):
        for name in ("state", "start_s", "end_s", "cycles", "diode"):
            assert getattr(run, name) == getattr(other, name)
        for name in ("high_v", "low_v", "frequency_hz", "duty_percent"):
            largest = max(largest, gap(getattr(run, name), getattr(other, name)))
        if run.offered_current_a is not None and other.offered_current_a is not None:
            assert run.offered_current_a.meaning is other.offered_current_a.meaning
    assert largest <= NEAR
    if accuracy is None:
        measured(f"stream against whole array at {1e-3 / interval:g} kS/s", largest, "u", f"≤ {NEAR:g}")


@FEW
@given(st.data())
def test_hands_and_order_change_nothing(data: st.DataObject) -> None:
    """One hand or four, from any place or in order, as parts joined at any cut: the same spans to the last bit."""
    interval = 5e-6
    raw = np.tile(to_int16(data.draw(captures(interval))), 4)
    plan = plan_for(raw.size, interval, page=2)
    source = source_of(raw, interval)

    def spans(one: ArraySource, hands: int) -> object:
        return gather(one, plan, hands=hands, progress=lambda _: None)

    expected = spans(source, 1)

    assert spans(source, 4) == expected
    assert spans(dataclasses.replace(source, seekable=False), 1) == expected
    cut = data.draw(st.integers(0, raw.size))
    joined = join(part_of(raw[:cut], 0, plan), part_of(raw[cut:], cut, plan))
    assert (joined.spans, joined.glitches) == expected


@pytest.mark.parametrize("stored", ["int16", "uint8", "int32", "float32", "float64", ">i2"])
def test_every_stored_type_tells_the_same(stored: str) -> None:
    """What the instrument's samples are stored as changes the figures by no more than their steps."""
    raw = pilot(1e-5)
    expected = stream(source_of(raw, 1e-5))
    if stored == "uint8":
        source = source_of(np.round(raw * GAIN / 0.1 + 128.0).astype(np.uint8), 1e-5, gain=0.1, zero=-12.8)
    else:
        source = source_of(raw.astype(stored), 1e-5)
    found = stream(dataclasses.replace(source, resolution=0.1 if stored == "uint8" else GAIN))

    assert [run.state for run in found.runs] == [run.state for run in expected.runs]
    assert [run.cycles for run in found.runs] == [run.cycles for run in expected.runs]
    for run, other in zip(found.runs, expected.runs, strict=True):
        for name in ("high_v", "low_v", "frequency_hz", "duty_percent"):
            if stored == "uint8":
                assert gap(getattr(other, name), getattr(run, name)) <= 3.0
            else:
                assert gap(getattr(run, name), getattr(other, name)) <= 1e-3


def test_a_reversed_scale_reads_the_same() -> None:
    """An instrument that stores the signal upside down, with a gain below zero, tells the same."""
    raw = pilot(1e-5)
    turned = source_of(-raw, 1e-5, gain=-GAIN)

    assert to_plain(stream(turned)) == to_plain(stream(source_of(raw.astype(np.int32), 1e-5)))


def test_clipped_samples_have_no_level() -> None:
    """Where a plateau stands on the end of the range its level is not told; the cycles are."""
    raw = np.clip(pilot(1e-5, [Stage(duration=0.5, load=LOADS["B"], duty=50.0)]), -10000, 10000)
    run = stream(source_of(raw, 1e-5, overload=(-10000, 10000))).runs[0]

    assert run.cycles == 501
    assert (run.high_v is not None, run.low_v) == (True, None)


def test_hours_without_an_edge_are_read_in_bounded_memory() -> None:
    """A capture of eight hours at 20 kS/s, made on the way, in which nothing ever happens, is one run of state B1."""
    samples, interval = (8 * 3600 * 20_000) // 40, 5e-5
    source = ArraySource(
        lambda a, b: 9000 + (np.arange(a, b) % 7 - 3).astype(np.int16), samples, interval, np.dtype(np.int16)
    )
    reading = stream(source)

    assert [(run.state, run.cycles) for run in reading.runs] == [(State.B1, 0)]
    assert reading.runs[0].high_v is not None
    assert reading.runs[0].high_v.value == pytest.approx(9.0, abs=1e-4)


def test_what_is_kept_does_not_grow_with_the_capture() -> None:
    """Joined part by part, a state that never changes needs one span and two ends of bounded length."""
    interval = 1.0 / 48000.0
    cycle = to_int16(np.where(np.arange(48) < 16, 9.0, -12.0))
    plan = plan_for(48 * 8_000, interval, page=4)
    chunk = np.tile(cycle, 100)
    whole = part_of(chunk, 0, plan)
    for _ in range(50):
        whole = join(whole, part_of(chunk, whole.stop, plan))

    assert len(whole.spans) <= 2
    assert whole.head.size <= plan.page + 2 * plan.reach
    assert whole.tail.size <= plan.page + 2 * plan.reach
    assert len(whole.spans[-1].words[whole.spans[-1].code].sums.batches) <= 51 * 100 // 4


def test_endless_chatter_is_undefined_and_bounded() -> None:
    """Chatter about 0 V that never ends, and states that change each cycle: one run each, few spans."""
    chatter = to_int16(np.where(np.arange(600_000) % 6 < 3, 2.5, -2.5))
    cycle = np.where(np.arange(1000) < 300, 9.0, -12.0)
    toggling = to_int16(np.tile(np.concatenate((cycle, np.where(cycle > 0.0, 6.0, -12.0))), 150))
    for raw, states in ((chatter, [State.UNDEFINED]), (toggling, [State.UNDEFINED])):
        plan = plan_for(raw.size, 1e-6, page=20)
        spans = part_of(raw, 0, plan).spans

        assert len(spans) <= 6
        assert [run.state for run in runs_of(spans, plan.shortest_run)] == states


def test_work_can_be_cancelled_and_progress_reaches_the_end() -> None:
    """Progress goes from 0 to 1 and what it raises stops the work."""
    source = source_of(pilot(1e-5), 1e-5)
    told: list[float] = []
    for seekable in (True, False):
        read_pilot_stream(
            dataclasses.replace(source, seekable=seekable), book=BOOK, edition=Edition.IEC_3, progress=told.append
        )
        assert (told[0], told[-1]) == (0.0, 1.0)

    def stop(done: float) -> None:
        if done > 0.05:
            raise Interrupted("stopped")

    with pytest.raises(Interrupted):
        read_pilot_stream(source, book=BOOK, edition=Edition.IEC_3, progress=stop)


def test_a_capture_that_ends_early_is_told() -> None:
    """A source that gives fewer samples than it told of is refused, with the place."""
    raw = pilot(1e-5)
    for seekable in (True, False):
        short = dataclasses.replace(source_of(raw, 1e-5, seekable=seekable), samples=raw.size + 500_000)
        with pytest.raises(InputError, match="the capture ends near sample"):
            stream(short)
    with pytest.raises(InputError, match="has no samples"):
        stream(source_of(raw[:0], 1e-5))
    with pytest.raises(InputError, match="must be a positive time"):
        stream(source_of(raw, 0.0))


@pytest.mark.independent("the reader of whole arrays")
def test_glitches_across_zero_are_listed_as_for_the_whole_array() -> None:
    """Number, widths and the longest one by one, where no plateau holds others."""
    raw = pilot(1e-6, [Stage(duration=0.4, load=LOADS["B"], duty=50.0)])
    for place, width in ((100_200, 3), (200_300, 9), (300_500, 14)):
        raw[place : place + width] = -raw[place : place + width]
    found, expected = stream(source_of(raw, 1e-6)).glitches, whole(raw, 1e-6).glitches

    assert found.count == 3
    assert [glitch.width_s for glitch in found.longest] == pytest.approx([14e-6, 9e-6, 3e-6])
    assert found == expected

"""A capture read as a whole: figures against the circuit solved by hand, odd captures, and what is said of them."""

from __future__ import annotations

import math
import time
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.errors import InputError, Interrupted
from coldpin.pilot import ScopeAccuracy, read_pilot
from coldpin.pilot.figures import stated_step
from coldpin.quantity import Quantity, Shape, propagate
from coldpin.records.pilot import Diode, Meaning, PilotReading, Run, State
from coldpin.records.plain import to_plain
from coldpin.records.waveform import Waveform
from coldpin.standards import Edition, load_book, parse_accuracy, state_windows

from .rc_circuit import LOADS, SHORT, Load, Stage, Unit, rest, sample_times, true_duty, waveform, without_diode

Numbers = NDArray[np.float64]
BOOK = load_book()
MICROSECOND = 1e-6
SCOPE = ScopeAccuracy(vertical=parse_accuracy("3 % of full scale 40 V"), timebase=parse_accuracy("50 ppm"), id="scope")

WINDOW_EDGES = [edge for window in state_windows(BOOK, Edition.IEC_3) for edge in (window.minimum, window.maximum)]
WALKING = Unit(frequency=1003.7)
"""Its edges fall on every place between two samples, so that little is left of the error of placing them."""


def capture(
    stages: list[Stage],
    *,
    interval: float = MICROSECOND,
    noise: float = 0.02,
    unit: Unit | None = None,
    step: float = 0.0,
    seed: int = 1,
) -> Waveform:
    """A capture of the circuit solved by hand. [s], [V]"""
    samples = round(sum(stage.duration for stage in stages) / interval)
    clean = waveform(stages, unit or Unit(), sample_times(samples, interval), phase=0.37)
    voltage = clean + np.random.default_rng(seed).normal(0.0, noise, samples)
    if step:
        voltage = np.round(voltage / step) * step
    return Waveform(voltage=voltage, sample_interval=interval, resolution=step or None)


def read(
    given: Waveform | Numbers, accuracy: ScopeAccuracy | None = None, edition: Edition = Edition.IEC_3
) -> PilotReading:
    """Read a capture; bare samples are 1 µs apart."""
    asked = given if isinstance(given, Waveform) else Waveform(voltage=given, sample_interval=MICROSECOND)
    return read_pilot(asked, book=BOOK, edition=edition, accuracy=accuracy)


def only(reading: PilotReading) -> Run:
    """The one run of a reading."""
    (run,) = reading.runs
    return run


def value(quantity: Quantity | None) -> float:
    """The value of a quantity that must be there."""
    assert quantity is not None
    return quantity.value


def uncertainty(quantity: Quantity | None) -> float:
    """The standard uncertainty of a quantity that must be there."""
    assert quantity is not None
    assert quantity.u is not None
    return quantity.u


@pytest.mark.published(
    "duty errors at the 0 V crossing by capacitance, numerical solution of the RC-diode circuit, public note"
)
@pytest.mark.parametrize(
    ("letter", "picofarads", "error"),
    [
        ("B", 300.0, -0.005),
        ("C", 300.0, -0.01),
        ("D", 300.0, -0.015),
        ("B", 3100.0, -0.053),
        ("C", 3100.0, -0.105),
        ("D", 3100.0, -0.158),
        ("B", 5500.0, -0.093),
        ("C", 5500.0, -0.186),
        ("D", 5500.0, -0.281),
    ],
)
def test_capacitance_shortens_the_duty_cycle_as_published(letter: str, picofarads: float, error: float) -> None:
    """What is read at 10 MS/s is short by the published amount: it is the duty cycle at the place of measurement."""
    unit = Unit(capacitance=picofarads * 1e-12, frequency=1000.37)
    stages = [Stage(duration=0.03, load=LOADS[letter], duty=30.0)]
    duty = only(read(capture(stages, interval=1e-7, noise=0.0, unit=unit))).duty_percent

    # one unit of the last printed digit, for a solution by steps whose rounding is not told
    assert value(duty) - 30.0 == pytest.approx(error, abs=0.001)


@pytest.mark.published("nominal levels of the states, and without a diode, computed from the circuit's nominal parts")
@pytest.mark.parametrize(
    ("letter", "with_diode", "without"), [("B", 8.98, -8.79), ("C", 6.0, -5.62), ("D", 2.93, -2.37)]
)
def test_nominal_levels_are_the_published_ones(letter: str, with_diode: float, without: float) -> None:
    """Levels, state and diode of nominal parts, with the diode and with it shorted."""
    run = only(read(capture([Stage(duration=0.03, load=LOADS[letter], duty=30.0)])))
    bridged = only(read(capture([Stage(duration=0.03, load=without_diode(LOADS[letter]), duty=30.0)])))

    assert value(run.high_v) == pytest.approx(with_diode, abs=0.01)
    assert value(run.low_v) == pytest.approx(-12.0, abs=0.01)
    assert value(bridged.low_v) == pytest.approx(without, abs=0.01)
    assert (run.state.value, run.diode) == (f"{letter}2", Diode.PRESENT)
    assert (bridged.state.value, bridged.diode) == (f"{letter}2", Diode.ABSENT)


@pytest.mark.published("cross-check of a capture: duty 27.2 %, +6.4 V and -12.4 V have a mean of -7.286 V")
def test_levels_and_duty_make_the_published_mean() -> None:
    """The mean of all samples is duty times high plus the rest times low."""
    on = np.arange(50_000) * 0.999e-3 % 1.0 < 0.272
    run = only(read(np.where(on, 6.4, -12.4)))
    duty = value(run.duty_percent) / 100.0

    assert duty * value(run.high_v) + (1.0 - duty) * value(run.low_v) == pytest.approx(-7.286, abs=0.0005 + 0.02)
    assert value(run.frequency_hz) == pytest.approx(999.0, abs=0.05)
    assert value(run.offered_current_a.current if run.offered_current_a else None) == pytest.approx(16.32, abs=0.02)


@pytest.mark.hand("levels, duty and frequency of the circuit as set")
@pytest.mark.parametrize("duty", [3.0, 5.0, 10.0, 26.67, 53.33, 85.0, 96.0, 97.0])
@pytest.mark.parametrize("interval", [1e-7, MICROSECOND, 1.0 / 48000.0], ids=["10 MS/s", "1 MS/s", "48 kS/s"])
def test_duty_cycles_from_3_to_97(duty: float, interval: float) -> None:
    """Every rate reads every duty cycle within its own interval (here 3 u), and says how sure it is."""
    unit = Unit(frequency=1002.3)
    run = only(read(capture([Stage(duration=0.05, load=LOADS["B"], duty=duty)], interval=interval, unit=unit)))
    truth = true_duty(duty, LOADS["B"], unit)

    assert run.state is State.B2
    assert value(run.duty_percent) == pytest.approx(truth, abs=3.0 * uncertainty(run.duty_percent))
    assert value(run.frequency_hz) == pytest.approx(1002.3, abs=3.0 * uncertainty(run.frequency_hz))
    assert value(run.high_v) == pytest.approx(rest(12.0, LOADS["B"], unit), abs=4.0 * uncertainty(run.high_v) + 1e-3)
    assert value(run.low_v) == pytest.approx(-12.0, abs=4.0 * uncertainty(run.low_v) + 1e-3)
    assert uncertainty(run.duty_percent) < (0.5 if interval > 1e-5 else 0.02)


@pytest.mark.hand(
    "48 samples a period and a locked clock leave each edge anywhere between two samples: ±1/96 of a period"
)
def test_a_locked_slow_clock_is_honest() -> None:
    """At 48 kS/s locked to 1 kHz the duty cycle is unsure by a sample at each edge; at a walking clock it is not."""
    stages = [Stage(duration=0.2, load=LOADS["B"], duty=26.67)]
    locked = only(read(capture(stages, interval=1.0 / 48000.0, noise=0.0))).duty_percent
    walking = only(read(capture(stages, interval=1.0 / 48000.0, noise=0.0, unit=Unit(frequency=1003.7)))).duty_percent
    sample = 100.0 / 48.0

    assert uncertainty(locked) == pytest.approx(sample / math.sqrt(6.0), rel=0.1)
    assert uncertainty(walking) < 0.2 * uncertainty(locked)


def test_without_a_statement_each_figure_says_so() -> None:
    """Scatter, sampling and steps are then in u, and `why` says that the instrument's accuracy is not."""
    run = only(read(capture([Stage(duration=0.03, load=LOADS["B"], duty=30.0)], unit=WALKING)))

    for figure in (run.high_v, run.low_v, run.duty_percent):
        assert figure is not None
        assert figure.why == "accuracy of the instrument not stated, so not included"
        assert 0.0 < (figure.u or 0.0) < 0.02
        assert str(figure.as_json()["why"]).startswith(figure.why)
    assert run.frequency_hz is not None
    assert run.frequency_hz.why == "accuracy of the timebase not stated, so not included"
    assert run.offered_current_a is not None
    assert run.offered_current_a.current.why == "accuracy of the instrument not stated, so not included"


@pytest.mark.hand("3 % of 40 V is ±1.2 V: u = 1.2 / √3; ±50 ppm of 1000 Hz is ±0.05 Hz")
def test_the_statement_makes_the_uncertainty() -> None:
    """A rectangular statement rules the levels, whose interval is then that of a rectangular distribution."""
    run = only(read(capture([Stage(duration=0.3, load=LOADS["B"], duty=30.0)], unit=WALKING), SCOPE))

    assert uncertainty(run.high_v) == pytest.approx(1.2 / math.sqrt(3.0), rel=1e-3)
    assert run.high_v is not None
    assert run.high_v.expanded == pytest.approx(0.95 * 1.2, rel=5e-3)
    (part,) = [part for part in run.high_v.components if part.shape is Shape.RECTANGULAR]
    assert part.id.startswith("scope: vertical")
    assert uncertainty(run.frequency_hz) == pytest.approx(0.05 / math.sqrt(3.0), rel=0.1)


@pytest.mark.hand("a gain error of the same instrument cancels in the ratio of two levels and adds in their difference")
def test_levels_share_the_error_of_the_instrument() -> None:
    """Two levels of one capture, and of two captures, are correlated by the instrument and by nothing else."""
    gain = ScopeAccuracy(vertical=parse_accuracy("2 % of reading"), timebase=None, id="scope")
    first = only(read(capture([Stage(duration=0.03, load=LOADS["B"], duty=30.0)], seed=1), gain))
    second = only(read(capture([Stage(duration=0.03, load=LOADS["C"], duty=30.0)], seed=2), gain))
    assert first.high_v
    assert first.low_v
    assert second.high_v
    ratio = propagate(lambda a, b: a / b, {"a": second.high_v, "b": first.high_v}, "1")
    swing = propagate(lambda a, b: a - b, {"a": first.high_v, "b": first.low_v}, "V")

    assert uncertainty(ratio) < 1e-3
    assert uncertainty(swing) == pytest.approx(0.02 * 21.0 / math.sqrt(3.0), rel=0.01)
    shared = {part.id for part in first.high_v.components} & {part.id for part in second.high_v.components}
    assert len(shared) == 1


@pytest.mark.hand("±1/2 step of 0.15625 V is ±0.078 V; 100 mV of noise carries samples over several steps")
def test_steps_count_only_where_noise_does_not_carry_over_them() -> None:
    """A quiet 8-bit level is unsure by half a step, a noisy one by far less, and the truth lies within."""
    stages = [Stage(duration=0.05, load=LOADS["C"], duty=30.0)]
    truth = rest(12.0, LOADS["C"], Unit())
    quiet = only(read(capture(stages, noise=0.005, step=0.15625))).high_v
    noisy = only(read(capture(stages, noise=0.1, step=0.15625))).high_v

    assert uncertainty(quiet) == pytest.approx(0.15625 / math.sqrt(12.0), rel=0.05)
    assert uncertainty(noisy) < 0.1 * uncertainty(quiet)
    assert value(quiet) == pytest.approx(truth, abs=0.15625 / 2.0)
    assert value(noisy) == pytest.approx(truth, abs=4.0 * uncertainty(noisy))


@pytest.mark.hand("40 V in 8 bits are steps of 0.15625 V")
def test_the_step_may_come_from_the_statement() -> None:
    """Bits of a statement stand in where the capture does not tell its step; they are not counted twice."""
    bits = ScopeAccuracy(vertical=parse_accuracy("3 % of full scale + 8 bit"), full_scale=40.0)
    plain = ScopeAccuracy(vertical=parse_accuracy("3 % of full scale"), full_scale=40.0)
    fixed = ScopeAccuracy(vertical=parse_accuracy("0.5 % of reading, resolution 0.05 V"))
    given = capture([Stage(duration=0.03, load=LOADS["B"], duty=30.0)], noise=0.005, step=0.15625)

    assert stated_step(bits) == 0.15625
    assert stated_step(fixed) == pytest.approx(0.05)
    assert (stated_step(plain), stated_step(None), stated_step(ScopeAccuracy())) == (None, None, None)
    assert uncertainty(only(read(given, bits)).high_v) == pytest.approx(uncertainty(only(read(given, plain)).high_v))


@pytest.mark.hand(
    "largest capacitance of the trade: after 15 µs an edge into 5500 pF still lacks a tenth of a volt and more"
)
def test_a_plateau_that_has_not_settled_says_so_by_its_uncertainty() -> None:
    """At 97 % into 5500 pF the low plateau is still falling: what it may lack is in its uncertainty."""
    unit = Unit(capacitance=5.5e-9)
    run = only(read(capture([Stage(duration=0.05, load=LOADS["B"], duty=97.0)], unit=unit)))

    assert abs(value(run.low_v) + 12.0) > 0.1
    assert value(run.low_v) == pytest.approx(-12.0, abs=2.0 * uncertainty(run.low_v))
    assert "settling of the low level" in {part.label for part in (run.low_v.components if run.low_v else ())}


@pytest.mark.hand("a plateau of 30 µs has one or two samples at 48 kS/s")
def test_a_plateau_of_hardly_a_sample_says_so() -> None:
    """At 48 kS/s a plateau of 30 µs cannot show how it settles; if no sample meets it settled, u is unknown."""
    unit = Unit(capacitance=5.5e-9, frequency=1003.7)
    stages = [Stage(duration=0.05, load=LOADS["B"], duty=97.0)]
    low = only(read(capture(stages, interval=1.0 / 48000.0, unit=unit))).low_v
    unlucky = only(read(capture(stages, interval=1.0 / 48000.0, unit=Unit(capacitance=5.5e-9)))).low_v

    assert low is not None
    assert "too few samples on the plateau to tell whether it has settled" in low.why
    assert low.value == pytest.approx(-12.0, abs=2.0 * uncertainty(low))
    assert unlucky is not None
    assert unlucky.u is None
    assert unlucky.why.startswith("no sample lies past the settling time after an edge")


@given(st.floats(-13.5, 13.5), st.integers(1, 40_000), st.sampled_from([0.0, 0.02]))
def test_a_constant_signal_is_one_run(level: float, samples: int, noise: float) -> None:
    """Whatever the level and the length, a steady pilot is one run without cycles, frequency or duty cycle."""
    # on the edge of a window noise decides, block by block
    assume(all(abs(level - edge) > 5.0 * noise for edge in WINDOW_EDGES))
    voltage = level + np.random.default_rng(3).normal(0.0, noise, samples)
    run = only(read(voltage))

    assert (run.start_s, run.end_s, run.cycles) == (0.0, samples * MICROSECOND, 0)
    assert (run.frequency_hz, run.duty_percent, run.offered_current_a) == (None, None, None)
    assert run.diode is Diode.UNKNOWN
    shown = [level for level in (run.high_v, run.low_v) if level is not None]
    assert len(shown) == 1
    assert shown[0].value == pytest.approx(
        # five standard deviations of the mean; a stub of less than half a block is left out, a third at the most
        level,
        abs=max(5.0 * noise * math.sqrt(1.5 / samples), 5.0 * noise * (samples < 30), 1e-9),
    )


@given(st.integers(0, 40), st.integers(30, 100))
def test_cutting_within_runs_does_not_change_the_states(first: int, last: int) -> None:
    """A capture cut in the middle of its first and last run has the same states."""
    stages = [Stage(duration=0.05, load=LOADS[letter], duty=40.0) for letter in "ABC"]
    whole = capture(stages)
    part = Waveform(
        voltage=whole.voltage[first * 1000 + 137 : 150_000 - (100 - last) * 400], sample_interval=MICROSECOND
    )

    assert [run.state.value for run in read(whole).runs] == ["A2", "B2", "C2"]
    assert [run.state.value for run in read(part).runs] == ["A2", "B2", "C2"]


@pytest.mark.parametrize("letter", ["B", "C", "D"])
def test_a_reversed_probe_is_not_read_as_a_pilot(letter: str) -> None:
    """Turned over, an oscillating loaded pilot is no state and offers nothing."""
    proper = capture([Stage(duration=0.05, load=LOADS[letter], duty=30.0)])
    run = only(read(-proper.voltage))

    assert run.state is State.UNDEFINED
    assert run.offered_current_a is None


@given(st.integers(0, 2**32 - 1), st.floats(0.5, 20.0), st.integers(10, 30_000))
def test_noise_is_undefined_and_does_not_crash(seed: int, sigma: float, samples: int) -> None:
    """Noise that fills the range has no state that holds."""
    reading = read(np.random.default_rng(seed).normal(0.0, sigma, samples))

    assert reading.runs[0].start_s == 0.0
    assert reading.runs[-1].end_s == pytest.approx(samples * MICROSECOND)
    if samples > 1000 and sigma > 3.0:
        assert {run.state for run in reading.runs} == {State.UNDEFINED}
    to_plain(reading)


def test_nothing_but_gaps() -> None:
    """A capture without a single value is undefined and has no levels."""
    run = only(read(np.full(20_000, np.nan)))

    assert (run.state, run.high_v, run.low_v, run.cycles) == (State.UNDEFINED, None, None, 0)


def test_a_gap_is_undefined_and_the_rest_is_read() -> None:
    """A long gap stands as such between two runs; a few missing samples do not show."""
    voltage = capture([Stage(duration=0.1, load=LOADS["B"], duty=30.0)]).voltage.copy()
    voltage[30_000:60_000] = np.nan
    voltage[80_100:80_150] = np.nan

    assert [run.state.value for run in read(voltage).runs] == ["B2", "undefined", "B2"]


def test_a_clipped_low_level_is_not_guessed() -> None:
    """Where the instrument said "beyond its range" there is a state and a duty cycle, but no level and no diode."""
    stages = [Stage(duration=0.05, load=LOADS[letter], duty=30.0) for letter in "BC"]
    given = capture([*stages, Stage(duration=0.05, load=SHORT, duty=30.0)], unit=WALKING)
    clipped = Waveform(
        voltage=np.maximum(given.voltage, -10.0), sample_interval=MICROSECOND, overload=given.voltage < -10.0
    )
    first, second, short = read(clipped).runs

    for run, letter in ((first, "B"), (second, "C")):
        assert (run.state.value, run.low_v, run.diode) == (f"{letter}2", None, Diode.UNKNOWN)
        truth = true_duty(30.0, LOADS[letter], WALKING)
        assert value(run.duty_percent) == pytest.approx(truth, abs=3.0 * uncertainty(run.duty_percent))
        assert value(run.high_v) == pytest.approx(rest(12.0, LOADS[letter], WALKING), abs=0.01)
    assert (short.state, short.low_v is None) == (State.E, False)


def test_a_level_wholly_beyond_the_range_is_undefined_without_a_value() -> None:
    """A steady level beyond the range is no state, and the passage to the next does not lend it a value."""
    given = capture([Stage(duration=0.05, load=LOADS[letter]) for letter in "AB"])
    clipped = Waveform(
        voltage=np.minimum(given.voltage, 10.0), sample_interval=MICROSECOND, overload=given.voltage > 10.0
    )
    first, second = read(clipped).runs

    assert (first.state, first.high_v, first.low_v) == (State.UNDEFINED, None, None)
    assert second.state is State.B1


def test_equal_samples_of_an_unknown_step_say_nothing_of_their_uncertainty() -> None:
    """Without scatter and without a step u is not known; a stated step or accuracy makes it known."""
    flat = np.full(20_000, 9.0)
    bare = only(read(flat)).high_v
    stepped = only(read(Waveform(voltage=flat, sample_interval=MICROSECOND, resolution=0.15625))).high_v
    stated = only(read(flat, SCOPE)).high_v

    assert bare is not None
    assert bare.u is None
    assert bare.why == "all samples of the level are equal and the step of the instrument is not known"
    assert uncertainty(stepped) == pytest.approx(0.15625 / math.sqrt(12.0))
    assert uncertainty(stated) == pytest.approx(1.2 / math.sqrt(3.0))


def test_states_that_take_turns_have_no_level() -> None:
    """Where no state holds there is no mean of several."""
    stages = [Stage(duration=0.002, load=LOADS[letter]) for letter in "BC" * 15]
    run = only(read(capture(stages)))

    assert (run.state, run.high_v, run.low_v) == (State.UNDEFINED, None, None)


@pytest.mark.parametrize("cycles", [1.5, 2.2, 3.4])
def test_a_few_cycles_are_enough(cycles: float) -> None:
    """With fewer than five cycles the noise within them stands for their scatter."""
    given = capture([Stage(duration=cycles / 1000.0, load=LOADS["B"], duty=40.0)], noise=0.05)
    run = read(given).runs[0]
    whole = run.cycles

    assert math.floor(cycles) - 1 <= whole <= math.floor(cycles)
    if whole:
        assert run.state is State.B2
        assert uncertainty(run.high_v) == pytest.approx(0.05 / math.sqrt(whole), rel=0.25)
        assert value(run.duty_percent) == pytest.approx(40.0, abs=0.1)


@pytest.mark.hand("10 MS/s for 3 ms")
def test_a_short_fast_capture() -> None:
    """Two cycles at 10 MS/s give levels and duty cycle to the noise."""
    run = read(capture([Stage(duration=0.003, load=LOADS["C"], duty=53.33)], interval=1e-7)).runs[0]

    assert run.state is State.C2
    assert value(run.duty_percent) == pytest.approx(true_duty(53.33, LOADS["C"], Unit()), abs=0.01)


@pytest.mark.published("5 %: digital; 26.67 %: 16 A; between 7 % and 8 %: nothing stands for it")
@pytest.mark.parametrize(
    ("duty", "meaning", "current"),
    [(5.0, Meaning.DIGITAL, 0.0), (26.67, Meaning.CURRENT, 16.0), (7.5, Meaning.FORBIDDEN, 0.0)],
)
def test_the_offer_of_a_run(duty: float, meaning: Meaning, current: float) -> None:
    """The run carries what its duty cycle means."""
    offer = only(read(capture([Stage(duration=0.05, load=LOADS["B"], duty=duty)]))).offered_current_a

    assert offer is not None
    assert offer.meaning is meaning
    assert offer.current.value == pytest.approx(current, abs=0.03)


def test_hum_widens_a_level() -> None:
    """Slow hum is no independent scatter: the uncertainty of a short capture grows accordingly."""
    given = capture([Stage(duration=0.05, load=LOADS["B"], duty=30.0)])
    hum = 0.1 * np.sin(2.0 * np.pi * 50.0 * np.arange(given.samples) * MICROSECOND + 0.8)
    plain, humming = only(read(given)).high_v, only(read(given.voltage + hum)).high_v

    assert uncertainty(humming) > 20.0 * uncertainty(plain)
    assert value(humming) == pytest.approx(8.98, abs=2.0 * uncertainty(humming))


def test_a_wandering_oscillator_has_a_less_certain_frequency() -> None:
    """The mean period takes its uncertainty from stretches of the run: slow wander counts."""
    rng = np.random.default_rng(5)
    edges = np.cumsum(1000.0 + np.cumsum(rng.normal(0.0, 0.2, 200)))
    phase = np.interp(np.arange(int(edges[-1])), np.concatenate(([0.0], edges)), np.arange(201))
    wander = only(read(np.where(phase % 1.0 < 0.3, 9.0, -12.0))).frequency_hz
    steady = only(read(np.where(np.arange(200_000) % 1000.3 < 300.0, 9.0, -12.0))).frequency_hz

    assert uncertainty(wander) > 10.0 * uncertainty(steady)


def test_an_irregular_oscillation_has_no_frequency() -> None:
    """Pulses at random have levels, but no frequency and no duty cycle."""
    rng = np.random.default_rng(6)
    lengths = rng.integers(60, 3000, 200)
    run = read(np.repeat(np.tile([9.0, -12.0], 100), lengths)).runs[0]

    assert run.state is State.B2
    assert (run.frequency_hz, run.duty_percent, run.offered_current_a) == (None, None, None)


def test_two_levels_without_a_crossing_are_shown() -> None:
    """An oscillator without its negative rail is undefined, and both its levels are told."""
    voltage = np.tile(np.repeat([0.4, 9.0], [700, 300]), 30) + np.random.default_rng(8).normal(0.0, 0.02, 30_000)
    run = only(read(voltage))

    assert run.state is State.UNDEFINED
    assert value(run.high_v) == pytest.approx(9.0, abs=0.01)
    assert value(run.low_v) == pytest.approx(0.4, abs=0.01)


@pytest.mark.parametrize("edition", list(Edition))
def test_every_edition_reads(edition: Edition) -> None:
    """States are told alike in all editions; the offer follows the zones of each."""
    nine = capture([Stage(duration=0.05, load=LOADS["B"], duty=9.0)])
    run = only(read(nine, edition=edition))

    assert run.state is State.B2
    assert run.offered_current_a is not None
    assert run.offered_current_a.meaning is (Meaning.FORBIDDEN if edition is Edition.SAE else Meaning.CURRENT)


def test_errors_say_what_to_do() -> None:
    """A capture without samples or without a step cannot be read."""
    with pytest.raises(InputError, match=r"the capture has no samples; .* check the file and the columns chosen"):
        read(np.empty(0))
    with pytest.raises(
        InputError, match=r"sample interval is 0 s; it must be a positive time: give it with --step or --rate"
    ):
        read(Waveform(voltage=np.zeros(5), sample_interval=0.0))


def test_without_draws_the_intervals_alone_change() -> None:
    """Value and standard uncertainty are those of the linear sum, nothing is drawn."""
    given = capture([Stage(duration=0.05, load=LOADS["B"], duty=30.0)], step=0.3)
    drawn = only(read_pilot(given, book=BOOK, edition=Edition.IEC_3))
    plain = only(read_pilot(given, book=BOOK, edition=Edition.IEC_3, exact=False))

    assert plain.high_v is not None
    assert drawn.high_v is not None
    assert plain.high_v.quantiles == ()
    assert plain.high_v.value == pytest.approx(drawn.high_v.value, rel=1e-9)
    assert plain.high_v.u == pytest.approx(drawn.high_v.u, rel=0.01)


def test_progress_is_told_and_may_cancel() -> None:
    """Progress rises to 1; what it raises goes through."""
    given = capture([Stage(duration=0.02, load=LOADS[letter], duty=30.0) for letter in "ABC"])
    told: list[float] = []
    read_pilot(given, book=BOOK, edition=Edition.IEC_3, progress=told.append)

    assert told == sorted(told)
    assert (told[0], told[-1]) == (0.0, 1.0)

    def cancel(done: float) -> None:
        if done > 0.5:
            raise Interrupted("cancelled")

    with pytest.raises(Interrupted):
        read_pilot(given, book=BOOK, edition=Edition.IEC_3, progress=cancel)


def test_many_runs_are_read_by_the_plain_sum() -> None:
    """A capture with more runs than are worth drawing for keeps the wider interval of the sum."""
    stages = [Stage(duration=0.012, load=LOADS[letter]) for letter in "BC" * 12]
    many = read(capture(stages), SCOPE).runs
    few = read(capture(stages[:4]), SCOPE).runs

    assert (len(many), len(few)) == (24, 4)
    assert many[0].high_v
    assert few[0].high_v
    assert (many[0].high_v.expanded or 0.0) > 1.15 * (few[0].high_v.expanded or math.inf)


def test_a_million_samples_are_read_quickly(measured: Callable[[str, float, str, str], None]) -> None:
    """Reading 1e6 samples finds the five runs; how long it takes is noted, not judged."""
    given = capture([Stage(duration=0.2, load=LOADS[letter], duty=30.0) for letter in "ABCBA"])
    best = math.inf
    for _ in range(3):
        begin = time.perf_counter()
        reading = read(given)
        best = min(best, time.perf_counter() - begin)
    measured("pilot: 1e6 samples read, five runs", best, "s", "≤ 0.6")

    assert len(reading.runs) == 5


def test_loads_without_a_diode_rest_at_mirrored_levels() -> None:
    """The circuit solved by hand mirrors its levels where no diode stands in the way."""
    load = Load(resistance=2740.0, drop=None)

    assert rest(-12.0, load, Unit()) == pytest.approx(-rest(12.0, load, Unit()))

"""Heating curves: where they end, from runs stopped early, against finite volumes and against measured steps."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from coldpin.copper.heating_curve import HeatingFit, fit_heating, temperature_at
from coldpin.copper.heating_grid import _lagged_by, _swept, lagged
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.heating_rows import Array, Stretch, gather, stretches_of_current, warming_rows
from coldpin.copper.temperature_rise import rise_of_log
from coldpin.errors import InputError
from coldpin.records.heating import HeatedPart
from coldpin.simulator.cable import VirtualCable
from coldpin.simulator.heating import SENSORS, HeatingRun, LoggedSensor, log_heating
from coldpin.simulator.logger import VirtualLogger
from coldpin.standards.book import load_book

COVERAGE = 0.95

SLOWEST_OF = {HeatedPart.SHEATH: 330.0, HeatedPart.PLUG: 450.0, HeatedPart.CONDUCTOR: 330.0}
"""Time constants of the virtual cable, at which its parts come to their ends. [s]"""

ALL = (*SENSORS, LoggedSensor(name="conductor", at="conductor", place=2.5))


def fitted(time: Array, temperature: Array, *, ambient: float, step: float, began: float = 0.0) -> HeatingFit:
    """The fit of rows under a steady ambient."""
    rows = Stretch(first=0, end=time.size, current=None)
    around = np.full(time.size, ambient)
    return fit_heating(gather(time, temperature, around, None, rows, began=began, step=step))


def warming(seconds: float, *, seed: int = 3, every: float = 15.0) -> tuple[Array, Array]:
    """A part that warms from 20 °C towards 50 °C with 400 s, read to 0.1 K."""
    time = np.arange(0.0, seconds, every)
    noise = np.random.default_rng(seed).normal(0.0, 0.05, time.size)
    return time, np.round(20.0 + 30.0 * -np.expm1(-time / 400.0) + noise, 1)


STEPS = {
    "first heater of two": ("two_heaters_1s.csv", 3, 10.0, 200.0),
    "second heater of two": ("two_heaters_1s.csv", 4, 100.0, 300.0),
    "one heater, first step": ("one_heater_no_header.csv", 2, 11.04, 201.7),
    "one heater, second step": ("one_heater_no_header.csv", 2, 402.5, 571.0),
}


def step_test(open_data: Path, name: str, part: float) -> tuple[HeatingFit, float, float]:
    """The fit of a part of a measured step, when the step ended, and what was read in its last ten rows."""
    file, column, on, off = STEPS[name]
    table = np.loadtxt(open_data / "heater-step-test" / file, delimiter=",", skiprows=int(file.startswith("two")))
    time, temperature = table[:, 0], table[:, column]
    step = float(np.diff(np.unique(temperature)).min())
    whole = np.flatnonzero((time >= on) & (time < off))
    used = whole[time[whole] <= on + part * (off - on)]
    rows = Stretch(first=int(used[0]), end=int(used[-1]) + 1, current=None)
    around = np.full(time.size, temperature[whole[0]])
    fit = fit_heating(gather(time, temperature, around, None, rows, began=on, step=step))
    return fit, float(time[whole[-10:]].mean() - on), float(temperature[whole[-10:]].mean())


@pytest.mark.published("heater-step-test: a small heater's measured steps, open data; the later readings are the truth")
@pytest.mark.parametrize("name", STEPS)
def test_the_first_third_of_a_measured_step_holds_the_later_truth(
    name: str, open_data: Path, measured: Callable[[str, float, str, str], None]
) -> None:
    """From a third of a step the end of the step is foretold, and the end temperature agrees with the whole step's."""
    third, ended, truth = step_test(open_data, name, 1.0 / 3.0)
    whole, _, _ = step_test(open_data, name, 1.0)

    told = temperature_at(third, ended)

    assert told.low is not None
    assert told.high is not None
    measured(f"{name}: end of the step from its first third, off by", told.value - truth, "K", "within its interval")
    assert told.low <= truth <= told.high
    assert third.rise.low is not None
    assert whole.rise.value >= third.rise.low
    assert third.rise.high is None or whole.rise.value <= third.rise.high


@pytest.mark.independent("finite volumes of the simulator, which share no formula with the fit")
@pytest.mark.parametrize("constants", [1, 2, 5])
@pytest.mark.parametrize("part", SLOWEST_OF)
def test_the_interval_of_the_end_covers_the_truth_of_finite_volumes(
    part: HeatedPart, constants: int, proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Stopped after one, two, five time constants, 95 % intervals hold the end no less often than 95 % allow."""
    trials = 60 if proving else 2
    held = sum(_holds(part, constants * SLOWEST_OF[part], seed) for seed in range(trials))

    least = int(stats.binom.ppf(0.005, trials, COVERAGE))
    name = f"coverage of the end temperature of the {part}, stopped after {constants} τ"
    measured(name, held / trials, "1", "≥ 95 % (binomial)")
    assert held >= least


def _holds(part: HeatedPart, stop: float, seed: int) -> bool:
    run = HeatingRun(currents=((60.0, 0.0), (4000.0, 26.0)), stopped_at=stop + 60.0, wobble=0.002, drift=0.3)
    logger = VirtualLogger(interval=6.0, jitter=3.0, dropout=0.05)
    seen = log_heating(VirtualCable(), run, seed=seed, logger=logger, sensors=ALL)
    channels = {channel.name: channel for channel in seen.log.channels}
    told = rise_of_log(
        HeatingTest(
            part=part,
            time_s=seen.log.time_s,
            channel=channels[part.value],
            ambient=channels["ambient"],
            logged=channels["current"],
        ),
        AskedUse(),
        load_book(),
    )
    # the source wanders: the end that was tested is that at the mean of what flowed
    flowed = (told.current_a.value / seen.truth.current) ** 2
    truth = (seen.truth.ends[part.value] - seen.truth.ambient) * flowed
    assert told.end_rise_k.low is not None
    below = told.end_rise_k.high is None or truth <= told.end_rise_k.high
    return told.end_rise_k.low <= truth and below


@pytest.mark.independent("finite volumes of the simulator, in a draught that comes and goes")
def test_a_draught_of_minutes_does_not_narrow_the_interval_about_a_wrong_end() -> None:
    """A conductor cooled by a third for minutes, twice: its end in still air stays within the interval."""
    run = HeatingRun(
        currents=((60.0, 0.0), (4000.0, 26.0)), stopped_at=860.0, draughts=6.0, draught=0.5, draught_seconds=150.0
    )
    seen = log_heating(VirtualCable(), run, seed=8, sensors=ALL, logger=VirtualLogger(interval=6.0))
    channels = {channel.name: channel.values for channel in seen.log.channels}
    rows = Stretch(first=11, end=seen.log.rows, current=None)
    read = gather(seen.log.time_s, channels["conductor"], channels["ambient"], None, rows, began=60.0, step=0.1)

    rise = fit_heating(read).rise

    truth = seen.truth.ends["conductor"] - seen.truth.ambient
    assert rise.low is not None
    assert rise.low <= truth
    assert rise.high is None or truth <= rise.high


DRAUGHTS = {
    "4 an hour of 5 min at 0.25 m/s, 30 min": (1860.0, 4.0, 300.0, 0.25),
    "3 an hour of 7 min at 0.4 m/s, 20 min": (1260.0, 3.0, 400.0, 0.4),
    "6 an hour of 2 min at 0.2 m/s, 50 min": (3060.0, 6.0, 120.0, 0.2),
}
"""Runs with draughts: stopped at [s], draughts an hour, how long each lasts [s], how fast at most [m/s]."""

ONCE_ABOVE = {"4 an hour of 5 min at 0.25 m/s, 30 min": (13,), "3 an hour of 7 min at 0.4 m/s, 20 min": (1, 4)}
"""Seeds whose still-air end lay above the interval of a scatter taken to warm as often as it cools."""


@pytest.mark.independent("finite volumes of the simulator, settled in still air")
@pytest.mark.parametrize("name", DRAUGHTS)
def test_the_still_air_end_lies_within_the_interval_of_a_run_in_draughts(
    name: str, proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Draughts only cool: the end without them is held as often as 95 % allow, but for those that blow to the end."""
    stop, often, lasts, speed = DRAUGHTS[name]
    run = HeatingRun(
        currents=((60.0, 0.0), (4000.0, 26.0)), stopped_at=stop, draughts=often, draught=speed, draught_seconds=lasts
    )
    seeds = range(24) if proving else ONCE_ABOVE.get(name, (0,))
    held = 0
    for seed in seeds:
        seen = log_heating(VirtualCable(), run, seed=seed, sensors=ALL, logger=VirtualLogger(interval=6.0))
        channels = {channel.name: channel for channel in seen.log.channels}
        told = rise_of_log(
            HeatingTest(
                part=HeatedPart.SHEATH,
                time_s=seen.log.time_s,
                channel=channels["sheath"],
                ambient=channels["ambient"],
                logged=channels["current"],
            ),
            AskedUse(),
            load_book(),
        )
        truth, rise = seen.truth.ends["sheath"] - seen.truth.ambient, told.end_rise_k
        assert rise.low is not None
        held += rise.low <= truth and (rise.high is None or truth <= rise.high)

    measured(f"still-air end of the sheath held, {name}", held / len(seeds), "1", "≥ 95 % (binomial)")
    assert held >= int(stats.binom.ppf(0.005, len(seeds), COVERAGE))
    assert proving or held == len(seeds)


def test_what_lasts_raises_the_upper_end_alone() -> None:
    """Readings that err alone raise it by next to nothing, a dip of minutes by about what it scatters."""
    time, warm = warming(2400.0)
    dip = np.where((time > 900.0) & (time < 1200.0), -2.0, 0.0)

    quiet = fitted(time, warm, ambient=20.0, step=0.1)
    blown = fitted(time, warm + dip, ambient=20.0, step=0.1)

    assert quiet.lasting < 0.05
    assert 0.2 < blown.lasting < 2.0
    for fit in (quiet, blown):
        assert fit.rise.high is not None
        assert fit.rise.high >= fit.rise.value + fit.lasting


def test_a_current_that_warms_has_no_end_below_the_air() -> None:
    """However little is known, the rise in the end is not below zero."""
    time, plain = warming(300.0, every=5.0)
    swing = 3.0 * np.sin(time / 25.0)

    rise = fitted(time, plain + swing, ambient=20.0, step=0.1).rise

    assert rise.low is not None
    assert rise.low >= -0.1


def test_a_run_stopped_very_early_is_open_above() -> None:
    """After a tenth of a time constant there is a lower end, no upper one, and no uncertainty."""
    fit = fitted(*warming(60.0, every=2.0), ambient=20.0, step=0.1)

    assert fit.open_above
    assert fit.rise.u is None
    assert fit.rise.high is None
    assert fit.rise.low is not None
    assert fit.rise.low <= 30.0
    assert "stopped so early" in fit.rise.why
    assert fit.reached is None


def test_the_interval_narrows_as_the_run_goes_on() -> None:
    """One, two and five time constants give ever narrower intervals about one truth."""
    widths = []
    for constants in (1.0, 2.0, 5.0):
        rise = fitted(*warming(400.0 * constants), ambient=20.0, step=0.1).rise
        assert rise.low is not None
        assert rise.high is not None
        assert rise.low <= 30.0 <= rise.high
        widths.append(rise.high - rise.low)
    assert widths[0] > widths[1] > widths[2]


def test_draughts_that_last_widen_the_interval() -> None:
    """The same spread of readings says less where it hangs together for minutes."""
    time, plain = warming(1600.0)
    alone = np.random.default_rng(5).normal(0.0, 0.3, time.size)
    lasting = np.convolve(np.random.default_rng(5).normal(0.0, 1.0, time.size + 19), np.ones(20), "valid")
    lasting *= 0.3 / lasting.std()

    by_itself = fitted(time, plain + alone, ambient=20.0, step=0.1).rise.expanded
    together = fitted(time, plain + lasting, ambient=20.0, step=0.1).rise.expanded

    assert by_itself is not None
    assert together is not None
    assert together > 1.5 * by_itself


@settings(max_examples=4)
@given(scale=st.floats(0.2, 5.0), offset=st.floats(-40.0, 60.0), unit=st.sampled_from([1.0 / 60.0, 2.0, 60.0]))
def test_units_and_zero_of_the_scales_change_only_units(scale: float, offset: float, unit: float) -> None:
    """A temperature scale of other degrees and zero, and a time in minutes, give the same rise and time constant."""
    time, read = warming(900.0)
    plain = fitted(time, read, ambient=20.0, step=0.1)

    other = fitted(unit * time, scale * read + offset, ambient=scale * 20.0 + offset, step=scale * 0.1)

    assert plain.rise.low is not None
    assert other.rise.low is not None
    assert other.rise.value == pytest.approx(scale * plain.rise.value, rel=1e-3)
    assert other.rise.low == pytest.approx(scale * plain.rise.low, rel=1e-3)
    assert other.time_constant.value == pytest.approx(unit * plain.time_constant.value, rel=1e-3)


def test_rows_at_uneven_times_tell_the_same() -> None:
    """Leaving out half of the rows at random moves the end by less than its uncertainty."""
    time, read = warming(1600.0, every=5.0)
    kept = np.sort(np.random.default_rng(2).choice(time.size, time.size // 2, replace=False))

    whole = fitted(time, read, ambient=20.0, step=0.1).rise
    half = fitted(time[kept], read[kept], ambient=20.0, step=0.1).rise

    assert half.expanded is not None
    assert abs(half.value - whole.value) < half.expanded


def test_a_part_follows_its_ambient_late() -> None:
    """A room that warms meanwhile is taken out as the part sees it: the rise stays what it was."""
    time = np.arange(0.0, 2400.0, 10.0)
    room = 20.0 + 2.0 * time / 2400.0
    read = lagged(time, room, 400.0) + 30.0 * -np.expm1(-time / 400.0)
    read += np.random.default_rng(1).normal(0.0, 0.03, time.size)
    rows = Stretch(first=0, end=time.size, current=None)

    rise = fit_heating(gather(time, read, room, None, rows, began=0.0, step=0.01)).rise

    assert rise.low is not None
    assert rise.high is not None
    assert rise.low < 30.0 < rise.high
    assert rise.high - rise.low < 0.5


@pytest.mark.hand("a ramp is followed with the same slope, one time constant late")
def test_a_lag_follows_a_ramp_one_time_constant_late() -> None:
    """The exact answer of a first-order lag to a ramp, at uneven stamps."""
    time = np.cumsum(np.random.default_rng(0).uniform(1.0, 20.0, 60))
    time -= time[0]
    exact = 0.1 * (time - 50.0 * -np.expm1(-time / 50.0))
    np.testing.assert_allclose(lagged(time, 0.1 * time, 50.0), exact, atol=1e-12)


def test_a_slip_of_one_row_parts_no_current() -> None:
    """One wild reading of the current is a slip; three in a row are another current."""
    amperes = np.full(40, 16.0)
    amperes[10] = 20.0
    assert len(stretches_of_current(amperes)) == 1
    amperes[20:] = 13.0
    assert [(one.first, one.end) for one in stretches_of_current(amperes)] == [(0, 20), (20, 40)]


@given(start=st.integers(0, 50), lasts=st.integers(60, 200), cools=st.integers(0, 100))
def test_a_warming_is_found_between_rest_and_cooling(start: int, lasts: int, cools: int) -> None:
    """Without a current the stretch begins just after the part moves and ends where it is warmest."""
    warm = 20.0 + 30.0 * -np.expm1(-np.arange(lasts) / 30.0)
    cold = 20.0 + (warm[-1] - 20.0) * np.exp(-np.arange(1, cools + 1) / 30.0)
    rows = warming_rows(np.concatenate([np.full(start, 20.0), warm, cold]))

    assert start <= rows.first <= start + 5
    # a cooling too short to be told from a draught is left in
    assert start + lasts - 5 <= rows.end <= start + lasts + min(cools, 10)


def test_too_few_rows_are_refused() -> None:
    """A curve of five readings is not told from its scatter."""
    with pytest.raises(InputError, match="5 readings under current are too few for a heating curve"):
        fitted(*warming(75.0), ambient=20.0, step=0.1)


@pytest.mark.independent("the same lag one time constant after the other")
def test_a_lag_by_many_time_constants_is_that_by_each() -> None:
    """What is worked out for all time constants of a grid at once is, to the last bit, what each alone gives."""
    random = np.random.default_rng(1)
    time, values = np.cumsum(random.random(50) + 0.1), random.standard_normal(50)
    constants = np.geomspace(0.1, 100.0, 7)

    each = np.stack([lagged(time, values, float(constant)) for constant in constants], axis=1)
    assert np.array_equal(_lagged_by(time, values, constants), each)


@pytest.mark.independent("numpy.linalg: inverse, solution and determinant of each system")
def test_many_small_systems_swept_at_once() -> None:
    """One sweep gives for every system what solving it alone does."""
    random = np.random.default_rng(2)
    rows = random.standard_normal((6, 9, 4))
    rows /= np.linalg.norm(rows, axis=1, keepdims=True)
    targets = random.standard_normal((6, 9))
    normal, product = rows.swapaxes(1, 2) @ rows, np.einsum("kni,kn->ki", rows, targets)
    square = np.einsum("kn,kn->k", targets, targets)

    inverse, solution, left, log_determinant = _swept(np.moveaxis(normal, 0, 2), product.T, square)

    assert np.moveaxis(inverse, 2, 0) == pytest.approx(np.linalg.inv(normal), rel=1e-9, abs=1e-9)
    alone = [np.linalg.lstsq(one, target, rcond=None) for one, target in zip(rows, targets, strict=True)]
    solved = np.moveaxis(solution, 1, 0)
    assert solved == pytest.approx(np.array([one[0] for one in alone]), rel=1e-9, abs=1e-9)
    assert left == pytest.approx([float(one[1][0]) for one in alone], rel=1e-9)
    assert log_determinant == pytest.approx(np.linalg.slogdet(normal)[1], rel=1e-9, abs=1e-9)

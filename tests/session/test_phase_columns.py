"""Three lines of a supply in one log, and a power factor that is logged: what is summed, divided, and left alone."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.quantity import Quantity
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.records.session import PhaseKind, SessionReading
from coldpin.session.charge_log import BY_FACTOR, LOGGED, PRODUCT, QUOTIENT, charge_log
from coldpin.session.meter import Meter
from coldpin.session.phase_columns import in_one, line_of
from coldpin.session.reading import Asked, read_session
from coldpin.standards.accuracy import parse_accuracy

ROWS = 601
METER = Meter(
    statements={
        LogQuantity.POWER: parse_accuracy("1 % + 2 W"),
        LogQuantity.VOLTAGE: parse_accuracy("0.5 %"),
        LogQuantity.CURRENT: parse_accuracy("1 %"),
        LogQuantity.POWER_FACTOR: parse_accuracy("1 %"),
    }
)


def column(name: str, quantity: LogQuantity, value: float) -> LogChannel:
    """A column in which nothing changes."""
    return LogChannel(name=name, quantity=quantity, unit="", values=np.full(ROWS, value))


def log_of(*channels: LogChannel) -> Log:
    """A row each second."""
    return Log(time_s=np.arange(float(ROWS)), channels=channels)


def told_of(log: Log, meter: Meter = METER) -> SessionReading:
    """The charge in it."""
    return read_session(log, Asked(meter=meter))


def lines(name: str, quantity: LogQuantity, *values: float) -> tuple[LogChannel, ...]:
    """A column for each line."""
    return tuple(column(f"{name} L{line}", quantity, value) for line, value in enumerate(values, start=1))


POWERS = lines("P", LogQuantity.POWER, 3600.0, 3650.0, 3550.0)
CURRENTS = lines("I", LogQuantity.CURRENT, 15.9, 16.1, 15.7)
VOLTAGES = lines("U", LogQuantity.VOLTAGE, 230.0, 229.0, 231.0)


@pytest.mark.hand("3600 + 3650 + 3550 = 10 800 W, in 600 s 1800 Wh; u² = (108² + 6²)/3 W² of 1 % and three times 2 W")
def test_the_power_of_three_lines_is_their_sum() -> None:
    """Each meter's statement holds for its line, and all may be wrong the same way."""
    told = told_of(log_of(*POWERS, *CURRENTS, *VOLTAGES))
    (phase,) = told.phases
    one = told_of(log_of(column("P", LogQuantity.POWER, 3600.0))).phases[0].power_w

    assert phase.power_w.value == pytest.approx(10800.0)
    assert one.u is not None
    assert phase.power_w.u == pytest.approx(3.0 * one.u, rel=0.001)
    assert told.energy_wh.value == pytest.approx(1800.0)
    assert phase.current_a.value == pytest.approx(16.1), "an offer holds for each line"
    assert any("their sum is taken" in remark for remark in told.remarks)
    assert not any("in another unit" in remark for remark in told.remarks)
    assert phase.power_factor is None


@pytest.mark.hand("15.9 · 230 + 16.1 · 229 + 15.7 · 231 = 10 970.6 VA")
def test_currents_and_voltages_of_three_lines_give_the_apparent_power_of_all() -> None:
    """Not a third of it; with a stated voltage the sum of the currents counts."""
    rows = charge_log(log_of(*CURRENTS, *VOLTAGES))
    stated = charge_log(log_of(*CURRENTS), voltage=Quantity(230.0, 1.0, "V"))

    assert rows.power_w is not None
    assert stated.power_w is not None
    assert (rows.power_from, rows.power_w[0]) == (PRODUCT, pytest.approx(10970.6))
    assert stated.power_w[0] == pytest.approx(230.0 * 47.7)


@pytest.mark.parametrize(
    ("channels", "said"),
    [
        ((column("P", LogQuantity.POWER, 10800.0), *VOLTAGES), "how the power is shared between the lines is not told"),
        ((*POWERS, column("U", LogQuantity.VOLTAGE, 230.0)), "the voltage of one line only"),
        ((*POWERS,), ""),
    ],
)
def test_of_powers_no_current_is_made_where_a_line_lacks_its_power_or_its_voltage(
    channels: tuple[LogChannel, ...], said: str
) -> None:
    """How a sum is shared is not told, nor is a voltage of one line that of the others; without any nothing is."""
    rows = charge_log(log_of(*channels))

    assert rows.current_a is None
    assert not said or any(said in remark for remark in rows.remarks)


@pytest.mark.hand("the largest of three powers over its own voltage, as logged, or over 230 V as stated")
def test_of_the_powers_of_three_lines_the_least_current_is_told() -> None:
    """It is the largest of the lines, larger by the power factor, and so has a least value and no uncertainty."""
    watts, volts = ([float(one.values[0]) for one in columns] for columns in (POWERS, VOLTAGES))
    logged = charge_log(log_of(*POWERS, *VOLTAGES))
    stated = charge_log(log_of(*POWERS), voltage=Quantity(230.0, 1.0, "V"))

    assert logged.current_a is not None
    assert stated.current_a is not None
    assert logged.current_a[0] == pytest.approx(max(w / v for w, v in zip(watts, volts, strict=True)))
    assert stated.current_a[0] == pytest.approx(max(watts) / 230.0)
    asked = Asked(voltage=Quantity(230.0, 1.0, "V"), offer=Quantity(10.0, 0.1, "A"), meter=METER)
    told = read_session(log_of(*POWERS), asked)
    (phase,) = [one for one in told.phases if one.kind is PhaseKind.STEADY]
    assert phase.current_a.u is None
    assert phase.current_a.low is not None
    assert phase.current_a.low < phase.current_a.value == pytest.approx(max(watts) / 230.0)
    assert [one.outcome for one in told.offer] == ["beyond"]


def test_scatter_of_lines_that_carry_alike_makes_no_current() -> None:
    """The largest of three alike at each row lies above each of them; the mean told does not."""
    generator = np.random.default_rng(5)
    time = np.arange(600.0)
    watts = tuple(
        LogChannel(
            name=f"P L{line}", quantity=LogQuantity.POWER, unit="W", values=generator.normal(3680.0, 40.0, time.size)
        )
        for line in (1, 2, 3)
    )
    told = read_session(Log(time_s=time, channels=watts), Asked(voltage=Quantity(230.0, 0.5, "V")))
    largest = max(float(np.mean(one.values)) for one in watts) / 230.0

    (phase,) = told.phases
    assert phase.current_a.value == pytest.approx(largest, abs=2e-3)


@pytest.mark.parametrize(
    "channels",
    [
        POWERS[:2],
        (*POWERS[:2], column("House L3", LogQuantity.POWER, 400.0)),
        (*POWERS[:2], column("P", LogQuantity.POWER, 400.0)),
        (*POWERS, column("P total", LogQuantity.POWER, 10800.0)),
        (POWERS[0], POWERS[1], column("P L2", LogQuantity.POWER, 3550.0)),
    ],
)
def test_what_is_unlike_is_not_summed(channels: tuple[LogChannel, ...]) -> None:
    """Two lines, another device's line, no line, a total beside, a line twice: the first is read, and that is said."""
    rows = charge_log(log_of(*channels))

    assert rows.power_w is not None
    assert (rows.lines, rows.power_w[0]) == (1, 3600.0)
    assert any("they are not summed, and the first is read" in remark for remark in rows.remarks)


def test_a_column_that_is_meant_is_read_alone() -> None:
    """A person chose it."""
    chosen = LogChannel(name="P L2", quantity=LogQuantity.POWER, unit="W", values=np.full(ROWS, 3650.0), meant=True)
    rows = charge_log(log_of(POWERS[0], chosen, POWERS[2]))

    assert rows.power_w is not None
    assert (rows.lines, rows.power_w[0]) == (1, 3650.0)


def test_a_row_without_one_line_is_left_out() -> None:
    """A sum of two is no sum of three."""
    broken = POWERS[1].values.copy()
    broken[5] = np.nan
    second = LogChannel(name="P L2", quantity=LogQuantity.POWER, unit="W", values=broken)
    told = in_one(log_of(POWERS[0], second, POWERS[2]))
    channel = told.log.channel(LogQuantity.POWER)

    assert channel is not None
    assert np.flatnonzero(np.isnan(channel.values)).tolist() == [5]
    assert told.summed == {LogQuantity.POWER: 3}


@pytest.mark.parametrize(
    ("name", "line"),
    [("Power L1 (W)", 1), ("power_l2", 2), ("PHASE 3", 3), ("Ph1", 1), ("L12", None), ("Level 1", None), ("I1", None)],
)
def test_a_line_is_told_by_its_name(name: str, line: int | None) -> None:
    """L1 to L3, as people write them."""
    assert line_of(name) == line


FACTORED = (
    column("P", LogQuantity.POWER, 3450.0),
    column("U", LogQuantity.VOLTAGE, 230.0),
    column("PF", LogQuantity.POWER_FACTOR, 0.9375),
)


@pytest.mark.hand("3450 W / (230 V · 0.9375) = 16 A; limits 1.058 %, 0.5 %, 1 %: u = 16 A · 1.539 %/√3 = 0.142 A")
def test_a_logged_power_factor_divides() -> None:
    """The current has a value and an uncertainty, by all three columns."""
    rows = charge_log(log_of(*FACTORED))
    (phase,) = told_of(log_of(*FACTORED)).phases

    assert (rows.power_from, rows.current_from) == (LOGGED, BY_FACTOR)
    assert phase.current_a.value == pytest.approx(16.0)
    assert phase.current_a.u == pytest.approx(0.142, abs=0.002)


def test_a_power_factor_of_unknown_accuracy_leaves_a_least_current() -> None:
    """No power factor is above 1: power over voltage is the least that flows."""
    stated = {quantity: METER.statements[quantity] for quantity in (LogQuantity.POWER, LogQuantity.VOLTAGE)}
    (phase,) = told_of(log_of(*FACTORED), Meter(statements=stated)).phases

    assert phase.current_a.u is None
    assert phase.current_a.value == pytest.approx(16.0)
    assert phase.current_a.low is not None
    assert phase.current_a.low == pytest.approx(15.0, rel=0.02)
    assert phase.current_a.low < 15.0


@pytest.mark.parametrize("factor", [0.0, 0.05, 1.2, float("nan")])
def test_what_is_no_power_factor_divides_nothing(factor: float) -> None:
    """Power over voltage stands, and is the least."""
    rows = charge_log(log_of(*FACTORED[:2], column("PF", LogQuantity.POWER_FACTOR, factor)))

    assert rows.current_a is not None
    assert (rows.current_from, rows.current_a[0]) == (QUOTIENT, pytest.approx(15.0))


def test_a_factor_may_be_signed_and_may_be_missing_at_some_rows() -> None:
    """The sign tells lead from lag, not the size; a phase with a row without a factor tells a least current alone."""
    values = np.full(ROWS, -0.9375)
    values[100] = 0.0
    factor = LogChannel(name="PF", quantity=LogQuantity.POWER_FACTOR, unit="1", values=values)
    rows = charge_log(log_of(*FACTORED[:2], factor))

    assert rows.current_a is not None
    assert (rows.current_a[0], rows.current_a[100]) == (pytest.approx(16.0), pytest.approx(15.0))
    assert any("rows without a power factor from 0.1 to 1: 1" in remark for remark in rows.remarks)
    assert all(phase.current_a.u is None for phase in told_of(log_of(*FACTORED[:2], factor)).phases)

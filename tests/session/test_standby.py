"""Standby power: refused where the meter is not known to be true of so small a load; else yearly energy and cost."""

from __future__ import annotations

import math

import numpy as np
import pytest

from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.log import Log, LogQuantity
from coldpin.session.standby import (
    SmallLoadAccuracy,
    energy_in,
    power_from_counter,
    power_from_log,
    refuse_unstated,
    standby_reading,
)
from coldpin.standards import load_book
from coldpin.standards.accuracy import parse_accuracy
from tests.session.charges import column

BOOK = load_book()
GOOD = SmallLoadAccuracy(statement=parse_accuracy("1 % + 0.005 W"), from_power=0.05, from_power_factor=0.05)


@pytest.mark.parametrize(
    ("accuracy", "power", "power_factor", "said"),
    [
        (SmallLoadAccuracy(statement=None, from_power=None, from_power_factor=None), 0.8, 0.1, "without the meter's"),
        (SmallLoadAccuracy(statement=GOOD.statement, from_power=5.0, from_power_factor=None), 0.8, 0.1, "from which"),
        (GOOD, 0.8, None, "needs the load's power factor"),
        (GOOD, 0.8, 12.0, "between 0 and 1: .* not in per cent"),
        (GOOD, 0.8, -0.3, "without the sign"),
        (SmallLoadAccuracy(statement=GOOD.statement, from_power=5.0, from_power_factor=0.5), 0.8, 0.9, "from 5.0 W on"),
        (SmallLoadAccuracy(statement=GOOD.statement, from_power=0.5, from_power_factor=0.5), 0.8, 0.1, "from 0.5 on"),
    ],
)
def test_a_power_the_meter_is_not_known_to_measure_is_refused(
    accuracy: SmallLoadAccuracy, power: float, power_factor: float | None, said: str
) -> None:
    """No accuracy, no range of it, no power factor, or outside of the range: one message that says what to do."""
    with pytest.raises(InputError, match=said):
        refuse_unstated(accuracy, power, power_factor)


def test_a_power_within_what_is_stated_is_taken() -> None:
    """At its edge too."""
    refuse_unstated(GOOD, 0.05, 0.05)


@pytest.mark.hand("1 W for 8760 h is 8.76 kWh; at 0.40 a kilowatt-hour 3.504")
def test_a_watt_all_year() -> None:
    """Nearly nine kilowatt-hours."""
    told = standby_reading(Quantity(1.0, 0.01, "W"), BOOK, power_factor=0.2, price=0.4, currency="EUR")

    assert told.yearly_wh.value == pytest.approx(8760.0)
    assert told.yearly_wh.u == pytest.approx(87.6)
    assert told.yearly_cost is not None
    assert told.yearly_cost.value == pytest.approx(3.504)
    assert told.price == "0.4 EUR/kWh"


@pytest.mark.published("an idle unit draws under about a watt; common practice, no published source")
@pytest.mark.parametrize(("power", "outcome"), [(0.4, "within"), (1.0, "undecided"), (2.5, "beyond")])
def test_the_power_is_placed_beside_common_practice(power: float, outcome: str) -> None:
    """And the sentence says whose limit it is."""
    told = standby_reading(Quantity(power, 0.01, "W"), BOOK, power_factor=0.2)

    assert told.outcome == outcome
    assert "common practice, no published source" in told.statement
    assert told.yearly_cost is None


@pytest.mark.published(
    "2 % at 95 % from half a watt on, IEC 62301 as a public summary restates it; 10 mW below: memory"
)
@pytest.mark.parametrize(
    ("power", "u", "asked"), [(0.8, 0.005, ""), (0.8, 0.02, "0.016 W"), (0.2, 0.004, ""), (0.2, 0.02, "0.010 W")]
)
def test_a_coarse_meter_is_said(power: float, u: float, asked: str) -> None:
    """The remark gives what the method asks for; the value stands."""
    told = standby_reading(Quantity(power, u, "W"), BOOK, power_factor=0.2)

    assert [asked in remark for remark in told.remarks] == ([True] if asked else [])


@pytest.mark.hand("60 Wh in 72 h are 0.8333 W; a step of 10 Wh at both ends: 10/√6/72 = 0.0567 W; 1 %: 0.0048 W")
def test_a_ticking_load_is_read_from_the_counter() -> None:
    """The step of the counter is most of the uncertainty, and shrinks as the counter runs on."""
    short = power_from_counter(60.0, 72.0, parse_accuracy("1 %"), step=10.0)
    long = power_from_counter(600.0, 720.0, parse_accuracy("1 %"), step=10.0)

    assert short.value == pytest.approx(60.0 / 72.0)
    assert short.u == pytest.approx(math.hypot(10.0 / math.sqrt(6.0) / 72.0, 0.01 * short.value / math.sqrt(3.0)))
    assert long.u is not None
    assert short.u is not None
    assert long.u < 0.2 * short.u


@pytest.mark.parametrize(("energy", "hours", "said"), [(5.0, 72.0, "rose by 5.0 Wh"), (60.0, 0.0, "the time is 0 h")])
def test_a_counter_that_hardly_rose_says_nothing(energy: float, hours: float, said: str) -> None:
    """Less than a step is no reading."""
    with pytest.raises(OutsideRange, match=said):
        power_from_counter(energy, hours, parse_accuracy("1 %"), step=10.0)


def test_a_ticking_load_is_read_from_a_long_log() -> None:
    """One second of 6 W in every ten, 0.2 W between: 0.78 W, and the interval holds it."""
    time = np.arange(36_000.0)
    ticking = np.where(time % 10.0 < 1.0, 6.0, 0.2)
    log = Log(time_s=time, channels=(column("P", LogQuantity.POWER, ticking, resolution=0.1),))
    power = power_from_log(log, parse_accuracy("1 %"))

    assert power.low is not None
    assert power.high is not None
    assert power.low <= 0.78 <= power.high
    assert power.value == pytest.approx(0.78, rel=0.001)


def test_a_log_with_a_gap_or_without_power_is_refused() -> None:
    """A standby power is no product of volts and amperes, and no mean over what was not recorded."""
    time = np.concatenate([np.arange(100.0), 900.0 + np.arange(100.0)])
    with_gap = Log(time_s=time, channels=(column("P", LogQuantity.POWER, np.ones(200)),))
    current = Log(time_s=np.arange(100.0), channels=(column("I", LogQuantity.CURRENT, np.ones(100)),))

    with pytest.raises(InputError, match="nothing was recorded for a time after row 100"):
        power_from_log(with_gap, parse_accuracy("1 %"))
    with pytest.raises(InputError, match="voltage times current is not the power of an idle unit"):
        power_from_log(current, parse_accuracy("1 %"))


def test_a_power_without_uncertainty_has_a_year_without() -> None:
    """Why goes along."""
    assert energy_in(Quantity(1.0, None, "W", why="not stated"), 10.0).why == "not stated"


@pytest.mark.published("32 A single phase is about 7 kW at the wall; common practice, no published source")
def test_a_charge_at_32_amperes_is_about_seven_kilowatts() -> None:
    """230 V times 32 A is 7.36 kW, which is the round figure of the trade."""
    known = BOOK.limit("charging.power-at-32a")

    assert known.nominal is not None
    assert round(230.0 * 32.0 / 1e3) == known.nominal


@pytest.mark.hand("100 Wh in 100 h known to ± 1 h: 1 W with 1 % as limits from the time, 0.0058 W")
def test_how_surely_the_time_is_known_counts() -> None:
    """Beside the steps of the counter and the meter."""
    power = power_from_counter(100.0, 100.0, parse_accuracy("1e-6 W"), step=1e-3, start_hours=1.0)

    assert power.u == pytest.approx(0.01 / math.sqrt(3.0), rel=1e-3)


def test_a_power_below_zero_is_a_sensor_the_wrong_way_round() -> None:
    """The answer to exchanged leads is not a better meter."""
    with pytest.raises(OutsideRange, match="below zero"):
        refuse_unstated(GOOD, -0.82, 0.12)


def test_the_draw_of_a_heater_is_asked_about() -> None:
    """820 W of an idle unit are a slip of the prefix or a charge, and no finding."""
    told = standby_reading(Quantity(820.0, 8.0, "W"), BOOK, power_factor=0.9)

    assert (told.outcome, told.probability) == ("undecided", None)
    assert any("is the unit mW" in remark for remark in told.remarks)


def test_a_load_that_rests_below_what_the_meter_measures_has_no_mean() -> None:
    """6 W for a second of ten and 0.2 W between: for a meter that is stated from 0.5 W on, nothing true."""
    time = np.arange(36_000.0)
    ticking = np.where(time % 10.0 < 1.0, 6.0, 0.2)
    log = Log(time_s=time, channels=(column("P", LogQuantity.POWER, ticking, resolution=0.1),))

    with pytest.raises(OutsideRange, match="in 90 % of its rows the log shows less than"):
        power_from_log(log, parse_accuracy("1 %"), from_power=0.5)
    assert power_from_log(log, parse_accuracy("1 %"), from_power=0.1).value == pytest.approx(0.78, rel=0.001)


def test_a_log_with_values_beyond_the_range_has_no_mean() -> None:
    """The ticks that the meter did not show are missing in it."""
    log = Log(time_s=np.arange(100.0), channels=(column("P", LogQuantity.POWER, np.ones(100), beyond=4),))

    with pytest.raises(InputError, match="4 values of the power were beyond the meter's range"):
        power_from_log(log, parse_accuracy("1 %"))


def test_a_meter_that_shows_nothing_is_asked_about() -> None:
    """Many cut off what is small."""
    told = standby_reading(Quantity(0.0, 0.002, "W"), BOOK, power_factor=0.1)

    assert any("cuts off so small a load" in remark for remark in told.remarks)

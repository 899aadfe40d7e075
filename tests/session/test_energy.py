"""Energy: hand examples, additive over cuts, bounded over gaps, held against the meter's counter and a real home."""

from __future__ import annotations

import csv
import math
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.quantity import Quantity
from coldpin.records.log import Log, LogQuantity
from coldpin.records.session import PhaseKind
from coldpin.session.charge_log import charge_log
from coldpin.session.energy import cost_of, counter_rises, summed_energy, trapezoids
from coldpin.session.meter import Meter
from coldpin.session.reading import Asked, read_session
from coldpin.standards.accuracy import parse_accuracy
from tests.session.charges import METER, column, log_of


@pytest.mark.hand("3.68 kW for two hours is 7.36 kWh; down to nothing in one hour more, half of 3.68 kWh")
def test_energy_of_a_plain_charge() -> None:
    """7.36 kWh, and 1.84 kWh of the way down."""
    time = np.array([0.0, 3600.0, 7200.0, 10800.0])
    parts = trapezoids(time, np.array([3680.0, 3680.0, 3680.0, 0.0]))

    assert parts.tolist() == [3680.0, 3680.0, 1840.0]


def test_many_gaps_stand_in_one_line_of_the_budget() -> None:
    """As unsure as one by one; forty lines would say no more and cost more than the rest."""
    seconds = np.arange(3600.0)
    rows = (seconds < 30.0) | (seconds % 90.0 >= 10.0)
    power = column("P", LogQuantity.POWER, np.full(int(rows.sum()), 3600.0))
    told = read_session(Log(time_s=seconds[rows], channels=(power,)), Asked(meter=METER, gap_from_s=9.0))
    [line] = [part for part in told.energy_wh.components if part.id.startswith("gaps: ")]
    each = [gap.energy_wh.u for gap in told.gaps]

    assert len(told.gaps) > 30
    assert line.contribution == pytest.approx(math.hypot(*(u for u in each if u is not None)))


@pytest.mark.hand("1 % of 3.68 kWh as limits is 36.8 Wh / √3 = 21.2 Wh; 2 W for an hour is 2 Wh / √3, on top of it")
def test_what_the_meter_states_holds_for_the_whole_time() -> None:
    """Limits are the same thing at every row: they grow with the time and not with its root."""
    log = charge_log(Log(time_s=np.arange(3601.0), channels=(column("P", LogQuantity.POWER, np.full(3601, 3680.0)),)))
    meter = Meter(statements={LogQuantity.POWER: parse_accuracy("1 % + 2 W")})
    energy = summed_energy(log, meter)

    assert energy.value == pytest.approx(3680.0)
    assert energy.u == pytest.approx((36.8 + 2.0) / math.sqrt(3.0), rel=1e-9)


@pytest.mark.hand("a step of 3680 W at any moment between two rows ten minutes apart: 306.7 Wh either way, over √3")
def test_a_step_between_two_rows_may_lie_anywhere() -> None:
    """Rows that are far apart leave the energy of a step open; the uncertainty holds it."""
    time, power = np.array([0.0, 600.0, 1200.0, 1800.0]), np.array([0.0, 0.0, 3680.0, 3680.0])
    log = charge_log(Log(time_s=time, channels=(column("P", LogQuantity.POWER, power),)))
    exact = Meter(statements={LogQuantity.POWER: parse_accuracy("1e-9 W")})
    energy = summed_energy(log, exact)

    assert energy.value == pytest.approx(3680.0 / 6.0 * 1.5)
    assert energy.u == pytest.approx(3680.0 / 6.0 / 2.0 / math.sqrt(3.0), rel=1e-6)


@given(st.integers(1, 2600))
def test_energy_is_additive_over_cuts(row: int) -> None:
    """Two parts that share a row make the whole."""
    log = charge_log(log_of())
    row = min(row, log.time_s.size - 2)
    whole = summed_energy(log, METER)
    first, second = summed_energy(log, METER, last=row), summed_energy(log, METER, first=row)

    assert first.value + second.value == pytest.approx(whole.value, rel=1e-12)


@given(st.floats(0.5, 3000.0))
def test_energy_follows_the_scale_of_time_and_power(factor: float) -> None:
    """Twice as long, twice as much."""
    log = log_of()
    slow = Log(time_s=log.time_s * factor, channels=log.channels)
    once, more = (summed_energy(charge_log(each), METER).value for each in (log, slow))

    assert more == pytest.approx(factor * once, rel=1e-9)


@pytest.mark.parametrize("share", [0.0, 0.5, 1.0])
def test_a_gap_is_bounded_and_holds_whatever_happened(share: float) -> None:
    """Whether nothing, half, or all was drawn in ten minutes without rows, the interval of the energy holds it."""
    keep = np.ones(10_000, np.bool_)
    keep[400:1000] = False
    told = read_session(log_of(keep=keep), Asked(meter=METER))
    (gap,) = told.gaps
    true = share * 3680.0 * (gap.end_s - gap.start_s) / 3600.0

    assert PhaseKind.NOT_RECORDED in {phase.kind for phase in told.phases}
    assert not any(abs(outage.start_s - gap.start_s) < 5.0 for outage in told.outages)
    assert gap.energy_wh.u is not None
    half = gap.energy_wh.u * math.sqrt(3.0)
    assert gap.energy_wh.value - half <= true + 1e-6
    assert gap.energy_wh.value + half >= 0.99 * true
    assert told.energy_wh.u is not None
    assert told.energy_wh.u >= gap.energy_wh.u
    assert any("bounded, not known" in remark for remark in told.remarks)


def test_a_counter_that_ran_on_tells_what_a_gap_held() -> None:
    """With the meter's own counter on both sides the energy of a gap is its rise."""
    keep = np.ones(10_000, np.bool_)
    keep[400:1000] = False
    log, whole = log_of(keep=keep, energy=True), log_of(energy=True)
    told, true = read_session(log, Asked(meter=METER)), read_session(whole, Asked(meter=METER))
    (gap,) = told.gaps

    assert gap.bounded_by == "the meter's counter"
    assert gap.energy_wh.value == pytest.approx(16.0 * 230.0 * 0.99 * 601.0 / 3600.0, rel=0.01)
    assert told.energy_wh.value == pytest.approx(true.energy_wh.value, abs=2.0)


def test_the_sum_agrees_with_the_counter() -> None:
    """And where the counter is of another circuit, it does not."""
    log = log_of(energy=True)
    told = read_session(log, Asked(meter=METER))
    assert told.counter is not None
    assert told.counter.agrees == "yes"
    doubled = Log(
        time_s=log.time_s,
        channels=tuple(
            column(c.name, c.quantity, c.values * (2.0 if c.quantity is LogQuantity.ENERGY else 1.0), resolution=0.1)
            for c in log.channels
        ),
    )
    other = read_session(doubled, Asked(meter=METER)).counter
    assert other is not None
    assert other.agrees == "no"
    unstated = read_session(log).counter
    assert unstated is not None
    assert unstated.agrees == "cannot tell"


def test_a_counter_that_fell_was_reset() -> None:
    """It began again at what it then showed."""
    rises, resets = counter_rises(np.array([5.0, 6.0, 0.0, 2.0]))

    assert (rises.tolist(), resets) == ([1.0, 0.0, 2.0], 1)


@pytest.mark.hand("7.36 kWh at 0.35 per kWh are 2.576")
def test_cost_follows_energy_and_its_uncertainty() -> None:
    """The price is exact, the energy is not."""
    cost = cost_of(Quantity(7360.0, 73.6, "Wh"), 0.35, "EUR")

    assert cost.unit == "EUR"
    assert cost.value == pytest.approx(2.576)
    assert cost.u == pytest.approx(0.02576)
    assert cost_of(Quantity(7360.0, None, "Wh", why="not stated"), 0.35, "EUR").why == "not stated"


def household(path: Path) -> Log:
    """Two weeks of a home, as the file gives them."""
    with path.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    return Log(
        time_s=60.0 * np.arange(float(len(rows))),
        channels=(
            column(
                "P", LogQuantity.POWER, [1000.0 * float(row["Global_active_power"]) for row in rows], resolution=2.0
            ),
            column("U", LogQuantity.VOLTAGE, [float(row["Voltage"]) for row in rows], resolution=0.01),
            column("I", LogQuantity.CURRENT, [float(row["Global_intensity"]) for row in rows], resolution=0.2),
        ),
    )


@pytest.mark.published("UCI household, 1 to 14 February 2007, one row a minute without a gap (README of the data)")
def test_two_weeks_of_a_home_are_without_gap_and_outage(open_data: Path) -> None:
    """A long log in which a supply never failed; its energy is the plain sum of its minutes, but for the two ends."""
    log = household(open_data / "household-vi-1min" / "household_2007-02-01_14.csv")
    told = read_session(log, Asked(meter=METER))
    watts = log.channels[0].values

    assert told.source.rows == 20_160
    assert (told.gaps, told.outages) == ((), ())
    assert {phase.kind for phase in told.phases} <= {*PhaseKind} - {PhaseKind.SUPPLY_LOST, PhaseKind.NOT_RECORDED}
    assert told.energy_wh.value == pytest.approx(float(watts.sum()) / 60.0 - (watts[0] + watts[-1]) / 120.0, rel=1e-9)


@pytest.mark.hand(
    "a row each time the power fell by 100 W, which holds until the next: the sum of power times interval"
)
def test_a_log_that_is_written_on_change_holds_its_truth() -> None:
    """All changes lie at the later row, which straight lines between rows miss the same way each time."""
    watts = np.arange(7000.0, -1.0, -100.0)
    time = np.cumsum(np.r_[0.0, np.linspace(5.0, 120.0, watts.size - 1)])
    rows = charge_log(Log(time_s=time, channels=(column("P", LogQuantity.POWER, watts),)))
    exact = Meter(statements={LogQuantity.POWER: parse_accuracy("0.01 %")})
    told = summed_energy(rows, exact)
    truth = float(np.sum(watts[:-1] * np.diff(time))) / 3600.0

    assert told.low is not None
    assert told.high is not None
    assert told.low <= truth <= told.high
    assert told.value == pytest.approx(float(np.trapezoid(watts, time)) / 3600.0)

"""Virtual power logs: rows against the truth, and the truth against itself."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.records.log import Log, LogQuantity
from coldpin.simulator.car import CARS, VirtualCar, Visit
from coldpin.simulator.charge import (
    MarkClock,
    SimulatedCharge,
    VirtualPowerMeter,
    log_charge,
    month_of_charging,
)
from coldpin.simulator.charge_line import VirtualSupply
from coldpin.simulator.logger import VirtualLogger

VISIT = Visit(plugged=50.0, unplugged=6900.0, offer=[(0.0, 16.0), (2000.0, 10.0), (3000.0, 16.0)], unlock=6800.0)
OTHERS = (LogQuantity.TEMPERATURE, LogQuantity.RESISTANCE, LogQuantity.OTHER)
PERFECT = VirtualPowerMeter(columns={one: 0.0 for one in LogQuantity if one not in OTHERS}, noise=0.0)


def column(log: Log, quantity: LogQuantity) -> NDArray[np.float64]:
    found = log.channel(quantity)
    assert found is not None
    return found.values


def charged(meter: VirtualPowerMeter = PERFECT, *, interval: float = 1.0, **more: object) -> SimulatedCharge:
    given: dict[str, object] = {"seconds": 7200.0, "seed": 3, "logger": VirtualLogger(interval=interval), **more}
    return log_charge(VirtualCar(), [VISIT], meter=meter, **given)  # type: ignore[arg-type]  # fields by name


@pytest.mark.hand("P = U·I·λ, S² = P² + Q², U = U0 - R·I")
def test_rows_agree_with_each_other() -> None:
    """What a perfect meter writes obeys the laws of a.c. circuits in every row."""
    log = charged().log
    power, voltage, current, factor, reactive, apparent = (
        column(log, one)
        for one in (
            LogQuantity.POWER,
            LogQuantity.VOLTAGE,
            LogQuantity.CURRENT,
            LogQuantity.POWER_FACTOR,
            LogQuantity.REACTIVE_POWER,
            LogQuantity.APPARENT_POWER,
        )
    )
    np.testing.assert_allclose(voltage * current * factor, power, rtol=1e-9)
    np.testing.assert_allclose(power**2 + reactive**2, apparent**2, rtol=1e-9)
    drawing = slice(200, 1900)
    assert power[drawing].mean() == pytest.approx(15.52 * 230.0, rel=0.03)
    assert voltage[:40].mean() - voltage[drawing].mean() == pytest.approx(0.4 * 15.52, abs=1.5)
    assert factor[drawing].min() > 0.99
    assert power[:40].mean() == pytest.approx(1.6)


@pytest.mark.independent("sum of power over rows of a second against the energy known from the segments")
def test_energy_is_the_sum_of_power() -> None:
    """Energy from the course, from the counter and from the rows are one, also for rows a minute apart."""
    fine, coarse = charged(), charged(interval=60.0)
    summed = np.trapezoid(column(fine.log, LogQuantity.POWER), fine.log.time_s) / 3600.0

    assert fine.truth.energy_wh == pytest.approx(summed, rel=1e-4)
    assert column(fine.log, LogQuantity.ENERGY)[-1] == pytest.approx(fine.truth.energy_wh, rel=1e-6)
    assert coarse.truth.energy_wh == pytest.approx(fine.truth.energy_wh, rel=1e-6)
    in_phases = sum(phase.power * (phase.end_s - phase.start_s) for phase in fine.truth.phases) / 3600.0
    assert in_phases == pytest.approx(fine.truth.energy_wh, rel=1e-6)
    means = charged(replace(PERFECT, means=True), interval=60.0).log
    assert column(means, LogQuantity.POWER)[1:].sum() / 60.0 == pytest.approx(fine.truth.energy_wh, rel=1e-6)


@pytest.mark.hand("the phases of one evening, written down from the car's habits")
def test_phases_are_what_was_done() -> None:
    """Waiting, rising, steady, reduced and back, stopped by the unlock; each begins where the one before it ends."""
    truth = charged().truth

    assert [phase.kind for phase in truth.phases] == [
        "waiting",
        "ramp",
        "steady",
        "ramp",
        "reduced",
        "ramp",
        "steady",
        "ramp",
        "ended",
    ]
    reduced = truth.phases[4]
    assert reduced.start_s == pytest.approx(2000.0 + 2.0 + 5.82 / 8.0)
    assert reduced.end_s == pytest.approx(3002.0)
    assert reduced.current == pytest.approx(np.hypot(9.7, 119.0 / 230.0), rel=1e-3)
    for one, other in zip(truth.phases, truth.phases[1:], strict=False):
        assert one.end_s == other.start_s


@pytest.mark.hand("steps of 1 W, 0.01 A, 0.1 V; gain errors multiply; noise is a part of the reading")
def test_a_meter_errs_as_it_says() -> None:
    """Columns are in their steps and off by their gains."""
    meter = VirtualPowerMeter(power_gain=0.01, current_gain=-0.005, voltage_gain=0.002)
    seen, true = charged(meter).log, charged().log
    for quantity, step, gain in (
        (LogQuantity.POWER, 1.0, 1.01),
        (LogQuantity.CURRENT, 0.01, 0.995),
        (LogQuantity.VOLTAGE, 0.1, 1.002),
    ):
        values = column(seen, quantity)
        np.testing.assert_allclose(values / step, np.round(values / step), atol=1e-6)
        off = values[200:1900] / column(true, quantity)[200:1900]
        assert off.mean() == pytest.approx(gain, abs=1e-4)
    assert seen.channels[0].resolution == 1.0


@pytest.mark.hand("an outage: no voltage and no power where the meter lives on, no rows where it does not")
def test_an_outage_is_logged_or_missing() -> None:
    """A meter that survives writes zeros; one that does not leaves a gap. The unit's own draw is gone too."""
    supply = VirtualSupply(outages=[(4000.0, 4120.0)])
    lives, dies = charged(supply=supply), charged(replace(PERFECT, survives=False), supply=supply)
    dead = (lives.log.time_s >= 4000.0) & (lives.log.time_s < 4120.0)

    assert np.all(column(lives.log, LogQuantity.VOLTAGE)[dead] == 0.0)
    assert np.all(column(lives.log, LogQuantity.POWER)[dead] == 0.0)
    assert np.all(column(lives.log, LogQuantity.VOLTAGE)[~dead] > 200.0)
    assert np.max(np.diff(dies.log.time_s)) == 121.0
    assert dies.truth.energy_wh == pytest.approx(lives.truth.energy_wh)
    assert [phase.kind for phase in lives.truth.phases if 3999.0 <= phase.start_s < 4200.0] == [
        "supply lost",
        "paused",
        "ramp",
        "steady",
    ]
    assert lives.truth.outages == ((4000.0, 4120.0),)


@pytest.mark.hand("a watch 95 s ahead, read to the minute, by a hand up to a second late")
def test_marks_are_by_another_clock() -> None:
    """Marks keep the offset of their watch, its steps and the hand's delay; the truth is by the log's clock."""
    clock = MarkClock(offset=95.0, step=60.0, late=1.0)
    marks = {mark.kind: mark for mark in charged(clock=clock).marks}

    assert marks["unlock"].true_s == pytest.approx(6800.0)
    assert marks["lock released"].current == 0.0
    for mark in marks.values():
        assert mark.shown_s % 60.0 == 0.0
        assert -60.0 <= mark.shown_s - (mark.true_s + 95.0) <= 1.0
    exact = {mark.kind: mark for mark in charged(clock=MarkClock(step=0.0, late=0.0)).marks}
    assert exact["unlock"].shown_s == exact["unlock"].true_s


@pytest.mark.hand("a log whose clock runs 50 ppm fast counts 0.36 s more in two hours")
def test_the_truth_is_by_the_clock_of_the_log() -> None:
    """Phases and marks are told in the log's own seconds."""
    fast = charged(logger=VirtualLogger(clock_rate=5e-5, stamp_step=0.01))

    assert fast.truth.phases[-1].end_s == pytest.approx(7200.36)
    assert fast.marks[1].true_s == pytest.approx(2000.1)


@pytest.mark.hand("30 days of 86 400 s and one row more; each evening is a visit")
def test_a_month_is_one_log(proving: bool) -> None:
    """Every evening's draw is in the log; the same seed gives the same month."""
    days, interval = (30, 1.0) if proving else (6, 30.0)
    month = month_of_charging(5, days=days, interval=interval)
    again = month_of_charging(5, days=days, interval=interval)

    assert month.log.rows == days * 86_400 / interval + 1
    np.testing.assert_array_equal(column(month.log, LogQuantity.POWER), column(again.log, LogQuantity.POWER))
    visits = [mark for mark in month.marks if mark.kind == "plugged in"]
    steady = [phase for phase in month.truth.phases if phase.kind == "steady"]
    assert 0.4 * days <= len(visits) <= days
    assert len(steady) >= len(visits)
    power = column(month.log, LogQuantity.POWER)
    for phase in steady:
        middle = np.searchsorted(month.log.time_s, 0.5 * (phase.start_s + phase.end_s))
        if phase.end_s - phase.start_s > 300.0:
            assert power[middle] == pytest.approx(phase.power, rel=0.03)


@pytest.mark.parametrize("name", CARS)
def test_every_car_can_be_logged(name: str) -> None:
    """Each habit gives a log whose current never exceeds what the car can take."""
    seen = log_charge(CARS[name], [VISIT], seconds=7200.0, seed=4, meter=PERFECT, logger=VirtualLogger(interval=5.0))

    assert column(seen.log, LogQuantity.CURRENT).max() <= np.hypot(CARS[name].most, 1.0)
    assert column(seen.log, LogQuantity.CURRENT).max() > 9.0

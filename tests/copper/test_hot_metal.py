"""The metal's own resistance as a thermometer, under load and after it, beside the sheath."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.hot_metal import (
    at_switch_off,
    cross_check,
    metal_temperature_under_load,
    temperature_from_resistance,
)
from coldpin.copper.steady import hot_resistance
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Quantity, normal
from coldpin.simulator import heating
from coldpin.simulator.cable import VirtualCable
from coldpin.simulator.conductor import VirtualConductor
from coldpin.simulator.heating import HeatingRun, LoggedSensor, log_heating
from coldpin.simulator.logger import VirtualLogger

ALPHA = 0.00393


@pytest.mark.published("R_hot/R_cold = 1 + α (t_hot − t_cold)/(1 + α (t_cold − 20)), a public page on cables; read")
@given(cold=st.floats(-20.0, 40.0), hot=st.floats(-20.0, 120.0))
def test_both_ways_of_the_thermometer(cold: float, hot: float) -> None:
    """The published ratio of two resistances gives the hot temperature back."""
    ratio = 1.0 + ALPHA * (hot - cold) / (1.0 + ALPHA * (cold - 20.0))

    assert temperature_from_resistance(hot=ratio, cold=1.0, cold_temperature=cold, coefficient=ALPHA) == pytest.approx(
        hot, abs=1e-9
    )


@pytest.mark.hand("1 % of R at 30 °C is 0.01 x (254.45 − 20 + 30 ...) = 2.64 K")
def test_one_per_cent() -> None:
    """One per cent of a resistance at 30 °C is 2.64 K."""
    found = temperature_from_resistance(hot=1.01, cold=1.0, cold_temperature=30.0, coefficient=ALPHA)

    assert found - 30.0 == pytest.approx(0.01 * (1.0 / ALPHA + 10.0), abs=1e-9)
    assert found - 30.0 == pytest.approx(2.64, abs=0.01)


def test_what_one_meter_shares_cancels() -> None:
    """A gain of the meter that both readings share leaves the temperature alone; two meters leave more."""
    room = normal(23.0, 0.2, "°C", id="room")
    shared, apart = (
        metal_temperature_under_load(
            hot=normal(43.5, 0.0435, "mΩ", id="gain"),
            cold=normal(40.0, 0.04, "mΩ", id=second),
            cold_temperature=room,
            coefficient=ALPHA,
        )
        for second in ("gain", "another gain")
    )

    assert shared.value == pytest.approx(apart.value)
    assert shared.u == pytest.approx(0.2 * 43.5 / 40.0, rel=1e-3)
    assert apart.u is not None
    assert apart.u > 1.5 * (shared.u or 0.0)


def test_resistances_that_cannot_be() -> None:
    """A resistance that is not above zero, or in another unit, is asked about."""
    room = normal(23.0, 0.2, "°C", id="room")
    with pytest.raises(OutsideRange, match=r"the hot resistance is −3[.]0 mΩ: it must be above zero; look at the taps"):
        metal_temperature_under_load(
            hot=normal(-3.0, 0.1, "mΩ"), cold=normal(40.0, 0.1, "mΩ"), cold_temperature=room, coefficient=ALPHA
        )
    with pytest.raises(InputError, match="hot and cold resistance in Ω and mΩ: give both in one unit"):
        metal_temperature_under_load(
            hot=normal(0.0435, 1e-4, "Ω"), cold=normal(40.0, 0.1, "mΩ"), cold_temperature=room, coefficient=ALPHA
        )


def cooling(times: np.ndarray, noise: float, seed: int = 1) -> tuple[list[float], list[Quantity], Quantity, float]:
    """Return times, readings, cold reading and true resistance of a conductor that cools with two times at once."""
    cold = 40.0
    quick, slow = 0.26, 4.0
    above = quick * np.exp(-times / 15.0) + slow * np.exp(-times / 420.0)
    read = cold + above + np.random.default_rng(seed).normal(0.0, noise, times.size)
    readings = [normal(float(one), 0.01, "mΩ", id="meter") for one in read]
    return list(times), readings, normal(cold, 0.01, "mΩ", id="meter"), cold + quick + slow


def test_led_back_to_switching_off(measured, proving: bool) -> None:  # type: ignore[no-untyped-def]  # a fixture's type
    """The interval at switching off holds the truth in 95 % of the cases, with a quick fall of half of what may be."""
    times = np.array([5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0])
    runs = 2000 if proving else 200
    held = 0
    for seed in range(runs):
        moments, readings, cold, truth = cooling(times, 0.01, seed)
        exact = [Quantity(one.value, 0.0, "mΩ") for one in readings]
        found = at_switch_off(moments, exact, cold=Quantity(cold.value, 0.0, "mΩ")).resistance
        assert found.low is not None
        assert found.high is not None
        held += found.low <= truth <= found.high
    measured("switch-off resistance held by its interval", 100.0 * held / runs, "%", "≥ 92.5")

    assert held / runs >= 0.925


WINDOWS = {
    "from 2 s": (2, 4, 6, 8, 10, 15, 20, 30),
    "from 10 s": (10, 20, 30, 60, 90, 120),
    "from 30 s": (30, 60, 90, 120, 180, 240),
    "from 60 s": (60, 90, 120, 180),
}
CORDS = {
    "2 of 1.5 mm² at 16 A": (30, 16.0, 0.8e-3, 1.6e-3, 2),
    "3 of 2.5 mm² at 16 A": (51, 16.0, 1.0e-3, 2.0e-3, 3),
    "2 of 6 mm² at 32 A": (122, 32.0, 1.2e-3, 2.2e-3, 2),
}
"""Strands of 0.05 mm², current, thickness of insulation and sheath [m], loaded cores."""


@pytest.mark.independent("finite volumes of the simulator, which share no formula with the way back")
@pytest.mark.parametrize("cord", CORDS)
def test_the_first_quick_fall_of_finite_volumes_is_allowed_for(
    cord: str, measured: Callable[[str, float, str, str], None], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Metal cools into its own insulation first: whenever the readings begin, the interval holds where it was."""
    monkeypatch.setattr(heating, "LONGEST_STEP", 1.0)
    strands, current, insulation, sheath, loaded = CORDS[cord]
    cable = VirtualCable(
        conductor=VirtualConductor(strands=strands),
        loaded=loaded,
        idle=5 - loaded if loaded > 2 else 1,
        insulation_thickness=insulation,
        sheath_thickness=sheath,
    )
    exact = LoggedSensor(name="r", at="resistance", noise=0.0, step=0.0, lag=0.0)
    run = HeatingRun(currents=((3600.0, current), (260.0, 0.2)))
    seen = log_heating(cable, run, seed=1, sensors=(exact,), logger=VirtualLogger(interval=1.0))
    (read,) = seen.log.channels
    off = int(np.searchsorted(seen.log.time_s, 3600.0))
    cold, truth = Quantity(float(read.values[0]), 0.0, "Ω"), float(read.values[off])

    for name, times in WINDOWS.items():
        shown = [Quantity(float(read.values[off + second]), 0.0, "Ω") for second in times]
        found = at_switch_off([float(second) for second in times], shown, cold=cold).resistance
        assert found.low is not None
        assert found.high is not None
        share = (truth - found.value) / (truth - cold.value)
        measured(f"led back, {cord}, {name}: off by", 100.0 * share, "%", "within its interval")
        assert found.low <= truth <= found.high


def test_meter_and_cold_reading_enter_once() -> None:
    """What the meter has in common shifts the result by itself; the cold reading hardly matters."""
    moments, readings, cold, _ = cooling(np.array([5.0, 10.0, 20.0, 40.0, 80.0]), 0.0)
    found = at_switch_off(moments, readings, cold=cold)
    shares = {part.id: part.contribution for part in found.resistance.components}

    # what is allowed for the quick fall goes with it
    assert shares["meter"] == pytest.approx(0.01, rel=0.08)
    assert found.time_constant.value == pytest.approx(420.0, rel=0.4)
    assert found.remarks == ()


def test_a_late_first_reading_is_told() -> None:
    """Where the first reading came late the result says that the metal was warmer."""
    moments, readings, cold, _ = cooling(np.array([200.0, 230.0, 260.0, 300.0, 360.0]), 0.0)

    (remark,) = at_switch_off(moments, readings, cold=cold).remarks
    assert remark.startswith("The first reading came 200 s after switching off and the metal cools with 420 s")


@pytest.mark.parametrize(
    ("times", "values", "message"),
    [
        ([5.0, 10.0, 15.0], [44.0, 43.9, 43.8], "3 readings at 3 times after switching off: give at least 4"),
        ([5.0, 10.0, 9.0, 15.0], [44.0, 43.9, 43.8, 43.7], "times after switching off must rise from 0 s on"),
        ([5.0, 10.0, 15.0, 20.0], [44.0, 43.9, 39.0, 43.7], r"after 15 s is 39 mΩ, not above the cold 40 mΩ"),
        ([5.0, 10.0, 15.0, 20.0], [43.0, 43.1, 43.2, 43.3], "the resistance does not fall after switching off"),
    ],
)
def test_readings_that_cannot_be_led_back(times: list[float], values: list[float], message: str) -> None:
    """Too few, out of order, colder than cold, or rising: each is told with what to do."""
    readings = [Quantity(value, 0.0, "mΩ") for value in values]
    with pytest.raises(InputError, match=message):
        at_switch_off(times, readings, cold=Quantity(40.0, 0.0, "mΩ"))


def test_both_ways_beside_each_other() -> None:
    """Two ways agree within their uncertainties, differ beyond them, and stay open without one."""
    hot = float(hot_resistance(resistance=40.0, temperature=52.0, coefficient=ALPHA))
    metal = metal_temperature_under_load(
        hot=normal(hot, 0.02, "mΩ", id="hot"),
        cold=normal(40.0, 0.02, "mΩ", id="cold"),
        cold_temperature=normal(20.0, 0.3, "°C", id="room"),
        coefficient=ALPHA,
    )

    agrees = cross_check(by_resistance=metal, by_sheath=normal(51.0, 1.0, "°C", id="model"))
    differs = cross_check(by_resistance=metal, by_sheath=normal(45.0, 1.0, "°C", id="model"))
    unknown = cross_check(by_resistance=metal, by_sheath=Quantity(51.0, None, "°C", why="thermometer not stated"))
    assert metal.value == pytest.approx(52.0)
    assert (agrees.agree, differs.agree, unknown.agree) == (True, False, None)
    assert agrees.statement.endswith("by its sheath: they agree.")
    assert "a warm joint between the taps" in differs.statement
    assert math.isclose(differs.difference.value, 7.0, abs_tol=1e-6)

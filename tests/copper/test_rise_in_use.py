"""A rise whose ends do not lie evenly, at rated current: each end is carried on its own."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.copper.heating_log import AskedUse
from coldpin.copper.temperature_rise import rise_in_use, surely_beyond
from coldpin.quantity import Quantity, normal
from coldpin.standards.book import load_book

USE = AskedUse(rated_current=Quantity(20.0, 0.0, "A"), max_ambient=Quantity(40.0, 0.0, "°C"), limit=None)
AMPERES, AIR = normal(16.0, 0.05, "A", id="meter"), normal(21.0, 0.25, "°C", id="room")


def in_use(low: float | None, high: float | None) -> Quantity:
    """A rise of 20 K with these ends and no known uncertainty, in use."""
    rise = Quantity(20.0, None, "K", low=low, high=high, why="stopped early")
    found, said = rise_in_use(USE, rise, AMPERES, AIR, load_book())
    assert found is not None
    assert [one.partition(";")[0] for one in said] == ["in hotter air a surface also radiates more"]
    assert (found.u, found.why) == (None, "stopped early")
    return found


@pytest.mark.hand("(20/16)² = 1.56 where heat is led away, 1.43 in free air; warmer metal resists 6 % to 10 % more")
def test_each_end_is_carried_by_itself() -> None:
    """The upper end lies three times as far off as the lower one, before and after."""
    found = in_use(17.0, 29.0)

    assert found.low is not None
    assert found.high is not None
    assert 40.0 + 1.43 * 20.0 < found.value < 40.0 + 1.56 * 1.1 * 20.0
    # what the exponent adds lies evenly about the middle, in quadrature
    assert 1.6 * 3.0 < found.value - found.low < 8.0
    assert 1.6 * 9.0 < found.high - found.value < 19.0


def test_a_loaded_part_is_never_told_colder_than_the_air() -> None:
    """A lower end that hardly rises stays at or above the air it is asked for."""
    assert in_use(0.1, 29.0).low == pytest.approx(40.0, abs=0.5)
    low = in_use(-50.0, 29.0).low
    assert low == 40.0


@pytest.mark.parametrize("high", [None, 260.0])
def test_an_upper_end_that_nothing_bounds_is_not_known(high: float | None) -> None:
    """An end that would run away at rated current, or that the readings left open, is none."""
    found = in_use(15.0, high)

    assert found.high is None
    assert found.low is not None
    assert 40.0 < found.low < found.value


def test_a_wide_rise_of_known_uncertainty_ends_at_the_air_too() -> None:
    """A run stopped early: 60 K ± 44 K would have the part colder than the hottest air."""
    found, _ = rise_in_use(USE, normal(60.0, 22.0, "K", id="fit"), AMPERES, AIR, load_book())

    assert found is not None
    assert found.u is not None
    assert found.low is not None
    assert found.low >= 40.0


@pytest.mark.hand("from 21 °C to 40 °C at most 11 % of the rise: 0.11 · 22.4 K are 2.5 K")
@pytest.mark.parametrize(
    ("value", "air", "surely"), [(62.4, 21.0, False), (63.2, 21.0, True), (62.4, 39.0, True), (59.0, 39.0, False)]
)
def test_beyond_holds_also_with_what_is_radiated_in_hotter_air(value: float, air: float, surely: bool) -> None:
    """As much as may be left out is taken off before anything is called too warm."""
    limit = load_book().limit("touch-temperature.sheath")
    use = AskedUse(rated_current=Quantity(16.0, 0.0, "A"), max_ambient=Quantity(40.0, 0.0, "°C"), limit=limit)

    assert surely_beyond(normal(value, 0.2, "°C", id="end"), use, Quantity(air, 0.1, "°C")) is surely
    assert surely_beyond(normal(62.4, 0.2, "°C", id="end"), replace(use, max_ambient=None), AIR)

"""Hot plugs and joints: the length they warm, the heat they make, the resistance behind it."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from coldpin.copper.hot_joint import (
    fin_conductance,
    hot_joint,
    joint_resistance,
    rise_along,
    sensor_distance,
    warmed_length,
)
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, normal, rectangular
from coldpin.standards.accessories import cable_end, copper_conducts, good_contact
from coldpin.standards.book import load_book

CABLE = {"conductivity": 401.0, "copper_area": 2 * 2.5e-6, "thermal_resistance": 2.5}


@pytest.mark.published("lengths of 58 mm to 112 mm for 1.5 mm² to 10 mm², derived table of the reference, k 390")
@pytest.mark.parametrize(("area", "thermal", "length"), [(1.5, 2.87, 58), (2.5, 2.51, 70), (6.0, 1.89, 94)])
def test_the_length_warmed_is_that_of_the_table(area: float, thermal: float, length: float) -> None:
    """The formula gives the table's lengths for its own thermal resistances."""
    found = warmed_length(conductivity=390.0, copper_area=2e-6 * area, thermal_resistance=thermal)

    assert 1e3 * found == pytest.approx(length, abs=1.0)
    assert cable_end(load_book()).shortest - 5e-4 <= found <= cable_end(load_book()).longest + 5e-4


@pytest.mark.independent("the fin's differential equation solved numerically")
def test_the_rise_along_the_cable_solves_the_fin() -> None:
    """The exponential and the heat at its foot agree with a numerical solution of k A T'' = T / R."""
    area, thermal = CABLE["copper_area"], CABLE["thermal_resistance"]
    stiff = 1.0 / (CABLE["conductivity"] * area * thermal)
    x = np.linspace(0.0, 1.0, 400)
    solved = solve_bvp(
        lambda _, y: np.stack([y[1], stiff * y[0]]),
        lambda start, end: np.array([start[0] - 30.0, end[0]]),
        x,
        np.stack([30.0 * (1.0 - x), np.full_like(x, -30.0)]),
        tol=1e-8,
        max_nodes=20_000,
    )
    length = warmed_length(**CABLE)

    np.testing.assert_allclose(solved.sol(x)[0], rise_along(x, local_rise=30.0, length=length), atol=1e-4)
    heat = -CABLE["conductivity"] * area * solved.sol(0.0)[1]
    assert heat == pytest.approx(30.0 * fin_conductance(**CABLE), rel=1e-4)


@pytest.mark.published("NBSIR 76-1011, abstract: a glowing terminal gives off 35 W at 15 A")
def test_a_glowing_terminal_has_a_sixth_of_an_ohm() -> None:
    """35 W at 15 A are 0.156 Ω, thirty times a good contact."""
    resistance = joint_resistance(heat=35.0, current=15.0)

    assert resistance == pytest.approx(0.156, abs=0.001)
    most = good_contact(load_book()).maximum
    assert most is not None
    assert 1e3 * resistance > 30.0 * most


@given(length=st.floats(0.02, 0.3), left=st.floats(1e-4, 0.9))
def test_at_the_sensor_so_much_of_the_rise_is_left_as_was_asked(length: float, left: float) -> None:
    """Distance and what is left there are inverse to each other."""
    distance = sensor_distance(length, left=left)
    assert rise_along(distance, local_rise=1.0, length=length) == pytest.approx(left)


def test_no_share_of_nothing_or_of_all_can_be_left() -> None:
    """A share of 0 or 1 has no distance."""
    with pytest.raises(OutsideRange, match="give one between 0 and 1"):
        sensor_distance(0.07, left=1.0)


def test_the_heat_at_the_offered_current_goes_with_its_square() -> None:
    """A joint read at 10 A makes four times the heat at 20 A; what rests on an unknown has no uncertainty."""
    given_ = {
        "current": Quantity(10.0, 0.0, "A"),
        "offer": Quantity(20.0, 0.0, "A"),
        "surface": rectangular(0.1, 0.05, "W/K", id="surface"),
        "copper_area": Quantity(5e-6, 0.0, "m²"),
        "thermal_resistance": rectangular(2.5, 0.5, "K·m/W", id="film"),
    }
    conductivity = copper_conducts(load_book())

    rise, unstated = normal(8.0, 0.5, "K", id="rise"), Quantity(8.0, None, "K", why="no statement")

    told = hot_joint(rise=rise, local_rise=rise, conductivity=conductivity, **given_)
    unknown = hot_joint(rise=unstated, local_rise=unstated, conductivity=conductivity, **given_)

    assert told.heat_at_offer.value == pytest.approx(4.0 * told.heat.value, rel=0.01)
    assert told.resistance.value == pytest.approx(told.heat.value / 100.0, rel=0.01)
    assert told.length.value < told.sensor_from < 0.6
    assert unknown.resistance.u is None

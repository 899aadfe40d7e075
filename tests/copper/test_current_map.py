"""The map of current and ambient, and the stop values of a heating test."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.copper.air_film import ARRANGEMENTS, arrange
from coldpin.copper.current_map import AccessoryRise, current_map
from coldpin.copper.rated import scaled_rise
from coldpin.copper.steady import HeatedCable, steady_state
from coldpin.copper.stop_values import stop_values
from coldpin.errors import OutsideRange, UnknownName
from coldpin.quantity import Quantity, normal, rectangular
from coldpin.records.current_map import CurrentMap, Place, StopLine, TestedPoint
from coldpin.records.finding import Limit, Standing
from coldpin.standards import load_book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature

BOOK = load_book()
PLUG = Limit(
    id="accessory.rise.test",
    title="rise of a plug",
    unit="K",
    maximum=45.0,
    source="made up for a test",
    standing=Standing.MEMORY,
)


def exact(value: float, unit: str) -> Quantity:
    return Quantity(value, 0.0, unit)


CORD = HeatedCable(
    diameter=exact(0.0112, "m"),
    inner=exact(0.83, "K·m/W"),
    resistance=exact(0.00798, "Ω/m"),
    coefficient=0.00393,
    cores=2,
)


def drawn(name: str = "free air", cable: HeatedCable = CORD, **further: object) -> CurrentMap:
    return current_map(
        cable,
        arrange(BOOK, name),
        metal_limit=insulation_temperature(BOOK, "pvc"),
        touch_limit=touch_temperature(BOOK),
        **{"offered": 16.0} | further,  # type: ignore[arg-type]  # the words are those of the function
    )


def ends(line: StopLine, place: int) -> tuple[float, float, float]:
    """Low, middle and high of a line that lies on the map there."""
    low, middle, high = line.low[place], line.middle[place], line.high[place]
    assert low is not None
    assert middle is not None
    assert high is not None
    return low, middle, high


@pytest.mark.parametrize("name", ARRANGEMENTS)
def test_lines_are_where_the_temperatures_are(name: str) -> None:
    """Where a line runs, the grid itself has the temperature of its limit, in every arrangement."""
    found = drawn(name)
    for line in found.lines:
        grid = found.metal if line.place is Place.METAL else found.sheath
        for place in (0, 20, 40):
            settled = np.isfinite(grid[place])
            low, middle, high = ends(line, place)
            warm = np.interp(middle, found.current[settled], grid[place][settled])
            assert warm == pytest.approx(line.limit.maximum, abs=0.05)
            assert low < middle < high


@pytest.mark.independent("the same lead computed point by point")
def test_the_map_agrees_with_single_states() -> None:
    """A point of the map is the steady state of that current in that air."""
    found = drawn("on a surface")
    for row, column in ((10, 60), (30, 90), (50, 40)):
        state = steady_state(
            CORD,
            current=exact(float(found.current[column]), "A"),
            ambient=exact(float(found.ambient[row]), "°C"),
            arrangement=arrange(BOOK, "on a surface"),
        )
        assert found.metal[row, column] == pytest.approx(state.metal.value, abs=1e-6)
        assert found.sheath[row, column] == pytest.approx(state.sheath.value, abs=1e-6)


def test_margin_counts_with_the_warm_side() -> None:
    """The margin is what the nearest limit leaves with the film at its low end, and it turns negative at its line."""
    found = drawn()
    metal, sheath = found.lines
    place = 30
    first = min(ends(metal, place)[0], ends(sheath, place)[0])
    at_line = np.interp(first, found.current, found.margin[place])

    assert at_line == pytest.approx(0.0, abs=0.1)
    assert np.all(np.diff(found.margin[place][np.isfinite(found.margin[place])]) <= 1e-9)
    assert np.all(found.metal_high >= found.metal)


@settings(max_examples=20)
@given(thinner=st.floats(1.0, 2.5), name=st.sampled_from(ARRANGEMENTS))
def test_less_copper_never_gains(thinner: float, name: str) -> None:
    """With more resistance every line moves to less current."""
    full, thin = drawn(name), drawn(name, replace(CORD, resistance=exact(0.00798 * thinner, "Ω/m")))
    for one, other in zip(full.lines, thin.lines, strict=True):
        assert np.all(np.asarray(other.middle) <= np.asarray(one.middle) * (1.0 + 1e-9))


@pytest.mark.parametrize(
    "doubt",
    [
        {"inner": rectangular(0.83, 0.21, "K·m/W", id="layers")},
        {"diameter": rectangular(0.0112, 0.001, "m", id="diameter")},
        {"resistance": rectangular(0.00798, 0.0004, "Ω/m", id="resistance")},
    ],
)
def test_what_is_not_known_of_the_cable_widens_the_bands(doubt: dict[str, Quantity]) -> None:
    """Layers, diameter and resistance each move the warm end down, the cool end up, and leave the middle."""
    known, open_to = drawn("on a surface"), drawn("on a surface", replace(CORD, **doubt))  # type: ignore[arg-type]  # fields by name
    (low, middle, high), (warm, same, cool) = ends(known.lines[0], 20), ends(open_to.lines[0], 20)

    assert warm < low * 0.99
    assert same == middle
    assert cool > high * 1.01
    settled = np.isfinite(open_to.metal_high)
    assert np.all(open_to.metal_high[settled] >= open_to.metal[settled])


def test_in_air_beyond_a_limit_nothing_is_left() -> None:
    """Where the air alone is as hot as a hand may meet, the line of the sheath is at no current."""
    found = drawn(max_ambient=65.0)
    sheath = found.lines[1]

    assert found.ambient[-1] == 65.0
    assert sheath.middle[-1] == 0.0
    assert ends(found.lines[0], -1)[1] > 0.0


def test_a_plug_has_a_line_of_its_own() -> None:
    """A rise of 30 K at 13 A reaches its 45 K at about 15.5 A, a little earlier in hotter air."""
    accessory = AccessoryRise(rise=30.0, current=13.0, ambient=22.0, limit=PLUG, exponent=(0.0, 0.25))
    line = drawn(accessory=accessory).lines[2]
    low, middle, high = ends(line, 30)
    again = scaled_rise(
        rise=30.0,
        current=13.0,
        rated_current=middle,
        ambient=22.0,
        max_ambient=30.0,
        metal_above=0.0,
        exponent=0.125,
        coefficient=0.00393,
    )

    assert line.place is Place.ACCESSORY
    assert again == pytest.approx(45.0, abs=0.05)
    assert low < middle < high
    assert ends(line, 60)[1] < ends(line, 0)[1]
    assert 14.5 < middle < 16.5


def test_the_ends_of_a_bodys_line_keep_their_order_over_all_airs() -> None:
    """Below and above the rise of the test the exponent works the other way; low is never above high."""
    hand = touch_temperature(BOOK, "grasped.plastic")
    body = AccessoryRise(rise=30.0, current=13.0, ambient=22.0, limit=hand, exponent=(0.0, 0.25))
    line = drawn(body=body).lines[2]

    assert line.place is Place.BODY
    for low, middle, high in zip(line.low, line.middle, line.high, strict=True):
        assert low is not None
        assert middle is not None
        assert high is not None
        assert low <= middle <= high


def test_a_map_needs_a_current() -> None:
    """Without any current there is nothing to draw around."""
    with pytest.raises(OutsideRange, match="no current above zero is known: name the offered or the rated current"):
        drawn(offered=None)
    assert drawn(offered=None, tested=(TestedPoint(current=13.0, ambient=22.0, sheath=35.0),)).current[-1] > 13.0


ROOM = normal(25.0, 0.3, "°C", id="room")


@pytest.mark.hand("60 − 1.5, 70 − 1.5 − 4, 25 − 1.96 x 0.3 + 45 − 1.5")
def test_stop_values() -> None:
    """Each limit less U, the metal less what it is warmer, the accessory from the coldest air; the lowest is first."""
    found = stop_values(BOOK, insulation="pvc", ambient=ROOM, reading_expanded=1.5, metal_above=4.0, accessory=PLUG)
    wanted = {Place.SHEATH: 58.5, Place.METAL: 64.5, Place.ACCESSORY: 68.5 - 1.959964 * 0.3}

    assert {value.place: value.reading for value in found.values} == pytest.approx(wanted, abs=1e-5)
    assert found.lowest.place is Place.SHEATH
    assert all(value.limit.source for value in found.values)


def test_the_metal_may_come_first() -> None:
    """Rubber of 60 °C under a sheath of which the metal is much warmer stops a test before the hand does."""
    found = stop_values(
        BOOK,
        insulation="rubber",
        ambient=ROOM,
        reading_expanded=1.5,
        metal_above=normal(6.0, 1.0, "K", id="step"),
    )

    assert found.lowest.place is Place.METAL
    assert found.lowest.reading == pytest.approx(60.0 - 1.5 - (6.0 + 1.959964), abs=1e-5)


def test_a_test_that_cannot_be_done() -> None:
    """A thermometer too coarse for the air, a negative U, an unknown insulation: each is told."""
    with pytest.raises(
        OutsideRange, match=r"would have to be stopped at 20 °C, and the air is 25.00 °C ± 0.59 °C: test in"
    ):
        stop_values(BOOK, insulation="pvc", ambient=ROOM, reading_expanded=40.0, metal_above=0.0)
    with pytest.raises(OutsideRange, match=r"the thermometer's U is −1.0? K: give it without sign"):
        stop_values(BOOK, insulation="pvc", ambient=ROOM, reading_expanded=-1.0, metal_above=0.0)
    with pytest.raises(UnknownName, match="unknown insulation 'wool'"):
        stop_values(BOOK, insulation="wool", ambient=ROOM, reading_expanded=1.0, metal_above=0.0)

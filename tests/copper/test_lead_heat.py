"""One place of the map of current and ambient: temperatures with ±, and which limit binds."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coldpin.copper.air_film import ARRANGEMENTS, arrange
from coldpin.copper.current_map import current_map
from coldpin.copper.lead_heat import lead_heat
from coldpin.copper.steady import HeatedCable, steady_state
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.current_map import AccessoryRise, LeadHeat, MappedLead, Place
from coldpin.records.finding import Limit, Outcome, Standing
from coldpin.standards.book import load_book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature

BOOK = load_book()
CORD = HeatedCable(
    diameter=Quantity(0.0112, 1e-4, "m"),
    inner=Quantity(0.83, 0.08, "K·m/W"),
    resistance=Quantity(0.00798, 3e-5, "Ω/m"),
    coefficient=0.00393,
    cores=2,
)
PLUG = Limit(id="plug", title="rise of a plug", unit="K", maximum=45.0, source="a text", standing=Standing.MEMORY)
HOT_PLUG = AccessoryRise(rise=28.0, current=13.0, ambient=22.0, limit=PLUG, exponent=(0.0, 0.25), rise_u=0.4)
LEAD = MappedLead(
    diameter_m=CORD.diameter,
    inner_km_per_w=CORD.inner,
    resistance_ohm_per_m=CORD.resistance,
    coefficient=CORD.coefficient,
    cores=CORD.cores,
    metal_limit=insulation_temperature(BOOK, "pvc"),
    touch_limit=touch_temperature(BOOK),
)


def asked(current: float, ambient: float, *, lies: str = "free air", lead: MappedLead = LEAD) -> LeadHeat:
    """The lead at a current in some air."""
    return lead_heat(lead, arrange(BOOK, lies), current=current, ambient=ambient)


@pytest.mark.independent("the steady state of the same cable")
@pytest.mark.parametrize("lies", ["free air", "on a surface", "bundled"])
def test_temperatures_are_those_of_the_steady_state(lies: str) -> None:
    """Metal and sheath with their uncertainty, and placed against 70 °C and 60 °C."""
    state = steady_state(
        CORD, current=Quantity(20.0, 0.0, "A"), ambient=Quantity(35.0, 0.0, "°C"), arrangement=arrange(BOOK, lies)
    )
    metal, sheath = asked(20.0, 35.0, lies=lies).places

    assert metal.temperature_c == state.metal
    assert sheath.temperature_c == state.sheath
    assert metal.rise_k is not None
    assert metal.rise_k.value == pytest.approx(state.metal.value - 35.0)
    assert metal.rise_k.expanded == pytest.approx(state.metal.expanded)


@pytest.mark.independent("the map reckoned for all currents and airs at once")
def test_a_limit_is_reached_where_the_map_draws_it() -> None:
    """The three currents at 30 °C are those of the lines of the map there."""
    drawn = current_map(
        CORD, arrange(BOOK), offered=16.0, metal_limit=LEAD.metal_limit, touch_limit=LEAD.touch_limit,
        accessory=HOT_PLUG,
    )  # fmt: skip
    at = list(drawn.ambient).index(30.0)
    told = asked(16.0, 30.0, lead=replace(LEAD, accessory=HOT_PLUG))

    for line, place in zip(drawn.lines, told.places, strict=True):
        assert place.place is line.place
        for found, mapped in (
            (place.low_a, line.low[at]),
            (place.middle_a, line.middle[at]),
            (place.high_a, line.high[at]),
        ):
            assert found == pytest.approx(mapped, rel=1e-3)


@settings(max_examples=20)
@given(ambient=st.floats(-10.0, 55.0), lies=st.sampled_from(ARRANGEMENTS))
def test_at_the_current_of_a_limit_the_place_has_the_limits_temperature(ambient: float, lies: str) -> None:
    """What the lines say and what the temperatures say is one thing, whatever the air and however it lies."""
    for place in asked(10.0, ambient, lies=lies).places:
        assert place.middle_a is not None
        (there,) = (one for one in asked(place.middle_a, ambient, lies=lies).places if one.place is place.place)
        assert there.temperature_c is not None
        assert there.temperature_c.value == pytest.approx(place.limit.maximum, abs=0.05)


def test_the_limit_that_binds_is_the_first_to_be_reached() -> None:
    """A plug that is hot binds before the cable; cold plugs do not."""
    cool = replace(HOT_PLUG, rise=2.0)
    assert asked(16.0, 30.0, lead=replace(LEAD, accessory=HOT_PLUG)).binds is Place.ACCESSORY
    assert asked(16.0, 30.0, lead=replace(LEAD, accessory=cool)).binds is Place.METAL


@pytest.mark.hand("28 K at 13 A in 22 °C; a hand's 60 °C leaves 15 K in air of 45 °C; copper resists 1.1179 and 1.1572")
def test_a_body_is_held_to_what_a_hand_bears() -> None:
    """A plug within its 45 K over the air is too warm to be grasped in hot air, and the air alone can make it so."""
    body = replace(HOT_PLUG, limit=touch_temperature(BOOK, "grasped.plastic"))
    told = asked(12.0, 45.0, lead=replace(LEAD, accessory=HOT_PLUG, body=body))
    accessory, grasped = told.places[-2:]

    assert (accessory.place, accessory.outcome) == (Place.ACCESSORY, Outcome.WITHIN)
    assert (grasped.place, grasped.outcome) == (Place.BODY, Outcome.BEYOND)
    assert told.binds is Place.BODY
    assert told.outcome is Outcome.BEYOND
    assert grasped.middle_a == pytest.approx(13.0 * math.sqrt((15.0 / 28.0) ** 1.125 * 1.1179 / 1.1572), rel=2e-3)
    hot = asked(5.0, 61.0, lead=replace(LEAD, body=body))
    assert hot.places[-1].middle_a == 0.0
    assert [line.place for line in current_map(
        CORD, arrange(BOOK), offered=16.0, metal_limit=LEAD.metal_limit, touch_limit=LEAD.touch_limit,
        accessory=HOT_PLUG, body=body,
    ).lines] == [Place.METAL, Place.SHEATH, Place.ACCESSORY, Place.BODY]  # fmt: skip


def test_more_current_and_hotter_air_make_nothing_cooler() -> None:
    """The worst of all places is the outcome."""
    mild, warm, hot = asked(10.0, 30.0), asked(25.0, 30.0), asked(25.0, 50.0)
    values = [[one.temperature_c.value for one in told.places if one.temperature_c] for told in (mild, warm, hot)]
    assert values[0] < values[1] < values[2]
    assert mild.outcome is Outcome.WITHIN
    assert hot.outcome is Outcome.BEYOND


def test_a_plug_whose_thermometer_is_not_stated_is_undecided() -> None:
    """Its temperature has no uncertainty, and a reason."""
    unstated = replace(LEAD, accessory=replace(HOT_PLUG, rise=2.0, rise_u=None))
    plug = asked(16.0, 30.0, lead=unstated).places[-1]
    assert plug.temperature_c is not None
    assert plug.temperature_c.u is None
    assert "thermometer" in plug.temperature_c.why
    assert plug.outcome is Outcome.UNDECIDED


def test_what_comes_to_no_end_is_beyond_and_has_no_temperature() -> None:
    """At 200 A nothing settles below 250 °C."""
    told = asked(200.0, 30.0, lead=replace(LEAD, accessory=HOT_PLUG))
    assert [one.temperature_c for one in told.places] == [None, None, None]
    assert told.outcome is Outcome.BEYOND
    assert "no end below 250 °C" in told.statement


@pytest.mark.parametrize("current", [0.0, -3.0, math.nan])
def test_no_current_is_asked_for_that_does_not_flow(current: float) -> None:
    """Zero, a sign, nothing."""
    with pytest.raises(OutsideRange, match="it must be above zero"):
        asked(current, 30.0)


@pytest.mark.parametrize("ambient", [300.0, math.nan, -math.inf])
def test_kelvin_is_asked_about(ambient: float) -> None:
    """303 is no air in degrees Celsius."""
    with pytest.raises(OutsideRange, match="is it in °C"):
        asked(16.0, ambient)

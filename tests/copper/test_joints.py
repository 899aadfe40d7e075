"""Joints told from the conductor between them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.joints import Taps, heat, separate
from coldpin.errors import InputError
from coldpin.quantity import Quantity, rectangular
from coldpin.records.finding import Outcome
from coldpin.standards import load_book

BOOK = load_book()


def ohms(value: float, u: float = 2e-5) -> Quantity:
    return Quantity(value, u, "Ω")


@pytest.mark.hand("10, 16, 32 A through 5 and 50 mΩ: 0.5, 1.28, 5.12 and 5, 12.8, 51.2 W")
@pytest.mark.parametrize(("current", "good", "bad"), [(10.0, 0.5, 5.0), (16.0, 1.28, 12.8), (32.0, 5.12, 51.2)])
def test_the_heat_of_a_joint(current: float, good: float, bad: float) -> None:
    """The heat goes with the square of the current."""
    assert heat(resistance=0.005, current=current) == pytest.approx(good)
    assert heat(resistance=0.050, current=current) == pytest.approx(bad)


@pytest.mark.published("35 W at 15 A glowed: 156 mΩ; abstract of NBSIR 76-1011, standing: read")
def test_a_glowing_joint_is_far_beyond_a_good_one() -> None:
    """35 W at 15 A are 156 mΩ, thirty times what a good contact has."""
    row = BOOK.row("joint.glowing")
    assert row.limit.nominal is not None
    bad = row.limit.nominal / row.number("current") ** 2

    assert bad == pytest.approx(0.156, abs=0.0005)
    told = separate(Taps(pins=ohms(0.2), inside=ohms(0.2 - bad)), BOOK, current=15.0)
    assert told.joints[0].outcome is Outcome.BEYOND
    assert told.joints[0].heat_w is not None
    assert told.joints[0].heat_w.value == pytest.approx(35.0, rel=1e-6)


@pytest.mark.hand("52.0 − 38.0 = 14.0 mΩ; 14.0 − 11.5 = 2.5 mΩ; 16² · 11.5 mΩ = 2.944 W; 11.5/52 = 22.1 %")
def test_one_joint_tapped_leaves_the_other_as_a_difference() -> None:
    """Pins, inside and plug side tell the connector side, in the order plug to connector."""
    told = separate(Taps(pins=ohms(0.0520), inside=ohms(0.0380), plug_side=ohms(0.0115)), BOOK, current=16.0)
    plug, connector = told.joints

    assert (plug.where, connector.where) == ("plug side", "connector side")
    assert connector.resistance_ohm.value == pytest.approx(0.0025, abs=1e-9)
    assert connector.resistance_ohm.u == pytest.approx(2e-5 * 3.0**0.5, rel=1e-6)
    assert (plug.outcome, connector.outcome) == (Outcome.BEYOND, Outcome.WITHIN)
    assert plug.heat_w is not None
    assert plug.share is not None
    assert plug.heat_w.value == pytest.approx(2.944, abs=0.001)
    assert plug.share.value == pytest.approx(0.2212, abs=0.0001)


def test_the_connector_side_alone_leaves_the_plug() -> None:
    """The other way round as well."""
    told = separate(Taps(pins=ohms(0.0520), inside=ohms(0.0380), connector_side=ohms(0.0025)), BOOK)

    assert [joint.where for joint in told.joints] == ["plug side", "connector side"]
    assert told.joints[0].resistance_ohm.value == pytest.approx(0.0115, abs=1e-9)
    assert told.joints[0].heat_w is None


@pytest.mark.hand(
    "a good joint has at most 5 mΩ: 4 mΩ in both leave none above it, 8 mΩ may be 8 + 0 or 4 + 4, 11 mΩ not"
)
@pytest.mark.parametrize(
    ("both", "outcome"), [(0.004, Outcome.WITHIN), (0.008, Outcome.UNDECIDED), (0.011, Outcome.BEYOND)]
)
def test_pins_and_inside_tell_both_joints_together(both: float, outcome: Outcome) -> None:
    """A sum is within where one joint might have it all, and says nothing of how it is shared."""
    told = separate(Taps(pins=ohms(0.0380 + both), inside=ohms(0.0380)), BOOK)

    assert [(joint.where, joint.outcome) for joint in told.joints] == [("both sides", outcome)]
    assert (told.joints[0].probability is None) == (outcome is Outcome.UNDECIDED)


@pytest.mark.hand("two readings of one meter of 0.2 mΩ in its last digits: √(0.2² + 0.2²)/√3 = 0.163 mΩ")
def test_the_last_digits_of_a_meter_do_not_drop_out_of_a_difference() -> None:
    """The gain is common to both readings; what the last digits are off by is each one's own."""
    pins, inside = (
        rectangular(value, 0.003 * value + 2e-4, "Ω", id="meter: 0.3 % + 2 digits") for value in (0.0452, 0.0448)
    )
    bare = separate(Taps(pins=pins, inside=inside), BOOK).joints[0].resistance_ohm
    own = separate(Taps(pins=pins, inside=inside, digits={"pins": 2e-4, "inside": 2e-4}), BOOK).joints[0]

    assert bare.u == pytest.approx(0.003 * 0.0004 / 3.0**0.5, rel=1e-6)
    assert own.resistance_ohm.u == pytest.approx(1.633e-4, abs=1e-7)


def test_three_parts_make_the_whole_and_the_whole_less_two_makes_the_conductor() -> None:
    """What was not tapped follows from what was."""
    parts = separate(Taps(inside=ohms(0.038), plug_side=ohms(0.002), connector_side=ohms(0.003)), BOOK)
    less = separate(Taps(pins=ohms(0.043), plug_side=ohms(0.002), connector_side=ohms(0.003)), BOOK)

    assert parts.whole_ohm.value == pytest.approx(0.043)
    assert less.conductor_ohm.value == pytest.approx(0.038)


def test_too_few_taps_are_refused_with_what_to_tap() -> None:
    """The pins alone, or the inside alone, tell no joint."""
    with pytest.raises(InputError, match="tap the conductor inside as well"):
        separate(Taps(pins=ohms(0.052)), BOOK)
    with pytest.raises(InputError, match="tap it on the pins"):
        separate(Taps(inside=ohms(0.038)), BOOK)


def test_a_joint_below_zero_is_asked_about() -> None:
    """More inside than from pin to pin cannot be: a temperature or a tap differed."""
    told = separate(Taps(pins=ohms(0.0370), inside=ohms(0.0380)), BOOK)

    assert told.remarks[0].startswith("what is left of joints, both sides, comes out below zero (−1.000 mΩ ± 0.055 mΩ)")


def test_an_unknown_uncertainty_decides_nothing() -> None:
    """A reading without its accuracy makes a joint without an outcome."""
    told = separate(Taps(pins=ohms(0.0520), inside=Quantity(0.0380, None, "Ω", why="not stated")), BOOK)

    assert told.joints[0].outcome is Outcome.UNDECIDED
    assert told.joints[0].probability is None


@given(
    st.floats(min_value=1e-4, max_value=0.1),
    st.floats(min_value=1e-4, max_value=0.1),
    st.floats(min_value=1e-3, max_value=0.5),
)
def test_the_parts_make_the_whole(plug: float, connector: float, inside: float) -> None:
    """However the taps are chosen the parts add up to the reading from pin to pin."""
    told = separate(Taps(pins=ohms(plug + inside + connector), inside=ohms(inside), plug_side=ohms(plug)), BOOK)

    total = told.conductor_ohm.value + sum(joint.resistance_ohm.value for joint in told.joints)
    assert total == pytest.approx(told.whole_ohm.value, rel=1e-9)

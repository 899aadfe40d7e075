"""Everything on the current's way side by side: which is weakest, and what asks for more."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.current_path import asks, carriers, carries, claims, current_path
from coldpin.errors import OutsideRange, UnknownName
from coldpin.quantity import Quantity
from coldpin.records.current_path import PathRole
from coldpin.records.finding import Limit, Outcome, Standing
from coldpin.standards.book import load_book

BOOK = load_book()


def rating(amps: float) -> Limit:
    """A rating of some part."""
    return Limit(id="part", title="a part", unit="A", maximum=amps, source="table", standing=Standing.READ)


@pytest.mark.published("Schuko 16 A; Finland 8 A for hours; cord of 1.5 mm² 16 A; type 2 coupler 63 A: all read")
def test_the_parts_of_a_household_lead_with_their_sources() -> None:
    """Each part is there with its own limit, the practice for hours beside the rating."""
    parts = carriers(BOOK, plug_word="Schuko", country="fi", connector="type 2", cross_section_mm2=1.5)

    assert [(part.name, part.current_a.value, part.for_hours) for part in parts] == [
        ("plug", 16.0, False),
        ("household socket for hours (FI)", 8.0, True),
        ("cable of 1.5 mm²", 16.0, False),
        ("type 2 coupler", 63.0, False),
    ]
    assert all(part.limit is not None and part.limit.standing == "read" for part in parts)


@pytest.mark.published("three loaded cores of 2.5 mm² carry 20 A as a cord (BS 7671 table 4F3A, read)")
def test_three_phases_load_three_cores() -> None:
    """The cable of a three-phase lead carries less for the same size."""
    (cable,) = carriers(BOOK, cross_section_mm2=2.5, phases=3)

    assert cable.current_a.value == 20.0


def test_what_is_not_known_is_not_made_up() -> None:
    """A size that no table has, a country of which nothing is known, no plug at all."""
    assert carriers(BOOK, cross_section_mm2=3.3) == ()
    assert [part.name for part in carriers(BOOK, plug_word="Schuko", country="GR")] == ["plug"]
    with pytest.raises(UnknownName, match="unknown plug"):
        carriers(BOOK, plug_word="CEE 7/5")


def test_a_cable_that_is_weakest_is_told_with_its_row() -> None:
    """Tables differ about a cable: the sentence names the one that counts."""
    told = current_path(carriers(BOOK, plug_word="Schuko", cross_section_mm2=1.0))

    assert told.statement == (
        "The weakest part on the way is the cable of 1 mm²: 10 A by the row “cord for household and hand-held "
        "apparatus, two loaded cores, 1 mm²” of BS 7671."
    )


@pytest.mark.hand("a plate of 20 A on a 16 A plug with 1.5 mm²: above the plug and above the cable, below the coupler")
def test_a_claim_above_the_weakest_part() -> None:
    """Both parts that it exceeds are named, the weakest first."""
    parts = carriers(BOOK, plug_word="Schuko", connector="type 2", cross_section_mm2=1.5)
    told = current_path([*parts, claims("rated current", 20.0, said_by="the plate")])

    assert told.weakest is not None
    assert (told.weakest.name, told.outcome) == ("plug", Outcome.BEYOND)
    assert "by the row" not in told.statement, "that of a plug is one for all"
    assert told.statement.endswith("the rated current of 20 A is above plug (16 A) and cable of 1.5 mm² (16 A).")


def test_an_offer_near_a_rating_is_perhaps_above_it() -> None:
    """An offer of 16.1 A that may be 15.9 A is not said to lie above 16 A."""
    told = current_path([carries("plug", rating(16.0)), asks("offer", Quantity(16.05, 0.1, "A"))])

    assert told.outcome is Outcome.UNDECIDED
    assert "is, perhaps, above plug" in told.statement


def test_an_offer_of_unknown_accuracy_decides_nothing() -> None:
    """It stands among the parts all the same."""
    told = current_path([carries("plug", rating(16.0)), asks("offer", Quantity(10.0, None, "A", why="not stated"))])

    assert told.outcome is Outcome.UNDECIDED
    assert told.exceeding[0].probability is None


def test_with_nothing_to_compare_nothing_is_said() -> None:
    """No part, or no claim."""
    assert current_path([]).outcome is Outcome.NOT_TESTED
    assert current_path([carries("plug", rating(16.0))]).outcome is Outcome.NOT_TESTED
    assert "Of none of the parts" in current_path([claims("rated current", 16.0, said_by="the plate")]).statement
    with pytest.raises(OutsideRange, match="must be above 0 A"):
        claims("rated current", 0.0, said_by="the plate")


@given(ratings=st.lists(st.floats(1.0, 100.0), min_size=1, max_size=6), claim=st.floats(1.0, 100.0))
def test_the_weakest_decides(ratings: list[float], claim: float) -> None:
    """A claim is within exactly where it is not above the lowest rating, in whatever order the parts come."""
    parts = [carries(f"part {number}", rating(amps)) for number, amps in enumerate(ratings)]
    told = current_path([claims("rated current", claim, said_by="the plate"), *parts])

    assert told.weakest is not None
    assert told.weakest.current_a.value == min(ratings)
    assert (told.outcome is Outcome.WITHIN) == (claim <= min(ratings))
    assert [part.current_a.value for part in told.parts] == sorted([claim, *ratings])
    assert {one.part.role for one in told.exceeding} <= {PathRole.CARRIES}


def test_a_claim_about_the_cable_is_held_against_the_cable_alone() -> None:
    """A cable coded for 32 A on a lead with a plug of 16 A is no contradiction: the unit's offer keeps to the plug."""
    parts = carriers(BOOK, plug_word="Schuko", cross_section_mm2=6.0)
    told = current_path([*parts, claims("current of the coding", 32.0, said_by="the coding resistor", about="cable")])

    assert told.outcome is Outcome.WITHIN
    thin = current_path(
        [
            *carriers(BOOK, plug_word="Schuko", cross_section_mm2=2.5),
            claims("current of the coding", 32.0, said_by="the coding resistor", about="cable"),
        ]
    )
    assert [one.part.name for one in thin.exceeding] == ["cable of 2.5 mm²"]

"""The market: what is counted, what the cheapest proper offer costs more, and that nothing found is a result."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.conclusion.market import WANTED, market_picture, read_price
from coldpin.records.case import Alternative
from coldpin.records.function import FunctionState, ProtectiveFunction
from coldpin.records.market import Listing, Survey

DAY = "2026-03-14"
FUNCTIONS = tuple(
    ProtectiveFunction(
        id=name, title=f"the {name}", question="", state=FunctionState.NOT_SHOWN, reach=None, findings=(), because=""
    )
    for name in (*WANTED, "wiring")
)
FULL = Alternative(name="full", price="185 EUR", functions=WANTED, seen=DAY)
DEARER = Alternative(name="dearer", price="239 EUR", functions=WANTED, seen=DAY)
CHEAP = Alternative(name="cheap", price="60 EUR", functions=WANTED[:2], seen=DAY)
LISTINGS = (
    Listing(name="a", seen=DAY, price="74 EUR", control_unit="no", same_design="yes", rated_currents=("20 A", "10 A")),
    Listing(
        name="b", seen="2026-03-16", control_unit="no", same_design="yes", rated_currents=("10 A",), lengths=("5 m",)
    ),
    Listing(name="c", seen=DAY, price="149 EUR", control_unit="yes", same_design="no", rated_currents=("32 A",)),
    Listing(name="d", seen=DAY),
)


@pytest.mark.hand("two of four without a unit, one with, one unknown; 185 − 74 = 111")
def test_listings_are_counted_and_the_gap_is_that_to_the_cheapest_that_claims_all() -> None:
    """Sister ratings are those of the same design alone."""
    found = market_picture(
        name="Pellwick 20", paid="74 EUR", functions=FUNCTIONS, listings=LISTINGS, alternatives=(DEARER, CHEAP, FULL)
    )
    picture = found.picture

    assert (picture.without_control_unit, picture.with_control_unit, picture.cannot_tell) == (2, 1, 1)
    assert (picture.first_seen, picture.last_seen) == (DAY, "2026-03-16")
    assert picture.sister_ratings == ("10 A", "20 A")
    assert picture.lengths == ("5 m",)
    assert (picture.cheapest, picture.gap, picture.currency) == ("full", 111.0, "EUR")
    assert "not tested" in picture.reckoned[0]
    assert found.problems == ()


def test_nothing_found_is_a_result() -> None:
    """Of listings and of alternatives."""
    survey = Survey(on=DAY, place="Quayside", looked_for="a lead")
    picture = market_picture(
        name="x", paid="74 EUR", functions=FUNCTIONS, surveys=(survey,), alternatives=(CHEAP,)
    ).picture

    assert any("None found here" in text for text in picture.said)
    assert picture.reckoned[0].startswith("None found here that claims all of")
    assert (picture.cheapest, picture.gap) == ("", None)


def test_without_notes_there_is_no_market() -> None:
    """Nothing is said where nobody looked."""
    picture = market_picture(name="x", paid="74 EUR", functions=FUNCTIONS).picture

    assert picture.said == ()
    assert picture.priced == ()


def test_what_was_paid_in_another_currency_or_not_told_gives_no_gap() -> None:
    """Amounts in two currencies are not compared."""
    for paid in ("80 GBP", ""):
        picture = market_picture(name="x", paid=paid, functions=FUNCTIONS, alternatives=(FULL,)).picture
        assert picture.gap is None
    assert picture.cheapest == "full"


POUNDS = Alternative(name="island", price="150 GBP", functions=WANTED, seen=DAY)


@pytest.mark.parametrize("paid", ["", "800 SEK"])
def test_offers_in_two_currencies_have_no_cheapest(paid: str) -> None:
    """A smaller number in another currency is not less: each currency has its own, and what is missing is said."""
    offers = (DEARER, FULL, POUNDS)
    picture = market_picture(name="x", paid=paid, functions=FUNCTIONS, alternatives=offers).picture

    assert (picture.cheapest, picture.gap, picture.currency) == ("", None, "")
    (told,) = picture.reckoned
    assert "185 EUR (full); 150 GBP (island)" in told
    assert "without a rate, its day and its source" in told
    assert ("not on record" in told) is (paid == "")


def test_the_currency_that_was_paid_decides_and_the_other_is_told_apart() -> None:
    """An offer in it that claims all is the cheapest, though another has a smaller number."""
    offers = (FULL, POUNDS)
    picture = market_picture(name="x", paid="74 EUR", functions=FUNCTIONS, alternatives=offers).picture

    assert (picture.cheapest, picture.gap, picture.currency) == ("full", 111.0, "EUR")
    assert picture.reckoned[1].startswith("In other currencies the cheapest that claims all of it costs 150 GBP")


@pytest.mark.parametrize(
    ("listing", "told"),
    [
        (replace(LISTINGS[0], price="about 40"), "cannot be read"),
        (replace(LISTINGS[0], seen="14 March"), "is not a date"),
        (replace(LISTINGS[0], control_unit="perhaps"), "is no answer"),
    ],
)
def test_what_cannot_be_used_is_told(listing: Listing, told: str) -> None:
    """And hides nothing else."""
    found = market_picture(name="x", paid="74 EUR", functions=FUNCTIONS, listings=(listing, LISTINGS[2]))

    assert [told in problem.what for problem in found.problems] == [True]
    assert any(offer.name == "c" for offer in found.picture.priced)


def test_an_unknown_function_is_told() -> None:
    """With those there are."""
    found = market_picture(
        name="x", paid="", functions=FUNCTIONS, alternatives=(replace(FULL, functions=("magic", *WANTED)),)
    )

    assert "'magic' is no protective function" in found.problems[0].what
    assert found.picture.cheapest == "full"


@pytest.mark.parametrize("text", ["", "40", "EUR 40 EUR", "1,299 EUR", "1.299 EUR", "40 euro", "-4 EUR", "4 5 EUR"])
def test_a_price_that_needs_guessing_is_not_read(text: str) -> None:
    """One amount, one currency, no mark of thousands."""
    assert read_price(text) is None


@given(st.integers(0, 10**6), st.integers(0, 99), st.sampled_from([".", ","]), st.sampled_from(["EUR", "SEK"]))
def test_prices_are_read_back(whole: int, cents: int, point: str, currency: str) -> None:
    """On either side of the amount."""
    text = f"{whole}{point}{cents:02}"
    for written in (f"{text} {currency}", f"{currency} {text}"):
        read = read_price(written)
        assert read is not None
        assert read[0] == pytest.approx(whole + cents / 100.0)
        assert read[1] == currency

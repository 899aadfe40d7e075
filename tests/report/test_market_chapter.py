"""The chapter on the market and its picture: what was seen, what it costs, and that claims were not tested."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.conclusion.market import market_picture
from coldpin.records.market import MarketPicture
from coldpin.report import build_document
from coldpin.report.anchors import Anchors
from coldpin.report.chapters.market import market
from coldpin.report.document import Figure, Heading, Table, lines_of, text_of
from coldpin.report.figures.prices import price_picture
from coldpin.report.index import index_of
from tests.conclusion.test_market import CHEAP, FULL, FUNCTIONS, LISTINGS
from tests.report.sample import SAMPLE

PICTURE = market_picture(
    name="Pellwick 20", paid="74 EUR", functions=FUNCTIONS, listings=LISTINGS, alternatives=(CHEAP, FULL)
).picture


@pytest.mark.hand("74, 149, 185 and 60 EUR; a full one claims all, the cheap one does not")
def test_the_picture_of_prices_is_told_in_words() -> None:
    """Every price with its kind; a claim is never more than one."""
    (figure,) = price_picture(PICTURE, Anchors())

    assert "full: 185 EUR, claims all." in figure.alt
    assert "cheap: 60 EUR, does not claim" in figure.alt
    assert "Pellwick 20: 74 EUR, this specimen." in figure.alt
    assert figure.caption.endswith("Claims were not tested.")
    assert "185" in figure.svg


def test_prices_that_cannot_be_compared_are_not_drawn() -> None:
    """One price alone, or each in a currency of its own."""
    one = replace(PICTURE, priced=PICTURE.priced[:1])
    apart = replace(
        PICTURE, currency="", priced=tuple(replace(offer, currency=f"C{n}") for n, offer in enumerate(PICTURE.priced))
    )

    assert price_picture(one, Anchors()) == ()
    assert price_picture(apart, Anchors()) == ()
    assert price_picture(replace(PICTURE, priced=()), Anchors()) == ()


def test_the_chapter_tells_listings_and_alternatives_with_their_days() -> None:
    """What was counted is observed, what was reckoned is inferred, and what a seller claims is not tested."""
    made = replace(SAMPLE, market=PICTURE, alternatives=(CHEAP, FULL), case=replace(SAMPLE.case, listings=LISTINGS))
    blocks = market(index_of(made))
    said = "\n".join(text_of(line) for block in blocks for line in lines_of(block))

    assert "[observed]" in said
    assert "[inferred]" in said
    assert "was not tested here" in said
    assert any(isinstance(block, Figure) for block in blocks)
    tables = {block.caption: block for block in blocks if isinstance(block, Table)}
    assert len(tables["Alternatives, as their sellers describe them"].rows) == 2


def test_no_chapter_where_nothing_was_looked_for() -> None:
    """An empty market has no heading."""
    nothing = MarketPicture()
    bare = replace(SAMPLE, market=nothing, alternatives=(), case=replace(SAMPLE.case, alternatives=(), listings=()))

    assert market(index_of(bare)) == ()
    headings = [block.text for block in build_document(bare).blocks if isinstance(block, Heading)]
    assert not any(text.endswith("On the market") for text in headings)

"""How the sources are found and printed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.errors import UnknownName
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Limit, Standing
from coldpin.standards import catalogue, find_sources, limit_paragraph, limit_value, load_book

BOOK = load_book()


def limit(minimum: float | None = None, nominal: float | None = None, maximum: float | None = None) -> Limit:
    """A limit in V with the numbers given."""
    bare = Limit(id="a.b", title="t", unit="V", source="s", standing=Standing.MEMORY)
    return replace(bare, minimum=minimum, nominal=nominal, maximum=maximum)


@pytest.mark.parametrize(
    ("numbers", "said"),
    [
        ({}, ""),
        ({"minimum": 1.0}, "at least 1 V"),
        ({"maximum": 12.6}, "at most 12.6 V"),
        ({"nominal": 2740.0}, "2740 V"),
        ({"minimum": -12.6, "maximum": -11.4}, "−12.6 V to −11.4 V"),
        ({"minimum": 1.0, "nominal": 2.0, "maximum": 3.0}, "1 V to 3 V, nominally 2 V"),
        ({"nominal": 2.0, "maximum": 3.0}, "at most 3 V, nominally 2 V"),
        ({"minimum": 0.0, "maximum": 0.0}, "0 V"),
    ],
)
def test_a_number_in_words(numbers: dict[str, float], said: str) -> None:
    """Minimum, nominal and maximum as a person would say them."""
    assert limit_value(limit(**numbers)) == said


def test_a_paragraph_says_everything_once() -> None:
    """Value, source with edition and place, standing, where it was read, the other value, the note."""
    assert limit_paragraph(BOOK.limit("pilot.frequency.iec-2")) == (
        "pilot.frequency.iec-2: pilot frequency, 0.5 % either way: 995 Hz to 1005 Hz, nominally 1000 Hz. "
        "Source: IEC 61851-1:2010, edition 2.0, Table A.1. Standing: read. "
        "Read in: public note in Polish restating IEC 61851-1:2010 Annex A (secondary text, address not recorded). "
        "Other value: 980 Hz to 1020 Hz (2 %), IEC 61851-1:2017 and SAE J1772 (read); "
        "used: 2 % to judge, this one to remark."
    )


def test_a_paragraph_of_an_own_value_says_whose_it_is() -> None:
    """The case's own value, its source, and what it replaced."""
    own = OwnConstant(id="touch.ac", source="local code, clause 4", maximum=25.0)

    assert limit_paragraph(BOOK.with_own([own]).limit("touch.ac")) == (
        "touch.ac: a.c. touch voltage, adults, dry: at most 25 V. Set by: this case. Source: local code, clause 4. "
        "Standing: standard. Other value: in place of at most 50 V, IEC TS 61201 and IEC 60364-4-41 (read)."
    )


@pytest.mark.parametrize("one", BOOK.search(), ids=lambda one: one.id)
def test_every_paragraph_is_one_plain_line(one: Limit) -> None:
    """Each limit prints as one line with its source and standing."""
    said = limit_paragraph(one)

    assert said.startswith(f"{one.id}: {one.title}")
    assert f"Source: {one.source}" in said
    assert f"Standing: {one.standing}." in said
    assert "\n" not in said
    assert ".." not in said
    assert "None" not in said


def test_an_id_finds_itself_first() -> None:
    """An id that others begin with stands before them."""
    assert find_sources(BOOK, "earth.in-service.extra")[0].id == "earth.in-service.extra"
    assert [found.id for found in find_sources(BOOK, "earth.in-service")] == [
        "earth.in-service",
        "earth.in-service.extra",
        "earth.in-service.ceiling",
    ]


def test_no_word_finds_all() -> None:
    """Without a word every limit is listed."""
    assert len(find_sources(BOOK, "")) == len(BOOK.rows)


def test_a_word_that_nothing_holds_names_the_subjects() -> None:
    """A reader who guesses wrong is told what there is."""
    with pytest.raises(UnknownName, match=r"no constant holds 'turbine': try one of .*coding.*pilot.*timing.*touch"):
        find_sources(BOOK, "turbine")


def test_the_catalogue_holds_every_limit_once() -> None:
    """A page made from it lists each limit under one title."""
    tables = catalogue(BOOK)
    ids = [row.limit.id for table in tables for row in table.rows]

    assert [table.title for table in tables] == sorted(table.title for table in tables)
    assert sorted(ids) == sorted(BOOK.rows)

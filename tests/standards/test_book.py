"""The book: all tables hold what they must, ids are found, own values take the place of ours."""

from __future__ import annotations

import re

import pytest

from coldpin.errors import InputError, UnknownName
from coldpin.quantity import find_unit
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Limit, Standing
from coldpin.standards.book import Book, load_book

LIMITS = load_book().search()

OWN_WORDS_NEVER = re.compile(
    r"\b(?:safe|safely|deadly|lethal|illegal|fake|certified|compliant|non-?conforming|fails?)\b", re.IGNORECASE
)
PRODUCT_MARKS = re.compile(r"[®™]|\b(?:firmware|repository|github|gitlab|open[- ]source|library|app)\b", re.IGNORECASE)
SECONDARY = re.compile(r"^(?:a|public) .+\(secondary text, address not recorded\)$")
ADDRESSED = re.compile(r"^.+, https?://\S+$")
ID = re.compile(r"^[a-z0-9]+(?:-[a-z0-9]+)*(?:\.[A-Za-z0-9]+(?:-[A-Za-z0-9]+)*)+$")


@pytest.fixture(scope="module")
def book() -> Book:
    """The constants that come with coldpin."""
    return load_book()


def test_all_tables_are_there(book: Book) -> None:
    """Each subject has its table, and no id is in two of them."""
    assert {table.name for table in book.tables} >= {
        "pilot.toml",
        "pilot_timing.toml",
        "connections.toml",
        "protective_conductor.toml",
        "conductors.toml",
        "joints.toml",
        "insulation.toml",
        "touch.toml",
        "instruments.toml",
    }
    assert sum(len(table.rows) for table in book.tables) == len(book.rows)


@pytest.mark.parametrize("limit", LIMITS, ids=[limit.id for limit in LIMITS])
def test_every_entry_says_where_it_is_from_and_how_well_it_is_known(limit: Limit) -> None:
    """Source, standing, a readable id; what was read names the text; no number is without a known unit."""
    assert limit.source
    assert limit.title
    assert limit.standing in Standing
    assert ID.match(limit.id)
    assert limit.standing is not Standing.STANDARD, "no standard was at hand when the tables were made"
    assert limit.read_in or limit.standing is not Standing.READ
    has_number = any(number is not None for number in (limit.minimum, limit.nominal, limit.maximum))
    assert not has_number or find_unit(limit.unit).symbol == limit.unit


@pytest.mark.parametrize("limit", LIMITS, ids=[limit.id for limit in LIMITS])
def test_no_entry_judges_in_words_or_names_a_product(limit: Limit) -> None:
    """The texts of the tables hold none of the words we do not use, and name no product or program."""
    own = " | ".join((limit.title, limit.note, limit.other, limit.source, limit.place, limit.edition))

    assert not OWN_WORDS_NEVER.search(own)
    assert not PRODUCT_MARKS.search(own + " | ".join(limit.read_in))
    for text in limit.read_in:
        assert SECONDARY.match(text) or ADDRESSED.match(text), text


@pytest.mark.parametrize("limit", [one for one in LIMITS if one.other], ids=[one.id for one in LIMITS if one.other])
def test_a_dispute_says_which_value_is_used(limit: Limit) -> None:
    """An entry with a second value names its source or standing, and most say which of the two is used."""
    assert re.search(r"used:|the same text", limit.other)


def test_the_book_is_read_once() -> None:
    """A second call hands out the same book."""
    assert load_book() is load_book()


def test_an_unknown_id_names_the_nearest(book: Book) -> None:
    """A misspelt id is an error that shows how it is spelt and how all are listed."""
    with pytest.raises(
        UnknownName,
        match=r"unknown constant 'pilot.high-open.iec3'; did you mean 'pilot.high-open.iec-3' .*`coldpin sources`",
    ):
        book.limit("pilot.high-open.iec3")
    with pytest.raises(UnknownName, match=r"unknown constant 'zzz'\. `coldpin sources` lists all \d+ ids"):
        book.limit("zzz")


def test_search_takes_every_word(book: Book) -> None:
    """Every word must occur, in any case of letters, in id, title, source, place, note or the entry's words."""
    assert book.search("") == LIMITS
    assert {limit.id for limit in book.search("WINDOW.b.high state")} == {
        "pilot.window.B.high.iec-2",
        "pilot.window.B.high.iec-3",
    }
    assert book.search("no such thing") == ()


class TestOwn:
    """A value from the user's own source in place of ours."""

    def test_it_replaces_and_says_whose_it_is(self, book: Book) -> None:
        """The own value holds, with its source and standing; what it replaced stays to be seen; ours is unchanged."""
        own = OwnConstant(
            id="pilot.window.low.iec-3",
            source="IEC 61851-1:2017, Table A.4, own copy",
            minimum=-12.6,
            nominal=-12.0,
            maximum=-11.4,
            note="read on page 50",
        )

        limit = book.with_own([own]).limit(own.id)

        assert (limit.minimum, limit.nominal, limit.maximum, limit.unit) == (-12.6, -12.0, -11.4, "V")
        assert (limit.source, limit.standing, limit.asserted_by) == (own.source, Standing.STANDARD, "this case")
        assert limit.note == "read on page 50"
        assert limit.read_in == ()
        assert limit.other.startswith(
            "in place of −13 V to −11 V, nominally −12 V, IEC 61851-1:2017 (memory); −12.6 V to −11.4 V, SAE J1772"
        )
        assert book.limit(own.id).minimum == -13.0

    def test_one_limit_never_mixes_two_sources(self, book: Book) -> None:
        """Where the own value gives a maximum only, our minimum does not stay beside it."""
        own = OwnConstant(id="pilot.source-resistance.iec-3", source="own copy", maximum=1030.0)

        limit = book.with_own([own]).limit(own.id)

        assert (limit.minimum, limit.nominal, limit.maximum) == (None, None, 1030.0)

    def test_tables_and_search_show_it_too(self, book: Book) -> None:
        """The generated list and the search see the own value, in the same place."""
        own = OwnConstant(id="touch.ac", source="own copy", maximum=50.0, standing="common practice")

        changed = book.with_own([own], asserted_by="this shelf")

        assert [limit.asserted_by for limit in changed.search("touch.ac") if limit.id == "touch.ac"] == ["this shelf"]
        assert [limit.id for limit in changed.search()] == [limit.id for limit in book.search()]
        in_tables = [row.limit for table in changed.tables for row in table.rows if row.limit.id == "touch.ac"]
        assert in_tables == [changed.limit("touch.ac")]

    def test_a_case_goes_over_its_shelf(self, book: Book) -> None:
        """Both layers can be seen when a case replaces what its shelf had replaced."""
        first = OwnConstant(id="touch.ac", source="shelf paper", maximum=40.0)
        second = OwnConstant(id="touch.ac", source="case paper", maximum=30.0)

        limit = book.with_own([first], asserted_by="this shelf").with_own([second]).limit("touch.ac")

        assert limit.maximum == 30.0
        assert limit.other == (
            "in place of at most 40 V, shelf paper (standard); "
            "in place of at most 50 V, IEC TS 61201 and IEC 60364-4-41 (read)"
        )

    def test_nothing_own_leaves_the_book(self, book: Book) -> None:
        """Without own values the book is the same one."""
        assert book.with_own([]) is book

    @pytest.mark.parametrize(
        ("own", "error", "message"),
        [
            (OwnConstant(id="touch.acc", source="s", maximum=1.0), UnknownName, "unknown constant 'touch.acc'"),
            (
                OwnConstant(id="touch.ac", source="s", maximum=1.0, standing="sure"),
                UnknownName,
                "unknown standing in own constant 'touch.ac' of this case: 'sure'",
            ),
            (
                OwnConstant(id="touch.ac", source=" ", maximum=1.0),
                InputError,
                "own constant 'touch.ac' of this case names no source: say in which text the value stands",
            ),
            (
                OwnConstant(id="touch.ac", source="s"),
                InputError,
                "own constant 'touch.ac' of this case has no number: give minimum, nominal or maximum in V",
            ),
            (
                OwnConstant(id="touch.ac", source="s", minimum=2.0, maximum=1.0),
                InputError,
                "own constant 'touch.ac' of this case: minimum 2 is above maximum 1",
            ),
        ],
    )
    def test_a_bad_one_is_one_message(self, book: Book, own: OwnConstant, error: type[Exception], message: str) -> None:
        """Unknown id or standing, no source, no number, numbers out of order: each is said once."""
        with pytest.raises(error, match=re.escape(message)):
            book.with_own([own])

    def test_twice_is_refused(self, book: Book) -> None:
        """Two own values of one id leave no doubt which is meant: they are refused."""
        own = OwnConstant(id="touch.ac", source="s", maximum=1.0)

        with pytest.raises(InputError, match=r"own constant 'touch\.ac' of this case is given twice: keep one of them"):
            book.with_own([own, own])

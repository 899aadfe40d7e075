"""What a table must hold, and the one message when it does not."""

from __future__ import annotations

import re

import hypothesis.strategies as st
import pytest
from hypothesis import given

from coldpin.errors import InputError
from coldpin.records.finding import Limit, Standing
from coldpin.standards.table import needed, read_table

GOOD = {
    "id": '"mine.voltage"',
    "title": '"voltage"',
    "unit": '"V"',
    "minimum": "1.0",
    "nominal": "2.0",
    "maximum": "3.0",
    "source": '"my notes"',
    "standing": '"memory"',
}
ABOUT = '[about]\ntitle = "Mine"\ndata = ["slope", "words", "yes", "word"]\n[read_in]\nnotes = "my notes, page 1"\n'


def table_text(**changes: str | None) -> str:
    """A table of one limit, with keys changed or (None) left out."""
    return ABOUT + group_text(**changes)


def group_text(**changes: str | None) -> str:
    """The group of one limit."""
    keys = {key: value for key, value in (GOOD | changes).items() if value is not None}
    return "[[group]]\n[[group.limits]]\n" + "".join(f"{key} = {value}\n" for key, value in keys.items())


def test_a_good_table_is_read() -> None:
    """Numbers, words and what stands beside the limit come through unchanged."""
    table = read_table(
        "mine.toml",
        table_text(read_in='["notes"]', standing='"read"', slope="2", words='["a", "b"]', yes="true", word='"c"'),
    )

    (row,) = table.rows
    assert row.limit == Limit(
        id="mine.voltage",
        title="voltage",
        unit="V",
        minimum=1.0,
        nominal=2.0,
        maximum=3.0,
        source="my notes",
        standing=Standing.READ,
        read_in=("my notes, page 1",),
    )
    assert (row.number("slope"), row.words("words"), row.yes("yes"), row.word("word")) == (2.0, ("a", "b"), True, "c")


def test_what_a_group_shares_holds_unless_the_limit_says_otherwise() -> None:
    """A key of the group is that of each of its limits, and a limit's own key wins."""
    text = (
        'about.title = "Mine"\n[[group]]\nsource = "notes"\nstanding = "memory"\nunit = "V"\n'
        'limits = [{ id = "a", title = "a", maximum = 1.0 }, { id = "b", title = "b", maximum = 1.0, unit = "A" }]\n'
    )

    assert [(row.limit.id, row.limit.unit, row.limit.source) for row in read_table("mine.toml", text).rows] == [
        ("a", "V", "notes"),
        ("b", "A", "notes"),
    ]


BAD = [
    ({"id": None}, "table mine.toml, entry 'without id': 'id' is missing: add it"),
    ({"title": None}, "entry 'mine.voltage': 'title' is missing: add it"),
    ({"source": None}, "entry 'mine.voltage': 'source' is missing: add it"),
    ({"source": '""'}, "entry 'mine.voltage': 'source' is missing: add it"),
    ({"standing": None}, "entry 'mine.voltage': 'standing' is missing: add it"),
    (
        {"standing": '"hearsay"'},
        "entry 'mine.voltage': unknown standing 'hearsay'; known: standard, read, memory, common practice",
    ),
    ({"standing": '"read"'}, "entry 'mine.voltage': standing is 'read' and no text is named: add it under read_in"),
    ({"unit": '"volt"'}, "entry 'mine.voltage': unit 'volt' must be written 'V'"),
    ({"unit": '"furlong"'}, "entry 'mine.voltage': unknown unit 'furlong'"),
    ({"minimum": "4.0"}, "entry 'mine.voltage': minimum 4 is above nominal 2; minimum, nominal and maximum must not"),
    ({"maximum": "1.5"}, "entry 'mine.voltage': nominal 2 is above maximum 1.5"),
    ({"nominal": None, "maximum": "0.5"}, "entry 'mine.voltage': minimum 1 is above maximum 0.5"),
    ({"maximum": '"3"'}, "entry 'mine.voltage': 'maximum' must be a number, given '3'"),
    ({"maximum": "inf"}, "entry 'mine.voltage': 'maximum' must be a number, given inf"),
    ({"maximum": "nan"}, "entry 'mine.voltage': 'maximum' must be a number, given nan"),
    ({"maximum": "true"}, "entry 'mine.voltage': 'maximum' must be a number, given True"),
    ({"title": "3"}, "entry 'mine.voltage': 'title' must be text, given 3"),
    ({"maximal": "3.0"}, "entry 'mine.voltage': unknown key 'maximal'; known: "),
    ({"read_in": '["papers"]'}, "entry 'mine.voltage': text 'papers' is not listed under [read_in]; known: notes"),
    ({"read_in": '"notes"'}, "entry 'mine.voltage': 'read_in' must be a list of names under [read_in], given 'notes'"),
    ({"slope": "[1, 2]"}, "entry 'mine.voltage': 'slope' must be a number, text, yes or no, or a list of texts"),
]


@pytest.mark.parametrize(("changes", "message"), BAD, ids=[str(changes) for changes, _ in BAD])
def test_a_bad_entry_is_one_message_that_names_table_and_entry(changes: dict[str, str | None], message: str) -> None:
    """What is wrong is said once, with the table's and the entry's name, and what is allowed."""
    with pytest.raises(InputError, match=re.escape(message)):
        read_table("mine.toml", table_text(**changes))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[about", "table mine.toml is not TOML: "),
        ("[[group]]", "table mine.toml has no title: add one under [about]"),
        (ABOUT, "table mine.toml has no limits: add [[group]] and [[group.limits]]"),
        (table_text() + group_text(), "entry 'mine.voltage': the id is there twice"),
    ],
)
def test_a_bad_table_is_one_message(text: str, message: str) -> None:
    """A table that is no TOML, has no title or no limits, or an id twice, is refused by name."""
    with pytest.raises(InputError, match=re.escape(message)):
        read_table("mine.toml", text)


def test_a_number_that_is_not_there_is_asked_for_by_name() -> None:
    """A look-up that needs a slope names the entry that has none."""
    (row,) = read_table("mine.toml", table_text()).rows

    with pytest.raises(
        InputError, match=r"table mine\.toml, entry 'mine.voltage': 'slope' must be a number, given None"
    ):
        row.number("slope")
    assert (row.word("word"), row.words("words"), row.yes("yes")) == ("", (), False)


def test_an_edge_that_is_not_there_is_asked_for_with_its_unit() -> None:
    """A look-up that needs a maximum says so and in which unit to give it."""
    (row,) = read_table("mine.toml", table_text(maximum=None)).rows

    assert needed(row.limit, "minimum") == 1.0
    with pytest.raises(InputError, match=r"'mine.voltage' \(my notes\) has no maximum, .* give it in V"):
        needed(row.limit, "maximum")


@given(numbers=st.lists(st.one_of(st.none(), st.floats(-1e6, 1e6)), min_size=3, max_size=3))
def test_numbers_are_taken_if_and_only_if_they_do_not_fall(numbers: list[float | None]) -> None:
    """Any three numbers, some absent, are read where those present do not fall, and refused where they do."""
    present = [number for number in numbers if number is not None]
    names = ("minimum", "nominal", "maximum")
    text = table_text(
        **{name: None if number is None else repr(number) for name, number in zip(names, numbers, strict=True)}
    )

    if present == sorted(present):
        limit = read_table("mine.toml", text).rows[0].limit
        assert [limit.minimum, limit.nominal, limit.maximum] == numbers
    else:
        with pytest.raises(InputError, match="must not fall"):
            read_table("mine.toml", text)

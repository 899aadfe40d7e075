"""Rows of ``case.toml``: added, changed and taken out by what is in them, every other byte as it was."""

from __future__ import annotations

import difflib
import re
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from coldpin.casefile import Case
from coldpin.casefile.description import edit_description, parse_description, render_description
from coldpin.casefile.rows import RowChange, edit_row, rows_of
from coldpin.errors import CaseError, ConflictError
from coldpin.records.case import CASE_FORMAT, Build, Cable, CaseDescription, ConditionOfUse, Specimen, UnitClass
from coldpin.records.plain import to_plain
from coldpin.records.scenario import OwnEstimate
from tests.casefile.conftest import NOW

BARE = b"""\
format = "coldpin.case/1"
title = "Skerrow 16"  # as on the pack
[specimen]
make = "Skerrow"
model = "16"
[unit]   # picks the standards
charging_mode = 2
build = "portable"
cable = "attached"
"""

ROWS = (
    BARE
    + b"""
# where it lies at night
[[conditions_of_use]]
name = "pontoon"    # the outer one
place = "outdoors"
# mornings are wet there

[[opinions]]
text = "[[conditions_of_use]] is no table here"
who = "Ada"

[[conditions_of_use]]
name = "shed"

# Letters are kept in the drawer.
[[surveys]]
on = "2026-03-14"
place = "two shops"
looked_for = "lead"
"""
)

NIGHT = to_plain(ConditionOfUse(name="pontoon", place="outdoors"))
SHED = to_plain(ConditionOfUse(name="shed"))
COUNT = to_plain(OwnEstimate(step="way-to-earth", low=0.02, best=0.05, high=0.1, source="our own count"))


def changed_lines(before: bytes, after: bytes) -> list[str]:
    """What was put in and taken out, line by line."""
    told = difflib.ndiff(before.decode().splitlines(), after.decode().splitlines())
    return [line for line in told if line[0] in "+-" and line[2:].strip()]


@pytest.mark.parametrize("ends", [b"\n", b"\r\n"], ids=["lf", "crlf"])
def test_a_row_stands_behind_the_last_of_its_list(ends: bytes) -> None:
    """Only its own lines are new; comments stay with what they stood beside."""
    before = ROWS.replace(b"\n", ends)

    after = edit_row(before, "conditions_of_use", None, {**SHED, "name": "quay", "weather": "rain"})

    assert changed_lines(before, after) == ["+ [[conditions_of_use]]", '+ name = "quay"', '+ weather = "rain"']
    told = after.decode().replace("\r\n", "\n")
    assert 'name = "shed"\n\n[[conditions_of_use]]\nname = "quay"\nweather = "rain"\n\n# Letters are' in told
    assert ends == b"\n" or b"\n" not in after.replace(b"\r\n", b"")


def test_the_first_row_of_a_list_stands_below_its_example(case: Case) -> None:
    """There a person who reads the file looks for it; where no example is, it stands at the end."""
    before = render_description(case.description())

    after = edit_row(before, "estimates", None, COUNT)

    assert '# source = "where it is from, or judgement"\n\n[[estimates]]\nstep = "way-to-earth"\n' in after.decode()
    assert edit_row(after, "estimates", COUNT, None) == before
    assert edit_row(BARE, "estimates", None, COUNT).startswith(BARE + b"\n[[estimates]]\n")
    assert edit_row(BARE.removesuffix(b"\n"), "estimates", None, COUNT).startswith(BARE)


def test_a_row_is_changed_where_it_stands_now() -> None:
    """Value by value; one that was not written yet stands behind the others of its row."""
    after = edit_row(ROWS, "conditions_of_use", NIGHT, {**NIGHT, "place": "quay", "weather": "rain"})

    assert changed_lines(ROWS, after) == ['- place = "outdoors"', '+ place = "quay"', '+ weather = "rain"']
    assert b'name = "pontoon"    # the outer one\nplace = "quay"\nweather = "rain"\n# mornings' in after
    moved = ROWS.replace(b'name = "pontoon"    # the outer one\nplace = "outdoors"\n', b'name = "other"\n')
    moved += b'[[conditions_of_use]]\nname = "pontoon"\nplace = "outdoors"\n'
    there = edit_row(moved, "conditions_of_use", NIGHT, {**NIGHT, "hours": "8 h"})
    assert changed_lines(moved, there) == ['+ hours = "8 h"']
    assert rows_of(there, "conditions_of_use")[2]["hours"] == "8 h"


def test_two_who_change_different_values_of_one_row_both_hold() -> None:
    """The second saw the row as it was before the first."""
    first = edit_row(ROWS, "conditions_of_use", NIGHT, {**NIGHT, "place": "quay"})

    both = edit_row(first, "conditions_of_use", NIGHT, {**NIGHT, "hours": "8 h"})

    row = rows_of(both, "conditions_of_use")[0]
    assert (row["name"], row["place"], row["hours"]) == ("pontoon", "quay", "8 h")


def test_two_who_change_one_value_are_told_both() -> None:
    """Nothing is written, and the same wish twice is no conflict."""
    first = edit_row(ROWS, "conditions_of_use", NIGHT, {**NIGHT, "place": "quay"})

    with pytest.raises(ConflictError, match=r"that was \{'name': 'pontoon', 'place': 'outdoors'\}.*'place': 'garage'"):
        edit_row(first, "conditions_of_use", NIGHT, {**NIGHT, "place": "garage"})
    assert edit_row(first, "conditions_of_use", NIGHT, {**NIGHT, "place": "quay"}) == first
    assert edit_row(first, "conditions_of_use", NIGHT, None) == first, "the row seen is gone already"
    assert edit_row(ROWS, "conditions_of_use", None, None) == ROWS


def test_a_row_is_taken_out_alone() -> None:
    """Comments of others stay; a row with comments of its own is left to a person."""
    after = edit_row(ROWS, "conditions_of_use", SHED, None)

    assert changed_lines(ROWS, after) == ["- [[conditions_of_use]]", '- name = "shed"']
    with pytest.raises(CaseError, match="has comments, which would be lost with it: edit it by hand"):
        edit_row(ROWS, "conditions_of_use", NIGHT, None)


def test_a_list_written_in_one_line_takes_a_row_too() -> None:
    """TOML has two ways to write a list of tables."""
    inline = BARE.replace(b"[specimen]", b'conditions_of_use = [{ name = "shed" }]\n[specimen]')

    added = edit_row(inline, "conditions_of_use", None, NIGHT)
    changed = edit_row(added, "conditions_of_use", NIGHT, {**NIGHT, "hours": "8 h"})
    left = edit_row(changed, "conditions_of_use", SHED, None)

    assert [row["name"] for row in rows_of(added, "conditions_of_use")] == ["shed", "pontoon"]
    assert [(row["name"], row["hours"]) for row in rows_of(left, "conditions_of_use")] == [("pontoon", "8 h")]


@pytest.mark.parametrize(
    ("key", "row", "told"),
    [
        ("conditions", {"name": "x"}, "'conditions' is no list of tables"),
        ("claims", {"name": "x"}, "'claims' is no list of tables"),
        ("assumptions", {"name": "x"}, "'assumptions' is no list of tables"),
        ("conditions_of_use", {"place": "x"}, r"'conditions_of_use\.2\.name' is missing"),
        ("conditions_of_use", {"name": "x", "depth": "y"}, r"unknown key 'conditions_of_use\.2\.depth'"),
    ],
)
def test_what_would_be_no_description_is_refused(key: str, row: dict[str, Any], told: str) -> None:
    """With the words of the file."""
    with pytest.raises(CaseError, match=told):
        edit_row(ROWS, key, None, row)


text = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=10)
conditions = st.builds(ConditionOfUse, name=text, place=text, weather=text, hours=text)
OPINION = '[[opinions]]\ntext = "x # y"\nwho = "[z]"'
odd_lines = st.lists(
    st.sampled_from(["# a remark", "", "# [[conditions_of_use]]", OPINION]),
    max_size=4,
)


@example([], ["# [[conditions_of_use]]", OPINION], ConditionOfUse(name="a"), ConditionOfUse(name="b"))
@given(st.lists(conditions, max_size=3), odd_lines, conditions, conditions)
def test_any_row_comes_in_is_changed_and_goes_with_every_other_byte_kept(
    held: list[ConditionOfUse], between: list[str], new: ConditionOfUse, other: ConditionOfUse
) -> None:
    """Whatever stands around it: in, and the rest reads as before; out, and the file is what it was."""
    base = CaseDescription(
        format=CASE_FORMAT,
        title="x",
        specimen=Specimen(make="a", model="b"),
        unit=UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED),
        conditions_of_use=tuple(held),
    )
    before = render_description(base) + "\n".join(["", *between, ""]).encode()
    row = to_plain(new)

    added = edit_row(before, "conditions_of_use", None, row)

    assert rows_of(added, "conditions_of_use") == [*map(to_plain, held), row]
    assert parse_description(added).opinions == parse_description(before).opinions
    assert not [line for line in changed_lines(before, added) if line.startswith("-")]
    seen = rows_of(added, "conditions_of_use").index(row)
    changed = edit_row(added, "conditions_of_use", row, to_plain(other))
    assert rows_of(changed, "conditions_of_use")[seen] == to_plain(other)
    assert re.findall(r"(?m)^#.*$", changed.decode()) == re.findall(r"(?m)^#.*$", before.decode())
    if seen == len(held):
        assert edit_row(added, "conditions_of_use", row, None).strip() == before.strip()


def test_a_conflict_of_a_row_keeps_both_and_an_edit_by_hand_stays(case: Case) -> None:
    """One in the file, one in a private remark that the message names."""
    case.edit_rows(RowChange(key="estimates", old=None, new=COUNT), who="Ada", now=NOW)
    path = case.folder / "case.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("best = 0.05", "best = 0.06  # counted again"), "utf-8")

    with pytest.raises(ConflictError) as caught:
        case.edit_rows(RowChange(key="estimates", old=COUNT, new={**COUNT, "best": 0.07}), who="Bo", now=NOW)

    (kept,) = case.entries().entries
    assert (kept.who, kept.private) == ("Bo", True)
    assert "'best': 0.07" in kept.note
    assert str(caught.value).endswith(f"both are kept, the second in entry {kept.id}")
    after = case.edit_rows(
        RowChange(key="estimates", old=COUNT, new={**COUNT, "source": "a second count"}), who="Bo", now=NOW
    )
    assert (after.estimates[0].best, after.estimates[0].source) == (0.06, "a second count")
    assert "# counted again" in path.read_text(encoding="utf-8")


def test_of_rows_that_belong_together_all_are_written_or_none(case: Case) -> None:
    """Where the second is not as it was seen the first is not written either, and the remark names both."""
    case.edit_rows(RowChange(key="estimates", old=None, new=COUNT), who="Ada", now=NOW)
    before = (case.folder / "case.toml").read_bytes()
    first = RowChange(key="conditions_of_use", old=None, new=SHED)
    stale = RowChange(key="estimates", old={**COUNT, "best": 0.01}, new={**COUNT, "best": 0.07})

    with pytest.raises(ConflictError, match="Nor was written what belongs to it: conditions_of_use"):
        case.edit_rows(first, stale, who="Bo", now=NOW)

    assert (case.folder / "case.toml").read_bytes() == before
    (kept,) = case.entries().entries
    assert "'best': 0.07" in kept.note
    assert f"'name': '{SHED['name']}'" in kept.note
    changed = RowChange(key="estimates", old=COUNT, new={**COUNT, "best": 0.07})
    after = case.edit_rows(first, changed, who="Bo", now=NOW)
    assert [one.name for one in after.conditions_of_use][-1] == SHED["name"]
    assert after.estimates[0].best == 0.07


@pytest.mark.parametrize(
    ("key", "old", "new"),
    [("title", "Skerrow 16", "Skerrow, blue"), ("specimen.make", "Skerrow", "Skerrow Ltd"), ("unit.phases", None, 3)],
)
def test_a_value_is_changed_without_moving_tables_that_take_turns(key: str, old: object, new: object) -> None:
    """The rows of one list may stand among others; they stay where a person put them."""
    after = edit_description(ROWS, key, old, new)

    told = changed_lines(ROWS, after)
    assert len([line for line in told if line.startswith("+")]) == 1
    assert all(str(new) in line for line in told if line.startswith("+"))
    assert edit_description(after, key, new, old).replace(b"\n", b"") == ROWS.replace(b"\n", b"")

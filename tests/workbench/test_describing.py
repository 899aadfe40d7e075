"""``case.toml`` field by field: all of it is shown, edits say what they began from, what cannot be used is refused."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.errors import CaseError, UnknownName
from coldpin.records.case import CaseDescription, Claims, Specimen, UnitClass
from coldpin.records.described import Conflict, DescribedField, DescribedList, FieldKind
from coldpin.workbench.describing import describe_case, fields_of
from coldpin.workbench.editing import edit_case, edit_case_row
from tests.workbench.quay import make_case, make_shelf

COUNT = {"step": "way-to-earth", "low": "1/50", "best": "0,05", "high": "10 %", "source": "our own count"}


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """An empty case on a shelf."""
    return make_case(make_shelf(tmp_path / "shelf"))


def field(case: Path, key: str) -> DescribedField:
    """A field by its key."""
    (found,) = [one for part in describe_case(case).parts for one in part.fields if one.key == key]
    return found


def rows(case: Path, key: str) -> DescribedList:
    """A list by its key."""
    (found,) = [one for one in describe_case(case).lists if one.key == key]
    return found


def test_every_key_that_a_person_may_write_is_a_field(case: Path) -> None:
    """None is left out but the one that says the format."""
    told = describe_case(case)
    tables = {"specimen": Specimen, "unit": UnitClass, "claims": Claims}
    expected = {f"{name}.{one.name}" for name, table in tables.items() for one in dataclasses.fields(table)}
    expected |= {"title", "tester", "question", "assumptions"}

    assert {one.key for part in told.parts for one in part.fields} == expected
    lists = {one.name for one in dataclasses.fields(CaseDescription)} - set(tables) - {"format", *expected}
    assert {one.key for one in told.lists} == lists
    assert all(one.help for one in told.lists)


def test_a_value_is_changed_as_a_person_types_it(case: Path) -> None:
    """A text, a choice, a whole number, several lines; the field comes back as it is now."""
    for key, old, new in (
        ("specimen.serial", "", " B 17 "),
        ("unit.build", "portable", "fixed"),
        ("unit.phases", "1", "3"),
        ("claims.words", "", "waterproof\n\n fast "),
        ("claims.residual_current", "", "30 mA"),
    ):
        assert field(case, key).text == old
        told = edit_case(case, key, old, new)
        assert isinstance(told, DescribedField)
        assert told == field(case, key)
    description = open_case(case).description()
    assert (description.specimen.serial, description.unit.build.value, description.unit.phases) == ("B 17", "fixed", 3)
    assert description.claims.words == ("waterproof", "fast")


@pytest.mark.parametrize(
    ("key", "old", "new", "told"),
    [
        ("claims.rated_current", "16 A", "sixteen", "write the value first"),
        ("claims.plug", "CEE 7/4", "Schuco", "unknown plug 'Schuco'"),
        ("unit.charging_mode", "2", "4", "Charging mode: '4' is none of 1, 2, 3"),
        ("unit.edition", "", "iec-9", "Edition: 'iec-9' is none of"),
        ("title", "Skerrow 16", " ", "title is empty"),
    ],
)
def test_what_no_check_could_read_is_refused(case: Path, key: str, old: str, new: str, told: str) -> None:
    """While it is still easy to write it differently; the file is as it was."""
    before = (case / "case.toml").read_bytes()

    with pytest.raises((CaseError, UnknownName), match=told):
        edit_case(case, key, old, new)

    assert (case / "case.toml").read_bytes() == before


def test_what_is_wrong_elsewhere_is_no_reason_to_refuse(case: Path) -> None:
    """A file that came with a claim that cannot be read can be mended value by value."""
    path = case / "case.toml"
    path.write_text(path.read_text("utf-8").replace('rated_voltage = "230 V"', 'rated_voltage = "mains"'), "utf-8")

    assert isinstance(edit_case(case, "specimen.serial", "", "B 17"), DescribedField)
    assert isinstance(edit_case(case, "claims.rated_voltage", "mains", "230 V"), DescribedField)


def test_a_conflict_shows_both_and_can_be_decided(case: Path) -> None:
    """Who wants theirs all the same begins from what the file holds by now."""
    edit_case(case, "specimen.serial", "", "B 17")

    told = edit_case(case, "specimen.serial", "", "B 71", who="Bo")

    assert isinstance(told, Conflict)
    assert (told.words, told.now, told.wanted, told.seen) == ("Serial", "B 17", "B 71", "B 17")
    assert "both are kept" in told.told
    assert isinstance(edit_case(case, told.key, told.seen, told.wanted), DescribedField)
    assert open_case(case).description().specimen.serial == "B 71"


def test_a_row_is_added_changed_and_taken_out(case: Path) -> None:
    """As typed: chances as people write them."""
    added = edit_case_row(case, "estimates", "", COUNT)
    assert isinstance(added, DescribedList)
    (row,) = added.rows
    assert open_case(case).description().estimates[0].low == 0.02
    changed = edit_case_row(case, "estimates", row.seen, {**COUNT, "best": "0.06"})
    assert isinstance(changed, DescribedList)

    told = edit_case_row(case, "estimates", row.seen, {**COUNT, "best": "0.07"})

    assert isinstance(told, Conflict)
    assert ("Best: 0.06" in told.now, "Best: 0.07" in told.wanted) == (True, True)
    assert told.seen == changed.rows[0].seen
    left = edit_case_row(case, "estimates", told.seen, None)
    assert isinstance(left, DescribedList)
    assert left.rows == ()
    gone = edit_case_row(case, "estimates", told.seen, {**COUNT, "best": "0.08"})
    assert isinstance(gone, Conflict)
    assert (gone.now, gone.seen) == ("", "")


@pytest.mark.parametrize(
    ("key", "row", "told"),
    [
        ("estimates", {**COUNT, "low": "1/2"}, "probabilities rise from low to high"),
        ("estimates", {**COUNT, "low": "often"}, "Low: cannot read 'often' as a probability"),
        ("estimates", {**COUNT, "step": "pins-live"}, "say state"),
        ("estimates", {**COUNT, "source": " "}, "no source"),
        ("severities", {"scenario": "plug", "severity": "2", "source": "x"}, "plug-burns"),
        ("severities", {"scenario": "plug-burns", "severity": "2", "source": ""}, "no source"),
        ("constants", {"id": "earth.in-service", "source": "", "standing": "standard"}, "names no source"),
        ("constants", {"id": "earth", "source": "x", "standing": "standard", "maximum": "1"}, "unknown constant"),
        ("constants", {"id": "earth.in-service", "source": "x", "standing": "read", "maximum": "a"}, "is no number"),
        ("conditions_of_use", {"name": "x", "hours": "all night"}, "hours = 'all night'"),
        ("conditions_of_use", {"name": "x", "coiled": "perhaps"}, "Cable coiled: 'perhaps' is none of"),
        ("conditions_of_use", {"name": "x", "depth": "y"}, "unknown field of conditions_of_use 'depth'"),
        ("somewhere", {"name": "x"}, "unknown list 'somewhere'"),
    ],
)
def test_a_row_that_could_not_be_used_is_refused(case: Path, key: str, row: dict[str, str], told: str) -> None:
    """In the words of who would have read it."""
    before = (case / "case.toml").read_bytes()

    with pytest.raises((CaseError, UnknownName), match=told):
        edit_case_row(case, key, "", row)

    assert (case / "case.toml").read_bytes() == before
    with pytest.raises(CaseError, match="load the page again"):
        edit_case_row(case, "opinions", "[not a row", {"text": "x", "who": "y"})


def test_the_fields_of_a_row_say_what_they_may_hold() -> None:
    """Choices where there are no others, words that are often written where there are."""
    by_key = {one.key: one for one in fields_of("estimates")}
    assert by_key["low"].kind is FieldKind.CHANCE
    assert by_key["state"].choices == ("", "works", "does not work")
    assert "touch-live-pins" in by_key["scenario"].known
    assert by_key["source"].needed
    assert fields_of("conditions_of_use")[0].example == "overnight on the pontoon"


words = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12)


@given(serial=words, seller=words)
def test_editing_one_field_leaves_the_bytes_of_all_others(
    tmp_path_factory: pytest.TempPathFactory, serial: str, seller: str
) -> None:
    """There and back again the file is what it was, its comments and its order with it."""
    case = make_case(make_shelf(tmp_path_factory.mktemp("described") / "shelf"))
    before = (case / "case.toml").read_bytes()
    edit_case(case, "specimen.serial", "", serial)
    edit_case(case, "specimen.seller", "", seller)
    held = open_case(case).description().specimen

    assert (held.serial, held.seller) == (serial.strip(), seller.strip())
    lines = [line for line in (case / "case.toml").read_bytes().split(b"\n") if b"serial =" not in line]
    kept = [line for line in before.split(b"\n") if b"serial =" not in line]
    assert [line for line in lines if b"seller =" not in line] == [line for line in kept if b"seller =" not in line]
    edit_case(case, "specimen.serial", held.serial, "")
    edit_case(case, "specimen.seller", held.seller, "")
    assert (case / "case.toml").read_bytes() == before


def test_a_plug_is_chosen_by_its_title_and_keeps_the_word_that_stands_there(tmp_path: Path) -> None:
    """One choice for each plug of the table; a second word of it is no further choice."""
    case = make_case(make_shelf(tmp_path / "shelf"))

    def plug() -> DescribedField:
        claims = next(part for part in describe_case(case).parts if part.key == "claims")
        return next(field for field in claims.fields if field.key == "claims.plug")

    first = plug()
    assert (first.kind, first.text, first.choices[0]) == (FieldKind.CHOICE, "CEE 7/4", "")
    assert first.titles["CEE 7/4"].startswith("CEE 7/4 plug")
    edit_case(case, "claims.plug", "CEE 7/4", "CEE 16 A blue")
    other = plug()
    assert other.titles["CEE 16 A blue"].startswith("IEC 60309 plug, 16 A")
    assert len(other.choices) == len(first.choices)

"""``case.toml``: one clear message for what is wrong, comments kept, edits that never undo one another."""

from __future__ import annotations

import dataclasses
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import Case, create_case, open_case
from coldpin.casefile.description import edit_description, parse_description, render_description
from coldpin.errors import CaseError, ConflictError
from coldpin.records.case import (
    CASE_FORMAT,
    Alternative,
    Build,
    Cable,
    CaseDescription,
    Claims,
    ConditionOfUse,
    Electronics,
    OwnConstant,
    Specimen,
    UnitClass,
)
from coldpin.records.entry import EntryKind
from tests.casefile.conftest import NOW

MINIMAL = b"""\
format = "coldpin.case/1"
title = "Skerrow 16"  # as on the pack
# before the specimen
[specimen]
make = "Skerrow" # plate
model = "16"

[unit]   # picks the standards
charging_mode = 2
build = "portable"
cable = "attached"
[claims]
words = [
  "waterproof",  # on the pack
  "fast",
]
# the end
"""

text = st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=12)
texts = st.lists(text, max_size=3).map(tuple)
numbers = st.none() | st.floats(allow_nan=False, allow_infinity=False)
descriptions = st.builds(
    CaseDescription,
    format=st.just(CASE_FORMAT),
    title=text.filter(str.strip),
    specimen=st.builds(Specimen, make=text, model=text, description=text, serial=text),
    unit=st.builds(
        UnitClass,
        charging_mode=st.sampled_from((1, 2, 3)),
        build=st.sampled_from(Build),
        cable=st.sampled_from(Cable),
        electronics=st.sampled_from(Electronics),
        phases=st.sampled_from((1, 3)),
    ),
    claims=st.builds(Claims, plug=text, words=texts, standards_claimed=texts),
    tester=text,
    question=st.text(st.characters(exclude_categories=("Cs", "Cc"), include_characters="\n\t"), max_size=12),
    constants=st.lists(
        st.builds(OwnConstant, id=text, source=text, minimum=numbers, nominal=numbers, maximum=numbers), max_size=2
    ).map(tuple),
    conditions_of_use=st.lists(st.builds(ConditionOfUse, name=text, place=text), max_size=2).map(tuple),
    alternatives=st.lists(st.builds(Alternative, name=text, price=text, claims=texts), max_size=2).map(tuple),
    assumptions=texts,
)


def comments(data: bytes) -> list[str]:
    """All comments of a file whose texts hold no '#'."""
    return re.findall(r"#.*", data.decode())


@given(descriptions)
def test_what_is_written_is_read_back(description: CaseDescription) -> None:
    """Whatever a person says, in whatever script."""
    assert parse_description(render_description(description)) == description


def test_a_new_description_helps_to_fill_it(description: CaseDescription) -> None:
    """Each choice is told above its key, and an example stands where a list is empty."""
    rendered = render_description(description).decode()

    assert '# "portable" or "fixed"\nbuild = "portable"' in rendered
    assert "# [[alternatives]]" in rendered
    assert "list them: coldpin sources plug" in rendered


def test_the_examples_in_a_new_description_can_be_used(description: CaseDescription) -> None:
    """Taking away the mark of a comment gives a valid table."""
    rendered = render_description(description).decode()
    head, _, examples = rendered.partition("# [[constants]]")
    used = "\n".join(
        line.removeprefix("# ") for line in f"# [[constants]]{examples}".splitlines() if "[[" in line or "=" in line
    )

    found = parse_description(f"{head}\n{used}\n".encode())

    assert (len(found.constants), len(found.conditions_of_use), len(found.alternatives)) == (1, 1, 1)


WRONG = {
    "no TOML": (MINIMAL.replace(b'make = "', b"make = "), r"case\.toml, line 5, column 8: not TOML"),
    "cut off": (MINIMAL[:-30], r"case\.toml, (line \d+, column \d+|at end of document|end of document): not TOML"),
    "key twice": (MINIMAL.replace(b'model = "16"', b'make = "16"'), r"line 6, column 12: not TOML"),
    "not UTF-8": (MINIMAL.replace(b"Skerrow 16", b"Sk\xe9rrow"), r"case\.toml, line 2: byte 0xe9 is not UTF-8"),
    "NUL": (MINIMAL.replace(b"Skerrow 16", b"a\\u0000b"), r"case\.toml: title holds the character U\+0000"),
    "no format": (MINIMAL.replace(b"format", b"#"), r'format\' is missing: add format = "coldpin.case/1"'),
    "later format": (MINIMAL.replace(b"case/1", b"case/2"), "its format is 'coldpin.case/2'; this program reads"),
    "format no text": (MINIMAL.replace(b'"coldpin.case/1"', b"1"), "its format is '1'; this program reads"),
    "unknown key": (
        MINIMAL.replace(b"model =", b'modell = "x"\nmodel ='),
        "unknown key 'specimen.modell': did you mean",
    ),
    "misspelt optional key": (
        MINIMAL.replace(b"model =", b'seriel = "x"\nmodel ='),
        "unknown key 'specimen.seriel': did you mean 'specimen.serial'?",
    ),
    "misspelt key in a list": (
        MINIMAL + b'[[alternatives]]\nname = "a"\nprice = "b"\nclaim = ["c"]\n',
        r"unknown key 'alternatives\.0\.claim': did you mean 'alternatives\.0\.claims'\?",
    ),
    "unknown table": (MINIMAL + b"[weather]\n", "unknown key 'weather': correct the name or take it out"),
    "missing key": (MINIMAL.replace(b'model = "16"', b""), r"key 'specimen\.model' is missing: add it"),
    "number for text": (MINIMAL.replace(b'"16"', b"16"), r"specimen\.model: input should be a valid string, given 16"),
    "unknown choice": (MINIMAL.replace(b"portable", b"mobile"), "unit.build: input should be 'portable' or 'fixed'"),
    "mode": (MINIMAL.replace(b"mode = 2", b"mode = 7"), r"unit\.charging_mode is 7; it is 1, 2 or 3"),
    "phases": (MINIMAL.replace(b"mode = 2", b"mode = 2\nphases = 0"), r"unit\.phases is 0"),
    "no title": (MINIMAL.replace(b'"Skerrow 16"', b'" "'), "title is empty"),
    "no number": (
        MINIMAL + b'[[constants]]\nid = "a"\nsource = "b"\nmaximum = nan\n',
        r"case\.toml: constants\.0\.maximum is nan: write a number",
    ),
    "nested less deep": (b"a = " + b"[" * 150 + b"]" * 150, "nested deeper than 100 levels"),
    "a key without end": (b'b = "1"\n' + b"a." * 20_000 + b"a = 1", "line 2: a key of more than 100 parts"),
    "a quoted key without end": (b"a = {" + b'"x" . ' * 20_000 + b"a = 1}", "line 1: a key of more than 100 parts"),
    "nested deep": (b"a = " + b"[" * 50_000, "not readable as TOML"),
    "a number of 5000 digits": (b"a = " + b"9" * 5_000, "not readable as TOML"),
}


@pytest.mark.parametrize("name", WRONG)
def test_what_is_wrong_is_told_in_one_message(name: str) -> None:
    """Where, what, and what to do."""
    data, told = WRONG[name]

    with pytest.raises(CaseError, match=told) as caught:
        parse_description(data)

    assert len(str(caught.value)) < 400


def test_a_date_needs_no_quotes() -> None:
    """TOML has dates of its own; both ways of writing one are the same to us."""
    seen = b'[[alternatives]]\nname = "a"\nprice = "b"\nseen = 2026-03-14\n'

    assert parse_description(MINIMAL + seen).alternatives[0].seen == "2026-03-14"


def test_a_byte_order_mark_is_no_error() -> None:
    """Some editors put one at the start."""
    assert parse_description(b"\xef\xbb\xbf" + MINIMAL).title == "Skerrow 16"


EDITS: list[tuple[str, object, object]] = [
    ("title", "Skerrow 16", "Skerrow 16, the blue one"),
    ("specimen.make", "Skerrow", "Skerrow Ltd"),
    ("specimen.serial", "", "B 17"),
    ("specimen.serial", None, "B 17"),
    ("unit.charging_mode", 2, 3),
    ("unit.electronics", Electronics.UNKNOWN, Electronics.IN_CABLE),
    ("claims.plug", "", "schuko"),
    ("claims.words", ("waterproof", "fast"), ("waterproof", "fast", "new")),
    ("claims.words.0", "waterproof", "rainproof"),
    ("tester", "", "boatyard volunteers"),
    ("assumptions", (), ("the supply is sound",)),
    ("alternatives", (), (Alternative(name="a", price="90 GBP", claims=("c",)),)),
    ("conditions_of_use", None, [{"name": "pontoon"}]),
]


@pytest.mark.parametrize(("key", "old", "new"), EDITS, ids=[f"{key}-{old!r}" for key, old, _ in EDITS])
@pytest.mark.parametrize("ends", [b"\n", b"\r\n"], ids=["lf", "crlf"])
def test_an_edit_changes_one_value_and_keeps_all_comments(key: str, old: object, new: Any, ends: bytes) -> None:
    """All else is as it was, to the byte."""
    before = MINIMAL.replace(b"\n", ends)

    after = edit_description(before, key, old, new)

    value: Any = parse_description(after)
    for step in key.split("."):
        value = value[int(step)] if step.isdecimal() else getattr(value, step)
    expected = (
        tuple(ConditionOfUse(**row) if isinstance(row, dict) else row for row in new)
        if isinstance(new, (list, tuple))
        else new
    )
    assert value == expected
    assert [line.strip() for line in comments(after)] == [line.strip() for line in comments(before)]
    untouched = [
        line for line in before.split(ends) if key.split(".")[-1].encode() not in line and b'"fast"' not in line
    ]
    kept = after.split(ends)
    assert [line for line in untouched if line and line not in kept and b"waterproof" not in line] == []


def test_a_value_that_is_there_already_is_no_conflict() -> None:
    """Two who mean the same do not disturb each other; the file is not rewritten."""
    assert edit_description(MINIMAL, "title", "an earlier title", "Skerrow 16") == MINIMAL


def test_many_dots_in_a_text_are_no_key() -> None:
    """Only names joined by dots are."""
    dotted = b'question = "' + b"a.b. " * 500 + b"......" * 500 + b'"\n'

    assert parse_description(dotted + MINIMAL).question.startswith("a.b. ")


def test_a_row_is_as_seen_whether_or_not_its_defaults_are_written() -> None:
    """What an editor holds is a record with every field; the file may leave some out."""
    rows = b'[[alternatives]]\nname = "a"\nprice = "90 GBP"\n'
    seen = parse_description(MINIMAL + rows).alternatives
    wanted = (*seen, Alternative(name="b", price="70 GBP"))

    assert edit_description(MINIMAL + rows, "alternatives", seen, seen) == MINIMAL + rows
    assert parse_description(edit_description(MINIMAL + rows, "alternatives", seen, wanted)).alternatives == wanted


def test_an_edit_may_mend_a_description_that_is_not_valid() -> None:
    """The value that is wrong is seen as it stands."""
    wrong = MINIMAL.replace(b"mode = 2", b"mode = 7")

    assert edit_description(wrong, "unit.charging_mode", 7, 2) == MINIMAL
    with pytest.raises(ConflictError, match="is 7 by now"):
        edit_description(wrong, "unit.charging_mode", 3, 2)


def test_a_key_is_taken_out_and_stays_out() -> None:
    """None takes it out; a key that is not there stays so."""
    bare = MINIMAL.replace(b"# on the pack", b"")

    after = edit_description(bare, "claims.words", ["waterproof", "fast"], None)

    assert parse_description(after).claims.words == ()
    assert edit_description(after, "claims.words", ["waterproof"], None) == after


REFUSED_EDITS: list[tuple[str, object, object, type[Exception], str]] = [
    (
        "title",
        "Old",
        "New",
        ConflictError,
        "title was 'Old' when the edit began and is 'Skerrow 16' by now; 'New' was not",
    ),
    ("specimen.serial", "B 16", "B 17", ConflictError, "and is not there by now"),
    ("specimen.make", None, "Other", ConflictError, "make was None when the edit began and is 'Skerrow'"),
    ("specimen.seriel", None, "B 17", CaseError, "unknown key 'specimen.seriel': did you mean 'specimen.serial'?"),
    ("title.long", None, "x", CaseError, "'title.long' leads through 'title', which is a value"),
    ("title.long.more", None, "x", CaseError, "leads through 'title', which is a value"),
    ("claims.words.7", None, "x", CaseError, "'claims.words.7' cannot be set"),
    ("claims.words.last", None, "x", CaseError, "'claims.words.last' cannot be set"),
    ("", None, "x", CaseError, "unknown key"),
    ("unit.charging_mode", 2, 9, CaseError, "charging_mode is 9"),
    ("unit.charging_mode", 2, "two", CaseError, "valid integer"),
    ("unit.charging_mode", 2, object(), CaseError, "cannot be set"),
    ("specimen.make", "Skerrow", None, CaseError, "'specimen.make' is missing"),
    ("format", "coldpin.case/1", "coldpin.case/2", CaseError, "its format is"),
    ("title", "Skerrow 16", "a\0b", CaseError, r"title holds the character U\+0000"),
    (
        "claims.words",
        ["waterproof", "fast"],
        ["fast"],
        CaseError,
        "has comments between its lines, which would be lost",
    ),
    ("claims.words", ["waterproof", "fast"], None, CaseError, "has comments between its lines, which would be lost"),
]


@pytest.mark.parametrize(
    ("key", "old", "new", "family", "told"), REFUSED_EDITS, ids=[f"{row[0]}-{row[4][:20]}" for row in REFUSED_EDITS]
)
def test_an_edit_that_would_harm_is_refused(
    key: str, old: object, new: object, family: type[Exception], told: str
) -> None:
    """The file keeps what it has; the message tells both values, or what is not valid."""
    with pytest.raises(family, match=told):
        edit_description(MINIMAL, key, old, new)


@given(st.data())
def test_any_edit_of_any_description_changes_that_value_only(data: st.DataObject) -> None:
    """Old value in, new value out, every other key the same, and back again."""
    description = data.draw(descriptions)
    rendered = render_description(description)
    key = data.draw(st.sampled_from(["title", "specimen.serial", "claims.plug", "tester", "specimen.make"]))
    new = data.draw(text.filter(str.strip))
    *steps, last = key.split(".")
    holder: Any = getattr(description, steps[0]) if steps else description
    old = getattr(holder, last)

    after = edit_description(rendered, key, old, new)

    changed = dataclasses.replace(holder, **{last: new})
    assert parse_description(after) == (dataclasses.replace(description, **{steps[0]: changed}) if steps else changed)
    assert edit_description(after, key, new, old) == rendered


def test_a_conflict_keeps_both_values(case: Case) -> None:
    """One in the file, one in a private remark that the message names."""
    case.edit("specimen.serial", "", "B 17", who="Ada", now=NOW)

    with pytest.raises(ConflictError) as caught:
        case.edit("specimen.serial", "", "B 71", who="Bo", now=NOW)

    assert case.description().specimen.serial == "B 17"
    (kept,) = case.entries().entries
    assert (kept.kind, kept.shows, kept.who, kept.private) == (EntryKind.OBSERVATION, "remark", "Bo", True)
    assert kept.note.startswith("edit not applied: skerrow-16/case.toml: specimen.serial was '' when the edit began")
    assert "'B 71' was not written" in kept.note
    assert str(caught.value).endswith(f"both are kept, the second in entry {kept.id}")


def test_a_conflict_is_told_whoever_edits_and_however_long_the_value(case: Case) -> None:
    """Keeping the second value must not fail for reasons of its own."""
    with pytest.raises(ConflictError, match="both are kept"):
        case.edit("title", "another", "x\0" * 30_000, who=" ", now=NOW)

    (kept,) = case.entries().entries
    assert kept.who == "an editor without a name"
    assert kept.note.endswith("…")


def test_an_edit_by_hand_in_between_is_kept(case: Case) -> None:
    """Comments and values that a person wrote with an editor meanwhile stay."""
    path = case.folder / "case.toml"
    path.write_text(
        path.read_text(encoding="utf-8").replace('batch = ""', 'batch = "07"  # inside the lid'), encoding="utf-8"
    )

    after = case.edit("specimen.serial", "", "B 17", who="Ada", now=NOW)

    assert (after.specimen.serial, after.specimen.batch) == ("B 17", "07")
    assert "# inside the lid" in path.read_text(encoding="utf-8")


def test_a_new_case_has_its_folders_and_its_description(case: Case, description: CaseDescription) -> None:
    """As the design draws it."""
    assert sorted(path.name for path in case.folder.iterdir()) == sorted(
        ["case.toml", "entries", "evidence", "boards", "dialects", "cache", "report", "issued"]
    )
    assert case.description() == description
    assert open_case(case.folder) == case


def test_a_case_is_made_only_where_nothing_is(case: Case, tmp_path: Path, description: CaseDescription) -> None:
    """Neither over a case nor among other files."""
    with pytest.raises(CaseError, match="is a case already"):
        create_case(case.folder, description)
    (tmp_path / "holiday").mkdir()
    (tmp_path / "holiday" / "photo.jpg").write_bytes(b"x")
    with pytest.raises(CaseError, match=r"holds 'photo\.jpg' and is no case"):
        create_case(tmp_path / "holiday", description)
    with pytest.raises(CaseError, match=r"its format is 'coldpin\.case/0'"):
        create_case(tmp_path / "new", dataclasses.replace(description, format="coldpin.case/0"))
    assert not (tmp_path / "new").exists()
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(CaseError, match="is not a folder"):
        create_case(tmp_path / "file", description)


def test_what_is_no_case_is_not_opened(tmp_path: Path) -> None:
    """The message says what a case is."""
    with pytest.raises(CaseError, match=r"it has no case\.toml"):
        open_case(tmp_path)
    with pytest.raises(CaseError, match="is not a folder: give the folder of a case"):
        open_case(tmp_path / "nowhere")


def test_a_description_that_is_no_plain_file_of_decent_size_is_not_read(case: Case, tmp_path: Path) -> None:
    """A hundred megabytes, a link to elsewhere, a folder: one message each, and no memory is filled."""
    path = case.folder / "case.toml"
    path.unlink()
    with path.open("wb") as large:
        large.truncate(100 << 20)
    with pytest.raises(CaseError, match="has 104857600 bytes; at most 1048576 are read"):
        case.description()
    path.unlink()
    (tmp_path / "elsewhere.toml").write_bytes(MINIMAL)
    path.symlink_to(tmp_path / "elsewhere.toml")
    with pytest.raises(CaseError, match="is a link; only plain files are read"):
        case.edit("title", "Skerrow 16", "x", who="Ada", now=NOW)
    path.unlink()
    path.mkdir()
    with pytest.raises(CaseError, match="is a folder"):
        case.description()

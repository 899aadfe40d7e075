"""The shelf: cases, instruments, and how their captures are read; a bad case hides no other."""

from __future__ import annotations

import dataclasses
import os
import sys
from pathlib import Path

import pytest

from coldpin.casefile import Case, Shelf, create_case, create_shelf, open_shelf
from coldpin.casefile.instrument_checks import instrument_problems, statement_problems
from coldpin.errors import CaseError, ConflictError, InputError, UnknownName
from coldpin.records.case import CaseDescription
from coldpin.records.dialect import Dialect
from coldpin.records.instrument import Instrument

METER = Instrument(
    name="bench multimeter",
    kind="multimeter",
    calibrated="2026-01-20",
    statements={
        "resistance": "0.5 % + 2 digits on 200 Ω, resolution 0.1 Ω",
        "voltage": "0.3 % + 1 digit on 600 V, resolution 0.1 V",
    },
)


@pytest.fixture
def shelf(tmp_path: Path) -> Shelf:
    return create_shelf(tmp_path / "boatyard", "Brackwater Boatyard")


def test_a_new_shelf_is_empty(shelf: Shelf) -> None:
    """It has its title and says how to put an instrument on it."""
    assert shelf.description().title == "Brackwater Boatyard"
    assert shelf.cases().cases == ()
    assert shelf.cases().problems == ()
    assert shelf.instruments() == {}
    assert "# [instruments.meter]" in (shelf.folder / "shelf.toml").read_text(encoding="utf-8")


def test_the_example_on_a_new_shelf_can_be_used(shelf: Shelf) -> None:
    """Taking away the mark of a comment gives an instrument."""
    path = shelf.folder / "shelf.toml"
    lines = path.read_text(encoding="utf-8").splitlines()
    example = [
        line.removeprefix("# ") for line in lines if line.startswith("# [") or (line.startswith("#") and "=" in line)
    ]
    path.write_text("\n".join([*lines, *example]), encoding="utf-8")

    assert shelf.instrument("meter").calibrated == "2026-01-20"


def test_cases_are_found_in_the_order_of_their_names(shelf: Shelf, description: CaseDescription) -> None:
    """Only folders that are cases, not links to them, not hidden ones."""
    for name in ("skerrow-16", "dunmarr-32", "pellwick-20"):
        create_case(shelf.folder / name, dataclasses.replace(description, title=name))
    (shelf.folder / "photographs").mkdir()
    (shelf.folder / "again").symlink_to(shelf.folder / "skerrow-16")
    (shelf.folder / ".bin").mkdir()

    found = shelf.cases()

    assert [case.folder.name for case in found.cases] == ["dunmarr-32", "pellwick-20", "skerrow-16"]
    assert [case.description().title for case in found.cases] == ["dunmarr-32", "pellwick-20", "skerrow-16"]
    assert found.problems == ()


def test_a_bad_case_is_told_and_hides_no_other(shelf: Shelf, description: CaseDescription) -> None:
    """Broken description, a link for a description, a later format."""
    sound = create_case(shelf.folder / "skerrow-16", description)
    for name, text in (("broken", "title = "), ("later", 'format = "coldpin.case/7"')):
        (shelf.folder / name).mkdir()
        (shelf.folder / name / "case.toml").write_text(text, encoding="utf-8")
    (shelf.folder / "linked").mkdir()
    (shelf.folder / "linked" / "case.toml").symlink_to(sound.folder / "case.toml")

    found = shelf.cases()

    assert found.cases == (sound,)
    told = {problem.where: problem.what for problem in found.problems}
    assert set(told) == {"broken", "later", "linked"}
    assert "broken/case.toml, " in told["broken"]
    assert "this program reads 'coldpin.case/1'" in told["later"]
    assert "is a link" in told["linked"]


def test_an_instrument_comes_back_as_it_was(shelf: Shelf) -> None:
    """Under the name entries call it by, in the order of the file; comments of the file stay."""
    path = shelf.folder / "shelf.toml"
    path.write_text(path.read_text(encoding="utf-8") + "# our own note\n", encoding="utf-8")
    scope = Instrument(name="scope", kind="oscilloscope", note="lent by the harbour office")

    shelf.add_instrument("meter 1", METER)
    shelf.add_instrument("scope", scope)

    assert dict(shelf.instruments()) == {"meter 1": METER, "scope": scope}
    assert list(shelf.instruments()) == ["meter 1", "scope"]
    assert shelf.instrument("meter 1") == METER
    text = path.read_text(encoding="utf-8")
    assert "# our own note" in text
    assert text.startswith("# What the cases in this folder share.")


def test_an_accuracy_statement_that_cannot_be_read_is_refused(shelf: Shelf) -> None:
    """At the shelf, not after the measurement."""
    with pytest.raises(InputError, match="instrument 'meter', accuracy of resistance: "):
        shelf.add_instrument("meter", dataclasses.replace(METER, statements={"resistance": "very good"}))
    assert shelf.instruments() == {}


def test_the_same_instrument_again_is_no_conflict_but_another_is(shelf: Shelf) -> None:
    """Findings rest on an instrument's statements; they are not changed in passing."""
    shelf.add_instrument("meter", METER)
    shelf.add_instrument("meter", METER)

    with pytest.raises(ConflictError, match="instrument 'meter' is 'bench multimeter' already and stays so"):
        shelf.add_instrument("meter", dataclasses.replace(METER, serial="2"))
    assert shelf.instrument("meter") == METER


@pytest.mark.parametrize("name", ["", "../x", "a/b", ".", "a.", " a", "a\n", "x" * 61, "a:b"])
def test_an_instrument_has_a_name_that_can_be_a_file(shelf: Shelf, name: str) -> None:
    """Its dialect is kept under it."""
    with pytest.raises(CaseError, match="cannot be used: take up to 60 letters"):
        shelf.add_instrument(name, METER)
    with pytest.raises(CaseError, match="cannot be used"):
        shelf.remembered(name)


def test_an_unknown_instrument_lists_the_known(shelf: Shelf) -> None:
    """With the nearest."""
    shelf.add_instrument("meter", METER)

    with pytest.raises(UnknownName, match="unknown instrument 'metre'; did you mean 'meter'"):
        shelf.instrument("metre")
    with pytest.raises(UnknownName, match="unknown instrument 'scope'"):
        shelf.remember_dialect("scope", Dialect())


def test_how_an_instrument_writes_is_remembered(shelf: Shelf) -> None:
    """The last way counts."""
    shelf.add_instrument("meter", METER)
    assert shelf.remembered("meter") is None

    shelf.remember_dialect("meter", Dialect(delimiter=";"))
    shelf.remember_dialect("meter", Dialect(delimiter="\t", units={"CH1": "V"}, step=1e-6))

    assert shelf.remembered("meter") == Dialect(delimiter="\t", units={"CH1": "V"}, step=1e-6)


def test_what_is_remembered_can_be_damaged(shelf: Shelf) -> None:
    """It is told, with the file."""
    shelf.add_instrument("meter", METER)
    shelf.remember_dialect("meter", Dialect())
    (shelf.folder / "dialects" / "meter.json").write_bytes(b'{"delimiter": 3}')

    with pytest.raises(CaseError, match=r"dialects/meter\.json: delimiter: input should be a valid string"):
        shelf.remembered("meter")


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("title = ", "boatyard/shelf.toml, "),
        ('title = "x"', 'format\' is missing: add format = "coldpin.shelf/1"'),
        ('format = "coldpin.shelf/1"\n', "key 'title' is missing"),
        ('format = "coldpin.shelf/1"\ntitle = "x"\n[instruments.a]\nname = "a"\n', "'instruments.a.kind' is missing"),
        (
            'format = "coldpin.shelf/1"\ntitle = "x"\n[instruments.a]\nname = "a"\nkind = "b"\nmodle = "c"\n',
            "did you mean 'instruments.a.model'?",
        ),
        (
            'format = "coldpin.shelf/1"\ntitle = "x"\n[instruments."../a"]\nname = "a"\nkind = "b"\n',
            "instrument name '../a' cannot be used",
        ),
    ],
)
def test_a_bad_shelf_file_is_told_and_hides_no_case(
    shelf: Shelf, description: CaseDescription, text: str, told: str
) -> None:
    """Instruments cannot be read; the cases can."""
    create_case(shelf.folder / "skerrow-16", description)
    (shelf.folder / "shelf.toml").write_text(text, encoding="utf-8")

    with pytest.raises(CaseError, match="shelf") as caught:
        shelf.instruments()
    assert told in str(caught.value)
    assert len(shelf.cases().cases) == 1
    before = (shelf.folder / "shelf.toml").read_bytes()
    with pytest.raises(CaseError):
        shelf.add_instrument("meter", METER)
    assert (shelf.folder / "shelf.toml").read_bytes() == before


def test_any_folder_of_cases_is_a_shelf(case: Case) -> None:
    """Without its file it has no instruments until one is added."""
    shelf = open_shelf(case.folder.parent)

    assert shelf.cases().cases == (case,)
    assert shelf.instruments() == {}
    shelf.add_instrument("meter", METER)
    assert shelf.instruments() == {"meter": METER}
    assert shelf.description().title == case.folder.parent.name


def test_what_is_no_shelf_is_not_opened_or_made(case: Case, shelf: Shelf, tmp_path: Path) -> None:
    """A case, a missing folder, a shelf that is there."""
    with pytest.raises(CaseError, match="is a case, not a shelf: give the folder above it"):
        open_shelf(case.folder)
    with pytest.raises(CaseError, match="is not a folder"):
        open_shelf(tmp_path / "nowhere")
    with pytest.raises(CaseError, match="is a shelf already"):
        create_shelf(shelf.folder, "again")
    with pytest.raises(CaseError, match="a shelf is a folder of cases"):
        create_shelf(case.folder, "x")


def test_dialects_are_kept_by_the_hash_of_the_capture(case: Case) -> None:
    """In the case, and only under a hash."""
    assert case.dialect_for("a" * 64) is None
    case.store_dialect("a" * 64, Dialect(delimiter=";", decimal_char=","))

    assert case.dialect_for("a" * 64) == Dialect(delimiter=";", decimal_char=",")
    for bad in ("", "../x", "A" * 64):
        with pytest.raises(CaseError, match="is not a sha256"):
            case.store_dialect(bad, Dialect())


def test_what_cannot_be_read_of_an_instrument_is_told_with_its_place(shelf: Shelf) -> None:
    """Each statement, when the shelf is read; the other instruments stay, and so does what is said of this one."""
    with (shelf.folder / "shelf.toml").open("a", encoding="utf-8") as file:
        file.write(
            '[instruments.meter]\nname = "m"\nkind = "multimeter"\n'
            'statements = { resistance = "0,5 % + 2 digits", voltage = "0,5 % + 2 digits, resolution 0,1 V" }\n'
            '[instruments.scope]\nname = "s"\nkind = "oscilloscope"\n'
            'statements = { bandwidth = "wide", voltage = "1 % of reading" }\n'
        )
    told = statement_problems(shelf.instruments())

    assert [one.where for one in told] == ["shelf.toml", "shelf.toml"]
    assert told[0].what.startswith("instrument 'meter', accuracy of resistance: accuracy statement '0,5 % + 2 digits'")
    assert "such as 'resolution 0.1 V'" in told[0].what
    assert told[1].what.startswith("instrument 'scope', accuracy of bandwidth: ")
    assert shelf.instrument("scope").statements["voltage"] == "1 % of reading"


@pytest.mark.skipif(sys.platform != "linux", reason="other file systems refuse such names by themselves")
@pytest.mark.parametrize("name", [b"caf\xe9", b"two\nlines", b"bell\x07"])
def test_a_folder_whose_name_is_no_text_is_told_and_hides_no_other(
    shelf: Shelf, description: CaseDescription, name: bytes
) -> None:
    """It can be neither linked to nor printed."""
    create_case(shelf.folder / "skerrow-16", description)
    odd = Path(os.fsdecode(os.fsencode(shelf.folder) + b"/" + name))
    create_case(odd, description)
    found = shelf.cases()
    assert [case.folder.name for case in found.cases] == ["skerrow-16"]
    (told,) = found.problems
    assert told.what == "the name of the folder holds what cannot be printed: rename it"
    told.where.encode()
    with pytest.raises(UnknownName, match="unknown case 'other'"):
        shelf.case("other")
    with pytest.raises(CaseError, match="rename it"):
        shelf.case(odd.name)
    assert shelf.case("skerrow-16").folder == shelf.folder / "skerrow-16"


def test_an_accuracy_under_a_name_that_nothing_asks_for_is_refused(shelf: Shelf) -> None:
    """With the name that was meant, and all that there are."""
    for name, meant in (("Ohms", "resistance"), ("DC voltage", "voltage")):
        with pytest.raises(CaseError, match=f"'{name}'; did you mean '{meant}'\\? Known: bandwidth, capacitance, "):
            shelf.add_instrument("meter", dataclasses.replace(METER, statements={name: "1 %"}))
    assert shelf.instruments() == {}


def test_a_name_written_by_hand_that_nothing_asks_for_is_told_and_stays(shelf: Shelf) -> None:
    """The file opens, the other statements hold, and the one line says which name was meant."""
    with (shelf.folder / "shelf.toml").open("a", encoding="utf-8") as file:
        file.write('[instruments.meter]\nname = "m"\nkind = "k"\nstatements = { Ohms = "1 %", voltage = "1 %" }\n')
    (told,) = instrument_problems(shelf.instruments())

    assert (told.where, told.what.partition(" Known")[0]) == (
        "shelf.toml",
        "instrument 'meter': nothing asks for the accuracy of 'Ohms'; did you mean 'resistance'?",
    )
    assert dict(shelf.instrument("meter").statements) == {"Ohms": "1 %", "voltage": "1 %"}


@pytest.mark.parametrize("day", ["2026-13-45", "20.1.2026", "2026-02-30", "20260120", "last spring"])
def test_a_day_of_calibration_that_is_none_is_refused(shelf: Shelf, day: str) -> None:
    """One that a file holds is told, and the shelf opens."""
    with pytest.raises(CaseError, match="write year, month and day, such as 2026-01-20"):
        shelf.add_instrument("meter", dataclasses.replace(METER, calibrated=day))
    with (shelf.folder / "shelf.toml").open("a", encoding="utf-8") as file:
        file.write(f'[instruments.meter]\nname = "m"\nkind = "k"\ncalibrated = "{day}"\n')
    (told,) = instrument_problems(shelf.instruments())
    assert told.what.startswith(f"instrument 'meter': calibrated on '{day}', ")


WRITTEN = """\
format = "coldpin.shelf/1"
title = "quay"
# ours
[instruments."meter 1.2"]
name = "bench multimeter"  # the blue one
kind = "multimeter"
calibrated = 2026-01-20
statements = { Ohms = "1 %", voltage = "1 %" }  # from the leaflet
"""


def test_of_an_instrument_what_is_changed_is_written_and_nothing_else(shelf: Shelf) -> None:
    """Comments stay, and so does what cannot be used and was not touched; what another changed elsewhere holds too."""
    path = shelf.folder / "shelf.toml"
    path.write_text(WRITTEN, encoding="utf-8")
    seen = shelf.instrument("meter 1.2")
    mine = dataclasses.replace(seen, calibrated="2026-03-01", statements={**seen.statements, "current": "2 %"})
    theirs = dataclasses.replace(seen, serial="7", statements={"Ohms": "1 %"})

    shelf.edit_instrument("meter 1.2", seen, mine)
    before, after = shelf.edit_instrument("meter 1.2", seen, theirs)

    assert (before.calibrated, after.calibrated, after.serial) == ("2026-03-01", "2026-03-01", "7")
    assert dict(after.statements) == {"Ohms": "1 %", "current": "2 %"}
    assert shelf.instrument("meter 1.2") == after
    text = path.read_text(encoding="utf-8")
    assert all(f"# {said}" in text for said in ("ours", "the blue one", "from the leaflet"))


def test_what_two_change_of_an_instrument_is_told_to_the_second(shelf: Shelf) -> None:
    """The first stays, and nothing of the second is written."""
    shelf.add_instrument("meter", METER)
    shelf.edit_instrument("meter", METER, dataclasses.replace(METER, serial="7"))
    held = (shelf.folder / "shelf.toml").read_bytes()
    with pytest.raises(ConflictError, match=r"serial was '.*' when the edit began and is '7' by now, so that '8' was"):
        shelf.edit_instrument("meter", METER, dataclasses.replace(METER, serial="8", note="lent"))
    with pytest.raises(CaseError, match="did you mean 'voltage'"):
        shelf.edit_instrument("meter", METER, dataclasses.replace(METER, statements={"Volts": "1 %"}))
    assert (shelf.folder / "shelf.toml").read_bytes() == held


def test_where_a_comment_would_be_lost_the_file_to_edit_is_named(shelf: Shelf) -> None:
    """It is as it was."""
    path = shelf.folder / "shelf.toml"
    by_hand = (
        '[instruments.meter]\nname = "m"\nkind = "k"\n[instruments.meter.statements]\nvoltage = "1 %"  # guessed\n'
    )
    path.write_text(path.read_text(encoding="utf-8") + by_hand, encoding="utf-8")
    seen = shelf.instrument("meter")
    with pytest.raises(CaseError, match=r"a comment beside it would be lost\): edit .*/shelf.toml by hand"):
        shelf.edit_instrument("meter", seen, dataclasses.replace(seen, statements={}))
    assert shelf.instrument("meter") == seen

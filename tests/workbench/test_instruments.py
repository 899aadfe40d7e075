"""The instruments of a shelf: listed with how their files were read, put there, refused in words."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

from coldpin.casefile import open_case
from coldpin.cli import main
from coldpin.errors import CaseError, ConflictError, InputError
from coldpin.workbench import record
from coldpin.workbench.instruments import add_instrument, edit_instrument, list_instruments, uses_of
from tests.workbench.quay import INSTRUMENTS, fill, make_case, make_shelf


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    """A shelf with two instruments."""
    return make_shelf(tmp_path / "shelf")


def test_instruments_are_listed_with_how_their_files_were_read(shelf: Path, tmp_path: Path) -> None:
    """Nothing before the first capture; then the way it was read, for the instrument it came from alone."""
    before = list_instruments(shelf)
    assert {one.name: one.instrument for one in before.instruments} == INSTRUMENTS
    assert [(one.captures, one.logs) for one in before.instruments] == [((), ())] * len(INSTRUMENTS)
    fill(make_case(shelf), tmp_path)
    ways = {one.name: dict(one.captures) for one in list_instruments(shelf).instruments}
    assert {"voltage column", "time column"} <= set(ways["scope"])
    assert ways["meter"] == {}


def test_a_way_that_cannot_be_read_is_told_and_hides_no_instrument(shelf: Path, tmp_path: Path) -> None:
    """The others are listed all the same."""
    fill(make_case(shelf), tmp_path)
    (shelf / "dialects" / "scope.json").write_text("{", encoding="utf-8")
    listed = list_instruments(shelf)
    assert [one.name for one in listed.instruments] == list(INSTRUMENTS)
    assert [problem.where for problem in listed.problems] == ["dialect of scope"]


def test_an_instrument_is_put_on_the_shelf(shelf: Path) -> None:
    """As it was given; one of the same name stays, and what cannot be read leaves the file as it was."""
    made = add_instrument(
        shelf, "tongs", title="current clamp", kind="clamp", statements={"current": "2 % + 5 digits, resolution 0.01 A"}
    )
    assert list_instruments(shelf).instruments[-1] == made
    held = (shelf / "shelf.toml").read_bytes()
    with pytest.raises(ConflictError, match="is 'current clamp' already"):
        add_instrument(shelf, "tongs", title="another", kind="clamp")
    with pytest.raises(InputError, match="nonsense"):
        add_instrument(shelf, "second", title="second clamp", kind="clamp", statements={"current": "2 % + nonsense"})
    with pytest.raises(CaseError, match="needs a name in words and a kind"):
        add_instrument(shelf, "third", title=" ", kind="clamp")
    assert (shelf / "shelf.toml").read_bytes() == held


def test_an_instrument_calibrated_on_a_day_to_come_is_refused(shelf: Path) -> None:
    """One that the file holds is told, and stays."""
    with pytest.raises(CaseError, match="'2999-01-01' is yet to come: today is "):
        add_instrument(shelf, "tongs", title="current clamp", kind="clamp", calibrated="2999-01-01")
    with (shelf / "shelf.toml").open("a", encoding="utf-8") as file:
        file.write('[instruments.tongs]\nname = "t"\nkind = "clamp"\ncalibrated = "2999-01-01"\n')
    listed = list_instruments(shelf)
    assert "is yet to come" in listed.problems[0].what
    assert listed.instruments[-1].instrument.calibrated == "2999-01-01"


def test_accuracy_is_changed_for_what_was_read_only_where_that_is_said(shelf: Path) -> None:
    """Then each case that was read with it has a remark of what was changed."""
    case, other = make_case(shelf), make_case(shelf, "pellwick-20")
    record(case, shows="earth resistance", who="Ines", readings=("52 mΩ",), instrument="meter")
    seen = INSTRUMENTS["meter"]
    wanted = dataclasses.replace(seen, statements={**seen.statements, "resistance": "0.3 %"})
    held = (shelf / "shelf.toml").read_bytes()

    assert [(use.case, use.entries) for use in uses_of(shelf, "meter")] == [("skerrow-16", 1)]
    with pytest.raises(CaseError, match=r"'meter' was read in skerrow-16 \(1 entry\), .*on the shelf under a new name"):
        edit_instrument(shelf, "meter", seen, wanted)
    assert (shelf / "shelf.toml").read_bytes() == held
    edit_instrument(shelf, "meter", seen, wanted, who="Piet", before_too=True)

    (remark,) = [entry for entry in open_case(case).effective().entries if entry.shows == "remark"]
    assert remark.who == "Piet"
    assert "accuracy of resistance: '0.8 % + 2 digits, resolution 1 mΩ' before, '0.3 %' now." in remark.note
    assert open_case(other).effective().entries == ()


def test_a_note_on_an_instrument_moves_no_finding_and_is_told_nowhere(shelf: Path) -> None:
    """A serial number is told; neither has to be said to hold for what was read before."""
    case = make_case(shelf)
    record(case, shows="earth resistance", who="Ines", readings=("52 mΩ",), instrument="meter")
    seen = INSTRUMENTS["meter"]
    noted = edit_instrument(shelf, "meter", seen, dataclasses.replace(seen, note="lent")).instrument
    assert len(open_case(case).effective().entries) == 1
    edit_instrument(shelf, "meter", noted, dataclasses.replace(noted, serial="7"))
    remark = open_case(case).effective().entries[-1]
    assert (remark.who, remark.note) == (
        "Ines",
        "instrument 'meter' was changed on the shelf: serial: nothing before, '7' now.",
    )


def test_a_name_in_the_file_that_nothing_asks_for_is_told_by_commands_and_lets_no_slip_pass(
    shelf: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was read is written down all the same; what no check could use is refused as ever."""
    case = make_case(shelf)
    path = shelf / "shelf.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("\nresistance =", "\nOhms ="), encoding="utf-8")
    written = ["record", str(case), "52 mΩ", "--shows", "earth resistance", "--who", "Ines", "--instrument", "meter"]
    assert main(written) == 3
    told = capsys.readouterr().err
    assert "could not be used: shelf.toml: instrument 'meter': nothing asks for the accuracy of 'Ohms'; did you" in told
    assert "Traceback" not in told
    assert len(open_case(case).entries().entries) == 1
    with pytest.raises(CaseError, match="is not below 0"):
        record(case, shows="earth resistance", who="Ines", readings=("-5 Ω ± 0.1 Ω",))

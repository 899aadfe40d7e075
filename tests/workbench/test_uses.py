"""The uses from end to end: a case is made, filled, corrected, assessed, written and published."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from coldpin.casefile import new_entry, open_case, open_shelf
from coldpin.errors import CaptureError, CaseError, InputError, Interrupted, UnknownName
from coldpin.records.assessment import Assessment
from coldpin.records.case import OwnConstant
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Outcome, Standing
from coldpin.records.plain import from_json, to_json
from coldpin.standards.editions import Edition
from coldpin.workbench import (
    add_evidence,
    assess,
    correct,
    find_sources,
    look_at_pilot,
    new_case,
    publish,
    record,
    write_report,
)
from tests.pdf_reading import page_texts
from tests.workbench.quay import SECRET, at, capture_text, fill, make_case, make_shelf


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """An empty case on a shelf."""
    return make_case(make_shelf(tmp_path / "shelf"))


@pytest.fixture
def filled(case: Path, tmp_path: Path) -> dict[str, Entry]:
    """What was put into the case."""
    return fill(case, tmp_path)


def finding(assessment: Assessment, name: str) -> Finding:
    return next(one for one in assessment.findings if one.id == name)


def filed_name(entry: Entry) -> str:
    assert entry.evidence is not None
    return entry.evidence.file


def files_below(folder: Path) -> dict[str, str]:
    """Every file with its hash."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


@pytest.mark.independent("virtual unit of nominal parts: 26.67 % is 16 A")
def test_what_was_recorded_is_found_in_the_assessment(case: Path, filled: dict[str, Entry]) -> None:
    """Readings, capture and claims arrive at findings that name their entries; nothing is a problem."""
    assessment = assess(case)

    assert assessment.problems == ()
    assert finding(assessment, "earth-resistance.value").evidence == (filled["earth"].id,)
    duty = finding(assessment, "pilot-duty.value")
    assert (duty.outcome, duty.evidence) == (Outcome.WITHIN, (filled["capture"].id,))
    assert duty.quantity is not None
    assert duty.quantity.value == pytest.approx(26.67, abs=0.1)
    (capture,) = assessment.pilot
    assert (capture.entry, capture.file) == (filled["capture"].id, filed_name(filled["capture"]))
    assert ("decimal sign", ",") in capture.dialect
    assert [limit.id for limit in assessment.limits] == sorted(limit.id for limit in assessment.limits)


def test_assessing_writes_nothing(case: Path, filled: dict[str, Entry]) -> None:
    """An assessment only reads."""
    before = files_below(case.parent)
    assess(case)

    assert files_below(case.parent) == before


@pytest.mark.hand("the last entry is of 2026-05-02")
def test_the_assessment_is_dated_by_the_case(case: Path, filled: dict[str, Entry]) -> None:
    """Not by the clock: the day of the last entry, and nothing where there is none."""
    assert assess(case).assessed_on == "2026-05-02"
    assert assess(make_case(case.parent, "empty")).assessed_on == ""


def test_what_is_private_is_in_no_report(case: Path, filled: dict[str, Entry]) -> None:
    """Neither in the record, nor in any file of report/ or issued/, its entry's id included."""
    written = write_report(case)
    issue = publish(case, on="2026-05-30")

    assert filled["private"].id in {entry.id for entry in open_case(case).entries().entries}
    assert filled["private"].id not in {entry.id for entry in written.assessment.entries}
    looked_at = [path for folder in (case / "report", issue.folder) for path in folder.rglob("*") if path.is_file()]
    assert {path.suffix for path in looked_at} == {".json", ".html", ".pdf", ".svg", ".png"}
    for path in looked_at:
        if path.suffix == ".png":
            continue  # drawn from what the SVG says
        data = path.read_bytes()
        text = " ".join(page_texts(data)) if path.suffix == ".pdf" else data.decode("utf-8")
        assert "Skerrow" in text or path.name == "changes.json"
        assert SECRET not in text
        assert "KESTREL" not in text
        assert filled["private"].id not in text


def test_a_private_capture_is_neither_drawn_nor_named(case: Path, tmp_path: Path) -> None:
    """A capture that is kept back leaves no picture, file name or entry."""
    file = tmp_path / "hidden-name.csv"
    file.write_bytes(capture_text())
    add_evidence(case, file, shows="pilot capture", who="Ines", private=True, made=at(0), now=at(1))
    written = write_report(case)

    assert written.assessment.pilot == ()
    assert "pilot-duty" in {item.check for item in written.assessment.not_tested}
    assert "hidden-name" not in written.record.read_text(encoding="utf-8")
    assert "hidden-name" not in written.page.read_text(encoding="utf-8")


def test_nothing_is_concluded_from_a_private_reading(case: Path, filled: dict[str, Entry]) -> None:
    """A reader could not walk back to it: it gives no finding, its number is said, and the case can be published."""
    hidden = record(
        case,
        shows="earth resistance",
        who="Ines",
        readings=("51 mΩ",),
        instrument="meter",
        private=True,
        made=at(10),
        now=at(11),
    )
    assessment = write_report(case).assessment

    assert finding(assessment, "earth-resistance.value").evidence == (filled["earth"].id,)
    (problem,) = assessment.problems
    assert problem.what.startswith("1 of them hold what a check could use")
    assert hidden.id not in (publish(case, on="2026-05-30").folder / "assessment.json").read_text(encoding="utf-8")


def test_a_private_file_that_was_changed_is_told_without_its_name(case: Path, tmp_path: Path) -> None:
    """That something private could not be used is said; which, is not."""
    file = tmp_path / "quiet-lane.txt"
    file.write_text("letter", encoding="utf-8")
    filed = add_evidence(case, file, shows="document", who="Ines", private=True, made=at(0), now=at(1)).entry
    (case / "evidence" / filed_name(filed)).unlink()
    written = write_report(case)

    assert [problem.where for problem in written.assessment.problems] == ["a private entry"]
    for path in (written.record, written.page):
        text = path.read_text(encoding="utf-8")
        assert "quiet-lane" not in text
        assert filed.id not in text


def test_the_written_record_is_the_assessment(case: Path, filled: dict[str, Entry]) -> None:
    """What is on the disk reads back as the record; the page and the PDF stand beside it."""
    written = write_report(case)
    text = written.record.read_text(encoding="utf-8")

    assert to_json(from_json(Assessment, text, where=written.record.name)) == text == to_json(assess(case))
    assert {path.name for path in (case / "report").iterdir()} == {
        "assessment.json",
        "report.html",
        "report.pdf",
        "summary.png",
        "summary.svg",
    }


def test_evidence_that_was_changed_is_told(case: Path, filled: dict[str, Entry]) -> None:
    """A file that no longer has its hash is a problem; the rest of the case is assessed all the same."""
    path = case / "evidence" / filed_name(filled["capture"])
    path.chmod(0o644)
    path.write_bytes(path.read_bytes() + b"0;0\n")
    assessment = assess(case)

    (problem,) = assessment.problems
    assert problem.where == f"evidence/{path.name}"
    assert "it was changed since; put the original back" in problem.what
    assert finding(assessment, "earth-resistance.value")


def test_evidence_that_is_gone_is_told(case: Path, filled: dict[str, Entry]) -> None:
    """Without its file a capture gives no finding, and the reason is said."""
    (case / "evidence" / filed_name(filled["capture"])).unlink()
    assessment = assess(case)

    assert any(filed_name(filled["capture"]) in problem.what for problem in assessment.problems)
    assert assessment.pilot == ()
    assert "pilot-duty" in {item.check for item in assessment.not_tested}


def test_a_correction_changes_the_finding_and_both_remain(case: Path, filled: dict[str, Entry]) -> None:
    """Digits swapped: 0.51 Ω is beyond, 51 mΩ is within; the entry and its correction both are shown."""
    assert finding(assess(case), "earth-resistance.value").outcome is Outcome.BEYOND
    earth = filled["earth"]
    fixed = correct(case, earth.id, who="Tomas", reason="digit slipped", readings=("51 mΩ", "51 mΩ"), now=at(30))
    assessment = assess(case)

    found = finding(assessment, "earth-resistance.value")
    assert (found.outcome, found.evidence) == (Outcome.WITHIN, (fixed.id,))
    assert fixed.replaces == earth.id
    assert {earth.id, fixed.id} <= {entry.id for entry in assessment.entries}
    assert {entry.id: entry.readings for entry in assessment.entries}[earth.id] == ("510 mΩ", "512 mΩ")


def test_a_withdrawn_reading_counts_no_more(case: Path, filled: dict[str, Entry]) -> None:
    """The check falls back to not tested."""
    correct(case, filled["earth"].id, who="Ines", reason="wrong lead", withdraw=True, now=at(30))

    assert "earth-resistance" in {item.check for item in assess(case).not_tested}


def test_a_correction_that_changes_nothing_is_refused(case: Path, filled: dict[str, Entry]) -> None:
    """The message says what to give; nothing is written."""
    before = files_below(case)
    with pytest.raises(
        InputError, match=r"nothing to correct in entry .*: give what is to be different, or withdraw it"
    ):
        correct(case, filled["earth"].id, who="Ines", reason="again")

    assert files_below(case) == before


def test_an_own_constant_takes_the_place_of_ours_and_is_said(case: Path, filled: dict[str, Entry]) -> None:
    """The limit of the case is used, with its source and standing, and the constant it replaced is not."""
    own = OwnConstant(id="touch.ac", source="own copy of the standard", standing="standard", maximum=1.0)
    assert finding(assess(case), "live-pins.uncoupled").outcome is Outcome.WITHIN
    open_case(case).edit("constants", (), (own,), who="Ines", now=at(20))
    assessment = assess(case)

    found = finding(assessment, "live-pins.uncoupled")
    assert found.outcome is Outcome.BEYOND
    assert found.limit is not None
    assert (found.limit.maximum, found.limit.standing) == (1.0, Standing.STANDARD)
    assert "own copy of the standard" in found.limit.source
    assert assessment.case.constants == (own,)
    assert "own copy of the standard" in write_report(case).page.read_text(encoding="utf-8")
    assert find_sources("touch.ac", case=case)[0].maximum == 1.0
    assert find_sources("touch.ac")[0].maximum != 1.0


def test_the_edition_can_be_chosen_in_the_case(case: Path, filled: dict[str, Entry]) -> None:
    """What case.toml says is used; an unknown one is an error that lists the known."""
    usual = assess(case).edition
    other = next(edition for edition in Edition if edition != usual)
    open_case(case).edit("unit.edition", "", str(other), who="Ines", now=at(20))
    assessment = assess(case)

    assert assessment.edition == other
    assert {capture.edition for capture in assessment.pilot} == {str(other)}
    open_case(case).edit("unit.edition", str(other), "iec-9", who="Ines", now=at(21))
    with pytest.raises(
        InputError, match=r"unit\.edition = 'iec-9': known editions are iec-2, iec-3, sae; leave it out"
    ):
        assess(case)


def test_a_quick_look_writes_nothing(tmp_path: Path) -> None:
    """Neither beside the file nor anywhere below its folder."""
    file = tmp_path / "steps.csv"
    file.write_bytes(capture_text())
    before = files_below(tmp_path)
    look = look_at_pilot(file, vertical="1 % of reading + 0.05 V", timebase="50 ppm")

    assert files_below(tmp_path) == before
    assert [run.state.value for run in look.reading.runs] == ["A1", "B1", "C2", "B2"]
    assert look.dialect.decimal_char == ","


def test_a_second_issue_is_refused_until_something_is_new(case: Path, filled: dict[str, Entry]) -> None:
    """The same again is no issue; after a new entry the next one says what changed."""
    first = publish(case, on="2026-05-30")
    kept = files_below(first.folder)
    with pytest.raises(CaseError, match="issue 01 says the same already: there is nothing new to publish"):
        publish(case, on="2026-06-01")
    correct(case, filled["earth"].id, who="Tomas", reason="digit slipped", readings=("51 mΩ",), now=at(30))
    second = publish(case, on="2026-06-02")

    assert (first.number, second.number) == ("01", "02")
    assert first.changes == ("This is the first issue.",)
    assert "Entries added: 1, 1 of them corrections." in second.changes
    assert f"Entry {filled['earth'].id} (earth resistance) was corrected: “digit slipped”" in second.changes
    assert any("beyond" in line and "within" in line for line in second.changes)
    assert files_below(first.folder) == kept
    page = (second.folder / "report.html").read_text(encoding="utf-8")
    assert "2 June 2026" in page or "2026-06-02" in page
    assert "digit slipped" in page


def test_a_word_that_is_not_known_lists_those_that_are(case: Path) -> None:
    """The closed vocabulary is told, and nothing is written."""
    before = files_below(case)
    with pytest.raises(UnknownName, match=r"unknown word .* 'earth resistence'; did you mean 'earth resistance'\?"):
        record(case, shows="earth resistence", who="Ines", readings=("1 Ω",))

    assert files_below(case) == before


@pytest.mark.parametrize(
    ("text", "named"), [("0.11 rabbits", "rabbits"), ("12 V", "voltage"), ("1,2.3,4 Ω", "1,2.3,4")]
)
def test_a_reading_that_cannot_be_read_is_not_written(case: Path, text: str, named: str) -> None:
    """The text is named, the entry is refused."""
    before = files_below(case)
    with pytest.raises(InputError, match=f"reading 1: .*{named}"):
        record(case, shows="earth resistance", who="Ines", readings=(text,))

    assert files_below(case) == before


def test_an_instrument_that_is_not_on_the_shelf_is_refused_at_once(case: Path, tmp_path: Path) -> None:
    """For readings and for captures alike: those that stand there are listed, nothing is written."""
    file = tmp_path / "steps.csv"
    file.write_bytes(capture_text())
    before = files_below(case)
    with pytest.raises(CaseError, match=r"instrument 'metre' is not on the shelf \(known: meter, scope\)"):
        record(case, shows="earth resistance", who="Ines", readings=("0.1 Ω",), instrument="metre")
    with pytest.raises(CaseError, match=r"instrument 'scoop' is not on the shelf \(known: meter, scope\)"):
        add_evidence(case, file, shows="pilot capture", who="Ines", instrument="scoop")

    assert files_below(case) == before


@pytest.mark.parametrize("word", ["output with nothing connected", "output in state B", "output in state C"])
def test_a_reading_at_extra_low_voltage_asks_for_its_supply_voltage_at_once(case: Path, word: str) -> None:
    """Without it nobody could use the reading: it is refused, by a correction too, and taken once it is there."""
    low = {"supply": "extra-low voltage"}
    with pytest.raises(CaseError, match=rf"entry '{word}': taken at extra-low voltage, .* add it \(--supply-voltage\)"):
        record(case, shows=word, who="Ines", readings=("12 V",), instrument="meter", conditions=low, made=at(0))
    assert open_case(case).entries().entries == ()
    kept = record(
        case, shows=word, who="Ines", readings=("12 V",), conditions=low, supply_voltage="12 V", made=at(0), now=at(1)
    )

    corrected = correct(case, kept.id, who="Ines", reason="read again", supply_voltage="24 V", now=at(2))
    assert corrected.supply_voltage == "24 V"


def test_an_entry_that_cannot_be_used_costs_itself_only(case: Path) -> None:
    """A file written by hand without its supply voltage: the pins that were live on the mains stay live."""
    live = record(
        case,
        shows="output with nothing connected",
        who="Ines",
        readings=("231 V",),
        instrument="meter",
        conditions={"supply": "mains", "input": "low impedance"},
        made=at(0),
        now=at(1),
    )
    before = assess(case)
    low = new_entry(
        EntryKind.READING,
        "output in state B",
        "Ines",
        at(2),
        recorded=at(3),
        readings=("12 V",),
        conditions={"supply": "extra-low voltage"},
    )
    open_case(case).append(low)
    after = assess(case)

    assert "advised against" in before.conclusion.headline.text
    assert after.conclusion.headline.text.startswith(before.conclusion.headline.text)
    assert "not used" in after.conclusion.headline.text
    assert finding(after, "live-pins.uncoupled").evidence == (live.id,)
    assert [problem.where for problem in after.problems] == [f"entry {low.id}"]
    assert "supply voltage is not recorded" in after.problems[0].what


def test_a_new_case_makes_the_shelf_where_instruments_are_written(tmp_path: Path) -> None:
    """With an example in it; a shelf that is there stays as it is."""
    shelf = make_case(tmp_path / "boatyard").parent / "shelf.toml"
    assert "# [instruments.meter]" in shelf.read_text(encoding="utf-8")
    own = shelf.read_text(encoding="utf-8") + "# ours\n"
    shelf.write_text(own, encoding="utf-8")
    make_case(tmp_path / "boatyard", "pellwick-20")

    assert shelf.read_text(encoding="utf-8") == own


def test_without_a_shelf_there_is_no_instrument(tmp_path: Path) -> None:
    """The message names the file that is missing; nothing is written."""
    case = make_case(tmp_path / "boatyard")
    (case.parent / "shelf.toml").unlink()
    before = files_below(case)
    with pytest.raises(
        CaseError, match=r"instrument 'meter' is not on the shelf: there is no .*shelf\.toml; 'coldpin new'"
    ):
        record(case, shows="earth resistance", who="Ines", readings=("0.1 Ω",), instrument="meter")

    assert files_below(case) == before


def test_pairs_of_a_map_are_written_as_the_check_reads_them(case: Path) -> None:
    """Blanks around the sign are not asked for; a pin that such a unit lacks is refused at the bench, not later."""
    entry = record(case, shows="wiring map", who="Ines", pairs={"L>L1": "open", "PE  >PE": "joined"})
    corrected = correct(case, entry.id, who="Ines", reason="misread", pairs={"L>L1": "joined"})
    before = files_below(case)
    with pytest.raises(UnknownName, match="unknown pair 'L > L3'; such a unit has: L > L1, L > N, L > PE"):
        record(case, shows="wiring map", who="Ines", pairs={"L>L3": "open"})
    with pytest.raises(CaseError, match="pair 'L > N' is given twice: keep one"):
        record(case, shows="wiring map", who="Ines", pairs={"L>N": "open", "L > N": "joined"})

    assert entry.pairs == {"L > L1": "open", "PE > PE": "joined"}
    assert corrected.pairs == {"L > L1": "joined", "PE > PE": "joined"}
    assert files_below(case) == before


def test_an_entry_is_corrected_once_and_then_its_correction(case: Path) -> None:
    """Two corrections of one entry would contradict each other: the message names the one that stands."""
    first = record(case, shows="earth resistance", who="Ines", readings=("0.1 Ω",))
    second = correct(case, first.id, who="Ines", reason="misread", readings=("0.2 Ω",))
    with pytest.raises(CaseError, match=f"entry {first.id} was corrected before, by {second.id}: correct that one"):
        correct(case, first.id, who="Ines", reason="misread again", readings=("0.3 Ω",))

    assert correct(case, second.id, who="Ines", reason="misread again", readings=("0.3 Ω",)).replaces == second.id


def test_a_capture_that_cannot_be_read_is_not_filed(case: Path, tmp_path: Path) -> None:
    """It is read first: no evidence, no entry, no dialect is left behind."""
    file = tmp_path / "torn.csv"
    file.write_bytes(b"time,voltage\n0,twelve\n1,thirteen\n")
    before = files_below(case)
    with pytest.raises(CaptureError, match=r"torn\.csv"):
        add_evidence(case, file, shows="pilot capture", who="Ines")

    assert files_below(case) == before


def test_how_a_scope_writes_is_remembered_on_its_shelf(case: Path, filled: dict[str, Entry]) -> None:
    """With the hash in the case, and under the instrument's name on the shelf."""
    remembered = open_shelf(case.parent).remembered("scope")

    assert remembered is not None
    assert (remembered.delimiter, remembered.decimal_char) == (";", ",")
    assert open_shelf(case.parent).remembered("meter") is None


def test_evidence_at_an_address_needs_no_file(case: Path) -> None:
    """A video elsewhere with its time code; without file and address there is nothing to file."""
    added = add_evidence(
        case, None, shows="video", who="Ines", address="https://video.example/7", time_code="03:12", now=at(1)
    )

    assert added.entry.evidence is not None
    assert (added.entry.evidence.address, added.entry.evidence.time_code) == ("https://video.example/7", "03:12")
    with pytest.raises(CaseError, match="nothing to file: give a file or an address"):
        add_evidence(case, None, shows="video", who="Ines")
    with pytest.raises(CaseError, match="a capture must be a file"):
        add_evidence(case, None, shows="pilot capture", who="Ines", address="https://video.example/7")


@pytest.mark.parametrize(
    ("wrong", "message"),
    [
        ({"charging_mode": 4}, "charging mode 4: IEC 61851-1 knows 1, 2 and 3"),
        ({"phases": 2}, "2 phases: write 1 or 3"),
        ({"build": "floating"}, "class of the unit: 'floating' is not a valid Build. Allowed: build: portable, fixed"),
    ],
)
def test_a_class_that_does_not_exist_makes_no_case(tmp_path: Path, wrong: dict[str, object], message: str) -> None:
    """What is allowed is said, and no folder is made."""
    given = {"make": "Dunmarr", "model": "32", "charging_mode": 3, "build": "fixed", "cable": "attached"} | wrong
    with pytest.raises(CaseError, match=message):
        new_case(tmp_path / "dunmarr-32", **given)  # type: ignore[arg-type]  # wrong on purpose

    assert not (tmp_path / "dunmarr-32").exists()


def test_a_broken_shelf_does_not_hide_the_case(case: Path, filled: dict[str, Entry]) -> None:
    """The case opens without instruments, and the shelf is told under problems."""
    (case.parent / "shelf.toml").write_text("format = [", encoding="utf-8")
    assessment = assess(case)

    assert "shelf.toml" in {problem.where for problem in assessment.problems}
    assert finding(assessment, "wiring.earth-through").outcome is Outcome.WITHIN


def test_the_work_can_be_stopped(case: Path, filled: dict[str, Entry]) -> None:
    """What progress raises ends the work, and nothing is written."""
    before = files_below(case)

    def stop(fraction: float) -> None:
        raise Interrupted("stopped")

    with pytest.raises(Interrupted):
        write_report(case, progress=stop)

    assert files_below(case) == before


def test_a_claim_that_cannot_be_read_costs_one_check(case: Path, filled: dict[str, Entry]) -> None:
    """The others are done; the claim is named under problems."""
    open_case(case).edit("claims.rated_current", "16 A", "sixteen", who="Ines", now=at(20))
    assessment = assess(case)

    assert any("claims.rated_current = 'sixteen'" in problem.what for problem in assessment.problems)
    assert finding(assessment, "pilot-duty.value").outcome is Outcome.WITHIN

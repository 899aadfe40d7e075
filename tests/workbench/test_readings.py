"""All readings out: one row for each, units in the heading, nothing private, nothing that a spreadsheet would run."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from datetime import datetime
from pathlib import Path
from typing import TypedDict

import pytest

from coldpin.cli import main
from coldpin.records.readings import Readings
from coldpin.workbench import correct, publish, record
from coldpin.workbench.readings import all_readings, public_corrections, readings_table
from tests.checks.bench import pairs
from tests.pdf_reading import page_texts
from tests.workbench.quay import SECRET, at, make_case, make_shelf


class When(TypedDict):
    """When something was read and written down."""

    made: datetime
    now: datetime


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case with readings of two units, a correction, a map, an answer and something private."""
    folder = make_case(make_shelf(tmp_path / "shelf"))
    first = record(
        folder, shows="earth resistance", who="Ines", readings=["51 mΩ", "0.052 Ω"], instrument="meter", **when(1)
    )
    correct(folder, first.id, who="Ines", reason="a digit slipped", readings=["0.053 Ω"], now=at(2))
    record(
        folder,
        shows="output with nothing connected",
        who="Ines",
        readings=["-1.2 V"],
        instrument="meter",
        conditions={"supply": "mains", "input": "low impedance"},
        supply_voltage="231 V",
        note='=HYPERLINK("http://x")',
        **when(3),
    )
    record(folder, shows="wiring map", who="Ines", pairs=pairs(), **when(4))
    record(folder, shows="coding resistance", who="Ines", readings=["220 Ω"], note=SECRET, private=True, **when(5))
    record(
        folder,
        shows="mains to pilot insulation",
        who="Ines",
        readings=["> 999 MΩ"],
        note="order number 40-771-22",
        **when(6),
    )
    return folder


def when(minutes: float) -> When:
    return When(made=at(minutes), now=at(minutes))


def rows(readings: Readings) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(readings_table(readings), newline="")))


@pytest.mark.hand("two repeats, one correction, one voltage, twelve joints, one bound; the private one left out")
def test_each_reading_is_one_row_with_its_unit_in_the_heading(case: Path) -> None:
    """Values in the unit of the vocabulary, uncertainty of the instrument beside it, and what was written."""
    out = all_readings(case)
    table = rows(out.readings)

    assert out.problems[0].where == "private entries"
    assert [row["as written"] for row in table if row["shows"] == "earth resistance"] == ["51 mΩ", "0.052 Ω", "0.053 Ω"]
    first = table[0]
    assert float(first["value (Ω)"]) == pytest.approx(0.051)
    assert float(first["standard uncertainty (Ω)"]) > 0.0
    assert first["value (V)"] == ""
    assert sum(row["shows"] == "wiring map" for row in table) == len(pairs())
    assert next(row for row in table if row["what"] == "PE > PE")["as written"] == "joined"
    (bound,) = (row for row in table if row["side"])
    assert bound["side"] == "at least"
    assert float(bound["value (Ω)"]) == pytest.approx(999e6)


def test_what_was_corrected_stays_and_says_so(case: Path) -> None:
    """Both are there: the one that does not count names the one that does."""
    old, again, new = [row for row in rows(all_readings(case).readings) if row["shows"] == "earth resistance"]

    assert (old["counts"], again["counts"], new["counts"]) == ("no", "no", "yes")
    assert old["replaced by"] == new["entry"]
    assert old["reason"] == new["reason"] == "a digit slipped"


def test_nothing_private_and_no_order_number_is_in_it(case: Path) -> None:
    """Neither the private entry nor a number known by its form."""
    text = readings_table(all_readings(case).readings)

    assert SECRET not in text
    assert "220" not in text
    assert "40-771-22" not in text
    assert "[order number 1, withheld]" in text


@pytest.mark.published("RFC 4180: fields by commas, quotes doubled, rows end with CR LF")
def test_it_is_plain_csv_and_no_cell_is_a_formula(case: Path) -> None:
    """A negative reading stays as it is written; a note that a spreadsheet would run begins with an apostrophe."""
    text = readings_table(all_readings(case).readings)
    (volts,) = (row for row in rows(all_readings(case).readings) if row["shows"] == "output with nothing connected")

    assert text.count("\r\n") == text.count("\n")
    assert len({len(row) for row in csv.reader(io.StringIO(text, newline=""))}) == 1
    assert volts["as written"] == "-1.2 V"
    assert float(volts["value (V)"]) == pytest.approx(-1.2)
    assert volts["note"] == '\'=HYPERLINK("http://x")'
    assert "input=low impedance; supply=mains" in volts["conditions"]


@pytest.mark.parametrize(
    "text", ["=1+1", "+1+1", "-2+3+cmd|' /C calc'!A0", "@SUM(1)", "\t=1", "\n=1", "＝1", "-x", "+45 12 34 56 78"]
)
def test_what_a_spreadsheet_would_run_begins_with_an_apostrophe(case: Path, text: str) -> None:
    """Also behind a sign and a figure, and with the wide signs of other keyboards."""
    held = all_readings(case).readings
    (row,) = rows(replace(held, rows=(replace(held.rows[0], note=text),)))

    assert row["note"] == f"'{text}"


@pytest.mark.parametrize("text", ["-1.2 V", "+0.5", "-1,5e-3 A", "−3 V", "-11.8 °C", "1+1", "-3 %"])
def test_a_number_with_its_sign_is_left(case: Path, text: str) -> None:
    """Whoever opens the table can compute with what was written."""
    held = all_readings(case).readings
    (row,) = rows(replace(held, rows=(replace(held.rows[0], note=text),)))

    assert row["note"] == text


def test_a_file_says_that_it_is_utf_8(case: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A mark before the heading, which spreadsheets look for; what is piped has none."""
    assert main(["readings", str(case), "-o", str(tmp_path / "r.csv")]) in (0, 3)
    capsys.readouterr()
    assert main(["readings", str(case)]) in (0, 3)

    assert (tmp_path / "r.csv").read_bytes().startswith(b"\xef\xbb\xbfentry,shows,")
    assert capsys.readouterr().out.startswith("entry,shows,")


def test_a_reading_that_cannot_be_read_keeps_its_row(case: Path) -> None:
    """Its text is given, its number is not, and it is told."""
    record(case, shows="earth resistance", who="Ines", readings=["0.05 Ω"], instrument="meter", **when(7))
    shelf = case.parent / "shelf.toml"
    shelf.write_text(
        shelf.read_text(encoding="utf-8").replace("instruments.meter", "instruments.lent"), encoding="utf-8"
    )
    out = all_readings(case)

    last = rows(out.readings)[-1]
    assert (last["as written"], last["value (Ω)"]) == ("0.05 Ω", "")
    assert any("meter" in problem.what for problem in out.problems)


def test_the_list_of_corrections_stands_in_every_later_issue(case: Path) -> None:
    """Newest first on the command line; the report prints the earlier issues with what each changed."""
    assert public_corrections(case).issues == ()
    publish(case, on="2026-05-30")
    record(case, shows="coding resistance", who="Ines", readings=["680 Ω"], instrument="meter", **when(8))
    second = publish(case, on="2026-06-30")

    listed = public_corrections(case).issues
    assert [one.number for one in listed] == [2, 1]
    assert listed[1].changes == ("This is the first issue.",)
    page = (second.folder / "report.html").read_text(encoding="utf-8")
    assert "Earlier issues, and what each changed" in page
    assert "Issue 1, 2026-05-30: This is the first issue." in page
    assert "Earlier issues" in "".join(page_texts(second.folder / "report.pdf"))

"""The commands about parts: what they print, and how they end."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coldpin.cli import main


def test_a_coding_is_told_with_its_source(capsys: pytest.CaptureFixture[str]) -> None:
    """The current first, then the range with source and standing; nothing on standard error."""
    code = main(["proximity", "223 Ω", "--accuracy", "0.8 % + 2 digits, resolution 1 Ω"])
    printed = capsys.readouterr()

    assert code == 0
    assert printed.out.startswith("The resistance is 223.0 Ω ± 3.6 Ω: it stands for 32 A.\n")
    assert "164 Ω to 308 Ω" in printed.out
    assert "Standing: read." in printed.out
    assert printed.err == ""


def test_the_reading_in_dispute_is_printed(capsys: pytest.CaptureFixture[str]) -> None:
    """Where the other text differs it is told with its own edge."""
    assert main(["proximity", "320 Ω ± 1 Ω"]) == 0
    printed = capsys.readouterr().out

    assert "it stands for 20 A, the lower current of the two ranges it lies between" in printed
    assert "Another text: 32 A." in printed
    assert "coding-edge.type-2.20A-32A" in printed


def test_without_the_meters_accuracy_nothing_is_decided(capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON holds no current, and a remark says what is missing."""
    assert main(["proximity", "223 Ω", "--json"]) == 0
    printed = capsys.readouterr()
    told = json.loads(printed.out)

    assert (told["schema"], told["coded_current_a"], told["meaning"]) == ("coldpin.proximity/1", None, "undecided")
    assert told["resistance"]["u"] is None
    assert told["zones"][0]["band"]["standing"] == "read"
    assert "say --accuracy" in printed.err


def test_a_latch_is_told_with_the_voltage_at_the_vehicle(capsys: pytest.CaptureFixture[str]) -> None:
    """A type 1 connector tells its latch and no current."""
    assert main(["proximity", "152 Ω ± 1 Ω", "--type", "1"]) == 0

    assert "A vehicle sees 1.52 V ± 0.10 V" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("reading", "message"),
    [
        ("50 V", "resistance in 'Ω' is asked for"),
        ("< 1 Ω", "only bounds the resistance from above: give what the meter shows"),
        ("soon", "soon"),
    ],
)
def test_what_is_no_resistance_is_one_message(reading: str, message: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 2, one line on standard error, nothing on standard output."""
    assert main(["proximity", reading]) == 2
    printed = capsys.readouterr()

    assert printed.out == ""
    assert message in printed.err
    assert printed.err.count("\n") == 1


def test_a_reading_below_zero_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """Leads that were not zeroed are no coding."""
    assert main(["proximity", "--", "-0.3 Ω"]) == 2

    assert "below 0 Ω: check leads and zero of the meter" in capsys.readouterr().err


def test_the_vehicle_simulator_is_printed_with_cautions_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing stands before the cautions; the text says what to buy, what each position gives, and the order."""
    assert main(["vehicle-simulator"]) == 0
    printed = capsys.readouterr()
    lines = printed.out.splitlines()

    assert lines[0].startswith("! Before the first step: Mains voltage kills.")
    assert any(line.startswith("R2 high") and "47000 ∥ 5100" in line for line in lines)
    assert any(line.startswith("C low") and "4.99 ± 0.09" in line for line in lines)
    assert any(line.startswith("6. Back to A") for line in lines)
    assert printed.err == ""


def test_the_vehicle_simulator_as_json_and_on_paper(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The record goes to standard output, the sheet to its file, and its name to standard error."""
    sheet = tmp_path / "sheet.pdf"
    assert main(["vehicle-simulator", "--json", "--series", "e96", "--edition", "sae", "--pdf", str(sheet)]) == 0
    printed = capsys.readouterr()
    plan = json.loads(printed.out)

    assert (plan["schema"], plan["series"], plan["edition"]) == ("coldpin.vehicle_simulator/1", "E96", "sae")
    assert plan["positions"][1]["high_v"]["unit"] == "V"
    assert sheet.read_bytes().startswith(b"%PDF")
    assert str(sheet) in printed.err


def test_a_sheet_that_cannot_be_written_is_one_message(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A folder that is not there is named."""
    assert main(["vehicle-simulator", "--json", "--pdf", str(tmp_path / "nowhere" / "sheet.pdf")]) == 2

    assert "nowhere" in capsys.readouterr().err

"""The command about required distances: what it prints, and how it ends."""

from __future__ import annotations

import json

import pytest

from coldpin.cli import main

ASKED = ("required-distances", "--voltage", "230", "--overvoltage-category", "II", "--pollution-degree", "2")


def test_the_json_holds_the_distances_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Clearance, creepage and X at the top; cells by their ids, each once among the sources with its standing."""
    line = (*ASKED, "--material-group", "IIIa", "--insulation", "reinforced", "--altitude", "0", "--json")
    code = main(list(line))
    printed = capsys.readouterr()
    told = json.loads(printed.out)

    assert code == 0
    assert told["schema"] == "coldpin.required_distances/1"
    assert (told["clearance_mm"], told["creepage_mm"], told["groove_x_mm"]) == (3.0, 5.0, 1.0)
    known = {limit["id"]: limit["standing"] for limit in told["sources"]}
    assert known["creepage.pd2.IIIa.250V"] == "read"
    assert {name for used in told["reinforced"]["rows"] for name in used["rows"]} <= set(known)
    assert told["reading"] is None


def test_a_person_sees_both_rows_the_place_of_the_reading_and_why(capsys: pytest.CaptureFixture[str]) -> None:
    """Mains to pilot of a portable lead outdoors: two degrees, basic and reinforced, and the earth that can be lost."""
    line = ("required-distances", "--voltage", "230 V", "--unit", "portable", "--place", "outdoors")
    code = main([*line, "--material-group", "IIIa", "--between", "mains-pilot", "--reading", "4.4 mm ± 0.1 mm"])
    printed = capsys.readouterr()

    assert code == 0
    assert "reinforced, asked for  2                 4000 V   3.0 mm     5.0 mm    1.0 mm" in printed.out
    assert "reinforced, asked for  3                 4000 V   3.0 mm     8.0 mm    1.5 mm" in printed.out
    assert (
        "as a creepage, pollution degree 2: at least the 2.5 mm of basic insulation; less than the 5.0 mm"
        in printed.out
    )
    assert "A portable lead has its earth from whatever socket it meets" in printed.out
    assert "Creepage: 4.0 mm (250 V rationalised voltage, pollution degree 3, group IIIa; creepage.pd3.IIIa.250V)." in (
        printed.out
    )
    assert "Other text: reinforced clearance 3.8 mm by the temporary overvoltage" in printed.out
    assert "else the insulation is not tested" in printed.out
    assert "Standing: memory." in printed.out
    assert "remark: X goes by the required clearance" in printed.err


def test_a_reading_without_accuracy_is_remarked(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing is decided by it."""
    assert main([*ASKED, "--reading", "9 mm"]) == 0
    printed = capsys.readouterr()

    assert "undecided, for its accuracy is not known" in printed.out
    assert "say --accuracy, or ± behind it" in printed.err
    assert "group IIIb is taken" in printed.err


@pytest.mark.parametrize(
    ("given", "message"),
    [
        (("--voltage", "230"), "overvoltage category and pollution degree are not both given"),
        (("--voltage", "5 kV", "--unit", "fixed"), "rated impulse voltage: no row for 5000 V"),
        (("--voltage", "230", "--unit", "fixed", "--altitude", "30 km"), "altitude factor: no row for 30000 m"),
    ],
)
def test_what_cannot_be_used_ends_with_two(
    given: tuple[str, ...], message: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """One message, and nothing on standard output."""
    assert main(["required-distances", *given]) == 2
    printed = capsys.readouterr()

    assert message in printed.err
    assert printed.out == ""


def test_where_the_reading_falls_stands_under_the_table(capsys: pytest.CaptureFixture[str]) -> None:
    """It is what was asked; rows in words, steps and sources follow."""
    assert main([*ASKED, "--between", "mains-pilot", "--reading", "4.4 mm ± 0.1 mm"]) == 0
    lines = capsys.readouterr().out.splitlines()
    table = next(number for number, line in enumerate(lines) if line.startswith("reinforced, asked for"))

    assert "as a clearance, pollution degree 2: at least the 1.5 mm" in lines[table + 1]
    assert "as a creepage, pollution degree 2: at least the 2.5 mm" in lines[table + 2]


def test_less_insulation_than_asked_for_is_told_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Basic insulation, given by hand between mains and pilot, is not called asked for."""
    line = (*ASKED, "--between", "mains-pilot", "--insulation", "basic", "--reading", "2 mm ± 0.1 mm")
    assert main(list(line)) == 0
    printed = capsys.readouterr().out

    assert "basic, given by hand" in printed
    assert "basic, asked for" not in printed
    assert printed.index("Mains-pilot asks for reinforced insulation") < printed.index("as a clearance")

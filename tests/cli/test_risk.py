"""The command that rates a chain of steps: what it prints, and how it ends."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from coldpin.cli import main
from tests.workbench.quay import make_case, make_shelf

HAMMER = ("risk", "--steps", "1/10,1/10,1/3,1/20", "--severity", "3")


@pytest.mark.published("EU guideline, brittle hammer: 1/6 000, severity 3, high (memory)")
def test_the_json_of_the_hammer(capsys: pytest.CaptureFixture[str]) -> None:
    """Probability, band, level and what moves it, under the schema's name."""
    assert main([*HAMMER, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)

    assert told["schema"] == "coldpin.risk/1"
    assert told["probability"] == pytest.approx(1 / 6000, rel=1e-15)
    assert (told["band"], told["level"]) == ("> 1/10 000", "high")
    assert told["sensitivity"]["ten_times"] == "serious"
    assert {limit["standing"] for limit in told["limits"]} == {"memory", "read"}


@pytest.mark.hand("text")
def test_a_person_sees_the_chain_the_level_and_where_the_matrix_is_from(capsys: pytest.CaptureFixture[str]) -> None:
    """Each step with what is left of the probability, and the standing of the matrix."""
    assert main(list(HAMMER)) == 0
    printed = capsys.readouterr().out

    assert "1/6 000" in printed
    assert "Level: high." in printed
    assert "Standing: memory." in printed


@pytest.mark.hand("text")
def test_wrong_input_is_one_message(capsys: pytest.CaptureFixture[str]) -> None:
    """Nothing on standard output, exit 2."""
    assert main(["risk", "--steps", "often", "--severity", "3"]) == 2
    printed = capsys.readouterr()

    assert printed.out == ""
    assert "cannot read 'often'" in printed.err


def test_a_case_is_rated(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """All scenarios, worst first; and the same as JSON."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    assert main(["risk", str(case)]) == 0
    printed = capsys.readouterr().out
    assert main(["risk", str(case), "--json"]) == 0
    told = json.loads(capsys.readouterr().out)

    assert told["schema"] == "coldpin.case_risk/1"
    assert told["risk"]["level"] == told["scenarios"][0]["level"]
    assert told["risk"]["statement"] in printed
    assert all(one["id"] in printed for one in told["scenarios"])


@pytest.mark.hand("text")
@pytest.mark.parametrize("line", [(), ("--steps", "1/2"), ("somewhere", "--steps", "1/2", "--severity", "3")])
def test_a_case_or_a_chain_is_asked_for(line: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> None:
    """Neither, half of one or both is wrong input."""
    assert main(["risk", *line]) == 2
    assert "--severity" in capsys.readouterr().err

"""What to test next, as the terminal shows it: what waits is a line for each stage, and names come on request."""

from __future__ import annotations

import pytest

from coldpin.cli.next_test_table import show_next
from coldpin.conclusion import advise
from coldpin.conclusion.safety_order import BEFORE_MAINS
from coldpin.records.finding import Outcome
from coldpin.records.plan import NextTest
from tests.conclusion.findings import found
from tests.conclusion.options import ALL, CAR, EARTH, HALF, LEVELS, PINS, UNIT


def test_what_waits_is_one_line_for_each_stage(capsys: pytest.CaptureFixture[str]) -> None:
    """So many tests, and the first of what is wanted before them; no titles."""
    told = advise(UNIT, (), ALL, HALF, said="Nothing was tested. [observed]")

    shown = printed(told, capsys)

    assert "  so far: Nothing was tested. [observed]" in shown
    held = [line for line in shown if line.startswith("held, ")]
    assert len(held) == len({one.stage for one in told.held})
    assert "held, mains, no vehicle: 1 test, first the dead wiring map and 3 more" in held
    assert not [line for line in held if "live-pins" in line]
    assert shown[-1] == "  --all names them, with every reason"


def test_names_and_every_reason_come_on_request(capsys: pytest.CaptureFixture[str]) -> None:
    """Each test that waits, and each reason once, without the ids of findings."""
    told = advise(UNIT, (), ALL, HALF)

    shown = printed(told, capsys, names=True)

    assert all(any(one.title in line for line in shown if line.startswith("held, ")) for one in told.held)
    assert any("the earth resistance" in line and "earth-resistance.value" not in line for line in shown)
    assert "  --all names them, with every reason" not in shown


def test_a_hold_point_left_out_is_told_once_and_first(capsys: pytest.CaptureFixture[str]) -> None:
    """Above the lines of the stages that it holds."""
    told = advise(UNIT, (), ALL, HALF, without=("earth-resistance",))

    lines = [line for line in printed(told, capsys) if line.startswith("held")]

    assert lines[0] == (
        "held: 'earth-resistance' was left out: nothing live and nothing on the opened unit is advised until it is "
        "recorded"
    )
    assert sum("left out" in line for line in lines) == 1


def test_what_failed_is_told_before_what_is_wanted(capsys: pytest.CaptureFixture[str]) -> None:
    """A finding beyond the limit is why a stage waits, whatever else is missing."""
    broken = found("housing-insulation.value", "x", Outcome.BEYOND)
    told = advise(UNIT, (broken,), (EARTH, PINS, LEVELS, CAR), HALF)

    shown = printed(told, capsys)

    assert "  HOLD: No work with the mains: 'housing insulation value' is beyond." in shown
    assert any(line.startswith("held, mains, no vehicle: 1 test, for 'housing insulation value' is") for line in shown)
    assert len(BEFORE_MAINS) > len(told.stopped)


def printed(told: NextTest, capsys: pytest.CaptureFixture[str], *, names: bool = False) -> list[str]:
    """The lines on the terminal."""
    show_next(told, None, names=names)
    return capsys.readouterr().out.splitlines()

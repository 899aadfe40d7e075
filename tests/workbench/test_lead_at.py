"""What the lead of a case does at another current, in other air, at another length."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coldpin.cli import main
from coldpin.errors import InputError, OutsideRange, QuantityTextError, UnitError, UnknownName
from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment
from coldpin.records.cable import CableEvidence
from coldpin.records.finding import Outcome
from coldpin.records.plain import from_json, to_json
from coldpin.workbench.assessing import assess
from coldpin.workbench.lead_at import lead_at, lead_map_lying, lead_of_case_at
from tests.web.yard import NAME, make_yard


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Assessment:
    """The yard's lead as assessed."""
    return assess(make_yard(tmp_path_factory.mktemp("yard")) / NAME)


def test_the_lead_as_it_is(made: Assessment) -> None:
    """Its largest current in the hottest air it is meant for, its own length, lying on a surface."""
    told = lead_at(made)

    assert (told.current_a, told.ambient_c, told.length_m, told.lies, told.as_it_is) == (
        16.0,
        40.0,
        5.0,
        "on a surface",
        True,
    )
    assert told.heat is not None
    assert told.drop is not None
    assert told.drop.outcome is Outcome.WITHIN
    assert [one.place.value for one in told.heat.places] == ["metal", "sheath", "accessory", "body"]
    metal = told.heat.places[0].temperature_c
    assert metal is not None
    assert told.drop.conductor_temperature_c == pytest.approx(metal.value)
    assert [fault.device.name for fault in told.faults] == ["C16"]


@pytest.mark.hand("the same conductor four times as long drops four times as much")
def test_the_drop_follows_length_and_current(made: Assessment) -> None:
    """Four times the length is four times the voltage; the metal is no warmer for it."""
    own, long = lead_at(made), lead_at(made, length="20 m")

    assert own.drop is not None
    assert long.drop is not None
    assert long.drop.lead_v.value == pytest.approx(4.0 * own.drop.lead_v.value, rel=1e-3)
    assert long.heat == own.heat
    assert any("the same cable is taken" in said for said in long.remarks)


@pytest.mark.hand("four times the cable, and once what its joints have")
def test_the_loop_of_another_length_has_its_joints_once(made: Assessment) -> None:
    """Joints that were read apart are in it, those that were not are allowed for; the cable is longer."""
    ends = made.cable.end_to_end
    assert ends is not None
    assert ends.line is not None
    jointed = replace(ends.line, joints_20=Quantity(0.1, 0.0, "Ω"), allowed_joints_20=0.02)
    fed = replace(ends, line=jointed, earth=replace(jointed, core=replace(jointed.core, conductor="earth")))
    feeds = tuple(replace(one, feed=replace(one.feed, supply=Quantity(0.3, 0.01, "Ω"))) for one in ends.feeds)
    cable = replace(made.cable, end_to_end=replace(fed, feeds=feeds))
    (fault,) = lead_at(replace(made, cable=cable), length="20 m").faults

    assert fault.loop is not None
    hot = fault.loop.line_ohm.value / (20.0 * jointed.per_metre_20.value + 0.1)
    assert 1.0 < hot < 1.4
    assert fault.loop.allowed_ohm == pytest.approx(0.04 * hot)


@pytest.mark.hand("four times the cable out and back in the loop of line and neutral")
def test_a_short_circuit_at_another_length(made: Assessment) -> None:
    """The neutral grows as the line does, and less flows."""
    ends = made.cable.end_to_end
    assert ends is not None
    assert ends.line is not None
    neutral = replace(ends.line, core=replace(ends.line.core, conductor="neutral"))
    feeds = tuple(replace(one, feed=replace(one.feed, neutral=(Quantity(0.3, 0.01, "Ω"),))) for one in ends.feeds)
    cable = replace(made.cable, end_to_end=replace(ends, neutral=neutral, feeds=feeds, faults=()))
    own, long = (lead_at(replace(made, cable=cable), length=length).faults[0].short for length in ("5 m", "20 m"))

    assert own is not None
    assert long is not None
    assert long.neutral_ohm.value == pytest.approx(4.0 * own.neutral_ohm.value, rel=1e-3)
    assert long.total_ohm.value == pytest.approx(0.3 + 2.0 * long.line_ohm.value, rel=1e-3)
    assert long.least_current_a.value < own.least_current_a.value


def test_numbers_without_a_unit_are_in_the_units_of_the_form(made: Assessment) -> None:
    """What a form sends and what a person types are one question."""
    assert lead_at(made, current="20", ambient="30", length="7,5") == lead_at(
        made, current="20 A", ambient="30 °C", length="7.5 m"
    )


@pytest.mark.parametrize(
    ("asked", "kind", "said"),
    [
        ({"current": "0"}, OutsideRange, "it must be above 0 A"),
        ({"current": "1e9"}, OutsideRange, "at most 1000 A"),
        ({"current": "-3 A"}, OutsideRange, "it must be above 0 A"),
        ({"current": "20 V"}, UnitError, "V"),
        ({"ambient": "warm"}, QuantityTextError, "warm"),
        ({"ambient": "313"}, OutsideRange, "is it in °C"),
        ({"length": "0"}, OutsideRange, "it must be above 0 m"),
        ({"lies": "under a rug"}, UnknownName, "on a surface"),
    ],
)
def test_what_cannot_be_is_refused_in_words(
    made: Assessment, asked: dict[str, str], kind: type[Exception], said: str
) -> None:
    """A message says what is allowed."""
    with pytest.raises(kind, match=said):
        lead_at(made, **asked)


def test_an_assessment_from_its_file_answers_alike(made: Assessment) -> None:
    """A record that was read answers as the one that was made: nothing hangs on what the file does not hold."""
    kept = from_json(Assessment, to_json(made), where="here")

    assert to_json(lead_at(kept, current="20", lies="coiled")) == to_json(lead_at(made, current="20", lies="coiled"))


def test_the_map_of_a_coiled_lead_lies_below(made: Assessment) -> None:
    """Coiled, every limit of the cable comes at less current; the test of the sheath stands on both maps."""
    laid, coiled = lead_map_lying(made), lead_map_lying(made, "coiled")

    assert coiled.arrangement == "coiled"
    assert coiled.tested == laid.tested
    assert len(laid.tested) == 1
    for one, other in zip(laid.lines[:2], coiled.lines[:2], strict=True):
        assert other.middle[0] is not None
        assert one.middle[0] is not None
        assert other.middle[0] < 0.6 * one.middle[0]


def test_a_lead_nobody_read_says_what_is_missing(made: Assessment) -> None:
    """No map, no drop, no fault; and without any current known, one is asked for."""
    bare = replace(made, cable=CableEvidence())
    told = lead_at(bare, current="16 A")

    assert (told.heat, told.drop, told.faults, told.length_m) == (None, None, (), None)
    assert "four wires" in told.heat_why
    assert "line conductor" in told.drop_why
    assert "line or earth" in told.faults_why
    with pytest.raises(InputError, match="give the current"):
        lead_at(bare)
    with pytest.raises(InputError, match="four wires"):
        lead_map_lying(bare)


def test_a_doubted_conductor_lets_nothing_be_within(made: Assessment) -> None:
    """What is asked of a reading leaves drop and faults undecided."""
    ends = made.cable.end_to_end
    assert ends is not None
    assert ends.line is not None
    assert ends.way is not None
    doubt = ("The uncertainty is not known.",)
    doubted = replace(ends, line=replace(ends.line, doubts=doubt), way=replace(ends.way, doubts=doubt))
    told = lead_at(replace(made, cable=replace(made.cable, end_to_end=doubted)))

    assert told.drop is not None
    assert told.drop.outcome is Outcome.UNDECIDED
    assert all(fault.outcome is not Outcome.WITHIN for fault in told.faults)
    assert "The uncertainty is not known." in told.remarks


def test_the_command_asks_the_same(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """By the folder; as JSON, and in sentences with what was taken for granted beside."""
    case = make_yard(tmp_path) / NAME
    told, problems = lead_of_case_at(case, current="13 A", ambient="25 °C")
    assert (told.current_a, told.ambient_c, told.as_it_is) == (13.0, 25.0, False)
    asked = ["lead-at", str(case), "--current", "13 A", "--ambient", "25 °C"]

    assert main([*asked, "--json"]) == (3 if problems else 0)
    assert capsys.readouterr().out == to_json(told)
    main(asked)
    printed = capsys.readouterr()
    assert told.heat is not None
    assert told.heat.statement in printed.out
    assert "remark: Map and temperatures hold for a lead that lies on a surface" in printed.err
    assert main(["lead-at", str(case), "--current", "nothing"]) == 2
    assert capsys.readouterr().out == ""

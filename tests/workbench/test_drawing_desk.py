"""A drawing that is looked at before it is filed says what the report says after."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from coldpin.errors import CaptureError, UnknownName
from coldpin.records.distance import PathKind
from coldpin.records.finding import Outcome
from coldpin.workbench import assess, record
from coldpin.workbench.drawing_desk import DrawingDesk
from coldpin.workbench.drawing_sheets import save_drawing
from tests.web.drawn_board import BoardCase, as_bytes, box, copied, drawing, feature, make_board_case
from tests.workbench.quay import at

MAINS_PILOT = ("mains", "pilot")


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> BoardCase:
    """A case with a drawing, made once."""
    return make_board_case(tmp_path_factory.mktemp("boards"))


@pytest.fixture
def boards(made: BoardCase, tmp_path: Path) -> BoardCase:
    """A copy of it."""
    return copied(made, tmp_path)


def test_what_is_judged_while_drawing_is_what_the_report_says_when_it_is_filed(boards: BoardCase) -> None:
    """The same record, field by field, but for the entry that files it."""
    data = as_bytes(drawing(pilot_left=232.0))
    record(
        boards.case, shows="calliper gap", who="Ines", readings=("3.2 mm",), conditions={"from": "L 1", "to": "CP 1"}
    )
    before = DrawingDesk.open(boards.case).judge(data, MAINS_PILOT)
    filed = save_drawing(boards.case, data, who="Ines", before=boards.drawing, now=at(9))
    (drawn,) = assess(boards.case).inside.boards

    assert drawn.entry == filed.entry.id
    assert {way.kind for way in before.judged} == set(PathKind)
    assert [replace(way, entry=filed.entry.id) for way in before.judged] == sorted(drawn.ways, key=lambda way: way.kind)
    assert before.outcome is Outcome.UNDECIDED
    assert before.undecided == drawn.undecided


def test_the_ways_lie_over_the_drawing_in_its_own_unit(boards: BoardCase) -> None:
    """The gap of 100 px is 10 mm; the way runs from edge to edge of the copper, its band about it."""
    found = DrawingDesk.open(boards.case).judge(as_bytes(drawing()), MAINS_PILOT)
    clearance = next(way for way in found.ways if way.kind is PathKind.CLEARANCE and way.rank == 1)

    assert clearance.length_mm.value == pytest.approx(10.0, abs=0.02)
    assert sorted(x for x, _ in clearance.path) == pytest.approx([200.0, 300.0], abs=0.05)
    (rim,) = clearance.band
    expanded = clearance.length_mm.expanded
    assert expanded is not None
    assert np.ptp(np.array(rim)[:, 1]) == pytest.approx(10.0 * expanded, rel=0.05)


def test_while_a_corner_is_dragged_the_length_is_that_of_the_whole_reckoning_and_nothing_is_judged(
    boards: BoardCase,
) -> None:
    """Only the uncertainty is provisional."""
    desk, data = DrawingDesk.open(boards.case), as_bytes(drawing(pilot_left=260.0))
    live, whole = desk.follow(data, MAINS_PILOT), desk.judge(data, MAINS_PILOT)

    def shortest(ways: object) -> dict[str, tuple[object, float]]:
        return {way.kind: (way.path, round(way.length_mm.value, 9)) for way in ways if way.rank == 1}  # type: ignore[attr-defined]  # DrawnWay

    assert shortest(live.ways) == shortest(whole.ways)
    assert (live.judged, live.outcome) == ((), None)
    assert live.asked == whole.asked
    assert "Provisional" in live.provisional
    assert not whole.provisional


def test_a_look_names_the_pairs_and_the_gaps_and_says_why_nothing_is_decided(boards: BoardCase) -> None:
    """As long as no gap by calliper agrees with a drawing over a photograph."""
    desk = DrawingDesk.open(boards.case)
    look = desk.look(as_bytes(drawing()))
    assert [(pair.nets, pair.across) for pair in look.pairs] == [(MAINS_PILOT, "mains to pilot")]
    assert look.calliper == ()
    assert "calliper" in look.undecided

    record(
        boards.case, shows="calliper gap", who="Ines", readings=("9.98 mm",), conditions={"from": "L 1", "to": "CP 1"}
    )
    assert desk.look(as_bytes(drawing())).calliper == ()
    (gap,) = DrawingDesk.open(boards.case).look(as_bytes(drawing())).calliper
    assert gap.ends == ("L 1", "CP 1")


def test_a_new_drawing_is_judged_before_anything_is_filed(boards: BoardCase) -> None:
    """Of another part of the unit, of which no entry is there."""
    found = DrawingDesk.open(boards.case).judge(as_bytes(drawing(pilot_left=210.0)), MAINS_PILOT, part="lid")
    assert found.outcome is Outcome.UNDECIDED
    assert "1 mm" in found.judged[0].statement


def test_a_gap_that_cannot_be_read_costs_no_more_than_itself(boards: BoardCase) -> None:
    """The drawing is judged without it; the assessment tells of it."""
    entry = record(
        boards.case, shows="calliper gap", who="Ines", readings=("9.98 mm",), conditions={"from": "L 1", "to": "CP 1"}
    )
    path = next((boards.case / "entries").glob(f"*{entry.id}*"))
    path.chmod(0o644)
    path.write_text(path.read_text("utf-8").replace("9.98 mm", "9,98,1 mm"), encoding="utf-8")
    desk = DrawingDesk.open(boards.case)
    assert desk.look(as_bytes(drawing())).calliper == ()
    assert desk.judge(as_bytes(drawing()), MAINS_PILOT).judged


def test_a_sealing_that_was_tested_counts_and_one_that_cannot_be_read_costs_itself(boards: BoardCase) -> None:
    """As in the assessment: with a laboratory's report one pollution degree is asked for, without one two."""
    data = as_bytes(drawing())
    said = {"shown by": "laboratory report", "laboratory": "Quay laboratory, 114", "of": "this specimen"}

    def degrees() -> set[int]:
        found = DrawingDesk.open(boards.case)
        live, whole = found.follow(data, MAINS_PILOT), found.judge(data, MAINS_PILOT)
        assert live.asked == whole.asked
        return {one.pollution_degree for one in whole.asked}

    def tested(degree: str) -> None:
        record(
            boards.case,
            shows="sealing of the housing as tested",
            who="Ines",
            answer="yes",
            conditions={**said, "degree": degree},
        )

    assert degrees() == {2, 3}
    tested("IP65")
    assert degrees() == {2}
    entry = next(path for path in (boards.case / "entries").iterdir() if b"IP65" in path.read_bytes())
    entry.chmod(0o644)
    entry.write_text(entry.read_text("utf-8").replace("IP65", "tight"), encoding="utf-8")
    assert degrees() == {2, 3}


def test_what_cannot_be_is_told_with_its_place(boards: BoardCase) -> None:
    """Two nets in one place, a pair that is not there, text that is no drawing."""
    desk = DrawingDesk.open(boards.case)
    with pytest.raises(CaptureError, match=r"feature 3 .* it touches feature 2"):
        desk.follow(as_bytes(drawing(pilot_left=190.0)), MAINS_PILOT)
    with pytest.raises(UnknownName, match=r"mains \| pilot"):
        desk.judge(as_bytes(drawing()), ("mains", "earth"))
    with pytest.raises(CaptureError, match="not JSON"):
        desk.look(b"{")


def test_a_way_over_the_lowered_face_lies_over_the_drawing_too(boards: BoardCase) -> None:
    """With the face above the card, places come back through the lens by the way they went."""
    plain = drawing()
    plain["scale"] |= {"face_above_mm": 3.0, "camera_height_mm": 200.0}
    plain["features"].append(feature(box(300, 310, 400, 330), role="floating", name="tab"))
    found = DrawingDesk.open(boards.case).judge(as_bytes(plain), MAINS_PILOT)
    clearance = next(way for way in found.ways if way.kind is PathKind.CLEARANCE and way.rank == 1)
    assert sorted(x for x, _ in clearance.path) == pytest.approx([200.0, 300.0], abs=0.05)
    assert clearance.length_mm.value < 10.0

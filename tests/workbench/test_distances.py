"""The command ``distances``: from a drawing's file to two distances, their ways, and where they fall."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from coldpin.cli import DONE, WRONG_INPUT, main
from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.records.board import Face
from coldpin.records.board_distances import BoardDistances, DistancesByDegree
from coldpin.records.board_words import BOARD_DRAWING, CALLIPER_GAP
from coldpin.records.calliper_gap import Agreement
from coldpin.records.finding import Outcome
from coldpin.records.plain import from_json, to_json
from coldpin.workbench import add_evidence, record
from coldpin.workbench.board_degrees import measure_board_by_degree
from coldpin.workbench.boards import Asked, measure_board
from tests.workbench.quay import at, make_case, make_shelf

Box = tuple[float, float, float, float]


def feature(role: str, box: Box, **properties: Any) -> dict[str, Any]:
    x0, y0, x1, y1 = box
    ring = [[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]
    return {
        "type": "Feature",
        "properties": {"role": role, **properties},
        "geometry": {"type": "Polygon", "coordinates": [ring]},
    }


def two_pads(mains: Box, pilot: Box, *others: dict[str, Any], **scale: Any) -> dict[str, Any]:
    """A board with mains and pilot on it, far from its rim."""
    return {
        "type": "FeatureCollection",
        "scale": scale or {"unit": "mm"},
        "features": [
            feature("board", (-40.0, -40.0, 40.0, 40.0)),
            feature("conductor", mains, net="mains L"),
            feature("conductor", pilot, net="pilot"),
            *others,
        ],
    }


MAINS: Box = (-1.0, -0.5, 0.0, 0.5)
PILOT: Box = (5.0, -0.5, 6.0, 0.5)
SLOT = feature("slot", (2.0, -4.0, 3.0, 4.0), name="slot 2")
FLAT = two_pads(MAINS, PILOT)
ASKED = Asked(voltage="230 V", overvoltage_category="II", material_group="IIIa")


def both_faces(plain: dict[str, Any]) -> dict[str, Any]:
    """The same board with its thickness, and a mark that somebody drew on the other face far away."""
    mark = feature("floating", (30.0, 30.0, 31.0, 31.0), name="mark below", face="bottom")
    return {**plain, "thickness_mm": 1.6, "features": [*plain["features"], mark]}


@pytest.fixture
def board(tmp_path: Path) -> Path:
    """Where the drawing lies."""
    return tmp_path / "board.geojson"


def measure(board: Path, plain: dict[str, Any], degree: int = 2, **given: Any) -> BoardDistances:
    board.write_text(json.dumps(plain), encoding="utf-8")
    return measure_board(board, ("mains", "pilot"), pollution_degree=degree, **given)


def lengths(told: BoardDistances) -> tuple[float, float]:
    assert told.clearance_mm is not None
    assert told.creepage_mm is not None
    return told.clearance_mm.value, told.creepage_mm.value


@pytest.mark.published(
    "IEC 60664-1, examples 1, 2 and 11 in the plane of a board and the widths X, by catalogues and GOST texts; "
    "numbers constructed"
)
@pytest.mark.parametrize(
    ("degree", "plain", "clearance", "creepage"),
    [
        pytest.param(2, two_pads(MAINS, PILOT, SLOT), 5.0, 9.062258, id="slot as wide as X"),
        pytest.param(3, two_pads(MAINS, PILOT, SLOT), 5.0, 5.0, id="the same slot in pollution degree 3"),
        pytest.param(
            2, two_pads(MAINS, PILOT, feature("slot", (2.0, -4.0, 2.9, 4.0))), 5.0, 5.0, id="slot narrower than X"
        ),
        pytest.param(
            2,
            two_pads(MAINS, (2.4, -0.5, 3.4, 0.5), feature("slot", (0.775, -2.0, 1.625, 2.0))),
            2.4,
            4.226759,
            id="X reduced to a third of a small clearance",
        ),
        pytest.param(
            2,
            two_pads((-1.0, 0.0, 0.0, 1.0), (7.0, 0.0, 8.0, 1.0), feature("floating", (2.4, 0.0, 4.0, 1.0))),
            5.4,
            5.4,
            id="floating part",
        ),
    ],
)
def test_what_the_examples_of_the_standard_draw(
    board: Path, degree: int, plain: dict[str, Any], clearance: float, creepage: float
) -> None:
    assert lengths(measure(board, plain, degree)) == pytest.approx((clearance, creepage), abs=5e-7)


@pytest.mark.hand("2.0 mm to the rim, 1.6 mm of board, 0.1 mm from the rim on the other face")
def test_the_way_to_the_other_face_goes_over_the_rim(board: Path) -> None:
    """Never longer than it is: what the way over an edge is allowed to miss is taken off."""
    plain = {
        "type": "FeatureCollection",
        "scale": {"unit": "mm", "pick_u_mm": 0.01},
        "thickness_mm": 1.6,
        "features": [
            feature("board", (-3.0, -20.0, 20.0, 20.0)),
            feature("conductor", MAINS, net="mains L", face="top"),
            feature("conductor", (-2.9, -0.5, -1.9, 0.5), net="pilot", face="bottom"),
        ],
    }

    told = measure(board, plain)

    assert told.creepage is not None
    assert 3.65 < told.creepage.length_mm.value <= 3.7
    assert {leg.face for leg in told.creepage.legs} == {Face.TOP, Face.BOTTOM, None}
    assert "to the other face" in told.creepage.told
    assert "the other face of the board" not in told.not_seen


def test_the_uncertainty_is_null_where_nobody_said_how_well_corners_were_picked(board: Path) -> None:
    told = measure(board, FLAT, asked=ASKED)
    plain = json.loads(to_json(told))

    assert (plain["clearance_mm"]["u"], plain["creepage_mm"]["u"]) == (None, None)
    assert (plain["clearance_mm"]["low"], plain["clearance_mm"]["high"]) == (None, None)
    assert all(placed.outcome is Outcome.UNDECIDED and placed.probability is None for placed in told.placements)


def test_the_uncertainty_follows_how_well_corners_were_picked(board: Path) -> None:
    stated = measure(board, two_pads(MAINS, PILOT, unit="mm", pick_u_mm=0.03))
    by_hand = measure(board, FLAT, pick_uncertainty="0.03 mm")

    assert stated.clearance_mm is not None
    assert by_hand.clearance_mm is not None
    assert by_hand.clearance_mm.u == stated.clearance_mm.u
    # two edges, each between two corners and met at its nearest place: less than two corners, more than none
    assert stated.clearance_mm.u is not None
    assert 0.01 < stated.clearance_mm.u < 0.06


def test_a_shape_that_is_known_less_well_widens_its_own_distances(board: Path) -> None:
    """Its corners count with what is said of them, those of others as all do; never with less than all."""

    def u(*, own: float | None, scale: float = 0.03) -> float:
        plain = two_pads(MAINS, PILOT, unit="mm", pick_u_mm=scale)
        plain["features"][-1]["properties"]["pick_u"] = own
        found = measure(board, plain).clearance_mm
        assert found is not None
        assert found.u is not None
        return found.u

    assert u(own=0.01) == u(own=None) < u(own=0.3)
    assert u(own=0.3) < u(own=None, scale=0.3)


def test_a_proposal_places_nothing_and_says_how_it_is_confirmed(board: Path) -> None:
    """Three gaps that agree let the drawing decide, and one shape that nobody looked at takes it back."""
    plain = over_a_picture()
    plain["features"].append(feature("floating", (900.0, 100.0, 950.0, 150.0), name="pad 7", proposed=True))
    told = measure(board, plain, asked=ASKED, calliper=GAPS)

    assert {placed.outcome for placed in told.placements} == {Outcome.UNDECIDED}
    assert any(line.startswith("'pad 7' is a proposal that nobody has confirmed: look at") for line in told.statements)
    assert any("'pad 7'" in line for line in told.remarks)


def test_two_statements_of_how_well_corners_were_picked_are_refused(board: Path) -> None:
    with pytest.raises(InputError, match=r"the drawing says that it was picked within 0\.03 mm: correct it there"):
        measure(board, two_pads(MAINS, PILOT, unit="mm", pick_u_mm=0.03), pick_uncertainty="0.1 mm")


def test_distances_are_placed_beside_both_rows(board: Path) -> None:
    """5 mm ± 0.01 mm on a flat board: well above 3.0 of reinforced clearance, on the line of 5.0 of creepage."""
    told = measure(board, both_faces(FLAT), asked=ASKED, pick_uncertainty="0.005 mm")

    found = {(placed.kind.value, placed.insulation.value): placed.outcome for placed in told.placements}
    assert told.required is not None
    assert (told.required.clearance_mm, told.required.creepage_mm) == (3.0, 5.0)
    assert found == {
        ("clearance", "basic"): Outcome.WITHIN,
        ("clearance", "reinforced"): Outcome.WITHIN,
        ("creepage", "basic"): Outcome.WITHIN,
        ("creepage", "reinforced"): Outcome.UNDECIDED,
    }
    assert told.groove_x_from == "pollution degree 2 and the 3 mm of clearance asked for"


@pytest.mark.hand("5.0 mm ± 0.01 mm beside 1.5 mm and 3.0 mm of clearance; 2.0 mm where only the pilot is nearer")
def test_what_the_drawing_may_hide_is_not_within_in_the_record_either(board: Path) -> None:
    """The other face, a rim that is not drawn: the text doubts, and so does each placement; less stays less."""
    bare = {**FLAT, "features": FLAT["features"][1:]}
    near = two_pads(MAINS, (1.0, -0.5, 2.0, 0.5))
    for plain, doubt in ((FLAT, "the other face was not looked at"), (bare, "no outline of the board is drawn")):
        told = measure(board, plain, asked=ASKED, pick_uncertainty="0.005 mm")
        assert any(line.startswith("So far as drawn") and doubt in line for line in told.statements)
        assert {placed.outcome for placed in told.placements} == {Outcome.UNDECIDED}
        assert "within" not in {placed["outcome"] for placed in json.loads(to_json(told))["placements"]}

    told = measure(board, near, asked=ASKED, pick_uncertainty="0.005 mm")
    assert {placed.outcome for placed in told.placements} == {Outcome.BEYOND}


def test_what_the_drawing_does_not_show_stands_before_where_it_falls(board: Path) -> None:
    """The other face, and the space under a body, before "at least"."""
    body = feature("component", (1.0, -0.5, 4.5, 0.5), name="U1")
    told = measure(board, two_pads(MAINS, PILOT, body), asked=ASKED, pick_uncertainty="0.005 mm").statements

    (doubt,) = [line for line in told if line.startswith("So far as drawn")]
    assert "the other face was not looked at" in doubt
    assert "the space under U1 was not looked at" in doubt
    assert told.index(doubt) < min(at for at, line in enumerate(told) if "at least" in line)


def test_where_two_readings_of_the_rules_differ_nothing_is_decided(board: Path) -> None:
    """Gaps of 0.8 mm and 3.0 mm beside a floating part: 3.0 mm by one reading, 3.8 mm by the other."""
    plain = two_pads((-1.0, 0.0, 0.0, 1.0), (7.0, 0.0, 8.0, 1.0), feature("floating", (0.8, 0.0, 4.0, 1.0)))
    asked = replace(ASKED, altitude="3500 m")

    told = measure(board, both_faces(plain), asked=asked, pick_uncertainty="0.006 mm")

    assert told.required is not None
    assert 3.0 < told.required.clearance_mm < 3.8
    assert [path.length_mm.value for path in told.other_readings] == pytest.approx([3.8, 3.8])
    found = {(placed.kind.value, placed.insulation.value): placed.outcome for placed in told.placements}
    assert found["clearance", "basic"] is Outcome.WITHIN
    assert found["clearance", "reinforced"] is Outcome.UNDECIDED
    assert found["creepage", "reinforced"] is Outcome.BEYOND
    assert told.statements[-1].startswith("Beside the 3.6 mm of reinforced insulation the clearance is undecided")


def test_the_width_of_grooves_follows_the_clearance_asked_for(board: Path) -> None:
    """Basic insulation asks for 1.5 mm: a third of it, 0.5 mm, makes the narrow slot count."""
    plain = two_pads(MAINS, PILOT, feature("slot", (2.0, -4.0, 2.9, 4.0)))

    told = measure(board, plain, asked=Asked(voltage="230 V", overvoltage_category="II", insulation="basic"))

    assert told.groove_x_mm == pytest.approx(0.5)
    assert lengths(told)[1] > 8.9


@pytest.mark.published(
    "IEC 60664-1: X is 0.5 mm for a clearance of 1.5 mm, 1.0 mm for 3.0 mm; a slot of 0.7 mm lies between"
)
def test_each_row_is_placed_by_its_own_width_of_grooves(board: Path) -> None:
    """A slot that counts for basic insulation gives reinforced insulation nothing: 4.0 mm beside 5.0 mm."""
    plain = two_pads(MAINS, (4.0, -0.5, 5.0, 0.5), feature("slot", (1.6, -9.0, 2.3, 9.0), name="slot"))
    told = measure(board, plain, asked=replace(ASKED, insulation="basic"), pick_uncertainty="0.01 mm")
    reinforced = next(one for one in told.placements if (one.kind, one.insulation) == ("creepage", "reinforced"))

    assert told.groove_x_mm == 0.5
    assert told.creepage is not None
    assert told.creepage.length_mm.value > 15.0
    assert reinforced.outcome is Outcome.BEYOND
    assert "Beside reinforced insulation grooves narrower than 1 mm are bridged." in told.statements
    assert any(line.startswith("4.00") and "less than the 5.0 mm of reinforced" in line for line in told.statements)


def test_a_width_by_hand_goes_before_everything(board: Path) -> None:
    told = measure(board, two_pads(MAINS, PILOT, SLOT), groove="1.5 mm", asked=ASKED)

    assert (told.groove_x_mm, told.groove_x_from, lengths(told)[1]) == (1.5, "given by hand", 5.0)


def test_a_reduced_width_is_told_with_what_it_makes_of_the_creepage(board: Path) -> None:
    told = measure(board, two_pads(MAINS, (2.4, -0.5, 3.4, 0.5), feature("slot", (0.775, -2.0, 1.625, 2.0))))

    assert told.groove_x_mm == pytest.approx(0.8)
    assert "without the reduction X is 1 mm and gives a creepage of 2.4 mm" in told.statements[0]


def test_the_path_and_its_legs_are_told(board: Path) -> None:
    told = measure(board, two_pads(MAINS, PILOT, SLOT))

    assert told.creepage is not None
    assert told.path == told.creepage.path
    assert len(told.path) == 4
    assert told.path[1:3] in (((2.0, 4.0), (3.0, 4.0)), ((2.0, -4.0), (3.0, -4.0)))
    assert sum(leg.counted_mm for leg in told.creepage.legs) == pytest.approx(told.creepage.length_mm.value)
    assert "slot 2" in told.creepage.told
    assert told.clearance is not None
    assert told.clearance.between == ("mains L", "pilot")


def test_next_paths_are_distinct_and_in_order(board: Path) -> None:
    """The way round the other end of the slot, and to another pin."""
    pin = feature("conductor", (5.0, 8.0, 6.0, 9.0), net="pilot", name="pin 4")

    told = measure(board, two_pads(MAINS, PILOT, SLOT, pin))

    creepages = [path.length_mm.value for path in told.next if path.kind.value == "creepage"]
    assert creepages == sorted(creepages)
    assert len({path.path for path in told.next}) == len(told.next)
    assert any("pin 4" in path.between for path in told.next)
    assert measure(board, two_pads(MAINS, PILOT, SLOT, pin), next_count=0).next == ()


PICTURE = {
    "unit": "px",
    "method": "rectangle",
    "points": [
        {"px": [1000.0 * x, 1000.0 * y], "mm": [20.0 * x, -20.0 * y]}
        for x, y in ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0), (0.5, 1.0), (0.5, 0.0))
    ],
    "found_u_px": 0.3,
    "pick_u_px": 0.5,
    "picture_size_px": [1000, 800],
    "length_u_relative": 0.001,
}
"""50 pixels to the millimetre, taken squarely."""


def over_a_picture() -> dict[str, Any]:
    """Mains and pilot 8 mm apart, two parts of no net, and one below, in pixels."""
    plain = two_pads(
        (100.0, 100.0, 200.0, 200.0),
        (600.0, 100.0, 700.0, 200.0),
        feature("floating", (100.0, 600.0, 200.0, 700.0), name="K1"),
        feature("floating", (600.0, 600.0, 700.0, 700.0), name="HS1"),
        **PICTURE,
    )
    plain["features"][0] = feature("board", (-900.0, -900.0, 1900.0, 1900.0))
    return {
        **plain,
        "features": [*plain["features"], feature("floating", (1800.0, 1800.0, 1850.0, 1850.0), face="bottom")],
    }


def test_a_drawing_over_a_picture_decides_nothing_alone(board: Path) -> None:
    told = measure(board, over_a_picture(), asked=ASKED)

    assert lengths(told) == pytest.approx((8.0, 8.0), abs=0.05)
    assert told.statements[0].endswith("read by calliper on the same board, agree with it (0 so far).")
    assert {placed.outcome for placed in told.placements} == {Outcome.UNDECIDED}


GAPS = ("mains L | pilot = 8.02 mm ± 0.05 mm", "K1 | HS1 = 7.98 mm ± 0.05 mm", "mains L | K1 = 8.00 mm ± 0.05 mm")


def test_three_gaps_by_calliper_that_agree_let_it_decide(board: Path) -> None:
    told = measure(board, over_a_picture(), asked=ASKED, calliper=GAPS)

    assert [gap.agreement for gap in told.calliper] == [Agreement.AGREES] * 3
    assert {placed.outcome for placed in told.placements} == {Outcome.WITHIN}
    assert told.clearance_mm is not None
    # what the calliper read stands beside, and is not put in the drawing's place
    assert 7.95 < told.clearance_mm.value <= 8.0 + 1e-6


def test_one_gap_read_three_times_is_one(board: Path) -> None:
    told = measure(
        board, over_a_picture(), asked=ASKED, calliper=[GAPS[0], *GAPS[:1], "pilot | mains L = 8 mm ± 0.1 mm"]
    )

    assert {placed.outcome for placed in told.placements} == {Outcome.UNDECIDED}


def test_a_gap_that_differs_stops_every_decision(board: Path) -> None:
    """Also where the drawing is in millimetres: a reading 0.6 mm away with 0.1 mm of doubt."""
    told = measure(board, FLAT, asked=ASKED, pick_uncertainty="0.01 mm", calliper=["mains L | pilot = 4.4 mm ± 0.1 mm"])

    (gap,) = told.calliper
    assert gap.agreement is Agreement.DIFFERS
    assert gap.difference_mm is not None
    assert gap.difference_mm.value == pytest.approx(-0.6)
    assert "they differ by more than both allow" in told.statements[0]
    assert {placed.outcome for placed in told.placements} == {Outcome.UNDECIDED}


def test_a_gap_of_unknown_accuracy_shows_nothing(board: Path) -> None:
    told = measure(board, FLAT, pick_uncertainty="0.01 mm", calliper=["mains | pilot = 5.0 mm"])

    assert told.calliper[0].agreement is Agreement.CANNOT_TELL


def test_a_straight_gap_does_not_see_what_lies_between(board: Path) -> None:
    """A floating part shortens the clearance; the calliper between the two ends reads past it."""
    between = feature("floating", (1.0, -1.0, 3.0, 1.0))
    told = measure(
        board,
        two_pads(MAINS, PILOT, between),
        pick_uncertainty="0.01 mm",
        calliper=["mains L | pilot = 5.01 mm ± 0.05 mm"],
    )

    assert lengths(told)[0] == pytest.approx(3.0)
    assert told.calliper[0].agreement is Agreement.AGREES


@pytest.mark.parametrize(
    ("further", "agreement"),
    [
        pytest.param("2.00 mm ± 0.05 mm", Agreement.AGREES, id="1 mm and 2 mm beside a part between 1 and 3"),
        pytest.param("1.00 mm ± 0.05 mm", Agreement.DIFFERS, id="a shorter way than the drawing has"),
        pytest.param("3.00 mm ± 0.05 mm", Agreement.CANNOT_TELL, id="a longer way, perhaps another"),
    ],
)
def test_a_sum_over_parts_that_float_is_held_against_the_way_over_them(
    tmp_path: Path, board: Path, further: str, agreement: Agreement
) -> None:
    case = make_case(make_shelf(tmp_path / "shelf"))
    plain = two_pads(MAINS, PILOT, feature("floating", (1.0, -1.0, 3.0, 1.0)), unit="mm", pick_u_mm=0.01)
    board.write_text(json.dumps(plain), encoding="utf-8")
    add_evidence(case, board, shows=BOARD_DRAWING, who="Ines", now=at(5))
    conditions = {"from": "mains L", "to": "pilot", "further gaps": further}
    record(case, shows=CALLIPER_GAP, who="Ines", readings=["1.02 mm ± 0.05 mm"], conditions=conditions, now=at(6))

    (gap,) = measure_board(case, ("mains", "pilot"), pollution_degree=2).calliper

    assert gap.drawn_mm is not None
    assert gap.drawn_mm.value == pytest.approx(3.0)
    assert gap.agreement is agreement


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("mains L, pilot: 5 mm", "write both ends and the reading"),
        ("mains L | pilot", "write both ends and the reading"),
        ("mains L | = 5 mm", "write both ends and the reading"),
        ("mains L | pilot = 5 V", "V"),
        ("mains L | pilot = 5", "unit"),
        ("mains L | R7 = 5 mm", "unknown end of a gap 'R7'"),
        ("mains L | mains = 5 mm", "is at both ends of the gap"),
    ],
)
def test_a_gap_that_cannot_be_read_is_refused(board: Path, text: str, told: str) -> None:
    with pytest.raises(InputError) as raised:
        measure(board, FLAT, calliper=[text])

    assert told in str(raised.value)


class TestCase:
    @pytest.fixture
    def case(self, tmp_path: Path, board: Path) -> Path:
        """A case with the drawing of a flat board, twice, and a gap read beside it."""
        case = make_case(make_shelf(tmp_path / "shelf"))
        for minute, pilot in ((5, (4.0, -0.5, 6.0, 0.5)), (6, PILOT)):
            board.write_text(json.dumps(two_pads(MAINS, pilot, unit="mm", pick_u_mm=0.01)), encoding="utf-8")
            add_evidence(case, board, shows=BOARD_DRAWING, who="Ines", now=at(minute))
        ends = {"from": "mains L", "to": "pilot"}
        record(case, shows=CALLIPER_GAP, who="Ines", readings=["5.02 mm ± 0.05 mm"], conditions=ends, now=at(7))
        return case

    def test_the_newest_drawing_is_measured_with_the_gaps_beside_it(self, case: Path) -> None:
        told = measure_board(case, ("mains", "pilot"), pollution_degree=2)

        assert lengths(told) == (5.0, 5.0)
        assert told.board.startswith("board-v02-")
        assert [(gap.agreement, gap.reading_mm.value) for gap in told.calliper] == [(Agreement.AGREES, 5.02)]
        assert told.calliper[0].entry

    def test_where_somebody_looked_for_shorter_gaps_answers_the_doubt(self, case: Path) -> None:
        """As the checks have it: both faces were searched across the same two sides of that board, and no others."""
        asked = Asked(voltage="230 V", overvoltage_category="II", insulation="basic")

        def outcomes() -> set[Outcome]:
            told = measure_board(case, ("mains", "pilot"), pollution_degree=2, asked=asked)
            return {one.outcome for one in told.placements if one.insulation.value == "basic"}

        assert outcomes() == {Outcome.UNDECIDED}
        for minute, other in ((8, "earth"), (9, "pilot")):
            ends = {"from": "mains L", "to": other, "searched": "both faces"}
            record(
                case, shows=CALLIPER_GAP, who="Ines", readings=["5.02 mm ± 0.05 mm"], conditions=ends, now=at(minute)
            )
            assert outcomes() == {Outcome.WITHIN if other == "pilot" else Outcome.UNDECIDED}

    def test_a_recorded_gap_whose_ends_are_not_drawn_is_told_and_left_out(self, case: Path) -> None:
        """One of another place does not keep the drawing from being measured."""
        ends = {"from": "mains L", "to": "earth"}
        record(case, shows=CALLIPER_GAP, who="Ines", readings=["5.02 mm ± 0.05 mm"], conditions=ends, now=at(8))

        told = measure_board(case, ("mains", "pilot"), pollution_degree=2)
        assert len(told.calliper) == 1
        (problem,) = told.problems
        assert "unknown end of a gap 'earth'" in problem.what

    def test_a_part_is_named_where_there_are_several(self, case: Path, board: Path) -> None:
        board.write_text(json.dumps(two_pads(MAINS, (7.0, -0.5, 8.0, 0.5))), encoding="utf-8")
        add_evidence(case, board, shows=BOARD_DRAWING, who="Ines", now=at(8), conditions={"part": "relay board"})

        told = measure_board(case, ("mains", "pilot"), pollution_degree=2, part="relay board")
        assert (lengths(told)[0], told.calliper) == (7.0, ())
        with pytest.raises(UnknownName, match=r"unknown part 'main board'.*relay board"):
            measure_board(case, ("mains", "pilot"), pollution_degree=2, part="main board")

    def test_constants_of_the_case_take_the_place_of_ours(self, case: Path, board: Path) -> None:
        """A case whose owner has the standard in hand and read another X there."""
        path = case / "case.toml"
        own = '\n[[constants]]\nid = "groove-width.pd2"\nsource = "the standard itself"\nnominal = 1.2\n'
        board.write_text(json.dumps(two_pads(MAINS, PILOT, SLOT)), encoding="utf-8")
        add_evidence(case, board, shows=BOARD_DRAWING, who="Ines", now=at(8))
        before = measure_board(case, ("mains", "pilot"), pollution_degree=2)
        path.write_text(path.read_text(encoding="utf-8") + own, encoding="utf-8")

        after = measure_board(case, ("mains", "pilot"), pollution_degree=2)

        assert (before.groove_x_mm, after.groove_x_mm) == (1.0, 1.2)
        assert (lengths(before)[1], lengths(after)[1]) == pytest.approx((9.062258, 5.0))

    def test_a_gap_without_ends_is_told_and_left_out(self, case: Path, capsys: pytest.CaptureFixture[str]) -> None:
        record(case, shows=CALLIPER_GAP, who="Ines", readings=["3 mm"], conditions={"from": "mains L"}, now=at(9))

        told = measure_board(case, ("mains", "pilot"), pollution_degree=2)
        assert len(told.calliper) == 1
        assert "does not name both ends" in told.problems[0].what
        assert main(["distances", str(case), "--from", "mains", "--to", "pilot", "--pollution-degree", "2"]) == 3
        assert "could not be used: entry" in capsys.readouterr().err

    def test_a_drawing_that_was_changed_is_not_measured(self, case: Path) -> None:
        (newest,) = (case / "boards").glob("*-v02-*")
        newest.chmod(0o644)
        newest.write_bytes(newest.read_bytes().replace(b"5.0", b"7.0"))

        with pytest.raises(CaseError, match=r"boards/board-v02-\S+ is not what was filed"):
            measure_board(case, ("mains", "pilot"), pollution_degree=2)

    def test_a_case_without_a_drawing_says_how_to_file_one(self, tmp_path: Path) -> None:
        with pytest.raises(CaseError, match="has no drawing of a board: file one with add --shows 'board drawing'"):
            measure_board(make_case(make_shelf(tmp_path / "shelf")), ("mains", "pilot"), pollution_degree=2)

    def test_a_part_of_a_file_is_refused(self, board: Path) -> None:
        with pytest.raises(InputError, match=r"board\.geojson is a file: a part is one of a case's boards"):
            measure(board, FLAT, part="main board")


def test_each_degree_asks_for_its_own_distances(board: Path) -> None:
    """230 V, category II, reinforced: 5.0 mm along the surface in degree 2, 8.0 mm in degree 3."""
    board.write_text(json.dumps(FLAT), encoding="utf-8")
    told = measure_board_by_degree(board, ("mains", "pilot"), pollution_degrees=(3, 2, 3), asked=ASKED)

    wanted = {one.pollution_degree: one.distances.required for one in told.by_degree}
    assert list(wanted) == [3, 2]
    assert [one.creepage_mm for one in wanted.values() if one is not None] == [8.0, 5.0]
    with pytest.raises(InputError, match="no pollution degree is given"):
        measure_board_by_degree(board, ("mains", "pilot"), pollution_degrees=())


def test_what_does_not_go_together_is_refused(board: Path) -> None:
    with pytest.raises(InputError, match="material group is given and no voltage: required distances need both"):
        measure(board, FLAT, asked=Asked(material_group="IIIa"))
    with pytest.raises(InputError, match="60 further paths are asked for: give 0 to 50"):
        measure(board, FLAT, next_count=60)
    with pytest.raises(InputError, match="groove width X '-1 mm': it must be above 0 mm"):
        measure(board, FLAT, groove="-1 mm")
    with pytest.raises(UnknownName, match="earth"):
        measure_board(board, ("mains", "earth"), pollution_degree=2)


class TestCommand:
    @pytest.fixture
    def given(self, board: Path) -> list[str]:
        board.write_text(json.dumps(two_pads(MAINS, PILOT, SLOT)), encoding="utf-8")
        return ["distances", str(board), "--from", "mains", "--to", "pilot", "--pollution-degree", "2"]

    def test_the_record_is_printed_as_json(
        self, given: list[str], board: Path, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert main([*given, "--json"]) == DONE

        printed = capsys.readouterr()
        plain = json.loads(printed.out)
        assert plain["schema"] == "coldpin.distances/1"
        assert plain["clearance_mm"]["value"] == 5.0
        assert plain["creepage_mm"]["value"] == pytest.approx(9.062258)
        assert plain["creepage_mm"]["u"] is None
        assert plain["path"][0][0] == 0.0
        assert plain["path"][-1][0] == 5.0
        assert plain["next"][0]["kind"] == "creepage"
        assert plain["sha256"] == hashlib.sha256(board.read_bytes()).hexdigest()
        assert "remark: the uncertainty is not known" in printed.err
        assert to_json(from_json(BoardDistances, printed.out, where="printed")) == printed.out

    def test_the_ways_are_printed_for_a_person(self, given: list[str], capsys: pytest.CaptureFixture[str]) -> None:
        assert main([*given, "--voltage", "230 V", "--overvoltage-category", "II", "--material-group", "IIIa"]) == DONE

        printed = " ".join(capsys.readouterr().out.split())
        assert "end of slot 2" in printed
        assert "3.0 mm (reinforced)" in printed
        assert "5.0 mm (reinforced)" in printed

    @pytest.mark.published("IEC 60664-1, the widths X: a slot of 1 mm counts in degree 2 and is bridged in degree 3")
    @pytest.mark.parametrize(
        "degrees", [["2,3"], ["2", "--pollution-degree", "3"], ["2, 3", "--pollution-degree", "2"]]
    )
    def test_two_pollution_degrees_are_both_told(
        self, given: list[str], degrees: list[str], capsys: pytest.CaptureFixture[str]
    ) -> None:
        """As text one after the other, as JSON in one record; one degree keeps the record of one."""
        assert main([*given[:-1], *degrees]) == DONE
        printed = capsys.readouterr()
        second, _, third = printed.out.partition("Pollution degree 3:")
        assert second.startswith("Pollution degree 2:")
        assert ("end of slot 2" in second, "end of slot 2" in third) == (True, False)
        assert printed.err.count("the uncertainty is not known") == 1

        assert main([*given[:-1], *degrees, "--json"]) == DONE
        printed = capsys.readouterr()
        told = from_json(DistancesByDegree, printed.out, where="printed")
        assert told.schema == "coldpin.distances_by_degree/1"
        assert [one.pollution_degree for one in told.by_degree] == [2, 3]
        assert [lengths(one.distances)[1] for one in told.by_degree] == pytest.approx([9.062258, 5.0])
        assert [one.distances.groove_x_mm for one in told.by_degree] == [1.0, 1.5]
        assert to_json(told) == printed.out

        assert main([*given, "--pollution-degree", "2", "--json"]) == DONE
        assert json.loads(capsys.readouterr().out)["schema"] == "coldpin.distances/1"

    @pytest.mark.parametrize(
        ("change", "told"),
        [
            (["--to", "mains"], "is at both ends"),
            (["--to", "earth"], "earth"),
            (["--voltage", "230"], "overvoltage category"),
            (["--voltage", "230 mm", "--unit", "portable"], "mm"),
            (["--pollution-degree", "4"], "'4' is no pollution degree: give one of 1, 2, 3, or several, such as 2,3"),
            (["--pollution-degree", "3,"], "'' is no pollution degree"),
        ],
    )
    def test_wrong_input_is_one_message_and_no_result(
        self, given: list[str], change: list[str], told: str, capsys: pytest.CaptureFixture[str]
    ) -> None:
        assert main([*given, *change]) == WRONG_INPUT

        printed = capsys.readouterr()
        assert printed.out == ""
        assert told in printed.err

    def test_a_drawing_that_is_none_is_named(self, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        path = tmp_path / "photo.jpg"
        path.write_bytes(b"\xff\xd8\xff\xe0 and so on")

        given = ["distances", str(path), "--from", "mains", "--to", "pilot", "--pollution-degree", "2"]
        assert main(given) == WRONG_INPUT
        assert "board photo.jpg: its content is a JPEG picture" in capsys.readouterr().err


def test_the_page_on_drawings_shows_what_is_measured(board: Path) -> None:
    """The example of docs/boards.md is a drawing, and gives the figures that the page tells."""
    page = (Path(__file__).parents[2] / "docs" / "boards.md").read_text(encoding="utf-8")
    board.write_text(page.split("```json\n")[1].split("```")[0], encoding="utf-8")

    clearance, creepage = lengths(measure_board(board, ("mains", "pilot"), pollution_degree=2))

    assert f"{clearance:.1f} mm through air and {creepage:.2f} mm\nalong the surface" in page


@pytest.mark.published("IEC 60664-1: X is 1.5 mm at pollution degree 3, 1.0 mm at 2, a third of a clearance below 3 mm")
def test_a_width_x_by_hand_below_that_of_the_degree_places_nothing(board: Path) -> None:
    """A slot of 1.4 mm would be walked round where it is to be bridged; a wider X is the stricter one and places."""
    narrow = measure(board, two_pads(MAINS, PILOT, SLOT), groove="0.1 mm", asked=ASKED)
    wide = measure(board, two_pads(MAINS, PILOT, SLOT), groove="1.5 mm", asked=ASKED)

    assert any(
        "X of 0.1 mm given by hand is below the 1 mm of pollution degree 2" in said for said in narrow.statements
    )
    assert {placed.outcome for placed in narrow.placements} == {Outcome.UNDECIDED}
    assert not any("given by hand is below" in said for said in wide.statements)


@pytest.mark.published(
    "IEC 60664-1: 230 V, category II, degree 2: basic 1.5 mm; mains to pilot asks for reinforced, 3.0 mm"
)
def test_less_insulation_than_asked_for_is_told_before_it_is_placed(board: Path) -> None:
    """The 3 mm of functional insulation say nothing of mains to pilot."""
    asked = replace(ASKED, between="mains-pilot", insulation="functional")
    told = measure(board, two_pads(MAINS, PILOT), asked=asked)

    assert told.statements[0].startswith("Mains-pilot asks for reinforced insulation")
    assert told.required is not None
    assert told.required.kind_limit is None

"""The command ``distances``: from a drawing's file to two distances, their ways, and where they fall."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path
from typing import Any

import pytest

from coldpin.cli import DONE, WRONG_INPUT, main
from coldpin.errors import InputError, UnknownName
from coldpin.records.board_distances import BoardDistances
from coldpin.records.finding import Outcome
from coldpin.records.plain import from_json, to_json
from coldpin.workbench.boards import BY_PICTURE, Asked, measure_board

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


def test_two_statements_of_how_well_corners_were_picked_are_refused(board: Path) -> None:
    with pytest.raises(InputError, match=r"the drawing says that it was picked within 0\.03 mm: correct it there"):
        measure(board, two_pads(MAINS, PILOT, unit="mm", pick_u_mm=0.03), pick_uncertainty="0.1 mm")


def test_distances_are_placed_beside_both_rows(board: Path) -> None:
    """5 mm ± 0.01 mm on a flat board: well above 3.0 of reinforced clearance, on the line of 5.0 of creepage."""
    told = measure(board, FLAT, asked=ASKED, pick_uncertainty="0.005 mm")

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


def test_the_width_of_grooves_follows_the_clearance_asked_for(board: Path) -> None:
    """Basic insulation asks for 1.5 mm: a third of it, 0.5 mm, makes the narrow slot count."""
    plain = two_pads(MAINS, PILOT, feature("slot", (2.0, -4.0, 2.9, 4.0)))

    told = measure(board, plain, asked=Asked(voltage="230 V", overvoltage_category="II", insulation="basic"))

    assert told.groove_x_mm == pytest.approx(0.5)
    assert lengths(told)[1] > 8.9


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


def test_a_drawing_over_a_picture_decides_nothing_alone(board: Path) -> None:
    points = [{"px": [0, 0], "mm": [0, 0]}, {"px": [1000, 0], "mm": [20, 0]}, {"px": [0, 1000], "mm": [0, -20]}]
    points += [{"px": [1000, 1000], "mm": [20, -20]}, {"px": [500, 1000], "mm": [10, -20]}]
    scale = {"unit": "px", "method": "rectangle", "points": points, "found_u_px": 0.3, "pick_u_px": 0.5}
    plain = two_pads((100.0, 100.0, 200.0, 200.0), (600.0, 100.0, 700.0, 200.0), **scale, length_u_relative=0.001)
    plain["features"] = plain["features"][1:]

    told = measure(board, plain, asked=ASKED)

    assert lengths(told) == pytest.approx((8.0, 8.0), abs=0.05)
    assert told.statements[-1] == BY_PICTURE
    assert {placed.outcome for placed in told.placements} == {Outcome.UNDECIDED}


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

    @pytest.mark.parametrize(
        ("change", "told"),
        [
            (["--to", "mains"], "is at both ends"),
            (["--to", "earth"], "earth"),
            (["--voltage", "230"], "overvoltage category"),
            (["--voltage", "230 mm", "--unit", "portable"], "mm"),
            (["--pollution-degree", "4"], "4"),
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

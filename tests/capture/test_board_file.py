"""Drawings of boards: what is read, what is refused and in which words, and that writing and reading agree."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import fields
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from coldpin.capture.board_file import MOST_BYTES, BoardFile, parse_board, read_board, render_board
from coldpin.capture.board_scale import METHODS
from coldpin.errors import CaptureError
from coldpin.records.board import BoardFeature, BoardModel, Calibration, Face, Joint, Role, View
from coldpin.records.photo import PhotoScale, ScalePoint
from coldpin.records.plain import to_json

PIXELS: dict[str, Any] = {
    "unit": "px",
    "method": "pitch",
    "points": [{"px": [100, 200], "mm": [0, 0]}, {"px": [1243, 200], "mm": [22.86, 0]}],
    "pick_u_px": 1.0,
}


def box(x0: float, y0: float, x1: float, y1: float) -> list[list[list[float]]]:
    return [[[x0, y0], [x1, y0], [x1, y1], [x0, y1], [x0, y0]]]


def feature(role: str, rings: Any, **properties: Any) -> dict[str, Any]:
    return {
        "type": "Feature",
        "properties": {"role": role, **properties},
        "geometry": {"type": "Polygon", "coordinates": rings},
    }


BOARD = feature("board", box(-5, -10, 15, 10))
LINE = feature("conductor", box(-1, -0.5, 0, 0.5), net="mains L")
PILOT = feature("conductor", box(5, -0.5, 6, 0.5), net="pilot")


def drawing(*features: Any, **members: Any) -> dict[str, Any]:
    return {"type": "FeatureCollection", "scale": {"unit": "mm"}, "features": list(features), **members}


def read(*features: Any, **members: Any) -> BoardFile:
    return parse_board(json.dumps(drawing(*features, **members)).encode(), where="b.geojson")


def refusal(*features: Any, **members: Any) -> str:
    with pytest.raises(CaptureError) as raised:
        read(*features, **members)
    return str(raised.value)


class TestReading:
    def test_roles_nets_faces_and_heights_are_taken_as_drawn(self) -> None:
        board = read(
            BOARD,
            feature("conductor", box(0, 0, 1, 1), net=" mains  L ", face="top", height_mm=1.25, told="J1"),
            feature("slot", box(2, 0, 3, 1), plated=True),
            thickness_mm=1.6,
        ).board

        line = board.features[1]
        assert (line.net, line.group, line.face, line.height_mm, line.told) == (
            "mains L",
            "mains",
            Face.TOP,
            1.25,
            "J1",
        )
        assert board.features[2].plated
        assert (board.thickness_mm, board.view, board.calibration, board.pick_u_mm) == (1.6, View.PLAN, None, None)
        assert board.of_net("mains") == board.of_net("mains L") == (line,)

    def test_the_first_corner_is_kept_once_and_in_order(self) -> None:
        board = read(LINE).board

        assert board.features[0].outline.tolist() == [[-1, -0.5], [0, -0.5], [0, 0.5], [-1, 0.5]]

    def test_corners_given_twice_in_a_row_are_kept_once(self) -> None:
        ring = [[0, 0], [0, 0], [2, 0], [2, 0], [2, 2], [0, 0], [0, 0]]

        assert read(feature("slot", [ring])).board.features[0].outline.tolist() == [[0, 0], [2, 0], [2, 2]]

    def test_openings_are_holes_in_the_shape(self) -> None:
        ring = feature("conductor", [*box(0, 0, 9, 9), *box(3, 3, 6, 6)], net="earth")
        inside = feature("conductor", box(4, 4, 5, 5), net="pilot")

        board = read(ring, inside).board

        assert [opening.tolist() for opening in board.features[0].openings] == [[[3, 3], [6, 3], [6, 6], [3, 6]]]

    def test_several_polygons_are_several_shapes_of_one_feature(self) -> None:
        pour = feature("conductor", box(0, 0, 1, 1), net="mains N", name="pour")
        pour["geometry"] = {"type": "MultiPolygon", "coordinates": [box(0, 0, 1, 1), box(3, 0, 4, 1)]}

        assert [shape.name for shape in read(pour).board.features] == ["pour, part 1", "pour, part 2"]

    def test_shapes_without_a_name_are_called_by_net_or_by_what_they_are(self) -> None:
        loose = feature("floating", box(2, 0, 3, 1))
        taken = feature("floating", box(2, 3, 3, 4), name="floating part 1")
        second = feature("conductor", box(-1, 3, 0, 4), net="mains L")
        by_id = {**feature("slot", box(8, 0, 9, 1)), "id": "milled by the relay"}

        names = [shape.name for shape in read(BOARD, LINE, second, PILOT, loose, taken, by_id).board.features]

        assert names == [
            *("board 1", "mains L, part 1", "mains L, part 2", "pilot"),
            *("floating part 2", "floating part 1", "milled by the relay"),
        ]

    def test_pixels_come_with_the_points_that_tell_their_size(self) -> None:
        calibration = read(feature("conductor", box(10, 10, 50, 50), net="pilot"), scale=PIXELS).board.calibration

        assert calibration is not None
        assert calibration.method == "pitch"
        assert calibration.picture_px.tolist() == [[100, 200], [1243, 200]]
        assert calibration.plane_mm.tolist() == [[0, 0], [22.86, 0]]
        assert (calibration.pick_u_px, calibration.found_u_px) == (1.0, None)

    def test_a_file_with_a_mark_of_its_encoding_is_read(self, tmp_path: Path) -> None:
        path = tmp_path / "b.json"
        path.write_bytes(b"\xef\xbb\xbf" + json.dumps(drawing(LINE)).encode())

        assert read_board(path).board.features[0].net == "mains L"

    def test_what_is_not_read_is_told(self) -> None:
        marked = feature("slot", box(0, 0, 3, 1), fid=7, layer="cuts")

        remarks = read(marked, crs={"type": "name"}).remarks

        assert remarks == (
            "the drawing has members that were not read: crs",
            "features have properties that were not read: fid, layer",
        )


class TestQuestions:
    @pytest.mark.parametrize(("factor", "told"), [(0.01, "spans 0.2 mm"), (100.0, "spans 2000 mm")])
    def test_an_unlikely_size_is_asked_about_and_kept(self, factor: float, told: str) -> None:
        rings = [[[x * factor, y * factor] for x, y in ring] for ring in box(-5, -10, 15, 10)]

        found = read(feature("board", rings))

        assert told in found.remarks[0]
        assert found.board.features[0].outline.max() == 15 * factor

    def test_a_board_in_mils_is_asked_about(self) -> None:
        """11.4 mm of board, a gap of 1 mm, all 39.37 times as large."""
        large = [feature("board", box(0, 0, 450, 300)), feature("conductor", box(9, 9, 49, 49), net="mains L")]

        assert read(*large).remarks == ("the drawing spans 450 mm: look whether it is in millimetres",)

    def test_a_net_of_which_nothing_is_asked_is_told(self) -> None:
        """It may be mains."""
        others = (feature("conductor", box(x, 0, x + 1, 1), net=net) for x, net in ((9, "GND"), (12, "N")))

        (told,) = read(LINE, *others).remarks
        assert told.startswith("'GND', 'N' are of none of the groups mains, pilot, low-voltage, earth, surface")

    def test_a_thick_board_is_asked_about(self) -> None:
        assert "is that in millimetres?" in read(BOARD, thickness_mm=16.0).remarks[0]

    def test_copper_beside_the_board_is_asked_about(self) -> None:
        away = feature("conductor", box(40, 0, 41, 1), net="pilot")

        assert read(BOARD, LINE, away).remarks == ("off the board as drawn: pilot: is its outline whole?",)


def _edited(change: Callable[[dict[str, Any]], None]) -> dict[str, Any]:
    edited: dict[str, Any] = json.loads(json.dumps(LINE))
    change(edited)
    return edited


BOW = [[[0, 0], [4, 4], [4, 0], [0, 4], [0, 0]]]


class TestRefusals:
    @pytest.mark.parametrize(
        ("given", "told"),
        [
            (feature("conductor", BOW, net="pilot"), "feature 2 (conductor 'pilot'), at 2, 2: its outline crosses"),
            (feature("slot", BOW, name="slot 2"), "feature 2 (slot 'slot 2'), at 2, 2: its outline crosses"),
            (feature("conductor", box(0, 0, 1, 1)), "feature 2 (conductor), at 0, 0: a conductor without a net"),
            (feature("conductor", box(0, 0, 1, 1), net="  "), "a conductor without a net"),
            ({**PILOT, "properties": {}}, "feature 2, at 5, -0.5: it has no role: add properties.role, one of board"),
            ({**PILOT, "properties": None}, "its properties are null"),
            (feature("conducter", box(0, 0, 1, 1)), "unknown role 'conducter'; did you mean 'conductor'?"),
            (feature("slot", box(0, 0, 1, 1), nett="x"), "unknown property 'nett': did you mean 'net'?"),
            (feature("floating", box(0, 0, 1, 1), net="pilot"), "a floating part has no net"),
            (feature("conductor", box(0, 0, 1, 1), net="pilot", plated=True), "only a slot or hole is plated"),
            (feature("slot", box(0, 0, 1, 1), plated="yes"), "plated is 'yes': write true or false"),
            (feature("slot", box(0, 0, 1, 1), proposed=1), "proposed is 1: write true or false"),
            (feature("slot", box(0, 0, 1, 1), propsed=True), "unknown property 'propsed': did you mean 'proposed'?"),
            (feature("slot", box(0, 0, 1, 1), pick_u=0), "pick_u is 0: it must be above 0"),
            (feature("slot", box(0, 0, 1, 1), pick_u_px=1), "unknown property 'pick_u_px': did you mean 'pick_u'?"),
            (feature("slot", box(0, 0, 1, 1), face="front"), "unknown face 'front'"),
            (feature("barrier", box(0, 0, 1, 1), height_mm="3 mm"), "height_mm is '3 mm': write a number"),
            (feature("barrier", box(0, 0, 1, 1), height_mm=-1), "height_mm is -1: it must be 0 or more"),
            (feature("slot", box(0, 0, 1, 1), name=5), "name is 5: write a text"),
            (feature("slot", box(0, 0, 1, 1), name="a\x07"), "name holds the character U+0007"),
            (feature("slot", box(0, 0, 1, 1), name="\ud800"), "name holds the character U+D800"),
            (feature("slot", box(0, 0, 1, 1), name="n" * 201), "name has 201 characters; at most 200"),
            (feature("slot", []), "its polygon has no outline"),
            (feature("slot", [[[0, 0], [1, 0], [0, 0]]]), "a ring has 3 positions; the shortest has 4"),
            (feature("slot", [[[0, 0], [1, 0], [1, 1], [0, 1]]]), "at 0, 1: its ring does not end where it begins"),
            (feature("slot", [[[0, 0], [1, 0], [1, 0], [0, 0]]]), "a ring has fewer than three corners"),
            (feature("slot", [[[0, 0], [1, 1], [2, 2], [0, 0]]]), "feature 2 (slot)"),
            (feature("slot", [[[0, 0, 5], [1, 0, 5], [1, 1, 5], [0, 0, 5]]]), "found 3 numbers"),
            (feature("slot", [[[0, 0], [1e300, 0], [1, 1], [0, 0]]]), "has the coordinate 1e+300"),
            (feature("slot", [[[0, 0], [10**400, 0], [1, 1], [0, 0]]]), "has the coordinate a number with too many"),
            (feature("slot", [[[0, 0], ["1", 0], [1, 1], [0, 0]]]), "has the coordinate '1'"),
            (feature("slot", [[[0, 0], [True, 0], [1, 1], [0, 0]]]), "has the coordinate true"),
            (feature("slot", [[[0, 0], None, [1, 1], [0, 0]]]), "a corner is [x, y], found null"),
            (feature("slot", [7]), "a ring of corners is wanted, found 7"),
            (feature("slot", [*box(0, 0, 2, 2), *box(5, 5, 6, 6)]), "an opening lies outside of its outline"),
            (feature("slot", [*box(0, 0, 9, 9), *box(1, 1, 8, 8), *box(3, 3, 4, 4)]), "one opening lies inside"),
            (
                {**PILOT, "geometry": {"type": "Point", "coordinates": [1, 2]}},
                "a polygon is wanted, found type 'Point'",
            ),
            ({**PILOT, "geometry": None}, "a polygon is wanted, found null"),
            ({**PILOT, "type": "Fature"}, "a feature is wanted here, found type 'Fature'"),
            (7, "a feature is wanted here, found 7"),
            ({**PILOT, "geometry": {"type": "MultiPolygon", "coordinates": []}}, "has no polygon in it"),
        ],
    )
    def test_a_feature_that_cannot_be_is_named_with_its_place(self, given: Any, told: str) -> None:
        said = refusal(LINE, given)

        assert said.startswith("board b.geojson, feature 2")
        assert told in said

    @pytest.mark.parametrize(
        ("members", "told"),
        [
            ({"scale": None}, "the member scale is missing: a drawing without scale tells no distance"),
            ({"scale": {}}, "scale has no unit"),
            ({"scale": {"unit": "inch"}}, "unknown scale.unit 'inch'"),
            ({"scale": {"unit": "mm", "pick_u": 0.1}}, "unknown member 'pick_u': did you mean 'pick_u_mm'?"),
            ({"scale": {"unit": "mm", "pick_u_mm": 0}}, "pick_u_mm is 0: it must be above 0"),
            ({"scale": {"unit": "px"}}, "scale is in pixels and has no method: add one of card, rectangle, pitch"),
            ({"scale": {**PIXELS, "points": PIXELS["points"][:1]}}, "its points are 1 points: give at least 2"),
            ({"scale": {**PIXELS, "points": [PIXELS["points"][0]] * 2}}, "two points of the scale have one place [px]"),
            ({"scale": {**PIXELS, "points": [1, 2]}}, "scale, point 1 is 1"),
            ({"scale": {**PIXELS, "points": [{"px": [1]}, {}]}}, "scale, point 1, px is a list: write two numbers"),
            ({"scale": {**PIXELS, "picture_size_px": [40.5, 30]}}, "write the pixels across and down, whole numbers"),
            ({"scale": {**PIXELS, "picture_size_px": 4000}}, "scale.picture_size_px is 4000: write two numbers"),
            ({"scale": {**PIXELS, "picture": "abc"}}, "scale.picture is 'abc': write the sha256"),
            ({"thickness_mm": 0}, "thickness_mm is 0: it must be above 0"),
            ({"thickness_mm": "1.6"}, "thickness_mm is '1.6': write a number"),
            ({"thickness_mm": 1.6}, "no outline of the board: the way round its rim would be missed"),
            ({"view": "side"}, "unknown view 'side'"),
            ({"view": "section", "thickness_mm": 1.6}, "a section has no faces"),
            ({"features": []}, "features is an empty list"),
            ({"features": None}, "features is null"),
            ({"type": "Feature"}, "its type is 'Feature': a drawing of a board is a 'FeatureCollection'"),
        ],
    )
    def test_a_drawing_that_cannot_be_used_says_what_is_wanted(self, members: dict[str, Any], told: str) -> None:
        said = refusal(LINE, PILOT, **members)

        assert said.startswith("board b.geojson: ")
        assert told in said

    def test_one_name_for_two_shapes_is_refused(self) -> None:
        first, second = (feature("slot", box(x, 0, x + 1, 1), name="slot 1") for x in (0, 5))

        assert "feature 2 (slot 'slot 1'), at 5, 0: feature 1 is called 'slot 1' too" in refusal(first, second)

    @pytest.mark.parametrize(
        ("name", "net", "whose"),
        [
            ("pilot", "mains L", "a group of nets"),
            ("Mains_N", "mains L", "the net or group of feature 3"),
            ("mains N", "", "the net or group of feature 3"),
            ("erde", "mains L", "the net or group of feature 4"),
        ],
    )
    def test_what_conducts_is_not_called_like_a_net_that_it_is_not_on(self, name: str, net: str, whose: str) -> None:
        """A gap "to pilot" would be held against a conductor of the mains."""
        called = feature(
            "conductor" if net else "floating", box(9, 0, 10, 1), name=name, **({"net": net} if net else {})
        )
        others = [feature("conductor", box(0, y, 1, y + 1), net=on) for y, on in ((5, "mains N"), (8, "erde Ω"))]

        assert f"it is called {name!r}, which is {whose}: " in refusal(LINE, called, *others)

    def test_a_name_that_is_no_other_net_is_read(self) -> None:
        """A conductor may be called by its own net or group, and what does not conduct by anything."""
        own = feature("conductor", box(9, 0, 10, 1), net="mains N", name="mains")
        slot = feature("slot", box(2, 0, 3, 1), name="pilot")

        assert [shape.name for shape in read(LINE, own, slot).board.features] == ["mains L", "mains", "pilot"]

    def test_one_net_has_one_spelling(self) -> None:
        """Two spellings would be two nets to some readers, and one to others."""
        other = feature("conductor", box(9, 0, 10, 1), net="Mains_L")

        assert "feature 1 has the net 'mains L': one net is spelled in two ways" in refusal(LINE, other)

    @pytest.mark.parametrize(("joint", "kept"), [("cemented", Joint.CEMENTED), ("loose", Joint.LOOSE), (None, None)])
    def test_how_a_barrier_stands_is_a_property_of_its_own(self, joint: str | None, kept: Joint | None) -> None:
        """What is told beside it concludes nothing."""
        said = {"joint": joint} if joint else {}
        wall = feature("barrier", box(2, 0, 3, 1), told="not cemented", **said)

        assert read(LINE, wall).board.features[1].joint is kept

    def test_a_joint_is_one_of_two_words_and_a_barrier_s(self) -> None:
        """Words in between would be taken for one of them."""
        assert "unknown joint 'not cemented'" in refusal(
            LINE, feature("barrier", box(2, 0, 3, 1), joint="not cemented")
        )
        assert "only a barrier has a joint" in refusal(LINE, feature("slot", box(2, 0, 3, 1), joint="loose"))

    def test_two_faces_need_their_distance(self) -> None:
        top, bottom = ({**shape, "properties": {**shape["properties"], "face": face}} for shape, face in FACES)

        assert "feature 1 (conductor 'mains L'), at -1, -0.5: shapes are drawn on both faces" in refusal(top, bottom)

    @pytest.mark.parametrize("properties", [{}, {"plated": True, "net": "earth"}])
    def test_what_is_cut_out_is_cut_through_both_faces(self, properties: dict[str, Any]) -> None:
        """A groove taken for a slot would be walked round, where the way along its floor may be shorter."""
        cut = feature("slot", box(2, 0, 3, 1), name="slot 1", face="top", **properties)

        said = refusal(BOARD, LINE, cut, thickness_mm=1.6)
        assert "feature 3 (slot 'slot 1'" in said
        assert "at 2, 0: a slot goes through both faces, and this one is said to be on the top" in said
        assert "a groove that does not go through is drawn in a section" in said
        assert "a board goes through both faces" in refusal(
            {**BOARD, "properties": {"role": "board", "face": "bottom"}}, LINE, thickness_mm=1.6
        )
        assert len(read(BOARD, LINE, cut).board.features) == 3, "with one face it makes no difference"


FACES = ((LINE, "top"), (PILOT, "bottom"))


PAGE = (Path(__file__).parents[2] / "docs" / "boards.md").read_text(encoding="utf-8")
ROWS = [
    [cell.strip() for cell in line.strip("|").split(" | ")]
    for line in PAGE.split("## What is refused")[1].split("## ")[0].splitlines()
    if line.startswith("| ") and "`" in line
]


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_the_page_on_drawings_says_what_is_said(row: list[str]) -> None:
    """Each row of the page on drawings is refused in the words that stand there."""
    _, properties, ring, told = row
    given = feature("", [json.loads(ring.strip("`"))]) | {"properties": json.loads(properties.strip("`"))}

    assert refusal(feature("conductor", box(0, 0, 2, 2), net="mains L"), given) == told


def test_the_page_on_drawings_has_its_rows() -> None:
    assert len(ROWS) == 10


class TestOverlaps:
    @pytest.mark.parametrize(
        ("one", "other", "told"),
        [
            (LINE, feature("conductor", box(-0.5, 0, 3, 2), net="pilot"), "of another net: two nets in one place"),
            (LINE, feature("conductor", box(0, -0.5, 1, 0.5), net="pilot"), "of another net: two nets in one place"),
            (LINE, feature("floating", box(0, -0.5, 1, 0.5)), "what touches a net is on it and does not float"),
            (LINE, feature("slot", box(0, -0.5, 1, 0.5), plated=True), "what touches a net is on it"),
            (LINE, feature("slot", box(-0.2, -0.5, 1, 0.5)), "there is no copper where a slot is"),
            (feature("floating", box(0, 0, 2, 2)), feature("floating", box(1, 1, 3, 3)), "are one; draw them as one"),
            (BOARD, feature("board", box(0, 0, 2, 2)), "draw one board, or boards that lie apart"),
        ],
    )
    def test_shapes_that_contradict_each_other_are_named_both(self, one: Any, other: Any, told: str) -> None:
        said = refusal(one, other)

        assert said.startswith("board b.geojson, feature 2 (")
        assert "), at " in said
        assert "feature 1 (" in said
        assert told in said

    def test_the_place_told_lies_in_both_shapes(self) -> None:
        said = refusal(LINE, feature("conductor", box(-0.5, 0, 3, 2), net="pilot"))

        x, y = map(float, said.split(", at ")[1].split(": ")[0].split(", "))
        assert -0.5 <= x <= 0.0
        assert 0.0 <= y <= 0.5

    @pytest.mark.parametrize(
        ("one", "other"),
        [
            (LINE, feature("conductor", box(-0.5, 0, 3, 2), net="mains L")),
            (LINE, feature("slot", box(0, -0.5, 1, 0.5))),
            (LINE, feature("slot", box(-0.0005, -0.5, 1, 0.5))),
            (LINE, feature("slot", box(-0.2, -0.5, 1, 0.5), plated=True, net="mains L")),
            (feature("conductor", box(0, 0, 9, 2), net="earth", height_mm=3), feature("slot", box(2, -3, 3, 3))),
            (LINE, feature("barrier", box(-0.5, -2, 0.5, 2))),
            (LINE, feature("component", box(-9, -9, 9, 9))),
            (feature("slot", box(0, 0, 4, 1)), feature("slot", box(3, 0, 4, 5))),
        ],
    )
    def test_what_may_lie_in_one_place_is_read(self, one: Any, other: Any) -> None:
        assert len(read(one, other).board.features) == 2

    def test_the_faces_of_a_board_are_apart(self) -> None:
        over = feature("conductor", box(-1, -0.5, 0, 0.5), net="pilot", face="bottom")
        line = {**LINE, "properties": {**LINE["properties"], "face": "top"}}

        assert len(read(BOARD, line, over, thickness_mm=1.6).board.features) == 3
        assert "of another net" in refusal(BOARD, LINE, over, thickness_mm=1.6)

    def test_copper_may_lie_within_what_is_solid_in_a_section(self) -> None:
        pin = feature("conductor", box(0, -2, 1, 3), net="mains L")

        assert len(read(feature("board", box(-5, -1.6, 5, 0)), pin, view="section").board.features) == 2


class TestHostileFiles:
    @pytest.mark.parametrize(
        ("data", "told"),
        [
            (b"", "the file is empty"),
            (b" \n", "the file is empty"),
            (b"{", "line 1, column 2: not JSON"),
            (b"[1, 2]", "it holds a list"),
            (b"7", "it holds 7"),
            (b'{"type": NaN}', "NaN is no number of JSON"),
            (b'{"type": -Infinity}', "-Infinity is no number of JSON"),
            (b'{"type": 1, "type": 2}', "the key 'type' is given twice"),
            (b'{"type": "Feature\xff"}', "line 1 is not UTF-8 text"),
            (b'{"a": ' + b"[" * 100_000, "not readable as JSON"),
            (b'{"a": ' + b"1" * 5000 + b"}", "not readable as JSON"),
            (b"\x89PNG\r\n\x1a\n....", "its content is a PNG picture"),
            (b"%PDF-1.7", "its content is a PDF document"),
            (b"<svg xmlns='http://www.w3.org/2000/svg'/>", "its content is an SVG drawing"),
        ],
    )
    def test_what_is_no_drawing_is_refused_in_one_message(self, data: bytes, told: str) -> None:
        with pytest.raises(CaptureError, match="board x: ") as raised:
            parse_board(data, where="x")

        assert told in str(raised.value)

    def test_deep_nesting_anywhere_is_no_trouble(self) -> None:
        nested: Any = 0
        for _ in range(900):
            nested = [nested]

        assert "a corner has the coordinate a list" in refusal(feature("slot", [[[nested, 0]] * 4]))

    def test_what_is_no_plain_file_is_refused(self, tmp_path: Path) -> None:
        with pytest.raises(
            CaptureError, match=r"board .*: it is not a regular file: give the file that holds the draw"
        ):
            read_board(tmp_path)
        with pytest.raises(CaptureError, match="there is no such file"):
            read_board(tmp_path / "none.geojson")

    @pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="named pipes are of Unix")
    def test_a_named_pipe_does_not_hold_the_reader(self, tmp_path: Path) -> None:
        os.mkfifo(tmp_path / "pipe")

        with pytest.raises(CaptureError, match="not a regular file"):
            read_board(tmp_path / "pipe")

    def test_a_huge_file_is_not_read(self, tmp_path: Path) -> None:
        path = tmp_path / "huge.geojson"
        with path.open("wb") as file:
            file.truncate(MOST_BYTES + 1)

        with pytest.raises(CaptureError, match=r"it has \d+ bytes; at most"):
            read_board(path)

    @given(data=st.binary(max_size=200) | st.text(max_size=100).map(lambda text: text.encode("utf-8", "replace")))
    def test_any_bytes_give_a_board_or_one_message(self, data: bytes) -> None:
        with pytest.raises(CaptureError, match=r"^board x"):
            parse_board(data, where="x")

    @given(
        feature=st.recursive(
            st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=8),
            lambda inner: (
                st.lists(inner, max_size=4)
                | st.dictionaries(
                    st.sampled_from(["type", "properties", "geometry", "coordinates", "role", "net", "scale", "unit"]),
                    inner,
                    max_size=4,
                )
            ),
            max_leaves=12,
        ),
        key=st.sampled_from(["properties", "geometry", "type"]),
    )
    def test_any_json_in_any_place_gives_a_board_or_one_message(self, feature: Any, key: str) -> None:
        data = json.dumps(drawing({**LINE, key: feature}), allow_nan=True).encode()
        told = ""
        try:
            assert parse_board(data, where="x").board.features
        except CaptureError as error:
            told = str(error)
        assert told.startswith("board x") or not told


COORDINATE = st.integers(-50_000, 50_000).map(lambda value: value / 100.0)
LENGTH = st.none() | st.floats(1e-3, 50.0)
NET = st.sampled_from(["mains L", "mains N", "pilot", "low-voltage 5 V", "erde Ω", "mains\u00a0L2"])


@st.composite
def boards(draw: st.DrawFn) -> BoardModel:
    """Boards whose shapes lie in cells of their own, some with openings, in millimetres or in pixels."""
    count = draw(st.integers(1, 6))
    thickness = draw(LENGTH)
    features = [
        BoardFeature(name="rim", role=Role.BOARD, outline=np.array([[-600, -600], [9000, -600], [9000, 600.5]]))
    ]
    for number in range(count):
        role = draw(st.sampled_from([role for role in Role if role is not Role.BOARD]))
        ring = np.array(draw(st.lists(st.tuples(COORDINATE, COORDINATE), min_size=3, max_size=7, unique=True)))
        hull = shapely.MultiPoint(ring).convex_hull
        outline = np.array(hull.exterior.coords)[:-1] if isinstance(hull, shapely.Polygon) else ring[:0]
        if len(outline) < 3 or hull.buffer(-1.0).area < 4.0 or hull.buffer(-1.0).geom_type != "Polygon":
            outline = np.array([[0.0, 0.0], [100.0, 0.0], [0.0, 100.0]])
        hole = shapely.Polygon(outline).buffer(-1.0, join_style="mitre")
        openings = (np.array(hole.exterior.coords)[:-1],) if draw(st.booleans()) and hole.geom_type == "Polygon" else ()
        shift = np.array([1100.0 * number, 0.0])
        plated = role is Role.SLOT and draw(st.booleans())
        features.append(
            BoardFeature(
                name=f"shape {number}",
                role=role,
                outline=outline + shift,
                openings=tuple(opening + shift for opening in openings),
                net=draw(NET).replace("\u00a0", " ") if role is Role.CONDUCTOR or plated else "",
                face=draw(st.sampled_from([None, *Face])) if thickness and role is not Role.SLOT else None,
                height_mm=draw(LENGTH),
                plated=plated,
                joint=draw(st.sampled_from([None, *Joint])) if role is Role.BARRIER else None,
                told=draw(st.sampled_from(["", "seen from the side", '"quoted" \\ ✓'])),
            )
        )
    return BoardModel(
        features=tuple(features),
        thickness_mm=thickness,
        calibration=draw(st.none() | calibrations()),
    )


@st.composite
def calibrations(draw: st.DrawFn) -> Calibration:
    points = draw(st.lists(st.tuples(COORDINATE, COORDINATE), min_size=2, max_size=9, unique=True))
    return Calibration(
        method=draw(st.sampled_from(METHODS)),
        picture_px=np.array(points),
        plane_mm=np.array(points) * 0.5,
        found_u_px=draw(LENGTH),
        pick_u_px=draw(LENGTH),
        length_u_relative=draw(LENGTH),
        camera_height_mm=draw(LENGTH),
        picture=draw(st.sampled_from(["", "0123456789abcdef" * 4])),
        face_above_mm=draw(st.none() | COORDINATE),
        picture_size_px=draw(st.none() | st.tuples(st.integers(1, 9000), st.integers(1, 9000))),
    )


def members(record: Any) -> dict[str, Any]:
    """Every member of a record, arrays as lists, so that two of them can be compared."""
    plain = {}
    for field in fields(record):
        value = getattr(record, field.name)
        if isinstance(value, np.ndarray):
            value = value.tolist()
        elif isinstance(value, tuple) and field.name != "picture_size_px":
            value = [item.tolist() if isinstance(item, np.ndarray) else members(item) for item in value]
        elif isinstance(value, Calibration):
            value = members(value)
        plain[field.name] = value
    return plain


class TestWriting:
    @given(board=boards())
    def test_a_board_written_is_read_as_the_same_board(self, board: BoardModel) -> None:
        written = render_board(board)

        again = parse_board(written, where="again").board

        assert members(again) == members(board)
        assert render_board(again) == written

    def test_how_well_corners_were_picked_is_written(self) -> None:
        board = read(LINE, scale={"unit": "mm", "pick_u_mm": 0.03}).board

        assert parse_board(render_board(board), where="again").board.pick_u_mm == 0.03

    def test_a_proposal_stays_one_until_it_is_confirmed(self) -> None:
        """It is asked about each time it is read, and false is as good as left out."""
        drawn = read(LINE, feature("slot", box(5, 0, 6, 1), name="slot 2", proposed=True, pick_u=0.2))
        again = parse_board(render_board(drawn.board), where="again")
        confirmed = read(LINE, feature("slot", box(5, 0, 6, 1), name="slot 2", proposed=False, pick_u=0.2))

        assert [(shape.proposed, shape.pick_u) for shape in again.board.features] == [(False, None), (True, 0.2)]
        assert [one for one in again.remarks if one.startswith("'slot 2' is a proposal that nobody has confirmed")]
        assert not any("proposal" in one for one in confirmed.remarks)
        assert b"proposed" not in render_board(confirmed.board)

    def test_every_member_of_a_calibration_is_written_and_read(self) -> None:
        """A member that is added to the record and forgotten here is lost: none may come back as it is left out."""
        told = {
            "method": "card",
            "picture_px": np.array([[1.0, 2.0], [30.0, 4.0]]),
            "plane_mm": np.array([[0.0, 0.0], [5.0, 0.5]]),
            "picture": "0123456789abcdef" * 4,
            "picture_size_px": (4000, 3000),
        }
        members_of = [field.name for field in fields(Calibration)]
        whole = Calibration(**{name: told.get(name, 0.25) for name in members_of})  # type: ignore[arg-type]  # by name
        board = BoardModel(features=read(LINE).board.features, calibration=whole)

        again = parse_board(render_board(board), where="again").board.calibration

        assert again is not None
        assert members(again) == members(whole)

    def test_the_scale_that_a_photograph_gives_is_taken_as_it_is(self) -> None:
        """What ``coldpin photo --json`` prints under scale, nulls and all."""
        scale = PhotoScale(
            unit="px",
            method="pitch",
            points=(ScalePoint(px=(100.0, 200.0), mm=(0.0, 0.0)), ScalePoint(px=(1243.0, 200.0), mm=(22.86, 0.0))),
            found_u_px=1.0,
            pick_u_px=None,
            length_u_relative=0.0,
            camera_height_mm=None,
            picture="",
            picture_size_px=(4000, 3000),
            face_above_mm=None,
        )

        calibration = read(LINE, scale=json.loads(to_json(scale))).board.calibration

        assert calibration is not None
        assert (calibration.picture_size_px, calibration.pick_u_px) == ((4000, 3000), None)
        assert calibration.length_u_relative == 0.0
        assert calibration.plane_mm.tolist() == [[0.0, 0.0], [22.86, 0.0]]

    def test_what_is_written_is_geojson_that_others_read(self) -> None:
        """Each geometry is one that shapely's own reader takes."""
        plain = json.loads(render_board(read(BOARD, LINE, PILOT).board))

        shapes = [shapely.from_geojson(json.dumps(shape["geometry"])) for shape in plain["features"]]

        assert [shape.area for shape in shapes] == [400.0, 1.0, 1.0]
        assert plain["features"][1]["properties"] == {"role": "conductor", "name": "mains L", "net": "mains L"}

    def test_each_feature_has_a_line_of_its_own(self) -> None:
        assert render_board(read(BOARD, LINE, PILOT).board).count(b'\n  {"type": "Feature"') == 3

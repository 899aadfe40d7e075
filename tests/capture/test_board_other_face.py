"""The photograph of the other face in a drawing's file: read, written again, refused with the place."""

from __future__ import annotations

import json
from typing import Any

import pytest

from coldpin.capture.board_file import parse_board, parse_faces, render_board
from coldpin.errors import CaptureError
from tests.web.drawn_board import as_bytes, drawing, laid_under


def test_what_is_written_is_read_again() -> None:
    """By either reader, with no remark that it was not read."""
    whole = parse_board(as_bytes(laid_under(drawing())), where="b.geojson")
    again = parse_board(render_board(whole.board), where="b.geojson").board
    begun = parse_faces(as_bytes({**laid_under(drawing()), "features": []}), where="b.geojson")
    marks = laid_under(drawing())["other_face"]["marks"]
    for one in (again, begun):
        assert one.other_face is not None
        assert one.other_face.drawn.tolist() == [mark["at"] for mark in marks]
        assert one.other_face.seen_px.tolist() == [mark["px"] for mark in marks]
    assert not begun.features
    assert "other_face" not in " ".join(whole.remarks)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"marks": []}, r"other_face has 0 marks: give 2 to"),
        ({"marks": [{"at": [1, 2]}] * 2}, r"other_face, mark 1, px is null: write two numbers"),
        ({"marks": [{"at": [1, 2], "px": [3, 4]}] * 2}, "two marks of other_face have one place in the drawing"),
        ({"marks": ["here", "there"]}, "mark 1 is 'here'"),
        ({"picture": ""}, "no picture or no picture_size_px"),
        ({"picture": "abc"}, "other_face.picture is 'abc': write the sha256"),
        ({"picture_size_px": [0, 4]}, "other_face.picture_size_px is 0 by 4"),
        ({"mark": []}, "unknown member 'mark': known are picture, picture_size_px, marks"),
    ],
)
def test_what_cannot_be_is_refused_with_what_to_do(change: dict[str, Any], told: str) -> None:
    """One message each."""
    plain = laid_under(drawing())
    plain["other_face"] = {**plain["other_face"], **change}
    with pytest.raises(CaptureError, match=told):
        parse_board(as_bytes(plain), where="b.geojson")


def test_it_needs_a_drawing_over_a_photograph() -> None:
    """In millimetres there is nothing to lay it under."""
    plain = {**laid_under(drawing()), "scale": {"unit": "mm"}}
    with pytest.raises(CaptureError, match="laid under a drawing over a photograph; this has none"):
        parse_board(json.dumps(plain).encode(), where="b.geojson")
    with pytest.raises(CaptureError, match="other_face is 'yes'"):
        parse_board(as_bytes({**drawing(), "other_face": "yes"}), where="b.geojson")

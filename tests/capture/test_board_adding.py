"""A drawing goes from its file to the page and back to a file, and is the same board."""

from __future__ import annotations

import json
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.capture.board_adding import one_shape_each
from coldpin.capture.board_file import parse_board, render_board
from coldpin.errors import CaptureError
from coldpin.records.board import BoardModel

WHERE = "drawn.geojson"
ROLES = ("conductor", "floating", "barrier", "component", "slot")
FOREIGN = "x-" + "0" * 20
"""Begins the name of what means nothing here: with so much before it, no word is near enough to a known property."""
WORDS = st.text(st.characters(codec="utf-8", categories=("L", "N")), min_size=1, max_size=6)


def a_box(at: int, width: float, height: float, hole: bool) -> list[list[list[float]]]:
    """A rectangle in a cell of its own, so that no two shapes touch, with or without an opening."""
    x, y = 20.0 * at, 0.0
    rings = [[[x, y], [x + width, y], [x + width, y + height], [x, y + height], [x, y]]]
    if hole:
        u, v = x + width / 4, y + height / 4
        rings.append([[u, v], [u, v + height / 2], [u + width / 2, v + height / 2], [u, v]])
    return rings


@st.composite
def drawings(draw: st.DrawFn) -> dict[str, Any]:
    """Drawings as they may come: named or not, of one polygon or several, with what other programs say beside."""
    features, at = [], 0
    for number in range(draw(st.integers(1, 5))):
        count = draw(st.integers(1, 3))
        sizes = st.floats(0.5, 8.0)
        polygons = [a_box(at + part, draw(sizes), draw(sizes), draw(st.booleans())) for part in range(count)]
        at += count
        role = draw(st.sampled_from(ROLES))
        said: dict[str, Any] = {"role": role}
        if role == "conductor":
            said["net"] = f"mains L{number}"
        if draw(st.booleans()):
            said["name"] = f"shape {number}"
        if draw(st.booleans()):
            said["height_mm"] = draw(st.floats(0.0, 30.0))
        if draw(st.booleans()):
            said[f"{FOREIGN}{draw(WORDS)}"] = draw(st.one_of(WORDS, st.integers(), st.none(), st.lists(st.integers())))
        kind = "MultiPolygon" if count > 1 or draw(st.booleans()) else "Polygon"
        geometry = {"type": kind, "coordinates": polygons if kind == "MultiPolygon" else polygons[0]}
        features.append({"type": "Feature", "id": number, "properties": said, "geometry": geometry})
    whole: dict[str, Any] = {
        "type": "FeatureCollection",
        "scale": {"unit": "mm", "pick_u_mm": 0.03},
        "features": features,
    }
    if draw(st.booleans()):
        whole["drawn with"] = draw(WORDS)
    return whole


def as_record(board: BoardModel) -> bytes:
    """A board as text, by which two are compared to the last bit."""
    return render_board(board)


@given(drawings())
def test_from_file_to_page_to_file_is_the_same_board(plain: dict[str, Any]) -> None:
    """One polygon for each feature, named; once more changes nothing; what nobody reads stays."""
    data = json.dumps(plain).encode()
    board = parse_board(data, where=WHERE).board
    page = one_shape_each(data, where=WHERE)
    again = json.dumps(page).encode()

    assert as_record(parse_board(again, where=WHERE).board) == as_record(board)
    assert one_shape_each(again, where=WHERE) == page
    assert {one["geometry"]["type"] for one in page["features"]} == {"Polygon"}
    assert [one["properties"]["name"] for one in page["features"]] == [shape.name for shape in board.features]
    assert page.get("drawn with") == plain.get("drawn with")
    unread = [{k: v for k, v in one["properties"].items() if k.startswith("x-")} for one in plain["features"]]
    assert all(any(kept.items() <= one["properties"].items() for one in page["features"]) for kept in unread if kept)


@given(drawings(), st.floats(-1.0, 1.0))
def test_a_corner_that_is_moved_on_the_page_moves_in_the_board(plain: dict[str, Any], by: float) -> None:
    """That corner and no other."""
    page = one_shape_each(json.dumps(plain).encode(), where=WHERE)
    before = parse_board(json.dumps(page).encode(), where=WHERE).board
    ring = page["features"][0]["geometry"]["coordinates"][0]
    ring[2] = [ring[2][0] + abs(by), ring[2][1] + abs(by)]
    after = parse_board(json.dumps(page).encode(), where=WHERE).board
    moved = after.features[0].outline - before.features[0].outline
    assert np.count_nonzero(np.abs(moved).sum(axis=1)) == (
        1 if ring[2] != before.features[0].outline[2].tolist() else 0
    )
    assert all(
        np.array_equal(one.outline, other.outline)
        for one, other in zip(before.features[1:], after.features[1:], strict=True)
    )


def test_what_is_no_drawing_is_refused() -> None:
    """With the place."""
    with pytest.raises(CaptureError, match="scale is missing"):
        one_shape_each(b'{"type": "FeatureCollection", "features": []}', where=WHERE)

"""An open board whose layout is known exactly: drawn, written, read back, and measured."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
import shapely

from coldpin.capture.board_file import parse_board, render_board
from coldpin.insulation.distances import find_distances
from coldpin.records.board import BoardFeature, BoardModel, Role
from tests.insulation.layout_file import copper, nets_of_class, read_layout

BOTTOM, TOP = "B.Cu", "F.Cu"
RELAYS = {"Net-(RLY1-Pad11)", "Net-(RLY1-Pad12)"}
FEED = {"Net-(J1-Pad1)", "Net-(J1-Pad2)"}
SUPPLY = {"Net-(J2-Pad1)", "Net-(J2-Pad2)"}

Side = Callable[[str], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Copper of each layer by net, and the nets of the class for mains."""

    layers: dict[str, dict[str, shapely.Geometry]]
    mains: set[str]


@pytest.fixture(scope="session")
def layout(open_data: Path) -> Layout:
    """The open board."""
    read = read_layout(open_data / "mains-relay-board" / "blinds.kicad_pcb")
    return Layout(layers={layer: copper(read, layer) for layer in (BOTTOM, TOP)}, mains=nets_of_class(read, "AC"))


def board_of(nets: dict[str, shapely.Geometry], group: Callable[[str], str]) -> BoardModel:
    """Draw a layer: each net in the group that is asked for; what has no group is left out."""
    features = []
    for net, shape in nets.items():
        side = group(net)
        for number, polygon in enumerate(shapely.get_parts(shape), start=1):
            if side:
                features.append(
                    BoardFeature(
                        name=f"{net} {number}",
                        role=Role.CONDUCTOR,
                        net=f"{side} {net}",
                        outline=np.array(polygon.exterior.coords)[:-1],
                        openings=tuple(np.array(ring.coords)[:-1] for ring in polygon.interiors),
                    )
                )
    return BoardModel(features=tuple(features))


def groups(layout: Layout) -> dict[str, Side]:
    """The sides of each row of the data's own table."""
    mains = layout.mains | RELAYS
    low = {net for nets in layout.layers.values() for net in nets} - mains - FEED - {""}
    return {
        "class AC and any other net": lambda net: "one" if net in layout.mains else "other",
        "mains and low voltage": lambda net: "one" if net in mains else "other" if net in low else "",
        "relay contacts and low voltage": lambda net: "one" if net in RELAYS else "other" if net in low else "",
        "J1 and J2": lambda net: "one" if net in FEED else "other" if net in SUPPLY else "",
    }


@pytest.mark.independent(
    "README of the data set mains-relay-board: straight lines copper to copper on one layer, to a micrometre"
)
@pytest.mark.parametrize(
    ("between", "layer", "expected", "ends"),
    [
        ("class AC and any other net", BOTTOM, 3.620, None),
        ("mains and low voltage", BOTTOM, 4.366, {"one /DRV_DOWN", "other VCC"}),
        ("mains and low voltage", TOP, 5.385, None),
        ("relay contacts and low voltage", TOP, 5.985, {"one Net-(RLY1-Pad11)", "other VCC"}),
        ("J1 and J2", BOTTOM, 35.51, None),
    ],
)
def test_straight_lines_on_an_open_board_are_those_its_data_tell(
    layout: Layout,
    between: str,
    layer: str,
    expected: float,
    ends: set[str] | None,
    measured: Callable[[str, float, str, str], None],
) -> None:
    """Through the drawing's file: what is measured is what was written and read back.

    Round ends are drawn with 16 chords to the quarter, by which the data's own figures are met to their last digit; a
    rounder drawing gives up to 1.5 µm less.
    """
    drawn = board_of(layout.layers[layer], groups(layout)[between])
    board = parse_board(render_board(drawn), where="blinds.geojson").board

    found = find_distances(board, ("one", "other"), groove_x_mm=1.0, next_count=0).clearance

    assert found is not None
    digit = 0.01 if expected > 10.0 else 0.001
    assert found.length_mm == pytest.approx(expected, abs=0.5 * digit)
    assert ends is None or set(found.nets) == ends
    measured(f"open relay board, {between}, {layer}", found.length_mm, "mm", f"{expected:g} mm")

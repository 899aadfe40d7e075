"""Boards of two faces: over the rim, through slots, across what reaches through."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely

from coldpin.insulation.distances import find_distances
from coldpin.insulation.path_corners import pin_path, remeasure, rings_drawn
from coldpin.records.board import BoardFeature, BoardModel, Face, Role
from coldpin.records.distance import FoundDistances, Leg
from tests.board_drawing import drawn, floating, outline, pad, rectangle, shape, slot
from tests.insulation.test_brute_force import random_board

BOARD = outline(rectangle(0.0, 0.0, 20.0, 20.0))
THICK = 1.6
HIDDEN = 2.0 / 64.0
"""What the last spacing of the points along an edge may hide, for each time a path goes over one. [mm]"""


def pads(top: list[float], bottom: list[float], *more: BoardFeature, face: Face = Face.BOTTOM) -> BoardModel:
    """Return a board with a mains pad on top and a pilot pad on another face."""
    return drawn(
        BOARD,
        pad("pad 1", "mains L", rectangle(*top), face=Face.TOP),
        pad("pad 2", "pilot", rectangle(*bottom), face=face),
        *more,
        thickness_mm=THICK,
    )


def measured(board: BoardModel) -> tuple[FoundDistances, float, float]:
    """Return what was found, creepage and clearance."""
    found = find_distances(board, ("mains", "pilot"), groove_x_mm=1.0, next_count=0)
    assert found.creepage is not None
    assert found.clearance is not None
    return found, found.creepage.length_mm, found.clearance.length_mm


@pytest.mark.hand("2.0 + 1.6 + 3.0 straight over the edge; 4.0 aside, unrolled: √((2.0 + 1.6 + 3.0)² + 4.0²)")
@pytest.mark.parametrize(("aside", "expected"), [(0.0, 6.6), (4.0, math.hypot(6.6, 4.0))])
def test_the_wall_of_the_edge_unrolls_flat(aside: float, expected: float) -> None:
    """A path over a straight edge is straight when the wall is unrolled, and never told longer than that."""
    found, creepage, clearance = measured(pads([2, 6, 3, 7], [3, 7 + aside, 4, 8 + aside]))

    assert expected - HIDDEN - 1e-9 <= creepage <= expected
    assert expected - HIDDEN - 1e-9 <= clearance <= expected
    assert found.creepage is not None
    assert found.creepage.told == "over the edge of the board to the other face, from pad 1 to pad 2"
    assert [leg.leg for leg in found.creepage.legs] == [Leg.SURFACE, Leg.EDGE, Leg.SURFACE]
    assert [leg.face for leg in found.creepage.legs] == [Face.TOP, None, Face.BOTTOM]
    assert math.fsum(leg.counted_mm for leg in found.creepage.legs) == pytest.approx(creepage)


@pytest.mark.hand("through a slot 2 wide: 3 + √(2² + 1.6²) + 3 in air, and a longer way round it on the surface")
def test_air_cuts_through_a_slot_where_the_surface_goes_round_it() -> None:
    """Clearance leads slantwise through the slot; creepage down its wall."""
    found, creepage, clearance = measured(pads([5, 9, 6, 10], [14, 9, 15, 10], slot("slot 1", rectangle(9, 5, 11, 15))))
    through = 6.0 + math.hypot(2.0, THICK)

    assert through - HIDDEN - 1e-9 <= clearance <= through
    assert creepage > 10.0
    assert found.clearance is not None
    assert found.clearance.told == "over the edge of slot 1 to the other face, from pad 1 to pad 2"


@pytest.mark.hand("what reaches through the board joins its faces: 3.0 to it, 4.0 from it")
def test_a_part_on_both_faces_joins_them() -> None:
    """A floating part, or copper of one net, that is on both faces is crossed from one to the other."""
    for through in (floating("pin", rectangle(9, 9, 10, 10)), slot("via", rectangle(9, 9, 10, 10), plated=True)):
        _, creepage, clearance = measured(pads([5, 9, 6, 10], [14, 9, 15, 10], through))

        assert (creepage, clearance) == pytest.approx((7.0, 7.0))


@pytest.mark.hand("over the rim 14.0 + 1.6 + 5.0; over the wall of a slot 0.8 + 1.6 + 0.8, by 8.0 along it, unrolled")
def test_a_slot_opens_a_way_to_the_other_face() -> None:
    """What a slot never shortens on one face it may shorten on two: its wall leads to copper of the other."""
    ends = [5.0, 9.0, 6.0, 10.0], [14.0, 9.0, 15.0, 10.0]
    _, over_rim, _ = measured(pads(*ends))
    found, over_wall, _ = measured(pads(*ends, slot("slot 1", rectangle(4, 7, 16, 8.2))))

    assert 20.6 - HIDDEN <= over_rim <= 20.6
    assert math.hypot(3.2, 8.0) - HIDDEN <= over_wall <= math.hypot(3.2, 8.0)
    assert found.creepage is not None
    assert found.creepage.told == "over the edge of slot 1 to the other face, from pad 1 to pad 2"
    for both in (pads(*ends, face=Face.TOP), pads(*ends, slot("slot 1", rectangle(4, 7, 16, 8.2)), face=Face.TOP)):
        assert measured(both)[1] == pytest.approx(8.0)


def test_a_slot_goes_through_whatever_face_it_is_said_to_be_on() -> None:
    """The same is told of it; so is it of the outline, and of a plated slot."""
    ends = [5.0, 9.0, 6.0, 10.0], [14.0, 9.0, 15.0, 10.0]
    for less in (slot("slot 1", rectangle(9, 5, 11, 15)), slot("slot 1", rectangle(9, 5, 11, 15), plated=True)):
        board = pads(*ends, less)
        for face in Face:
            cut = replace(less, face=face)
            other = replace(board, features=(replace(board.features[0], face=face), *board.features[1:3], cut))
            assert measured(other)[1:] == measured(board)[1:]


@pytest.mark.hand("on one face 5.0 apart; the copper of the other face below does not join them")
def test_copper_of_the_other_face_is_no_bridge() -> None:
    """A part on the other face between two pads leaves their distance as it is."""
    below = floating("part", rectangle(3.5, 2, 7.5, 3), face=Face.BOTTOM)
    _, creepage, clearance = measured(pads([2, 2, 3, 3], [8, 2, 9, 3], below, face=Face.TOP))

    assert (creepage, clearance) == pytest.approx((5.0, 5.0))


@pytest.mark.independent("a polyhedron's surface strewn with points by hand, its shortest way by brute force")
def test_round_the_end_of_a_slot_no_path_is_longer_than_one_that_was_walked() -> None:
    """Over the round end of a slot the path winds down the wall; a walk of strewn points is never shorter."""
    ring = np.array(shapely.LineString([(10.0, 8.0), (10.0, 12.0)]).buffer(0.8, quad_segs=8).exterior.coords)[:-1]
    _, creepage, _ = measured(pads([5, 12, 6, 13], [14, 12, 15, 13], slot("slot 1", ring)))
    wall = shapely.LinearRing(ring)
    along = np.linspace(0.0, wall.length, 400, endpoint=False)
    places = [wall.interpolate(place) for place in along]
    hole = shapely.buffer(shapely.Polygon(ring), -1e-6)
    sides = []
    for area in (shapely.box(5, 12, 6, 13), shapely.box(14, 12, 15, 13)):
        lines = [shapely.shortest_line(place, area) for place in places]
        sides.append(np.array([np.inf if line.intersects(hole) else line.length for line in lines]))
    apart = np.abs(along[:, None] - along[None])
    down = np.hypot(np.minimum(apart, wall.length - apart), THICK)
    walked = float((sides[0][:, None] + down + sides[1][None]).min())

    assert walked - 0.1 <= creepage <= walked + 1e-9


def test_a_board_alike_on_both_faces_is_as_one_face(proving: bool) -> None:
    """Where everything is on both faces a second face changes nothing; on one face alone it never lengthens."""
    for seed in range(40 if proving else 3):
        board = random_board(3 + seed, groove_x_mm=1.0)
        copper = (Role.CONDUCTOR, Role.FLOATING)
        on_top = [replace(its, face=Face.TOP) if its.role in copper else its for its in board.features]
        one, both, top = (
            find_distances(its, ("mains", "pilot"), groove_x_mm=1.0, next_count=0)
            for its in (board, replace(board, thickness_mm=THICK), drawn(*on_top, thickness_mm=THICK))
        )
        for kind in ("creepage", "clearance"):
            lengths = [getattr(found, kind) and getattr(found, kind).length_mm for found in (one, both, top)]
            assert lengths[1] == pytest.approx(lengths[0], abs=1e-6), (seed, kind)
            assert lengths[0] is None or lengths[2] <= lengths[0] + 1e-6, (seed, kind)


def test_a_path_over_an_edge_is_measured_again_in_moved_drawings() -> None:
    """The lengths of a path over an edge come back from the drawing it was found in."""
    board = pads([2, 6, 3, 7], [3, 11, 4, 12])
    found, creepage, _ = measured(board)
    assert found.creepage is not None
    still = {
        (feature.name, ring): corners[None]
        for feature in board.features
        for ring, corners in enumerate(rings_drawn(feature))
    }

    assert remeasure(pin_path(board, found.creepage), still)[0] == pytest.approx(creepage, abs=2.0 * HIDDEN)


def test_a_barrier_in_plan_is_said_not_to_count() -> None:
    """Nobody may read the height of a barrier into a distance measured in plan."""
    wall = shape(Role.BARRIER, "wall", rectangle(6, 0, 7, 20))
    found, _, _ = measured(pads([2, 2, 3, 3], [8, 2, 9, 3], wall, face=Face.TOP))

    assert "in plan nothing is counted for the height of wall: draw a section through it" in found.remarks

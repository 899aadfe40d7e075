"""Clearance and creepage of drawn boards against the examples of the standard."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
import shapely

from coldpin.errors import InputError, UnknownName
from coldpin.insulation.distances import BESIDE_BODIES, EVERY_GAP, OVER_BODIES, WIDE_GAPS, find_distances
from coldpin.records.board import BoardModel, Calibration, Role
from coldpin.records.distance import FoundDistances, IsolationPath, Leg, PathKind
from tests.board_drawing import drawn, floating, outline, pad, rectangle, shape, slot

WIDE_BOARD = outline(rectangle(-20.0, -20.0, 30.0, 20.0))
FACING = ([-1.0, -0.5, 0.0, 0.5], [5.0, -0.5, 6.0, 0.5])


def between_pads(a: Any, b: Any, *more: Any, groove_x_mm: float = 1.0, **options: Any) -> FoundDistances:
    """Return the distances between two rectangles on a wide board."""
    board = drawn(WIDE_BOARD, pad("pad 1", "mains L", rectangle(*a)), pad("pad 2", "pilot", rectangle(*b)), *more)
    return find_distances(board, ("mains", "pilot"), groove_x_mm=groove_x_mm, **options)


def lengths(found: FoundDistances) -> tuple[float, float]:
    """Return creepage and clearance."""
    assert found.creepage is not None
    assert found.clearance is not None
    return found.creepage.length_mm, found.clearance.length_mm


def creepage(found: FoundDistances) -> IsolationPath:
    """Return the creepage path."""
    assert found.creepage is not None
    return found.creepage


Case = tuple[str, list[float], list[float], list[Any], float, float, float]
CASES: list[Case] = [
    ("floating part: d + D", [-1, 0, 0, 1], [7, 0, 8, 1], [floating("f1", rectangle(2.4, 0, 4, 1))], 1.0, 5.4, 5.4),
    (
        "a gap under X beside a floating part counts nothing",
        [-1, 0, 0, 1],
        [7, 0, 8, 1],
        [floating("f1", rectangle(0.8, 0, 4, 1))],
        1.0,
        3.0,
        3.0,
    ),
    (
        "a chain of floating parts",
        [-1, 0, 0, 1],
        [10, 0, 11, 1],
        [floating("f1", rectangle(1.5, 0, 4, 1)), floating("f2", rectangle(5.2, 0, 8, 1))],
        1.0,
        4.7,
        4.7,
    ),
    (
        "three chip resistors: only the gaps between lands",
        [-1, 0, 0, 1],
        [9.4, 0, 10.4, 1],
        [floating("f1", rectangle(1.8, 0, 3.8, 1)), floating("f2", rectangle(5.6, 0, 7.6, 1))],
        1.0,
        5.4,
        5.4,
    ),
    ("a slot X wide is walked round", *FACING, [slot("slot 1", rectangle(2, -4, 3, 4))], 1.0, 9.062258, 5.0),
    ("a slot under X is crossed", *FACING, [slot("slot 1", rectangle(2, -4, 2.9, 4))], 1.0, 5.0, 5.0),
    ("a slot of 1.0 is worth nothing with X 1.5", *FACING, [slot("slot 1", rectangle(2, -4, 3, 4))], 1.5, 5.0, 5.0),
    (
        "a small clearance reduces X to 0.8",
        FACING[0],
        [2.4, -0.5, 3.4, 0.5],
        [slot("slot 1", rectangle(0.775, -2, 1.625, 2))],
        0.8,
        4.226759,
        2.4,
    ),
]


@pytest.mark.published("IEC 60664-1 examples 1, 2 and 11 in the board plane, with the figures of the geometry cases")
@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_the_examples_in_the_board_plane(case: Case) -> None:
    """Each example gives its creepage and its clearance to the digits told."""
    _, a, b, more, groove_x_mm, creep, clear = case

    assert lengths(between_pads(a, b, *more, groove_x_mm=groove_x_mm)) == pytest.approx((creep, clear), abs=5e-7)


@pytest.mark.published("3.8 mm beside 3.0 mm: the plain sum beside the reading that drops small gaps")
def test_both_readings_of_a_small_gap_are_told_and_the_smaller_is_judged() -> None:
    """The path found is the smaller; the other stands beside it with its reading."""
    found = between_pads([-1, 0, 0, 1], [7, 0, 8, 1], floating("pad 7", rectangle(0.8, 0, 4, 1)))

    assert creepage(found).reading == WIDE_GAPS
    assert [(path.kind, path.reading) for path in found.other_readings] == [
        (PathKind.CLEARANCE, EVERY_GAP),
        (PathKind.CREEPAGE, EVERY_GAP),
    ]
    assert found.other_readings[1].length_mm == pytest.approx(3.8)
    assert creepage(found).told == "across pad 7, from pad 1 to pad 2"
    assert [(leg.leg, round(leg.counted_mm, 9)) for leg in creepage(found).legs] == [
        (Leg.SURFACE, 0.0),
        (Leg.CONDUCTOR, 0.0),
        (Leg.SURFACE, 3.0),
    ]


@pytest.mark.hand("two tangents from the pads' corners to the end circle and the arc between: 8.750414")
def test_a_round_slot_end_is_followed_not_squared() -> None:
    """Round ends give less than square ones, and straight pieces for the arc give less still."""
    round_slot = shapely.LineString([(2.5, -3.5), (2.5, 3.5)]).buffer(0.5, quad_segs=64)
    corners = np.array(round_slot.exterior.coords)[:-1]

    length = lengths(between_pads(*FACING, slot("slot 1", corners)))[0]

    sagitta_loss = 8.750414 * (math.pi / 256.0) ** 2
    assert 8.750414 - sagitta_loss < length <= 8.750414


@pytest.mark.hand("walls 2 mm apart at the top close over 12 mm: 1 mm apart at half the height, y = 3")
def test_a_pointed_slot_is_bridged_where_it_is_x_wide() -> None:
    """Behind the place where its walls are X apart a pointed slot counts as surface."""
    pointed = slot("slot 1", [[1.5, 9.0], [2.5, -3.0], [3.5, 9.0]])
    found = between_pads([-1, 4.0, 0, 5.0], [5, 4.0, 6, 5.0], pointed)

    assert creepage(found).length_mm == pytest.approx(2.0 * math.hypot(2.0, 4.0 - 3.0) + 1.0, abs=3e-5)
    assert "straight over slot 1, which is narrower than X there" in creepage(found).told


@pytest.mark.hand("notch of the rim 10 deep: 0.8 wide it is crossed, 1.2 wide the way leads round its bottom corners")
@pytest.mark.parametrize(("width", "expected"), [(0.8, 3.0), (1.2, 2.0 * math.hypot(0.9, 9.5) + 1.2)])
def test_a_notch_of_the_edge_counts_as_a_slot(width: float, expected: float) -> None:
    """The board's own rim can be a groove."""
    half = 0.5 * width
    rim: list[list[float]] = [[-9.0, 0.0], [-half, 0], [-half, 10], [half, 10], [half, 0], [9, 0], [9, 20], [-9, 20]]
    board = drawn(
        outline(rim),
        pad("pad 1", "mains L", rectangle(-2.5, 0.2, -1.5, 0.5)),
        pad("pad 2", "pilot", rectangle(1.5, 0.2, 2.5, 0.5)),
    )

    found = find_distances(board, ("mains L", "pilot"), groove_x_mm=1.0)

    assert creepage(found).length_mm == pytest.approx(expected, abs=1e-6)
    assert lengths(found)[1] == pytest.approx(3.0)
    assert ("the edge of the board" in creepage(found).told) == (width > 1.0)


@pytest.mark.hand("a body over the slot is a surface of its own: 5.0 straight over it, 9.339 round the slot beside it")
@pytest.mark.parametrize("role", [Role.COMPONENT, Role.BARRIER])
def test_a_body_over_a_slot_is_crossed(role: Role) -> None:
    """A part or a barrier that lies over a slot leads creepage across; the way round it is told beside."""
    wide = slot("slot 1", rectangle(2, -4, 3.5, 4))
    found = between_pads(*FACING, wide, shape(role, "C1", rectangle(1.5, -2, 4, 2)))
    clear = between_pads(*FACING, wide, shape(role, "C1", rectangle(1.5, -2, 4, 2), told="stands clear by 3 mm"))
    around = 2.0 * math.hypot(2.0, 3.5) - math.hypot(2.0, 3.5) + math.hypot(1.5, 3.5) + 1.5

    assert creepage(found).length_mm == pytest.approx(5.0)
    assert creepage(found).told == "over the body of C1, from pad 1 to pad 2"
    assert creepage(found).reading == OVER_BODIES
    assert [path.reading for path in found.other_readings] == [BESIDE_BODIES]
    assert found.other_readings[0].length_mm == pytest.approx(around, abs=1e-5)
    assert creepage(clear).length_mm == pytest.approx(around, abs=1e-5)


@pytest.mark.hand("gaps of 0.8 on both sides of a floating part: 1.6 in all, nothing where small gaps are not counted")
def test_where_no_gap_is_counted_the_sum_is_told_beside() -> None:
    """A path of no length says what it would be with every gap counted."""
    found = between_pads([-1, 0, 0, 1], [3, 0, 4, 1], floating("f1", rectangle(0.8, 0, 2.2, 1)))

    assert creepage(found).length_mm == 0.0
    assert creepage(found).told == "across f1, from pad 1 to pad 2 (1.600 mm where every gap is counted)"


def test_a_hole_in_a_pad_is_not_passed() -> None:
    """A straight path says nothing of a hole in the pad it starts from."""
    found = between_pads([-3, -1, 0, 1], [4, -1, 6, 1], slot("h", rectangle(-1.0, -0.4, 0.0, 0.4)))

    assert creepage(found).told == "straight from pad 1 to pad 2"


def test_both_ends_of_a_slot_are_told_as_two_paths() -> None:
    """The next path goes round the other end of the slot, and is longer."""
    found = between_pads(*FACING, slot("slot 1", rectangle(2, -4.0, 3, 4.5)))

    assert creepage(found).told == "round the lower end of slot 1, from pad 1 to pad 2"
    assert [path.told for path in found.next_creepage] == ["round the upper end of slot 1, from pad 1 to pad 2"]
    assert found.next_creepage[0].length_mm == pytest.approx(2.0 * math.hypot(2.0, 4.0) + 1.0)


def test_legs_count_the_length_and_join_up() -> None:
    """The legs lie end to end, and what they count is the length of the path."""
    path = creepage(
        between_pads(*FACING, slot("slot 1", rectangle(1, -4.0, 2.2, 4.5)), slot("slot 2", rectangle(3, -9, 3.5, 9)))
    )

    assert math.fsum(leg.counted_mm for leg in path.legs) == pytest.approx(path.length_mm)
    assert all(leg.end == after.start for leg, after in pairwise(path.legs))
    assert [leg.leg for leg in path.legs].count(Leg.BRIDGE) == 1


@pytest.mark.hand("mains L to earth 2.0, earth at the far side to pilot 1.0: its wiring joins the two")
def test_copper_of_one_net_is_joined_wherever_it_lies() -> None:
    """A third net between two is crossed at no cost, from any of its islands."""
    found = between_pads(
        [0, 0, 1, 1],
        [20, 0, 21, 1],
        pad("earth 1", "earth", rectangle(3, 0, 4, 1)),
        pad("earth 2", "earth", rectangle(18, 0, 19, 1)),
    )

    assert lengths(found) == pytest.approx((3.0, 3.0))
    assert creepage(found).told == "across earth 1 and earth 2, from pad 1 to pad 2"


def test_a_plated_slot_conducts() -> None:
    """A plated slot shortens a path where a plain one lengthens it."""
    hole = rectangle(2, -4, 3.2, 4)

    assert lengths(between_pads(*FACING, slot("slot 1", hole, plated=True)))[0] == pytest.approx(2.0 + 1.8)
    assert lengths(between_pads(*FACING, slot("slot 1", hole)))[0] > 9.0


def test_two_boards_have_air_between_and_no_surface() -> None:
    """Without a surface between them there is a clearance and no creepage, and it says so."""
    board = drawn(
        outline(rectangle(0, 0, 10, 10)),
        outline(rectangle(14, 0, 24, 10)),
        pad("pad 1", "mains L", rectangle(8, 4, 9, 5)),
        pad("pad 2", "pilot", rectangle(15, 4, 16, 5)),
    )

    found = find_distances(board, ("mains", "pilot"), groove_x_mm=1.0)

    assert found.creepage is None
    assert found.clearance is not None
    assert found.clearance.length_mm == pytest.approx(6.0)
    assert "no surface leads from mains to pilot: there is no creepage distance" in found.remarks


def test_conductors_that_touch_have_no_distance() -> None:
    """Overlapping nets are 0 apart, and that is a path like any other."""
    assert lengths(between_pads([0, 0, 2, 2], [1, 1, 3, 3])) == (0.0, 0.0)


def test_what_cannot_be_measured_is_said() -> None:
    """Pixels, unknown nets, one net at both ends, and a negative X are refused with what to do."""
    pads = (pad("pad 1", "mains L", rectangle(0, 0, 1, 1)), pad("pad 2", "pilot", rectangle(3, 0, 4, 1)))
    picture = Calibration(method="pitch", picture_px=np.zeros((2, 2)), plane_mm=np.zeros((2, 2)))
    with pytest.raises(InputError, match="the drawing is in pixels"):
        find_distances(BoardModel(features=pads, calibration=picture), ("mains", "pilot"), groove_x_mm=1.0)
    with pytest.raises(UnknownName, match="unknown net 'mians'; did you mean 'mains'"):
        find_distances(drawn(*pads), ("mians", "pilot"), groove_x_mm=1.0)
    with pytest.raises(InputError, match="net 'mains L' is at both ends"):
        find_distances(drawn(*pads), ("mains", "mains L"), groove_x_mm=1.0)
    with pytest.raises(InputError, match="groove width X is -1 mm"):
        find_distances(drawn(*pads), ("mains", "pilot"), groove_x_mm=-1.0)
    crossed = pad("pad 3", "pilot", [[0, 0], [1, 1], [1, 0], [0, 1]])
    with pytest.raises(InputError, match="shape 'pad 3' encloses no area as drawn"):
        find_distances(drawn(*pads, crossed), ("mains", "pilot"), groove_x_mm=1.0)

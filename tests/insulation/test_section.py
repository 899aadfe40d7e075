"""Sections against the examples of the standard: grooves, ribs, joints, screws in recesses."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import pytest

from coldpin.insulation.distances import ANY_RECESS, CORNERS, find_distances
from coldpin.records.board import BoardFeature, Joint, Role, View
from coldpin.records.distance import FoundDistances, Leg
from tests.board_drawing import Corners, drawn, floating, outline, pad, rectangle, shape

DEPTH = 12.0


def profile(
    points: Sequence[Sequence[float]], *more: Any, conductor: Corners | None = None, x: float = 1.0
) -> FoundDistances:
    """Return the distances along a profile: a conductor set flush before its first point, another behind its last."""
    (first_x, first_z), (last_x, last_z) = points[0], points[-1]
    solid = [*points, [last_x + 3.0, last_z], [last_x + 3.0, -DEPTH], [first_x - 5.0, -DEPTH], [first_x - 5.0, first_z]]
    before = rectangle(first_x - 2.0, first_z - 0.5, first_x, first_z) if conductor is None else conductor
    board = drawn(
        outline(solid),
        pad("part A", "mains L", before),
        pad("part B", "pilot", rectangle(last_x, last_z - 0.5, last_x + 2.0, last_z)),
        *more,
        view=View.SECTION,
    )
    return find_distances(board, ("mains", "pilot"), groove_x_mm=x)


def lengths(found: FoundDistances) -> tuple[float, float]:
    """Return creepage and clearance."""
    assert found.creepage is not None
    assert found.clearance is not None
    return found.creepage.length_mm, found.clearance.length_mm


Case = tuple[str, list[list[float]], float, float]
CASES: list[Case] = [
    ("narrow parallel groove", [[0, 0], [2, 0], [2, -3], [2.8, -3], [2.8, 0], [5, 0]], 5.0, 5.0),
    ("converging groove, narrow at the top", [[0, 0], [2, 0], [2.3, -2], [2.5, -2], [2.8, 0], [5, 0]], 5.0, 5.0),
    ("wide parallel groove", [[0, 0], [2, 0], [2, -2], [3.2, -2], [3.2, 0], [5, 0]], 9.0, 5.0),
    ("groove exactly X wide", [[0, 0], [2, 0], [2, -2], [3, -2], [3, 0], [5, 0]], 9.0, 5.0),
    ("square corners are not cut", [[0, 0], [1.5, 0], [1.5, -2], [3.5, -2], [3.5, 0], [5, 0]], 9.0, 5.0),
    ("V groove", [[0, 0], [1.5, 0], [2.5, -3], [3.5, 0], [5, 0]], 7.162278, 5.0),
    ("V groove of 90°", [[0, 0], [1.5, 0], [3.5, -2], [5.5, 0], [7, 0]], 8.242641, 7.0),
    ("rib", [[0, 0], [2, 0], [2, 2], [3, 2], [3, 0], [5, 0]], 9.0, 6.656854),
    (
        "narrow grooves on both sides of a tongue",
        [[0, 0], [2, 0], [2, -3], [2.3, -3], [2.3, 0], [2.7, 0], [2.7, -3], [3, -3], [3, 0], [5, 0]],
        5.0,
        5.0,
    ),
    (
        "one narrow and one wide groove",
        [[0, 0], [2, 0], [2, -2], [2.5, -2], [2.5, 0], [3.3, 0], [3.3, -2], [4.5, -2], [4.5, 0], [6, 0]],
        10.0,
        6.0,
    ),
]


@pytest.mark.published("IEC 60664-1 examples 1 to 5 with the figures of the geometry cases")
@pytest.mark.parametrize("case", CASES, ids=[case[0] for case in CASES])
def test_profiles(case: Case) -> None:
    """Each profile gives its creepage and its clearance to the digits told."""
    _, points, creep, clear = case

    assert lengths(profile(points)) == pytest.approx((creep, clear), abs=5e-7)


@pytest.mark.published("the 80° wording of the product standards: 8.656854 where any recess gives 8.242641")
def test_a_recess_of_a_right_angle_has_two_readings() -> None:
    """The smaller is the path; the larger is told with its reading."""
    found = profile([[0, 0], [1.5, 0], [3.5, -2], [5.5, 0], [7, 0]])

    assert found.creepage is not None
    assert found.creepage.reading == ANY_RECESS
    assert [(path.reading, round(path.length_mm, 6)) for path in found.other_readings] == [(CORNERS, 8.656854)]
    assert [leg.leg for leg in found.creepage.legs].count(Leg.BRIDGE) == 1


@pytest.mark.published("IEC 60664-1 example 6: 6 + 4·2 over the tongue; its root lies 4 below the groove")
def test_a_loose_tongue_with_a_deep_root_is_walked_over() -> None:
    """A joint longer than the way over it does not shorten the path."""
    groove: list[list[float]] = [
        [0.0, 0.0],
        [1.5, 0],
        [1.5, -2],
        [2.7, -2],
        [2.7, -6],
        [3.3, -6],
        [3.3, -2],
        [4.5, -2],
        [4.5, 0],
        [6.0, 0],
    ]
    tongue = shape(Role.BARRIER, "tongue", rectangle(2.7, -6.0, 3.3, 0.0))

    assert lengths(profile(groove, tongue)) == pytest.approx((14.0, 6.0), abs=5e-7)


@pytest.mark.published("IEC 60664-1 example 8: through the joint 2.0 + 0.5 + 0.8 + 0.5 + 2.2, in air over the top")
@pytest.mark.parametrize(
    ("joint", "told", "creep"),
    [(None, "", 6.0), (Joint.CEMENTED, "", 11.0), (Joint.LOOSE, "cemented", 6.0), (None, "not cemented", 6.0)],
)
def test_a_joint_is_walked_through_unless_it_is_cemented(joint: Joint | None, told: str, creep: float) -> None:
    """A loose barrier has a way under it; a cemented one has none."""
    seat: list[list[float]] = [[0.0, 0.0], [2, 0], [2, -0.5], [2.8, -0.5], [2.8, 0], [5.0, 0]]
    barrier = shape(Role.BARRIER, "barrier", rectangle(2.0, -0.5, 2.8, 3.0), joint=joint, told=told)
    found = profile(seat, barrier)

    assert lengths(found) == pytest.approx((creep, 8.125766), abs=5e-7)
    assert found.creepage is not None
    assert "barrier" in found.creepage.told


@pytest.mark.published("IEC 60664-1 examples 9 and 10: screws in recesses, 6.5 and 4.7 mm")
@pytest.mark.parametrize(
    ("gap", "top", "creep", "clear"),
    [(1.5, -0.5, 6.5, 4.581139), (0.6, -1.5, 4.7, 4.615549)],
    ids=["wide gap", "narrow gap"],
)
def test_a_screw_in_a_recess(gap: float, top: float, creep: float, clear: float) -> None:
    """A gap as wide as X is walked; a narrower one is left where the wall is X away."""
    points = [[-gap, -2.0], [0.0, -2.0], [0.0, 0.0], [3.0, 0.0]]
    screw = rectangle(-4.0, -2.0, -gap, top)

    assert lengths(profile(points, conductor=screw)) == pytest.approx((creep, clear), abs=5e-7)


@pytest.mark.hand("2.0 + 1.6 + 3.0 round the edge of a board 1.6 mm thick")
def test_round_the_edge_of_the_board() -> None:
    """Both creepage and clearance lead round the edge."""
    board = drawn(
        outline(rectangle(-9.0, -1.6, 0.0, 0.0)),
        pad("part A", "mains L", rectangle(-4.0, 0.0, -2.0, 0.1)),
        pad("part B", "pilot", rectangle(-5.0, -1.7, -3.0, -1.6)),
        view=View.SECTION,
    )

    found = find_distances(board, ("mains", "pilot"), groove_x_mm=1.0)

    assert lengths(found) == pytest.approx((6.6, 6.6), abs=1e-6)


@pytest.mark.hand("a part 0.4 above a flat surface: in air √(3² + 0.4²); along it at most 0.4 + 3.0")
def test_a_part_that_stands_off_is_reached_by_a_link() -> None:
    """A conductor near a surface is joined to it by the least link, else by none."""
    raised = rectangle(-2.0, 0.4, 0.0, 1.0)
    near = lengths(profile([[0.0, 0.0], [3.0, 0.0]], conductor=raised))
    far = profile([[0.0, 0.0], [3.0, 0.0]], conductor=rectangle(-2.0, 1.1, 0.0, 2.0))

    assert near[1] == pytest.approx((3.0**2 + 0.4**2) ** 0.5)
    assert near[1] <= near[0] <= 3.4
    assert far.creepage is None
    assert far.remarks == ("no surface leads from mains to pilot: there is no creepage distance",)


@pytest.mark.parametrize(
    "groove",
    [
        [[1.59, 0.0], [1.25, -0.8], [3.56, -0.8], [3.40, 0.0]],
        [[0.55, 0.0], [0.17, -0.57], [2.11, -0.57], [1.66, 0.0]],
        [[1.0, 0.0], [1.4, -2.0], [2.6, -2.0], [3.2, 0.0]],
    ],
    ids=["wider below", "wider below and narrow", "narrower below"],
)
def test_a_larger_x_never_lengthens_a_section(groove: list[list[float]]) -> None:
    """What a link of some width may bridge, a wider X bridges too."""
    points = [[0.0, 0.0], *groove, [5.0, 0.0]]
    found = [lengths(profile(points, x=width))[0] for width in (0.0, 0.5, 0.8, 1.0, 1.2, 1.5, 2.0)]

    assert all(after <= before + 1e-9 for before, after in pairwise(found))


def test_a_path_in_a_section_names_its_joint_and_its_contour() -> None:
    """A joint is told as one, and a path that follows a groove is not called straight."""
    seat = [[0.0, 0.0], [2.0, 0.0], [2.0, -0.5], [2.8, -0.5], [2.8, 0.0], [5.0, 0.0]]
    joint = profile(seat, shape(Role.BARRIER, "wall", rectangle(2.0, -0.5, 2.8, 3.0)))
    wide = profile([[0.0, 0.0], [2.0, 0.0], [2.0, -2.0], [3.2, -2.0], [3.2, 0.0], [5.0, 0.0]])

    assert joint.creepage is not None
    assert wide.creepage is not None
    assert "through the joint at wall" in joint.creepage.told
    assert wide.creepage.told == "along the surface from part A to part B"


def told(*more: BoardFeature) -> tuple[str, str]:
    """Return how creepage and clearance are told between two parts that lie 6 mm apart on a flat board."""
    board = drawn(
        outline(rectangle(-9.0, -1.6, 9.0, 0.0)),
        pad("part A", "mains L", rectangle(-4.0, 0.0, -2.0, 0.1)),
        pad("part B", "pilot", rectangle(4.0, 0.0, 6.0, 0.1)),
        *more,
        view=View.SECTION,
    )
    found = find_distances(board, ("mains", "pilot"), groove_x_mm=1.0)
    assert found.creepage is not None
    assert found.clearance is not None
    return found.creepage.told, found.clearance.told


@pytest.mark.hand("the way leads under the wall, whose foot is level with the board, and in air over its top")
@pytest.mark.parametrize("left", [-2.0, 0.0, 3.0], ids=["flush with part A", "between", "flush with part B"])
def test_a_joint_is_told_wherever_the_wall_stands(left: float) -> None:
    """Also where the wall is flush with a part, and the way goes straight on before or behind it."""
    wall = shape(Role.BARRIER, "wall", rectangle(left, 0.0, left + 1.0, 3.0))

    assert told(wall) == ("through the joint at wall, from part A to part B", "round wall, from part A to part B")


@pytest.mark.hand("from part A straight to the pad on the wall, and from it straight to part B: round nothing")
def test_a_conductor_flush_with_the_corner_of_a_wall_is_not_gone_round() -> None:
    """The way ends at the conductor; that the wall has a corner there bends nothing."""
    wall = shape(Role.BARRIER, "wall", rectangle(0.0, 0.0, 1.0, 0.4), joint=Joint.CEMENTED)
    pad_on_top = floating("pad 7", rectangle(0.0, 0.4, 1.0, 0.5))

    assert told(wall, pad_on_top)[1] == "across pad 7, from part A to part B"


@pytest.mark.hand("the air over a rib 2 mm high bends at its two upper corners: it is not straight")
def test_a_bent_way_through_air_is_not_called_straight() -> None:
    """It leads round corners of what is solid."""
    rib = profile([[0, 0], [2, 0], [2, 2], [3, 2], [3, 0], [5, 0]])

    assert rib.clearance is not None
    assert rib.clearance.told == "through air round corners from part A to part B"
    assert told()[1] == "straight from part A to part B"

"""Virtual boards: their distances in closed form against published cases and against a search over the drawn shapes."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
import shapely
from scipy.sparse import csr_array
from scipy.sparse.csgraph import dijkstra

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.board import Role
from coldpin.simulator.board import VirtualBoard
from coldpin.simulator.board_crossing import Block, Crossing, UprightSlot, chain
from coldpin.simulator.board_layout import FAR, CrossingPlan, lay_out
from coldpin.simulator.random_board import draw_board

LEFT = Block(left=-1.0, low=-0.5, right=0.0, high=0.5)
RIGHT = Block(left=5.0, low=-0.5, right=6.0, high=0.5)
PAIRS = (("mains", "pilot"), ("mains", "low-voltage"), ("mains L", "mains N"), ("mains", "earth"))
SAGITTA = 2.0 * 2.0 * (np.pi - 2.0 * 23 * np.sin(np.pi / 46))
"""By how much the outline of a round end of 2 mm width, drawn with 24 corners, can shorten the way round it. [mm]"""


def searched(board: VirtualBoard, one: str, other: str, groove_x: float) -> float:
    """Return the shortest way by Dijkstra over every corner of the drawing, every conductor passed for nothing.

    Slots as wide as ``groove_x`` are walked around.
    """
    wanted = [feature for feature in board.features if feature.role in (Role.FLOATING, Role.CONDUCTOR)]
    conductors = [shapely.Polygon(feature.outline) for feature in wanted]
    slots = [shapely.Polygon(feature.outline) for feature in board.features if feature.role is Role.SLOT]
    slots = [slot for slot in slots if slot.bounds[2] - slot.bounds[0] >= groove_x - 1e-9]
    # all of a net is one, and each floating part is one
    nets = [feature.net or feature.name for feature in wanted]
    belongs = {place: nets.index(net) for place, net in enumerate(nets)}
    corners = [(place, point) for place, polygon in enumerate(conductors) for point in polygon.exterior.coords[:-1]]
    corners += [(-1, point) for slot in slots for point in slot.exterior.coords[:-1]]
    for here, there in itertools.combinations(range(len(conductors)), 2):
        near = shapely.shortest_line(conductors[here], conductors[there]).coords
        corners += [(here, near[0]), (there, near[1])]
    owner = np.array([belongs.get(place, -1) for place, _ in corners])
    points = np.array([point for _, point in corners])
    rows, columns = np.triu_indices(len(points), 1)
    straight = np.hypot(*(points[rows] - points[columns]).T)
    lines = shapely.linestrings(np.stack([points[rows], points[columns]], axis=1))
    walkable = np.ones(len(rows), bool)
    for slot in slots:
        walkable &= ~shapely.intersects(lines, slot.buffer(-1e-6))
    same = (owner[rows] == owner[columns]) & (owner[rows] >= 0)
    cost = np.where(same, 0.0, straight)
    # zero is no edge to the matrix, so that passing a conductor costs next to nothing
    kept = walkable | same
    graph = csr_array((np.maximum(cost[kept], 1e-12), (rows[kept], columns[kept])), shape=(len(points),) * 2)
    starts = np.flatnonzero([place >= 0 and one in (wanted[place].net, wanted[place].group) for place in owner])
    ends = np.flatnonzero([place >= 0 and other in (wanted[place].net, wanted[place].group) for place in owner])
    return float(dijkstra(graph, directed=False, indices=starts, min_only=True)[ends].min())


@pytest.mark.published("reference plan cases p_slot, p_slot_round, p_slot in pollution degree 3, p_resistors")
def test_closed_forms_agree_with_the_published_cases() -> None:
    """Slots with square and round ends, a slot narrower than X, and three chip resistors in series."""
    square = UprightSlot(middle=2.5, width=1.0, low=-4.0, high=4.0, round_ends=False)
    parted = Crossing(name="c", nets=("mains L", "pilot CP"), left=LEFT, right=RIGHT, slot=square)
    rounded = UprightSlot(middle=2.5, width=1.0, low=-4.0, high=4.0)
    round_ = Crossing(name="c", nets=("mains L", "pilot CP"), left=LEFT, right=RIGHT, slot=rounded)
    string = Crossing(
        name="c",
        nets=("mains L", "pilot CP"),
        left=Block(left=-1.0, low=0.0, right=0.0, high=1.0),
        right=Block(left=9.4, low=0.0, right=10.4, high=1.0),
        floating=chain(0.0, (1.8, 1.8), (2.0, 2.0), low=0.0, high=1.0),
    )

    assert parted.creepage_mm(1.0) == pytest.approx(9.062258, abs=5e-7)
    assert parted.clearance_mm == 5.0
    assert parted.creepage_mm(1.5) == 5.0
    assert round_.creepage_mm(1.0) == pytest.approx(8.750414, abs=5e-7)
    assert string.clearance_mm == pytest.approx(5.4)


@pytest.mark.independent("Dijkstra over all corners and nearest points of the drawn shapes, with shapely and scipy")
def test_a_search_over_the_drawing_finds_the_same(proving: bool) -> None:
    """No way leads round the crossings: what a search finds on the drawing is what the crossings say."""
    for seed in range(60 if proving else 6):
        board = draw_board(np.random.default_rng(seed), crossings=3 + seed % 3)
        for pair in PAIRS:
            assert searched(board, *pair, np.inf) == pytest.approx(board.clearance_mm(*pair), abs=1e-6)
        for x in (1.0, 1.5):
            found = searched(board, "mains", "pilot", x)
            true = board.creepage_mm("mains", "pilot", groove_x_mm=x)
            assert true - SAGITTA <= found <= true + 1e-6


@pytest.mark.hand("symmetry")
def test_the_way_round_a_slot_takes_its_nearer_end() -> None:
    """A slot that reaches less far below than above is walked around below."""
    slot = UprightSlot(middle=2.5, width=1.0, low=-3.0, high=6.0)
    mirrored = UprightSlot(middle=2.5, width=1.0, low=-6.0, high=3.0)
    ways = [
        Crossing(name="c", nets=("a", "b"), left=LEFT, right=RIGHT, slot=one).creepage_mm(1.0)
        for one in (slot, mirrored)
    ]

    assert ways[0] == pytest.approx(ways[1])
    assert ways[0] < slot.round_the_top((0.0, 0.5), (5.0, 0.5))


def test_drawn_boards_hold_every_kind_of_place() -> None:
    """Over some seeds all kinds are there, and all their distances are ones that a bench meets."""
    seen = set()
    for seed in range(40):
        board = draw_board(np.random.default_rng(seed))
        for crossing in board.crossings:
            seen.add((crossing.part, bool(crossing.floating), crossing.slot is not None))
            assert 1.4 < crossing.clearance_mm <= crossing.creepage_mm(0.5) <= FAR
            assert all(gap >= 1.5 for gap in crossing.gaps) or not crossing.floating

    assert {part for part, _, _ in seen} == {"", "optocoupler", "relay", "connector", "resistors"}
    assert ("", False, True) in seen


def test_what_cannot_be_laid_out_is_said() -> None:
    """Too long a way, no plan, no such pair of nets, an empty block, a slot that does not part."""
    with pytest.raises(OutsideRange, match="plan it shorter"):
        lay_out([CrossingPlan(gap_mm=8.0, slot_mm=2.0, beyond_mm=4.0)])
    with pytest.raises(OutsideRange, match="give a plan"):
        lay_out([])
    with pytest.raises(OutsideRange, match="two or more"):
        draw_board(np.random.default_rng(1), crossings=1)
    with pytest.raises(UnknownName, match="earth PE to mains L"):
        lay_out([CrossingPlan()]).between("pilot", "earth")
    with pytest.raises(OutsideRange, match="is empty"):
        Block(left=0.0, low=0.0, right=0.0, high=1.0)
    with pytest.raises(OutsideRange, match="longer than wide"):
        UprightSlot(middle=0.0, width=2.0, low=0.0, high=1.0)
    with pytest.raises(OutsideRange, match="both its sides"):
        UprightSlot(middle=0.0, width=1.0, low=0.0, high=5.0).round_the_top((1.0, 0.0), (2.0, 0.0))

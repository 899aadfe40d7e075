"""Creepage on random boards against a brute-force graph, and what must hold whatever is drawn.

The reference knows nothing of tangents, of feet or of bounds: it strews points along every rim, joins every pair that
an independent predicate calls free, and lets scipy find the shortest way. Whatever it finds can be walked, so the exact
path may never be longer. That the exact path can be walked too is tried leg by leg, so it is not shorter than the truth
either.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra
from shapely.affinity import rotate

from coldpin.insulation.distances import EVERY_GAP, find_distances
from coldpin.records.board import BoardFeature, BoardModel, Role
from coldpin.records.distance import FoundDistances, IsolationPath, Leg
from tests.board_drawing import drawn, floating, outline, pad, rectangle, slot
from tests.insulation.small_gaps_walked import NONE, small_gaps

WIDTH, HEIGHT = 24.0, 16.0
STREWN = 0.35
"""Points stand along a rim at no more than this. [mm]"""


def ring(area: shapely.Polygon) -> NDArray[np.float64]:
    """Return the corners of a polygon."""
    return shapely.get_coordinates(area.exterior)[:-1]


class Draughtsman:
    """Who draws random shapes, and keeps some of them apart from each other."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.taken: list[shapely.Polygon] = []

    def bar(self, length: tuple[float, float], width: tuple[float, float], left: float = 2.0) -> shapely.Polygon:
        """Return a bar somewhere on the board, turned somehow."""
        while True:
            along, across = self.random.uniform(*length), self.random.uniform(*width)
            x, y = self.random.uniform(left, left + WIDTH - 10.0), self.random.uniform(2.0, HEIGHT - 2.0)
            turned = rotate(shapely.box(x, y, x + along, y + across), self.random.choice([90.0, 70.0, 110.0, 0.0]))
            if shapely.contains(shapely.box(0.5, 0.5, WIDTH - 0.5, HEIGHT - 0.5), turned):
                return turned

    def bent(self) -> shapely.Polygon:
        """Return two bars that meet."""
        one = self.bar((3.0, 9.0), (0.3, 1.6))
        other = shapely.set_precision(one, 0.01).union(rotate(one, 70.0, origin=tuple(ring(one)[0])), grid_size=0.01)
        return shapely.Polygon(other.exterior) if isinstance(other, shapely.Polygon) else one

    def apart(self, length: tuple[float, float], width: tuple[float, float], left: float = 2.0) -> shapely.Polygon:
        """Return a bar that touches none of those before."""
        while True:
            area = self.bar(length, width, left)
            if all(area.distance(other) > 0.05 for other in self.taken):
                self.taken.append(area)
                return area


def random_board(seed: int, *, groove_x_mm: float) -> BoardModel:
    """Return a board with pads, floating parts and slots at random; with X, slots apart from all else."""
    hand = Draughtsman(seed)
    features = [outline(rectangle(0.0, 0.0, WIDTH, HEIGHT))]
    nets = {"mains L": 1.0, "mains N": 1.0, "pilot": 10.0, "earth": 5.0, "low voltage": 5.0}
    features += [pad(f"pad of {net}", net, ring(hand.apart((1, 3), (0.8, 2), left))) for net, left in nets.items()]
    count = int(hand.random.integers(0, 4))
    features += [floating(f"floating {index}", ring(hand.apart((0.8, 3), (0.6, 1.5), 5.0))) for index in range(count)]
    for index in range(int(hand.random.integers(4, 9))):
        if groove_x_mm > 0.0:
            width = float(hand.random.choice([0.7, 1.3])) * groove_x_mm
            area = hand.apart((3.0, 8.0), (width, width), 5.0)
        else:
            area = hand.bent() if hand.random.random() < 0.5 else hand.bar((4.0, 12.0), (0.1, 1.5), 5.0)
        features.append(slot(f"slot {index}", ring(area)))
    return drawn(*features)


def areas(board: BoardModel, *roles: Role) -> list[tuple[BoardFeature, shapely.Polygon]]:
    """Return shapes with their areas."""
    return [(shape, shapely.Polygon(shape.outline)) for shape in board.features if shape.role in roles]


def walked_slots(board: BoardModel, groove_x_mm: float) -> shapely.Geometry:
    """Return the slots that are walked round, of rectangles those as wide as X, and what lies beside the board."""
    slots = [
        area
        for _, area in areas(board, Role.SLOT)
        if groove_x_mm == 0.0 or min(*map(math.dist, ring(area)[:2], ring(area)[1:3])) >= groove_x_mm
    ]
    metal = shapely.union_all([area for _, area in areas(board, Role.CONDUCTOR, Role.FLOATING)])
    beside = shapely.box(-9.0, -9.0, WIDTH + 9.0, HEIGHT + 9.0).difference(shapely.box(0.0, 0.0, WIDTH, HEIGHT))
    return shapely.difference(shapely.union_all([*slots, beside]), metal)


def brute_force(board: BoardModel, groove_x_mm: float) -> tuple[float, float]:
    """Return the shortest walk from mains to pilot among strewn points, every gap counted, and with none under X."""
    walls = walked_slots(board, groove_x_mm)
    points, owners = [], []
    numbers: dict[str, int] = {}
    for shape, area in areas(board, Role.CONDUCTOR, Role.FLOATING):
        strewn = shapely.get_coordinates(shapely.segmentize(area.exterior, STREWN))
        points.append(strewn)
        owners.append(np.full(len(strewn), numbers.setdefault(shape.net or shape.name, len(numbers))))
    corners = shapely.get_coordinates(walls)
    points.append(corners)
    owners.append(np.full(len(corners), -1))
    places, owner = np.concatenate(points), np.concatenate(owners)
    one, other = np.triu_indices(len(places), 1)
    kept = (owner[one] != owner[other]) | (owner[one] < 0)
    one, other = one[kept], other[kept]
    lines = shapely.linestrings(np.stack([places[one], places[other]], axis=1))
    hidden = shapely.buffer(walls, -1e-6)
    shapely.prepare(hidden)
    seen = ~shapely.intersects(hidden, lines)
    hubs = np.flatnonzero(owner >= 0)
    count = len(places)
    begin = np.concatenate([one[seen], hubs])
    end = np.concatenate([other[seen], count + owner[hubs]])
    step = np.hypot(*(places[one[seen]] - places[other[seen]]).T)
    cost = np.concatenate([np.maximum(step, NONE), np.full(len(hubs), NONE)])
    gaps = small_gaps(
        begin,
        end,
        cost,
        owner=np.concatenate([owner, np.arange(len(numbers))]),
        hubs={number: count + number for number in numbers.values()},
        floating={numbers[shape.name] for shape, _ in areas(board, Role.FLOATING)},
        gap_mm=groove_x_mm,
    )
    sources = [count + number for net, number in numbers.items() if net.startswith("mains")]
    walks = []
    for jumps in ([], gaps):
        starts, ends = (np.array([gap[side] for gap in jumps], dtype=np.intp) for side in (0, 1))
        columns = np.append(begin, starts), np.append(end, ends)
        steps = np.append(cost, np.full(len(jumps), NONE))
        graph = coo_array((steps, columns), shape=(count + len(numbers),) * 2).tocsr()
        lengths = dijkstra(graph, directed=False, indices=sources, min_only=True)
        walks.append(min(lengths[count + number] for net, number in numbers.items() if net.startswith("pilot")))
    return float(walks[0]), float(walks[1])


def every_gap(found: FoundDistances) -> IsolationPath | None:
    """Return the creepage path by the reading that counts every gap."""
    others = [path for path in found.other_readings if path.kind == "creepage" and path.reading == EVERY_GAP]
    return others[0] if others else found.creepage


def assert_walkable(board: BoardModel, path: IsolationPath, groove_x_mm: float) -> None:
    """Every leg that counts lies on the surface, and each jump lies in the conductors of one net."""
    hidden = shapely.buffer(walked_slots(board, groove_x_mm), -1e-5)
    metal = areas(board, Role.CONDUCTOR, Role.FLOATING)
    for leg in path.legs:
        if leg.leg is not Leg.CONDUCTOR:
            assert leg.counted_mm == pytest.approx(math.dist(leg.start, leg.end), abs=1e-9)
            assert not shapely.intersects(hidden, shapely.LineString([leg.start, leg.end]))
            continue
        nets = [
            {shape.net or shape.name for shape, area in metal if area.distance(shapely.Point(place)) < 1e-6}
            for place in (leg.start, leg.end)
        ]
        assert nets[0] & nets[1]
    ends = [next(shape.net for shape, _ in metal if shape.name == name) for name in path.between]
    assert [net.split()[0] for net in ends] == ["mains", "pilot"]


@pytest.mark.independent("a brute-force graph of strewn points, joined by predicates of shapely, solved by scipy")
@pytest.mark.parametrize("groove_x_mm", [0.0, 1.0])
def test_no_path_is_longer_than_one_that_brute_force_walks(groove_x_mm: float, proving: bool) -> None:
    """On random boards the exact creepage can be walked, and nothing that can be walked is shorter."""
    nearest = across = 0
    for seed in range(150 if proving else 30):
        board = random_board(seed, groove_x_mm=groove_x_mm)
        found = find_distances(board, ("mains", "pilot"), groove_x_mm=groove_x_mm)
        reference, without_small_gaps = brute_force(board, groove_x_mm)
        path = every_gap(found)

        if not math.isfinite(reference):
            assert path is None
            continue
        assert path is not None
        assert path.length_mm <= reference + 1e-6, seed
        assert found.creepage is not None
        assert found.creepage.length_mm <= without_small_gaps + 1e-6, seed
        across += without_small_gaps < 0.999 * path.length_mm
        assert_walkable(board, path, groove_x_mm)
        for other in found.next_creepage:
            assert other.length_mm >= found.creepage.length_mm - 1e-9, "a tie is rounded"
        nearest += reference <= path.length_mm + 0.05
    assert nearest >= (75 if proving else 15)
    assert across >= (0 if groove_x_mm == 0.0 else 20 if proving else 4)


@pytest.mark.independent("gaps between every two shapes by shapely, those under X made nothing, solved by scipy")
def test_gaps_that_count_nothing_are_found_however_near_the_bound_they_lie(proving: bool) -> None:
    """Among pads and floating parts alone, a path is as short as the gaps between all of them make it."""
    jumps = 0
    for seed in range(2000 if proving else 250):
        board, groove_x_mm = scattered(seed)
        shapes = areas(board, Role.CONDUCTOR, Role.FLOATING)
        every = [area for _, area in shapes]
        gaps = shapely.distance(np.array(every)[:, None], np.array(every)[None])
        loose = np.array([shape.role is Role.FLOATING for shape, _ in shapes])
        counted = np.where((loose[:, None] | loose[None]) & (gaps < groove_x_mm), 0.0, gaps)
        wanted = float(dijkstra(csr_array(np.maximum(counted, NONE)), indices=np.array([0]))[0, 1])
        jumps += wanted < 0.999 * gaps[0, 1]
        for next_count in (0, 3) if proving else (0,):
            found = find_distances(board, ("mains", "pilot"), groove_x_mm=groove_x_mm, next_count=next_count)
            assert found.creepage is not None
            assert found.creepage.length_mm == pytest.approx(wanted, abs=1e-6), seed
    assert jumps >= (400 if proving else 50)


@pytest.mark.hand("0.2 to 1.772 across, 1.45 over one pad; to the other √(1.228² + 1.45²) = 1.9001")
@pytest.mark.parametrize("thickness_mm", [None, 1.6])
@pytest.mark.parametrize("next_count", [0, 3])
def test_a_wide_gap_that_counts_nothing_is_found_beside_a_shorter_straight_one(
    thickness_mm: float | None, next_count: int
) -> None:
    """With 1.45 mm dropped, 1.90 mm across a floating part is less than 2.00 mm straight; drawn, it is longer."""
    board = drawn(
        outline(rectangle(-10.0, -10.0, 14.0, 14.0)),
        pad("pad 1", "mains L", rectangle(0.0, 0.0, 1.0, 1.0)),
        pad("pad 2", "pilot", rectangle(3.0, 0.0, 4.0, 1.0)),
        floating("part 3", rectangle(0.2, 2.45, 1.772, 4.0)),
        thickness_mm=thickness_mm,
    )
    found = find_distances(board, ("mains", "pilot"), groove_x_mm=1.5, next_count=next_count)

    assert found.creepage is not None
    assert found.clearance is not None
    assert found.creepage.length_mm == pytest.approx(math.hypot(1.228, 1.45), abs=1e-6)
    assert found.clearance.length_mm == pytest.approx(math.hypot(1.228, 1.45), abs=1e-6)
    assert {path.length_mm for path in found.other_readings} == {2.0}


def scattered(seed: int) -> tuple[BoardModel, float]:
    """Return two pads and some floating parts, all near each other, and a width X of about the gaps between them."""
    hand = Draughtsman(seed)
    random = hand.random
    drawn_shapes = [pad("pad of mains", "mains L", ring(shapely.box(0.0, 0.0, 1.0, 1.0)))]
    hand.taken.append(shapely.box(0.0, 0.0, 1.0, 1.0))
    names = ["pilot", *(f"floating {index}" for index in range(int(random.integers(1, 4))))]
    while names:
        x, y = random.uniform(-4.0, 6.0, 2)
        area = shapely.box(x, y, x + random.uniform(0.3, 2.0), y + random.uniform(0.3, 2.0))
        if all(area.distance(other) > 0.05 for other in hand.taken):
            hand.taken.append(area)
            name = names.pop(0)
            drawn_shapes.append(pad(name, name, ring(area)) if name == "pilot" else floating(name, ring(area)))
    return drawn(*drawn_shapes), float(random.uniform(0.5, 2.0))

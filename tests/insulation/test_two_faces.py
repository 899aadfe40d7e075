"""Random boards of two faces: what is told is never longer than what was walked, and hardly shorter."""

from __future__ import annotations

import csv
import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from coldpin.insulation.distances import EVERY_GAP, find_distances
from coldpin.insulation.edge_points import EdgePoints, crossings, halved
from coldpin.insulation.line_graph import GraphLines, LineGraph
from coldpin.insulation.path_graph import Hop, PathGraph, drop_small_gaps
from coldpin.insulation.plane_lines import Lines
from coldpin.insulation.surfaces import conducts
from coldpin.records.board import BoardModel, Face, Role
from coldpin.records.distance import FoundDistances, IsolationPath, Leg, PathKind
from tests.board_drawing import floating, slot
from tests.insulation.test_brute_force import Draughtsman, ring
from tests.insulation.two_faces_walked import Walk, faced_board, rims

PINNED = Path(__file__).with_name("two_faces.csv")
HIDDEN = 2.0 / 64.0
"""What the last pieces of an edge may hide, for each time a path goes over one. [mm]"""

CONFIGURATIONS = ((0.0, 1.6), (1.0, 0.8))
"""Width X and thickness. [mm]"""


def every_gap(found: FoundDistances, kind: PathKind) -> IsolationPath | None:
    """Return the path by the reading that counts every gap."""
    others = [path for path in found.other_readings if path.kind is kind and path.reading == EVERY_GAP]
    return others[0] if others else (found.creepage if kind is PathKind.CREEPAGE else found.clearance)


def found_on(board: BoardModel, groove_x_mm: float) -> FoundDistances:
    """Return the distances from mains to pilot."""
    return find_distances(board, ("mains", "pilot"), groove_x_mm=groove_x_mm, next_count=0)


def told(board: BoardModel, groove_x_mm: float) -> tuple[float, float]:
    """Return creepage and clearance, infinite where there is none."""
    return lengths(found_on(board, groove_x_mm))


def lengths(found: FoundDistances) -> tuple[float, float]:
    """Return creepage and clearance, infinite where there is none."""
    creepage, clearance = (math.inf if path is None else path.length_mm for path in (found.creepage, found.clearance))
    return creepage, clearance


def over_edges(path: IsolationPath) -> int:
    """Return how often a path goes over an edge."""
    return sum(leg.leg is Leg.EDGE for leg in path.legs)


@pytest.mark.pinned(
    "each line tried at every spacing as an object, from points held apart by 1/64 mm where 500 sufficed"
)
def test_no_path_is_longer_than_one_found_whole_before(proving: bool) -> None:
    """Told is no longer than a whole path of the slower search, and shorter only by what the pieces hide."""
    boards: dict[tuple[int, float, float], FoundDistances] = {}
    rows = list(csv.DictReader(PINNED.read_text(encoding="utf-8").splitlines()))
    most = max(int(row["seed"]) for row in rows) + 1 if proving else 5
    held = [row for row in rows if int(row["seed"]) < most]
    for row in held:
        key = int(row["seed"]), float(row["groove_x_mm"]), float(row["thickness_mm"])
        if key not in boards:
            boards[key] = found_on(faced_board(key[0], groove_x_mm=key[1], thickness_mm=key[2]), key[1])
        path = every_gap(boards[key], PathKind(row["kind"]))
        assert path is not None
        assert path.length_mm <= float(row["whole_mm"]) + 1e-6, row
        assert path.length_mm >= float(row["told_mm"]) - HIDDEN * over_edges(path) - 1e-6, row
    assert len(held) >= 4 * most - 2


@pytest.mark.independent("a graph of points strewn over both faces and their rims, joined by shapely, solved by scipy")
@pytest.mark.parametrize(("groove_x_mm", "thickness_mm"), CONFIGURATIONS)
def test_no_path_is_longer_than_one_that_was_walked(groove_x_mm: float, thickness_mm: float, proving: bool) -> None:
    """On random boards nothing that can be walked over both faces is shorter than what is told."""
    spacing, count = (0.12, 30) if proving else (0.4, 3)
    near = over = 0
    for seed in range(100, 100 + count):
        board = faced_board(seed, groove_x_mm=groove_x_mm, thickness_mm=thickness_mm)
        found = found_on(board, groove_x_mm)
        for kind in PathKind:
            walk = Walk(board, groove_x_mm, spacing_mm=spacing, hugging=kind is PathKind.CREEPAGE)
            walked, path = walk.shortest("mains", "pilot"), every_gap(found, kind)
            if not math.isfinite(walked):
                assert path is None
                continue
            assert path is not None
            assert path.length_mm <= walked + 1e-6, (seed, kind)
            across = walk.shortest("mains", "pilot", uncounted_gap_mm=groove_x_mm)
            least = found.creepage if kind is PathKind.CREEPAGE else found.clearance
            assert least is not None
            assert least.length_mm <= across + 1e-6, (seed, kind)
            assert math.fsum(leg.counted_mm for leg in path.legs) == pytest.approx(path.length_mm)
            near += walked <= path.length_mm + 2.0 * spacing * max(1, over_edges(path))
            over += over_edges(path) > 0
    assert near >= 1.5 * count
    assert over >= count


def test_more_copper_and_the_other_end(proving: bool) -> None:
    """What holds of one face holds of two, but for what the pieces of the edges hide."""
    for seed in range(200, 230 if proving else 202):
        for groove_x_mm, thickness_mm in CONFIGURATIONS:
            board = faced_board(seed, groove_x_mm=groove_x_mm, thickness_mm=thickness_mm)
            hand = Draughtsman(seed + 7)
            hand.bar((3.0, 9.0), (1.3, 1.6), 5.0)
            metal = floating("one more part", ring(hand.bar((1.0, 3.0), (0.6, 1.6), 5.0)))
            found = found_on(board, groove_x_mm)
            hidden = 1e-6 + HIDDEN * max(1, *(over_edges(path) for path in (found.creepage, found.clearance) if path))
            plain = lengths(found)
            with_metal = told(replace(board, features=(*board.features, metal)), groove_x_mm)
            mirrored = [replace(its, outline=its.outline * (-1.0, 1.0)) for its in board.features]
            turned = told(replace(board, features=tuple(mirrored)), groove_x_mm)
            back = find_distances(board, ("pilot", "mains"), groove_x_mm=groove_x_mm, next_count=0)

            assert plain[1] <= plain[0] + 1e-9
            assert with_metal[0] <= plain[0] + hidden
            assert with_metal[1] <= plain[1] + hidden
            assert turned == pytest.approx(plain, abs=hidden)
            assert back.creepage is not None
            assert back.creepage.length_mm == pytest.approx(plain[0], abs=1e-6)


def with_slot(board: BoardModel, seed: int) -> BoardModel:
    """Return a board with one slot more, somewhere."""
    less = slot("one more slot", ring(Draughtsman(seed + 7).bar((3.0, 9.0), (1.3, 1.6), 5.0)))
    return replace(board, features=(*board.features, less))


def walk_on(board: BoardModel, groove_x_mm: float, spacing_mm: float, kind: PathKind) -> float:
    """Return the shortest walk among strewn points, every gap counted."""
    walk = Walk(board, groove_x_mm, spacing_mm=spacing_mm, hugging=kind is PathKind.CREEPAGE)
    return walk.shortest("mains", "pilot")


def over_a_new_wall(path: IsolationPath, board: BoardModel, cut: BoardModel) -> bool:
    """Say whether a path goes over an edge of a board that it had not before it was cut."""
    before = rims(board)
    new = [rim for rim in rims(cut) if not any(shapely.equals(rim, its) for its in before)]
    places = [shapely.Point(leg.start) for leg in path.legs if leg.leg is Leg.EDGE]
    return any(rim.distance(place) < 1e-6 for rim in new for place in places)


@pytest.mark.independent("the walk among strewn points, where the wall of the slot is gone over")
def test_a_slot_shortens_only_what_goes_over_its_own_wall(proving: bool) -> None:
    """A slot takes surface from both faces and gives its wall, on which alone a path may come to be shorter.

    It is never shorter than with all copper on one face, where the slot is worth what it is on one face.
    """
    spacing = 0.25 if proving else 0.4
    opened = kept = shorter = near = 0
    every = product(range(200, 230), CONFIGURATIONS)
    for seed, (groove_x_mm, thickness_mm) in every if proving else ((224, CONFIGURATIONS[0]), (210, CONFIGURATIONS[1])):
        board = faced_board(seed, groove_x_mm=groove_x_mm, thickness_mm=thickness_mm)
        cut = with_slot(board, seed)
        plain, found = found_on(board, groove_x_mm), found_on(cut, groove_x_mm)
        flat = dict(zip(PathKind, told(on_one_face(cut), groove_x_mm)[::-1], strict=True))
        for kind in PathKind:
            before, path = every_gap(plain, kind), every_gap(found, kind)
            assert before is not None
            if path is None:
                assert math.isinf(walk_on(cut, groove_x_mm, spacing, kind)), "the slot cuts the board in two"
                continue
            hidden = HIDDEN * over_edges(path) + 1e-6
            assert path.length_mm >= flat[kind] - hidden, (seed, kind)
            shorter += path.length_mm < before.length_mm - hidden
            if not over_a_new_wall(path, board, cut):
                kept += 1
                assert path.length_mm >= before.length_mm - hidden, (seed, kind)
                continue
            opened += 1
            walked = walk_on(cut, groove_x_mm, spacing, kind)
            assert path.length_mm <= walked + 1e-6, (seed, kind)
            if "narrower than X" in path.told:
                continue  # what copper or another slot leaves of a slot may be narrow; the walk goes by the whole of it
            near += 1
            assert path.length_mm >= walked - 2.0 * spacing * over_edges(path), (seed, kind)
    assert near >= (12 if proving else 2)
    assert min(opened, shorter) >= (12 if proving else 2)
    assert kept >= (50 if proving else 1)


def on_one_face(board: BoardModel) -> BoardModel:
    """Return a board with all that conducts on one face, and no other face."""
    return replace(board, features=tuple(replace(its, face=None) for its in board.features), thickness_mm=None)


def test_a_slot_never_shortens_where_all_copper_is_on_one_face(proving: bool) -> None:
    """The other face has nothing of use: each path over it has one no longer above it, on the first."""
    for seed in range(200, 230 if proving else 201):
        for groove_x_mm, thickness_mm in CONFIGURATIONS:
            flat = on_one_face(faced_board(seed, groove_x_mm=groove_x_mm, thickness_mm=thickness_mm))
            lengths = []
            for plain in (flat, with_slot(flat, seed)):
                on_top = [replace(its, face=Face.TOP) if conducts(its) else its for its in plain.features]
                thick = told(replace(plain, features=tuple(on_top), thickness_mm=thickness_mm), groove_x_mm)
                assert thick == pytest.approx(told(plain, groove_x_mm), abs=1e-6)
                lengths.append(thick)
            assert lengths[1][0] >= lengths[0][0] - 1e-6
            assert lengths[1][1] == pytest.approx(lengths[0][1], abs=1e-6)


def test_what_counts_of_a_way_over_an_edge_is_less_than_any_way_over_its_pieces() -> None:
    """Whatever place of its piece a path leaves by, walking to the point is made up for; halves say no less."""
    random = np.random.default_rng(5)
    wall = shapely.LinearRing(shapely.Point(0.0, 0.0).buffer(2.0, quad_segs=3).exterior.coords)
    for hugging in (True, False):
        points = EdgePoints(
            edge=np.zeros(8, dtype=np.intp),
            along=(np.arange(8) + 0.5) * wall.length / 8,
            places=placed(wall, (np.arange(8) + 0.5) * wall.length / 8),
            spacing=np.full(8, wall.length / 8),
            ahead=np.zeros((2, 8)),
            behind=np.zeros((2, 8)),
            spare=np.zeros(8),
            limits=np.full(8, math.inf),
        )
        lowest = []
        for strewn in (points, halved([wall], points)):
            over = crossings([wall], strewn, thickness_mm=1.6, hugging=hugging)
            assert len(over.upper) == len(strewn.edge) ** 2
            off = random.uniform(-0.5, 0.5, (2, len(over.upper))) * strewn.spacing[0]
            top, bottom = strewn.along[over.upper] + off[0], strewn.along[over.lower] + off[1]
            apart = np.abs(top - bottom)
            apart = np.minimum(apart, wall.length - apart)
            if not hugging:
                apart = np.hypot(*(placed(wall, top) - placed(wall, bottom)).T)
            way = np.hypot(apart, 1.6)
            assert np.all(over.counted <= way - np.abs(off).sum(axis=0) + 1e-12)
            assert np.all(over.counted <= over.walked)
            lowest.append(over.counted.min())
        assert lowest[1] > lowest[0]


def placed(wall: shapely.LinearRing, along: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return where on a ring points lie, by how far along it they are."""
    return shapely.get_coordinates(shapely.line_interpolate_point(wall, along % wall.length))


def random_lines(seed: int) -> tuple[int, list[tuple[int, int, float]]]:
    """Return a number of nodes and edges between them, some of no length, some doubled."""
    random = np.random.default_rng(seed)
    edges = [
        (int(one), int(other), float(random.choice([0.0, random.uniform(0.1, 3.0)], p=[0.15, 0.85])))
        for one, other in random.integers(0, 30, (90, 2))
        if one != other
    ]
    return 30, edges


@pytest.mark.independent("the graph of objects, searched in plain Python")
def test_the_graph_of_columns_finds_what_the_graph_of_objects_does() -> None:
    """Edges of no length, doubled edges and small gaps beside floating islands give the same lengths."""
    nets = ("mains", "", "pilot", "", "earth")
    for seed in range(40):
        count, edges = random_lines(seed)
        plain = PathGraph(sources=[0], targets=[2], whole=True, edges=[[] for _ in range(count)])
        for one, other, length in edges:
            hop = Hop(start=(0.0, 0.0), end=(length, 0.0), counted=length, shapes=(-1, -1), corners=(-1, -1))
            plain.join(one, other, (hop,))
        none = np.full((len(edges), 2), -1, dtype=np.intp)
        lengths = np.array([length for _, _, length in edges])
        places = np.zeros((len(edges), 2))
        ends = places + lengths[:, None] * (1.0, 0.0)
        lines = Lines(starts=places, ends=ends, counted=lengths, shapes=none, corners=none)
        nodes = np.array([(one, other) for one, other, _ in edges], dtype=np.intp)
        columns = LineGraph.of(count, GraphLines.on(0, nodes, lines))

        assert columns.from_nodes(np.array([0])).lengths == pytest.approx(plain.from_nodes([0])[0])

        drop_small_gaps(nets, plain, 1.0, range(len(nets), count))
        columns = columns.with_small_gaps(nets, 1.0, range(len(nets), count))
        tree = columns.from_nodes(np.array([0]))

        assert tree.lengths == pytest.approx(plain.from_nodes([0])[0])
        way = columns.way(tree, 2)
        if math.isfinite(tree.lengths[2]):
            hops = [hop for edge in way for hop in columns.hops(edge)]
            assert math.fsum(hop.counted for hop in hops) == pytest.approx(tree.lengths[2])
            assert columns.shortest_walked(np.array([0]), np.array([2])) >= tree.lengths[2] - 1e-9


def test_the_random_boards_hold_what_the_tests_need() -> None:
    """Copper on one face, on the other and on both; slots; floating parts."""
    features = [its for seed in range(20) for its in faced_board(seed, groove_x_mm=1.0, thickness_mm=1.6).features]
    faces = [its.face for its in features if its.role in (Role.CONDUCTOR, Role.FLOATING)]

    assert min(faces.count(face) for face in set(faces)) > 10
    assert len(set(faces)) == 3

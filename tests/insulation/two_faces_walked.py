"""Ways over both faces of a random board, walked by brute force, and boards to walk on."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import dijkstra

from coldpin.records.board import BoardModel, Face, Role
from tests.insulation.small_gaps_walked import NONE, small_gaps
from tests.insulation.test_brute_force import areas, random_board, ring, walked_slots

STREWN = 0.4
"""Points stand along copper at no more than this. [mm]"""


def faced_board(seed: int, *, groove_x_mm: float, thickness_mm: float) -> BoardModel:
    """Return a random board whose copper lies on either face: mains on one, the pilot on the other or on both."""
    board = random_board(seed, groove_x_mm=groove_x_mm)
    random = np.random.default_rng(seed + 71)
    features = []
    for feature in board.features:
        face: Face | None = None
        if feature.role in (Role.CONDUCTOR, Role.FLOATING):
            face = [Face.TOP, Face.BOTTOM, None][int(random.choice(3, p=[0.4, 0.4, 0.2]))]
            face = Face.TOP if feature.net.startswith("mains") else face
            face = Face.BOTTOM if feature.net == "pilot" else face
        features.append(replace(feature, face=face))
    return replace(board, features=tuple(features), thickness_mm=thickness_mm)


def rims(board: BoardModel) -> list[shapely.LinearRing]:
    """Return where the board ends: its outline less its slots."""
    solid = shapely.union_all([area for _, area in areas(board, Role.BOARD)])
    slots = shapely.union_all([area for _, area in areas(board, Role.SLOT)])
    parts = shapely.get_parts(shapely.difference(solid, slots))
    return [rim for part in parts for rim in (part.exterior, *part.interiors)]


def along_rims(board: BoardModel, spacing_mm: float) -> tuple[NDArray[np.float64], ...]:
    """Return the number of the rim, how far along it, and where: points no further apart than a spacing."""
    number, along, places = [], [], []
    for index, rim in enumerate(rims(board)):
        steps = np.linspace(0.0, rim.length, math.ceil(rim.length / spacing_mm), endpoint=False)
        number.append(np.full(len(steps), index))
        along.append(steps)
        places.append(shapely.get_coordinates(shapely.line_interpolate_point(rim, steps)))
    return np.concatenate(number), np.concatenate(along), np.concatenate(places)


class Walk:
    """A graph of strewn points on both faces: copper costs nothing, walls are walked or their air is crossed."""

    def __init__(self, board: BoardModel, groove_x_mm: float, *, spacing_mm: float, hugging: bool) -> None:
        self.count = 0
        self.entries: list[tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.float64]]] = []
        self.numbers: dict[str, int] = {}
        for shape, _ in areas(board, Role.CONDUCTOR, Role.FLOATING):
            self.numbers.setdefault(shape.net or shape.name, len(self.numbers))
        self.floating = {self.numbers[shape.name] for shape, _ in areas(board, Role.FLOATING)}
        self.count = len(self.numbers)
        self.owners = [np.arange(self.count)]
        rim, along, places = along_rims(board, spacing_mm)
        first = [self.face(board, face, groove_x_mm, places, hugging) for face in Face]
        for number, ring_ in enumerate(rims(board)):
            on = np.flatnonzero(rim == number)
            apart = np.hypot(*(places[on, None] - places[None, on]).transpose(2, 0, 1))
            if hugging:
                apart = np.abs(along[on, None] - along[None, on])
                apart = np.minimum(apart, ring_.length - apart)
            upper, lower = np.meshgrid(first[0] + on, first[1] + on, indexing="ij")
            self.join(upper.ravel(), lower.ravel(), np.hypot(apart, board.thickness_mm or 0.0).ravel())

    def join(self, one: NDArray[np.intp], other: NDArray[np.intp], length: NDArray[np.float64]) -> None:
        """Add lines."""
        self.entries.append((one, other, np.maximum(length, NONE)))

    def face(self, board: BoardModel, face: Face, groove_x_mm: float, edge: NDArray[np.float64], hugging: bool) -> int:
        """Add a face, and return the number of its first point of an edge."""
        own = replace(board, features=tuple(shape for shape in board.features if shape.face in (None, face)))
        walls = walked_slots(own, groove_x_mm) if hugging else shapely.Polygon()
        places, owners = [edge], [np.full(len(edge), -1)]
        for shape, area in areas(own, Role.CONDUCTOR, Role.FLOATING):
            strewn = np.array(
                [
                    here + part * (there - here)
                    for here, there in pairwise([*ring(area), ring(area)[0]])
                    for part in np.linspace(0.0, 1.0, math.ceil(math.dist(here, there) / STREWN), endpoint=False)
                ]
            )
            places.append(strewn)
            owners.append(np.full(len(strewn), self.numbers[shape.net or shape.name]))
        corners = shapely.get_coordinates(walls)
        every, owner = np.concatenate([*places, corners]), np.concatenate([*owners, np.full(len(corners), -1)])
        first, self.count = self.count, self.count + len(every)
        self.owners.append(owner)
        one, other = np.triu_indices(len(every), 1)
        kept = (owner[one] != owner[other]) | (owner[one] < 0)
        one, other = one[kept], other[kept]
        if hugging:
            hidden = shapely.buffer(walls, -1e-6)
            shapely.prepare(hidden)
            seen = ~shapely.intersects(hidden, shapely.linestrings(np.stack([every[one], every[other]], axis=1)))
            one, other = one[seen], other[seen]
        self.join(first + one, first + other, np.hypot(*(every[one] - every[other]).T))
        copper = np.flatnonzero(owner >= 0)
        self.join(first + copper, owner[copper], np.zeros(len(copper)))
        for shape, area in areas(own, Role.CONDUCTOR, Role.FLOATING):
            under = np.flatnonzero(shapely.intersects(area, shapely.points(edge)))
            self.join(first + under, np.full(len(under), self.numbers[shape.net or shape.name]), np.zeros(len(under)))
        return first

    def shortest(self, start: str, end: str, *, uncounted_gap_mm: float = 0.0) -> float:
        """Return the shortest walk between two groups of nets; beside a floating part no gap under a width counts."""
        one, other, length = (np.concatenate(columns) for columns in zip(*self.entries, strict=True))
        order = np.lexsort((length, other, one))
        one, other, length = one[order], other[order], length[order]
        first = np.append(True, (np.diff(one) != 0) | (np.diff(other) != 0))
        one, other, length = one[first], other[first], length[first]
        gaps = small_gaps(
            one,
            other,
            length,
            owner=np.concatenate(self.owners),
            hubs={number: number for number in self.numbers.values()},
            floating=self.floating if uncounted_gap_mm > 0.0 else set(),
            gap_mm=uncounted_gap_mm,
        )
        one, other = (
            np.append(its, [gap[side] for gap in gaps]).astype(np.intp) for side, its in enumerate((one, other))
        )
        steps = np.append(length, np.full(len(gaps), NONE))
        graph = coo_array((steps, (one, other)), shape=(self.count, self.count)).tocsr()
        sources = [number for net, number in self.numbers.items() if net.startswith(start)]
        lengths = dijkstra(graph, directed=False, indices=sources, min_only=True)
        return float(min(lengths[number] for net, number in self.numbers.items() if net.startswith(end)))

"""Creepage in a section: along the edge of what is solid, with recesses bridged where texts bridge them.

In a section the surface is a line. A path follows it, and may leave it by a link of length X or less through the air of
a recess. Where a link may go the texts differ: IEC 60664-1 bridges any recess, in the least favourable place; the
product standards bridge walls that face each other under less than 80°. A square corner between a wall and a floor is
bridged by neither. Where walls run parallel and X or more apart, nothing is bridged.

Of all the places a link can have, a shortest path uses only a few: from a corner to where it is X long, to a foot, to
another corner; and between two walls where it leans on both alike. These are tried, and no others can do better.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, groupby, pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from coldpin.insulation.conductors import Conductors
from coldpin.insulation.path_graph import Hop, PathGraph, Place, Route, drop_small_gaps, hops_to
from coldpin.insulation.visibility import polygons_of, rings_of

NEAR_MM = 1e-7
"""Ours: what lies within this of a line lies on it. [mm]"""

_PARALLEL_MM = 1e-9
"""Ours: walls that are narrower than X by less than this are X apart, so that what is drawn X wide is followed. [mm]"""

TINY_MM = 1e-6
"""Ours: a corner nearer to a wall than this lies on it. [mm]"""

_WIDTHS = 8
"""Ours: links are tried at this many widths up to X, so that two of them can share a floor that one would take whole;
a wider X then allows what a narrower one did. [1]"""

_LEVEL = math.radians(10.0)
"""Ours: a wall that falls by less than this is a floor; the 80° of the product standards leave as much to a right
angle. [rad]"""

_STRAIGHT = 1e-9
"""Ours: sine of the angle under which two walls are parallel. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Section:
    """A section as creepage meets it: solids that may touch each other along joints, and conductors. [mm]"""

    conductors: Conductors
    solids: tuple[BaseGeometry, ...]
    from_nets: tuple[str, ...]
    to_nets: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Wall:
    """A straight piece of the edge of the air, with the air on its left; ``island`` is −1 on an insulating surface."""

    start: NDArray[np.float64]
    end: NDArray[np.float64]
    ring: int
    number: int
    island: int

    def along(self) -> NDArray[np.float64]:
        """Return its direction."""
        return np.asarray((self.end - self.start) / math.dist(self.start, self.end))

    def holds(self, place: NDArray[np.float64]) -> bool:
        """Say whether a place on its line lies on it."""
        return bool(
            math.dist(self.start, place) + math.dist(place, self.end) <= math.dist(self.start, self.end) + NEAR_MM
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Link:
    """A link through air between two walls, with its ends."""

    walls: tuple[int, int]
    start: Place
    end: Place


def creepage_in_section(
    section: Section,
    *,
    groove_x_mm: float,
    bridged_angle: float,
    any_recess: bool,
    uncounted_gap_mm: float | None,
    count: int,
) -> tuple[Route, ...]:
    """Return the shortest creepage path of a section by one reading, and the next ones to or across other conductors.

    Parameters
    ----------
    section : Section
        The section. [mm]
    groove_x_mm : float
        The width X. [mm]
    bridged_angle : float
        Walls that face each other under less than this are bridged. [rad]
    any_recess : bool
        Whether a recess is bridged too whose walls face each other under more, as long as both fall.
    uncounted_gap_mm : float or None
        A gap beside a floating part under this counts nothing; None counts every gap. [mm]
    count : int
        How many paths at most.

    Returns
    -------
    tuple of Route
        The shortest first; empty where no surface leads across.

    Sources
    -------
    IEC 60664-1, examples 1 to 10.
    """
    walls = _walls(section)
    links = [
        link
        for width in (groove_x_mm * part / _WIDTHS for part in range(_WIDTHS, 0, -1))
        for link in (*_candidates(walls, width), *(_meeting(walls, width) if width == groove_x_mm else ()))
        if _narrower(walls, link, width) and _admitted(walls, link, bridged_angle, any_recess=any_recess)
    ]
    links = _through_air(section, links)
    graph, first_corner = _graph(section, links)
    if uncounted_gap_mm is not None:
        corners = range(first_corner, len(graph.edges))
        drop_small_gaps(section.conductors.island_nets, graph, uncounted_gap_mm, corners)
    return tuple(_routes(section, graph, count))


def _metal(section: Section) -> BaseGeometry:
    """Return the area of all conductors."""
    return shapely.union_all(section.conductors.areas())


def _air(section: Section) -> BaseGeometry:
    """Return the air round everything."""
    everything = shapely.union_all([*section.solids, _metal(section)])
    return everything.envelope.buffer(10.0, join_style="mitre").difference(everything)


def _walls(section: Section) -> list[_Wall]:
    """Return the edge of the air, piece by piece, each of a surface or of a conductor."""
    conductors = section.conductors
    areas = conductors.areas()
    outside = _air(section)
    frame = shapely.box(*outside.bounds).exterior
    walls: list[_Wall] = []
    number = 0
    for polygon in polygons_of(shapely.remove_repeated_points(outside, NEAR_MM)):
        for ring in rings_of(polygon):
            if ring.distance(frame) <= NEAR_MM:
                continue
            for start, end in pairwise(shapely.get_coordinates(ring)):
                middle = shapely.Point(0.5 * (start + end))
                near = np.flatnonzero(shapely.distance(areas, middle) <= NEAR_MM)
                island = int(conductors.islands[near[0]]) if len(near) else -1
                walls.append(_Wall(start=start, end=end, ring=number, number=len(walls), island=island))
            number += 1
    return walls


def _candidates(walls: list[_Wall], width: float) -> Iterator[_Link]:
    """Yield the links that a shortest path can use, no longer than X."""
    for one in walls:
        for other in walls:
            if one.number == other.number or (one.island >= 0 and one.island == other.island):
                continue
            yield from _from_corner(one, other, width)
            if one.island >= 0 > other.island:
                yield from _square_to(one, other, width)
            if one.number < other.number and max(one.island, other.island) < 0:
                yield from _leaning(one, other, width)


def _from_corner(one: _Wall, other: _Wall, width: float) -> Iterator[_Link]:
    """Yield links from the corners of a wall: to a corner or a foot nearer than X, or to where it is X long."""
    along = other.along()
    for corner in (one.start, one.end):
        foot = other.start + float((corner - other.start) @ along) * along
        apart = math.dist(corner, foot)
        if apart >= width - _PARALLEL_MM:
            continue
        reach = math.sqrt(width**2 - apart**2)
        for place in (foot, foot + reach * along, foot - reach * along, other.start, other.end):
            if other.holds(place) and NEAR_MM < math.dist(corner, place) <= width + _PARALLEL_MM:
                yield _link(one, other, corner, place)


def _meeting(walls: list[_Wall], width: float) -> Iterator[_Link]:
    """Yield the links from two corners to where they meet on a wall between, as light would on a mirror."""
    corners = [(wall, wall.start) for wall in walls]
    for floor in walls:
        along = floor.along()
        across = np.array([-along[1], along[0]])
        near = [
            (wall, corner, float((corner - floor.start) @ along), float((corner - floor.start) @ across))
            for wall, corner in corners
            if TINY_MM < abs(float((corner - floor.start) @ across)) < width
        ]
        for (one, first, here, up), (other, last, there, over) in combinations(near, 2):
            place = floor.start + (here + (there - here) * up / (up + over)) * along if up * over > 0.0 else None
            if place is None or not floor.holds(place):
                continue
            for wall, corner in ((one, first), (other, last)):
                if wall.number != floor.number and math.dist(corner, place) <= width:
                    yield _link(wall, floor, corner, place)


def _square_to(metal: _Wall, wall: _Wall, width: float) -> Iterator[_Link]:
    """Yield the links that leave a conductor squarely and are X long where they meet the wall."""
    along = metal.along()
    across = np.array([-along[1], along[0]])
    slope = float(wall.along() @ across)
    if abs(slope) <= _STRAIGHT:
        return
    place = wall.start + (width - float((wall.start - metal.start) @ across)) / slope * wall.along()
    foot = place - width * across
    if wall.holds(place) and metal.holds(foot):
        yield _link(metal, wall, foot, place)


def _leaning(one: _Wall, other: _Wall, width: float) -> Iterator[_Link]:
    """Yield the links X long that lean alike on two walls: as far from where the walls meet on one as on the other."""
    first, second = one.along(), other.along()
    cross = float(first[0] * second[1] - first[1] * second[0])
    if abs(cross) <= _STRAIGHT:
        return
    offset = other.start - one.start
    meet = one.start + float(offset[0] * second[1] - offset[1] * second[0]) / cross * first
    for sign in (1.0, -1.0):
        for turned in (1.0, -1.0):
            ends = sign * first, turned * second
            chord = math.dist(*ends)
            if chord <= _STRAIGHT:
                continue
            far = width / chord
            places = meet + far * ends[0], meet + far * ends[1]
            if one.holds(places[0]) and other.holds(places[1]):
                yield _link(one, other, *places)


def _link(one: _Wall, other: _Wall, start: NDArray[np.float64], end: NDArray[np.float64]) -> _Link:
    """Return a link."""
    return _Link(
        walls=(one.number, other.number),
        start=(float(start[0]), float(start[1])),
        end=(float(end[0]), float(end[1])),
    )


def _narrower(walls: list[_Wall], link: _Link, width: float) -> bool:
    """Say whether a link is shorter than X, or becomes so when one of its ends moves on along its wall."""
    if math.dist(link.start, link.end) < width - _PARALLEL_MM:
        return True
    start, end = np.array(link.start), np.array(link.end)
    for wall, here, there in ((walls[link.walls[0]], start, end), (walls[link.walls[1]], end, start)):
        toward = float(wall.along() @ (there - here))
        if toward > NEAR_MM and math.dist(here, wall.end) > NEAR_MM:
            return True
        if toward < -NEAR_MM and math.dist(here, wall.start) > NEAR_MM:
            return True
    return False


def _admitted(walls: list[_Wall], link: _Link, bridged_angle: float, *, any_recess: bool) -> bool:
    """Say whether the recess behind a link is one that is bridged."""
    for start, end, first, last in (
        (link.start, link.end, *link.walls),
        (link.end, link.start, link.walls[1], link.walls[0]),
    ):
        inward = _inward(walls, np.array(start), np.array(end), first, last)
        if inward is None:
            continue
        one, other = inward
        angle = math.acos(max(-1.0, min(1.0, float(one @ other))))
        if angle < bridged_angle - _STRAIGHT:
            return True
        falls = min(-float(one[1]), -float(other[1]))
        if any_recess and falls > math.sin(_LEVEL):
            return True
    return False


def _inward(
    walls: list[_Wall], start: NDArray[np.float64], end: NDArray[np.float64], first: int, last: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]] | None:
    """Return the directions in which the walls lead on behind a link, the air on the left from its start to its end.

    None where nothing lies behind it on that side.
    """
    one, other = walls[first], walls[last]
    if math.dist(one.end, start) <= NEAR_MM:
        one = _after(walls, one)
    if math.dist(other.start, end) <= NEAR_MM:
        other = _before(walls, other)
    ahead, back = one.along(), -other.along()
    if one.ring != other.ring:
        return ahead, back
    path = [start, *(wall.end for wall in _until(walls, one, other)), end]
    area = 0.5 * sum(float(a[0] * b[1] - a[1] * b[0]) for a, b in pairwise([*path, path[0]]))
    return (ahead, back) if area > 0.0 and one.number != other.number else None


def _until(walls: list[_Wall], one: _Wall, other: _Wall) -> Iterator[_Wall]:
    """Yield the walls of a ring from one to the one before another."""
    wall = one
    while wall.number != other.number:
        yield wall
        wall = _after(walls, wall)


def _after(walls: list[_Wall], wall: _Wall) -> _Wall:
    """Return the next wall of a ring."""
    onward = wall.number + 1
    if onward < len(walls) and walls[onward].ring == wall.ring:
        return walls[onward]
    return next(one for one in walls if one.ring == wall.ring)


def _before(walls: list[_Wall], wall: _Wall) -> _Wall:
    """Return the wall of a ring before one."""
    back = wall.number - 1
    if back >= 0 and walls[back].ring == wall.ring:
        return walls[back]
    return next(one for one in reversed(walls) if one.ring == wall.ring)


def _through_air(section: Section, links: list[_Link]) -> list[_Link]:
    """Return the links that nothing stands in."""
    if not links:
        return []
    full = shapely.union_all([*section.solids, _metal(section)]).buffer(-NEAR_MM, join_style="mitre")
    lines = [shapely.LineString([link.start, link.end]) for link in links]
    stopped = shapely.intersects(full, np.array(lines, dtype=object))
    return [link for link, hit in zip(links, np.atleast_1d(stopped), strict=True) if not hit]


def _graph(section: Section, links: list[_Link]) -> tuple[PathGraph, int]:
    """Return the graph of surfaces, joints, conductors and links, and its first node that is no conductor."""
    conductors = section.conductors
    nets = [net for net in dict.fromkeys(conductors.island_nets) if net and len(conductors.islands_of([net])) > 1]
    first_net = len(conductors.island_nets)
    first_corner = first_net + len(nets)
    graph = PathGraph(
        sources=[int(island) for island in conductors.islands_of(section.from_nets)],
        targets=[int(island) for island in conductors.islands_of(section.to_nets)],
        whole=True,
        edges=[[] for _ in range(first_corner)],
    )
    for index, net in enumerate(nets):
        for island in conductors.islands_of([net]):
            graph.join(int(island), first_net + index, ())
    lines = _Lines(conductors, graph)
    metal = _metal(section)
    bare = [solid.difference(metal) for solid in section.solids]
    rims = [ring for solid in bare for polygon in polygons_of(solid) for ring in rings_of(polygon)]
    noded = shapely.node(shapely.MultiLineString(rims)) if rims else shapely.MultiLineString()
    ends = [shapely.Point(place) for link in links for place in (link.start, link.end)]
    for part in shapely.get_parts(noded):
        for start, end in pairwise(part.coords):
            piece = shapely.LineString([start, end])
            on = sorted(piece.project(point) for point in ends if piece.dwithin(point, NEAR_MM))
            stops = [start, *((at.x, at.y) for at in map(piece.interpolate, on)), end]
            for here, there in pairwise(stops):
                lines.join(here, there)
    for link in links:
        lines.join(link.start, link.end)
    return graph, first_corner


class _Lines:
    """The lines of a section as they come into its graph: places that lie on one another are one node."""

    def __init__(self, conductors: Conductors, graph: PathGraph) -> None:
        self.conductors = conductors
        self.areas = conductors.areas()
        self.graph = graph
        self.nodes: dict[tuple[int, int], int] = {}

    def join(self, start: Place, end: Place) -> None:
        """Add a straight line."""
        one, other = self.node(start), self.node(end)
        if one != other:
            length = math.dist(start, end)
            self.graph.join(
                one, other, (Hop(start=start, end=end, counted=length, shapes=(-1, -1), corners=(one, other)),)
            )

    def node(self, place: Place) -> int:
        """Return the node of a place, joined to the conductors it lies on."""
        column, row = (round(along / (10.0 * NEAR_MM)) for along in place)
        for step in ((i, j) for i in (0, -1, 1) for j in (0, -1, 1)):
            if (found := self.nodes.get((column + step[0], row + step[1]))) is not None:
                return found
        number = self.nodes[column, row] = len(self.graph.edges)
        self.graph.edges.append([])
        for shape in np.flatnonzero(shapely.distance(self.areas, shapely.Point(place)) <= NEAR_MM):
            hop = Hop(start=place, end=place, counted=0.0, shapes=(-1, int(shape)), corners=(number, -1))
            self.graph.join(number, int(self.conductors.islands[shape]), (hop,))
        return number


def _routes(section: Section, graph: PathGraph, count: int) -> Iterator[Route]:
    """Yield the shortest path, and the shortest that joins or crosses other conductors."""
    ahead, reached = graph.from_nodes(graph.sources)
    behind, leads = graph.from_nodes(graph.targets)
    through = sorted(
        (ahead[node] + step + behind[other], node, index)
        for node, edges in enumerate(graph.edges)
        for index, (other, step, _) in enumerate(edges)
        if math.isfinite(ahead[node] + step + behind[other])
    )
    nearest = min(graph.targets, key=lambda target: ahead[target])
    if math.isinf(ahead[nearest]):
        return
    yield Route(length=ahead[nearest], hops=hops_to(reached, nearest))
    known = {_islands(section, hops_to(reached, nearest))}
    for length, node, index in through:
        other, _, hops = graph.edges[node][index]
        onward = tuple(hop.turned() for hop in reversed(hops_to(leads, other)))
        whole = (*hops_to(reached, node), *hops, *onward)
        islands = _islands(section, whole)
        if len(known) >= count:
            return
        if islands in known or len(set(islands)) < len(islands):
            continue
        known.add(islands)
        yield Route(length=length, hops=whole)


def _islands(section: Section, hops: tuple[Hop, ...]) -> tuple[int, ...]:
    """Return the islands that a path joins and crosses."""
    passed = (int(section.conductors.islands[shape]) for hop in hops for shape in hop.shapes if shape >= 0)
    return tuple(island for island, _ in groupby(passed))

"""Clearance and creepage between two nets of a drawing: the shortest paths by every reading, and the next ones."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from itertools import product

import shapely
from shapely.geometry.base import BaseGeometry

from coldpin.errors import InputError
from coldpin.insulation.conductors import Conductors, conductors_from
from coldpin.insulation.faces import find_two_faced_routes
from coldpin.insulation.path_graph import Route
from coldpin.insulation.path_words import plan_legs, section_legs, tell
from coldpin.insulation.paths import find_routes
from coldpin.insulation.plane_bounds import Plane
from coldpin.insulation.section import Section, creepage_in_section
from coldpin.insulation.surfaces import (
    Surface,
    air_of,
    conducting_shapes,
    conducts,
    nets_named,
    on_face,
    solids_of,
    surface_of,
)
from coldpin.insulation.two_faces import FaceSurface, TwoFaces, edges_of
from coldpin.insulation.visibility import obstacles_from
from coldpin.records.board import BoardModel, Face, Role, View
from coldpin.records.distance import FoundDistances, IsolationPath, PathKind
from coldpin.standards.book import Book, load_book
from coldpin.standards.path_measuring import bridged_angle

NEXT_PATHS = 3
"""Ours: how many further paths are told of each kind unless more are asked for."""

ANY_RECESS = "any recess is bridged where it is X wide"
CORNERS = "only walls that face each other under less than 80° are bridged"
OVER_BODIES = "a part or barrier over a slot is crossed like the board"
BESIDE_BODIES = "parts and barriers over a slot are left aside"
EVERY_GAP = "every gap beside a floating part is counted"
WIDE_GAPS = "a gap under X beside a floating part counts nothing"


def find_distances(
    board: BoardModel,
    nets: tuple[str, str],
    *,
    groove_x_mm: float,
    next_count: int = NEXT_PATHS,
    book: Book | None = None,
) -> FoundDistances:
    """Return the shortest clearance and creepage between two nets as drawn, and the next paths distinct from these.

    Parameters
    ----------
    board : BoardModel
        The drawing, in millimetres: one taken from a picture is brought to millimetres first. [mm]
    nets : tuple of str
        A net ("mains L") or a group ("mains") at each end.
    groove_x_mm : float
        The width X under which a groove is crossed, already reduced where the clearance asked for is under 3 mm. [mm]
    next_count : int
        How many further paths of each kind at most.
    book : Book or None
        The constants; those that come with coldpin when None.

    Returns
    -------
    FoundDistances
        What the drawing says, without uncertainty.

    Raises
    ------
    InputError
        The drawing is in pixels, a shape encloses no area, a net is at both ends, or X is negative.
    UnknownName
        No conductor has that net or group.

    Examples
    --------
    >>> import numpy as np
    >>> from coldpin.records.board import BoardFeature
    >>> def pad(name, net, x):
    ...     outline = np.array([[x, 0.0], [x + 1.0, 0.0], [x + 1.0, 1.0], [x, 1.0]])
    ...     return BoardFeature(name=name, role=Role.CONDUCTOR, net=net, outline=outline)
    >>> board = BoardModel(features=(pad("pad 1", "mains L", 0.0), pad("pad 2", "pilot", 6.0)))
    >>> found = find_distances(board, ("mains", "pilot"), groove_x_mm=1.0)
    >>> found.creepage.length_mm, found.creepage.told
    (5.0, 'straight from pad 1 to pad 2')

    Sources
    -------
    IEC 60664-1, clause on measuring creepage distances and clearances, and its examples.
    """
    if board.calibration is not None:
        raise InputError("the drawing is in pixels: bring it to millimetres by its calibration before measuring in it")
    if not (math.isfinite(groove_x_mm) and groove_x_mm >= 0.0):
        raise InputError(f"groove width X is {groove_x_mm:g} mm; it must be zero or more")
    ends = nets_named(board, nets[0]), nets_named(board, nets[1])
    if both := set(ends[0]) & set(ends[1]):
        raise InputError(f"net {min(both)!r} is at both ends ({nets[0]!r}, {nets[1]!r}): name two different nets")
    angle = bridged_angle(book or load_book())
    if board.view is View.SECTION:
        return _in_section(board, nets, ends, groove_x_mm, angle, next_count)
    if board.thickness_mm is not None:
        return _on_two_faces(board, nets, ends, groove_x_mm, angle, next_count)
    surface = surface_of(board, groove_x_mm=groove_x_mm, bridged_angle=angle)
    return _in_plan(board, nets, ends, surface, groove_x_mm, next_count)


def _in_plan(
    board: BoardModel,
    nets: tuple[str, str],
    ends: tuple[tuple[str, ...], tuple[str, ...]],
    surface: Surface,
    groove_x_mm: float,
    next_count: int,
) -> FoundDistances:
    """Return the distances of a face seen from above."""
    conductors = conductors_from(conducting_shapes(board))
    nothing = obstacles_from(shapely.Polygon())
    frame = _inside(surface.walked) if surface.solid else None
    ways = [(PathKind.CLEARANCE, "", nothing, surface.bridged)]
    for words, walked, crossed in _surfaces(surface):
        ways.append((PathKind.CREEPAGE, words, obstacles_from(walked, within=frame), crossed))
    found: dict[PathKind, list[tuple[IsolationPath, ...]]] = {PathKind.CLEARANCE: [], PathKind.CREEPAGE: []}
    for kind, words, obstacles, crossed in ways:
        for small_gaps, gap in _readings(conductors, groove_x_mm):
            reading = "; ".join(said for said in (words, small_gaps) if said)
            plane = Plane(
                conductors=conductors,
                obstacles=obstacles,
                from_nets=ends[0],
                to_nets=ends[1],
                uncounted_gap_mm=gap,
            )
            routes = find_routes(plane, count=next_count + 1)
            paths = (
                replace(_path(board, conductors, kind, route, {None: crossed}), reading=reading) for route in routes
            )
            found[kind].append(tuple(paths))
    return _chosen(nets, groove_x_mm, found, _hidden(board), _remarks(board, nets, found))


def _surfaces(surface: Surface) -> tuple[tuple[str, BaseGeometry, BaseGeometry], ...]:
    """Return what creepage goes round and what it crosses, by each reading of bodies that lie over a slot."""
    if not surface.covered():
        return (("", surface.walked, surface.bridged),)
    over = shapely.union(surface.bridged, shapely.intersection(surface.walked, surface.bodies))
    return (
        (BESIDE_BODIES, surface.walked, surface.bridged),
        (OVER_BODIES, surface.walked_under_bodies(), over),
    )


def _remarks(
    board: BoardModel,
    nets: tuple[str, str],
    found: dict[PathKind, list[tuple[IsolationPath, ...]]],
) -> tuple[str, ...]:
    """Return what a reader of the distances must know of the drawing."""
    remarks = []
    if barriers := board.of_role(Role.BARRIER):
        names = ", ".join(feature.name for feature in barriers)
        remarks.append(f"in plan nothing is counted for the height of {names}: draw a section through it")
    if not any(found[PathKind.CREEPAGE]):
        remarks.append(f"no surface leads from {nets[0]} to {nets[1]}: there is no creepage distance")
    return tuple(remarks)


def _on_two_faces(
    board: BoardModel,
    nets: tuple[str, str],
    ends: tuple[tuple[str, ...], tuple[str, ...]],
    groove_x_mm: float,
    angle: float,
    next_count: int,
) -> FoundDistances:
    """Return the distances of a board with two faces, joined over its edges."""
    shapes = conducting_shapes(board)
    conductors = conductors_from(shapes)
    faces = {face: surface_of(on_face(board, face), groove_x_mm=groove_x_mm, bridged_angle=angle) for face in Face}
    surfaces = {face: _surfaces(surface) for face, surface in faces.items()}
    bare = air_of(board, groove_x_mm=groove_x_mm)
    on = [None if feature.role is Role.SLOT else feature.face for feature in board.features if conducts(feature)]
    found: dict[PathKind, list[tuple[IsolationPath, ...]]] = {PathKind.CLEARANCE: [], PathKind.CREEPAGE: []}
    ways = [(PathKind.CLEARANCE, -1)] + [(PathKind.CREEPAGE, over) for over in range(max(map(len, surfaces.values())))]
    for (kind, over), (small_gaps, gap) in product(ways, _readings(conductors, groove_x_mm)):
        creeps = kind is PathKind.CREEPAGE
        chosen = {face: its[min(over, len(its) - 1)] for face, its in surfaces.items()}
        reading = "; ".join(said for said in (max(words for words, _, _ in chosen.values()), small_gaps) if said)
        top, bottom = (
            FaceSurface(
                face=face,
                shapes=tuple(number for number, its in enumerate(on) if its in (None, face)),
                walked=chosen[face][1] if creeps else shapely.Polygon(),
                frame=_inside(surface.walked) if creeps and surface.solid else None,
            )
            for face, surface in faces.items()
        )
        two = TwoFaces(
            shapes=tuple(shapes),
            faces=(top, bottom),
            edges=edges_of(bare, _inside(bare) if faces[Face.TOP].solid else None),
            thickness_mm=board.thickness_mm or 0.0,
            hugging=creeps,
            from_nets=ends[0],
            to_nets=ends[1],
            uncounted_gap_mm=gap,
        )
        bridged: dict[Face | None, BaseGeometry] = {face: crossed for face, (_, _, crossed) in chosen.items()}
        found[kind].append(
            tuple(
                replace(_path(board, conductors, kind, route, bridged), reading=reading)
                for route in find_two_faced_routes(two, count=next_count + 1)
            )
        )
    return _chosen(nets, groove_x_mm, found, _hidden(board), _remarks(board, nets, found))


def _in_section(
    board: BoardModel,
    nets: tuple[str, str],
    ends: tuple[tuple[str, ...], tuple[str, ...]],
    groove_x_mm: float,
    angle: float,
    next_count: int,
) -> FoundDistances:
    """Return the distances of a section, where the surface is the edge of what is solid."""
    conductors = conductors_from(conducting_shapes(board))
    solids = solids_of(board)
    metal = shapely.union_all(conductors.areas())
    whole = obstacles_from(shapely.union_all(solids).difference(metal))
    section = Section(conductors=conductors, solids=solids, from_nets=ends[0], to_nets=ends[1])
    found: dict[PathKind, list[tuple[IsolationPath, ...]]] = {PathKind.CLEARANCE: [], PathKind.CREEPAGE: []}
    for reading, gap in _readings(conductors, groove_x_mm):
        plane = Plane(conductors=conductors, obstacles=whole, from_nets=ends[0], to_nets=ends[1], uncounted_gap_mm=gap)
        routes = find_routes(plane, count=next_count + 1)
        found[PathKind.CLEARANCE].append(
            tuple(_section_path(board, conductors, PathKind.CLEARANCE, route, reading) for route in routes)
        )
        for recess, any_recess in ((ANY_RECESS, True), (CORNERS, False)):
            routes = creepage_in_section(
                section,
                groove_x_mm=groove_x_mm,
                bridged_angle=angle,
                any_recess=any_recess,
                uncounted_gap_mm=gap,
                count=next_count + 1,
            )
            both = "; ".join(words for words in (recess, reading) if words)
            found[PathKind.CREEPAGE].append(
                tuple(_section_path(board, conductors, PathKind.CREEPAGE, route, both) for route in routes)
            )
    remarks: tuple[str, ...] = ()
    if not any(found[PathKind.CREEPAGE]):
        remarks = (f"no surface leads from {nets[0]} to {nets[1]}: there is no creepage distance",)
    return _chosen(nets, groove_x_mm, found, ("what lies before and behind this section",), remarks)


def _section_path(
    board: BoardModel, conductors: Conductors, kind: PathKind, route: Route, reading: str
) -> IsolationPath:
    """Return a path found in a section, with its legs named."""
    first, last = conductors.shapes[_ends(route)[0]], conductors.shapes[_ends(route)[1]]
    legs = section_legs(board, conductors, kind, route)
    return IsolationPath(
        kind=kind,
        nets=(first.joined, last.joined),
        between=(first.name, last.name),
        length_mm=route.length,
        legs=legs,
        told=tell((first.name, last.name), legs),
        reading=reading,
    )


def _ends(route: Route) -> tuple[int, int]:
    """Return the shapes at the ends of a path."""
    shapes = [shape for hop in route.hops for shape in hop.shapes if shape >= 0]
    return shapes[0], shapes[-1]


def _readings(conductors: Conductors, groove_x_mm: float) -> tuple[tuple[str, float | None], ...]:
    """Return the readings of the rule on floating parts: one where there are none."""
    if groove_x_mm > 0.0 and not all(conductors.island_nets):
        return ((EVERY_GAP, None), (WIDE_GAPS, groove_x_mm))
    return (("", None),)


def _chosen(
    nets: tuple[str, str],
    groove_x_mm: float,
    found: dict[PathKind, list[tuple[IsolationPath, ...]]],
    not_seen: tuple[str, ...],
    remarks: tuple[str, ...],
) -> FoundDistances:
    """Return the least of the readings of each kind, and the others beside it where they differ."""
    worst: dict[PathKind, tuple[IsolationPath, ...]] = {}
    others: list[IsolationPath] = []
    for kind, readings in found.items():
        with_paths = [paths for paths in readings if paths]
        if not with_paths:
            worst[kind] = ()
            continue
        least = min(with_paths, key=lambda paths: paths[0].length_mm)
        if least[0].length_mm <= 0.0:
            counted = min((paths[0].length_mm for paths in with_paths if paths[0].length_mm > 0.0), default=0.0)
            beside = f" ({counted:.3f} mm where every gap is counted)" if counted > 0.0 else ""
            least = (replace(least[0], told=least[0].told + beside), *least[1:])
        apart = [paths[0] for paths in with_paths if paths[0].length_mm > least[0].length_mm + _SAME_MM]
        worst[kind] = least if apart else tuple(replace(path, reading="") for path in least)
        others.extend(apart)
    clearance, creepage = worst[PathKind.CLEARANCE], worst[PathKind.CREEPAGE]
    return FoundDistances(
        nets=nets,
        groove_x_mm=groove_x_mm,
        clearance=clearance[0] if clearance else None,
        creepage=creepage[0] if creepage else None,
        next_clearance=clearance[1:],
        next_creepage=creepage[1:],
        other_readings=tuple(others),
        not_seen=not_seen,
        remarks=remarks,
    )


_SAME_MM = 1e-6
"""Ours: two readings that differ by less are one. [mm]"""


def _path(
    board: BoardModel,
    conductors: Conductors,
    kind: PathKind,
    route: Route,
    bridged: Mapping[Face | None, BaseGeometry],
) -> IsolationPath:
    """Return a path found, with its legs named."""
    first, last = (conductors.shapes[index] for index in (route.hops[0].shapes[0], route.hops[-1].shapes[1]))
    legs = plan_legs(board, conductors, kind, route, bridged)
    return IsolationPath(
        kind=kind,
        nets=(first.joined, last.joined),
        between=(first.name, last.name),
        length_mm=route.length,
        legs=legs,
        told=tell((first.name, last.name), legs),
    )


def _hidden(board: BoardModel) -> tuple[str, ...]:
    """Return what the drawing cannot show."""
    hidden = [f"the board under {feature.name}" for feature in board.of_role(Role.COMPONENT)]
    if not board.of_role(Role.BOARD):
        # its surface is then taken to go on for ever
        hidden.append("the edge of the board")
    if board.thickness_mm is None:
        hidden.append("the other face of the board")
    return (*hidden, "inner layers")


def _inside(walked: BaseGeometry) -> BaseGeometry | None:
    """Return the plane without its frame, whose own corners bend no path."""
    if shapely.is_empty(walked):
        return None
    low_x, low_y, high_x, high_y = walked.bounds
    return shapely.box(low_x, low_y, high_x, high_y).buffer(-_FRAME_MM)


_FRAME_MM = 1e-3
"""Ours: what lies this near to the frame drawn round everything belongs to the frame. [mm]"""

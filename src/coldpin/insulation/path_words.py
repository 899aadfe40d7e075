"""A path found, leg by leg, with the names of what it passes, and in one sentence."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from coldpin.insulation.conductors import Conductors
from coldpin.insulation.path_graph import Hop, Place, Route
from coldpin.insulation.surfaces import area_of, bodies_of, solids_of
from coldpin.insulation.visibility import TURN, turn
from coldpin.records.board import BoardModel, Face, Role
from coldpin.records.distance import Leg, PathKind, PathLeg

NEAR_MM = 1e-4
"""Ours: a corner this near to the rim of a slot, or of the board, belongs to it. [mm]"""

_LEAST_BRIDGE_MM = 1e-5
"""Ours: a shorter piece of a line over bridged air is a touch of its rim. [mm]"""

RIM = "the edge of the board"
BODY = "the body of"
JOINT = "the joint at"


def plan_legs(
    board: BoardModel, conductors: Conductors, kind: PathKind, route: Route, bridged: Mapping[Face | None, BaseGeometry]
) -> tuple[PathLeg, ...]:
    """Return the legs of a path in plan.

    Parameters
    ----------
    board : BoardModel
        The drawing. [mm]
    conductors : Conductors
        Its conductors.
    kind : PathKind
        Through air or along the surface.
    route : Route
        The path.
    bridged : mapping
        For each face, None where the board has one, the air that creepage crosses. [mm]

    Returns
    -------
    tuple of PathLeg
        From end to end, a leg of no counted length across each conductor between.
    """
    rims = _rims(board)
    bodies: list[tuple[str, BaseGeometry]] = [(body.name, area_of(body)) for body in bodies_of(board)]
    legs: list[PathLeg] = []
    before: Hop | None = None
    for hop in route.hops:
        if before is not None and hop.shapes[0] >= 0:
            legs.append(_across(conductors, before, hop))
        if hop.over_edge:
            legs.append(_over(rims, hop))
        else:
            over = bridged.get(hop.face) or shapely.Polygon()
            legs.extend(replace(leg, face=hop.face) for leg in _along(rims, bodies, kind, hop, over))
        before = hop
    return tuple(legs)


def section_legs(board: BoardModel, conductors: Conductors, kind: PathKind, route: Route) -> tuple[PathLeg, ...]:
    """Return the legs of a path in a section; pieces of one straight line are one leg.

    Parameters
    ----------
    board : BoardModel
        The drawing of a section. [mm]
    conductors : Conductors
        Its conductors.
    kind : PathKind
        Through air or along the surface.
    route : Route
        The path.

    Returns
    -------
    tuple of PathLeg
        From end to end, a leg of no counted length across each conductor between.
    """
    barriers = [(feature.name, area_of(feature)) for feature in board.of_role(Role.BARRIER)]
    solids = shapely.MultiLineString(
        [ring for solid in solids_of(board) for ring in shapely.get_parts(shapely.boundary(solid))]
    )
    solid_areas = solids_of(board)
    legs: list[PathLeg] = []
    inside: Hop | None = None
    for hop in route.hops:
        if hop.shapes[0] >= 0 and inside is not None:
            legs.append(_across(conductors, inside, hop))
        inside = hop if hop.shapes[1] >= 0 else None
        if hop.start == hop.end and route.length > 0.0:
            continue
        middle = shapely.Point(0.5 * (hop.start[0] + hop.end[0]), 0.5 * (hop.start[1] + hop.end[1]))
        on = solids.distance(middle) <= NEAR_MM
        leg = Leg.AIR if kind is PathKind.CLEARANCE else Leg.SURFACE if on else Leg.BRIDGE
        passes = "a groove" if leg is Leg.BRIDGE else ""
        if leg is Leg.SURFACE and sum(area.boundary.distance(middle) <= NEAR_MM for area in solid_areas) > 1:
            passes = f"{JOINT} {_barrier_at(barriers, middle)}".strip()
        elif leg is not Leg.BRIDGE and hop.shapes[1] < 0:
            # where it ends at a conductor it goes round nothing, though a barrier be flush with it
            passes = _barrier_at(barriers, shapely.Point(hop.end))
        new = PathLeg(leg=leg, start=hop.start, end=hop.end, counted_mm=hop.counted, passes=passes)
        if legs and legs[-1].leg is leg and _straight_on(legs[-1], new) and _joint(legs[-1]) == _joint(new):
            begun = legs.pop()
            new = replace(begun, end=new.end, counted_mm=begun.counted_mm + new.counted_mm, passes=passes)
        legs.append(new)
    return tuple(legs)


def tell(between: tuple[str, str], legs: tuple[PathLeg, ...]) -> str:
    """Return a path in words.

    Parameters
    ----------
    between : tuple of str
        The conductors at its ends.
    legs : tuple of PathLeg
        Its legs.

    Returns
    -------
    str
        "round the end of slot 2, across floating pad 7", or that it is straight.
    """
    said: list[str] = []
    for leg, after in zip(legs, (*legs[1:], None), strict=True):
        words = ""
        if leg.leg is Leg.CONDUCTOR:
            words = f"across {leg.passes}"
        elif leg.leg is Leg.EDGE:
            words = f"over {leg.passes} to the other face"
        elif leg.leg is Leg.BRIDGE:
            words = (
                f"over {leg.passes}"
                if leg.passes.startswith(BODY)
                else f"straight over {leg.passes}, which is narrower than X there"
            )
        elif leg.passes.startswith(JOINT):
            words = f"through {leg.passes}"
        elif after is not None and leg.passes and after.leg not in (Leg.BRIDGE, Leg.EDGE) and not _joint(after):
            words = f"round {leg.passes}"
        if words and (not said or said[-1] != words):
            said.append(words)
    counted = [leg.leg for leg in legs if leg.counted_mm > 0.0]
    if not said and len(counted) > 1:
        way = "through air round corners" if set(counted) == {Leg.AIR} else "along the surface"
        return f"{way} from {between[0]} to {between[1]}"
    if not said:
        return f"straight from {between[0]} to {between[1]}"
    return ", ".join(said) + f", from {between[0]} to {between[1]}"


def _barrier_at(barriers: Sequence[tuple[str, BaseGeometry]], place: shapely.Point) -> str:
    """Return the name of the barrier of a section whose edge is at a place."""
    return next((name for name, area in barriers if area.boundary.distance(place) <= NEAR_MM), "")


def _joint(leg: PathLeg) -> str:
    """Return the joint that a leg leads through; a leg before it or behind it, on the same line, is another."""
    return leg.passes if leg.passes.startswith(JOINT) else ""


def _across(conductors: Conductors, before: Hop, after: Hop) -> PathLeg:
    """Return the leg through a conductor, or along the wiring of its net."""
    first, last = conductors.shapes[before.shapes[1]], conductors.shapes[after.shapes[0]]
    name = first.name if first.name == last.name else f"{first.name} and {last.name}"
    return PathLeg(leg=Leg.CONDUCTOR, start=before.end, end=after.start, counted_mm=0.0, passes=name)


def _over(rims: list[tuple[str, BaseGeometry]], hop: Hop) -> PathLeg:
    """Return the leg from one face to the other."""
    named = _named(rims, hop.start) or _named(rims, hop.end)
    passes = RIM if not named or named == RIM else f"the edge of {named.partition(' end of ')[2]}"
    return PathLeg(leg=Leg.EDGE, start=hop.start, end=hop.end, counted_mm=hop.counted, passes=passes)


def _along(
    rims: list[tuple[str, BaseGeometry]],
    bodies: list[tuple[str, BaseGeometry]],
    kind: PathKind,
    hop: Hop,
    bridged: BaseGeometry,
) -> list[PathLeg]:
    """Return the legs of one straight line: more than one where it crosses bridged air."""
    passes = _named(rims, hop.end) if hop.corners[1] >= 0 else ""
    if kind is PathKind.CLEARANCE:
        return [PathLeg(leg=Leg.AIR, start=hop.start, end=hop.end, counted_mm=hop.counted, passes=passes)]
    line = shapely.LineString([hop.start, hop.end])
    crossed = sorted(
        sorted(line.project(shapely.Point(end)) for end in (part.coords[0], part.coords[-1]))
        for part in shapely.get_parts(line.intersection(bridged))
        if isinstance(part, shapely.LineString) and part.length > _LEAST_BRIDGE_MM
    )
    pieces: list[tuple[Leg, float, float]] = []
    done = 0.0
    for begin, end in crossed:
        if begin - done > _LEAST_BRIDGE_MM:
            pieces.append((Leg.SURFACE, done, begin))
            done = begin
        if pieces and pieces[-1][0] is Leg.BRIDGE:
            pieces[-1] = (Leg.BRIDGE, pieces[-1][1], end)
        else:
            pieces.append((Leg.BRIDGE, done, end))
        done = end
    if line.length - done > _LEAST_BRIDGE_MM or not pieces:
        pieces.append((Leg.SURFACE, done, line.length))
    last_leg, last_begin, _ = pieces[-1]
    pieces[-1] = (last_leg, last_begin, line.length)
    share = hop.counted / line.length if line.length > 0.0 else 1.0
    legs: list[PathLeg] = []
    place = hop.start
    for leg, begin, end in pieces:
        far = hop.end if end == line.length else _at(line, end)
        name = _crossed(rims, bodies, _at(line, 0.5 * (begin + end))) if leg is Leg.BRIDGE else ""
        if end == line.length and leg is Leg.SURFACE:
            name = passes
        legs.append(PathLeg(leg=leg, start=place, end=far, counted_mm=(end - begin) * share, passes=name))
        place = far
    return legs


def _straight_on(leg: PathLeg, after: PathLeg) -> bool:
    """Say whether a leg goes on straight where another ends."""
    ends = (np.array(leg.start), np.array(leg.end), np.array(after.end))
    return leg.end == after.start and abs(float(turn(*ends))) <= TURN and math.dist(leg.start, leg.end) > 0.0


def _at(line: shapely.LineString, along: float) -> Place:
    """Return the point so far along a line."""
    point = line.interpolate(along)
    return (point.x, point.y)


def _rims(board: BoardModel) -> list[tuple[str, BaseGeometry]]:
    """Return the slots by name, and the board last."""
    slots: list[tuple[str, BaseGeometry]] = [
        (feature.name, area_of(feature)) for feature in board.of_role(Role.SLOT) if not feature.plated
    ]
    solid = shapely.union_all([area_of(feature) for feature in board.of_role(Role.BOARD)])
    return slots if shapely.is_empty(solid) else [*slots, (RIM, solid)]


def _named(rims: list[tuple[str, BaseGeometry]], place: Place, *, inside: bool = False) -> str:
    """Return the name of the slot on whose rim, or in which, a place lies."""
    point = shapely.Point(place)
    for name, area in rims:
        if inside and name != RIM and area.distance(point) <= NEAR_MM:
            return name
        if not inside and area.boundary.distance(point) <= NEAR_MM:
            return f"the {_side_of(area, place)} end of {name}" if name != RIM else name
    return "a notch of the edge" if inside else ""


def _crossed(rims: list[tuple[str, BaseGeometry]], bodies: list[tuple[str, BaseGeometry]], place: Place) -> str:
    """Return what is crossed at a place in air: the body of a part, else a slot."""
    point = shapely.Point(place)
    body = next((name for name, area in bodies if area.distance(point) <= NEAR_MM), "")
    return f"{BODY} {body}" if body else _named(rims, place, inside=True)


def _side_of(area: BaseGeometry, place: Place) -> str:
    """Return at which end of a slot a corner lies, along the slot's longer side."""
    low_x, low_y, high_x, high_y = area.bounds
    if high_y - low_y >= high_x - low_x:
        return "upper" if place[1] >= 0.5 * (low_y + high_y) else "lower"
    return "right" if place[0] >= 0.5 * (low_x + high_x) else "left"

"""One feature of a drawing: its role, net, face and name, and polygons that can be polygons."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.capture.board_place import FARTHEST, Place, shown
from coldpin.errors import CaptureError
from coldpin.records.board import BoardFeature, Face, Joint, Role

PROPERTIES = ("role", "net", "name", "face", "height_mm", "plated", "joint", "told", "proposed", "pick_u")
"""What a feature may say of itself; anything else is left unread, and a remark tells it."""

KINDS = {
    Role.BOARD: "board",
    Role.CONDUCTOR: "conductor",
    Role.FLOATING: "floating part",
    Role.SLOT: "slot",
    Role.BARRIER: "barrier",
    Role.COMPONENT: "component",
}
"""What a shape is called where the drawing gives it no name; a number follows."""

_FEWEST = 4
"""Positions of the shortest ring: a triangle, whose first corner stands again at its end."""

_NEAR = 0.75
"""Ours: how alike a property and a known one are for a slip of the pen; others are another program's own. [1]"""

_REASON = re.compile(r"(?P<what>[^\[]*)\[(?P<x>\S+) (?P<y>\S+)\]")
_SAID = {
    "Self-intersection": "its outline crosses or touches itself: draw it without the loop, or as two shapes",
    "Ring Self-intersection": "its outline crosses or touches itself: draw it without the loop, or as two shapes",
    "Hole lies outside shell": "an opening lies outside of its outline: draw it inside, or as a slot of its own",
    "Holes are nested": "one opening lies inside another: draw what lies inside as a shape of its own",
    "Interior is disconnected": "its openings cut it in two: draw it as two shapes",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnFeature:
    """A feature as read: its shapes, whether the drawing gave it a name, and properties that were not read."""

    place: Place
    shapes: tuple[BoardFeature, ...]
    named: bool
    unread: tuple[str, ...] = ()


def read_feature(plain: object, place: Place) -> DrawnFeature:
    """Read one feature of a drawing.

    Parameters
    ----------
    plain : object
        The feature, as the JSON reader returned it.
    place : Place
        Which one it is.

    Returns
    -------
    DrawnFeature
        One shape, or as many as the polygons it consists of; the name is empty where the drawing gives none.

    Raises
    ------
    CaptureError
        It is no feature, has no role, no net where it needs one, or a shape that cannot be.
    """
    if not isinstance(plain, dict) or plain.get("type") != "Feature":
        raise place.error(f"a feature is wanted here, found {_kind(plain)}: write type 'Feature'")
    place = _at_first_corner(plain.get("geometry"), place)
    properties = plain.get("properties")
    if not isinstance(properties, dict):
        raise place.error(f"its properties are {shown(properties)}: write an object with at least a role")
    unread = _unread(properties, place)
    made = _without_shape(properties, _name(plain, properties, place), place)
    place = replace(place, called=describe(made))
    shapes = [
        replace(made, outline=outline, openings=openings)
        for outline, openings in _polygons(plain.get("geometry"), place)
    ]
    if len(shapes) > 1 and made.name:
        shapes = [replace(shape, name=f"{made.name}, part {part}") for part, shape in enumerate(shapes, start=1)]
    return DrawnFeature(place=place, shapes=tuple(shapes), named=bool(made.name), unread=unread)


def describe(feature: BoardFeature) -> str:
    """Say in a few words which shape it is.

    Parameters
    ----------
    feature : BoardFeature
        The shape.

    Returns
    -------
    str
        "conductor 'J1 pin 1' of net 'mains L'".
    """
    name = f" '{feature.name}'" if feature.name and feature.name != feature.net else ""
    net = f"{' of net' if name else ''} '{feature.net}'" if feature.net else ""
    return f"{KINDS[feature.role]}{name}{net}"


def _at_first_corner(geometry: object, place: Place) -> Place:
    """Return the place with the first corner of the shape, as far as it has one that can be read."""
    inner = geometry.get("coordinates") if isinstance(geometry, dict) else None
    while isinstance(inner, list) and inner and isinstance(inner[0], list):
        inner = inner[0]
    if not isinstance(inner, list) or len(inner) < 2 or not all(_is_coordinate(value) for value in inner[:2]):
        return place
    return place.near(float(inner[0]), float(inner[1]))


def _is_coordinate(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and -FARTHEST <= value <= FARTHEST


def _kind(plain: object) -> str:
    if isinstance(plain, dict):
        return f"type {shown(plain.get('type'))}"
    return shown(plain)


def _unread(properties: Mapping[str, Any], place: Place) -> tuple[str, ...]:
    """Return the properties that mean nothing here; one that is a known one misspelt is refused."""
    unread = [name for name in properties if name not in PROPERTIES]
    for name in unread:
        near = difflib.get_close_matches(name.casefold(), PROPERTIES, n=1, cutoff=_NEAR)
        if near:
            raise place.error(f"unknown property {shown(name)}: did you mean '{near[0]}'?")
    return tuple(place.text(name, "the name of a property") for name in unread)


def _name(plain: Mapping[str, Any], properties: Mapping[str, Any], place: Place) -> str:
    """Return the name that was given, else the id that GeoJSON gives features, where it is a word."""
    name = place.text(properties.get("name"), "name")
    given = plain.get("id")
    return name or (place.text(given, "id") if isinstance(given, str) else "")


def _without_shape(properties: Mapping[str, Any], name: str, place: Place) -> BoardFeature:
    role = place.word(properties.get("role"), "role", Role)
    if not role:
        raise place.error(f"it has no role: add properties.role, one of {', '.join(Role)}")
    plated, proposed = (_flag(properties, name, place) for name in ("plated", "proposed"))
    face = place.word(properties.get("face"), "face", Face)
    joint = place.word(properties.get("joint"), "joint", Joint)
    made = BoardFeature(
        name=name,
        role=Role(role),
        outline=np.empty((0, 2)),
        net=place.text(properties.get("net"), "net"),
        face=Face(face) if face else None,
        height_mm=place.optional(properties, "height_mm", least=0.0),
        plated=plated,
        joint=Joint(joint) if joint else None,
        told=place.text(properties.get("told"), "told"),
        proposed=proposed,
        pick_u=place.optional(properties, "pick_u", above=0.0),
    )
    _require_net(made, replace(place, called=describe(made)))
    return made


def _flag(properties: Mapping[str, Any], name: str, place: Place) -> bool:
    given = properties.get(name)
    if not isinstance(given, bool | None):
        raise place.error(f"{name} is {shown(given)}: write true or false")
    return bool(given)


def _require_net(made: BoardFeature, place: Place) -> None:
    if made.role is Role.CONDUCTOR and not made.net:
        raise place.error(
            "a conductor without a net: add properties.net, such as 'mains L'; what conducts and is on no net that is "
            "known has the role floating"
        )
    if made.plated and made.role is not Role.SLOT:
        raise place.error("only a slot or hole is plated: leave it out, or give it the role slot")
    if made.joint is not None and made.role is not Role.BARRIER:
        raise place.error("only a barrier has a joint: leave it out, or give it the role barrier")
    if made.net and made.role is not Role.CONDUCTOR and not made.plated:
        raise place.error(f"a {KINDS[made.role]} has no net: take the net out, or give it the role conductor")


Polygon = tuple[NDArray[np.float64], tuple[NDArray[np.float64], ...]]
"""An outline and its openings."""


def _polygons(geometry: object, place: Place) -> Iterator[Polygon]:
    kind = geometry.get("type") if isinstance(geometry, dict) else None
    if not isinstance(geometry, dict) or kind not in ("Polygon", "MultiPolygon"):
        raise place.error(f"a polygon is wanted, found {_kind(geometry)}: draw the outline of the shape as a Polygon")
    coordinates = geometry.get("coordinates")
    several = coordinates if kind == "MultiPolygon" else [coordinates]
    if not isinstance(several, list) or not several:
        raise place.error("its geometry has no polygon in it: draw its outline, or take the feature out")
    for rings in several:
        if not isinstance(rings, list) or not rings:
            raise place.error("its polygon has no outline: give its corners, or take the feature out")
        outline, *openings = (_ring(ring, place) for ring in rings)
        _require_polygon(outline, openings, place)
        yield outline, tuple(openings)


def _ring(ring: object, place: Place) -> NDArray[np.float64]:
    """Return the corners of a ring, the first not repeated, and none twice in a row."""
    if not isinstance(ring, list):
        raise place.error(f"a ring of corners is wanted, found {shown(ring)}")
    if len(ring) < _FEWEST:
        raise place.error(
            f"a ring has {len(ring)} positions; the shortest has {_FEWEST}, a triangle with its first corner again at "
            "the end"
        )
    corners = [_corner(position, place) for position in ring]
    if corners[0] != corners[-1]:
        raise place.near(*corners[-1]).error(
            "its ring does not end where it begins: repeat the first corner at the end, or see whether some are missing"
        )
    kept = [corner for corner, before in zip(corners[1:], corners[:-1], strict=True) if corner != before]
    if len(kept) < _FEWEST - 1:
        raise place.near(*corners[0]).error("a ring has fewer than three corners: draw the shape with its width")
    # The last one kept is the first of the drawing, which stands at the end of the ring again.
    return np.array([kept[-1], *kept[:-1]])


def _corner(position: object, place: Place) -> tuple[float, float]:
    if not isinstance(position, list) or len(position) != 2:
        raise place.error(
            f"a corner is [x, y], found {_position(position)}: leave heights out of the corners, they go into height_mm"
        )
    x, y = position
    for value in (x, y):
        if not _is_coordinate(value):
            raise place.error(f"a corner has the coordinate {shown(value)}: write a number within ± {FARTHEST:g}")
    # adding zero takes the sign from a negative zero
    return float(x) + 0.0, float(y) + 0.0


def _position(position: object) -> str:
    if isinstance(position, list):
        return f"{len(position)} numbers"
    return shown(position)


def _require_polygon(outline: NDArray[np.float64], openings: list[NDArray[np.float64]], place: Place) -> None:
    polygon = shapely.Polygon(outline, openings)
    if polygon.is_valid:
        return
    raise _unsound(shapely.is_valid_reason(polygon), outline, place)


def _unsound(reason: str, outline: NDArray[np.float64], place: Place) -> CaptureError:
    found = _REASON.match(reason)
    what = found["what"].strip() if found else reason
    x, y = (float(found["x"]), float(found["y"])) if found else (float(outline[0, 0]), float(outline[0, 1]))
    said = _SAID.get(what, f"its outline is none ({what.lower()}): draw it anew")
    return place.near(x, y).error(said)

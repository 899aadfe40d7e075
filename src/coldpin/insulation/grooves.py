"""Slots and grooves of a board in plan: where they are narrower than X they are crossed, else walked round.

Air beside the board (a slot, a notch of the rim, the space between two boards) is rolled over by a disc X across. Where
the disc finds no room the air is bridged: in a neck, in a slot that is narrow throughout, and in a pocket whose walls
face each other under less than 80°, there as far out as a link of length X spans it. A corner of 80° and more, and the
round end of a slot that is X wide or wider, stay as they are drawn: there the surface is followed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from coldpin.insulation.visibility import polygons_of, rings_of

WIDTH_TOLERANCE_MM = 1e-4
"""Ours: a groove that is narrower than X by less than this counts as X wide, so that a slot drawn at 12.3 and 13.3 is
1.0 wide whatever its coordinates round to. [mm]"""

_QUARTER = 32
"""Ours: straight pieces by which a quarter of the rolling disc is drawn; a link is found on the rim itself."""

_SLACK = 1e-3
"""Ours: what the straight pieces of the disc miss, as a part of X; slivers thinner than this are no pockets. [1]"""

_TOUCHING_MM = 1e-7
"""Ours: what lies within this of a line lies on it. [mm]"""

_STEP_MM = 1e-4
"""Ours: a step along a wall that shows which way leads out of a pocket. [mm]"""

_STEPS = 60
"""Ours: halvings by which the place is found where a pocket is X wide; more than a double holds digits."""


def bridged_air(air: BaseGeometry, *, groove_x_mm: float, bridged_angle: float) -> BaseGeometry:
    """Return the part of the air beside a board that creepage crosses straight.

    Parameters
    ----------
    air : BaseGeometry
        Where there is neither board nor conductor. [mm]
    groove_x_mm : float
        The width X; 0 bridges nothing. [mm]
    bridged_angle : float
        Walls that face each other under less than this are bridged where they are X apart. In plan this is the one
        reading of a recess. [rad]

    Returns
    -------
    BaseGeometry
        A part of ``air``; crossing it slantwise is counted straight too, which can only shorten a distance. [mm]

    Sources
    -------
    IEC 60664-1, examples 1 to 3 and 5; the angle of 80° from the product standards.
    """
    radius = 0.5 * (groove_x_mm - WIDTH_TOLERANCE_MM)
    if radius <= 0.0 or shapely.is_empty(air):
        return shapely.Polygon()
    bridged = [part for piece in polygons_of(air) for part in _bridged(piece, radius, groove_x_mm, bridged_angle)]
    return shapely.union_all(bridged).intersection(air) if bridged else shapely.Polygon()


def _bridged(piece: shapely.Polygon, radius: float, groove_x_mm: float, bridged_angle: float) -> Iterator[BaseGeometry]:
    """Yield the parts of one piece of air that are bridged."""
    wide = piece.buffer(-radius, quad_segs=_QUARTER).buffer(radius + _SLACK * groove_x_mm, quad_segs=_QUARTER)
    touching = wide.buffer(_TOUCHING_MM)
    shapely.prepare(touching)
    for narrow in polygons_of(piece.difference(wide)):
        contacts = _contacts(narrow, touching)
        if len(contacts) == 1 and not _is_pocket(narrow, contacts[0], bridged_angle):
            continue
        yield narrow
        for contact in contacts:
            yield _to_the_link(piece, narrow, contact, groove_x_mm)


def _contacts(narrow: shapely.Polygon, touching: BaseGeometry) -> list[NDArray[np.float64]]:
    """Return the lines along which a narrow piece borders on where the disc goes, as arrays of shape (n, 2)."""
    if not shapely.intersects(touching, narrow):
        return []
    shared = narrow.boundary.intersection(touching)
    lines = [part for part in shapely.get_parts(shared) if isinstance(part, shapely.LineString) and part.length > 0.0]
    if not lines:
        return []
    merged = shapely.get_parts(shapely.line_merge(shapely.MultiLineString(lines)))
    return [shapely.get_coordinates(line) for line in merged if line.length > WIDTH_TOLERANCE_MM]


def _is_pocket(narrow: shapely.Polygon, contact: NDArray[np.float64], bridged_angle: float) -> bool:
    """Say whether the piece behind a contact is as deep as walls under the angle make it; a round end is not."""
    first, last = contact[0], contact[-1]
    width = math.dist(first, last)
    if width <= WIDTH_TOLERANCE_MM:
        return False
    along = (last - first) / width
    offsets = shapely.get_coordinates(narrow) - first
    depth = float(np.abs(along[0] * offsets[:, 1] - along[1] * offsets[:, 0]).max())
    return depth > 0.5 * width / math.tan(0.5 * bridged_angle)


def _to_the_link(
    air: shapely.Polygon, narrow: shapely.Polygon, contact: NDArray[np.float64], width: float
) -> BaseGeometry:
    """Return what lies between a contact of the disc and the link, as far out on one wall as on the other."""
    first, last = _Wall(air, narrow, contact[0]), _Wall(air, narrow, contact[-1])
    low, high = 0.0, 0.5 * width
    for _ in range(_STEPS):
        middle = 0.5 * (low + high)
        if math.dist(first.at(middle), last.at(middle)) <= width:
            low = middle
        else:
            high = middle
    return shapely.MultiPoint([*contact, first.at(low), last.at(low)]).convex_hull.intersection(air)


class _Wall:
    """The rim of the air from where a narrow piece ends, followed away from it."""

    def __init__(self, air: shapely.Polygon, narrow: shapely.Polygon, start: NDArray[np.float64]) -> None:
        point = shapely.Point(start)
        self.ring = min(rings_of(air), key=point.distance)
        self.begins = self.ring.project(point)
        self.sign = 1.0
        if narrow.distance(shapely.Point(self.at(_STEP_MM))) <= narrow.distance(shapely.Point(self.at(-_STEP_MM))):
            self.sign = -1.0

    def at(self, along: float) -> tuple[float, float]:
        """Return the point so far along the wall."""
        point = self.ring.interpolate((self.begins + self.sign * along) % self.ring.length)
        return (point.x, point.y)

"""The surface of a board as creepage meets it: what conducts, where there is air, and what of the air is bridged."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from coldpin.errors import InputError, UnknownName
from coldpin.insulation.conductors import ConductingShape
from coldpin.insulation.grooves import bridged_air
from coldpin.records.board import BoardFeature, BoardModel, Face, Joint, Role
from coldpin.records.nets import group_of, stands_for

CLEAR = "stands clear"
"""A part of which the drawing tells this, with how far, touches the board on one side of a slot at most."""

_SEAM_MM = 1e-5
"""Ours: by how much bridged air is widened before it is taken from the rest, so that no sliver is left along it. It can
only shorten a distance. [mm]"""

_MARGIN_MM = 10.0
"""Ours: how much air is drawn round everything, beside many times X; only that it is wide matters. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """One face of a board.

    ``air`` is where there is neither board nor conductor; ``bridged`` the part of it that creepage crosses; ``walked``
    the rest, which it goes round; ``bodies`` are the parts and barriers that may lead over it. ``solid`` says whether
    a board was drawn. [mm]
    """

    air: BaseGeometry
    bridged: BaseGeometry
    walked: BaseGeometry
    bodies: BaseGeometry
    solid: bool

    def walked_under_bodies(self) -> BaseGeometry:
        """Return what creepage goes round where it may also lead over the bodies of parts.

        Returns
        -------
        BaseGeometry
            The same as ``walked`` where no body lies over it. [mm]
        """
        return shapely.difference(self.walked, self.bodies.buffer(_SEAM_MM, join_style="mitre"))

    def covered(self) -> bool:
        """Say whether a body lies over air that creepage goes round.

        Returns
        -------
        bool
            True where the two readings may differ.
        """
        return bool(shapely.intersection(self.walked, self.bodies).area > 0.0)


def area_of(feature: BoardFeature) -> shapely.Polygon:
    """Return the area of a shape.

    Parameters
    ----------
    feature : BoardFeature
        The shape.

    Returns
    -------
    Polygon
        Its area, openings left out. [mm]

    Raises
    ------
    InputError
        It crosses itself, or has no area.

    Examples
    --------
    >>> import numpy as np
    >>> square = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 2.0], [0.0, 2.0]])
    >>> area_of(BoardFeature(name="pad 1", role=Role.FLOATING, outline=square)).area
    4.0
    """
    if len(feature.outline) < 3:
        raise InputError(
            f"shape {feature.name!r} has {len(feature.outline)} corners; an area needs three: draw it again"
        )
    area = shapely.Polygon(feature.outline, feature.openings)
    if not shapely.is_valid(area) or area.area <= 0.0:
        raise InputError(
            f"shape {feature.name!r} encloses no area as drawn ({shapely.is_valid_reason(area)}): draw it again"
        )
    return area


def conducting_shapes(board: BoardModel) -> list[ConductingShape]:
    """Return what conducts: conductors, floating parts and plated slots.

    Parameters
    ----------
    board : BoardModel
        The drawing. [mm]

    Returns
    -------
    list of ConductingShape
        In the order of the drawing; shapes of one net are joined by it, wherever they lie.

    Raises
    ------
    InputError
        A shape encloses no area.
    """
    return [
        ConductingShape(
            name=feature.name,
            area=area_of(feature),
            joined="" if feature.role is Role.FLOATING else feature.net,
        )
        for feature in board.features
        if conducts(feature)
    ]


def conducts(feature: BoardFeature) -> bool:
    """Say whether a shape conducts.

    Parameters
    ----------
    feature : BoardFeature
        The shape.

    Returns
    -------
    bool
        True of conductors, floating parts and plated slots.
    """
    return feature.role in (Role.CONDUCTOR, Role.FLOATING) or (feature.role is Role.SLOT and feature.plated)


def surface_of(board: BoardModel, *, groove_x_mm: float, bridged_angle: float) -> Surface:
    """Return the surface of a board drawn in plan.

    Parameters
    ----------
    board : BoardModel
        The drawing. [mm]
    groove_x_mm : float
        The width X from which a groove is followed. [mm]
    bridged_angle : float
        Walls that face each other under less than this are bridged. [rad]

    Returns
    -------
    Surface
        Its air, bridged and not.

    Raises
    ------
    InputError
        A shape encloses no area.
    """
    air = shapely.difference(air_of(board, groove_x_mm=groove_x_mm), _metal(board))
    bridged = bridged_air(air, groove_x_mm=groove_x_mm, bridged_angle=bridged_angle)
    return Surface(
        air=air,
        bridged=shapely.intersection(air, bridged.buffer(2.0 * _SEAM_MM, join_style="mitre")),
        walked=shapely.difference(air, bridged.buffer(_SEAM_MM, join_style="mitre")),
        bodies=shapely.union_all([area_of(body) for body in bodies_of(board)]),
        solid=bool(board.of_role(Role.BOARD)),
    )


def air_of(board: BoardModel, *, groove_x_mm: float) -> BaseGeometry:
    """Return where there is no board: its slots and holes, and what lies beside it.

    Parameters
    ----------
    board : BoardModel
        The drawing. [mm]
    groove_x_mm : float
        The width X; the frame drawn round everything is many times that wide. [mm]

    Returns
    -------
    BaseGeometry
        Conductors left out of account; without an outline of the board, its slots alone. [mm]

    Raises
    ------
    InputError
        A shape encloses no area.
    """
    slots = shapely.union_all(
        [area_of(feature) for feature in board.features if feature.role is Role.SLOT and not feature.plated]
    )
    solid = shapely.union_all([area_of(feature) for feature in board.of_role(Role.BOARD)])
    if shapely.is_empty(solid):
        return slots
    bounds = np.array(shapely.total_bounds([solid, slots, _metal(board)]))
    margin = _MARGIN_MM + 10.0 * groove_x_mm
    frame = shapely.box(*(bounds[:2] - margin), *(bounds[2:] + margin))
    return shapely.union_all([shapely.difference(frame, solid), slots])


def _metal(board: BoardModel) -> BaseGeometry:
    """Return the area of all that conducts."""
    return shapely.union_all([area_of(feature) for feature in board.features if conducts(feature)])


def on_face(board: BoardModel, face: Face) -> BoardModel:
    """Return one face of a board: what conducts there, and what both have, the board and all that is cut out of it.

    Parameters
    ----------
    board : BoardModel
        The board.
    face : Face
        The face.

    Returns
    -------
    BoardModel
        What stands on the other face left out.
    """
    both = (Role.BOARD, Role.SLOT)
    return replace(
        board, features=tuple(shape for shape in board.features if shape.face in (None, face) or shape.role in both)
    )


def solids_of(board: BoardModel) -> tuple[BaseGeometry, ...]:
    """Return what is solid in a section: the board, with what is cemented to it, and each loose barrier.

    Parameters
    ----------
    board : BoardModel
        The drawing of a section. [mm]

    Returns
    -------
    tuple of BaseGeometry
        Where two of them touch there is a joint, along which creepage leads; slots are taken out. [mm]

    Raises
    ------
    InputError
        A shape encloses no area.
    """
    barriers = board.of_role(Role.BARRIER)
    cemented = [area_of(feature) for feature in barriers if feature.joint is Joint.CEMENTED]
    slots = shapely.union_all([area_of(feature) for feature in board.of_role(Role.SLOT)])
    solid = shapely.union_all([*(area_of(feature) for feature in board.of_role(Role.BOARD)), *cemented])
    loose = [area_of(feature) for feature in barriers if feature.joint is not Joint.CEMENTED]
    whole: list[BaseGeometry] = [shapely.difference(solid, slots), *loose]
    return tuple(part for part in whole if not shapely.is_empty(part))


def bodies_of(board: BoardModel) -> tuple[BoardFeature, ...]:
    """Return the parts and barriers over whose bodies creepage may lead across a slot.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    tuple of BoardFeature
        All but those of which the drawing tells that they stand clear of what lies under them.
    """
    bodies = (*board.of_role(Role.COMPONENT), *board.of_role(Role.BARRIER))
    return tuple(body for body in bodies if not body.told.startswith(CLEAR))


def nets_named(board: BoardModel, name: str) -> tuple[str, ...]:
    """Return the nets that a name stands for: one net, or all of a group.

    Parameters
    ----------
    board : BoardModel
        The drawing.
    name : str
        "mains L", or "mains".

    Returns
    -------
    tuple of str
        In the order of the drawing.

    Raises
    ------
    UnknownName
        No conductor has that net or group.
    """
    nets = _nets(board.features)
    found = tuple(net for net in nets if stands_for(name, net))
    if not found:
        raise UnknownName.among("net", name, {*nets, *map(group_of, nets)})
    return found


def _nets(features: Sequence[BoardFeature]) -> tuple[str, ...]:
    """Return the nets of conductors and plated slots, each once."""
    return tuple(
        dict.fromkeys(
            feature.net
            for feature in features
            if feature.net and conducts(feature) and feature.role is not Role.FLOATING
        )
    )

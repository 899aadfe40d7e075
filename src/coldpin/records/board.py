"""A board as drawn: its outline, what conducts on it, what is milled out of it, what stands on it, and its scale."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from coldpin.records.nets import group_of, stands_for


class Role(StrEnum):
    """What a shape of a board is.

    A conductor belongs to a net; a floating part conducts and belongs to none that is known (an unused pad, a
    heatsink, the core of a relay). A slot is air where the board is not; a barrier stands on the board and insulates; a
    component is what hides the board under it, or crosses the barrier with a body of its own.
    """

    BOARD = "board"
    CONDUCTOR = "conductor"
    FLOATING = "floating"
    SLOT = "slot"
    BARRIER = "barrier"
    COMPONENT = "component"


class Face(StrEnum):
    """A face of a board: the one seen in the picture or drawn first, and the other, drawn as seen through the first."""

    TOP = "top"
    BOTTOM = "bottom"


class View(StrEnum):
    """How a drawing shows the thing: from above, or cut through, with its surface as the edge of what is solid."""

    PLAN = "plan"
    SECTION = "section"


class Joint(StrEnum):
    """How a barrier stands on the board: with no way under it, or with a joint along which creepage leads."""

    CEMENTED = "cemented"
    LOOSE = "loose"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardFeature:
    """One shape of a board.

    ``name`` is unlike that of every other shape ("slot 2"). ``outline``: array of shape (n, 2), the corners in order,
    the first not repeated at the end; ``openings``: arrays of the same kind, holes in the shape; all in the unit of the
    drawing. ``net`` is "mains L" and the like, its first word is the group; empty where there is none. ``face`` is None
    where the shape is on both faces, or the board has one. ``height_mm`` is how far it stands above the face, None
    where it was not said. ``plated`` is true of a slot or hole whose wall conducts. ``joint`` is how a barrier stands
    on the board; None, not known, counts as loose. ``told`` is what the drawing says of it beside that; nothing is
    concluded from it. A ``proposed`` shape was found by a program and confirmed by nobody: a drawing with one decides
    nothing. ``pick_u`` is the standard uncertainty of each of its coordinates, in the unit of the drawing, where they
    are known less well than the others; None where they are not.
    """

    name: str
    role: Role
    outline: NDArray[np.float64]
    openings: tuple[NDArray[np.float64], ...] = ()
    net: str = ""
    face: Face | None = None
    height_mm: float | None = None
    plated: bool = False
    joint: Joint | None = None
    told: str = ""
    proposed: bool = False
    pick_u: float | None = None

    def __post_init__(self) -> None:
        """Hold corners as floats: drawn anew with their scatter, whole numbers would be cut to whole numbers."""
        object.__setattr__(self, "outline", np.asarray(self.outline, dtype=np.float64))
        object.__setattr__(self, "openings", tuple(np.asarray(ring, dtype=np.float64) for ring in self.openings))

    @property
    def group(self) -> str:
        """What its net belongs to: the first word of its name, in small letters."""
        return group_of(self.net)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Calibration:
    """How the pixels of a picture become millimetres: points found in it whose true places are known.

    ``picture_px``: array of shape (n, 2), x to the right and y down. ``plane_mm``: array of shape (n, 2), the same
    points on the plane that was calibrated, y up. With two points the picture is taken as square to the plane; four or
    more also take out its tilt. ``method`` is "card", "rectangle" or "pitch". ``found_u_px`` is the standard
    uncertainty of each coordinate found [px] and ``pick_u_px`` that of each corner drawn by hand, None where not known.
    ``length_u_relative`` is that of the known lengths [1]. ``camera_height_mm`` is the distance of the lens from the
    plane, None where not known. ``picture`` is the SHA-256 of the picture and ``picture_size_px`` its width and height,
    without which what the lens bends can not be told. ``face_above_mm`` is how far the face that is drawn lies above
    the plane that was calibrated (a card on the table, beside a board that stands on its joints), None where not said.
    """

    method: str
    picture_px: NDArray[np.float64]
    plane_mm: NDArray[np.float64]
    found_u_px: float | None = None
    pick_u_px: float | None = None
    length_u_relative: float | None = None
    camera_height_mm: float | None = None
    picture: str = ""
    picture_size_px: tuple[int, int] | None = None
    face_above_mm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OtherFace:
    """A photograph of the other face, laid under a drawing by marks: places that are seen in both pictures.

    ``drawn``: array of shape (n, 2), the marks in the drawing, which is in pixels of a picture. ``seen_px``: array of
    shape (n, 2), the same in the other picture as it was taken, not mirrored. ``picture`` is its SHA-256 and
    ``picture_size_px`` its width and height.
    """

    picture: str
    picture_size_px: tuple[int, int]
    drawn: NDArray[np.float64]
    seen_px: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardModel:
    """All shapes of a board, or of a section through something.

    Coordinates are in millimetres, y up (in a section: x along, y away from the board), where ``calibration`` is None;
    else in pixels of its picture, y down. ``pick_u_mm`` is the standard uncertainty of each coordinate where the
    drawing is in millimetres, None where it is not known. With a ``thickness_mm`` the board has two faces, joined at
    its rim, at the walls of its slots and holes; without one it has the face that was drawn. ``other_face`` is the
    photograph of the other face where one was laid under the drawing; nothing is measured by it alone.
    """

    features: tuple[BoardFeature, ...]
    view: View = View.PLAN
    thickness_mm: float | None = None
    calibration: Calibration | None = None
    pick_u_mm: float | None = None
    other_face: OtherFace | None = None

    def of_role(self, role: Role) -> tuple[BoardFeature, ...]:
        """Return the shapes of one role.

        Parameters
        ----------
        role : Role
            The role.

        Returns
        -------
        tuple of BoardFeature
            In the order of the drawing.
        """
        return tuple(feature for feature in self.features if feature.role is role)

    def of_net(self, net: str) -> tuple[BoardFeature, ...]:
        """Return the conductors of a net, or of every net of a group, in whichever spelling.

        Parameters
        ----------
        net : str
            "mains L", or a group such as "mains".

        Returns
        -------
        tuple of BoardFeature
            In the order of the drawing.
        """
        conductors = self.of_role(Role.CONDUCTOR)
        return tuple(feature for feature in conductors if stands_for(net, feature.net))

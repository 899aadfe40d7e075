"""A photograph made ready to measure in, in the form that ``coldpin photo --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScalePoint:
    """A point found in the picture, x to the right and y down, and its true place in the plane, y up."""

    px: Point
    mm: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoScale:
    """The member ``scale`` of a board's file that is drawn over the picture; null is what is not known.

    ``found_u_px``, ``pick_u_px`` and ``length_u_relative`` are standard uncertainties: of the points, of the corners to
    be drawn by hand, and of the lengths that the points stand for. ``face_above_mm`` is how far the face to be drawn
    lies above the plane of the points.
    """

    unit: Literal["px"]
    method: str
    points: tuple[ScalePoint, ...]
    found_u_px: float | None
    pick_u_px: float | None
    length_u_relative: float | None
    camera_height_mm: float | None
    picture: str
    picture_size_px: tuple[int, int]
    face_above_mm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoCard:
    """The card that was found: how much of it, how large and how sharp it is in the picture."""

    name: str
    marks: int
    corners: int
    square_px: float
    blur_px: float
    blur_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoGap:
    """A gap known by calliper, as the picture has it; ``agrees`` is null where an uncertainty is not known."""

    ends_px: tuple[Point, Point]
    read: Quantity
    known: Quantity
    agrees: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class RaisedReading:
    """What something above the plane does to a reading.

    ``longer_percent`` is by how much a length at that height reads longer, ``shift_mm`` how far a point of it seems to
    have moved at the edge of the picture. Where only the least height of the lens is known both are the most they can
    be.
    """

    height_mm: float
    longer_percent: float
    shift_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoReading:
    """A photograph with its scale.

    ``millimetres_per_pixel`` holds in the middle of the picture. ``tilt_deg`` is the angle between the optical axis and
    the normal of the plane, null where the points cannot show it; ``lens_height_mm`` is that of the lens above the
    plane, ``lens_height_is_least`` says that both are the least they can be: those of the widest usual lens.
    ``distortion_percent`` is by how much the lens moves a point at the corner of the picture. ``residual_px`` is what
    the points miss the plane by.
    """

    schema: Literal["coldpin.photo/1"]
    name: str
    sha256: str
    width_px: int
    height_px: int
    at_s: float | None
    method: str
    card: PhotoCard | None
    scale: PhotoScale
    millimetres_per_pixel: Quantity
    tilt_deg: Quantity | None
    lens_height_mm: Quantity
    lens_height_is_least: bool
    distortion_percent: Quantity
    residual_px: float | None
    raised: tuple[RaisedReading, ...]
    gaps: tuple[PhotoGap, ...]
    remarks: tuple[str, ...]

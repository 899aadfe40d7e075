"""What a calibrated picture says of itself: scale, tilt, lens, heights, and how it reads gaps that are known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.calibration import RAISED_MM
from coldpin.insulation.camera_pose import FOCAL_U_RELATIVE, CameraPose, camera_pose, least_focal_px, pose_spread
from coldpin.insulation.corner_scatter import CAMERA_HEIGHT_U, STATED_LEVEL_U_MM
from coldpin.insulation.gap_direction import LEAST_ANGLE_DEG, direction_of, told_direction, widest_angle
from coldpin.insulation.joint_bound import joint_factor
from coldpin.insulation.known_lengths import KnownLength
from coldpin.insulation.lens import distorted_radius, distortion_percent
from coldpin.insulation.parallax import parallax_shift, raised_reading
from coldpin.insulation.picture_scale import distance, picked_length_u, scale
from coldpin.insulation.plane_map import ENTRIES, PlaneMap, scale_at
from coldpin.quantity import Component, Quantity, assemble
from coldpin.records.board import Calibration
from coldpin.records.photo import (
    PhotoCard,
    PhotoGap,
    PhotoReading,
    PhotoScale,
    RaisedReading,
    ScalePoint,
)

Array = NDArray[np.float64]

DRAWS = 2000
"""Ours: maps and ends drawn for a gap; its 95 % interval is then known to a twentieth."""

SEED = 101
"""Ours: the same picture gives the same figures."""

HEIGHTS_MM = (1.6, 10.0)
"""Ours: heights for which the effect is printed: a board's thickness, and a relay or connector. [mm]"""

STEEP_DEG = 15.0
"""Ours: tilt from which raised parts hide what lies behind them. [°]"""

WRITTEN_DIGITS = 4
"""Ours: decimals of a point in a board's file: far below what anything is found to."""

ENOUGH_GAPS = 3
"""Ours: gaps by calliper below which a picture alone decides nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoFacts:
    """What is known of a picture beside its scale.

    ``focal_px`` is None where the camera does not say it, ``lens_mm`` where the height of the lens was not measured.
    """

    name: str
    sha256: str
    size_px: tuple[int, int]
    at_s: float | None = None
    focal_px: float | None = None
    lens_mm: float | None = None
    card: PhotoCard | None = None


def read_plane(
    facts: PhotoFacts,
    calibration: Calibration,
    plane: PlaneMap,
    gaps: Sequence[KnownLength] = (),
    *,
    remarks: Sequence[str] = (),
) -> PhotoReading:
    """Return what a calibrated picture says of itself.

    Parameters
    ----------
    facts : PhotoFacts
        What is known of it beside.
    calibration : Calibration
        Its calibration.
    plane : PlaneMap
        The map by it.
    gaps : sequence of KnownLength
        Gaps that were set by calliper.
    remarks : sequence of str
        What was said of it before.

    Returns
    -------
    PhotoReading
        The record.
    """
    width, height = facts.size_px
    focal = _focal_by_height(plane, facts.lens_mm) or facts.focal_px or least_focal_px(plane)
    pose = camera_pose(plane, focal)
    is_least = facts.focal_px is None and facts.lens_mm is None
    tilt, lens_height = _pose(plane, pose, focal, is_least=is_least, stated=facts.lens_mm)
    among = sum(gap.length.expanded is not None for gap in gaps)
    found = tuple(read_gap(calibration, plane, gap, lens_mm=lens_height.value, among=among) for gap in gaps)
    return PhotoReading(
        schema="coldpin.photo/1",
        name=facts.name,
        sha256=facts.sha256,
        width_px=width,
        height_px=height,
        at_s=facts.at_s,
        method=calibration.method,
        card=facts.card,
        scale=plain_scale(calibration, facts.size_px),
        millimetres_per_pixel=_scale(plane, facts.size_px),
        tilt_deg=tilt,
        lens_height_mm=lens_height,
        lens_height_is_least=is_least,
        distortion_percent=_distortion(plane),
        residual_px=plane.residual_px,
        raised=tuple(_raised(plane, pose, lens_height.value, one, facts.size_px) for one in HEIGHTS_MM),
        gaps=found,
        remarks=(*remarks, *_remarks(calibration, tilt, found, is_least=is_least)),
    )


def read_gap(
    calibration: Calibration, plane: PlaneMap, gap: KnownLength, *, lens_mm: float, among: int = 1
) -> PhotoGap:
    """Return a gap that was set by calliper as the picture has it.

    Parameters
    ----------
    calibration : Calibration
        The calibration of the picture.
    plane : PlaneMap
        The map by it.
    gap : KnownLength
        The gap: both ends in the picture, and the calliper's reading.
    lens_mm : float
        Height of the lens above the plane, or the least that it can be. [mm]
    among : int
        How many gaps are compared in the picture, whose bounds are to hold together. [1]

    Returns
    -------
    PhotoGap
        Both readings, and whether they agree within their uncertainties.
    """
    ends = plane.to_mm(gap.ends_px)
    nearer = (calibration.face_above_mm or 0.0) / lens_mm
    value = float(np.hypot(*(ends[1] - ends[0]))) * (1.0 - nearer)
    pick_u = calibration.pick_u_px
    if pick_u is None or not plane.known:
        why = (
            "how well points are picked is not known" if pick_u is None else "the uncertainty of the scale is not known"
        )
        read = Quantity(value, None, "mm", why=why)
    else:
        step = scale(length=value, pixels=float(np.hypot(*(gap.ends_px[1] - gap.ends_px[0]))))
        picking = float(distance(scale=step, pixels=picked_length_u(pick_u)))
        level = value * _level_u_mm(calibration) / lens_mm
        shares = (
            Component(id=f"picking of {gap.ends_px.tolist()}", label="picking of both ends", contribution=picking),
            Component(id="scale", label="scale, tilt and lens", contribution=_spread_mm(plane, gap.ends_px)),
            Component(id="level", label="height of the face over the points", contribution=level),
        )
        read = assemble(value, "mm", shares)
    agrees = None
    if read.expanded is not None and gap.length.expanded is not None:
        allowed = math.hypot(
            joint_factor(among, read.dof) * read.expanded, joint_factor(among, gap.length.dof) * gap.length.expanded
        )
        agrees = abs(read.value - gap.length.value) <= allowed
    first, second = gap.ends_px.tolist()
    return PhotoGap(ends_px=(tuple(first), tuple(second)), read=read, known=gap.length, agrees=agrees)


def _spread_mm(plane: PlaneMap, ends_px: Array) -> float:
    """Return the standard deviation of a length over the maps that might also be."""
    drawn = plane.draw(DRAWS, np.random.default_rng(SEED)).to_mm(ends_px)
    return float(np.std(np.hypot(*(drawn[:, 1] - drawn[:, 0]).T)))


def _level_u_mm(calibration: Calibration) -> float:
    """Return how well it is known how far the face lies above the points; points on the board lie in its face."""
    if calibration.face_above_mm is not None:
        return STATED_LEVEL_U_MM
    return RAISED_MM / math.sqrt(3.0) if calibration.method == "card" else 0.0


def plain_scale(calibration: Calibration, size_px: tuple[int, int]) -> PhotoScale:
    """Return a calibration as the member ``scale`` of a board's file.

    Parameters
    ----------
    calibration : Calibration
        The calibration.
    size_px : tuple of int
        Width and height of the picture. [px]

    Returns
    -------
    PhotoScale
        The member.
    """
    pairs = zip(calibration.picture_px.tolist(), calibration.plane_mm.tolist(), strict=True)
    return PhotoScale(
        unit="px",
        method=calibration.method,
        points=tuple(ScalePoint(px=_rounded(px), mm=_rounded(mm)) for px, mm in pairs),
        found_u_px=calibration.found_u_px,
        pick_u_px=calibration.pick_u_px,
        length_u_relative=calibration.length_u_relative,
        camera_height_mm=calibration.camera_height_mm,
        picture=calibration.picture,
        picture_size_px=size_px,
        face_above_mm=calibration.face_above_mm,
    )


def _rounded(point: list[float]) -> tuple[float, float]:
    x, y = (round(one, WRITTEN_DIGITS) for one in point)
    return x, y


def _focal_by_height(plane: PlaneMap, height_mm: float | None) -> float | None:
    """Return the focal length by which the lens has the height that was measured."""
    if height_mm is None:
        return None
    focal = least_focal_px(plane)
    for _ in range(ENTRIES):
        focal *= height_mm / camera_pose(plane, focal).height_mm
    return focal


def _pose(
    plane: PlaneMap, pose: CameraPose, focal: float, *, is_least: bool, stated: float | None
) -> tuple[Quantity | None, Quantity]:
    tilt_u, height_u = None, None
    if plane.covariance is not None:
        tilt_u, height_u = pose_spread(plane, focal, np.random.default_rng(SEED))
    why = "the focal length is not known: taken as that of the widest usual lens" if is_least else ""
    if is_least:
        height = Quantity(pose.height_mm, None, "mm", why=why)
    elif stated is not None:  # with the uncertainty that distances are reckoned with, whatever was stated
        height = Quantity(pose.height_mm, CAMERA_HEIGHT_U * pose.height_mm, "mm")
    else:
        height = Quantity(pose.height_mm, height_u or FOCAL_U_RELATIVE * pose.height_mm, "mm")
    if plane.square:
        return None, height
    tilt = Quantity(pose.tilt_deg, None if is_least else tilt_u, "°", why=why)
    return tilt, height


def _scale(plane: PlaneMap, size_px: tuple[int, int]) -> Quantity:
    middle = 0.5 * (np.array(size_px, dtype=np.float64) - 1.0)
    value = scale_at(plane, middle)
    if not plane.known:
        return Quantity(value, None, "mm/px", why="the uncertainty of the scale is not known")
    ends = middle + 0.5 * np.array([[-1.0, 0.0], [1.0, 0.0]])
    return Quantity(value, _spread_mm(plane, ends), "mm/px")


def _distortion(plane: PlaneMap) -> Quantity:
    k1, k2 = (float(one) for one in plane.parameters[ENTRIES:])
    value = float(distortion_percent(actual=distorted_radius(1.0, k1, k2), predicted=1.0))
    if plane.covariance is None:
        return Quantity(value, None, "%", why="the uncertainty of the points is not known")
    corner = plane.covariance[ENTRIES:, ENTRIES:]
    return Quantity(value, 100.0 * math.sqrt(max(float(corner.sum()), 0.0)), "%")


def _raised(
    plane: PlaneMap, pose: CameraPose, lens_mm: float, height_mm: float, size_px: tuple[int, int]
) -> RaisedReading:
    width, height = size_px
    corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]], dtype=np.float64)
    away = float(np.max(np.hypot(*(plane.to_mm(corners) - np.array(pose.foot_mm)).T)))
    longer = raised_reading(length=1.0, height=height_mm, camera_height=lens_mm) - 1.0
    shift = parallax_shift(from_foot=away, height=height_mm, camera_height=lens_mm)
    return RaisedReading(height_mm=height_mm, longer_percent=100.0 * float(longer), shift_mm=float(shift))


def _remarks(
    calibration: Calibration, tilt: Quantity | None, gaps: tuple[PhotoGap, ...], *, is_least: bool
) -> list[str]:
    told = []
    if calibration.pick_u_px is None:
        told.append("how well corners are picked is not known, so no distance has an uncertainty: say --pick-u")
    if calibration.length_u_relative is None and calibration.method != "card":
        told.append("the known length has no stated accuracy: write it as '22.86 mm ± 0.02 mm'")
    if tilt is not None and tilt.value > STEEP_DEG:
        told.append(
            f"the camera was tilted by {tilt.value:.0f}°: raised parts hide what is behind them; hold it square"
        )
    if is_least:
        told.append(
            "the height of the lens is not known; what heights do is given for the nearest it can be: say --lens"
        )
    told += [
        f"the gap of {gap.known.value:.4g} mm by calliper reads {gap.read.value:.4g} mm in the picture: they disagree; "
        "the card does not lie level with the board, or the ends were picked elsewhere"
        for gap in gaps
        if gap.agrees is False
    ]
    known = len({frozenset(gap.ends_px) for gap in gaps})  # a gap that is given twice shows nothing more
    if known < ENOUGH_GAPS:
        told.append(f"gaps set by calliper: {known}; below {ENOUGH_GAPS} a picture alone decides nothing: give --gap")
    elif widest_angle(along := _directions(gaps)) < LEAST_ANGLE_DEG and along:
        told.append(
            f"all gaps set by calliper run about {told_direction(along)} in the picture, which may be stretched or "
            "tilted across them and alone decides nothing: give --gap for one that runs "
            f"{told_direction(along, across=True)}"
        )
    return told


def _directions(gaps: tuple[PhotoGap, ...]) -> list[float]:
    """Return in which directions gaps run in the picture, y up. [deg]"""
    ends = (np.array(gap.ends_px) * np.array([1.0, -1.0]) for gap in gaps)
    found = (direction_of(both[1:] - both[:1]) for both in ends)
    return [one for one in found if one is not None]

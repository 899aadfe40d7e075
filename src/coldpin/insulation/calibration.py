"""From points found in a picture, whose places are known, to the map of its pixels to millimetres, with covariance.

The map is fitted by least squares in pixels. What the points cannot show is not taken as zero: it enters with the
spread that pictures of its kind have. So the bending of the lens is in every budget, and shrinks where the card shows
it; and a scale from one header, which cannot show a tilt, carries what a picture held square by eye may have.
"""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.card_shape import LEAST_SPARE, bowed_problems, not_told_apart, shape_doubt, told_of_bow
from coldpin.insulation.plane_map import ENTRIES, PARAMETERS, Frame, PlaneMap
from coldpin.insulation.plane_problem import HELD_SQUARE_DEG, PlaneFit, PlaneProblem
from coldpin.records.board import Calibration
from coldpin.records.by_content import ByContent

Array = NDArray[np.float64]

FEWEST_FOR_TILT = 4
"""Points from which a projective map of the plane follows."""

RAISED_MM = 10.0
"""Ours: so far above the table, and a card lying there, a board stands on its joints, pins or usual spacers. [mm]"""

LEVEL_NOT_SAID = (
    f"how far the face lies above the card is not said, so anything up to {RAISED_MM:g} mm is allowed for, by which a "
    "distance may be shorter than it reads: say it (--face-above, face_above_mm), 0 where the card was laid level"
)

THINNEST = 0.02
"""Ours: points whose spread across is less than this part of that along lie on a line; they cannot show a tilt."""

WIDER_THAN_FOUND = 2.0
"""Ours: residuals this many times what the points are found with are a pattern, not noise: a bent card, a lens that
bends otherwise, a wrong place. A pattern does not average out over many points."""

START_U_PX = 0.3
"""Ours: what a point is taken to be found with until the residuals have said; it only balances data and spread. [px]"""

NO_CAMERA = 1e-6
"""Ours: a map with a smaller last entry has its middle at infinity. [1]"""

CORNERS = 4
"""Points that settle a map: a pattern of residuals counts as if there were no more."""

BENT = (
    "the card is bent or not flat on one plane, or the lens bends otherwise than along its radius; the scale is "
    "widened as far. Lay the card flat and photograph again"
)

NOT_SHOWN = (
    "the points do not show whether the picture was square to the board: taken as held within "
    f"{HELD_SQUARE_DEG:g}°; four points of a rectangle, or the scale card, take the tilt out"
)


def fit_plane(calibration: Calibration) -> PlaneMap:
    """Fit the map of a picture's pixels to the millimetres of the calibrated plane.

    Parameters
    ----------
    calibration : Calibration
        Points found, and where they truly are.

    Returns
    -------
    PlaneMap
        The map with its covariance, residuals and remarks.

    Raises
    ------
    InputError
        Fewer than two points, points that are not finite or coincide, lists of different length; or the picture is
        mirrored.

    Examples
    --------
    >>> header = Calibration(
    ...     method="pitch", picture_px=np.array([[100.0, 50.0], [1243.0, 50.0]]),
    ...     plane_mm=np.array([[0.0, 0.0], [22.86, 0.0]]), found_u_px=1.0, length_u_relative=0.0,
    ... )
    >>> ends = fit_plane(header).to_mm(np.array([[100.0, 50.0], [420.0, 50.0]]))
    >>> round(float(np.hypot(*(ends[1] - ends[0]))), 6)
    6.4

    Sources
    -------
    Hartley and Zisserman, Multiple View Geometry, 4.1 and 4.4 for the start (standing: memory); least squares.
    """
    return _remembered(ByContent(calibration))


REMEMBERED = 8
"""Ours: so many maps are kept; a case has few pictures, and every pair of nets of a drawing asks for the same one."""


@lru_cache(maxsize=REMEMBERED)
def _remembered(asked: ByContent[Calibration]) -> PlaneMap:
    calibration = asked.given
    _check(calibration)
    frame = _frame(calibration)
    square = len(calibration.plane_mm) < FEWEST_FOR_TILT or _on_a_line(calibration.plane_mm)
    start = _similar(calibration, frame) if square else _projective(calibration, frame)
    if not square and _mirrored(start):
        raise InputError(
            "the picture is mirrored against the known points: photograph the face itself, not its reflection, switch "
            "off the mirroring of the camera, or correct the order of the points"
        )
    problem = PlaneProblem(
        calibration=calibration, frame=frame, square=square, lens=calibration.picture_size_px is not None, start=start
    )
    return _fitted(problem)


def _fitted(problem: PlaneProblem) -> PlaneMap:
    calibration = problem.calibration
    stated = calibration.found_u_px
    flat = PlaneFit.of(problem, stated or START_U_PX)
    shapes = not_told_apart(
        [flat, *(PlaneFit.of(bowed, stated or START_U_PX) for bowed in bowed_problems(problem, flat))]
    )
    seen, odd = shapes[0].residual_px(), shapes[0].odd
    if odd:
        # no lens bends like that: what looks like one is a card that bends, so it is fitted as if by a straight lens
        seen = PlaneFit.of(replace(problem, lens=False), stated or START_U_PX).residual_px()
        shapes = [flat]
    spare = 2 * len(calibration.plane_mm) - problem.unknowns
    point_u, remarks = _point_u(stated, seen, spare, odd=odd)
    again = [PlaneFit.of(replace(shape.problem, start=shape.parameters), point_u or START_U_PX) for shape in shapes]
    best = again[0]
    doubt = shape_doubt(again, flat)
    if problem.square:
        remarks += (NOT_SHOWN,)
    bow_mm, told = told_of_bow(best, doubt)
    remarks += told
    if calibration.method == "card" and calibration.face_above_mm is None:
        remarks += (LEVEL_NOT_SAID,)
    if not problem.lens:
        remarks += ("the size of the picture is not known: what its lens bends is not in the uncertainty",)
    covariance = doubt.farthest.covariance[:PARAMETERS, :PARAMETERS] + doubt.rows.T @ doubt.rows
    return PlaneMap(
        frame=problem.frame,
        parameters=best.parameters[:PARAMETERS],
        covariance=covariance if point_u is not None else None,
        residuals_px=best.problem.residuals(best.parameters),
        residual_px=seen,
        point_u_px=point_u,
        length_u_relative=calibration.length_u_relative,
        square=problem.square,
        bow_mm=bow_mm,
        doubts=doubt.rows,
        remarks=remarks,
    )


def _point_u(
    stated: float | None, seen: float | None, spare: int, *, odd: bool
) -> tuple[float | None, tuple[str, ...]]:
    """Return the standard uncertainty of a coordinate, and what there is to say of it."""
    enough = seen is not None and spare >= LEAST_SPARE
    if stated is None:
        if enough and not odd:
            return seen, ()
        return None, ("with what uncertainty the points were found is not known, and too few are left over to show it",)
    if seen is None or spare < LEAST_SPARE or not (odd or seen > WIDER_THAN_FOUND * stated):
        return max(stated, seen if enough and seen is not None else 0.0), ()
    points = 0.5 * (spare + ENTRIES)
    told = f"the points miss the plane by {seen:.2g} px where they were found within {stated:.2g} px: {BENT}"
    return seen * math.sqrt(points / CORNERS), (told,)


def _check(calibration: Calibration) -> None:
    picture, plane = np.asarray(calibration.picture_px), np.asarray(calibration.plane_mm)
    if picture.shape != plane.shape or picture.ndim != 2 or picture.shape[1:] != (2,):
        raise InputError(
            f"the calibration has {len(picture)} points of the picture and {len(plane)} of the plane: give as many of "
            "both, each with x and y"
        )
    if len(picture) < 2:
        raise InputError(f"the calibration has {len(picture)} points: two that are far apart are the least")
    if not (np.isfinite(picture).all() and np.isfinite(plane).all()):
        raise InputError("a point of the calibration is not a finite number: correct it")
    for name, points in (("picture", picture), ("plane", plane)):
        if len(np.unique(points, axis=0)) < len(points):
            raise InputError(f"two points of the calibration lie at the same place of the {name}: correct one of them")


def _frame(calibration: Calibration) -> Frame:
    picture, plane = calibration.picture_px, calibration.plane_mm
    middle = plane.mean(axis=0)
    spread = float(np.sqrt(np.mean(np.sum((plane - middle) ** 2, axis=1))))
    if calibration.picture_size_px is not None:
        width, height = calibration.picture_size_px
        # the middle of the first pixel is at (0, 0)
        centre = 0.5 * np.array([width - 1.0, height - 1.0])
        radius = 0.5 * math.hypot(width, height)
    else:
        centre = picture.mean(axis=0)
        radius = float(np.max(np.hypot(*(picture - centre).T)))
    return Frame(centre_px=centre, radius_px=radius, middle_mm=middle, spread_mm=spread)


def _on_a_line(points: Array) -> bool:
    along, across = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(across < THINNEST * along)


def _normalised(calibration: Calibration, frame: Frame) -> tuple[Array, Array]:
    return (
        (calibration.plane_mm - frame.middle_mm) / frame.spread_mm,
        (calibration.picture_px - frame.centre_px) / frame.radius_px,
    )


def _similar(calibration: Calibration, frame: Frame) -> Array:
    """Return the map that only turns, stretches and moves, with y up in the plane and down in the picture."""
    plane, seen = _normalised(calibration, frame)
    x, y = plane.T
    nothing, one = np.zeros_like(x), np.ones_like(x)
    rows = np.concatenate([np.column_stack([x, y, one, nothing]), np.column_stack([-y, x, nothing, one])])
    a, b, right, down = np.linalg.lstsq(rows, np.concatenate([seen[:, 0], seen[:, 1]]), rcond=None)[0]
    return np.array([a, b, right, b, -a, down, 0.0, 0.0, 0.0, 0.0])


def _projective(calibration: Calibration, frame: Frame) -> Array:
    """Return the projective map by the direct linear transformation."""
    plane, seen = _normalised(calibration, frame)
    raised = np.column_stack([plane, np.ones(len(plane))])
    nothing = np.zeros_like(raised)
    rows = np.concatenate(
        [
            np.hstack([raised, nothing, -seen[:, :1] * raised]),
            np.hstack([nothing, raised, -seen[:, 1:] * raised]),
        ]
    )
    matrix = np.linalg.svd(rows)[2][-1]
    if abs(matrix[-1]) < NO_CAMERA * float(np.max(np.abs(matrix))):
        raise InputError("the points of the calibration fit no camera: check their order and their places")
    return np.concatenate([matrix[:ENTRIES] / matrix[-1], [0.0, 0.0]])


def _mirrored(parameters: Array) -> bool:
    """Return whether the map keeps the sense of turning: y is up in the plane and down in the picture."""
    a, b, right, c, d, down, e, f = parameters[:ENTRIES]
    slopes = np.array([[a - right * e, b - right * f], [c - down * e, d - down * f]])
    return bool(np.linalg.det(slopes) > 0.0)

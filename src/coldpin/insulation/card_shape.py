"""Whether a card lies flat or bows, by what its corners leave; and what is in doubt where they do not show it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.card_bow import BOW_PARAMETERS, TOWARD_DEG, USUAL_FOCALS, Bow, bow_words
from coldpin.insulation.plane_map import PARAMETERS, scales_over
from coldpin.insulation.plane_problem import PlaneFit, PlaneProblem

Array = NDArray[np.float64]

TOLD_APART = 0.99
"""Ours: one shape of the card is told from another where the points miss that by so much more as chance does only once
in a hundred pictures (F-test)."""

GRID = 5
"""Ours: maps are compared at so many places along the picture, and down it."""

FINEST_PART = 0.1
"""Ours: points are found no better than to this part of what they are said to be found with."""

TOLD_BOW_MM = 0.3
"""Ours: a card that bows by less lies as flat as it can be laid. [mm]"""

MUCH_WIDER = 0.01
"""Ours: scales that differ by this much between a flat and a bowed card are told of. [1]"""

BOW_ROUGH = 0.2
"""Ours: paper bends not quite as is fitted, and rests on the bench somehow: a fifth of what its bow does to the map
stays in doubt. [1]"""

LEAST_SPARE = 8
"""Ours: coordinates left over, from which their own residuals say how well points were found (1 in 4 of it)."""

FLATTEN = (
    "Glue the card on a plate, or tape it flat, and photograph again; a second card on the other side of the board "
    "checks it"
)


def bowed_problems(problem: PlaneProblem, flat: PlaneFit) -> list[PlaneProblem]:
    """Return the same problem for a card that bows, looked for in each direction.

    Parameters
    ----------
    problem : PlaneProblem
        That of a flat card.
    flat : PlaneFit
        Its solution.

    Returns
    -------
    list of PlaneProblem
        None where the points are no card, or too few.
    """
    calibration = problem.calibration
    spare = 2 * len(calibration.plane_mm) - PARAMETERS - BOW_PARAMETERS
    if calibration.method != "card" or problem.square or not problem.lens or spare < LEAST_SPARE:
        return []
    focals: tuple[float, ...] = USUAL_FOCALS
    height = calibration.camera_height_mm
    if height is not None:
        frame = problem.frame
        pixel_mm = scales_over(frame, flat.parameters, calibration.picture_px)
        focals = (height / (frame.radius_px * float(pixel_mm.mean())),)
    bows = [Bow(toward_deg=toward, focal=focal) for toward in TOWARD_DEG for focal in focals]
    return [replace(problem, bow=bow) for bow in bows]


def not_told_apart(fits: list[PlaneFit]) -> list[PlaneFit]:
    """Return the shapes of the card that the points cannot tell apart, the preferred first: a flat one where it may be.

    Compared is by how much more each is missed, in units of what the best of them leaves over.

    Parameters
    ----------
    fits : list of PlaneFit
        The flat card first.

    Returns
    -------
    list of PlaneFit
        Those that remain.

    Sources
    -------
    F-test of nested models (standing: memory).
    """
    # loading scipy takes longer than a short command; only a card needs it
    from scipy import special

    flat, *bowed = fits
    bowed = [fit for fit in bowed if not fit.odd]
    if not bowed:
        return [flat]
    fits = [flat, *bowed]
    unknowns = PARAMETERS + BOW_PARAMETERS
    spare = 2 * len(flat.problem.calibration.plane_mm) - unknowns
    finest = FINEST_PART * (flat.problem.calibration.found_u_px or 0.0)
    variance = max(min(fit.missed for fit in fits) / spare, finest**2, np.finfo(float).tiny)
    missed = [fit.missed / variance + fit.strain for fit in fits]
    limit = min(missed) + BOW_PARAMETERS * float(special.fdtri(BOW_PARAMETERS, spare, TOLD_APART))
    order = sorted(range(1, len(fits)), key=lambda index: missed[index])
    return [fits[index] for index in (0, *order) if missed[index] <= limit]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class ShapeDoubt:
    """What the card's shape leaves in doubt.

    ``rows``: array of shape (n, 10), standard uncertainties of the parameters that go together. ``farthest`` is the
    shape whose map lies farthest from the preferred, ``apart`` by what part their scales differ at most [1].
    """

    rows: Array
    farthest: PlaneFit
    apart: float


def shape_doubt(shapes: list[PlaneFit], flat: PlaneFit) -> ShapeDoubt:
    """Compare the shapes of a card that the points do not tell apart, all over the picture.

    Parameters
    ----------
    shapes : list of PlaneFit
        The preferred first.
    flat : PlaneFit
        The map by a flat card.

    Returns
    -------
    ShapeDoubt
        What stays in doubt.
    """
    best = shapes[0]
    size = best.problem.calibration.picture_size_px
    if size is None or (len(shapes) == 1 and best.problem.bow is None):
        return ShapeDoubt(rows=np.zeros((0, PARAMETERS)), farthest=best, apart=0.0)
    grid = np.stack(np.meshgrid(*(np.linspace(0.0, one - 1.0, GRID) for one in size)), axis=-1).reshape(-1, 2)
    scales = [np.log(scales_over(best.problem.frame, shape.parameters, grid)) for shape in shapes]
    apart = [float(np.max(np.abs(scale - scales[0]))) for scale in scales]
    farthest = shapes[int(np.argmax(apart))]
    here, there, straight = (fit.parameters[:PARAMETERS] for fit in (best, farthest, flat))
    rows = np.array([(there - here) / math.sqrt(3.0), BOW_ROUGH * (straight - here)])
    return ShapeDoubt(rows=rows, farthest=farthest, apart=max(apart))


def told_of_bow(best: PlaneFit, doubt: ShapeDoubt) -> tuple[float, tuple[str, ...]]:
    """Return by how much the card bows, and what there is to say of it.

    Parameters
    ----------
    best : PlaneFit
        The preferred shape.
    doubt : ShapeDoubt
        What stays in doubt beside it.

    Returns
    -------
    (float, tuple of str)
        0 where it is taken as flat [mm]; remarks.
    """
    shape = best if best.problem.bow is not None else doubt.farthest
    if shape.problem.bow is None:
        return 0.0, ()
    bow_mm, toward = shape.problem.bow.told(shape.parameters[PARAMETERS:])
    bows = bow_words(bow_mm, toward)
    if shape is best:
        told = f"{bows}: this is taken out, and what stays in doubt widens the scale. {FLATTEN}"
        return bow_mm, (told,) if abs(bow_mm) >= TOLD_BOW_MM else ()
    told = f"the lens bends, or {bows}: the points do not show which, and the scale is widened as far. {FLATTEN}"
    return 0.0, (told,) if doubt.apart >= MUCH_WIDER else ()

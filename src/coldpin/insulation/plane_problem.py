"""The least-squares problem of a picture's map: what points leave, and the spread of what they cannot show."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.card_bow import BOW_PARAMETERS, BOW_U_MM, HALVES_MM, TURN_U, UNEVEN_U, Bow
from coldpin.insulation.picture_scale import foreshortening, residual_deviation
from coldpin.insulation.plane_map import ENTRIES, PARAMETERS, Frame, plane_to_picture
from coldpin.records.board import Calibration

Array = NDArray[np.float64]

LENS_U = (0.01, 0.003)
"""Ours: standard uncertainties of k₁ and k₂ before any point is seen, at half the diagonal of the picture. Cameras of
telephones straighten their pictures to about a per cent at the corner. Were more allowed, a card that bows by some
millimetres would be taken for the work of a lens, and the board beside it read some per cent too large."""

ODD_BOW = 6.0
"""Ours: a sheet bent by more than this many of its standard uncertainties is rolled up, and its shape not followed."""

ODD_LENS = 4.0
"""Ours: a lens that bends by more than this many of these standard uncertainties is no lens but a card that bends."""

BOW_U = (2.0 * BOW_U_MM / HALVES_MM[0], TURN_U, UNEVEN_U)
"""Standard uncertainties of the bow's entries before any point is seen."""

HELD_SQUARE_DEG = 10.0
"""Ours: a picture that somebody meant to take square to the board is so within this angle. [°]"""

HALF_DIAGONAL_OVER_FOCAL_LENGTH = 0.8
"""Ours: of the widest usual lens (77° across the diagonal); a longer lens sees less perspective."""

ROUNDS = 8
"""Ours: steps of the fit; it starts within a part in a hundred and each doubles the digits."""

SETTLED = 1e-9
"""Ours: a fit whose entries, near one, move by less has ended. [1]"""

STEP = 1e-6
"""Ours: step by which the slopes of the fit are found, in units near one."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneProblem:
    """What is fitted: ``square`` pictures have spreads for their tilt, pictures of known size for their lens.

    With a ``bow`` the points lie on a card that is not flat.
    """

    calibration: Calibration
    frame: Frame
    square: bool
    lens: bool
    start: Array
    bow: Bow | None = None

    @property
    def free(self) -> int:
        """Parameters that are fitted: without the picture's size, none of the lens."""
        if self.bow is not None:
            return PARAMETERS + BOW_PARAMETERS
        return PARAMETERS if self.lens else ENTRIES

    @property
    def unknowns(self) -> int:
        """Figures that the points themselves have to settle."""
        return (4 if self.square else ENTRIES) + (BOW_PARAMETERS if self.bow is not None else 0)

    def residuals(self, parameters: Array) -> Array:
        """Return what is left of each coordinate, by each of the maps.

        Parameters
        ----------
        parameters : NDArray[np.float64]
            Array of shape (..., k).

        Returns
        -------
        NDArray[np.float64]
            Array of shape (..., n, 2). [px]
        """
        see = plane_to_picture if self.bow is None else self.bow.to_picture
        return np.asarray(self.calibration.picture_px - see(self.frame, parameters, self.calibration.plane_mm))

    def spreads(self, parameters: Array) -> Array:
        """Return how far each parameter that is not free lies from its middle, in standard uncertainties.

        Parameters
        ----------
        parameters : NDArray[np.float64]
            Array of shape (..., k).

        Returns
        -------
        NDArray[np.float64]
            Array of shape (..., s). [1]
        """
        known = [parameters[..., ENTRIES:PARAMETERS] / np.array(LENS_U)] if self.lens else []
        if self.bow is not None:
            known.append(parameters[..., PARAMETERS:] / np.array(BOW_U))
        if self.square:
            a, b, _, c, d, _, e, f = np.moveaxis(parameters[..., :ENTRIES], -1, 0)
            size = np.hypot(0.5 * (a - d), 0.5 * (b + c))
            stretch = -0.5 * foreshortening(HELD_SQUARE_DEG) / math.sqrt(3.0)
            depth = math.tan(math.radians(HELD_SQUARE_DEG)) * HALF_DIAGONAL_OVER_FOCAL_LENGTH / math.sqrt(3.0)
            unlike = np.stack([0.5 * (a + d), 0.5 * (b - c)], axis=-1) / size[..., None] / stretch
            known += [unlike, np.stack([e, f], axis=-1) / size[..., None] / depth]
        return np.concatenate(known, axis=-1) if known else np.zeros((*parameters.shape[:-1], 0))

    def stacked(self, parameters: Array, point_u: float) -> Array:
        """Return everything that is to be small, by each of the maps.

        Parameters
        ----------
        parameters : NDArray[np.float64]
            Array of shape (..., k).
        point_u : float
            Standard uncertainty of a coordinate. [px]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (..., 2 n + s). [1]
        """
        left = self.residuals(parameters).reshape(*parameters.shape[:-1], -1)
        return np.concatenate([left / point_u, self.spreads(parameters)], axis=-1)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneFit:
    """A problem solved; ``missed`` is the sum of squares of what the points miss [px²], ``strain`` of the spreads."""

    problem: PlaneProblem
    parameters: Array
    covariance: Array
    missed: float
    strain: float

    @classmethod
    def of(cls, problem: PlaneProblem, point_u: float) -> PlaneFit:
        """Solve a problem.

        Parameters
        ----------
        problem : PlaneProblem
            The problem.
        point_u : float
            Standard uncertainty of a coordinate. [px]

        Returns
        -------
        PlaneFit
            Its solution.

        Sources
        -------
        Least squares, by Gauss and Newton.
        """
        parameters, covariance = _least_squares(problem, point_u)
        return cls(
            problem=problem,
            parameters=parameters,
            covariance=covariance,
            missed=float(np.sum(problem.residuals(parameters) ** 2)),
            strain=float(np.sum(problem.spreads(parameters) ** 2)),
        )

    @property
    def odd(self) -> bool:
        """Whether no lens bends like that, or no card that was laid down."""
        most = np.array([*(ODD_LENS * u for u in LENS_U), *(ODD_BOW * u for u in BOW_U)])[: self.problem.free - ENTRIES]
        return bool(np.any(np.abs(self.parameters[ENTRIES : self.problem.free]) > most))

    def residual_px(self) -> float | None:
        """Return what the points say of the standard deviation of a coordinate.

        Returns
        -------
        float or None
            None where nothing is left over. [px]
        """
        spare = 2 * len(self.problem.calibration.plane_mm) - self.problem.unknowns
        left = self.problem.residuals(self.parameters)
        return residual_deviation(left, unknowns=self.problem.unknowns) if spare > 0 else None


def _least_squares(problem: PlaneProblem, point_u: float) -> tuple[Array, Array]:
    """Return the parameters and their covariance."""
    size = max(problem.free, PARAMETERS)
    parameters = np.concatenate([problem.start, np.zeros(size - len(problem.start))])
    for _ in range(ROUNDS):
        left = problem.stacked(parameters, point_u)
        slopes = _slopes(problem, parameters, point_u)
        step = np.linalg.lstsq(slopes, left, rcond=None)[0]
        parameters[: problem.free] -= step
        if np.max(np.abs(step)) < SETTLED:
            break
    covariance = np.zeros((size, size))
    slopes = _slopes(problem, parameters, point_u)
    covariance[: problem.free, : problem.free] = np.linalg.pinv(slopes.T @ slopes)
    return parameters, covariance


def _slopes(problem: PlaneProblem, parameters: Array, point_u: float) -> Array:
    steps = STEP * np.eye(len(parameters))[: problem.free]
    around = problem.stacked(np.concatenate([parameters + steps, parameters - steps]), point_u)
    above, below = np.split(around, 2)
    return np.asarray((above - below).T / (2.0 * STEP))

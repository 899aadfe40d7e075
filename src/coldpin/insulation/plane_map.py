r"""The map between the pixels of a picture and the millimetres of the plane that was calibrated.

.. math:: \begin{pmatrix} u \\ v \\ w \end{pmatrix} = M \begin{pmatrix} X \\ Y \\ 1 \end{pmatrix}, \quad
    q = (u / w, v / w), \quad p = c + R \, q \, (1 + k_1 |q|^2 + k_2 |q|^4)

X and Y are millimetres from the middle of the known points, in units of their spread; q is counted from the centre c of
the picture in units of R, half its diagonal. M has eight free entries, so a map has ten parameters.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from coldpin.insulation.lens import ideal_radius

Array = NDArray[np.float64]

ENTRIES = 8
"""Free entries of the matrix; behind them stand k₁ and k₂."""

PARAMETERS = 10
"""Entries of the matrix and the two coefficients of the lens."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """Where the coordinates of a map begin and what they are counted in.

    ``centre_px`` and ``middle_mm``: arrays of shape (2,). ``radius_px`` is half the diagonal of the picture.
    """

    centre_px: Array
    radius_px: float
    middle_mm: Array
    spread_mm: float


def plane_to_picture(frame: Frame, parameters: Array, points_mm: Array) -> Array:
    """Return where points of the plane are seen.

    Parameters
    ----------
    frame : Frame
        Origin and unit of the map's coordinates.
    parameters : NDArray[np.float64]
        Array of shape (..., 10).
    points_mm : NDArray[np.float64]
        Array of shape (..., m, 2), y up. [mm]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (..., m, 2), y down. [px]
    """
    plain = (points_mm - frame.middle_mm) / frame.spread_mm
    ideal = _project(matrix_of(parameters), plain)
    square = np.sum(ideal**2, axis=-1, keepdims=True)
    k1, k2 = (parameters[..., entry, None, None] for entry in (ENTRIES, ENTRIES + 1))
    return np.asarray(frame.centre_px + frame.radius_px * ideal * (1.0 + square * (k1 + square * k2)))


def picture_to_plane(frame: Frame, parameters: Array, points_px: Array) -> Array:
    """Return which points of the plane are seen at points of the picture.

    Parameters
    ----------
    frame : Frame
        Origin and unit of the map's coordinates.
    parameters : NDArray[np.float64]
        Array of shape (..., 10).
    points_px : NDArray[np.float64]
        Array of shape (..., m, 2), y down. [px]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (..., m, 2), y up. [mm]
    """
    seen = (points_px - frame.centre_px) / frame.radius_px
    radius = np.hypot(seen[..., 0], seen[..., 1])
    straight = ideal_radius(radius, parameters[..., ENTRIES, None], parameters[..., ENTRIES + 1, None])
    stretch = np.divide(straight, radius, out=np.ones(np.shape(straight)), where=radius > 0.0)
    plain = _project(_back(matrix_of(parameters)), seen * stretch[..., None])
    return np.asarray(frame.middle_mm + frame.spread_mm * plain)


def _back(matrix: Array) -> Array:
    """Return the inverse but for its size, which a projection does not feel: the cross products of the rows."""
    first, second, third = matrix[..., 0, :], matrix[..., 1, :], matrix[..., 2, :]
    return np.stack([np.cross(second, third), np.cross(third, first), np.cross(first, second)], axis=-1)


def matrix_of(parameters: Array) -> Array:
    """Return the matrix M of a map.

    Parameters
    ----------
    parameters : NDArray[np.float64]
        Array of shape (..., 10).

    Returns
    -------
    NDArray[np.float64]
        Array of shape (..., 3, 3).
    """
    ones = np.ones((*parameters.shape[:-1], 1))
    whole = np.concatenate([parameters[..., :ENTRIES], ones], axis=-1)
    return whole.reshape(*parameters.shape[:-1], 3, 3)


def _project(matrix: Array, points: Array) -> Array:
    turned = np.swapaxes(matrix, -1, -2)
    raised = points @ turned[..., :2, :] + turned[..., 2:, :]
    return np.asarray(raised[..., :2] / raised[..., 2:])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneDraws:
    """Maps as they might also be: ``parameters``: array of shape (n, 10), ``stretch``: array of shape (n,)."""

    frame: Frame
    parameters: Array
    stretch: Array

    def to_mm(self, points_px: Array) -> Array:
        """Return the same points by each of the maps.

        Parameters
        ----------
        points_px : NDArray[np.float64]
            Array of shape (m, 2), or (n, m, 2) where each map has points of its own; y down. [px]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, m, 2), y up. [mm]
        """
        found = picture_to_plane(self.frame, self.parameters, points_px)
        return np.asarray(self.frame.middle_mm + (found - self.frame.middle_mm) * self.stretch[:, None, None])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlaneMap:
    """A calibration as fitted.

    ``parameters``: array of shape (10,); ``covariance``: array of shape (10, 10), None where the uncertainty of the
    points found is not known. ``residuals_px``: array of shape (n, 2), found less fitted; ``residual_px`` is what they
    say of the standard deviation of a coordinate, None where nothing is left over. ``point_u_px`` is the standard
    uncertainty of a coordinate that the covariance was made with. ``length_u_relative`` is that of the known lengths,
    None where not known. ``square`` says that the picture was taken as square to the plane, because the points cannot
    show its tilt. ``bow_mm`` is by how much the card bows, below zero where its ends stand up, 0 where it is taken as
    flat. ``doubts``: array of shape (n, 10), by what the parameters are in doubt because of the card's shape, standard
    uncertainties that go together; they are in the covariance. ``remarks`` say what was widened, and why.
    """

    frame: Frame
    parameters: Array
    covariance: Array | None
    residuals_px: Array
    residual_px: float | None
    point_u_px: float | None
    length_u_relative: float | None
    square: bool
    bow_mm: float = 0.0
    doubts: Array = field(default_factory=lambda: np.zeros((0, PARAMETERS)))
    remarks: tuple[str, ...] = ()

    def to_mm(self, points_px: Array) -> Array:
        """Return which points of the plane are seen at points of the picture.

        Parameters
        ----------
        points_px : NDArray[np.float64]
            Array of shape (m, 2), y down. [px]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (m, 2), y up. [mm]
        """
        return picture_to_plane(self.frame, self.parameters, points_px)

    def to_px(self, points_mm: Array) -> Array:
        """Return where points of the plane are seen.

        Parameters
        ----------
        points_mm : NDArray[np.float64]
            Array of shape (m, 2), y up. [mm]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (m, 2), y down. [px]
        """
        return plane_to_picture(self.frame, self.parameters, points_mm)

    @property
    def known(self) -> bool:
        """Whether the uncertainty of the map is known: that of the points, and that of the lengths."""
        return self.covariance is not None and self.length_u_relative is not None

    def draw(self, count: int, generator: np.random.Generator) -> PlaneDraws:
        """Draw maps as they might also be; what is not known does not vary.

        Parameters
        ----------
        count : int
            How many.
        generator : numpy.random.Generator
            Where the draws come from.

        Returns
        -------
        PlaneDraws
            The maps.
        """
        parameters = np.repeat(self.parameters[None], count, axis=0)
        if self.covariance is not None:
            values, vectors = np.linalg.eigh(self.covariance)
            spread = vectors * np.sqrt(np.clip(values, 0.0, None))
            parameters = parameters + generator.standard_normal((count, PARAMETERS)) @ spread.T
        stretch = 1.0 + (self.length_u_relative or 0.0) * generator.standard_normal(count)
        return PlaneDraws(frame=self.frame, parameters=parameters, stretch=stretch)


def scale_at(plane: PlaneMap, point_px: Array) -> float:
    """Return how many millimetres a pixel stands for at a point: the root of the area that a small square takes.

    Parameters
    ----------
    plane : PlaneMap
        The map.
    point_px : NDArray[np.float64]
        Array of shape (2,). [px]

    Returns
    -------
    float
        The mean over all directions. [mm/px]
    """
    return float(scales_over(plane.frame, plane.parameters, np.asarray(point_px)[None])[0])


def scales_over(frame: Frame, parameters: Array, points_px: Array) -> Array:
    """Return how many millimetres a pixel stands for at points, by the area that a small square takes.

    Parameters
    ----------
    frame : Frame
        Origin and unit of the map's coordinates.
    parameters : NDArray[np.float64]
        Array of shape (10,).
    points_px : NDArray[np.float64]
        Array of shape (m, 2). [px]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (m,), the mean over all directions. [mm/px]
    """
    around = points_px[:, None] + np.array([[0.5, 0.0], [-0.5, 0.0], [0.0, 0.5], [0.0, -0.5]])
    found = picture_to_plane(frame, parameters, around.reshape(-1, 2)).reshape(-1, 4, 2)
    (along_x, along_y), (down_x, down_y) = (found[:, 0] - found[:, 1]).T, (found[:, 2] - found[:, 3]).T
    return np.asarray(np.sqrt(np.abs(along_x * down_y - along_y * down_x)))

r"""The photograph of the other face of a board, laid under the drawing of the first: mirrored, turned, put straight.

Seen through the board its other face is mirrored; so is the picture of it before anything is fitted. What is left is a
picture of the plane in which the drawing measures, and its marks are points of that plane whose places are known: the
fit is that of any photograph, and so are its spreads for a tilt that few marks cannot show and for the lens. A mark is
picked twice, so that a point is found with

.. math:: u = u_p \sqrt{1 + (s / s')^2}

:math:`u_p` is what a corner is picked with, s and s' what a pixel of either picture stands for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.calibration import FEWEST_FOR_TILT, fit_plane
from coldpin.insulation.corner_scatter import in_millimetres
from coldpin.insulation.plane_map import ENTRIES, PlaneMap, scale_at
from coldpin.records.board import BoardFeature, BoardModel, Calibration, OtherFace, Role

Array = NDArray[np.float64]

DRAWS = 500
"""Ours: places drawn for where the other picture lies; their 95th part in a hundred is then known to a twentieth."""

SEED = 211
"""Ours: the same marks give the same figures."""

CONFIDENCE = 0.95
"""Ours: the share of draws within the distance that is told. [1]"""

_SQUARE_UNKNOWNS = 4
"""Of a picture that is only turned, stretched and moved."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LaidFace:
    """Where the other picture lies.

    ``plane`` maps its pixels, mirrored, to the millimetres of the drawing; ``width_px`` is its width. ``misses_mm``:
    array of shape (n,), by how much each mark misses its place after the fit. ``wider`` is by how much they miss
    theirs more than they were picked with, 1 at least; None where marks are no more than the fit needs.
    """

    calibration: Calibration
    plane: PlaneMap
    width_px: int
    misses_mm: Array
    wider: float | None

    def to_other_px(self, places: Array) -> Array:
        """Return where places of the drawing are in the other picture, as it was taken.

        Parameters
        ----------
        places : NDArray[np.float64]
            Array of shape (n, 2), in pixels of the picture that was drawn over. [px]

        Returns
        -------
        NDArray[np.float64]
            Array of shape (n, 2). [px]
        """
        return mirrored(self.plane.to_px(_in_plane(self.calibration, places)), self.width_px)

    def drawn_pixel_mm(self, place: Array) -> float:
        """Return how many millimetres a pixel of the drawing stands for.

        Parameters
        ----------
        place : NDArray[np.float64]
            Array of shape (2,), where. [px]

        Returns
        -------
        float
            The mean over all directions. [mm/px]
        """
        return scale_at(fit_plane(self.calibration), place)

    def spread_mm(self, places: Array) -> tuple[float, float] | None:
        """Return how well it is known where the other picture lies, at the worst of some places.

        Parameters
        ----------
        places : NDArray[np.float64]
            Array of shape (n, 2), in the drawing. [px]

        Returns
        -------
        tuple of float or None
            Standard uncertainty of a coordinate, and the distance within which it lies with 95 %; None where it is not
            known with what uncertainty corners are picked. [mm]
        """
        if self.plane.covariance is None:
            return None
        seen = self.plane.to_px(_in_plane(self.calibration, places))
        drawn = self.plane.draw(DRAWS, np.random.default_rng(SEED)).to_mm(seen)
        away = np.hypot(*np.moveaxis(drawn - self.plane.to_mm(seen), -1, 0)) * (self.wider or 1.0)
        u = np.sqrt(np.mean(away**2, axis=0) / 2.0)
        return float(u.max()), float(np.quantile(away, CONFIDENCE, axis=0).max())


def mirrored(places_px: Array, width_px: int) -> Array:
    """Return places of a picture in the same picture mirrored, left for right, and back.

    Parameters
    ----------
    places_px : NDArray[np.float64]
        Array of shape (n, 2); the middle of the first pixel is at (0, 0). [px]
    width_px : int
        Width of the picture. [px]

    Returns
    -------
    NDArray[np.float64]
        Array of shape (n, 2). [px]

    Examples
    --------
    >>> mirrored(np.array([[0.0, 5.0]]), 100).tolist()
    [[99.0, 5.0]]
    """
    return np.column_stack([width_px - 1.0 - places_px[:, 0], places_px[:, 1]])


def lay_other_face(calibration: Calibration, other: OtherFace) -> LaidFace:
    """Lay the photograph of the other face under a drawing, by marks that are seen in both.

    Parameters
    ----------
    calibration : Calibration
        The scale of the drawing.
    other : OtherFace
        The photograph and the marks.

    Returns
    -------
    LaidFace
        Where it lies.

    Raises
    ------
    InputError
        The scale cannot be fitted, or the marks fit only a picture that is not mirrored.

    Examples
    --------
    >>> header = Calibration(
    ...     method="pitch", picture_px=np.array([[100.0, 50.0], [1100.0, 50.0]]),
    ...     plane_mm=np.array([[0.0, 0.0], [100.0, 0.0]]), pick_u_px=1.0, found_u_px=1.0, length_u_relative=0.0,
    ... )
    >>> marks = np.array([[100.0, 100.0], [900.0, 100.0], [900.0, 500.0]])
    >>> seen = np.array([[899.0, 100.0], [99.0, 100.0], [99.0, 500.0]])
    >>> other = OtherFace(picture="", picture_size_px=(1000, 600), drawn=marks, seen_px=seen)
    >>> lay_other_face(header, other).to_other_px(np.array([[500.0, 300.0]])).round(3).tolist()
    [[499.0, 300.0]]

    Sources
    -------
    `coldpin.insulation.calibration.fit_plane`; that a scatter larger than stated widens all of it is Birge's ratio
    (standing: memory).
    """
    width = other.picture_size_px[0]
    marks_mm = _in_plane(calibration, other.drawn)
    seen = mirrored(other.seen_px, width)
    found_u = None
    if calibration.pick_u_px is not None:
        larger = math.dist(*_ends(seen)) / math.dist(*_ends(other.drawn))
        found_u = calibration.pick_u_px * math.hypot(1.0, larger)
    points = Calibration(
        method="rectangle" if len(marks_mm) >= FEWEST_FOR_TILT else "pitch",
        picture_px=seen,
        plane_mm=marks_mm,
        found_u_px=found_u,
        length_u_relative=0.0,
        picture_size_px=other.picture_size_px,
    )
    try:
        plane = fit_plane(points)
    except InputError as error:
        raise InputError(
            "the marks do not fit a picture of the other face: see whether each is the same place in both, and whether "
            f"the picture is of the other face and as it was taken, not mirrored ({error})"
        ) from error
    misses = plane.to_mm(seen) - marks_mm
    pixel = scale_at(plane, seen.mean(axis=0))
    spare = 2 * len(seen) - (_SQUARE_UNKNOWNS if plane.square else ENTRIES)
    wider = None
    if spare > 0:
        missed_px = math.sqrt(float(np.sum(misses**2)) / spare) / pixel
        wider = max(1.0, missed_px / found_u) if found_u else 1.0
    return LaidFace(calibration=calibration, plane=plane, width_px=width, misses_mm=np.hypot(*misses.T), wider=wider)


def _ends(places: Array) -> tuple[Array, Array]:
    """Return the corners of the box round places."""
    return places.min(axis=0), places.max(axis=0)


def _in_plane(calibration: Calibration, places: Array) -> Array:
    """Return places of a drawing in millimetres of its face."""
    marks = BoardFeature(name="marks", role=Role.FLOATING, outline=places)
    return in_millimetres(BoardModel(features=(marks,), calibration=calibration)).features[0].outline

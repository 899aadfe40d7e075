"""Where the lens stood, from the map alone: against a pinhole camera that was put at a known place."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.camera_stand import lens_foot, lowered
from coldpin.records.board import Calibration

Array = NDArray[np.float64]
SIZE = (4000, 3000)
CARD = np.array([(x, y) for y in np.linspace(0.0, 50.0, 6) for x in np.linspace(0.0, 80.0, 9)])


def seen_from(lens: Array, aim: Array, points: Array, focal: float = 3400.0) -> Array:
    """Return where a camera at a place, which looks at another, sees points in space. [px]"""
    back = (lens - aim) / np.linalg.norm(lens - aim)
    right = np.cross([0.0, 1.0, 0.0], back)
    right /= np.linalg.norm(right)
    up = np.cross(back, right)
    across, above, depth = np.array([right, up, back]) @ (points - lens).T
    centre = 0.5 * (np.array(SIZE) - 1.0)
    return np.asarray(centre + focal * np.column_stack([across, -above]) / -depth[:, None])


def solid(points: Array, height: float = 0.0) -> Array:
    return np.column_stack([points, np.full(len(points), height)])


@pytest.mark.independent("a pinhole camera put at a known place")
@pytest.mark.parametrize("lens", [(40.0, 25.0, 300.0), (95.0, -20.0, 260.0), (-30.0, 60.0, 340.0)])
def test_the_foot_of_the_lens_and_raised_points_are_found_again(lens: tuple[float, float, float]) -> None:
    """With its height alone stated, the foot follows from the map, and a raised point is put back where it is."""
    stand, aim = np.array(lens), np.array([45.0, 20.0, 0.0])
    picture = seen_from(stand, aim, solid(CARD))
    plane = fit_plane(
        Calibration(
            method="card",
            picture_px=picture,
            plane_mm=CARD,
            found_u_px=0.1,
            length_u_relative=0.0,
            picture_size_px=SIZE,
        )
    )
    height = np.array([stand[2]])
    foot = lens_foot(plane.frame, plane.parameters[None], height)
    assert foot[0] == pytest.approx(stand[:2], abs=2e-3 * stand[2] * math.radians(1.0))

    raised = np.array([[10.0, 10.0], [70.0, 45.0], [110.0, 5.0]])
    read = plane.to_mm(seen_from(stand, aim, solid(raised, 12.0)))
    assert np.abs(read - raised).max() > 0.5
    back = lowered(read[None], foot=foot, height=np.full((1, 3), 12.0), camera_height=height)
    assert back[0] == pytest.approx(raised, abs=2e-3)

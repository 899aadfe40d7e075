"""The map of a picture to millimetres: against a direct solution, against cameras of known place, and by its draws."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.calibration import fit_plane
from coldpin.insulation.plane_map import scale_at
from coldpin.insulation.plane_problem import LENS_U
from coldpin.records.board import Calibration

Array = NDArray[np.float64]
SIZE = (4000, 3000)
FOCAL_PX = 3200.0
CARD = np.array([(x, y) for y in np.linspace(0.0, 52.5, 8) for x in np.linspace(0.0, 75.0, 11)])
"""Points of a card, with y up. [mm]"""

PAD_GAPS = np.array([[90.0, 10.0], [95.0, 10.0], [110.0, 40.0], [110.0, 45.0], [130.0, 60.0], [136.4, 60.0]])
"""Ends of three gaps on a board beside the card. [mm]"""


def photograph(points_mm: Array, *, tilt_deg: float = 0.0, height: float = 250.0, k1: float = 0.0) -> Array:
    """Return where a pinhole camera with a bending lens sees points of the plane z = 0. [px]

    The camera stands over the middle of card and board and is turned about an axis that is neither x nor y.
    """
    angle = math.radians(tilt_deg)
    axis = np.array([math.cos(0.6), math.sin(0.6), 0.0])
    cross = np.array([[0, -axis[2], axis[1]], [axis[2], 0, -axis[0]], [-axis[1], axis[0], 0]])
    turn = np.eye(3) + math.sin(angle) * cross + (1 - math.cos(angle)) * cross @ cross
    down = np.diag([1.0, -1.0, -1.0])
    solid = np.column_stack([points_mm - [70.0, 30.0], np.zeros(len(points_mm))])
    seen = (solid @ turn.T - [0.0, 0.0, height]) @ down.T
    flat = seen[:, :2] / seen[:, 2:]
    half = 0.5 * math.hypot(*SIZE) / FOCAL_PX
    square = np.sum((flat / half) ** 2, axis=1, keepdims=True)
    return np.asarray(0.5 * (np.array(SIZE) - 1.0) + FOCAL_PX * flat * (1.0 + k1 * square))


def calibrated(found: Array, **more: object) -> Calibration:
    whole = Calibration(
        method="card",
        picture_px=found,
        plane_mm=CARD,
        found_u_px=0.1,
        length_u_relative=0.0,
        picture_size_px=SIZE,
    )
    return replace(whole, **more)  # type: ignore[arg-type]  # fields by name


def lengths(points: Array) -> Array:
    """Return the distances between points taken in pairs."""
    steps = points[..., 1::2, :] - points[..., 0::2, :]
    return np.asarray(np.hypot(steps[..., 0], steps[..., 1]))


@pytest.mark.independent("computed twice: by a library's perspective transform and by a direct 8 × 8 solution")
def test_four_points_give_the_map_that_a_direct_solution_gives() -> None:
    """A skewed quadrilateral of 50 mm × 30 mm; the plane's y is up, so the worked y is taken from 30."""
    corners = np.array([[100.0, 100.0], [1100.0, 140.0], [1060.0, 760.0], [140.0, 700.0]])
    rectangle = Calibration(
        method="rectangle",
        picture_px=corners,
        plane_mm=np.array([[0.0, 30.0], [50.0, 30.0], [50.0, 0.0], [0.0, 0.0]]),
        found_u_px=1.0,
        length_u_relative=0.0,
    )

    plane = fit_plane(rectangle)

    worked = np.array([[15.168403, 30.0 - 8.795413], [25.503945, 30.0 - 9.292508]])
    found = plane.to_mm(np.array([[400.0, 300.0], [600.0, 320.0]]))
    assert found == pytest.approx(worked, abs=1e-6)
    assert lengths(found)[0] == pytest.approx(10.347489, abs=1e-6)
    assert plane.residual_px is None
    assert plane.to_px(worked) == pytest.approx(np.array([[400.0, 300.0], [600.0, 320.0]]), abs=1e-4)


@pytest.mark.independent("a pinhole camera of its own, by turning and projecting points in space")
@pytest.mark.parametrize(("tilt_deg", "k1"), [(0.0, 0.0), (15.0, 0.0), (5.0, -0.03), (25.0, 0.02)])
def test_tilt_and_lens_are_taken_out(tilt_deg: float, k1: float) -> None:
    """Without noise the gaps beside the card come back to a micrometre, whatever the tilt and the lens."""
    plane = fit_plane(calibrated(photograph(CARD, tilt_deg=tilt_deg, k1=k1), found_u_px=0.001, face_above_mm=0.0))

    gaps = lengths(plane.to_mm(photograph(PAD_GAPS, tilt_deg=tilt_deg, k1=k1)))

    assert gaps == pytest.approx([5.0, 5.0, 6.4], abs=1e-3)
    assert plane.remarks == ()


def test_the_draws_cover_the_truth(proving: bool, measured: Callable[[str, float, str, str], None]) -> None:
    """With noise on the card's points the 95 % intervals of the gaps cover; the lens is drawn as its spread says."""
    generator = np.random.default_rng(12)
    trials = 400 if proving else 60
    covered = 0
    for _ in range(trials):
        k1 = generator.normal(0.0, LENS_U[0])
        tilt_deg = generator.uniform(0.0, 15.0)
        found = photograph(CARD, tilt_deg=tilt_deg, k1=k1) + generator.normal(0.0, 0.1, CARD.shape)
        plane = fit_plane(calibrated(found))
        drawn = lengths(plane.draw(500, generator).to_mm(photograph(PAD_GAPS, tilt_deg=tilt_deg, k1=k1)))
        low, high = np.quantile(drawn, [0.025, 0.975], axis=0)
        covered += bool(low[0] <= 5.0 <= high[0])

    measured("5 mm gap beside a simulated card: 95 % intervals that cover", 100 * covered / trials, "%", "95 ± 5σ")
    # five standard deviations of the binomial, either way
    assert abs(covered / trials - 0.95) <= 5.0 * math.sqrt(0.95 * 0.05 / trials)


def test_a_header_cannot_show_a_tilt_and_says_so() -> None:
    """Pins in a row give scale and direction; what a picture held square by eye may have is in the covariance."""
    pins = np.column_stack([2.54 * np.arange(10.0), np.zeros(10)])
    found = photograph(pins + np.array([60.0, 20.0]))
    header = Calibration(
        method="pitch", picture_px=found, plane_mm=pins, found_u_px=1.0, length_u_relative=0.0, picture_size_px=SIZE
    )

    plane = fit_plane(header)
    drawn = lengths(
        plane.draw(2000, np.random.default_rng(3)).to_mm(photograph(np.array([[60.0, 20.0], [60.0, 26.4]])))
    )

    assert plane.square
    assert any("do not show whether the picture was square" in remark for remark in plane.remarks)
    assert np.mean(drawn) == pytest.approx(6.4, abs=0.02)
    assert 0.002 < np.std(drawn) / 6.4 < 0.03


@pytest.mark.hand("scale at right angles: focal length over height, 3200 px / 250 mm")
def test_the_scale_at_a_point_is_that_of_the_camera() -> None:
    """Square to the plane a pixel stands for height over focal length, everywhere."""
    plane = fit_plane(calibrated(photograph(CARD)))

    assert scale_at(plane, np.array([3000.0, 700.0])) == pytest.approx(250.0 / 3200.0, rel=1e-6)


def test_a_mirrored_picture_is_refused() -> None:
    """Mirrored it would give right lengths on the wrong board."""
    found = photograph(CARD)
    found[:, 0] = SIZE[0] - 1.0 - found[:, 0]

    with pytest.raises(InputError, match="the picture is mirrored"):
        fit_plane(calibrated(found))


def test_a_wavy_card_widens_the_scale_and_says_why() -> None:
    """A card with waves of 2 mm is no bowed sheet: residuals show it, and the spread of a gap grows tenfold."""
    bow = 2.0 * np.sin(CARD[:, 0] / 75.0 * 4.0 * math.pi)
    middle = 0.5 * (np.array(SIZE) - 1.0)
    flat = photograph(CARD)
    bent = middle + (flat - middle) * (250.0 / (250.0 - bow))[:, None]
    gaps = photograph(PAD_GAPS)

    spreads = []
    for found in (flat, bent):
        plane = fit_plane(calibrated(found))
        spreads.append(np.std(lengths(plane.draw(500, np.random.default_rng(1)).to_mm(gaps))[:, 0]))
        said = plane.remarks

    assert "the card is bent or not flat on one plane" in said[0]
    assert spreads[1] > 10.0 * spreads[0]


def test_what_is_not_known_stays_unknown() -> None:
    """Four points without a stated uncertainty have no covariance; many points say it by their residuals."""
    corners = [0, 10, 77, 87]
    found = photograph(CARD)
    four = calibrated(found[corners], plane_mm=CARD[corners], found_u_px=None)
    noisy = found + np.random.default_rng(5).normal(0.0, 0.2, found.shape)

    assert not fit_plane(four).known
    assert not fit_plane(calibrated(found, length_u_relative=None)).known
    assert fit_plane(calibrated(noisy, found_u_px=None)).point_u_px == pytest.approx(0.2, rel=0.2)


@pytest.mark.parametrize(
    ("picture", "plane", "said"),
    [
        ([[0.0, 0.0]], [[0.0, 0.0]], "has 1 points"),
        ([[0.0, 0.0], [1.0, 0.0]], [[0.0, 0.0]], "2 points of the picture and 1 of the plane"),
        ([[0.0, 0.0], [math.nan, 0.0]], [[0.0, 0.0], [1.0, 0.0]], "not a finite number"),
        ([[5.0, 5.0], [5.0, 5.0]], [[0.0, 0.0], [1.0, 0.0]], "same place of the picture"),
        ([[0.0, 0.0], [5.0, 5.0]], [[1.0, 0.0], [1.0, 0.0]], "same place of the plane"),
    ],
)
def test_points_that_cannot_calibrate_are_refused(
    picture: list[list[float]], plane: list[list[float]], said: str
) -> None:
    """Each message says what is wrong with them."""
    given = Calibration(method="pitch", picture_px=np.array(picture), plane_mm=np.array(plane))

    with pytest.raises(InputError, match=said):
        fit_plane(given)

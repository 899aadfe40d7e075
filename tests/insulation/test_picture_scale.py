"""Scale, distance and tilt of a picture, against the worked figures of the reference."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import InputError
from coldpin.insulation.lens import distorted_radius, distortion_percent, ideal_radius
from coldpin.insulation.parallax import parallax_shift, raised_reading
from coldpin.insulation.picture_scale import distance, foreshortening, picked_length_u, residual_deviation, scale
from coldpin.quantity import Quantity, normal, propagate

WORKED = "worked figures for measuring in photographs, from the formulas; standing: memory"


@pytest.mark.hand(WORKED)
def test_a_whole_header_gives_the_scale_and_its_uncertainty() -> None:
    """Nine pitches of 2.54 mm over 1143 px give 0.02 mm/px, known to 0.1237 % where each end is picked to 1 px."""
    found = propagate(
        scale,
        {"length": Quantity(9 * 2.54, 0.0, "mm"), "pixels": Quantity(1143.0, picked_length_u(1.0), "px")},
        "mm/px",
        monte_carlo=False,
    )

    assert found.value == pytest.approx(0.02)
    assert found.u is not None
    assert found.u / found.value == pytest.approx(0.001237, abs=5e-7)


@pytest.mark.hand(WORKED)
def test_a_distance_has_the_uncertainty_of_its_ends_and_of_the_scale() -> None:
    """320 px at 0.02 mm/px are 6.4 mm: 0.028284 from picking, 0.007919 from the scale, U 0.058744 with k = 2."""
    pick_u = picked_length_u(1.0)
    header, gap = normal(1143.0, pick_u, "px", id="header"), normal(320.0, pick_u, "px", id="gap")
    step = propagate(scale, {"length": 22.86, "pixels": header}, "mm/px", monte_carlo=False)
    found = propagate(distance, {"scale": step, "pixels": gap}, "mm", monte_carlo=False)

    shares = sorted(abs(component.contribution) for component in found.components)
    assert shares == pytest.approx([0.007919, 0.028284], abs=1e-6)
    assert found.value == pytest.approx(6.4)
    assert found.u == pytest.approx(0.029372, abs=1e-6)
    assert 2 * (found.u or 0.0) == pytest.approx(0.058744, abs=1e-6)


@pytest.mark.hand(WORKED)
def test_a_raised_point_moves_outward_and_a_raised_length_reads_longer() -> None:
    """10 mm up and 40 mm off the axis move by 1.37931 mm at 300 mm; 6.4 mm read 6.434316 on a 1.6 mm board."""
    assert parallax_shift(from_foot=40.0, height=10.0, camera_height=300.0) == pytest.approx(1.37931, abs=5e-6)
    assert raised_reading(length=6.4, height=1.6, camera_height=300.0) == pytest.approx(6.434316, abs=5e-7)


@pytest.mark.hand(WORKED)
def test_a_tilt_that_is_not_taken_out_shortens() -> None:
    """10° are −1.5192 %."""
    assert foreshortening(10.0) == pytest.approx(-0.015192, abs=5e-7)


@pytest.mark.hand(WORKED)
def test_a_lens_moves_points_along_the_radius() -> None:
    """k₁ = −0.05 puts a point at 0.5 to 0.49375, which is a distortion of −1.25 %."""
    seen = distorted_radius(0.5, -0.05)

    assert seen == pytest.approx(0.49375, abs=1e-12)
    assert distortion_percent(actual=seen, predicted=0.5) == pytest.approx(-1.25, abs=1e-12)


@pytest.mark.parametrize(("k1", "k2"), [(-0.15, 0.05), (0.1, -0.02), (0.0, 0.0), (-0.05, 0.0)])
def test_the_lens_is_undone_to_the_last_digit(k1: float, k2: float) -> None:
    """What was bent comes back straight over the whole picture."""
    radius = np.linspace(0.0, 1.1, 23)

    assert ideal_radius(np.asarray(distorted_radius(radius, k1, k2)), k1, k2) == pytest.approx(radius, abs=1e-12)


@pytest.mark.hand("least squares: eight points of residual 0.1 px leave 8 of 16 coordinates, so √(16·0.01/8)")
def test_residuals_are_divided_by_what_is_left_over() -> None:
    """With eight points half of the coordinates are spent."""
    assert residual_deviation(np.full((8, 2), 0.1)) == pytest.approx(0.1 * 2**0.5)


def test_four_points_leave_no_residual() -> None:
    """The message says so, and asks for more."""
    with pytest.raises(InputError, match=r"4 points give 8 coordinates for 8 unknowns: nothing is left over"):
        residual_deviation(np.zeros((4, 2)))

"""The simulator's own law of what a warm surface loses, against printed values and other laws."""

from __future__ import annotations

import numpy as np
import pytest
from ht.conv_external import Nu_external_cylinder
from ht.conv_free_immersed import Nu_horizontal_cylinder
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.simulator.air import AIR_CONDUCTIVITY, AIR_VISCOSITY, film_of
from coldpin.simulator.air import surface_loss as loss_with_film

PRANDTL = 0.71
Floats = NDArray[np.float64]


def surface_loss(
    surface: Floats, ambient: float, *, diameter: float, emissivity: float, draught: float = 0.0
) -> tuple[Floats, Floats]:
    film = film_of(diameter=np.array([diameter]), emissivity=np.array([emissivity]))
    return loss_with_film(surface, ambient, film, draught=draught)


@pytest.mark.hand("σ·0.9·(333.15⁴ - 303.15⁴) = 197.6 W/m²; black and cold bodies lose nothing to themselves")
def test_radiation_follows_the_fourth_power() -> None:
    """The part that emissivity adds is Stefan's."""
    grey, mirror = (surface_loss(np.array([60.0]), 30.0, diameter=0.02, emissivity=one)[0][0] for one in (0.9, 0.0))

    assert grey - mirror == pytest.approx(197.65, abs=0.01)
    assert surface_loss(np.array([30.0]), 30.0, diameter=0.02, emissivity=0.9)[0][0] == pytest.approx(0.0, abs=1e-9)


@pytest.mark.independent("package ht: free convection of a horizontal cylinder; laws of the trade differ by 15 %")
@pytest.mark.parametrize(("diameter", "rise"), [(0.008, 10.0), (0.01, 20.0), (0.014, 40.0)])
def test_still_air_is_near_other_laws(diameter: float, rise: float) -> None:
    """Loss by convection lies within 20 % of what another law gives for the same cylinder."""
    grashof = 9.81 * rise / (273.15 + 20.0 + rise / 2) * diameter**3 / AIR_VISCOSITY**2
    film = Nu_horizontal_cylinder(Pr=PRANDTL, Gr=grashof) * AIR_CONDUCTIVITY / diameter
    loss, _ = surface_loss(np.array([20.0 + rise]), 20.0, diameter=diameter, emissivity=0.0)

    assert loss[0] / rise == pytest.approx(film, rel=0.20)


@pytest.mark.independent("package ht: a cylinder across a stream")
@pytest.mark.parametrize("speed", [0.3, 1.0, 2.0])
def test_a_draught_is_near_other_laws(speed: float) -> None:
    """Where the stream rules, the loss lies within 20 % of another law's."""
    other = Nu_external_cylinder(Re=speed * 0.01 / AIR_VISCOSITY, Pr=PRANDTL) * AIR_CONDUCTIVITY / 0.01
    loss, _ = surface_loss(np.array([20.5]), 20.0, diameter=0.01, emissivity=0.0, draught=speed)

    assert loss[0] / 0.5 == pytest.approx(other, rel=0.20)


@given(
    surface=st.floats(-20.0, 120.0),
    ambient=st.floats(-20.0, 50.0),
    diameter=st.floats(0.005, 0.1),
    draught=st.floats(0.0, 3.0),
)
def test_slope_is_that_of_the_loss(surface: float, ambient: float, diameter: float, draught: float) -> None:
    """The slope is that of a small difference; a warmer surface always loses more, and heat flows to the colder."""
    at = np.array([surface, surface + 1e-4])
    loss, slope = surface_loss(at, ambient, diameter=diameter, emissivity=0.9, draught=draught)

    assert loss[1] > loss[0]
    if abs(surface - ambient) > 0.1:
        assert loss[0] * (surface - ambient) > 0.0
        assert (loss[1] - loss[0]) / 1e-4 == pytest.approx(slope[0], rel=1e-3)

"""Metals and strands of two metals: what is computed from their constituents against what makers print."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator.wire import ALUMINIUM, COPPER, WIRES, Wire, wire

D = 0.25e-3
AREA = math.pi / 4.0 * D**2


@pytest.mark.published(
    "wire makers' tables and ASTM B566 least conductivity, in secondary texts: clad 10 % 2.66e-8 to 2.74e-8 Ω·m, "
    "clad 15 % 2.58e-8 to 2.73e-8; 3322 and 3630 kg/m³; soft aluminium is 1 % below what those texts start from"
)
@pytest.mark.parametrize(
    ("name", "lowest", "highest", "density"),
    [("clad_10", 0.99 * 2.66e-8, 2.74e-8, 3322.0), ("clad_15", 0.99 * 2.58e-8, 2.73e-8, 3630.0)],
)
def test_clad_aluminium_is_what_makers_print(name: str, lowest: float, highest: float, density: float) -> None:
    """Resistivity and density of the composite, from two pure metals side by side, lie where the printed ones do."""
    clad = WIRES[name]

    assert lowest <= AREA / clad.conductance(D) <= highest
    assert clad.mass(D) / AREA == pytest.approx(density, rel=1e-3)


@pytest.mark.hand("X = resistivity × density: copper 0.1533, aluminium 0.0757, copper-clad steel above 0.35 Ω·g/m²")
def test_metal_numbers_are_far_apart() -> None:
    """The product of ohms and grams per metre does not depend on the area, and parts the metals."""
    number = {name: 1e3 * one.mass(D) / one.conductance(D) for name, one in WIRES.items()}

    assert number["copper"] == pytest.approx(0.15327, rel=1e-4)
    assert number["aluminium"] == pytest.approx(2.80e-8 * 2703.0 * 1e3)
    assert number["aluminium"] < number["clad_10"] < number["clad_15"] < 0.11
    assert number["copper"] < number["tinned_copper"] < 1.03 * number["copper"]
    assert number["steel_cored"] > 0.35
    for one in WIRES.values():
        assert one.skin_thickness or one.mass(2 * D) / one.conductance(2 * D) == pytest.approx(
            one.mass(D) / one.conductance(D)
        )


@pytest.mark.hand("at 70 °C copper has 1 + 0.00393·50 = 1.1965 of its resistance at 20 °C, aluminium 1 + 0.00405·50")
def test_resistance_rises_with_temperature() -> None:
    """A pure metal follows its own coefficient; of a composite the rise lies between those of its two."""
    rise = {name: one.conductance(D) / one.conductance(D, temperature=70.0) for name, one in WIRES.items()}

    assert rise["copper"] == pytest.approx(1.1965)
    assert rise["aluminium"] == pytest.approx(1.2025)
    assert rise["copper"] < rise["clad_15"] < rise["clad_10"] < rise["aluminium"]


@given(part=st.floats(0.0, 1.0), diameter=st.floats(1e-5, 1e-2))
def test_a_composite_lies_between_its_metals(part: float, diameter: float) -> None:
    """Conductance, mass and heat of any mixture lie between those of its two metals alone."""
    mixed = Wire(name="mixed", core=ALUMINIUM, skin=COPPER, skin_part=part)
    light, heavy = Wire(name="light", core=ALUMINIUM), Wire(name="heavy", core=COPPER)
    for quantity in (Wire.conductance, Wire.mass, Wire.heat_capacity, Wire.heat_conductance):
        low, high = quantity(light, diameter), quantity(heavy, diameter)
        assert low * (1 - 1e-9) <= quantity(mixed, diameter) <= high * (1 + 1e-9)


@pytest.mark.hand("2 µm less across 250 µm of diameter: 1 - (248/250)²")
def test_a_coat_is_as_thick_on_a_thin_strand() -> None:
    """Tin of one thickness is a larger part of a thinner strand; a strand that is all skin is refused."""
    tinned = WIRES["tinned_copper"]

    assert tinned.skin_part_at(D) == pytest.approx(1.0 - (248.0 / 250.0) ** 2)
    assert tinned.skin_part_at(D / 2) > tinned.skin_part_at(D)
    with pytest.raises(OutsideRange, match="all skin; take a thicker one"):
        tinned.skin_part_at(1.9e-6)


@pytest.mark.hand("another melt and another skin: each factor is found again")
def test_another_melt() -> None:
    """A purer melt conducts better; a thicker skin is a larger part."""
    other = WIRES["clad_10"].purer(0.99, skin=1.1)

    assert other.core.resistivity == pytest.approx(0.99 * ALUMINIUM.resistivity)
    assert other.skin == replace(COPPER, resistivity=0.99 * COPPER.resistivity)
    assert other.skin_part == pytest.approx(0.11)
    assert WIRES["copper"].purer(0.99).skin is None


def test_an_unknown_metal_is_told_with_the_known_ones() -> None:
    """The message lists them."""
    with pytest.raises(UnknownName, match="clad_10, clad_15"):
        wire("brass")

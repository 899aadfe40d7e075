"""The number that tells a metal whatever its area, and wires of two metals."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.metal_number import (
    metal_number,
    mixed_by_volume,
    mixed_temperature_coefficient,
    parallel_resistivity,
)
from coldpin.copper.metal_priors import metal_models
from coldpin.records.metal import Metal
from coldpin.standards import load_book
from coldpin.standards.metals import clad_wire, lay_factor, pure_metal, steel_cored_wire

BOOK = load_book()
COPPER, ALUMINIUM = pure_metal(BOOK, "copper"), pure_metal(BOOK, "aluminium")


def published(metal: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Resistivities and densities that texts give, the rule of two metals with them."""
    if metal == "copper":
        return COPPER.resistivities, COPPER.densities[:1]
    if metal == "aluminium":
        return ALUMINIUM.resistivities, ALUMINIUM.densities
    wire = clad_wire(BOOK, metal)
    rule = parallel_resistivity(
        share=wire.copper_share[1], skin=COPPER.resistivities[0], core=ALUMINIUM.resistivities[0]
    )
    return (rule, *wire.resistivities), (wire.density,)


@pytest.mark.hand("ρ·d by the published values; times 1.05² at the upper end, as both readings carry the lay")
@pytest.mark.parametrize(
    ("metal", "low", "high"),
    [("copper", 0.1533, 0.169), ("clad_15", 0.0936, 0.109), ("clad_10", 0.0882, 0.100), ("aluminium", 0.0764, 0.086)],
)
@pytest.mark.parametrize("area_mm2", [0.75, 6.0])
def test_the_ranges_of_the_metals(metal: str, low: float, high: float, area_mm2: float) -> None:
    """0.153 to 0.169 for copper, 0.094 to 0.109, 0.088 to 0.100, 0.076 to 0.086, of any area."""
    resistivities, densities = published(metal)
    lay = lay_factor(BOOK).maximum
    assert lay is not None

    def number(resistivity: float, density: float, lay: float) -> float:
        area = 1e-6 * area_mm2
        return metal_number(resistance=resistivity * lay / area, mass=1e3 * density * area * lay)

    assert number(min(resistivities), min(densities), 1.0) == pytest.approx(low, abs=1e-4)
    assert number(max(resistivities), max(densities), lay) == pytest.approx(high, abs=6e-4)


@pytest.mark.hand("0.355 Ω·g/m² for 40 % grade: 43.1 nΩ·m by 30 % and 40 % of copper's conductivity, 8240 kg/m³")
def test_steel_cored_wire_lies_above_copper() -> None:
    """Its metal number is more than twice copper's, whatever the grade."""
    wire = steel_cored_wire(BOOK)

    assert 1e3 * min(wire.resistivities) * max(wire.densities) == pytest.approx(0.363, abs=0.001)


@pytest.mark.hand("8890 · 0.10 + 2703 · 0.90; 1/(0.10/17.241 + 0.90/28.264); weighted by conductance")
@pytest.mark.parametrize(("share", "density", "resistivity"), [(0.10, 3321.7, 26.57), (0.15, 3631.1, 25.79)])
def test_the_rule_of_two_metals(share: float, density: float, resistivity: float) -> None:
    """Density by volume, resistivity side by side."""
    assert mixed_by_volume(share=share, skin=8890.0, core=2703.0) == pytest.approx(density, abs=0.06)
    found = parallel_resistivity(share=share, skin=17.241e-9, core=28.264e-9)
    assert 1e9 * found == pytest.approx(resistivity, abs=0.006)


@pytest.mark.published("temperature coefficient of clad wire 0.00401 by conductance (notes, standing: read)")
def test_temperature_cannot_tell_clad_wire() -> None:
    """Its coefficient lies between those of its metals."""
    copper, aluminium = (17.241e-9, 0.00393), (28.264e-9, 0.00403)

    assert mixed_temperature_coefficient(share=0.10, skin=copper, core=aluminium) == pytest.approx(0.00401, abs=5e-6)
    assert mixed_temperature_coefficient(share=1.0, skin=copper, core=aluminium) == pytest.approx(0.00393)
    assert mixed_temperature_coefficient(share=0.0, skin=copper, core=aluminium) == pytest.approx(0.00403)


@given(share=st.floats(0.0, 1.0), other=st.floats(0.0, 1.0))
def test_more_copper_conducts_better_and_weighs_more(share: float, other: float) -> None:
    """Both rules are monotonic in the share of copper."""
    low, high = sorted((share, other))
    resistivity = [parallel_resistivity(share=one, skin=17.241e-9, core=28.264e-9) for one in (low, high)]
    density = [mixed_by_volume(share=one, skin=8890.0, core=2703.0) for one in (low, high)]

    assert resistivity[0] >= resistivity[1] * (1.0 - 1e-12)
    assert density[0] <= density[1] * (1.0 + 1e-12)


def test_formulas_take_arrays() -> None:
    """The same formula for one number and for many."""
    shares = np.array([0.0, 0.1, 1.0])

    found = parallel_resistivity(share=shares, skin=17.241e-9, core=28.264e-9)

    assert found.tolist() == pytest.approx([28.264e-9, 26.5655e-9, 17.241e-9], rel=1e-5)


@pytest.mark.hand("middle of the logarithms of each metal's published range, with a lay of 1.035 in wires and cores")
@pytest.mark.parametrize(
    ("metal", "number"),
    [
        (Metal.COPPER, 0.1535 * 1.0349**2),
        (Metal.CLAD_10, 0.0896 * 1.0349**2),
        (Metal.ALUMINIUM, 0.0771 * 1.0349**2),
    ],
)
def test_the_models_lie_in_the_middle(metal: Metal, number: float) -> None:
    """What is believed of a metal beforehand has the published metal number in its middle."""
    model = next(one for one in metal_models(BOOK) if one.metal is metal)
    strands, cores, resistivity, density = model.mean

    assert 1e-3 * math.exp(2.0 * (strands + cores) + resistivity + density) == pytest.approx(number, rel=0.003)


def test_every_model_is_a_belief() -> None:
    """Covariances are symmetric and positive; clad wire of more copper conducts better and is heavier."""
    for model in metal_models(BOOK):
        assert np.allclose(model.covariance, model.covariance.T)
        assert np.linalg.eigvalsh(model.covariance).min() > 0.0
        assert model.limits
    clad = next(model for model in metal_models(BOOK) if model.metal is Metal.CLAD_10)
    assert clad.covariance[2, 3] < 0.0

"""Virtual conductors: what a metre of core resists and weighs, and what stands at its ends."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator.conductor import (
    LAY,
    STRANDS,
    TWIST,
    VirtualConductor,
    VirtualPath,
    conductor_of,
    draw_conductor,
)
from coldpin.simulator.wire import WIRES


@pytest.mark.published("IEC 60228 class 5 limits at 20 °C, read in secondary texts [Ω/km]")
@pytest.mark.parametrize(("nominal", "limit"), [(0.75, 26.0), (1.5, 13.3), (2.5, 7.98), (4.0, 4.95), (6.0, 3.30)])
def test_an_honest_size_is_within_its_class(nominal: float, limit: float) -> None:
    """A core with all of its metal is within the class, one of clad aluminium of the same area far beyond."""
    honest, clad = conductor_of("copper", nominal), conductor_of("clad_10", nominal)

    assert 0.85 * limit < 1e3 * honest.resistance() < limit
    assert 1e3 * clad.resistance() > 1.35 * limit
    assert honest.strands == STRANDS[nominal]


@pytest.mark.hand("ρ·lay·twist/A and density·A·lay: 17.241·1.02·1.015/2.5 mΩ/m, 8.89·2.5·1.02 g/m")
def test_a_metre_of_copper() -> None:
    """Resistance counts along the cable, mass along the stripped core."""
    core = conductor_of("copper", 2.5)

    assert 1e3 * core.resistance() == pytest.approx(17.241 * LAY * TWIST / 2.5)
    assert 1e3 * core.mass == pytest.approx(8.89 * 2.5 * LAY)
    assert 1e6 * core.copper_area == pytest.approx(2.5 / (LAY * TWIST))
    assert core.heat_capacity == pytest.approx(8890.0 * 385.0 * 2.5e-6 * LAY * TWIST)


@pytest.mark.hand("the true area is as asked, whatever the size it is sold as")
def test_area_and_strands() -> None:
    """Thin strands make a thin core; a size that no list has gets strands of the usual diameter."""
    thin, odd = conductor_of("copper", 1.6, nominal_mm2=2.5), conductor_of("copper", 3.1)

    assert thin.strands == 50
    assert 1e6 * thin.area == pytest.approx(1.6)
    assert odd.strand_diameter == pytest.approx(0.25e-3, rel=0.02)
    for metal in WIRES:
        drawn = draw_conductor(metal, 3.9, np.random.default_rng(5), nominal_mm2=4.0)
        assert 1e6 * drawn.area == pytest.approx(3.9)
        assert drawn == draw_conductor(metal, 3.9, np.random.default_rng(5), nominal_mm2=4.0)


@pytest.mark.published(
    "resistance × mass per metre with lay and spread of makers: copper 0.153-0.169, clad 15 % 0.094-0.109, "
    "clad 10 % 0.088-0.100, aluminium 0.076-0.086 Ω·g/m², derived from handbooks; a per cent beside them is allowed"
)
@pytest.mark.parametrize(
    ("metal", "low", "high"),
    [("copper", 0.153, 0.169), ("clad_15", 0.094, 0.109), ("clad_10", 0.088, 0.100), ("aluminium", 0.076, 0.086)],
)
def test_drawn_conductors_have_the_metal_numbers_of_real_ones(metal: str, low: float, high: float) -> None:
    """Ohms × grams of one metre of drawn cores fall where makers' tables say."""
    rng = np.random.default_rng(11)
    cores = [draw_conductor(metal, 2.5, rng) for _ in range(200)]
    numbers = np.array([1e3 * core.resistance() * core.mass for core in cores])

    assert low * 0.985 <= numbers.min()
    assert numbers.max() <= high * 1.015


@pytest.mark.hand("what is at the pins is the core and both joints")
def test_a_path_is_core_and_joints() -> None:
    """Taps at the pins see the joints, taps on the core do not; both rise with temperature by the core alone."""
    path = VirtualPath(conductor=VirtualConductor(), length=5.0, plug_joint=20e-3, connector_joint=1e-3)

    for temperature in (20.0, 70.0):
        both = path.at_pins(temperature=temperature), path.inside(temperature=temperature)
        assert both[0] - both[1] == pytest.approx(21e-3)
    assert path.inside(temperature=70.0) / path.inside() == pytest.approx(1.1965)


def test_what_cannot_be_built_is_refused() -> None:
    """No strand, no area, no length, lay below one, an unknown metal."""
    with pytest.raises(OutsideRange, match="at least one strand"):
        VirtualConductor(strands=0)
    with pytest.raises(OutsideRange, match="shorter than straight"):
        VirtualConductor(lay=0.99)
    with pytest.raises(OutsideRange, match="area above zero"):
        conductor_of("copper", 0.0)
    with pytest.raises(OutsideRange, match="length above zero"):
        VirtualPath(conductor=VirtualConductor(), length=-1.0)
    with pytest.raises(UnknownName, match="metal of a virtual conductor"):
        conductor_of("brass", 2.5)

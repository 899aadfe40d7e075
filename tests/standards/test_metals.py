"""What is published of the metals of a core, and that it is looked up as it stands."""

from __future__ import annotations

import pytest

from coldpin.errors import UnknownName
from coldpin.standards import load_book
from coldpin.standards.metals import (
    clad_wire,
    lay_factor,
    pure_metal,
    reciprocal_coefficient,
    resistivity,
    steel_cored_wire,
    temperature_coefficient,
    tinned_excess,
    volumetric_heat,
)

BOOK = load_book()


@pytest.mark.published("IEC 60287-1-1 Table 1, IEC 60228 Annex B, IEC 60949 as secondary texts restate them")
def test_the_constants_of_both_metals() -> None:
    """Resistivity, temperature coefficient, its reciprocal at 0 °C, heat by volume."""
    for metal, expected in {
        "copper": (1.7241e-8, 0.00393, 234.5, 3.45e6),
        "aluminium": (2.8264e-8, 0.00403, 228.0, 2.5e6),
    }.items():
        found = tuple(
            look_up(BOOK, metal)
            for look_up in (resistivity, temperature_coefficient, reciprocal_coefficient, volumetric_heat)
        )
        assert found == pytest.approx(expected, rel=1e-12)


@pytest.mark.published(
    "IEC 60228 prints both forms: 254.5/(234.5 + t) and 1/(1 + 0.00393 (t − 20)), alike for aluminium"
)
@pytest.mark.parametrize("metal", ["copper", "aluminium"])
def test_the_two_forms_of_the_correction_agree(metal: str) -> None:
    """The coefficient at 20 °C and its reciprocal at 0 °C are one constant, within the digits of both."""
    reciprocal = 1.0 / temperature_coefficient(BOOK, metal) - 20.0

    assert reciprocal == pytest.approx(reciprocal_coefficient(BOOK, metal), abs=0.5)


def test_a_metal_that_is_neither_is_refused() -> None:
    """Brass is no metal of a core."""
    with pytest.raises(UnknownName, match="unknown metal 'brass'"):
        resistivity(BOOK, "brass")


@pytest.mark.published("International Annealed Copper Standard: 0.15328 Ω·g/m² (standing: read)")
def test_copper_by_mass_is_resistivity_times_density() -> None:
    """17.241 nΩ·m and 8890 kg/m³ are the standard's 0.15328 Ω·g/m², within its last digit."""
    copper = pure_metal(BOOK, "copper")

    assert 1e3 * copper.resistivities[0] * copper.densities[0] == pytest.approx(0.15328, abs=1.5e-5)
    assert BOOK.limit("metal.copper.mass-resistivity").nominal == 0.15328


@pytest.mark.published("IEC 60287-1-1 and a handbook's table 30.1: two values of aluminium (standing: read)")
def test_both_values_of_aluminium_are_kept() -> None:
    """61 % and 60 % of copper's conductivity; the handbook's mass resistivity is that of its own resistivity."""
    aluminium = pure_metal(BOOK, "aluminium")
    first, second = aluminium.resistivities

    assert (first, second) == pytest.approx((28.264e-9, 28.73e-9))
    assert 1e3 * second * aluminium.densities[1] == pytest.approx(0.07786, abs=1e-5)
    assert aluminium.temperature_coefficient == 0.00403


@pytest.mark.published("ASTM B566: 10 % and 15 % of the cross-section, conductivity at least 62.9 % and 64.4 % (read)")
@pytest.mark.parametrize(
    ("metal", "share", "largest", "density"),
    [("clad_10", (0.08, 0.10, 0.12), 27.41e-9, 3322.0), ("clad_15", (0.13, 0.15, 0.17), 26.77e-9, 3630.0)],
)
def test_clad_wire(metal: str, share: tuple[float, ...], largest: float, density: float) -> None:
    """Share, what the least conductivity allows, density."""
    wire = clad_wire(BOOK, metal)

    assert wire.copper_share == share
    assert wire.resistivities[-1] == pytest.approx(largest, rel=2e-4)
    assert wire.density == density


@pytest.mark.published("makers' tables of clad wire, and ASTM B566 (standing: read)")
def test_public_figures_of_clad_wire_differ_by_five_per_cent() -> None:
    """All of them are kept."""
    found = clad_wire(BOOK, "clad_15").resistivities

    assert len(found) == 3
    assert max(found) / min(found) == pytest.approx(1.055, abs=0.001)


@pytest.mark.published("ASTM B869: 12.249 Ω per 1000 ft at 0.0641 in (standing: read)")
def test_steel_cored_wire_of_21_per_cent() -> None:
    """12.249 Ω over 304.8 m of 1.62814 mm wire: 0.0401870 Ω/m times 2.08198 mm² is 83.67 nΩ·m."""
    wire = steel_cored_wire(BOOK)

    assert wire.resistivities[0] == pytest.approx(83.67e-9, rel=1e-4)
    assert wire.resistivities == tuple(sorted(wire.resistivities, reverse=True))
    assert wire.steel_resistivity > max(wire.resistivities)


@pytest.mark.published("IEC 60228 Table 3: 13.7 Ω/km coated, 13.3 Ω/km plain, for 1.5 mm² (standing: read)")
def test_tin_costs_three_per_cent() -> None:
    """The excess covers the ratio of the two columns for every size."""
    excess = tinned_excess(BOOK)
    ratios = [
        BOOK.limit(f"conductor.class-5.tinned.{size}mm2").maximum / BOOK.limit(f"conductor.class-5.{size}mm2").maximum  # type: ignore[operator]  # rows of resistances have a maximum
        for size in ("0.5", "0.75", "1", "1.5", "2.5", "4", "6", "10", "16")
    ]

    assert excess.maximum is not None
    assert max(ratios) <= 1.0 + excess.maximum / 100.0 + 1e-3
    assert min(ratios) > 1.0


def test_lay_is_a_range_above_one() -> None:
    """A wire is longer than the cable it is in."""
    lay = lay_factor(BOOK)

    assert lay.minimum is not None
    assert lay.maximum is not None
    assert 1.0 < lay.minimum < lay.maximum


def test_unknown_metals_are_refused() -> None:
    """The message lists those there are."""
    with pytest.raises(UnknownName, match="unknown pure metal 'brass'"):
        pure_metal(BOOK, "brass")
    with pytest.raises(UnknownName, match="Known: clad_10, clad_15"):
        clad_wire(BOOK, "clad_20")

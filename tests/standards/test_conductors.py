"""Conductors: every cell of the resistance tables, the corrections, the wires."""

from __future__ import annotations

import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.standards import load_book
from coldpin.standards.conductors import (
    CONDUCTOR_CLASSES,
    cross_sections,
    customary_section,
    largest_conductor_diameter,
    largest_strand,
    printed_factors,
    resistance_limit,
    strand_pattern,
)
from coldpin.standards.metals import temperature_coefficient

BOOK = load_book()
TEXTS = "IEC 60228:2004 as secondary texts restate it; standing: read"
SIZES = (0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0, 35.0)
ROWS: dict[tuple[int, str], tuple[float, ...]] = {
    (1, "plain"): (36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524),
    (2, "plain"): (36.0, 24.5, 18.1, 12.1, 7.41, 4.61, 3.08, 1.83, 1.15, 0.727, 0.524),
    (1, "tinned"): (36.7, 24.8, 18.2, 12.2, 7.56, 4.70, 3.11, 1.84, 1.16),
    (2, "tinned"): (36.7, 24.8, 18.2, 12.2, 7.56, 4.70, 3.11, 1.84, 1.16, 0.734, 0.529),
    (5, "plain"): (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554),
    (5, "tinned"): (40.1, 26.7, 20.0, 13.7, 8.21, 5.09, 3.39, 1.95, 1.24, 0.795, 0.565),
    (6, "plain"): (39.0, 26.0, 19.5, 13.3, 7.98, 4.95, 3.30, 1.91, 1.21, 0.780, 0.554),
    (6, "tinned"): (40.1, 26.7, 20.0, 13.7, 8.21, 5.09, 3.39, 1.95, 1.24, 0.795, 0.565),
}
CELLS = [
    (number, coating, size, limit)
    for (number, coating), row in ROWS.items()
    for size, limit in zip(SIZES, row, strict=False)
]


@pytest.mark.published(TEXTS)
@pytest.mark.parametrize(("number", "coating", "size", "limit"), CELLS)
def test_each_cell_of_the_copper_tables(number: int, coating: str, size: float, limit: float) -> None:
    """Class, coating and size lead to the limit that the texts print, with its source."""
    found = resistance_limit(BOOK, conductor_class=number, coating=coating, cross_section_mm2=size)

    assert (found.maximum, found.unit, found.standing.value) == (limit, "Ω/km", "read")


@pytest.mark.published(TEXTS)
@pytest.mark.parametrize(("number", "coating"), ROWS)
def test_the_tables_hold_no_other_size(number: int, coating: str) -> None:
    """The sizes are those that were read, no row more."""
    assert cross_sections(BOOK, conductor_class=number, coating=coating) == SIZES[: len(ROWS[number, coating])]


@pytest.mark.published(TEXTS)
@pytest.mark.parametrize("number", [1, 2])
def test_aluminium_begins_at_ten_square_millimetres(number: int) -> None:
    """Four rows of classes 1 and 2, none of the flexible classes."""
    found = {
        size: resistance_limit(BOOK, conductor_class=number, cross_section_mm2=size, metal="aluminium").maximum
        for size in cross_sections(BOOK, conductor_class=number, metal="aluminium")
    }

    assert found == {10.0: 3.08, 16.0: 1.91, 25.0: 1.20, 35.0: 0.868}
    assert cross_sections(BOOK, conductor_class=5, metal="aluminium") == ()


@pytest.mark.published("factor table of IEC 60228:2004 Annex A, a secondary text")
@pytest.mark.parametrize("metal", ["copper", "aluminium"])
def test_the_printed_factors_lie_beside_the_exact_formula_by_their_rounding(metal: str) -> None:
    """Each follows 250/(230 + t) to its last digit; the exact one has its own coefficient in place of 0.004."""
    factors = printed_factors(BOOK)
    alpha = temperature_coefficient(BOOK, metal)

    assert [one.temperature for one in factors] == [float(t) for t in range(5, 55, 5)]
    for one in factors:
        assert one.factor == pytest.approx(250.0 / (230.0 + one.temperature), abs=0.0005 + 1e-9)
        exact = 1.0 / (1.0 + alpha * (one.temperature - 20.0))
        gap = abs(0.004 - alpha) * abs(one.temperature - 20.0) * one.factor**2
        assert one.factor == pytest.approx(exact, abs=1.1 * gap + 0.0005)


@pytest.mark.published("VDE 0295 / IEC 60228 as a page on the structure of stranding restates them")
@pytest.mark.parametrize(
    ("number", "size", "wires", "wire", "area"),
    [
        (5, 0.5, 16, 0.2, 0.503),
        (5, 0.75, 24, 0.2, 0.754),
        (5, 1.0, 32, 0.2, 1.005),
        (5, 1.5, 30, 0.25, 1.473),
        (5, 2.5, 50, 0.25, 2.454),
        (5, 4.0, 56, 0.3, 3.958),
        (5, 6.0, 84, 0.3, 5.938),
        (5, 10.0, 80, 0.4, 10.053),
        (5, 16.0, 128, 0.4, 16.085),
        (6, 0.5, 28, 0.15, 0.495),
        (6, 2.5, 140, 0.15, 2.474),
        (6, 6.0, 192, 0.2, 6.032),
    ],
)
def test_the_customary_wires(number: int, size: float, wires: int, wire: float, area: float) -> None:
    """Count and diameter as printed make nearly the marked size, and no wire is thicker than its limit."""
    pattern = strand_pattern(BOOK, conductor_class=number, cross_section_mm2=size)

    assert (pattern.wires, pattern.wire_diameter_mm) == (wires, wire)
    assert pattern.wires * 0.785398 * pattern.wire_diameter_mm**2 == pytest.approx(area, abs=0.0006)
    if number == 5:
        thickest = largest_strand(BOOK, cross_section_mm2=size)
        assert thickest.maximum is not None
        assert wire < thickest.maximum <= wire + 0.011


@pytest.mark.published("GOST 22483-77 amendment 5, table 6a")
def test_the_largest_diameters() -> None:
    """Each holds the marked size as a filled circle and leaves room between the wires."""
    expected = (1.1, 1.3, 1.5, 1.8, 2.6, 3.2, 3.9, 5.1, 6.3, 7.8, 9.2)
    found = tuple(largest_conductor_diameter(BOOK, cross_section_mm2=size).maximum for size in SIZES)

    assert found == expected


@pytest.mark.published("two pages that pair resistor, current and cross-section; a third has 10 mm² for 63 A")
def test_the_customary_sections_of_codings() -> None:
    """Four pairs; nothing is said of other currents."""
    found = {current: customary_section(BOOK, current) for current in (13.0, 16.0, 20.0, 32.0, 63.0)}

    assert {current: limit and limit.minimum for current, limit in found.items()} == {
        13.0: 1.5,
        16.0: None,
        20.0: 2.5,
        32.0: 6.0,
        63.0: 16.0,
    }


def test_an_older_id_still_finds_its_row() -> None:
    """The rows moved to a table of their own and kept their ids."""
    for size, maximum in ((0.75, 26.0), (1.5, 13.3), (2.5, 7.98), (6.0, 3.3), (16.0, 1.21)):
        assert BOOK.limit(f"conductor.class-5.{size:g}mm2").maximum == maximum


def test_what_is_not_in_the_tables_is_refused_with_what_is() -> None:
    """A size, class, coating or metal that has no row names those that have."""
    with pytest.raises(OutsideRange, match=r"no row for 3 mm²; known: 0\.5, 0\.75, .* 35 mm²"):
        resistance_limit(BOOK, cross_section_mm2=3.0)
    with pytest.raises(OutsideRange, match="known: none mm²"):
        resistance_limit(BOOK, cross_section_mm2=2.5, metal="aluminium")
    with pytest.raises(UnknownName, match=r"unknown conductor class '4'.*Known: 1, 2, 5, 6"):
        resistance_limit(BOOK, conductor_class=4, cross_section_mm2=2.5)
    with pytest.raises(UnknownName, match="unknown coating 'silvered'"):
        resistance_limit(BOOK, coating="silvered", cross_section_mm2=2.5)
    with pytest.raises(UnknownName, match="unknown metal 'brass'"):
        resistance_limit(BOOK, cross_section_mm2=2.5, metal="brass")
    assert CONDUCTOR_CLASSES == (1, 2, 5, 6)

"""Ratings: the formula against published cores and cords, printed factors against their rule, rows as printed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.copper.air_film import (
    arrange,
    convection_coefficient,
    radiation_coefficient,
    standard_coefficient,
)
from coldpin.copper.cable_rating import ambient_factor, formula_rating, rows_at
from coldpin.copper.layers import inner_resistance, layer_resistance
from coldpin.copper.usual_build import assumed_diameter, assumed_inner, plastics, usual_layers
from coldpin.errors import OutsideRange, UnknownName
from coldpin.standards import load_book
from coldpin.standards.cable_heating import air_coefficients, film_constants
from coldpin.standards.cable_ratings import (
    all_cable_ratings,
    ambient_factors,
    cable_ratings,
    insulation_temperature,
)
from coldpin.standards.conductors import resistance_limit

BOOK = load_book()
CONSTANTS = film_constants(BOOK)
Number = float | NDArray[np.float64]
ALPHA = 0.00393
VDE = "DIN VDE 0298-4 table 11 column 2 (read), and the IEC 60287 air formula worked out for mid-values of H07V-K"
FLEXIBLE = "BS 7671 tables 4F1A and 4F2A, DIN VDE 0298-4 table 11 column 5 (read)"


def limit_of_class_5(area: float) -> float:
    found = resistance_limit(BOOK, cross_section_mm2=area).maximum
    assert found is not None
    return 1e-3 * found


class Standard:
    """The standard's film of one arrangement for one diameter, as an outer coefficient."""

    def __init__(self, diameter: float, arrangement: str = "free air") -> None:
        self.h = float(standard_coefficient(diameter, air_coefficients(BOOK, arrangement)))

    def __call__(self, surface: Number, ambient: Number) -> Number:
        return self.h * np.asarray(surface - ambient) ** 0.25


SINGLE = [
    # mm², over the insulation [mm], insulation [mm], printed [A], IEC film [A], Churchill-Chu and radiation [A]
    (1.5, 3.1, 0.7, 24.0, 23.8, 21.7),
    (2.5, 3.75, 0.8, 32.0, 32.6, 29.8),
    (4.0, 4.35, 0.8, 42.0, 43.7, 40.0),
    (6.0, 4.85, 0.8, 54.0, 55.7, 51.1),
    (10.0, 6.25, 1.0, 73.0, 79.0, 73.3),
    (16.0, 7.4, 1.0, 98.0, 105.8, 98.7),
]


@pytest.mark.published(VDE)
@pytest.mark.parametrize(("area", "outer", "insulation", "printed", "iec", "churchill_chu"), SINGLE)
def test_single_cores(
    area: float, outer: float, insulation: float, printed: float, iec: float, churchill_chu: float
) -> None:
    """Single cores at 70 °C in 30 °C: worked figures to the digit; printed ones within 4 % up to 6 mm², 9 % above."""
    diameter = 1e-3 * outer
    core = {
        "metal": 70.0,
        "ambient": 30.0,
        "diameter": diameter,
        "inner": float(
            layer_resistance(resistivity=5.0, inner_diameter=diameter - 2e-3 * insulation, thickness=1e-3 * insulation)
        ),
        "resistance": limit_of_class_5(area),
        "coefficient": ALPHA,
        "cores": 1.0,
    }

    def still(surface: Number, ambient: Number) -> Number:
        moved = convection_coefficient(diameter=diameter, surface=surface, ambient=ambient, constants=CONSTANTS)
        return moved + radiation_coefficient(surface=surface, ambient=ambient, emissivity=0.9, air=CONSTANTS.air)

    by_standard = formula_rating(**core, outer=Standard(diameter))
    assert by_standard == pytest.approx(iec, abs=0.06)
    assert formula_rating(**core, outer=still) == pytest.approx(churchill_chu, abs=0.06)
    assert by_standard == pytest.approx(printed, rel=0.041 if area <= 6.0 else 0.09)


FLEXIBLES = [
    # mm², over the sheath [mm], insulation, sheath [mm], plastics [K·m/W], conductor [°C], worked out, printed [A]
    (2.5, 11.2, 0.8, 1.1, 5.0, 5.0, 70.0, 31.6, 26.0),
    (4.0, 14.5, 1.0, 1.9, 5.0, 5.5, 60.0, 36.8, 30.0),
    (6.0, 16.0, 1.0, 2.1, 5.0, 5.5, 60.0, 46.6, 39.0),
    (4.0, 14.5, 1.0, 1.9, 3.5, 5.0, 90.0, 52.9, 42.0),
    (6.0, 16.0, 1.0, 2.1, 3.5, 5.0, 90.0, 67.1, 55.0),
]


@pytest.mark.published(FLEXIBLE + "; free-air formula worked out before, builds of the trade")
@pytest.mark.parametrize(
    ("area", "outer", "insulation", "sheath", "rho", "rho_sheath", "metal", "worked", "printed"), FLEXIBLES
)
def test_printed_flexible_ratings_lie_below_the_free_air_formula(
    area: float,
    outer: float,
    insulation: float,
    sheath: float,
    rho: float,
    rho_sheath: float,
    metal: float,
    worked: float,
    printed: float,
) -> None:
    """Two loaded cores: layers and free air alone give what was worked out before; print lies 14 % to 21 % below.

    It was told as 16 % to 21 %; the thickness of the sheath, which differs between texts, moves it by 3 %.
    """
    wire = math.sqrt(4.0 * area / math.pi)
    core = rho / (2.0 * math.pi) * math.log(1.0 + 2.0 * insulation / wire)
    ring = rho_sheath / (2.0 * math.pi) * math.log(outer / (outer - 2.0 * sheath))
    found = formula_rating(
        metal=metal,
        ambient=30.0,
        diameter=1e-3 * outer,
        inner=core / 2.0 + ring,
        resistance=limit_of_class_5(area),
        coefficient=ALPHA,
        cores=2.0,
        outer=Standard(1e-3 * outer),
    )

    assert found == pytest.approx(worked, rel=0.03)
    assert 0.14 < 1.0 - printed / found < 0.215


ROWS = [
    # kind, mm², loaded, over the sheath [mm], conductor [°C], printed [A]
    ("pvc", 1.5, 2, 9.4, 70.0, 18.0),
    ("pvc", 2.5, 2, 11.2, 70.0, 26.0),
    ("rubber", 4.0, 2, 14.5, 60.0, 30.0),
    ("rubber", 6.0, 2, 16.0, 60.0, 39.0),
    ("rubber", 10.0, 2, 21.6, 60.0, 51.0),
    ("charging", 4.0, 2, 14.5, 90.0, 42.0),
    ("charging", 6.0, 2, 16.0, 90.0, 55.0),
    ("charging", 10.0, 2, 21.6, 90.0, 76.0),
    ("rubber", 4.0, 3, 15.9, 60.0, 26.0),
    ("rubber", 6.0, 3, 17.8, 60.0, 34.0),
    ("rubber", 10.0, 3, 24.0, 60.0, 47.0),
    ("charging", 4.0, 3, 15.9, 90.0, 37.0),
    ("charging", 6.0, 3, 17.8, 90.0, 49.0),
    ("charging", 10.0, 3, 24.0, 90.0, 66.0),
]


@pytest.mark.published(FLEXIBLE)
@pytest.mark.parametrize(("kind", "area", "loaded", "outer", "metal", "printed"), ROWS)
def test_multicore_rows_lie_just_below_the_formula_on_a_surface(
    kind: str, area: float, loaded: int, outer: float, metal: float, printed: float
) -> None:
    """With cores that crowd each other, in the standard's film of a surface, print lies from 2 % above to 15 % below.

    What the free-air formula leaves unexplained is mostly crowding and the surface, not copper: rows of two and of
    three loaded cores alike.
    """
    layers = usual_layers(
        BOOK,
        kind=kind,
        cross_section_mm2=area,
        cores=3 if loaded == 2 else 4,
        loaded_cores=loaded,
        diameter=1e-3 * outer,
    )
    found = formula_rating(
        metal=metal,
        ambient=30.0,
        diameter=1e-3 * outer,
        inner=float(inner_resistance(layers)),
        resistance=limit_of_class_5(area),
        coefficient=ALPHA,
        cores=float(loaded),
        outer=Standard(1e-3 * outer, "on a surface"),
    )

    assert -0.02 < 1.0 - printed / found < 0.15


@pytest.mark.published("notes to BS 7671 tables 4F3A and 4F2A; IEC 60364-5-52 table B.52.14 (memory)")
@pytest.mark.parametrize(("family", "allowed"), [("60", 0.0051), ("70", 0.0051), ("90", 0.013)])
def test_printed_ambient_factors_follow_the_rule(family: str, allowed: float) -> None:
    """The rows of 60 °C and 70 °C are the rule to the last digit; that of 90 °C is printed 1 % low from 35 °C on."""
    for row in ambient_factors(BOOK, family):
        rule = float(ambient_factor(metal=row.conductor_temperature, ambient=row.ambient, base=30.0))
        assert row.factor == pytest.approx(rule, abs=allowed)


@pytest.mark.published("a machine's manual quoting IEC 60364-5-52 method C, three loaded, PVC, 30 °C to 55 °C; read")
@pytest.mark.parametrize(
    ("at_30", "others"),
    [
        (17.0, (15.0, 14.0, 12.0, 11.0)),
        (24.0, (21.0, 19.0, 17.0, 15.0)),
        (32.0, (28.0, 25.0, 23.0, 20.0)),
        (41.0, (36.0, 32.0, 29.0, 25.0)),
        (57.0, (50.0, 45.0, 40.0, 35.0)),
        (76.0, (66.0, 60.0, 54.0, 46.0)),
    ],
)
def test_printed_currents_at_other_ambients(at_30: float, others: tuple[float, ...]) -> None:
    """The rule gives the printed currents at 40 °C to 55 °C, which were rounded by a hand that rounds up and down."""
    for ambient, printed in zip((40.0, 45.0, 50.0, 55.0), others, strict=True):
        factor = float(ambient_factor(metal=70.0, ambient=ambient, base=30.0))
        # the row at 30 °C was rounded to an ampere as well
        assert at_30 * factor == pytest.approx(printed, abs=0.65 + 0.5 * factor)


@pytest.mark.published("BS 7671 4F3A, 4F1A, 4F2A; DIN VDE 0298-4 table 11 columns 2 to 5")
@pytest.mark.parametrize(
    ("family", "cores", "areas", "currents"),
    [
        ("cord", 2, (0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0), (6, 10, 16, 25, 32, 40, 63)),
        ("cord", 3, (0.75, 1.0, 1.5, 2.5, 4.0), (6, 10, 16, 20, 25)),
        ("multicore", 2, (1.5, 2.5, 4.0, 6.0, 10.0), (18, 26, 34, 44, 61)),
        ("multicore", 3, (1.5, 2.5, 4.0, 6.0, 10.0), (18, 26, 34, 44, 61)),
        ("single core", 1, (1.5, 2.5, 4.0, 6.0), (24, 32, 42, 54)),
        ("rubber 60 °C", 2, (4.0, 6.0, 10.0), (30, 39, 51)),
        ("rubber 60 °C", 3, (4.0, 6.0, 10.0), (26, 34, 47)),
        ("heat-resistant 90 °C", 2, (4.0, 6.0, 10.0), (42, 55, 76)),
        ("heat-resistant 90 °C", 3, (4.0, 6.0, 10.0), (37, 49, 66)),
    ],
)
def test_rows_as_printed(family: str, cores: int, areas: tuple[float, ...], currents: tuple[float, ...]) -> None:
    """Every row stands as its text prints it; where two texts have one row they agree."""
    for area, current in zip(areas, currents, strict=True):
        rows = cable_ratings(BOOK, cross_section_mm2=area, loaded_cores=cores, families=(family,))
        assert rows
        assert {row.current for row in rows} == {float(current)}


def test_rows_of_a_lead_leave_fixed_wiring_out() -> None:
    """Rows of fixed wiring and of single cores stand in the table and judge no lead."""
    families = {row.family for row in all_cable_ratings(BOOK)}
    for_leads = {row.family for row in cable_ratings(BOOK, cross_section_mm2=4.0, loaded_cores=2)}

    assert {"fixed wiring", "single core"} <= families
    assert for_leads == {"cord", "multicore", "rubber 60 °C", "heat-resistant 90 °C"}
    assert cable_ratings(BOOK, cross_section_mm2=3.7, loaded_cores=2) == ()


def test_rows_at_another_ambient() -> None:
    """At 40 °C each row falls by its own conductor's rule, beside what is printed; at 20 °C nothing is raised."""
    hot = rows_at(BOOK, cross_section_mm2=2.5, loaded_cores=2, ambient=40.0, metal=70.0)
    cool = rows_at(BOOK, cross_section_mm2=2.5, loaded_cores=2, ambient=20.0, metal=70.0)
    dead = rows_at(BOOK, cross_section_mm2=2.5, loaded_cores=2, ambient=70.0, metal=70.0)

    assert hot[0].row.conductor_temperature == 60.0
    assert hot[0].current == pytest.approx(25.0 * math.sqrt(20.0 / 30.0))
    assert hot[0].printed is not None
    assert hot[0].printed.nominal == 0.82
    assert [at.current for at in cool] == [25.0, 25.0, 26.0]
    assert [at.current for at in dead] == [0.0, 0.0, 0.0]


@pytest.mark.published("EN 50363, BS 7671, IEC 60364-5-54, EN 50620 and IEC 62893, through public texts")
def test_insulation_temperatures() -> None:
    """What each insulation bears stands as read; an unknown one is told with the known ones."""
    wanted = {"pvc": 70, "pvc-heat": 90, "rubber": 60, "cross-linked": 90, "charging": 90, "silicone": 180}

    assert {name: insulation_temperature(BOOK, name).maximum for name in wanted} == wanted
    with pytest.raises(UnknownName, match="unknown insulation 'paper'"):
        insulation_temperature(BOOK, "paper")


def test_air_as_hot_as_the_metal_may_be() -> None:
    """Nothing is left for a conductor in air of its own limit."""
    with pytest.raises(OutsideRange, match="air of 70 °C leaves nothing for a conductor of 70 °C"):
        formula_rating(
            metal=70.0,
            ambient=70.0,
            diameter=0.01,
            inner=0.5,
            resistance=0.008,
            coefficient=ALPHA,
            cores=2.0,
            outer=Standard(0.01),
        )


@given(
    metal=st.floats(50.0, 110.0),
    cooler=st.floats(0.0, 30.0),
    thicker=st.floats(1.0, 2.0),
    better=st.floats(1.0, 2.0),
)
def test_a_rating_never_rises_with_the_air(metal: float, cooler: float, thicker: float, better: float) -> None:
    """More metal, cooler air, a better film and less plastic never lower a rating."""
    cord = {"metal": metal, "diameter": 0.0112, "coefficient": ALPHA, "cores": 2.0}
    film = Standard(0.0112)

    def at(ambient: float, resistance: float, inner: float, scale: float) -> float:
        return formula_rating(
            **cord,
            ambient=ambient,
            resistance=resistance,
            inner=inner,
            outer=lambda surface, air: scale * film(surface, air),
        )

    base = at(40.0, 0.008, 0.8, 1.0)
    assert at(40.0 - cooler, 0.008, 0.8, 1.0) >= base * (1.0 - 1e-9)
    assert at(40.0, 0.008 / thicker, 0.8, 1.0) >= base * (1.0 - 1e-9)
    assert at(40.0, 0.008, 0.8, better) >= base * (1.0 - 1e-9)
    assert at(40.0, 0.008, 0.8 / thicker, 1.0) >= base * (1.0 - 1e-9)


def test_usual_builds() -> None:
    """Layers are assumed from size and diameter, thinner where they must be, and their spread is told."""
    built = usual_layers(BOOK, kind="rubber", cross_section_mm2=6.0, cores=3, loaded_cores=2, diameter=0.016)
    tight = usual_layers(BOOK, kind="rubber", cross_section_mm2=6.0, cores=3, loaded_cores=2, diameter=0.009)
    inner = assumed_inner(built)

    assert built.conductor_diameter == pytest.approx(3.19e-3, abs=1e-5)
    assert built.core_diameter == pytest.approx(built.conductor_diameter + 2e-3)
    assert float(np.max(tight.core_diameter)) < float(np.max(built.core_diameter))
    assert inner.u == pytest.approx(0.25 * inner.value / math.sqrt(3.0))
    assert assumed_diameter(BOOK, 4.0).value == pytest.approx(0.01445)
    with pytest.raises(OutsideRange, match=r"3 cores of 6 mm² do not fit into 5 mm: measure the diameter again"):
        usual_layers(BOOK, kind="rubber", cross_section_mm2=6.0, cores=3, loaded_cores=2, diameter=0.005)
    with pytest.raises(OutsideRange, match=r"a core of -2[.]5 mm²: its size must be above zero"):
        usual_layers(BOOK, kind="pvc", cross_section_mm2=-2.5, cores=3, loaded_cores=2, diameter=0.0112)
    with pytest.raises(UnknownName, match="unknown kind of cable 'silk'"):
        plastics("silk")


def test_arrangements_have_their_texts() -> None:
    """Each arrangement names the entries its numbers are from."""
    for name in ("free air", "on a surface", "bundled", "coiled", "on a drum"):
        assert all(limit.source for limit in arrange(BOOK, name).limits)
        assert arrange(BOOK, name).limits

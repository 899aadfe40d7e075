"""A loaded cable in the end: published cases, the way back, and that more current never cools."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.copper.air_film import ARRANGEMENTS, arrange, film_interval, standard_coefficient
from coldpin.copper.comparison import WarmCable, compare_cables
from coldpin.copper.layers import CableLayers
from coldpin.copper.steady import (
    HeatedCable,
    current_for_sheath,
    metal_temperature,
    outer_of,
    reached_metal,
    sheath_temperature,
    steady_state,
)
from coldpin.copper.usual_build import assumed_inner
from coldpin.copper.warm_sheath import resistance_for_sheath, resistance_from_sheath
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Quantity, normal, propagate
from coldpin.simulator.cable import VirtualCable
from coldpin.simulator.cable_heat import settle
from coldpin.simulator.cable_mesh import cut_cable
from coldpin.simulator.conductor import conductor_of
from coldpin.standards import load_book
from coldpin.standards.cable_heating import air_coefficients

BOOK = load_book()
Number = float | NDArray[np.float64]
FREE = arrange(BOOK)
ALPHA = 0.00393
CORD = {"diameter": 0.0112, "inner": 0.83, "resistance": 0.00798, "coefficient": ALPHA, "cores": 2.0}
CIGRE = "CIGRE TB 880 case 0-5, as public notebooks reproduce it; the surface's rise follows from its W and h"


def exact(value: float, unit: str) -> Quantity:
    return Quantity(value, 0.0, unit)


@pytest.mark.published(CIGRE)
def test_surface_of_the_published_case() -> None:
    """41.844 W/m from 75.5 mm warm the surface by 25.147 K: T4 0.600968 K·m/W."""
    h = float(standard_coefficient(0.0755, air_coefficients(BOOK, "three flat")))
    heat = 41.8441667658

    def outer(surface: Number, ambient: Number) -> Number:
        return h * np.asarray(surface - ambient) ** 0.25

    # a resistance of 1 Ω/m that does not change makes the heat the square of the current
    sheath = sheath_temperature(
        current=math.sqrt(heat),
        ambient=50.0,
        diameter=0.0755,
        inner=0.0,
        resistance=1.0,
        coefficient=0.0,
        cores=1.0,
        outer=outer,
    )

    assert sheath - 50.0 == pytest.approx(25.147, abs=5e-4)
    assert (sheath - 50.0) / heat == pytest.approx(0.600968, abs=2e-6)


@pytest.mark.published(CIGRE)
def test_drops_inside_the_published_case() -> None:
    """The printed temperatures of surface, sheath and conductor differ by W T3 and by T1 (Wc + Wd/2)."""
    conductor_loss, sheath_loss, dielectric_loss = 23.178647175, 18.2803813736, 0.3851382172

    in_sheath = (conductor_loss + sheath_loss + dielectric_loss) * 0.0541996092
    in_insulation = 0.419871489 * (conductor_loss + dielectric_loss / 2.0)

    assert in_sheath == pytest.approx(80.1870926185 - 77.9191551306, abs=2e-8)
    assert in_insulation == pytest.approx(90.0 - 80.1870926185, abs=2e-8)


def test_the_search_is_exact() -> None:
    """From a grid of sheath temperatures to currents and back: nothing is lost, and single numbers agree with grids."""
    sheath = np.linspace(31.0, 95.0, 40)
    outer = outer_of(FREE, 0.0112)
    amperes = np.asarray(current_for_sheath(sheath=sheath, ambient=30.0, outer=outer, **CORD))
    found = np.asarray(sheath_temperature(current=amperes, ambient=30.0, outer=outer, **CORD))

    assert found == pytest.approx(sheath, abs=1e-8)
    assert sheath_temperature(current=float(amperes[7]), ambient=30.0, outer=outer, **CORD) == pytest.approx(sheath[7])


def test_nothing_and_too_much() -> None:
    """Without current a lead has the temperature of the air; far beyond it there is no end, and that is told."""
    outer = outer_of(FREE, 0.0112)
    found = sheath_temperature(current=np.array([0.0, 16.0, 400.0]), ambient=25.0, outer=outer, **CORD)

    assert np.asarray(found)[0] == 25.0
    assert 30.0 < np.asarray(found)[1] < 45.0
    assert np.isinf(np.asarray(found)[2])
    assert math.isinf(
        metal_temperature(sheath=50.0, current=400.0, inner=0.83, resistance=0.00798, coefficient=ALPHA, cores=2.0)
    )
    with pytest.raises(OutsideRange, match=r"at 400 A in air of 25 °C, free air, the sheath would be above 250 °C"):
        steady_state(cord(), current=exact(400.0, "A"), ambient=exact(25.0, "°C"), arrangement=FREE)


def cord(resistance: float = 0.00798) -> HeatedCable:
    return HeatedCable(
        diameter=normal(0.0112, 0.000112, "m", id="D"),
        inner=normal(0.83, 0.08, "K·m/W", id="Ti"),
        resistance=normal(resistance, 3e-5, "Ω/m", id="R"),
        coefficient=ALPHA,
        cores=2,
    )


@given(
    current=st.floats(1.0, 30.0),
    more=st.floats(1.0, 1.4),
    ambient=st.floats(-20.0, 45.0),
    hotter=st.floats(0.0, 20.0),
    better=st.floats(1.0, 1.5),
    name=st.sampled_from(ARRANGEMENTS),
)
def test_more_never_cools(current: float, more: float, ambient: float, hotter: float, better: float, name: str) -> None:
    """More current or hotter air never cools the metal, a better film or a larger factor never warms it."""
    arrangement = arrange(BOOK, name)

    def at(amperes: float, air: float, scale: float, factor: float) -> float:
        return float(
            reached_metal(current=amperes, ambient=air, scale=scale, factor=factor, arrangement=arrangement, **CORD)
        )

    low, middle, _ = arrangement.factor
    base = at(current, ambient, 1.0, middle)
    assert at(current * more, ambient, 1.0, middle) >= base - 1e-7
    assert at(current, ambient + hotter, 1.0, middle) >= base - 1e-7
    assert at(current, ambient, better, middle) <= base + 1e-7
    assert at(current, ambient, 1.0, low) >= base - 1e-7


def test_how_it_lies() -> None:
    """The same lead becomes warmer on a floor, warmer in a bundle, and far warmer in a coil."""
    found = [
        steady_state(cord(), current=exact(13.0, "A"), ambient=exact(25.0, "°C"), arrangement=arrange(BOOK, name))
        for name in ("free air", "on a surface", "bundled", "coiled")
    ]
    metal = [state.metal.value for state in found]

    assert metal == sorted(metal)
    assert metal[3] - 25.0 > 3.0 * (metal[0] - 25.0)
    for state in found:
        # heat flows from the metal to the sheath through T1/n + T3, wherever the lead lies
        assert state.metal.value - state.sheath.value == pytest.approx(0.83 * state.heat.value, rel=1e-6)


@pytest.mark.independent("the same formula on 200 000 draws")
def test_linear_sum_against_draws(proving: bool) -> None:
    """The linear sum of the state's uncertainty is that of draws within 3 %."""
    inputs = {
        "current": normal(16.0, 0.05, "A", id="I"),
        "ambient": normal(25.0, 0.3, "°C", id="a"),
        "diameter": cord().diameter,
        "inner": cord().inner,
        "resistance": cord().resistance,
    }
    state = steady_state(cord(), current=inputs["current"], ambient=inputs["ambient"], arrangement=FREE)
    half = float(film_interval(FREE, diameter=0.0112, surface=state.sheath.value, ambient=25.0).half)
    random = np.random.default_rng(7)
    count = 200_000 if proving else 20_000
    drawn = {name: random.normal(one.value, one.u or 0.0, count) for name, one in inputs.items()}
    scale = random.uniform(1.0 - half, 1.0 + half, count)
    metal = reached_metal(**drawn, scale=scale, factor=1.0, coefficient=ALPHA, cores=2.0, arrangement=FREE)

    assert state.metal.u == pytest.approx(float(np.std(metal)), rel=0.03)
    assert state.metal.value == pytest.approx(float(np.mean(metal)), abs=0.1)


@pytest.mark.published("budget: film 8 %, rise 3 % x 1.25, diameter 1 %, current 0.5 % x 2: 17.9 % at k = 2; memory")
def test_budget_of_a_warm_sheath() -> None:
    """The uncertainty of a resistance told by a sheath is that of the published budget within a point of 17.9 %.

    That budget lets heat follow the rise as its power 1.25; with radiation in the film it follows by less, 1.15.
    """
    rise = 20.0
    told = resistance_from_sheath(
        sheath=normal(30.0 + rise, 0.03 * rise, "°C", id="sheath"),
        ambient=exact(30.0, "°C"),
        current=normal(20.0, 0.1, "A", id="I"),
        diameter=normal(0.0112, 0.000112, "m", id="D"),
        inner=exact(0.83, "K·m/W"),
        coefficient=ALPHA,
        cores=2,
        arrangement=FREE,
    )

    assert told.resistance.u is not None
    assert 2.0 * told.resistance.u / told.resistance.value == pytest.approx(0.179, abs=0.01)


@given(current=st.floats(8.0, 28.0), ambient=st.floats(-10.0, 40.0), resistance=st.floats(0.003, 0.013))
def test_there_and_back(current: float, ambient: float, resistance: float) -> None:
    """The sheath that a resistance warms tells that resistance again, in free air and on a surface."""
    for name in ("free air", "on a surface"):
        outer = outer_of(arrange(BOOK, name), 0.0112)
        place = {"ambient": ambient, "current": current, "diameter": 0.0112, "inner": 0.83, "coefficient": ALPHA}
        sheath = sheath_temperature(**place, resistance=resistance, cores=2.0, outer=outer)
        if math.isinf(float(sheath)):
            continue
        found = resistance_for_sheath(**place, sheath=sheath, cores=2.0, outer=outer)
        assert found == pytest.approx(resistance, rel=1e-7)


def told_by(sheath: float, arrangement_name: str = "free air", ambient: float = 25.0) -> Quantity:
    return resistance_from_sheath(
        sheath=normal(sheath, 0.5, "°C", id="s"),
        ambient=normal(ambient, 0.3, "°C", id="a"),
        current=normal(20.0, 0.1, "A", id="I"),
        diameter=normal(0.0112, 0.0001, "m", id="D"),
        inner=normal(0.83, 0.08, "K·m/W", id="Ti"),
        coefficient=ALPHA,
        cores=2,
        arrangement=arrange(BOOK, arrangement_name),
    ).resistance


def test_half_the_copper_is_found_and_a_seventh_is_not() -> None:
    """A sheath tells 1.6 times the resistance, of clad aluminium, from the limit, and does not tell 1.13 times."""
    outer = outer_of(FREE, 0.0112)
    place = {"current": 20.0, "ambient": 25.0, "diameter": 0.0112, "inner": 0.83, "coefficient": ALPHA, "cores": 2.0}
    clad, thin = (
        told_by(float(sheath_temperature(resistance=0.00798 * part, outer=outer, **place))) for part in (1.59, 1.13)
    )

    assert clad.low is not None
    assert thin.low is not None
    assert clad.low > 0.00798 > thin.low


def test_where_a_sheath_tells_nothing() -> None:
    """In a coil, or colder than the air, the sheath is not asked."""
    with pytest.raises(InputError, match=r"a lead that lies coiled warms itself: .*; lay it straight"):
        told_by(45.0, "coiled")
    with pytest.raises(InputError, match=r"the sheath at 24\.00 °C .* is not warmer than the air at 25\.00 °C"):
        told_by(24.0)


def test_a_known_cable_beside_it_cancels_most_of_the_film() -> None:
    """The same two rises tell the resistance to 7 % instead of 18 %, and rightly when the film is 20 % off."""
    truth, known = 0.0127, 0.00785
    wrong = outer_of(FREE, 0.0112, 1.2)
    warm = {}
    for name, resistance in (("x", truth), ("k", known)):
        sheath = float(
            sheath_temperature(
                current=18.0,
                ambient=25.0,
                diameter=0.0112,
                inner=0.83,
                resistance=resistance,
                coefficient=ALPHA,
                cores=2.0,
                outer=wrong,
            )
        )
        warm[name] = WarmCable(
            sheath=normal(sheath, 0.2, "°C", id=f"{name} s"),
            diameter=normal(0.0112, 0.0001, "m", id=f"{name} D"),
            inner=normal(0.83, 0.08, "K·m/W", id=f"{name} Ti"),
            coefficient=ALPHA,
            cores=2,
        )
    found = compare_cables(
        warm["x"],
        warm["k"],
        known_resistance=normal(known, 3e-5, "Ω/m", id="known"),
        ambient=normal(25.0, 0.2, "°C", id="a"),
        arrangement=FREE,
    )

    assert found.expanded is not None
    assert found.expanded / found.value < 0.5 * 0.179
    assert found.value == pytest.approx(truth, rel=0.01)
    film = next(part for part in found.components if part.id == "cable film")
    assert abs(film.contribution) < 0.01 * found.value


def test_cables_that_are_not_alike() -> None:
    """A thick and a thin cable are not compared, nor one that stayed cold."""
    one = WarmCable(
        sheath=exact(40.0, "°C"), diameter=exact(0.0112, "m"), inner=exact(0.8, "K·m/W"), coefficient=ALPHA, cores=2
    )
    thick = WarmCable(
        sheath=exact(40.0, "°C"), diameter=exact(0.018, "m"), inner=exact(0.8, "K·m/W"), coefficient=ALPHA, cores=2
    )
    loop = {"known_resistance": exact(0.008, "Ω/m"), "ambient": exact(25.0, "°C"), "arrangement": FREE}
    with pytest.raises(InputError, match=r"18 mm and 11\.2 mm across: compare cables whose diameters differ by less"):
        compare_cables(one, thick, **loop)  # type: ignore[arg-type]  # the words are those of the function
    with pytest.raises(InputError, match="the sheath of the unknown cable is not warmer than the air"):
        compare_cables(one, one, **loop | {"ambient": exact(41.0, "°C")})  # type: ignore[arg-type]  # as above


def test_brightness_is_an_input() -> None:
    """Where the sheath's emissivity is known it enters the budget in the place of the dark sheath."""
    shiny = resistance_from_sheath(
        sheath=normal(45.0, 0.5, "°C", id="s"),
        ambient=normal(25.0, 0.3, "°C", id="a"),
        current=normal(20.0, 0.1, "A", id="I"),
        diameter=normal(0.0112, 0.0001, "m", id="D"),
        inner=normal(0.83, 0.08, "K·m/W", id="Ti"),
        coefficient=ALPHA,
        cores=2,
        arrangement=FREE,
        emissivity=normal(0.6, 0.05, "1", id="shine"),
    ).resistance

    assert shiny.value < 0.9 * told_by(45.0).value
    assert any(part.id == "shine" for part in shiny.components)


def test_the_film_is_one_variable_in_a_room() -> None:
    """The difference of two leads in one room does not hold the film twice."""
    first, second = (
        steady_state(cord(r), current=exact(16.0, "A"), ambient=exact(25.0, "°C"), arrangement=FREE).metal
        for r in (0.00798, 0.0085)
    )
    gap = propagate(lambda a, b: b - a, {"a": first, "b": second}, "K", monte_carlo=False)

    assert gap.u is not None
    assert first.u is not None
    assert gap.u < first.u


@pytest.mark.independent("finite volumes of the simulator, whose film is another textbook law")
@pytest.mark.parametrize(("area", "amperes"), [(2.5, 10.0), (2.5, 16.0), (2.5, 25.0), (6.0, 32.0)])
def test_against_finite_volumes(area: float, amperes: float) -> None:
    """In the middle of a virtual cable sheath and metal lie within the intervals of the steady model."""
    virtual = VirtualCable(conductor=conductor_of("copper", area), length=8.0)
    mesh = cut_cable(virtual)
    end = settle(mesh, current=amperes, ambient=22.0)
    sheath = float(mesh.along(end[None, :][:, mesh.surface], 4.0)[0])
    metal = float(mesh.along(end[None, :][:, mesh.metal[0]], 4.0)[0])
    layers = CableLayers(
        conductor_diameter=2.0 * virtual.conductor_radius,
        core_diameter=2.0 * virtual.core_radius,
        outer_diameter=2.0 * virtual.radius,
        cores=3,
        loaded_cores=2,
        insulation=1.0 / virtual.insulation.conductivity,
        sheath=1.0 / virtual.sheath.conductivity,
    )
    state = steady_state(
        HeatedCable(
            diameter=exact(2.0 * virtual.radius, "m"),
            inner=assumed_inner(layers),
            resistance=exact(virtual.conductor.resistance(), "Ω/m"),
            coefficient=ALPHA,
            cores=2,
        ),
        current=exact(amperes, "A"),
        ambient=exact(22.0, "°C"),
        arrangement=FREE,
    )

    for told, truth in ((state.sheath, sheath), (state.metal, metal)):
        assert told.low is not None
        assert told.high is not None
        assert told.low < truth < told.high
    assert state.sheath.value - 22.0 == pytest.approx(sheath - 22.0, rel=0.12)

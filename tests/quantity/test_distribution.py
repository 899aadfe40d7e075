"""From limits, statements and readings to quantities, against published divisors, factors and examples."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra import numpy as hnp
from scipy import stats

from coldpin.errors import InputError
from coldpin.quantity import (
    Component,
    Quantity,
    Shape,
    add_components,
    arcsine,
    assemble,
    budget_shares,
    correlated,
    correlation,
    coverage_factor,
    from_joint_readings,
    from_readings,
    in_unit,
    normal,
    rectangular,
    triangular,
)
from coldpin.quantity._gtc import linear_sum

# --- coverage factors and divisors ------------------------------------------------------------------------------------


@pytest.mark.published("JCGM 100:2008 Table G.1 (from memory, recomputed)")
@pytest.mark.parametrize(
    ("p", "k"), [(0.6827, 1.0), (0.90, 1.645), (0.95, 1.960), (0.9545, 2.0), (0.99, 2.576), (0.9973, 3.0)]
)
def test_normal_factors(p: float, k: float) -> None:
    """The factor of a normal variable is the printed one."""
    # printed to three decimals, from probabilities printed to four
    assert coverage_factor(math.inf, p) == pytest.approx(k, abs=5e-4 + 5e-5 / (2 * stats.norm.pdf(k)))


@pytest.mark.published("JCGM 100:2008 Table G.2 (from memory, recomputed)")
@pytest.mark.parametrize(
    ("dof", "t95", "t9545", "t99"),
    [
        *[(1, 12.71, 13.97, 63.66), (2, 4.30, 4.53, 9.92), (3, 3.18, 3.31, 5.84), (4, 2.78, 2.87, 4.60)],
        *[(5, 2.57, 2.65, 4.03), (6, 2.45, 2.52, 3.71), (7, 2.36, 2.43, 3.50), (8, 2.31, 2.37, 3.36)],
        *[(9, 2.26, 2.32, 3.25), (10, 2.23, 2.28, 3.17), (15, 2.13, 2.18, 2.95), (16, 2.12, 2.17, 2.92)],
        *[(20, 2.09, 2.13, 2.85), (30, 2.04, 2.09, 2.75), (50, 2.01, 2.05, 2.68)],
    ],
)
def test_student_factors(dof: int, t95: float, t9545: float, t99: float) -> None:
    """The factors of a Student variable are the printed ones."""
    assert coverage_factor(dof) == pytest.approx(t95, abs=0.005)
    assert coverage_factor(dof, 0.95450) == pytest.approx(t9545, abs=0.0051)
    assert coverage_factor(dof, 0.99) == pytest.approx(t99, abs=0.005)


@pytest.mark.published("JCGM 100:2008 G.2.3, 95 % of a rectangular distribution: 1.65 (from memory, recomputed)")
def test_rectangular_factor() -> None:
    """U of one rectangular component is 0.95 of its half-width, 1.65 u."""
    flat = rectangular(0.0, 1.0, "V", id="x")

    assert flat.expanded == pytest.approx(0.95)
    assert 0.95 / (flat.u or 0.0) == pytest.approx(1.65, abs=0.005)


@pytest.mark.published(
    "divisors: JCGM 100:2008 eq. (7), (9b), JCGM 101:2008 6.4.6, read in GTC type_b, https://github.com/MSLNZ/GTC"
)
@pytest.mark.parametrize(
    ("make", "divisor"), [(rectangular, math.sqrt(3)), (triangular, math.sqrt(6)), (arcsine, math.sqrt(2))]
)
def test_divisors(make: object, divisor: float) -> None:
    """Half-width to standard uncertainty by the divisor of the shape."""
    assert callable(make)
    assert make(1.0, 0.3, "V", id="x").u == pytest.approx(0.3 / divisor)


@pytest.mark.independent("scipy.stats: 95 % intervals and standard deviations of the distributions")
def test_shapes_against_another_library() -> None:
    """Interval and u of each shape alone are those of the distribution."""
    for quantity, distribution in (
        (rectangular(0.0, 1.0, "V", id="x"), stats.uniform(-1.0, 2.0)),
        (triangular(0.0, 1.0, "V", id="x"), stats.triang(0.5, -1.0, 2.0)),
        (arcsine(0.0, 1.0, "V", id="x"), stats.arcsine(-1.0, 2.0)),
        (normal(0.0, 1.0, "V", id="x"), stats.norm()),
    ):
        assert quantity.u == pytest.approx(distribution.std())
        assert quantity.low == pytest.approx(distribution.ppf(0.025))
        assert quantity.high == pytest.approx(distribution.ppf(0.975))


@pytest.mark.published("instrument statements worked out in JCGM 100:2008 4.3.7 manner (from memory, recomputed)")
@pytest.mark.parametrize(
    ("half_width", "u"),
    [
        (0.005 * 230.0 + 3 * 0.1, 0.8372),  # multimeter, 0.5 % of reading + 3 digits at 230.0 V
        (0.03 * 40.0, 0.693),  # oscilloscope, 3 % of 8 divisions of 5 V
        (0.5 * 40.0 / 256, 0.0451),  # 8 bit of the same
        (0.02 * 16.0 + 5 * 0.01, 0.2136),  # clamp, 2 % + 5 digits at 16.00 A
    ],
)
def test_instrument_statements(half_width: float, u: float) -> None:
    """Limits of usual instruments give the standard uncertainties worked out for them."""
    assert rectangular(0.0, half_width, "1", id="meter").u == pytest.approx(u, rel=1e-3)


@pytest.mark.published("thermocouple class 1 and logger at 70 °C: 0.913 °C (from memory, recomputed)")
def test_thermocouple_chain() -> None:
    """Two rectangular limits of a chain add in squares."""
    parts = [rectangular(0.0, half, "°C", id=name).components[0] for name, half in (("sensor", 1.5), ("logger", 0.5))]

    assert assemble(70.0, "°C", parts).u == pytest.approx(0.913, abs=5e-4)


# --- type A -----------------------------------------------------------------------------------------------------------


@pytest.mark.independent("numpy and scipy.stats.sem")
@given(
    readings=hnp.arrays(np.float64, st.integers(2, 20), elements=st.floats(-1e3, 1e3)).filter(
        lambda x: np.ptp(x) > 1e-6
    )
)
def test_type_a(readings: np.ndarray[tuple[int], np.dtype[np.float64]]) -> None:
    """Mean, standard deviation of the mean, n - 1."""
    quantity = from_readings(readings, "V")

    assert quantity.value == pytest.approx(float(np.mean(readings)))
    assert quantity.u == pytest.approx(float(stats.sem(readings)))
    assert quantity.dof == len(readings) - 1


@pytest.mark.published(
    "JCGM 100:2008 F.2.2.1: u = 0.29 of the last digit (from memory); the larger of the two, not both"
)
def test_resolution_and_scatter_are_not_both_counted() -> None:
    """Below one digit the larger of scatter and resolution stands; above, the scatter holds the rounding already."""
    equal = from_readings([230.1, 230.1, 230.1], "V", resolution=0.1)
    fine = from_readings([230.10, 230.12, 230.11, 230.09], "V", resolution=0.1)
    coarse = from_readings([230.1, 230.4, 229.8, 230.0], "V", resolution=0.1)
    few = from_readings([230.06, 230.14], "V", resolution=0.1)

    assert equal.u == pytest.approx(0.29 * 0.1, abs=5e-4)
    assert equal.components[0].shape is Shape.RECTANGULAR
    assert math.isinf(equal.dof)
    assert fine.u == pytest.approx(0.1 / math.sqrt(12))
    assert coarse.u == pytest.approx(float(stats.sem([230.1, 230.4, 229.8, 230.0])))
    assert coarse.dof == 3.0
    # scatter of 0.06 below one digit, but its mean is less certain than the digit
    assert few.u == pytest.approx(0.04)


@pytest.mark.hand("all equal does not mean u = 0")
def test_equal_readings_without_resolution_show_nothing() -> None:
    """Equal readings of a meter of unknown resolution have no known uncertainty."""
    quantity = from_readings([5.0, 5.0, 5.0], "V")

    assert quantity.u is None
    assert quantity.why == "all 3 readings are equal and the resolution of the meter is not stated"


@pytest.mark.hand("texts of the errors")
def test_refused_readings() -> None:
    """Too few readings, readings that are none, and limits that are none are refused."""
    with pytest.raises(InputError, match=r"earth: 1 readings of shape \(1,\); at least two in one row are needed"):
        from_readings([1.0], "V", id="earth")
    with pytest.raises(InputError, match="readings: reading 2 is not a finite number"):
        from_readings([1.0, math.nan], "V")
    with pytest.raises(InputError, match="readings: resolution 0 V is not above 0"):
        from_readings([1.0, 2.0], "V", resolution=0.0)
    with pytest.raises(InputError, match=r"meter: 1\.0 V with -0.1 is not a number with a half-width"):
        rectangular(1.0, -0.1, "V", id="meter")
    with pytest.raises(InputError, match="a quantity: nan V"):
        normal(math.nan, 0.1, "V")
    with pytest.raises(InputError, match="jointly read a, b: each needs the same number of readings"):
        from_joint_readings({"a": [1.0, 2.0], "b": [1.0]}, {"a": "V", "b": "V"})
    with pytest.raises(InputError, match="units are given for a"):
        from_joint_readings({"a": [1.0, 2.0], "b": [1.0, 2.0]}, {"a": "V"})


@pytest.mark.hand("an input without uncertainty")
def test_no_width_is_exact() -> None:
    """A half-width of nothing leaves an exact value without components."""
    assert rectangular(5.0, 0.0, "V", id="x") == Quantity(5.0, 0.0, "V")


# --- correlated -------------------------------------------------------------------------------------------------------


@given(
    seeds=hnp.arrays(np.float64, (3, 3), elements=st.floats(-1, 1)),
    u=st.lists(st.floats(1e-3, 1e3), min_size=3, max_size=3),
)
def test_correlated_inputs_have_the_covariance_asked_for(
    seeds: np.ndarray[tuple[int, int], np.dtype[np.float64]], u: list[float]
) -> None:
    """Whatever the matrix, uncertainties and correlations are those asked for."""
    covariance = seeds @ seeds.T + 0.01 * np.eye(3)
    scale = np.sqrt(np.diag(covariance))
    matrix = covariance / np.outer(scale, scale)

    made = correlated([1.0, 2.0, 3.0], u, matrix, ids=["a", "b", "c"], units="V", dof=7.0)

    assert [quantity.u for quantity in made] == pytest.approx(u)
    for i, first in enumerate(made):
        assert first.dof == pytest.approx(7.0)
        for j, second in enumerate(made):
            assert correlation(first, second) == pytest.approx(float(matrix[i, j]), abs=1e-9)


@pytest.mark.hand("r = ±1")
def test_fully_correlated_inputs() -> None:
    """A singular matrix is no obstacle; what is opposite cancels."""
    a, b = correlated([1.0, 1.0], [0.2, 0.1], [[1.0, -1.0], [-1.0, 1.0]], ids=["a", "b"], units="V")

    total = assemble(2.0, "V", (*a.components, *b.components, *b.components))
    assert [a.u, b.u] == pytest.approx([0.2, 0.1])
    assert total.u == pytest.approx(0.0, abs=1e-9)


@pytest.mark.hand("texts of the errors")
def test_refused_correlations() -> None:
    """What is no correlation matrix is refused."""
    with pytest.raises(InputError, match=r"2 values, 2 uncertainties and correlations of shape \(2, 2\) for 1 ids"):
        correlated([1.0, 2.0], [0.1, 0.1], np.eye(2), ids=["a"], units="V")
    with pytest.raises(InputError, match="3 units for 2 ids"):
        correlated([1.0, 2.0], [0.1, 0.1], np.eye(2), ids=["a", "b"], units=["V", "V", "V"])
    with pytest.raises(InputError, match="the matrix must be symmetric with ones on its diagonal"):
        correlated([1.0, 2.0], [0.1, 0.1], [[1.0, 0.5], [0.4, 1.0]], ids=["a", "b"], units="V")
    with pytest.raises(InputError, match="no random variables have these coefficients together"):
        correlated([1.0, 2.0, 3.0], [1, 1, 1], np.full((3, 3), -0.9) + 1.9 * np.eye(3), ids=["a", "b", "c"], units="V")


# --- components -------------------------------------------------------------------------------------------------------


@pytest.mark.hand("3-4-5")
def test_adding_components() -> None:
    """An instrument's components come on top of what a quantity has; an unknown uncertainty stays unknown."""
    meter = Component(id="meter", label="meter", contribution=0.4)

    assert add_components(Quantity(5.0, 0.3, "V"), [meter]).u == pytest.approx(0.5)
    assert add_components(normal(5.0, 0.3, "V", id="noise"), [meter]).u == pytest.approx(0.5)
    assert add_components(normal(5.0, 0.3, "V", id="meter"), [meter]).u == pytest.approx(0.7)
    assert add_components(Quantity(5.0, None, "V", why="?"), [meter]).u is None
    assert add_components(normal(5.0, 0.3, "V"), [meter, meter]).u == pytest.approx(math.hypot(0.3, 0.8))


@pytest.mark.hand("one id, one thing")
def test_one_id_is_one_thing() -> None:
    """The same id for two different things is a mistake that is found, as are degrees of freedom below 1."""
    one = Component(id="meter", label="meter", contribution=0.4)

    with pytest.raises(InputError, match="component id 'meter' stands for two different things"):
        assemble(1.0, "V", [one, Component(id="meter", label="meter", contribution=0.4, dof=3.0)])
    with pytest.raises(InputError, match=r"component 'x' has 0\.5 degrees of freedom; at least 1 is needed"):
        assemble(1.0, "V", [Component(id="x", label="x", contribution=0.4, dof=0.5)])
    with pytest.raises(InputError, match="group 'fit' was estimated with 9 and with 4 degrees of freedom"):
        assemble(
            1.0,
            "V",
            [Component(id=f"fit {dof}", label="fit", contribution=0.4, dof=dof, group="fit") for dof in (9.0, 4.0)],
        )


@pytest.mark.hand("sums of squares")
def test_budget() -> None:
    """Lines stand largest first, what was estimated together is one line, and the parts make the whole."""
    joint = correlated([1.0, 2.0], [0.3, 0.1], [[1.0, 0.5], [0.5, 1.0]], ids=["a", "b"], units="V", dof=4.0)
    total = assemble(
        3.0, "V", [*joint[0].components, *joint[1].components, *rectangular(0.0, 0.9, "V", id="meter").components]
    )

    shares = budget_shares(total)
    joined = math.sqrt(0.3**2 + 0.1**2 + 2 * 0.5 * 0.3 * 0.1)
    assert [share.label for share in shares] == ["meter", "jointly estimated a, b"]
    assert shares[0].contribution == pytest.approx(0.9 / math.sqrt(3))
    assert shares[1].contribution == pytest.approx(joined)
    assert [share.dof for share in shares] == [math.inf, 4.0]
    assert math.fsum(share.percent for share in shares) == pytest.approx(100.0)
    assert budget_shares(Quantity(1.0, 0.1, "V")) == ()
    assert budget_shares(normal(1.0, 0.1, "V"))[0].label == "as stated"


@pytest.mark.hand("scaled by hand")
def test_quantity_in_another_unit() -> None:
    """All parts of a quantity are converted, an offset only where it belongs."""
    volts = rectangular(12.5, 0.3, "V", id="meter")
    millivolts = in_unit(volts, "mV")
    warm = in_unit(normal(20.0, 0.5, "°C", id="sensor"), "K")

    assert millivolts.value == 12_500.0
    assert millivolts.u == pytest.approx(300.0 / math.sqrt(3))
    assert millivolts.high == pytest.approx(12_500.0 + 285.0)
    assert millivolts.components[0].contribution == pytest.approx(300.0 / math.sqrt(3))
    assert (warm.value, warm.u) == (293.15, 0.5)
    assert in_unit(Quantity(5.0, None, "V", why="?"), "mV") == Quantity(5000.0, None, "mV", why="?")


@pytest.mark.independent("GTC, written by a national metrology institute")
@given(
    parts=st.lists(
        st.tuples(
            st.floats(1e-6, 1e6), st.booleans(), st.one_of(st.just(math.inf), st.floats(1.0, 200.0), st.just(1e7))
        ),
        min_size=2,
        max_size=8,
    )
)
def test_sum_of_independent_components_is_that_of_gtc(parts: list[tuple[float, bool, float]]) -> None:
    """To the last bit: the shorter way changes no figure."""
    components = [
        Component(id=f"x{place}", label="", contribution=-size if below else size, dof=dof)
        for place, (size, below, dof) in enumerate(parts)
    ]
    total = assemble(0.0, "V", components)

    assert (total.u, total.dof) == linear_sum(components)


@given(
    sizes=st.lists(st.floats(1e-6, 1e6), min_size=1, max_size=6),
    dofs=st.lists(st.floats(1.0, 200.0), min_size=6, max_size=6),
)
def test_linear_sum_against_the_formulas(sizes: list[float], dofs: list[float]) -> None:
    """Combined uncertainty and effective degrees of freedom follow JCGM 100 eq. (10) and (G.2b), summed here."""
    parts = [
        Component(id=f"x{k}", label="", contribution=size * (-1) ** k, dof=dof)
        for k, (size, dof) in enumerate(zip(sizes, dofs, strict=False))
    ]
    total = assemble(0.0, "V", parts)

    u = math.sqrt(math.fsum(part.contribution**2 for part in parts))
    assert total.u == pytest.approx(u)
    assert total.dof == pytest.approx(u**4 / math.fsum(part.contribution**4 / part.dof for part in parts), rel=1e-9)

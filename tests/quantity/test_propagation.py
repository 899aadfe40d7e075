"""Propagation: sensitivities, correlation by id, when draws replace the linear sum, and what is refused."""

from __future__ import annotations

import math
import subprocess
import sys
from collections.abc import Callable
from typing import Protocol

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats

from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import (
    Component,
    Quantity,
    Shape,
    arcsine,
    assemble,
    budget_shares,
    correlated,
    correlation,
    decide,
    from_readings,
    normal,
    propagate,
    rectangular,
    simulate,
    triangular,
    with_true_interval,
)
from coldpin.quantity.monte_carlo import ONE_BY_ONE
from coldpin.quantity.propagation import tolerance
from coldpin.quantity.sensitivity import slope


class Frozen(Protocol):
    """A distribution of scipy.stats with its parameters set."""

    def cdf(self, x: NDArray[np.float64], /) -> NDArray[np.float64]: ...


Formula = Callable[..., object]


# --- sensitivities ----------------------------------------------------------------------------------------------------


@pytest.mark.hand("derivatives of elementary functions")
@pytest.mark.parametrize(
    ("formula", "at", "u", "expected"),
    [
        (lambda x: 3.0 * x + 1.0, 2.0, 0.1, 3.0),
        (lambda x: x**2, 0.0, 0.1, 0.0),
        (lambda x: x**3, 2.0, 0.5, 12.0),
        (math.exp, 1.0, 0.5, math.e),
        (math.sin, 0.3, 0.4, math.cos(0.3)),
        (lambda x: 1.0 / x, 4.0, 1.0, -0.0625),
        (math.log, 0.5, 0.6, 2.0),
        (math.sqrt, 1e-4, 1e-3, 50.0),
        (abs, 0.001, 0.01, 1.0),
        (lambda x: x, 1e9, 1e-6, 1.0),
        (lambda x: 1e-12 * x, 5.0, 0.1, 1e-12),
    ],
)
def test_slopes(formula: Formula, at: float, u: float, expected: float) -> None:
    """The slope is the derivative at the estimate, also beside a kink or the edge of the range."""
    found = slope(lambda x: formula(x), {"x": at}, "x", u)

    assert found.settled
    assert found.value == pytest.approx(expected, rel=1e-6, abs=1e-12)


@pytest.mark.hand("at a jump there is no slope")
def test_a_jump_does_not_settle() -> None:
    """At a jump the slope does not settle, and the draws decide unasked."""
    step = slope(lambda x: float(x > 0.0), {"x": 0.0}, "x", 1.0)
    drawn = propagate(lambda x: np.where(x > 0.0, 1.0, 0.0), {"x": normal(0.0, 1.0, "V", id="x")}, "1")

    assert not step.settled
    assert drawn.value == pytest.approx(0.5, abs=tolerance(0.5))
    assert drawn.u == pytest.approx(0.5, abs=tolerance(0.5))


# --- linear formulas --------------------------------------------------------------------------------------------------

sizes = st.floats(-1e4, 1e4).map(lambda x: round(x, 3))
uncertainties = st.floats(1e-3, 1e3)


@given(
    factors=st.tuples(sizes, sizes, sizes), values=st.tuples(sizes, sizes, sizes), us=st.tuples(*[uncertainties] * 3)
)
def test_linear_formulas_are_exact(
    factors: tuple[float, float, float], values: tuple[float, float, float], us: tuple[float, float, float]
) -> None:
    """A linear combination has the u that its coefficients give, and no draws are needed for it."""
    inputs = {name: normal(value, u, "V", id=name) for name, value, u in zip("abc", values, us, strict=True)}

    total = propagate(lambda a, b, c: factors[0] * a + factors[1] * b + factors[2] * c, inputs, "V")

    expected = math.sqrt(math.fsum((factor * u) ** 2 for factor, u in zip(factors, us, strict=True)))
    scale = max(abs(factor * value) for factor, value in zip(factors, values, strict=True))
    assert total.u == pytest.approx(expected, rel=1e-6, abs=1e-9 * scale)
    assert not total.quantiles
    assert total.why == ""


@given(value=sizes, u=uncertainties, factor=st.floats(-1e3, 1e3).map(lambda x: round(x, 3)), offset=sizes)
def test_what_is_shared_cancels(value: float, u: float, factor: float, offset: float) -> None:
    """The difference of a quantity and itself is exactly 0, however it came about."""
    x = normal(value, u, "V", id="x")
    y = propagate(lambda x: factor * x + offset, {"x": x}, "V")

    zero = propagate(lambda a, b: a - b, {"a": x, "b": x}, "V")
    derived = propagate(lambda y, x: y - factor * x - offset, {"y": y, "x": x}, "V")

    assert (zero.value, zero.u, zero.components) == (0.0, 0.0, ())
    assert derived.u == 0.0 or derived.u == pytest.approx(0.0, abs=1e-6 * abs(factor) * u)


@pytest.mark.hand("without ids nothing is shared")
def test_readings_without_id_are_independent() -> None:
    """Two readings as written are two random variables, even if they are the same text."""
    from coldpin.quantity import parse_quantity

    a, b = parse_quantity("5.0(3) V"), parse_quantity("5.0(3) V")
    both = propagate(lambda a, b: a - b, {"a": a, "b": b}, "V")

    assert both.u == pytest.approx(math.hypot(0.3, 0.3))
    assert [share.label for share in budget_shares(both)] == ["a", "b"]


@pytest.mark.hand("u of a product of two independent factors")
def test_budget_of_a_product() -> None:
    """Components carry signed contributions in the unit of the result."""
    result = propagate(
        lambda voltage, current: voltage / current,
        {"voltage": normal(10.0, 0.01, "V", id="meter"), "current": rectangular(2.0, 0.002, "A", id="clamp")},
        "Ω",
    )

    contributions = {part.id: part.contribution for part in result.components}
    assert contributions["meter"] == pytest.approx(0.005)
    assert contributions["clamp"] == pytest.approx(-2.5 * 0.002 / math.sqrt(3))
    assert [part.shape for part in result.components] == [Shape.NORMAL, Shape.RECTANGULAR]


@pytest.mark.hand("correlation through an earlier result")
def test_correlation_survives_steps() -> None:
    """Two results that rest on one meter are correlated when they meet again."""
    meter = normal(0.0, 0.3, "V", id="meter")
    first = propagate(lambda v, m: v + m, {"v": normal(5.0, 0.4, "V", id="first"), "m": meter}, "V")
    second = propagate(lambda v, m: v + m, {"v": normal(3.0, 0.4, "V", id="second"), "m": meter}, "V")

    assert correlation(first, second) == pytest.approx(0.09 / 0.25)
    assert propagate(lambda a, b: a - b, {"a": first, "b": second}, "V").u == pytest.approx(math.hypot(0.4, 0.4))


@pytest.mark.hand("numbers are exact")
def test_plain_numbers_are_exact() -> None:
    """A number among the inputs adds no uncertainty; only numbers give an exact result."""
    assert propagate(lambda x, n: x / n, {"x": normal(10.0, 1.0, "V", id="x"), "n": 4}, "V").u == pytest.approx(0.25)
    assert propagate(lambda a: 2.0 * a, {"a": 3.0}, "V") == Quantity(6.0, 0.0, "V")
    assert simulate(lambda a: 2.0 * a, {"a": 3.0}, "V") == Quantity(6.0, 0.0, "V")


@pytest.mark.hand("unknown in, unknown out")
def test_unknown_uncertainty_is_carried_on() -> None:
    """A result of an input of unknown uncertainty is a value of unknown uncertainty, which names the input."""
    inputs = {"a": normal(1.0, 0.1, "V", id="a"), "b": Quantity(2.0, None, "V", why="gauge not stated")}

    for result in (propagate(lambda a, b: a + b, inputs, "V"), simulate(lambda a, b: a + b, inputs, "V")):
        assert (result.value, result.u) == (3.0, None)
        assert result.why == "uncertainty not known of b (gauge not stated)"


# --- Monte Carlo ------------------------------------------------------------------------------------------------------


@pytest.mark.independent("scipy.stats: lognormal distribution")
def test_lognormal() -> None:
    """The exponential of a normal input has the moments and quantiles of the lognormal distribution."""
    result = propagate(lambda x: np.exp(x), {"x": normal(0.0, 0.5, "1", id="x")}, "1")
    exact = stats.lognorm(0.5)

    assert result.value == pytest.approx(exact.mean(), rel=0.005)
    assert result.u == pytest.approx(exact.std(), rel=0.02)
    assert result.low == pytest.approx(exact.ppf(0.025), rel=0.01)
    assert result.high == pytest.approx(exact.ppf(0.975), rel=0.02)
    assert decide(result, maximum=2.0).probability == pytest.approx(exact.cdf(2.0), abs=0.003)


@pytest.mark.independent("scipy.stats: the distributions behind the shapes, by the Kolmogorov-Smirnov distance")
@pytest.mark.parametrize(
    ("quantity", "exact"),
    [
        (normal(5.0, 0.4, "V", id="x"), stats.norm(5.0, 0.4)),
        (normal(5.0, 0.4, "V", id="x", dof=4.0), stats.t(4.0, 5.0, 0.4)),
        (normal(5.0, 0.4, "V", id="x", dof=1.0), stats.t(1.0, 5.0, 0.4)),
        (rectangular(5.0, 1.0, "V", id="x"), stats.uniform(4.0, 2.0)),
        (triangular(5.0, 1.0, "V", id="x"), stats.triang(0.5, 4.0, 2.0)),
        (arcsine(5.0, 1.0, "V", id="x"), stats.arcsine(4.0, 2.0)),
    ],
)
def test_draws_follow_their_shapes(quantity: Quantity, exact: Frozen) -> None:
    """Draws of one input have the distribution of its shape."""
    drawn = simulate(lambda x: 1.0 * x, {"x": quantity}, "V")

    inside = np.array(drawn.quantiles)[1:-1]
    levels = np.linspace(0.0, 1.0, len(drawn.quantiles))[1:-1]
    # 1.63 / sqrt(n) is the 1 % point of the distance
    assert np.max(np.abs(exact.cdf(inside) - levels)) < 1.63 / math.sqrt(2e5)


@pytest.mark.published("JCGM 101:2008 6.4.3.3: variance of the curvilinear trapezoid, w²/3 + d²/9 (from memory)")
def test_inexact_limits() -> None:
    """Limits whose half-width is known to d have the printed variance; dof = (w/d)²/2."""
    width, doubt = 1.0, 0.5
    inexact = rectangular(0.0, width, "V", id="x", dof=0.5 * (width / doubt) ** 2)

    drawn = simulate(lambda x: 1.0 * x, {"x": inexact}, "V")
    assert drawn.u == pytest.approx(math.sqrt(width**2 / 3.0 + doubt**2 / 9.0))
    # the draws themselves, not only the exact variance they are scaled to
    assert drawn.quantiles[-1] == pytest.approx(1.5, abs=0.01)


@pytest.mark.independent("scipy.stats.multivariate_t")
def test_jointly_estimated_inputs_share_their_denominator() -> None:
    """A product of two jointly estimated inputs of few degrees of freedom has the spread of a joint t."""
    ids = ["a", "b"]
    a, b = correlated([0.0, 0.0], [1.0, 1.0], [[1.0, 0.5], [0.5, 1.0]], ids=ids, units="1", dof=10.0)
    drawn = simulate(lambda a, b: a**2 - b**2, {"a": a, "b": b}, "1")

    joint = stats.multivariate_t([0.0, 0.0], [[1.0, 0.5], [0.5, 1.0]], df=10, seed=7).rvs(400_000)
    expected = np.quantile(joint[:, 0] ** 2 - joint[:, 1] ** 2, [0.025, 0.975])
    assert [drawn.low, drawn.high] == pytest.approx(expected.tolist(), rel=0.03)


@pytest.mark.hand("the same seed, the same draws; the order of inputs does not matter")
def test_draws_are_repeatable() -> None:
    """A result does not depend on when it is made nor on the order of the inputs, only on the seed."""
    x, y = normal(0.0, 1.0, "1", id="x"), rectangular(0.0, 1.0, "1", id="y")

    def product(x: float, y: float) -> float:
        return x * y

    first = propagate(product, {"x": x, "y": y}, "1")
    again = propagate(product, {"y": y, "x": x}, "1")
    other = propagate(product, {"x": x, "y": y}, "1", seed=2)

    assert first.quantiles
    assert first.quantiles == again.quantiles
    assert first.quantiles != other.quantiles


@pytest.mark.hand("unasked only where it matters")
@pytest.mark.parametrize(
    ("formula", "inputs", "how"),
    [
        (lambda a, b: a * b, {"a": normal(10.0, 0.1, "1", id="a"), "b": normal(5.0, 0.05, "1", id="b")}, ""),
        (lambda a, b: a * b, {"a": normal(10.0, 4.0, "1", id="a"), "b": normal(5.0, 2.0, "1", id="b")}, "Monte Carlo"),
        (lambda a, b: a + b, {"a": normal(1.0, 1.0, "1", id="a"), "b": rectangular(1.0, 0.5, "1", id="b")}, ""),
        (
            lambda a, b: a + b,
            {"a": normal(1.0, 0.1, "1", id="a"), "b": rectangular(1.0, 0.5, "1", id="b")},
            "convolved",
        ),
        (
            lambda a, b: a + b,
            {"a": normal(1.0, 0.1, "1", id="a", dof=1.0), "b": rectangular(1.0, 0.5, "1", id="b")},
            "Monte Carlo",
        ),
        (
            lambda a, b: a * b,
            {"a": normal(1.0, 0.1, "1", id="a"), "b": rectangular(1.0, 0.5, "1", id="b")},
            "Monte Carlo",
        ),
        (lambda a: 2.0 * a, {"a": rectangular(1.0, 0.5, "1", id="a")}, ""),
        (lambda a: 2.0 * a, {"a": normal(1.0, 0.5, "1", id="a", dof=3.0)}, ""),
    ],
)
def test_what_replaces_the_linear_sum_unasked(formula: Formula, inputs: dict[str, Quantity], how: str) -> None:
    """Draws do where the formula is curved over its inputs, a convolution where a flat component dominates a sum."""
    result = propagate(formula, inputs, "1")

    assert bool(result.quantiles) is bool(how)
    assert how in result.why if how else result.why == ""
    assert not propagate(formula, inputs, "1", monte_carlo=False).quantiles


@pytest.mark.hand("a rectangular quantity times two is one twice as wide")
def test_one_flat_component_keeps_its_exact_interval() -> None:
    """A single rectangular component needs no draws: its shape gives the interval."""
    doubled = propagate(lambda a: 2.0 * a, {"a": rectangular(1.0, 0.5, "V", id="a")}, "V")

    assert [doubled.low, doubled.high] == pytest.approx([2.0 - 0.95, 2.0 + 0.95])


_SHARES = st.lists(
    st.tuples(st.floats(1e-6, 1e3), st.sampled_from(Shape), st.sampled_from([1.0, 4.5, 99.0, math.inf])),
    max_size=4,
)


@pytest.mark.independent("propagation of the formula that returns its argument")
@given(value=st.floats(-1e3, 1e3), shares=_SHARES)
def test_the_interval_of_a_sum_is_that_of_the_identity(value: float, shares: list[tuple[float, Shape, float]]) -> None:
    """What knows that a sum needs neither slope nor pilot draws gives what looking for them gives, to the last bit."""
    parts = [
        Component(id=f"part {place}", label="part", contribution=size, shape=shape, dof=dof)
        for place, (size, shape, dof) in enumerate(shares)
    ]
    summed = assemble(value, "V", parts)

    assert with_true_interval(summed) == propagate(lambda summed: summed, {"summed": summed}, "V")


@pytest.mark.hand("JCGM 101:2008 7.9.2: half a unit of the last digit")
@pytest.mark.parametrize(
    ("u", "digits", "expected"),
    [
        (0.35, 2, 0.005),
        (0.35, 1, 0.05),
        (2.0, 1, 0.5),
        (50.0, 2, 0.5),
        (0.0996, 2, 0.005),
        (0.0, 2, 0.0),
        (1e-9, 1, 5e-10),
    ],
)
def test_tolerance(u: float, digits: int, expected: float) -> None:
    """The numerical tolerance is half a unit of the last significant digit of u as rounded."""
    assert tolerance(u, digits) == pytest.approx(expected)


@pytest.mark.independent("scipy.stats: chi-squared distribution")
def test_a_drawn_result_is_carried_on_whole() -> None:
    """What the curvature added is neither lost nor flattened in the next step."""
    square = propagate(lambda x: x**2, {"x": normal(0.0, 1.0, "1", id="x")}, "1")
    doubled = propagate(lambda s: 2.0 * s + 1.0, {"s": square}, "1")
    exact = stats.chi2(1)

    assert square.u == pytest.approx(math.sqrt(2.0), rel=0.02)
    assert [share.label for share in budget_shares(square)] == ["curvature of the formula"]
    assert doubled.u == pytest.approx(2.0 * (square.u or 0.0), rel=0.01)
    assert doubled.high == pytest.approx(2.0 * exact.ppf(0.975) + 1.0, rel=0.03)
    assert doubled.low == pytest.approx(1.0, abs=0.01)


def test_the_budget_names_no_inner_function() -> None:
    """A line of a budget is read by people: it says what it is, whatever the formula is called within."""

    def squared_within(x: float) -> float:
        return x**2

    shares = budget_shares(propagate(squared_within, {"x": normal(0.0, 1.0, "1", id="x")}, "1"))
    assert [share.label for share in shares] == ["curvature of the formula"]


@pytest.mark.hand("components of a drawn result add up to its u")
def test_components_of_a_drawn_result_make_its_uncertainty() -> None:
    """The squares of the components make u², and what a drawn result shares with its input still cancels."""
    x = normal(10.0, 2.0, "1", id="x")
    square = propagate(lambda x: x**2, {"x": x}, "1")

    assert square.quantiles
    assert math.fsum(part.contribution**2 for part in square.components) == pytest.approx((square.u or 0.0) ** 2)
    # Cov(x², x) = 2 μ σ², Var(x²) = 4 μ² σ² + 2 σ⁴
    expected = 2 * 10.0 * 4.0 / math.sqrt((4 * 100.0 * 4.0 + 2 * 16.0) * 4.0)
    assert correlation(square, x) == pytest.approx(expected, abs=0.005)


@pytest.mark.hand("two formulas, two curvatures")
def test_curvatures_of_two_formulas_are_not_one_variable() -> None:
    """What two formulas add by their curvature is independent; the same formula evaluated twice is the same."""
    x = normal(0.0, 1.0, "1", id="x")
    square, again = (propagate(lambda x: x**2, {"x": x}, "1") for _ in range(2))
    cosine = propagate(lambda x: np.cos(x), {"x": x}, "1")

    assert correlation(square, again) == pytest.approx(1.0)
    assert correlation(square, cosine) == 0.0


@pytest.mark.hand("a t of 2 degrees of freedom has no variance")
def test_few_degrees_of_freedom() -> None:
    """Where the draws have no variance, u follows the width of the interval and the degrees of freedom stay."""
    two = normal(10.0, 1.0, "V", id="two readings", dof=1.0)
    linear = propagate(lambda x: 2.0 * x, {"x": two}, "V", monte_carlo=True)
    curved = simulate(lambda x: x * x, {"x": normal(10.0, 0.1, "V", id="x", dof=2.0)}, "1")

    assert linear.u == pytest.approx(2.0)
    assert (linear.dof, linear.quantiles) == (1.0, ())
    assert curved.dof == 2.0
    assert curved.value == pytest.approx(100.0, abs=0.05)
    # 4.303 is t95 of 2 degrees of freedom
    assert curved.low == pytest.approx((10.0 - 0.4303) ** 2, rel=0.005)
    assert curved.high == pytest.approx((10.0 + 0.4303) ** 2, rel=0.005)
    assert curved.u == pytest.approx(2.0, rel=0.02)


@pytest.mark.hand("one by one")
def test_a_formula_for_single_numbers_is_drawn_one_by_one() -> None:
    """A formula that cannot take arrays is evaluated one draw at a time, on fewer draws."""

    def scalar_only(x: float) -> float:
        return math.sqrt(x) if x > 0.0 else 0.0

    x = {"x": normal(1.0, 0.3, "1", id="x")}
    slow = propagate(scalar_only, x, "1", monte_carlo=True)
    fast = propagate(lambda x: np.sqrt(np.maximum(x, 0.0)), x, "1", monte_carlo=True)

    assert f"{ONE_BY_ONE} Monte Carlo draws" in slow.why
    assert slow.value == pytest.approx(fast.value, abs=5 * 0.16 / math.sqrt(ONE_BY_ONE))
    # standard error of the 2.5 % quantile of x, 0.019 u, through the slope 1 / (2 * 0.64) there
    assert slow.low == pytest.approx(fast.low, abs=5 * 0.019 * 0.3 / 1.28)


# --- what is refused --------------------------------------------------------------------------------------------------


@pytest.mark.hand("texts of the errors")
def test_refused_inputs() -> None:
    """Names that differ, values that are none, formulas that give none."""

    def power(voltage: float, current: float) -> float:
        return voltage * current

    one = normal(1.0, 0.1, "V", id="x")
    with pytest.raises(
        InputError, match=r"power takes \(voltage, current\) but is given \(voltage\): missing a required"
    ):
        propagate(power, {"voltage": one}, "W")
    with pytest.raises(InputError, match=r"but is given \(voltage, amps\)"):
        propagate(power, {"voltage": one, "amps": one}, "W")
    with pytest.raises(InputError, match="input voltage of power has no value: no signal"):
        propagate(power, {"voltage": Quantity(math.nan, None, "V", why="no signal"), "current": one}, "W")
    with pytest.raises(InputError, match="the formula has no finite value at x = 0 V: check the inputs"):
        propagate(lambda x: 1.0 / x, {"x": normal(0.0, 0.1, "V", id="x")}, "1")
    with pytest.raises(InputError, match=r"the formula has no value on both sides of x = 1, so its sensitivity to x"):
        propagate(lambda x: math.sqrt(1.0 - x) if x == 1.0 else math.nan, {"x": one}, "1")
    with pytest.raises(InputError, match=r"the formula returned float64 of shape \(2,\) for single numbers"):
        propagate(lambda x: np.array([x, x]), {"x": one}, "1")
    with pytest.raises(InputError, match="the formula returned complex128"):
        propagate(lambda x: complex(x, 1.0), {"x": one}, "1")
    with pytest.raises(OutsideRange, match="10 draws say nothing about a 95 % interval: at least 1000, usually 200000"):
        propagate(lambda x: x, {"x": one}, "1", monte_carlo=True, draws=10)


@pytest.mark.hand("texts of the errors")
def test_draws_outside_the_formula() -> None:
    """Asked for, draws without a value are an error; unasked, the linear sum stands and it is said."""
    x = {"x": normal(1.0, 0.5, "1", id="x")}

    with pytest.raises(
        InputError, match=r"the formula has no finite value at \d+ of 200000 draws: what is known of the"
    ):
        propagate(lambda x: np.sqrt(x), x, "1", monte_carlo=True)
    linear = propagate(lambda x: np.sqrt(x), x, "1")
    assert linear.u == pytest.approx(0.25, rel=1e-6)
    assert linear.why.startswith("linear sum only, no Monte Carlo: the formula has no finite value at")


@pytest.mark.hand("texts of the errors")
def test_draws_of_a_formula_of_the_wrong_shape() -> None:
    """A formula that joins its draws into one number is refused where draws are asked for."""
    x = {"x": normal(1.0, 0.5, "1", id="x")}

    with pytest.raises(InputError, match=r"the formula returned float64 of shape \(\) for 200000 draws"):
        propagate(lambda x: np.mean(x), x, "1", monte_carlo=True)


@pytest.mark.hand("errors of a formula's own")
def test_errors_of_the_formula_itself() -> None:
    """A formula's own refusal of an estimate passes; of a draw it leaves the linear sum."""

    def limited(x: float) -> float:
        if np.any(np.asarray(x) > 2.0):
            raise OutsideRange("published up to 2")
        return x * x

    with pytest.raises(OutsideRange, match="published up to 2"):
        propagate(limited, {"x": normal(3.0, 0.1, "1", id="x")}, "1")
    near = propagate(limited, {"x": normal(1.99, 0.1, "1", id="x")}, "1")
    assert near.u == pytest.approx(0.398, rel=1e-6)
    assert near.why == "linear sum only, no Monte Carlo: published up to 2"


# --- speed and doors --------------------------------------------------------------------------------------------------


@pytest.mark.hand("the door is used only where a sum is needed")
def test_importing_is_light() -> None:
    """Neither the import nor reading and deciding loads GTC, scipy.stats or pydantic."""
    program = (
        "import sys, coldpin.quantity as q\n"
        "q.decide(q.parse_quantity('12.5(3) V'), maximum=13.0), q.format_quantity(q.parse_quantity('2k74'))\n"
        "print([name for name in ('GTC', 'scipy.stats', 'pydantic', 'matplotlib') if name in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)

    assert run.stdout.strip() == "[]"


@pytest.mark.hand("no foreign object in a record")
def test_results_are_plain_numbers() -> None:
    """Everything in a result is a float, a text or a record of ours, also after many draws."""
    for result in (
        propagate(lambda a, b: a + b, {"a": normal(1, 1, "V", id="a", dof=3), "b": normal(2, 1, "V", id="b")}, "V"),
        propagate(lambda a: np.exp(a), {"a": normal(1, 1, "V", id="a")}, "1"),
        from_readings(np.array([1.0, 2.0]), "V"),
    ):
        numbers = (result.value, result.u, result.dof, result.low, result.high, *result.quantiles)
        assert {type(number) for number in numbers} == {float}
        assert all(type(part) is Component and type(part.contribution) is float for part in result.components)


@pytest.mark.hand("coverage of 95 % intervals")
def test_intervals_cover(proving: bool, measured: Callable[[str, float, str, str], None]) -> None:
    """Of simulated resistance measurements, the 95 % interval holds the true value in 95 % (exact binomial band)."""
    runs = 4000 if proving else 300
    rng = np.random.default_rng(20)
    held = 0
    for _ in range(runs):
        # five readings of a voltage with noise, a meter with one error of its gain for both, an ammeter
        gain, ammeter = rng.uniform(-0.01, 0.01), rng.uniform(-0.02, 0.02)
        voltage = from_readings(5.0 * (1.0 + gain) + rng.normal(0.0, 0.03, 5), "V", id="voltage")
        result = propagate(
            lambda v, g, i: v * (1.0 - g) / i,
            {
                "v": voltage,
                "g": rectangular(0.0, 0.01, "1", id="gain"),
                "i": rectangular(2.0 * (1.0 + ammeter), 0.04, "A", id="ammeter"),
            },
            "Ω",
            draws=20_000,
        )
        assert result.low is not None
        assert result.high is not None
        held += result.low <= 2.5 <= result.high
    low, high = stats.binom(runs, 0.95).ppf([0.001, 0.999])

    measured("coverage of 95 % intervals of a resistance", 100.0 * held / runs, "%", "95 within the binomial band")
    assert low <= held <= high


@pytest.mark.hand("assembled by hand")
def test_assembled_components_enter_by_id() -> None:
    """A quantity put together from components shares them by id with others."""
    shared = Component(id="scope gain", label="scope gain", contribution=0.1, shape=Shape.RECTANGULAR)
    high, low = assemble(9.0, "V", [shared]), assemble(-12.0, "V", [shared])

    assert propagate(lambda h, low: h - low, {"h": high, "low": low}, "V").u == 0.0

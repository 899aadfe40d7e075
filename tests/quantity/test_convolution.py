"""Sums of independent parts, convolved: against closed forms, printed examples and draws."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import integrate, stats

from coldpin.quantity import COVERAGE, Component, Quantity, Shape, assemble, correlated, propagate, rectangular
from coldpin.quantity.convolution import (
    CELLS,
    FEWEST_DOF,
    OUTERMOST,
    Described,
    convolvable,
    doubt_of_limits,
    sum_quantiles,
)
from coldpin.quantity.model import HIGH, LOW, QUANTILES, SQRT3
from coldpin.quantity.monte_carlo import Input, draw
from coldpin.quantity.propagation import with_true_interval

LEVELS = np.linspace(0.0, 1.0, QUANTILES)
HAIR = 1.0 / CELLS**2
"""What rounding a few parts to the grid may do, in standard uncertainties: (h² / 12) / 2u for each, h = u / CELLS."""


def part(name: str, size: float, shape: Shape = Shape.RECTANGULAR, dof: float = math.inf, group: str = "") -> Component:
    """A component of its own."""
    return Component(id=name, label=name, contribution=size, shape=shape, dof=dof, group=group)


def ends(components: list[Component]) -> tuple[float, float]:
    """The ends of the 95 % interval of a sum about 0."""
    quantiles = sum_quantiles(0.0, components)
    return float(quantiles[LOW]), float(quantiles[HIGH])


# --- closed forms -----------------------------------------------------------------------------------------------------


@pytest.mark.hand("Irwin and Hall: the sum of n rectangles of one width, n = 2 the triangle")
@pytest.mark.parametrize("count", [2, 3, 5])
def test_equal_rectangles_have_the_distribution_of_irwin_and_hall(count: int) -> None:
    """The quantiles of a sum of equal rectangles are those of the closed form, over all levels."""

    def below(x: float) -> float:
        terms = ((-1) ** k * math.comb(count, k) * max(0.0, x - k) ** count for k in range(count + 1))
        return math.fsum(terms) / math.factorial(count)

    # rectangles from 0 to 1 are those of standard deviation 1 / √12 about 1/2
    parts = [part(f"p{place}", 1.0 / math.sqrt(12.0)) for place in range(count)]
    quantiles = sum_quantiles(0.5 * count, parts)

    # the density is at most 1, and a quantile is right to HAIR of u
    assert [below(float(x)) for x in quantiles[1:-1]] == pytest.approx(LEVELS[1:-1].tolist(), abs=count * HAIR)


@pytest.mark.hand("two equal rectangles make a triangle")
def test_two_equal_rectangles_are_one_triangle() -> None:
    """A triangle put together from two rectangles is the triangle that is written down."""
    both = sum_quantiles(0.0, [part("a", math.sqrt(0.5)), part("b", math.sqrt(0.5))])
    one = sum_quantiles(0.0, [part("c", 1.0, Shape.TRIANGULAR)])

    assert both[1:-1] == pytest.approx(one[1:-1], abs=2 * HAIR)
    assert one[LOW] == pytest.approx(-math.sqrt(6.0) * (1.0 - math.sqrt(1.0 - COVERAGE)), abs=HAIR)


@pytest.mark.independent("scipy.stats: quantiles of the distributions")
@pytest.mark.parametrize(
    ("component", "exact"),
    [
        (part("x", 2.0, Shape.NORMAL), stats.norm(scale=2.0).ppf),
        (part("x", 2.0, Shape.NORMAL, dof=5.0), stats.t(df=5.0, scale=2.0).ppf),
        (part("x", -2.0, Shape.NORMAL, dof=FEWEST_DOF), stats.t(df=FEWEST_DOF, scale=2.0).ppf),
        (part("x", 1.0, Shape.RECTANGULAR), stats.uniform(-SQRT3, 2 * SQRT3).ppf),
        (part("x", 1.0, Shape.TRIANGULAR), stats.triang(0.5, -math.sqrt(6.0), 2 * math.sqrt(6.0)).ppf),
        (part("x", 1.0, Shape.ARCSINE), stats.arcsine(-math.sqrt(2.0), 2 * math.sqrt(2.0)).ppf),
    ],
)
def test_one_part_alone_keeps_its_distribution(
    component: Component, exact: Callable[[NDArray[np.float64]], NDArray[np.float64]]
) -> None:
    """A sum of one part has the quantiles of the part."""
    quantiles = sum_quantiles(0.0, [component])

    # within a cell the probability is taken as even; an arcsine rises to its rim as a root does
    within = 1.5 / CELLS if component.shape is Shape.ARCSINE else 4 * HAIR
    assert quantiles[2:-2] == pytest.approx(exact(LEVELS)[2:-2], abs=within * abs(component.contribution))


@pytest.mark.independent("numerical integration of the closed form of a rectangle and a normal variable")
@pytest.mark.parametrize("normal", [0.05, 0.5, 1.0])
def test_rectangle_and_normal(normal: float) -> None:
    """The probability below each end is the one that integrating the normal distribution over the rectangle gives."""
    for end, level in zip(ends([part("r", 1.0), part("n", normal, Shape.NORMAL)]), (0.025, 0.975), strict=True):
        area, _ = integrate.quad(
            lambda x, end=end: stats.norm.cdf((end - x) / normal) / (2 * SQRT3), -SQRT3, SQRT3, epsabs=1e-9, limit=200
        )
        assert area == pytest.approx(level, abs=2 * HAIR)


@pytest.mark.hand("a joint t: normal numerators over one denominator add up to one t")
def test_a_group_is_one_t() -> None:
    """Inputs estimated together share their denominator: their sum is one t of the size of both."""
    a, b = correlated([0.0, 0.0], [3.0, 4.0], [[1.0, 0.0], [0.0, 1.0]], ids=["a", "b"], units=["V", "V"], dof=4.0)
    together = ends([*a.components, *b.components])

    assert together[1] == pytest.approx(5.0 * stats.t(df=4.0).ppf(0.975), rel=4 * HAIR)
    far, apart = (
        sum_quantiles(0.0, [part(name, size, Shape.NORMAL, 4.0, group) for name, size in (("a", 3.0), ("b", 4.0))])[-2]
        for group in ("both", "")
    )
    assert far == pytest.approx(5.0 * stats.t(df=4.0).ppf(LEVELS[-2]), rel=4 * HAIR)
    assert apart < 0.99 * far


# --- printed examples -------------------------------------------------------------------------------------------------


@pytest.mark.published("JCGM 101:2008 9.2.2 to 9.2.4, Tables 2 to 4 (the first two read in the PSL calculator's tests)")
@pytest.mark.parametrize(
    ("shape", "last", "half", "digit"),
    [(Shape.NORMAL, 1.0, 3.92, 0.01), (Shape.RECTANGULAR, 1.0, 3.88, 0.01), (Shape.RECTANGULAR, 10.0, 17.0, 0.1)],
)
def test_sums_of_four(shape: Shape, last: float, half: float, digit: float) -> None:
    """Four normal inputs, four rectangular ones, and three with one ten times as wide have the printed intervals."""
    parts = [part("a", 1.0, shape), part("b", 1.0, shape), part("c", 1.0, shape), part("d", last, shape)]

    assert ends(parts) == pytest.approx((-half, half), abs=0.5 * digit)


# --- draws ------------------------------------------------------------------------------------------------------------

shapes = st.sampled_from(Shape)
sums = st.lists(
    st.tuples(st.floats(0.01, 10.0), shapes, st.sampled_from([3.0, 4.5, 8.0, 99.0, math.inf])), min_size=1, max_size=6
)


def parts_of(rows: list[tuple[float, Shape, float]]) -> list[Component]:
    """The components of one example."""
    return [part(f"p{place}", size, shape, dof) for place, (size, shape, dof) in enumerate(rows)]


@pytest.mark.independent("draws from the same parts")
@pytest.mark.parametrize(
    "rows",
    [
        [(1.0, Shape.RECTANGULAR, 8.0), (0.3, Shape.NORMAL, 5.0), (0.2, Shape.TRIANGULAR, 2.0)],
        [(1.0, Shape.ARCSINE, math.inf), (0.4, Shape.ARCSINE, 3.0), (0.1, Shape.NORMAL, math.inf)],
        [(1.0, Shape.RECTANGULAR, math.inf), (1.0, Shape.NORMAL, 3.0), (0.01, Shape.RECTANGULAR, 1.0)],
    ],
)
def test_draws_agree(rows: list[tuple[float, Shape, float]]) -> None:
    """The part of the draws below each quantile is its level, to four standard errors."""
    count = 100_000
    parts = parts_of(rows)
    drawn = np.sort(draw({"x": Input(value=0.0, components=tuple(parts))}, count, seed=7)["x"])
    below = np.searchsorted(drawn, sum_quantiles(0.0, parts)[1:-1:10]) / count

    levels = LEVELS[1:-1:10]
    assert np.abs(below - levels).max() <= 4.0 * np.sqrt(levels * (1.0 - levels) / count).max()


@pytest.mark.independent("draws from the quantiles, which a lopsided input was given by")
def test_a_part_known_by_its_quantiles() -> None:
    """A lopsided part enters by its quantiles, with its sign, and its own spread sets the grid."""
    lopsided = stats.expon.ppf(np.linspace(0.0, 0.9999, QUANTILES)) - 1.0
    rising = tuple(float(one) for one in np.sort(-2.0 * lopsided))
    quantiles = sum_quantiles(5.0, [part("r", 0.5)], [Described(quantiles=rising)])

    random = np.random.default_rng(3)
    levels = np.linspace(0.0, 1.0, QUANTILES)
    drawn = 5.0 + np.interp(random.random(200_000), levels, rising) + 0.5 * SQRT3 * (2.0 * random.random(200_000) - 1.0)
    below = np.searchsorted(np.sort(drawn), quantiles[1:-1]) / drawn.size
    assert np.abs(below - levels[1:-1]).max() <= 4.0 * 0.5 / math.sqrt(drawn.size)


@pytest.mark.independent("the same through the identity, once with and once without what is known by quantiles")
def test_an_input_of_known_distribution_is_convolved_on() -> None:
    """What was convolved once enters the next sum as it is, not as a normal part of its u."""
    first = with_true_interval(assemble(0.0, "V", [part("a", 1.0), part("b", 0.5)]))
    assert first.quantiles
    both = propagate(
        lambda x, y: 3.0 - 2.0 * x + y, {"x": first, "y": rectangular(0.0, SQRT3 * 0.25, "V", id="c")}, "V"
    )
    at_once = sum_quantiles(3.0, [part("a", 2.0), part("b", 1.0), part("c", 0.25)])

    # 401 quantiles tell a distribution a little less exactly than its parts do
    assert both.u is not None
    assert (both.low, both.high) == pytest.approx((at_once[LOW], at_once[HIGH]), abs=1e-3 * both.u)


# --- what must hold for any sum ---------------------------------------------------------------------------------------


@given(rows=sums, value=st.floats(-1e3, 1e3), factor=st.floats(-1e3, 1e3).filter(lambda x: abs(x) > 1e-3))
def test_quantiles_rise_and_scale(rows: list[tuple[float, Shape, float]], value: float, factor: float) -> None:
    """Quantiles never fall, lie evenly about the estimate, and go with the unit."""
    parts = parts_of(rows)
    quantiles = sum_quantiles(value, parts)
    scaled = sum_quantiles(
        factor * value, [part(one.id, factor * one.contribution, one.shape, one.dof) for one in parts]
    )

    size = math.sqrt(math.fsum(one.contribution**2 for one in parts))
    assert (np.diff(quantiles) >= 0.0).all()
    assert quantiles[:200] - value == pytest.approx(value - quantiles[:200:-1], abs=1e-2 * size)
    inner = slice(1, -1)
    assert scaled[inner] == pytest.approx(
        factor * (quantiles if factor > 0.0 else quantiles[::-1])[inner], abs=1e-3 * abs(factor) * size
    )


@given(rows=sums)
def test_a_wide_interval_is_no_wider_than_its_limits(rows: list[tuple[float, Shape, float]]) -> None:
    """A sum of parts of exact limits stays within the sum of these."""
    parts = [part(one.id, one.contribution, Shape.RECTANGULAR) for one in parts_of(rows)]
    quantiles = sum_quantiles(0.0, parts)

    size = math.sqrt(math.fsum(one.contribution**2 for one in parts))
    rim = SQRT3 * math.fsum(one.contribution for one in parts) + len(parts) * size / CELLS
    assert -rim <= quantiles[0] <= quantiles[-1] <= rim


@pytest.mark.hand("JCGM 100:2008 (G.3): a half-width known to a quarter has 8 degrees of freedom")
def test_doubt_of_limits() -> None:
    """A half-width may be wrong by the part that its degrees of freedom say; by none where they have no end."""
    assert doubt_of_limits(8.0) == pytest.approx(0.25)
    assert doubt_of_limits(math.inf) == 0.0
    widest = sum_quantiles(0.0, [part("x", 1.0, dof=8.0)])[-1]
    assert SQRT3 < widest <= 1.25 * SQRT3 + 1.0 / CELLS


@pytest.mark.hand("two readings leave one degree of freedom, a variance without end")
def test_few_degrees_of_freedom_are_left_to_draws() -> None:
    """A part whose tails fill any grid is drawn, and the result says so."""
    parts = [part("a", 1.0), part("b", 0.05, Shape.NORMAL, 1.0)]
    drawn = with_true_interval(assemble(0.0, "V", parts))

    assert not convolvable(parts)
    assert "Monte Carlo draws" in drawn.why


@pytest.mark.hand("half a draw in 200 000")
def test_the_outermost_quantiles_are_finite() -> None:
    """A part without end has outermost quantiles where its tail is nearly spent, not at infinity."""
    quantiles = sum_quantiles(0.0, [part("n", 1.0, Shape.NORMAL)])

    assert quantiles[-1] == pytest.approx(stats.norm.ppf(1.0 - OUTERMOST), abs=0.1)


@pytest.mark.hand("the tolerance of JCGM 101:2008 clause 8")
def test_a_sum_that_normal_parts_tell_as_well_stays_as_it_is() -> None:
    """Where both intervals agree to half a unit of the second digit of u, the linear sum stands with its budget."""
    four = assemble(0.0, "V", [part(name, 1.0) for name in "abcd"])
    two = assemble(0.0, "V", [part(name, 1.0) for name in "ab"])

    assert with_true_interval(four) is four
    found = with_true_interval(two)
    assert isinstance(found, Quantity)
    assert (found.u, found.components) == (two.u, two.components)


@pytest.mark.hand("limits known to a half of themselves still end somewhere")
def test_limits_of_few_degrees_of_freedom_are_convolved() -> None:
    """Few degrees of freedom of a part with limits leave no tails, so that it needs no draws."""
    parts = [part("a", 1.0, dof=2.0), part("b", 0.1, Shape.NORMAL)]

    assert convolvable(parts)
    assert "convolved" in with_true_interval(assemble(0.0, "V", parts)).why


@pytest.mark.independent("draws: three readings beside limits, a t without a variance")
def test_three_readings_beside_limits() -> None:
    """A t of two degrees of freedom is convolved; u and degrees of freedom stay those of the linear sum."""
    parts = [part("limits", 1.0), part("readings", 0.2, Shape.NORMAL, 2.0)]
    plain = assemble(0.0, "V", parts)
    found = with_true_interval(plain)

    drawn = np.sort(draw({"x": Input(value=0.0, components=tuple(parts))}, 200_000, seed=5)["x"])
    assert found.low is not None
    assert found.high is not None
    below = np.searchsorted(drawn, [found.low, found.high]) / drawn.size
    assert below == pytest.approx([0.025, 0.975], abs=4 * math.sqrt(0.025 * 0.975 / drawn.size))
    assert (found.value, found.u, found.dof) == (plain.value, plain.u, plain.dof)

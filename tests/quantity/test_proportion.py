"""The share of a population: the exact interval of a count, as published and by the equations that define it."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange
from coldpin.quantity.proportion import share_interval


@pytest.mark.published("scipy, BinomTestResult.proportion_ci: 7 of 50 at 95 %, printed to sixteen digits")
def test_the_interval_is_the_printed_one() -> None:
    """To the digits that are printed."""
    assert share_interval(7, of=50) == pytest.approx((0.05819170033997342, 0.26739600249700846), rel=1e-12)


@pytest.mark.hand
@pytest.mark.parametrize("of", [1, 2, 3, 10])
def test_none_and_all_have_a_closed_form(of: int) -> None:
    """0 of n leave up to 1 − (α/2)^(1/n) open, n of n from (α/2)^(1/n) on."""
    end = 0.025 ** (1.0 / of)

    assert share_interval(0, of=of) == pytest.approx((0.0, 1.0 - end), rel=1e-12)
    assert share_interval(of, of=of) == pytest.approx((end, 1.0), rel=1e-12)


counts = st.integers(1, 40).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of)))


def at_most(count: int, of: int, share: float) -> float:
    """The chance of so many or fewer, summed term by term."""
    return math.fsum(math.comb(of, k) * share**k * (1.0 - share) ** (of - k) for k in range(count + 1))


@pytest.mark.independent("binomial sums term by term, the equations of the NIST/SEMATECH e-Handbook 7.2.4.2")
@given(counts, st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_the_ends_solve_the_equations(counted: tuple[int, int], coverage: float) -> None:
    """At the upper end so few have the chance α/2, at the lower end so many."""
    count, of = counted
    low, high = share_interval(count, of=of, coverage=coverage)

    assert 0.0 <= low <= count / of <= high <= 1.0
    if count < of:
        assert at_most(count, of, high) == pytest.approx(0.5 * (1.0 - coverage), rel=1e-9)
    if count > 0:
        assert 1.0 - at_most(count - 1, of, low) == pytest.approx(0.5 * (1.0 - coverage), rel=1e-7)


@pytest.mark.parametrize(
    ("count", "of", "coverage"), [(0, 0, 0.95), (-1, 2, 0.95), (3, 2, 0.95), (1, 2, 1.0), (1, 2, 0.0)]
)
def test_what_is_no_count_is_refused(count: int, of: int, coverage: float) -> None:
    """With what is allowed."""
    with pytest.raises(OutsideRange, match="must"):
        share_interval(count, of=of, coverage=coverage)

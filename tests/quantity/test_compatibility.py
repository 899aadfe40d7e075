"""Whether two results agree within their uncertainty."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.errors import UnitError
from coldpin.quantity import Quantity, from_readings
from coldpin.quantity.compatibility import normalised_error


@pytest.mark.hand
def test_the_difference_is_divided_by_its_expanded_uncertainty() -> None:
    """U of 0.3 and 0.4 make 0.5; a difference of 1 is twice that."""
    one, other = (Quantity(value, half / 1.959963984540054, "V") for value, half in ((10.0, 0.3), (11.0, 0.4)))

    assert normalised_error(one, other) == pytest.approx(2.0, rel=1e-9)


def test_few_readings_make_a_difference_count_less() -> None:
    """U follows the degrees of freedom."""
    few, many = from_readings([9.9, 10.1, 10.0], "V"), Quantity(10.0, 0.058, "V")
    other = Quantity(10.3, 0.01, "V")

    one, two = normalised_error(few, other), normalised_error(many, other)
    assert one is not None
    assert two is not None
    assert one < 0.6 * two


def test_what_is_not_known_is_not_compared() -> None:
    """No uncertainty, no answer; two exact values are alike or they are not."""
    exact, bare = Quantity(5.0, 0.0, "V"), Quantity(5.0, None, "V", why="no statement")

    assert normalised_error(bare, exact) is None
    assert normalised_error(exact, exact) == 0.0
    assert normalised_error(exact, Quantity(6.0, 0.0, "V")) == math.inf
    assert normalised_error(Quantity(math.nan, 0.1, "V"), exact) is None
    with pytest.raises(UnitError, match="convert"):
        normalised_error(exact, Quantity(5.0, 0.1, "A"))


values = st.floats(-1e6, 1e6)
spreads = st.floats(1e-3, 1e3)


@given(values, spreads, values, spreads, st.floats(1.0, 5.0))
def test_neither_order_nor_more_uncertainty_makes_a_difference(
    one: float, u: float, other: float, v: float, wider: float
) -> None:
    """It is symmetric, and falls where an uncertainty grows."""
    first, second = Quantity(one, u, "V"), Quantity(other, v, "V")
    between = normalised_error(first, second)

    assert between == normalised_error(second, first)
    assert between is not None
    assert (normalised_error(Quantity(one, u * wider, "V"), second) or 0.0) <= between * (1.0 + 1e-12)

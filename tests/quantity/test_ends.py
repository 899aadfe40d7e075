"""The ends of an interval, found without putting all draws in order, are those of the whole distribution."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from coldpin.quantity import Component, Quantity, normal, propagate, rectangular
from coldpin.quantity import monte_carlo as simulation


@given(st.integers(1000, 4000), st.integers(0, 2**32 - 1), st.sampled_from([0, 1, 3]))
def test_ends_are_those_of_the_summary(count: int, seed: int, digits: int) -> None:
    """To the last bit, also where many draws are equal."""
    values = np.round(np.random.default_rng(seed).standard_normal(count), digits)
    plain = Quantity(0.0, 1.0, "1", components=(Component(id="a", label="a", contribution=1.0),))

    found, whole = simulation.ends_of(values), simulation.summarise(values, values, plain)

    assert (found.low, found.high) == (whole.low, whole.high)
    assert (found.error_low, found.error_high) == (whole.error_low, whole.error_high)


def test_draws_that_are_kept_change_nothing() -> None:
    """A result is the same first, after others that share its components, and after the kept draws were dropped."""
    inputs = {"x": normal(1.0, 0.2, "V", id="meter", dof=5.0), "y": rectangular(2.0, 0.5, "V", id="scale")}

    def asked() -> Quantity:
        return propagate(lambda x, y: x * y**2, inputs, "V3", monte_carlo=True)

    first = asked()
    propagate(lambda x: np.exp(x), {"x": inputs["x"]}, "1", monte_carlo=True)
    again = asked()
    simulation._standard.cache_clear()
    simulation._denominators.cache_clear()

    assert first == again == asked()
    assert first.quantiles == again.quantiles

"""Draws are kept for the next result that shares a component, and that changes nothing."""

from __future__ import annotations

import numpy as np

from coldpin.quantity import Quantity, normal, propagate, rectangular
from coldpin.quantity import monte_carlo as simulation


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

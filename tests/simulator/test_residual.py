"""The virtual safeguard: its times and its faults, each shown against the rows of the tables."""

from __future__ import annotations

import math

import numpy as np
import pytest

from coldpin.checks.detection import SOUND
from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator.brackwater_residual import read_residual_test, safeguard_of
from coldpin.simulator.brackwater_specimens import PELLWICK_20, SKERROW_16
from coldpin.simulator.residual import (
    SAFEGUARD_FAULTS,
    VirtualSafeguard,
    draw_safeguard,
    safeguard_fault,
    trip_current,
    trip_time,
)
from tools.detection import outcomes_of

CHECKS = ("residual-alternating", "residual-pulsating", "residual-smooth")
FOUND = {
    SOUND: ("within", "within", "within"),
    "residual current dead": ("beyond", "beyond", "beyond"),
    "residual current late": ("beyond", "beyond", "beyond"),
    "residual current alternating only": ("within", "beyond", "beyond"),
    "residual current of one polarity": ("within", "beyond", "beyond"),
    "smooth residual current not seen": ("within", "within", "beyond"),
    "residual threshold too high": ("beyond", "within", "within"),
    "residual current trips at half": ("beyond", "within", "within"),
}


@pytest.mark.independent("faults built into the virtual safeguard")
@pytest.mark.parametrize("fault", [fault for fault in FOUND if fault != SOUND])
def test_each_fault_is_found_where_it_is_and_nowhere_else(fault: str) -> None:
    """From the entries of a virtual trial, by the checks."""
    said = outcomes_of(fault, 0, 7)

    assert tuple(said[name] for name in CHECKS) == FOUND[fault]


def test_every_fault_has_its_expectation() -> None:
    """None is left out of the table above."""
    assert set(FOUND) == {SOUND, *SAFEGUARD_FAULTS}


@pytest.mark.hand("6 ms and 12 ms at twice the threshold, then 8 ms of the contacts")
def test_its_time_is_the_sum_of_its_parts() -> None:
    """No time below the fastest, none at all below the threshold."""
    guard, rng = VirtualSafeguard(spread=0.0), np.random.default_rng(1)

    assert trip_time(guard, 44.0, "alternating", "0°", rng=rng) == pytest.approx(0.026)
    assert trip_time(guard, 22.0, "alternating", "0°", rng=rng) == math.inf
    assert trip_time(guard, 1e6, "alternating", "180°", rng=rng) == pytest.approx(0.014, abs=1e-5)


@pytest.mark.hand("a slower rise acts nearer to the threshold; steps hold it back to the last one reached")
def test_a_rise_acts_the_nearer_the_slower_it_is() -> None:
    """Monotone in the rate, and never below the threshold."""
    guard = VirtualSafeguard(spread=0.0)

    def at(rate: float, dwell: float = 0.0) -> float:
        rng = np.random.default_rng(1)
        return trip_current(guard, "smooth", "positive", start=2.0, stop=30.0, rate=rate, dwell=dwell, rng=rng)

    slow, fast = at(0.05), at(5.0)
    assert 4.5 < slow < 5.0 < fast
    assert at(0.1, 5.0) == pytest.approx(round(at(0.1, 5.0) / 0.5) * 0.5, abs=0.02)
    deaf = safeguard_fault("smooth residual current not seen").change(guard)
    assert (
        trip_current(deaf, "smooth", "positive", start=2.0, stop=30.0, rate=1.0, rng=np.random.default_rng(1))
        == math.inf
    )


def test_what_is_not_there_is_refused() -> None:
    """An unknown fault or word, a specimen without a safeguard, a time below zero."""
    with pytest.raises(UnknownName, match="residual current late"):
        safeguard_fault("tired")
    with pytest.raises(UnknownName, match="safeguard"):
        safeguard_of(PELLWICK_20)
    with pytest.raises(UnknownName, match="boatyard"):
        read_residual_test(SKERROW_16, "earth resistance", {})
    with pytest.raises(OutsideRange, match="cannot be negative"):
        VirtualSafeguard(inertia=-1.0)
    assert 3.0 < draw_safeguard(np.random.default_rng(1)).smooth[0] < 6.0

"""The resistor box: its resistances and the power it bears."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import OutsideRange
from coldpin.protection.residual_load import half_waves, residual_load
from coldpin.standards.book import load_book

BOOK = load_book()


@pytest.mark.hand("230 V over 30 mA is 7.67 kΩ, and 230 V times 30 mA 6.9 W")
def test_the_box_for_30_ma_at_230_v() -> None:
    """The largest resistance drives the current itself; the smallest, a tenth more current, dissipates a tenth more."""
    load = residual_load(BOOK, current_ma=30.0, voltage=230.0)

    assert load.most_ohm == pytest.approx(7667.0, abs=0.5)
    assert load.power_w == pytest.approx(1.1 * 6.9, rel=1e-3)
    assert load.rated_w == pytest.approx(2.0 * load.power_w)
    assert load.least_ohm == pytest.approx(load.most_ohm / 1.1)


@pytest.mark.hand("15 mA at 230 V is 15.33 kΩ; up to a tenth less may flow")
def test_the_box_that_must_not_trip_errs_to_less_current() -> None:
    """Its smallest resistance drives the current itself."""
    load = residual_load(BOOK, current_ma=15.0, voltage=230.0, hold=True)

    assert load.least_ohm == pytest.approx(15_333.3, abs=0.1)
    assert load.most_ohm == pytest.approx(15_333.3 / 0.9, abs=0.1)


@pytest.mark.parametrize(("current", "voltage"), [(0.0, 230.0), (30.0, 0.0), (-1.0, 230.0)])
def test_a_box_for_nothing_is_refused(current: float, voltage: float) -> None:
    """Both must be above zero."""
    with pytest.raises(OutsideRange, match="above zero"):
        residual_load(BOOK, current_ma=current, voltage=voltage)


@pytest.mark.independent("mean of the squares of a sampled sine that is let through from an angle to 180°")
@pytest.mark.parametrize("angle", [0.0, 60.0, 90.0, 135.0, 180.0])
def test_half_waves_have_the_root_of_their_mean_square(angle: float) -> None:
    """Over a whole period, beside the whole sine's."""
    turns = (np.arange(36_000) + 0.5) / 100.0
    let_through = np.where((turns > angle) & (turns < 180.0), np.sin(np.radians(turns)), 0.0)

    assert half_waves(angle) == pytest.approx(np.sqrt(2.0 * np.mean(let_through**2)), abs=1e-6)


def test_half_waves_cut_nowhere_are_refused() -> None:
    """An angle beyond the half wave is none."""
    with pytest.raises(OutsideRange, match="0° to 180°"):
        half_waves(190.0)

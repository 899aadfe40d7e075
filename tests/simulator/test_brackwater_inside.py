"""The inside of the boatyard's specimens: readings within the limits they state, and currents as by hand."""

from __future__ import annotations

import math

import pytest

from coldpin.errors import UnknownName
from coldpin.quantity import parse_quantity
from coldpin.simulator.brackwater_inside import INSIDES, inside_of, look_inside, read_inside, touch_current
from coldpin.simulator.brackwater_specimens import DUNMARR_32, PELLWICK_20, SKERROW_16, VirtualSpecimen


@pytest.mark.hand("2 pi 50 Hz * 2.21 nF * 231.4 V = 0.1607 mA; a person of 2 kΩ changes a millionth of it")
def test_the_touch_current_is_that_of_the_larger_capacitor() -> None:
    """With the earth open the pole that is live drives."""
    assert 1e3 * touch_current(SKERROW_16, "earth pin") == pytest.approx(0.1607, abs=1e-4)
    assert 1e6 * touch_current(SKERROW_16, "housing") == pytest.approx(2e6 * math.pi * 50.0 * 41e-12 * 231.4, rel=1e-3)


@pytest.mark.parametrize("specimen", [SKERROW_16, PELLWICK_20, DUNMARR_32], ids=lambda one: one.unit.name)
def test_readings_hold_the_truth_within_their_limits(specimen: VirtualSpecimen) -> None:
    """A written limit is never narrower than the meter was wrong."""
    inside = inside_of(specimen)
    for word, truth, unit in (
        ("capacitance between the plug's pins", inside.across, "F"),
        ("resistance between the plug's pins", inside.bleeder, "Ω"),
        ("cord displacement", 1e3 * inside.slip, "mm"),
    ):
        for text in read_inside(specimen, word, {}, repeats=3):
            shown = parse_quantity(text, unit)
            assert shown.low is not None
            assert shown.high is not None
            half = 0.5 * (shown.high - shown.low) / 0.95
            assert abs(shown.value - truth) <= half * 1.001


def test_who_looks_sees_what_is_there() -> None:
    """A fuse in one, a knot in another."""
    assert look_inside(SKERROW_16, "part inside", {"role": "fuse"}) == "yes"
    assert look_inside(PELLWICK_20, "part inside", {"role": "fuse"}) == "no"
    assert look_inside(PELLWICK_20, "construction", {"of": "cord anchorage"}) == "no"
    assert len(read_inside(SKERROW_16, "resistors from mains to touch", {})) == len(INSIDES["Skerrow 16"].chain)


def test_what_nobody_reads_is_refused() -> None:
    """The message lists what is read."""
    with pytest.raises(UnknownName, match="cord displacement"):
        read_inside(SKERROW_16, "taste", {})
    with pytest.raises(UnknownName, match="construction"):
        look_inside(SKERROW_16, "smell", {})

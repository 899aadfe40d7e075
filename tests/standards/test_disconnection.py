"""Disconnection: loops with and without a factor, time classes, and the earth path of a residual-current device."""

from __future__ import annotations

import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.standards.book import load_book
from coldpin.standards.disconnection import disconnection_time, largest_loop, residual_loop
from coldpin.standards.protective_device import find_device, instantaneous_band

BOOK = load_book()
ZS = "BS 7671:2018 table 41.3 with Cmin 0.95, two public copies; standing: read"


@pytest.mark.published(ZS)
@pytest.mark.parametrize(
    ("device", "ohm"),
    [
        ("B6", 7.28),
        ("B10", 4.37),
        ("B16", 2.73),
        ("B20", 2.19),
        ("B25", 1.75),
        ("B32", 1.37),
        ("C6", 3.64),
        ("C10", 2.19),
        ("C16", 1.37),
        ("C20", 1.09),
        ("C25", 0.87),
        ("C32", 0.68),
    ],
)
def test_printed_loops_follow_from_band_and_factor(device: str, ohm: float) -> None:
    """0.95 times 230 V over the upper end of the band, to within one unit of the last printed digit."""
    limits = largest_loop(BOOK, find_device(device), within=0.4)
    band = instantaneous_band(BOOK, find_device(device))
    assert band is not None
    assert band.maximum is not None

    assert limits.with_factor.maximum == ohm
    assert 0.95 * 230.0 / (band.maximum * find_device(device).rating_a) == pytest.approx(ohm, abs=0.01)


@pytest.mark.published("230 V over 5 In and 10 In, continental practice; 1.44 Ω for B32 in older British books; read")
@pytest.mark.parametrize(
    ("device", "ohm"),
    [("B16", 2.875), ("B20", 2.3), ("B32", 1.4375), ("C16", 1.4375), ("C20", 1.15), ("C32", 0.719), ("C25", 0.92)],
)
def test_loops_without_the_factor_are_kept_beside(device: str, ohm: float) -> None:
    """Both texts stand, from a row or by the formula."""
    limits = largest_loop(BOOK, find_device(device), within=0.4)

    assert limits.without_factor.maximum == pytest.approx(ohm)
    assert limits.with_factor.maximum is not None
    assert limits.with_factor.maximum < (limits.without_factor.maximum or 0.0)


@pytest.mark.published("BS 7671 tables 41.2 to 41.4, plug fuses; standing: read")
@pytest.mark.parametrize(("device", "ohm"), [("BS 1362 3 A", 15.6), ("BS 1362 13 A", 2.3)])
def test_loops_of_plug_fuses(device: str, ohm: float) -> None:
    """A fuse has its own row, for 0.4 s and so for longer too, and none for less."""
    for within in (0.4, 5.0):
        assert largest_loop(BOOK, find_device(device), within=within).with_factor.maximum == ohm
    with pytest.raises(OutsideRange, match=r"no loop table known to us has a BS 1362 .* for 0\.2 s"):
        largest_loop(BOOK, find_device(device), within=0.2)


def test_a_rating_that_no_row_has_follows_the_formula() -> None:
    """A B13 by the formula, and told as such."""
    limits = largest_loop(BOOK, find_device("B13"), within=5.0)

    assert limits.with_factor.maximum == pytest.approx(0.95 * 230.0 / 65.0)
    assert "the formula of the tables" in limits.with_factor.place


@pytest.mark.published("IEC 60364-4-41 table 41.1: 0.4 s and 5 s (TN), 0.2 s (TT) read, 1 s (TT) from memory")
def test_time_classes() -> None:
    """By circuit and by how the earth reaches the source."""
    times = {
        (s, d): disconnection_time(BOOK, find_device(d), system=s).maximum for s in ("TN", "TT") for d in ("B32", "B40")
    }

    assert times == {("TN", "B32"): 0.4, ("TN", "B40"): 5.0, ("TT", "B32"): 0.2, ("TT", "B40"): 1.0}
    with pytest.raises(UnknownName, match="unknown earthing system 'IT'"):
        disconnection_time(BOOK, find_device("B16"), system="IT")


@pytest.mark.published("50 V over 30 mA is 1667 Ω, IEC 60364-4-41 411.5.3 as restated; standing: read")
def test_the_largest_earth_path_of_a_residual_current_device() -> None:
    """The printed figure for 30 mA, the quotient for others."""
    assert residual_loop(BOOK, 0.03).maximum == 1667.0
    assert residual_loop(BOOK, 0.1).maximum == pytest.approx(500.0)
    with pytest.raises(OutsideRange, match="as 30 mA"):
        residual_loop(BOOK, 0.0)

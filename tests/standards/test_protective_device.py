"""Devices before a socket: names, bands, conventional currents, loops with and without a factor, let-through."""

from __future__ import annotations

import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.fault import ProtectiveDevice
from coldpin.standards.book import load_book
from coldpin.standards.protective_device import (
    conventional_currents,
    device_before,
    disconnection_time,
    find_device,
    instantaneous_band,
    largest_let_through,
    largest_loop,
    residual_loop,
)

BOOK = load_book()
ZS = "BS 7671:2018 table 41.3 with Cmin 0.95, two public copies; standing: read"


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("B16", "B16"),
        ("b 16 A", "B16"),
        ("C-20", "C20"),
        ("16 A C", "C16"),
        ("gG 16", "gG 16 A"),
        ("16A gL", "gG 16 A"),
        ("BS1362 13 A", "BS 1362 13 A"),
        ("13 A BS 1362", "BS 1362 13 A"),
        ("D6", "D6"),
    ],
)
def test_a_device_is_found_as_people_write_it(text: str, name: str) -> None:
    """Kind and rated current in either order."""
    assert find_device(text).name == name


@pytest.mark.parametrize("text", ["", "16", "A16", "fuse", "B"])
def test_what_is_no_device_lists_the_kinds(text: str) -> None:
    """One message with the kinds known and how to write one."""
    with pytest.raises(UnknownName, match="known kinds: B, C, D, gG, BS 1362"):
        find_device(text)
    with pytest.raises(OutsideRange, match="must be above 0 A"):
        find_device("B0")


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


@pytest.mark.published("EN 60898-1 conventional currents 1.13 and 1.45 (read for B); BS 1362: 20 A (read); gG: memory")
@pytest.mark.parametrize(
    ("device", "carries", "acts"),
    [
        ("B16", 18.08, 23.2),
        ("C16", 18.08, 23.2),
        ("B32", 36.16, 46.4),
        ("gG 16 A", 20.0, 25.6),
        ("BS 1362 13 A", 20.0, None),
    ],
)
def test_what_a_device_carries_for_an_hour(device: str, carries: float, acts: float | None) -> None:
    """A B16 may carry 18 A for ever and 23 A for the better part of an hour."""
    currents = conventional_currents(BOOK, find_device(device))

    assert currents is not None
    assert currents.carries == pytest.approx(carries)
    assert currents.acts == (None if acts is None else pytest.approx(acts))


def test_of_other_plug_fuses_nothing_is_known() -> None:
    """The figure read is of the fuse of 13 A alone."""
    assert conventional_currents(BOOK, find_device("BS 1362 3 A")) is None


@pytest.mark.published(
    "EN 60898-1 annex ZA, energy limiting class 3 (memory; the rows for 10 kA read, rating not stated)"
)
@pytest.mark.parametrize(
    ("device", "capacity", "let_through", "standing"),
    [
        ("B16", 3000.0, 15000.0, "memory"),
        ("B16", 6000.0, 35000.0, "memory"),
        ("B16", 10000.0, 70000.0, "read"),
        ("C16", 6000.0, 42000.0, "memory"),
        ("B20", 6000.0, 45000.0, "memory"),
        ("C32", 6000.0, 55000.0, "memory"),
    ],
)
def test_let_through_of_class_3(device: str, capacity: float, let_through: float, standing: str) -> None:
    """By band, rating and short-circuit capacity, with its standing."""
    limit = largest_let_through(BOOK, find_device(device), capacity=capacity)

    assert limit is not None
    assert (limit.maximum, limit.standing.value) == (let_through, standing)


def test_let_through_that_no_text_has() -> None:
    """A larger breaker, an odd capacity, a fuse: nothing is made up."""
    assert largest_let_through(BOOK, find_device("B40"), capacity=6000.0) is None
    assert largest_let_through(BOOK, find_device("B16"), capacity=5000.0) is None
    assert largest_let_through(BOOK, find_device("gG 16"), capacity=6000.0) is None
    class_2 = largest_let_through(BOOK, find_device("B16"), capacity=10000.0, energy_class=2)
    assert class_2 is not None
    assert class_2.maximum == 240000.0


@pytest.mark.published("IEC 60364-4-41 table 41.1: 0.4 s and 5 s (TN), 0.2 s (TT) read, 1 s (TT) from memory")
def test_time_classes() -> None:
    """By circuit and by how the earth reaches the source."""
    times = {
        (s, d): disconnection_time(BOOK, find_device(d), system=s).maximum for s in ("TN", "TT") for d in ("B32", "B40")
    }

    assert times == {("TN", "B32"): 0.4, ("TN", "B40"): 5.0, ("TT", "B32"): 0.2, ("TT", "B40"): 1.0}
    with pytest.raises(UnknownName, match="unknown earthing system 'IT'"):
        disconnection_time(BOOK, find_device("B16"), system="IT")


@pytest.mark.practice
def test_the_device_that_may_stand_before_a_socket() -> None:
    """A circuit-breaker as large as the plug, or the fuse in it."""
    assert device_before(BOOK, "CEE 7/7") == ProtectiveDevice(kind="C", rating_a=16.0)
    assert device_before(BOOK, "CEE 32 A blue").name == "C32"
    assert device_before(BOOK, "BS 1363").name == "BS 1362 13 A"


@pytest.mark.published("50 V over 30 mA is 1667 Ω, IEC 60364-4-41 411.5.3 as restated; standing: read")
def test_the_largest_earth_path_of_a_residual_current_device() -> None:
    """The printed figure for 30 mA, the quotient for others."""
    assert residual_loop(BOOK, 0.03).maximum == 1667.0
    assert residual_loop(BOOK, 0.1).maximum == pytest.approx(500.0)
    with pytest.raises(OutsideRange, match="as 30 mA"):
        residual_loop(BOOK, 0.0)

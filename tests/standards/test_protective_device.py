"""Devices before a socket: names, conventional currents, let-through, and which one stands there unseen."""

from __future__ import annotations

import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.records.fault import ProtectiveDevice
from coldpin.standards.book import load_book
from coldpin.standards.protective_device import (
    conventional_currents,
    device_before,
    find_device,
    largest_let_through,
)

BOOK = load_book()


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


@pytest.mark.published("EN 60898-1 conventional currents 1.13 and 1.45 (read for B); BS 1362: 20 A (read); gG: memory")
@pytest.mark.parametrize(
    ("device", "carries", "acts"),
    [
        ("B16", 18.08, 23.2),
        ("C16", 18.08, 23.2),
        ("B32", 36.16, 46.4),
        ("gG 16 A", 20.0, 25.6),
        ("gG 10 A", 15.0, 19.0),
        ("gG 4 A", 6.0, 8.4),
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


@pytest.mark.practice
def test_the_device_that_may_stand_before_a_socket() -> None:
    """A circuit-breaker as large as the plug, or the fuse in it."""
    assert device_before(BOOK, "CEE 7/7") == ProtectiveDevice(kind="C", rating_a=16.0)
    assert device_before(BOOK, "CEE 32 A blue").name == "C32"
    assert device_before(BOOK, "BS 1363").name == "BS 1362 13 A"

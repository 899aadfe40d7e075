"""What is asked of residual-current devices: the printed rows, the inverse curve, and what people write."""

from __future__ import annotations

import pytest

from coldpin.errors import InputError, OutsideRange, UnknownName
from coldpin.records.trip_test import DeviceType, ResidualKind, RowRole
from coldpin.standards.book import load_book
from coldpin.standards.residual_current import (
    find_residual_device,
    find_type,
    longest_time,
    tolerated_direct,
    trip_rows,
)

BOOK = load_book()


def rows(form: ResidualKind, **said: str | bool) -> dict[str, object]:
    """Current [mA] and longest time [s] of each row at which a device must act."""
    device = find_residual_device(**said)  # type: ignore[arg-type]  # fields by name
    return {
        row.name: (pytest.approx(row.current_ma), row.limit.maximum)
        for row in trip_rows(BOOK, device, form)
        if row.role is RowRole.TRIP
    }


@pytest.mark.published("IEC 61008-1 table 1 as a trade article restates it: 0.3 s, 0.15 s, 0.04 s at 1, 2, 5 times IΔn")
@pytest.mark.published("IET forum: some 30 mA devices were allowed to need up to 250 mA to open within 40 ms")
def test_a_general_device_of_30_ma_has_its_four_rows() -> None:
    """Once, twice, five times; 250 mA may stand for the last, for 30 mA and less only."""
    found = rows(ResidualKind.ALTERNATING, rated="30 mA")

    assert found == {"threshold": (30, 0.3), "raised": (60, 0.15), "high": (150, 0.04), "high-instead": (250, 0.04)}
    assert "high-instead" not in rows(ResidualKind.ALTERNATING, rated="100 mA")
    assert found == rows(ResidualKind.ALTERNATING, rated="30 mA", in_cable=True)


@pytest.mark.published(
    "type S: 130 to 500 ms, to 200 ms, 50 to 150 ms at 1, 2, 5 times IΔn (trade article, building.co.uk)"
)
def test_a_delayed_device_must_wait_as_well() -> None:
    """Its rows bound the time from both sides."""
    device = find_residual_device(rated="100 mA", selective=True)
    found = [row.limit for row in trip_rows(BOOK, device, ResidualKind.ALTERNATING) if row.role is RowRole.TRIP]

    assert [(limit.minimum, limit.maximum) for limit in found] == [(0.13, 0.5), (0.06, 0.2), (0.05, 0.15)]


@pytest.mark.published(
    "half the rated residual current must not trip it: 15 to 30 mA for a device of 30 mA (Lovato academy)"
)
def test_half_the_rated_current_must_be_held() -> None:
    """A device of 30 mA holds at 15 mA and has acted at 30 mA when a current rises."""
    by_name = {row.name: row for row in trip_rows(BOOK, find_residual_device(), ResidualKind.ALTERNATING)}

    assert (by_name["held"].role, by_name["held"].current_ma) == (RowRole.HOLD, 15.0)
    assert (by_name["rise"].limit.minimum, by_name["rise"].limit.maximum) == (15.0, 30.0)


@pytest.mark.published(
    "type A with half waves cut at 0°, 90°, 135°: 0.35, 0.25, 0.11 to 1.4 IΔn (2 IΔn at 10 mA); from memory"
)
@pytest.mark.parametrize(
    ("rated", "bands"),
    [
        ("30 mA", {"rise": (10.5, 42.0), "rise-90": (7.5, 42.0), "rise-135": (3.3, 42.0)}),
        ("10 mA", {"rise": (3.5, 20.0), "rise-90": (2.5, 20.0), "rise-135": (1.1, 20.0)}),
    ],
)
def test_half_waves_have_bands_by_their_angle(rated: str, bands: dict[str, tuple[float, float]]) -> None:
    """In mA of the rated current; a device of type AC has none, for it need not see them."""
    device = find_residual_device(rated=rated)
    found = {
        row.name: (row.limit.minimum, row.limit.maximum)
        for row in trip_rows(BOOK, device, ResidualKind.PULSATING)
        if row.role is RowRole.RISE
    }

    assert found == {name: pytest.approx(band) for name, band in bands.items()}
    assert trip_rows(BOOK, find_residual_device(kind="AC"), ResidualKind.PULSATING) == ()


@pytest.mark.published("IEC 62955: 6 mA 10 s, 60 mA 0.3 s, 200 mA 0.1 s, no action at 3 mA (memory; 6 mA is read)")
@pytest.mark.published("IEC 62423 type B: 2, 4, 10 times IΔn in 0.3, 0.15, 0.04 s; from memory")
def test_smooth_direct_current_has_rows_by_what_is_said_of_it() -> None:
    """6 mA where such detection is said, those of type B for that type, none for a plain type A."""
    assert rows(ResidualKind.SMOOTH, direct="6 mA") == {"threshold": (6, 10.0), "raised": (60, 0.3), "high": (200, 0.1)}
    assert rows(ResidualKind.SMOOTH, kind="B") == {"threshold": (60, 0.3), "raised": (120, 0.15), "high": (300, 0.04)}
    assert rows(ResidualKind.SMOOTH, kind="A") == {}


@pytest.mark.published("UL 943 curve T = (20 / I)^1.43 as quoted in two forums; points worked out from it")
@pytest.mark.parametrize(
    ("current", "seconds"),
    [(6, 5.594), (10, 2.694), (20, 1.0), (30, 0.560), (60, 0.2078), (100, 0.1001), (264, 0.02498)],
)
def test_the_inverse_curve_goes_through_its_points(current: float, seconds: float) -> None:
    """To the printed digits."""
    assert longest_time(BOOK, current) == pytest.approx(seconds, rel=6e-4)


@pytest.mark.hand("the curve is flat above its end and nothing must act below its beginning")
def test_the_inverse_curve_has_ends() -> None:
    """Beyond 264 mA its last time holds; below 6 mA it says nothing."""
    assert longest_time(BOOK, 500.0) == longest_time(BOOK, 264.0)
    with pytest.raises(OutsideRange, match="begins at 6 mA"):
        longest_time(BOOK, 5.9)


@pytest.mark.published("class A must not act below 4 mA and must at 6 mA; CCID20 15 mA to 20 mA (memory)")
@pytest.mark.parametrize(("kind", "ends"), [("class A", (4.0, 6.0)), ("CCID5", (4.0, 6.0)), ("CCID20", (15.0, 20.0))])
def test_north_american_devices_have_their_thresholds(kind: str, ends: tuple[float, float]) -> None:
    """What they hold and where they act; pulsating and smooth current are not asked of them here."""
    device = find_residual_device(kind=kind)
    by_name = {row.name: row for row in trip_rows(BOOK, device, ResidualKind.ALTERNATING)}

    assert (by_name["held"].current_ma, by_name["threshold"].current_ma) == ends
    assert trip_rows(BOOK, device, ResidualKind.SMOOTH) == ()


@pytest.mark.published("BS 7671 531.3.3 as a forum quotes it: type AC none, A 6 mA, F 10 mA of smooth direct current")
def test_what_a_device_bears_of_smooth_current() -> None:
    """Types of the installation by how much direct current leaves them working."""
    assert [tolerated_direct(BOOK, DeviceType(name)).maximum for name in ("AC", "A", "F", "B")] == [0, 6, 10, 10]


@pytest.mark.parametrize(
    ("text", "kind"),
    [("A", "A"), ("type A", "A"), ("Typ B", "B"), ("Class A", "class A"), ("ccid 20", "CCID20"), ("AC", "AC")],
)
def test_a_type_is_found_as_people_write_it(text: str, kind: str) -> None:
    """Upper and lower case, with and without the word."""
    assert find_type(text).value == kind


def test_what_is_no_device_says_what_to_write() -> None:
    """An unknown type lists the known ones; a current is told with its example."""
    with pytest.raises(UnknownName, match="CCID20"):
        find_type("super")
    with pytest.raises(OutsideRange, match="above 0 mA"):
        find_residual_device(rated="0 mA")
    with pytest.raises(InputError, match="smooth direct current"):
        find_residual_device(direct="six")
    assert find_residual_device(direct="DC 6 mA").direct_ma == find_residual_device(direct="6 mA d.c.").direct_ma == 6.0

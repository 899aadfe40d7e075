"""The proximity contact: every band and edge of both connectors, each with its source."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from coldpin.errors import UnknownName
from coldpin.pilot.proximity import (
    older_zones,
    possible_zones,
    proximity_zones,
    read_proximity,
    told_as,
    vehicle_voltage,
    voltage_at_vehicle,
)
from coldpin.quantity import Quantity
from coldpin.records.proximity import ProximityMeaning
from coldpin.standards import load_book

BOOK = load_book()
RANGES = (
    "IEC 61851-1 Annex B (edition 2 table in B.4, edition 3 Table B.2), a secondary text that cites it; standing: read"
)
OLDER = "IEC 61851-1:2010 B.4 as one secondary text uses it; standing: read (outer edges: memory)"
TYPE_1 = "SAE J1772 and IEC 61851-1 Annex B: 150 Ω and 480 Ω read in a public page that explains them, 10 % from memory"


def exact(value: float) -> Quantity:
    return Quantity(value, 0.0, "Ω")


@pytest.mark.published(RANGES)
@pytest.mark.parametrize(
    ("low", "nominal", "high", "current", "single"),
    [
        (1100.0, 1500.0, 2460.0, 13.0, 13.0),
        (400.0, 680.0, 936.0, 20.0, 20.0),
        (164.0, 220.0, 308.0, 32.0, 32.0),
        (80.0, 100.0, 140.0, 63.0, 70.0),
    ],
)
def test_each_range_of_type_2_is_recognised_to_its_ends(
    low: float, nominal: float, high: float, current: float, single: float
) -> None:
    """Both ends and the nominal value stand for the current and lie in the range; with one phase 100 Ω is 70 A."""
    for resistance in (low, nominal, high):
        told = read_proximity(exact(resistance), BOOK)
        assert (told.meaning, told.coded_current_a, told.in_band) == (ProximityMeaning.CURRENT, current, True)
        assert read_proximity(exact(resistance), BOOK, phases=1).coded_current_a == single
        assert told.zones[0].band is not None
        assert (told.zones[0].band.minimum, told.zones[0].band.maximum) == (low, high)


@pytest.mark.published("between two ranges the lower current counts; " + RANGES)
@pytest.mark.parametrize(
    ("resistance", "current"),
    [(140.1, 32.0), (163.9, 32.0), (308.1, 20.0), (399.9, 20.0), (936.1, 13.0), (1099.9, 13.0)],
)
def test_between_two_ranges_the_lower_current_counts(resistance: float, current: float) -> None:
    """Just outside a range the cable may carry no more than the lower of the two."""
    told = read_proximity(exact(resistance), BOOK)

    assert (told.coded_current_a, told.in_band) == (current, False)
    assert told.statement.endswith("the lower current of the two ranges it lies between.")


@pytest.mark.published("below 60 Ω and above 4.5 kΩ: error; " + RANGES)
@pytest.mark.parametrize(
    ("resistance", "meaning"),
    [
        (0.0, ProximityMeaning.ERROR),
        (59.9, ProximityMeaning.ERROR),
        (60.0, ProximityMeaning.UNDEFINED),
        (79.9, ProximityMeaning.UNDEFINED),
        (2460.1, ProximityMeaning.UNDEFINED),
        (4500.0, ProximityMeaning.UNDEFINED),
        (4500.1, ProximityMeaning.ERROR),
        (1e7, ProximityMeaning.ERROR),
    ],
)
def test_outside_of_the_ranges_no_current_is_coded(resistance: float, meaning: ProximityMeaning) -> None:
    """Errors are errors, and what no text defines is not given a meaning."""
    told = read_proximity(exact(resistance), BOOK)

    assert (told.meaning, told.coded_current_a) == (meaning, None)


@pytest.mark.published(OLDER)
@pytest.mark.parametrize(
    ("resistance", "older"),
    [
        (74.9, None),
        (75.0, 63.0),
        (149.9, 63.0),
        (150.0, 32.0),
        (329.9, 32.0),
        (330.0, 20.0),
        (999.9, 20.0),
        (1000.0, 13.0),
        (2200.0, 13.0),
        (2200.1, None),
    ],
)
def test_the_older_edges_are_told_beside(resistance: float, older: float | None) -> None:
    """The reading in dispute is kept, and whether it comes to the same."""
    told = read_proximity(exact(resistance), BOOK)

    assert told.other is not None
    assert told.other.coded_current_a == older
    assert told.other.agrees == ((told.other.meaning, older) == (told.meaning, told.coded_current_a))


@pytest.mark.published("950 Ω and 320 Ω are told differently by the two texts; notes on the dispute, standing: read")
@pytest.mark.parametrize(("resistance", "used", "older"), [(950.0, 13.0, 20.0), (320.0, 20.0, 32.0)])
def test_the_two_texts_differ_where_they_are_known_to(resistance: float, used: float, older: float) -> None:
    """Used is the lower current in both cases; the other text's is there to be seen."""
    told = read_proximity(exact(resistance), BOOK)

    assert told.other is not None
    assert (told.coded_current_a, told.other.coded_current_a, told.other.agrees) == (used, older, False)


@pytest.mark.published(TYPE_1)
@pytest.mark.parametrize(
    ("resistance", "meaning"),
    [
        (134.9, ProximityMeaning.UNDEFINED),
        (135.0, ProximityMeaning.RELEASED),
        (150.0, ProximityMeaning.RELEASED),
        (165.0, ProximityMeaning.RELEASED),
        (165.1, ProximityMeaning.UNDEFINED),
        (431.9, ProximityMeaning.UNDEFINED),
        (432.0, ProximityMeaning.PRESSED),
        (480.0, ProximityMeaning.PRESSED),
        (528.0, ProximityMeaning.PRESSED),
        (528.1, ProximityMeaning.UNDEFINED),
    ],
)
def test_a_type_1_connector_tells_its_latch(resistance: float, meaning: ProximityMeaning) -> None:
    """Released and pressed within 10 %, nothing beside, and never a current."""
    told = read_proximity(exact(resistance), BOOK, connector="type 1")

    assert (told.meaning, told.coded_current_a, told.other) == (meaning, None, None)


@pytest.mark.published("4.46 V open, 2.77 V pressed, 1.53 V latched, a secondary text on SAE J1772 (standing: read)")
@pytest.mark.parametrize(
    ("resistance", "name", "published_gap"),
    [(math.inf, "open", 0.005), (480.0, "pressed", 0.01), (150.0, "released", 0.03)],
)
def test_the_voltage_at_the_vehicle(resistance: float, name: str, published_gap: float) -> None:
    """4.46 V; 2.76 V where 2.77 V is printed; 1.51 V where 1.53 V is printed: the entry's note says so."""
    limit = BOOK.limit(f"proximity.type-1.{name}")
    seen = vehicle_voltage(resistance=resistance, supply=5.0, r4=330.0, r5=2700.0)

    assert seen == pytest.approx(limit.nominal, abs=published_gap)
    if limit.note:
        assert limit.note == f"{seen:.2f} V by calculation."


@pytest.mark.hand("dV/V of the divider 142.1 / 472.1: 0.699 · 10 % of R4, and 0.0368 of R5; over √3, times 1.505 V")
def test_the_vehicles_tolerance_is_in_the_voltage() -> None:
    """10 % of R4 and R5 are in the voltage, whatever the connector's resistor."""
    seen = voltage_at_vehicle(exact(150.0), BOOK)
    share = 330.0 / (330.0 + 142.105)
    by_r4 = 1.505 * share * 0.1 / math.sqrt(3.0)
    by_r5 = by_r4 * 142.105 / 2700.0

    assert seen.u == pytest.approx(math.hypot(by_r4, by_r5), rel=0.01)


@pytest.mark.parametrize("connector", ["type 1", "type 2"])
def test_the_zones_meet_without_gap(connector: str) -> None:
    """Every resistance has one meaning, in both texts."""
    for zones in (proximity_zones(BOOK, connector), older_zones(BOOK)):
        assert zones[0].above is None
        assert zones[-1].up_to is None
        assert all(one.up_to == following.above for one, following in pairwise(zones))


def test_a_resistance_at_an_edge_is_undecided_with_both_named() -> None:
    """310 Ω ± 4 Ω may be in the range for 32 A or beyond it, likelier beyond."""
    told = read_proximity(Quantity(310.0, 2.0, "Ω"), BOOK)

    assert (told.meaning, told.coded_current_a, told.in_band) == (ProximityMeaning.UNDECIDED, None, None)
    assert [(zone.coded_current_a, round(zone.probability or 0.0, 3)) for zone in told.zones] == [
        (20.0, 0.841),
        (32.0, 0.159),
    ]
    assert told.statement == "The resistance is 310.0 Ω ± 3.9 Ω: undecided, it may stand for 20 A or 32 A."


def test_an_unstated_accuracy_decides_nothing() -> None:
    """The value is told as read, no current is said."""
    told = read_proximity(Quantity(223.0, None, "Ω", why="not stated"), BOOK)

    assert (told.meaning, told.coded_current_a) == (ProximityMeaning.UNDECIDED, None)
    assert told.statement == (
        "The resistance is 223 Ω (uncertainty not known): undecided; taken as read it stands for 32 A."
    )


def test_a_meter_beyond_its_range() -> None:
    """More than 20 MΩ is an error whatever the meter's accuracy; more than 1 kΩ may be many things."""
    over = read_proximity(Quantity(20e6, None, "Ω"), BOOK, at_least=True)
    some = read_proximity(Quantity(1000.0, None, "Ω"), BOOK, at_least=True)

    assert (over.meaning, over.statement) == (
        ProximityMeaning.ERROR,
        "The resistance is at least 20 MΩ: it stands for an error.",
    )
    assert some.meaning is ProximityMeaning.UNDECIDED
    assert [told_as(zone) for zone in some.zones] == ["13 A", "nothing that a text we know defines", "an error"]


def test_an_interval_over_all_zones_still_names_one() -> None:
    """A reading that tells next to nothing is undecided and does not end in nothing."""
    zones = possible_zones(Quantity(300.0, 1e6, "Ω"), proximity_zones(BOOK, "type 2"))

    assert {zone.meaning for zone in zones} == {ProximityMeaning.ERROR}
    assert read_proximity(Quantity(300.0, 1e6, "Ω"), BOOK).meaning is ProximityMeaning.UNDECIDED


def test_an_unknown_connector_is_refused() -> None:
    """The message lists those that there are."""
    with pytest.raises(UnknownName, match="unknown vehicle connector 'type 3'"):
        read_proximity(exact(220.0), BOOK, connector="type 3")

"""The map of the lead of a case: drawn from what was read of it, and not at all from nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks.lead_map import lead_map
from coldpin.records.current_map import CurrentChart, Place
from coldpin.records.entry import Entry
from tests.checks.bench import CLAIMS, PORTABLE, capture_of, evidence
from tests.checks.test_cable_rating import EV, core

THIN, SOUND = core("63.5 mΩ ± 0.1 mΩ"), core("37.0 mΩ ± 0.1 mΩ")


def at_hottest(found: CurrentChart | None, place: Place) -> float:
    """The current at which a limit is reached in the hottest air."""
    assert found is not None
    line = next(line for line in found.lines if line.place is place)
    at = line.middle[found.ambient.index(40.0)]
    assert at is not None
    return at


def test_a_thin_lead_comes_to_its_limit_earlier() -> None:
    """With 1.7 times the resistance hand and metal come to their limits at three quarters of the current."""
    sound, thin = lead_map(evidence(SOUND, claims=EV)), lead_map(evidence(SOUND, replace(THIN, id="r2"), claims=EV))

    for place in (Place.METAL, Place.SHEATH):
        part = at_hottest(thin, place) / at_hottest(sound, place)
        assert part == pytest.approx((37.0 / 63.5) ** 0.5, rel=0.02)
    assert thin is not None
    assert thin.cable.startswith("3 cores of 2.5 mm² as marked, 12.700 Ω/km ± 0.0")
    assert thin.cable.endswith(" at 20 °C as read; 12.4 mm across and layers as usual, not measured")
    assert (thin.rated, thin.max_ambient, thin.arrangement) == (16.0, 40.0, "on a surface")


def in_two_wires(reading: str) -> Entry:
    """A core read with two wires: leads and clips are in it."""
    entry = core(reading, "N")
    return replace(entry, id="two", conditions={**entry.conditions, "method": "two-wire"})


def test_a_reading_with_two_wires_is_not_the_lead() -> None:
    """400 mΩ with two wires, 80 Ω/km, does not take the place of what was read with four."""
    found = lead_map(evidence(SOUND, in_two_wires("400 mΩ ± 1 mΩ"), claims=EV))

    assert found is not None
    assert "7.400 Ω/km" in found.cable
    assert "two" not in found.entries


def test_the_offer_is_on_the_map() -> None:
    """A captured offer is drawn beside the plate."""
    from coldpin.simulator import VirtualUnit

    found = lead_map(evidence(SOUND, claims=EV, captures=[capture_of(VirtualUnit(duty=33.33))]))

    assert found is not None
    assert found.offered == 20.0


def test_nothing_is_drawn_from_nothing() -> None:
    """Without a reading inside, a marked size, or a current there is no map."""
    unmarked = replace(EV, cable_print="")
    assert lead_map(evidence(claims=EV)) is None
    assert lead_map(evidence(core("37.0 mΩ ± 0.1 mΩ", "PE"), claims=EV)) is None
    assert lead_map(evidence(SOUND, claims=unmarked)) is None
    assert lead_map(evidence(in_two_wires("37.0 mΩ ± 0.1 mΩ"), claims=EV)) is None
    assert lead_map(evidence(SOUND, claims=replace(EV, rated_current=""))) is None


def test_three_phases_heat_three_cores() -> None:
    """Of a three-phase cable three of five cores are warm."""
    claims = replace(CLAIMS, cable_print="H07BZ5-F 5G2.5", max_ambient="40 °C")
    found = lead_map(evidence(SOUND, claims=claims, unit=replace(PORTABLE, phases=3)))

    assert found is not None
    assert found.cable.startswith("5 cores of 2.5 mm² as marked")

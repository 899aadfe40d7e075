"""Where insulation stands: category, pollution degrees and kind, from the class of a unit and the place of its use."""

from __future__ import annotations

import pytest

from coldpin.insulation.situation import insulation_for, location_of, propose_situation, why_reinforced
from coldpin.records.case import Build, Cable, UnitClass
from coldpin.records.finding import Standing
from coldpin.records.required_distances import Barrier, InsulationKind, Location, OvervoltageCategory
from coldpin.standards.book import load_book

BOOK = load_book()
LEAD = UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED)
WALL = UnitClass(charging_mode=3, build=Build.FIXED, cable=Cable.ATTACHED)
PLUGGED = UnitClass(charging_mode=3, build=Build.PORTABLE, cable=Cable.DETACHABLE)


@pytest.mark.published("IEC 61851-1:2017 clause 12 (memory): fixed at least III, by plug and cable at least II")
def test_the_category_follows_the_class() -> None:
    """A wall unit III, a lead and a unit on a plug II; each names what it rests on."""
    for unit, category, name in (
        (WALL, OvervoltageCategory.III, "charging.category.fixed"),
        (LEAD, OvervoltageCategory.II, "in-cable.overvoltage-category"),
        (PLUGGED, OvervoltageCategory.II, "charging.category.portable"),
    ):
        told = propose_situation(BOOK, unit, Location.INDOORS)
        assert told.overvoltage_category is category
        assert told.limits[0].id == name
        assert told.limits[0].standing is Standing.MEMORY
        assert told.reasons[0].startswith(f"Overvoltage category {category}.")


@pytest.mark.published("IEC 61851-1:2017 clause 12 (memory): outdoors 3, indoors 2, indoors in industry 3")
@pytest.mark.parametrize(
    ("location", "sealed", "degrees"),
    [
        (Location.INDOORS, False, (2,)),
        (Location.INDOORS, True, (2,)),
        (Location.INDUSTRIAL, False, (3,)),
        (Location.INDUSTRIAL, True, (2,)),
        (Location.OUTDOORS, False, (2, 3)),
        (Location.OUTDOORS, True, (2,)),
        (Location.UNKNOWN, False, (2, 3)),
        (Location.UNKNOWN, True, (2,)),
    ],
)
def test_outdoors_both_degrees_are_judged_unless_sealing_is_proved(
    location: Location, sealed: bool, degrees: tuple[int, ...]
) -> None:
    """And where nobody said where the unit is used: leads lie outdoors."""
    told = propose_situation(BOOK, WALL, location, sealing_proved=sealed)

    assert told.pollution_degrees == degrees
    assert all(str(degree) in told.reasons[1] for degree in degrees)
    assert any(limit.id.startswith("charging.pollution.") for limit in told.limits)


@pytest.mark.parametrize(
    ("words", "location"),
    [
        ("outdoors", Location.OUTDOORS),
        ("on the drive, beside the house", Location.OUTDOORS),
        ("quay", Location.OUTDOORS),
        ("terrace of the house", Location.OUTDOORS),
        ("in front of the garage", Location.OUTDOORS),
        ("house wall", Location.OUTDOORS),
        ("car-port at the house", Location.OUTDOORS),
        ("by the shed", Location.OUTDOORS),
        ("in the house", Location.INDOORS),
        ("garage, on the wall", Location.INDOORS),
        ("Campsite", Location.OUTDOORS),
        ("indoors", Location.INDOORS),
        ("garage", Location.INDOORS),
        ("in the workshop", Location.INDUSTRIAL),
        ("workshop yard", Location.OUTDOORS),
        ("", Location.UNKNOWN),
        ("Denmark", Location.UNKNOWN),
        ("housekeeping", Location.UNKNOWN),
    ],
)
def test_a_place_in_words(words: str, location: Location) -> None:
    """Outdoors wins over all else, and a word that is no place says nothing."""
    assert location_of(words) is location


@pytest.mark.published(
    "IEC 61851-1:2017 12.7.1 c), IEC 61140 (memory); test reports to IEC 60950-1 for line to neutral"
)
def test_which_insulation_is_asked_for() -> None:
    """Reinforced towards what a hand reaches, basic towards earth and between the lines, functional behind the fuse."""
    told = {barrier: insulation_for(BOOK, barrier) for barrier in Barrier}

    assert {barrier.value: kind.value for barrier, (kind, _) in told.items()} == {
        "mains-pilot": "reinforced",
        "mains-low-voltage": "reinforced",
        "mains-touchable": "reinforced",
        "mains-earth": "basic",
        "line-neutral": "basic",
        "behind-fuse": "functional",
    }
    assert all(limit.id == f"insulation-kind.{barrier.value}" for barrier, (_, limit) in told.items())


@pytest.mark.parametrize("barrier", Barrier)
@pytest.mark.parametrize("portable", [False, True])
def test_reasons_are_given_where_reinforced_is_asked_for(barrier: Barrier, portable: bool) -> None:
    """A portable unit adds that its earth can be lost; where basic is asked for there is nothing to explain."""
    said = why_reinforced(barrier, portable=portable)
    reinforced = insulation_for(BOOK, barrier)[0] is InsulationKind.REINFORCED

    assert len(said) == (1 + portable if reinforced else 0)
    assert ("earth" in " ".join(said[1:])) == (reinforced and portable)

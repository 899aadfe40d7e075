"""Required distances for a person who asks: what may be left out, what is proposed, what is refused."""

from __future__ import annotations

import pytest

from coldpin.errors import InputError, OutsideRange, QuantityTextError, UnitError, UnknownName
from coldpin.records.case import OwnConstant
from coldpin.records.finding import Outcome
from coldpin.records.required_distances import InsulationKind, RequiredDistances
from coldpin.standards.book import load_book
from coldpin.workbench.required_distances import tell_required_distances


def told(**changed: object) -> RequiredDistances:
    """An ordinary board behind an ordinary plug, unless said otherwise."""
    asked: dict[str, object] = {
        "voltage": "230",
        "overvoltage_category": "II",
        "pollution_degree": 2,
        "material_group": "IIIa",
    }
    return tell_required_distances(**(asked | changed))  # type: ignore[arg-type]  # options by name


@pytest.mark.published("IEC 60664-1: 230 V, category II, degree 2, group IIIa, reinforced: 3.0 mm, 5.0 mm, X 1.0 mm")
@pytest.mark.parametrize("voltage", ["230", "230 V", "0.23 kV", "230,0 V"])
def test_numbers_with_and_without_a_unit(voltage: str) -> None:
    """A bare number is in the unit of its option."""
    found = told(voltage=voltage, altitude="0")

    assert (found.clearance_mm, found.creepage_mm, found.groove_x_mm) == (3.0, 5.0, 1.0)
    assert found.schema == "coldpin.required_distances/1"


def test_a_nominal_voltage_that_is_no_mains_is_asked_about() -> None:
    """It is used as given, and questioned."""
    assert "is the unit of the voltage right?" in told(voltage="230 mV").remarks[0]
    assert not any("unit of the voltage" in remark for remark in told(voltage="100 V").remarks)


def test_what_parts_the_circuits_tells_the_kind() -> None:
    """Towards earth basic; a kind that was given goes before."""
    assert told(between="mains-earth").insulation is InsulationKind.BASIC
    assert told(between="mains-earth", insulation="reinforced").insulation is InsulationKind.REINFORCED
    found = told(between="mains-pilot")
    assert found.insulation is InsulationKind.REINFORCED
    assert found.kind_limit is not None
    assert found.kind_limit.id == "insulation-kind.mains-pilot"
    assert any("the earth that could make basic insulation enough cannot be counted on" in s for s in found.statements)


def test_a_fixed_unit_has_its_own_reason() -> None:
    """Its earth is not lost with a socket: the reason is the hand at the connector alone."""
    found = told(between="mains-pilot", unit="fixed", place="indoors", overvoltage_category="", pollution_degree=None)

    assert any("where a hand can touch it" in said for said in found.statements)
    assert not any("extension cord" in said for said in found.statements)


@pytest.mark.published("IEC 61851-1 clause 12 (memory) with IEC 60664-1: III, degrees 2 and 3: 5.5/5.5 and 5.5/8.0 mm")
def test_a_wall_unit_outdoors_is_judged_by_two_degrees() -> None:
    """The harsher is the answer, the milder stands beside, both place the reading; proved sealing leaves one."""
    asked = {"unit": "fixed", "place": "outdoors", "overvoltage_category": "", "pollution_degree": None}
    found = told(**asked, reading="6.0 mm ± 0.1 mm")
    (milder,) = found.milder_degrees

    assert (found.situation.pollution_degree, found.clearance_mm, found.creepage_mm) == (3, 5.5, 8.0)
    assert (milder.pollution_degree, milder.reinforced.creepage_mm) == (2, 5.5)
    asked_for = [[p.outcome for p in rows.placements if p.asked] for rows in (found, milder)]
    assert asked_for == [[Outcome.WITHIN, Outcome.BEYOND], [Outcome.WITHIN, Outcome.WITHIN]]
    assert told(**asked, sealing_proved=True).milder_degrees == ()


def test_what_is_given_goes_before_what_is_proposed() -> None:
    """A person may know better than the class."""
    found = told(unit="fixed", place="outdoors")

    assert (found.situation.overvoltage_category, found.situation.pollution_degree) == ("II", 2)
    assert found.milder_degrees == ()


@pytest.mark.hand("4.4 mm: above 1.5, 2.5 and 3.0 mm, below 5.0 mm")
def test_a_reading_is_placed_in_both_rows() -> None:
    """As a clearance and as a creepage, or as the one that it is."""
    found = told(reading="4.4 mm ± 0.1 mm")
    outcomes = [(p.insulation.value, p.kind.value, p.outcome.value) for p in found.placements]

    assert outcomes == [
        ("basic", "clearance", "within"),
        ("basic", "creepage", "within"),
        ("reinforced", "clearance", "within"),
        ("reinforced", "creepage", "beyond"),
    ]
    assert {p.kind.value for p in told(reading="4.4 mm ± 0.1 mm", reading_of="creepage").placements} == {"creepage"}


def test_the_callipers_accuracy_or_nothing_is_decided() -> None:
    """Stated beside the reading or by the maker; else every outcome is undecided."""
    bare = told(reading="4.4 mm")
    stated = told(reading="4.40 mm", accuracy="0.03 mm, resolution 0.01 mm")

    assert {placed.outcome for placed in bare.placements} == {Outcome.UNDECIDED}
    assert {placed.outcome for placed in stated.placements} == {Outcome.WITHIN, Outcome.BEYOND}


def test_a_users_own_cell_is_used() -> None:
    """The case's book in place of ours."""
    own = OwnConstant(id="creepage.pd2.IIIa.250V", source="my copy of IEC 60664-1:2020", minimum=2.7)

    assert told(book=load_book().with_own([own])).creepage_mm == 5.4


@pytest.mark.parametrize(
    ("changed", "error", "message"),
    [
        ({"voltage": "much"}, QuantityTextError, "nominal voltage 'much'"),
        ({"voltage": "230 A"}, UnitError, "nominal voltage '230 A'"),
        ({"voltage": "-230 V"}, OutsideRange, "nominal voltage is -230 V; it must be above 0 V"),
        ({"overvoltage_category": "V"}, UnknownName, "unknown overvoltage category 'V'"),
        ({"overvoltage_category": ""}, InputError, "are not both given: give them, or the unit"),
        ({"pollution_degree": None}, InputError, "are not both given"),
        ({"pollution_degree": 4}, OutsideRange, "pollution degree 4"),
        ({"material_group": "IV"}, UnknownName, "unknown material group 'IV'.*IIIa, IIIb, unknown"),
        ({"insulation": "double"}, UnknownName, "unknown insulation 'double'"),
        ({"between": "mains-car"}, UnknownName, "unknown barrier 'mains-car'"),
        ({"unit": "loose"}, UnknownName, "unknown unit 'loose'"),
        ({"reading": "> 4 mm"}, OutsideRange, "only bounds the distance"),
        ({"reading": "0 mm"}, OutsideRange, "above 0 mm and below 200 mm"),
        ({"reading": "4.4 m"}, OutsideRange, "is 4400 mm; .* check its unit and sign"),
        ({"reading": "4.4"}, UnitError, "write it as in '4.4 mm'"),
    ],
)
def test_what_cannot_be_used_is_told(changed: dict[str, object], error: type[InputError], message: str) -> None:
    """One message that names the option and what to do."""
    with pytest.raises(error, match=message):
        told(**changed)

"""A hot plug beside its cable: contacts, heat at the asked current, where the cable's sensor may sit."""

from __future__ import annotations

import pytest

from coldpin.checks.cable_build import cable_build
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heating import run_plug
from coldpin.checks.heating_evidence import heated_parts
from coldpin.checks.hot_plug import joint_of
from coldpin.records.case import Claims
from coldpin.records.heating import HeatedPart
from coldpin.simulator.cable import VirtualCable, VirtualTerminal
from coldpin.simulator.cable_mesh import cut_cable
from coldpin.simulator.heating import heating_end
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition
from tests.checks.test_heated_metal import SHELF
from tests.checks.test_heating import case, entry

PRINTED = Claims(rated_current="16 A", plug="CEE 7/7", cable_print="H05VV-F 3G2.5")
AT = {"current": "16 A ± 0.05 A", "air": "25.0 °C ± 0.4 °C", "change": "0.2 K/h"}


def read(plug: float, sheath: float | None, claims: Claims = PRINTED) -> BenchEvidence:
    """A bench with the plug's end, and the sheath's where it was read."""
    entries = [entry("end temperature", {"part": "plug", **AT}, f"{plug:.1f} °C", name="plug")]
    if sheath is not None:
        entries.append(entry("end temperature", {"part": "sheath", **AT}, f"{sheath:.1f} °C", name="sheath"))
    book = load_book()
    return BenchEvidence(case=case(claims), edition=Edition.IEC_3, book=book, entries=tuple(entries), instruments=SHELF)


@pytest.mark.independent("finite volumes of the simulator, whose joints are known")
def test_the_contacts_of_a_hot_plug_are_found_within_their_uncertainty() -> None:
    """Two joints of 8 mΩ in one plug are found from the warmth of plug and sheath alone."""
    cable = VirtualCable(plug=VirtualTerminal(joints=(8e-3,)))
    ends = heating_end(cut_cable(cable), current=16.0, ambient=25.0).ends
    bench = read(ends["plug"], ends["sheath"])
    build = cable_build(bench)
    assert build is not None

    joint = joint_of(bench, heated_parts(bench, HeatedPart.PLUG)[0], heated_parts(bench, HeatedPart.SHEATH)[0], build)

    assert joint.resistance.expanded is not None
    assert abs(joint.resistance.value - 16e-3) <= joint.resistance.expanded
    assert joint.resistance.expanded < joint.resistance.value


def test_resistance_heat_and_reach_of_a_hot_plug_are_told() -> None:
    """The finding's remarks name the contacts' resistance, the heat at the claimed current, and the sensor's place."""
    said = " ".join(run_plug(read(70.0, 32.0))[0].remarks)

    assert "its own contacts heat it" in said
    assert "All its contacts together resist about" in said
    assert "at 16 A, by what such a part usually gives off" in said
    assert "a sensor of the sheath sits" in said


def test_of_a_plug_that_its_cable_heats_no_contact_is_told() -> None:
    """A plug cooler than its sheath says nothing of its contacts."""
    said = " ".join(run_plug(read(30.0, 45.0))[0].remarks)

    assert "the cable, not the contacts, heats it" in said
    assert "resist" not in said


@pytest.mark.parametrize(("sheath", "claims"), [(None, PRINTED), (32.0, Claims(plug="CEE 7/7"))])
def test_of_an_unknown_cable_the_common_reach_is_told(sheath: float | None, claims: Claims) -> None:
    """Without a sheath's reading, or without a marked size, the reach is that of common cables."""
    said = " ".join(run_plug(read(70.0, sheath, claims))[0].remarks)

    assert "58 mm to 112 mm of a common cable" in said
    assert "0.56 m from it or further" in said

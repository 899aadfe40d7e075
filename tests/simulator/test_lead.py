"""Virtual leads and their faults: sound ones are sound, and each fault changes what it says."""

from __future__ import annotations

import numpy as np
import pytest

from coldpin.errors import UnknownName
from coldpin.simulator.cable_mesh import cut_cable
from coldpin.simulator.heating import heating_end
from coldpin.simulator.lead_fault import LEAD_FAULTS, NOMINAL, LeadSpecimen, draw_lead, lead_fault, of_area


def drawn(seed: int = 1, fault: str = "") -> LeadSpecimen:
    specimen = draw_lead(np.random.default_rng(seed))
    return lead_fault(fault).change(specimen) if fault else specimen


@pytest.mark.published("IEC 60228 class 5, 2.5 mm²: plain 7.98 Ω/km, tinned 8.21 Ω/km, read in secondary texts")
def test_drawn_leads_are_sound() -> None:
    """Every drawn core keeps its class, the joints are good, the marks fit."""
    for seed in range(200):
        specimen = drawn(seed)
        for core in (specimen.lead.conductor, specimen.lead.earth):
            limit = 8.21 if core.wire.name == "tinned_copper" else 7.98
            assert 0.8 * limit < 1e3 * core.resistance() < limit
        for pole in ("L", "N", "PE"):
            path = specimen.lead.path(pole)
            assert path.at_pins() - path.inside() < 2.1e-3
    assert drawn(3) == drawn(3)
    assert drawn(3) != drawn(4)


@pytest.mark.hand("70 %, 40 %, 20 mΩ, 220 Ω, 1 mm², 14 W as the meanings say; clad and aluminium conduct 65 % and 62 %")
def test_each_fault_does_what_it_says() -> None:
    """And nothing else: what a fault does not name stays as it was."""
    sound = drawn()
    by = {name: drawn(fault=name) for name in LEAD_FAULTS}

    assert by["thin conductor"].lead.conductor.area == pytest.approx(0.7 * sound.lead.conductor.area)
    assert by["thin conductor"].lead.earth == sound.lead.earth
    assert by["thin earth conductor"].lead.earth.area == pytest.approx(0.4 * sound.lead.earth.area)
    assert by["thin earth conductor"].lead.conductor == sound.lead.conductor
    for name, part in (("clad conductor", 0.654), ("aluminium conductor", 0.616), ("steel-cored conductor", 0.304)):
        ratio = sound.lead.conductor.resistance() / by[name].lead.conductor.resistance()
        assert ratio == pytest.approx(part, rel=0.03)
    assert by["loose joint in the plug"].lead.path("L").plug_joint == 20e-3
    assert by["loose joint in the plug"].lead.path("N") == sound.lead.path("N")
    assert by["loose joint in the connector"].lead.path("N").connector_joint == 20e-3
    assert by["coded above its size"].coding == 220.0
    assert by["cable below its offer"].lead.conductor.area == pytest.approx(0.4 * sound.lead.conductor.area)
    assert 0.9e-6 < by["cable below its offer"].lead.conductor.area <= 0.4 * NOMINAL * 1e-6
    assert by["hungry when idle"].standby[0] == 14.0
    assert by["car takes more than offered"].car.share == 1.06
    assert by["car deaf to a lowered offer"].car.follows == "never"
    assert by["car lets go under load"].car.stops_after is None
    assert all(specimen != sound for specimen in by.values())
    assert of_area(sound.lead.conductor, 1.0) == sound.lead.conductor


@pytest.mark.hand("5 W at 16 A in one joint")
def test_a_loose_joint_is_in_the_cable_that_warms() -> None:
    """The cable of a lead has its joints, each on its own core and side."""
    sound, loose = drawn(), drawn(fault="loose joint in the plug")
    ends = [heating_end(cut_cable(one.lead.cable), current=16.0, ambient=20.0).ends for one in (sound, loose)]

    assert loose.lead.cable.plug.joints[0] == 20e-3
    assert loose.lead.cable.plug.joints[1] == sound.lead.cable.plug.joints[1]
    assert ends[1]["plug"] > ends[0]["plug"] + 10.0
    assert ends[1]["sheath"] == pytest.approx(ends[0]["sheath"], abs=0.01)


def test_unknown_names_are_told() -> None:
    """Faults and conductors that there are not."""
    with pytest.raises(UnknownName, match="thin conductor"):
        lead_fault("x")
    with pytest.raises(UnknownName, match="L, N, PE"):
        drawn().lead.path("L2")

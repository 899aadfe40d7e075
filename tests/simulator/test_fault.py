"""The list of faults: names, and the old mapping of currents."""

from __future__ import annotations

import pytest

from coldpin.errors import UnknownName
from coldpin.simulator import FAULTS, VirtualUnit, VirtualVehicle, fault, old_duty


@pytest.mark.published(
    "public notes on the control pilot: 16 / 25 / 50 % for 10 / 16 / 32 A is an old mapping still copied around"
)
@pytest.mark.parametrize(("setting", "duty"), [(10.0, 16.0), (16.0, 25.0), (32.0, 50.0)])
def test_old_mapping(setting: float, duty: float) -> None:
    """The old mapping gives the duty cycles that are still found on generator boards."""
    assert old_duty(VirtualUnit(), setting=setting).duty == duty


@pytest.mark.hand("a fault changes one side only, or the two would be two faults")
@pytest.mark.parametrize("name", sorted(FAULTS))
def test_each_fault_changes_unit_or_vehicle(name: str) -> None:
    """Each fault changes either the unit or the vehicle and leaves the other alone."""
    unit, vehicle = FAULTS[name].applied(VirtualUnit(), VirtualVehicle())

    assert (unit != VirtualUnit()) + (vehicle != VirtualVehicle()) == 1
    assert FAULTS[name].meaning


@pytest.mark.hand("texts of the messages")
def test_unknown_names_are_listed() -> None:
    """Unknown faults and currents are errors that list what there is."""
    with pytest.raises(UnknownName, match=r"unknown fault 'no diode'.*vehicle diode absent"):
        fault("no diode")
    with pytest.raises(UnknownName, match=r"unknown current of the old mapping '20'.*Known: 10, 16, 32"):
        old_duty(VirtualUnit(), setting=20.0)

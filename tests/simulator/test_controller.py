"""What virtual units do while loads come and go."""

from __future__ import annotations

import pytest

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator import Controller, Relay, VirtualUnit, VirtualVehicle, output_voltage
from coldpin.simulator.connection import sensed_state
from coldpin.simulator.controller import conditions
from coldpin.simulator.load import Schedule

STEPS: Schedule = [(0.1, "A"), (0.3, "B"), (0.3, "C"), (0.2, "B"), (0.2, "A")]


def told(unit: VirtualUnit, vehicle: VirtualVehicle, schedule: Schedule) -> list[tuple[float, str, bool, bool]]:
    """The stretches in which pilot and output stay as they are: start, load, oscillating, live."""
    found: list[tuple[float, str, bool, bool]] = []
    for part in conditions(unit, vehicle, schedule):
        now = (part.load, part.oscillating, part.energised)
        if not found or found[-1][1:] != now:
            found.append((round(part.start, 6), *now))
    return found


@pytest.mark.hand("delays of controller and relay, 12 ms and 8 ms, added to the times of the schedule")
def test_a_sound_unit_follows_the_vehicle() -> None:
    """It offers after B, energises after C, de-energises after B, stops after A, each after its own delay."""
    assert told(VirtualUnit(), VirtualVehicle(), STEPS) == [
        (0.0, "A", False, False),
        (0.1, "B", False, False),
        (0.14, "B", True, False),
        (0.4, "C", True, False),
        (0.472, "C", True, True),
        (0.7, "B", True, True),
        (0.738, "B", True, False),
        (0.9, "A", True, False),
        (0.92, "A", False, False),
    ]


@pytest.mark.hand(
    "a bare generator has no controller: it oscillates from the first sample to the last, live throughout"
)
def test_a_bare_generator_senses_nothing() -> None:
    """Without state sensing the oscillator never stops and the output is live with nothing connected."""
    bare = VirtualUnit(controller=Controller(senses_state=False), output="always live")

    assert {(oscillating, live) for _, _, oscillating, live in told(bare, VirtualVehicle(), STEPS)} == {(True, True)}
    assert output_voltage(bare, VirtualVehicle(), "A") == 230.0


@pytest.mark.hand("what each unit does with each load follows from the meaning of the fault")
@pytest.mark.parametrize(
    ("unit", "vehicle", "load", "volts"),
    [
        (VirtualUnit(), VirtualVehicle(), "A", 0.0),
        (VirtualUnit(), VirtualVehicle(), "B", 0.0),
        (VirtualUnit(), VirtualVehicle(), "C", 230.0),
        (VirtualUnit(), VirtualVehicle(), "D", 0.0),
        (VirtualUnit(), VirtualVehicle(), "E", 0.0),
        (VirtualUnit(controller=Controller(accepts_d=True)), VirtualVehicle(), "D", 230.0),
        (VirtualUnit(), VirtualVehicle(diode="shorted"), "C", 0.0),
        (VirtualUnit(), VirtualVehicle(diode="absent"), "C", 0.0),
        (VirtualUnit(), VirtualVehicle(diode="open"), "C", 0.0),
        (VirtualUnit(controller=Controller(checks_diode=False)), VirtualVehicle(diode="shorted"), "C", 230.0),
        (VirtualUnit(pilot="open"), VirtualVehicle(), "C", 0.0),
        (VirtualUnit(pilot="shorted"), VirtualVehicle(), "C", 0.0),
        (VirtualUnit(output="never"), VirtualVehicle(), "C", 0.0),
    ],
)
def test_when_the_output_is_live(unit: VirtualUnit, vehicle: VirtualVehicle, load: str, volts: float) -> None:
    """The output is live exactly where the controller, or the want of one, makes it so."""
    assert output_voltage(unit, vehicle, load) == volts


@pytest.mark.hand("a wish that passes before its delay is not carried out")
def test_short_visits_leave_no_trace() -> None:
    """B for less than the offer's delay starts no oscillator, C for less than the closing delay closes nothing."""
    brief = told(VirtualUnit(), VirtualVehicle(), [(0.1, "A"), (0.03, "B"), (0.1, "A")])
    assert not any(oscillating for _, _, oscillating, _ in brief)

    wink = told(VirtualUnit(), VirtualVehicle(), [(0.2, "B"), (0.05, "C"), (0.2, "B")])
    assert not any(live for *_, live in wink)


@pytest.mark.hand("a delay of zero acts at the instant of the change")
def test_a_controller_without_delay_acts_at_once() -> None:
    """Zero delays leave one stretch for each load."""
    prompt = Controller(offer_delay=0.0, stop_delay=0.0, energise_delay=0.0, de_energise_delay=0.0)
    relay = Relay(operate=0.0, release=0.0)
    stretches = told(VirtualUnit(controller=prompt, relay=relay), VirtualVehicle(), STEPS)

    assert [(load, oscillating, live) for _, load, oscillating, live in stretches] == [
        ("A", False, False),
        ("B", True, False),
        ("C", True, True),
        ("B", True, False),
        ("A", False, False),
    ]


@pytest.mark.hand("a weak positive rail scales the unit's own thresholds with it")
def test_a_weak_unit_still_knows_its_own_levels() -> None:
    """The unit compares with its own rail, so a weak rail does not blind it."""
    weak = VirtualUnit(rail_high=10.6, rail_low=-10.6)

    assert [sensed_state(weak, VirtualVehicle(), load) for load in "ABC"] == ["A", "B", "C"]


@pytest.mark.hand("texts of the messages")
def test_a_schedule_that_cannot_be_is_refused() -> None:
    """An empty schedule, a time of zero, an unknown load and a negative delay are each named."""
    for schedule in ([], [(0.0, "B")]):
        with pytest.raises(OutsideRange, match="give at least one load, each for more than 0 s"):
            conditions(VirtualUnit(), VirtualVehicle(), schedule)
    with pytest.raises(UnknownName, match=r"unknown load 'Z'.*Known: A, B, C, D, E"):
        conditions(VirtualUnit(), VirtualVehicle(), [(1.0, "Z")])
    with pytest.raises(OutsideRange, match="offer_delay is -1 s; it cannot be negative"):
        Controller(offer_delay=-1.0)

"""What virtual units do while loads come and go."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import accumulate, pairwise
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from coldpin.errors import OutsideRange, UnknownName
from coldpin.simulator import FAULTS, Controller, Relay, VirtualUnit, VirtualVehicle, Windows, follow, output_voltage
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


def responses(unit: VirtualUnit, schedule: Schedule) -> list[tuple[str, bool, float | None]]:
    """What was ordered: the load that was its cause, whether it closes, and the delay until the contacts followed."""
    return [
        (one.load_to, one.closes, None if one.delay is None else round(one.delay, 6))
        for one in follow(unit, VirtualVehicle(), schedule).responses
    ]


def with_controller(**changes: Any) -> VirtualUnit:
    return VirtualUnit(controller=replace(Controller(), **changes))


UP: Schedule = ((0.2, "B"), (0.3, "C"))
CLOSED = ("C", True, 0.072)
"""60 ms of the controller and 12 ms of the relay."""


@pytest.mark.hand("each reaction's own delay of the controller, and 8 ms of the relay")
@pytest.mark.parametrize(
    ("then", "changes", "delay"),
    [
        ("B", {"de_energise_delay": 0.05}, 0.058),
        ("D", {"de_energise_delay": 0.06}, 0.068),
        ("A", {"unplug_delay": 0.07}, 0.078),
        ("C, diode open", {"unplug_delay": 0.071}, 0.079),
        ("C, PE open", {"unplug_delay": 0.08}, 0.088),
        ("E", {"short_delay": 0.09}, 0.098),
        ("C, diode shorted", {"diode_loss_delay": 0.1}, 0.108),
        ("C, supply earth open", {"earth_loss_delay": 0.11}, 0.118),
        ("C, offer withdrawn", {"withdrawal_patience": 0.12}, 0.128),
    ],
)
def test_every_loss_opens_after_its_own_delay(then: str, changes: dict[str, float], delay: float) -> None:
    """What is lost in the middle opens the contacts, each by a clock of its own."""
    assert responses(with_controller(**changes), (*UP, (0.5, then))) == [CLOSED, (then, False, delay)]


@pytest.mark.hand("without the safeguard nothing is ordered")
@pytest.mark.parametrize(
    ("then", "changes"),
    [
        ("C, diode shorted", {"watches_diode": False}),
        ("C, supply earth open", {"monitors_supply_earth": False}),
        ("E", {"short_delay": math.inf}),
        ("D", {"accepts_d": True}),
        ("C, offer withdrawn", {}),
    ],
)
def test_without_the_safeguard_it_stays_closed(then: str, changes: dict[str, Any]) -> None:
    """A safeguard that is not there, or a patience that is not over, leaves the contacts closed."""
    assert responses(with_controller(**changes), (*UP, (3.0, then))) == [CLOSED]


@pytest.mark.hand("withdrawn: 20 ms to stop the oscillator; the contacts wait 6.5 s, or for the vehicle")
def test_a_withdrawn_offer_gives_the_vehicle_time() -> None:
    """The oscillator stops at once, the contacts stay for a vehicle that stays in C, and follow one that leaves."""
    stays = told(VirtualUnit(), VirtualVehicle(), (*UP, (8.0, "C, offer withdrawn")))
    leaves = responses(VirtualUnit(), (*UP, (1.0, "C, offer withdrawn"), (0.5, "B, offer withdrawn")))

    assert stays[-3:] == [
        (0.5, "C, offer withdrawn", True, True),
        (0.52, "C, offer withdrawn", False, True),
        (7.008, "C, offer withdrawn", False, False),
    ]
    assert leaves == [CLOSED, ("B, offer withdrawn", False, 0.038)]


@pytest.mark.hand("state F for 0.5 s after a lost diode, then an offer again, but no closing before a new request")
def test_it_refuses_for_a_while_and_waits_for_a_new_request() -> None:
    """After a lost diode the pilot rests low, then the unit offers again; it closes only when C is asked for anew."""
    schedule = (*UP, (1.0, "C, diode shorted"), (0.5, "C"), (0.2, "B"), (0.2, "C"))
    low = [part for part in conditions(VirtualUnit(), VirtualVehicle(), schedule) if part.rest == "low"]

    assert sum(part.end - part.start for part in low) == pytest.approx(0.5)
    assert low[0].start == pytest.approx(0.65), "50 ms to see it, 100 ms for the contacts to part"
    assert [one[:2] for one in responses(VirtualUnit(), schedule)] == [
        ("C", True),
        ("C, diode shorted", False),
        ("C", True),
    ]


@pytest.mark.hand("welded at the first closing: noticed 0.3 s after the contacts should have parted, then F for good")
def test_a_noticed_weld_ends_the_offers() -> None:
    """A unit that notices refuses from then on, whatever comes; one that does not goes on offering."""
    schedule = (*UP, (1.0, "B"), (0.5, "A"), (0.5, "B"))
    welded = VirtualUnit(relay=Relay(weld="both poles"))
    blind = replace(welded, controller=Controller(notices_weld=False))
    (first, *_) = [part for part in conditions(welded, VirtualVehicle(), schedule) if part.rest == "low"]

    assert first.start == pytest.approx(0.5 + 0.03 + 0.008 + 0.3 + 0.1)
    assert conditions(welded, VirtualVehicle(), schedule)[-1].rest == "low"
    assert conditions(blind, VirtualVehicle(), schedule)[-1].oscillating
    for unit in (welded, blind):
        assert conditions(unit, VirtualVehicle(), schedule)[-1].energised
        assert output_voltage(unit, VirtualVehicle(), "B") == 0.0, "connected for long, but never closed before"
    assert output_voltage(replace(welded, relay=Relay(weld="one pole", welds_after=0)), VirtualVehicle(), "A") == 230.0


@pytest.mark.hand("the supply takes the relay's coil with it; boot 0.4 s, offer 0.04 s, closing 0.06 s, relay 0.012 s")
def test_a_returning_supply_starts_again_from_the_beginning() -> None:
    """Without supply the contacts fall open; when it returns nothing is live before sensing, offer and delay."""
    schedule = (*UP, (0.3, "C, supply off"), (1.0, "C"))
    assert responses(VirtualUnit(), schedule) == [CLOSED, ("C, supply off", False, 0.008), ("C", True, 0.512)]
    uncoupled = (*UP, (0.3, "C, supply off"), (0.3, "A, supply off"), (1.0, "A"))
    assert responses(VirtualUnit(), uncoupled) == [CLOSED, ("C, supply off", False, 0.008)]

    resumed = responses(with_controller(resumes_after_interruption=True), uncoupled)
    assert resumed[2:] == [("A", True, 0.012), ("A", False, round(0.4 + 0.03 + 0.008, 6))]
    pulsed = responses(with_controller(boot_pulse=0.1), ((0.2, "A"), (0.2, "A, supply off"), (1.0, "A")))
    assert pulsed == [("A", True, 0.012), ("A", False, 0.108)]


@pytest.mark.published("public notes on the control pilot: B at 1870 to 4610 Ω, C with R3 of 909 to 1723 Ω")
@pytest.mark.parametrize(
    ("load", "letter", "shifted", "taken_for"),
    [
        ("B 1870", "B", {"b_c": 0.70}, "C"),
        ("B 4610", "B", {"a_b": 0.80}, "A"),
        ("C 909", "C", {"c_d": 0.47}, "D"),
        ("C 1723", "C", {"b_c": 0.53}, "B"),
        ("C 909, R2 1870", "C", {"c_d": 0.47}, "D"),
        ("C 1723, R2 4610", "C", {"b_c": 0.53}, "B"),
    ],
)
def test_boundary_resistances(load: str, letter: str, shifted: dict[str, float], taken_for: str) -> None:
    """A sound unit knows each boundary for what it is; one with shifted thresholds does not, but knows the middles."""
    odd = with_controller(windows=replace(Windows(), **shifted))

    assert sensed_state(VirtualUnit(), VirtualVehicle(), load) == letter
    assert sensed_state(odd, VirtualVehicle(), load) == taken_for
    assert [sensed_state(odd, VirtualVehicle(), one) for one in "ABCE"] == ["A", "B", "C", "E"]


@pytest.mark.hand("a level within the hysteresis of a threshold is what it was before")
def test_hysteresis_keeps_what_was() -> None:
    """Within the hysteresis the state stays; beyond it, it changes."""
    windows = Windows(hysteresis=0.02)

    assert [windows.sense(0.63, before) for before in "BC"] == ["B", "C"]
    assert [windows.sense(0.65, before) for before in "BC"] == ["B", "B"]
    assert [windows.sense(0.60, before) for before in "BC"] == ["C", "C"]
    assert windows.sense(0.05, "A") == "E"


@pytest.mark.hand("plugged in while the vehicle asks already: offer after 40 ms, closing 60 ms later, relay 12 ms")
def test_a_simplified_vehicle_goes_straight_to_c() -> None:
    """A vehicle that is in C when it is plugged in is offered a current first and then served."""
    assert responses(VirtualUnit(), ((0.2, "A"), (0.5, "C"))) == [("C", True, 0.112)]
    assert responses(with_controller(needs_offer=False), ((0.2, "A"), (0.5, "C"))) == [("C", True, 0.072)]


WORDS = st.sampled_from(
    (
        *("A", "B", "C", "D", "E", "B 1870", "C 909", "C, diode shorted", "C, PE open", "C, supply off"),
        *("A, supply off", "B, supply earth open", "C, supply earth open", "C, offer withdrawn", "B, duty 10"),
        "C, duty 50",
    )
)
SCHEDULES = st.lists(st.tuples(st.floats(0.001, 3.0), WORDS), min_size=1, max_size=12)
UNITS = st.sampled_from([VirtualUnit(), *(one.unit(VirtualUnit()) for one in FAULTS.values())])


@given(schedule=SCHEDULES, unit=UNITS, seed=st.integers(0, 1000))
@pytest.mark.hand("what a schedule is: one thing after the other, without gap, and the same again for the same seed")
def test_any_schedule_is_followed_without_gap(schedule: Schedule, unit: VirtualUnit, seed: int) -> None:
    """Stretches join from zero to the end; contacts move in order, never before their coil; the same seed tells it."""
    course = follow(unit, VirtualVehicle(), schedule, rng=np.random.default_rng(seed))
    parts = course.conditions
    ends = list(accumulate(seconds for seconds, _ in schedule))

    assert parts[0].start == 0.0
    assert parts[-1].end == ends[-1]
    assert all(one.end == other.start for one, other in pairwise(parts))
    assert all(part.end > part.start for part in parts)
    assert {end for end in ends[:-1] if any(part.start == end for part in parts)} <= set(ends)
    touched = [touch.at for touch in course.contacts]
    assert touched == sorted(touched)
    for one in course.responses:
        assert one.changed <= one.commanded
        assert one.contacts is None or one.commanded <= one.contacts
    assert all(not part.energised or "supply off" not in part.load for part in parts)
    assert course == follow(unit, VirtualVehicle(), schedule, rng=np.random.default_rng(seed))


@given(schedule=st.lists(st.tuples(st.floats(0.3, 3.0), WORDS), min_size=1, max_size=12))
@example(schedule=[(1.0, "C, duty 50"), (1.0, "C, offer withdrawn"), (1.0, "C, diode shorted")])
@pytest.mark.hand("a sound unit opens within 0.2 s and its relay's 8 ms, whatever takes the request away")
def test_a_sound_unit_is_live_only_when_asked(schedule: Schedule) -> None:
    """Whatever comes, the pins of a sound unit are dead once no request has been there for its slowest reaction."""
    asks = ("C", "C 909", "C, offer withdrawn", "C, duty 50")
    asked_until = 0.0
    for part in conditions(VirtualUnit(), VirtualVehicle(), schedule):
        if part.load in asks:
            asked_until = part.end
        elif part.energised:
            assert part.end <= asked_until + 0.208 + 1e-9


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
    with pytest.raises(OutsideRange, match="each lies below the one before"):
        Windows(b_c=0.9)

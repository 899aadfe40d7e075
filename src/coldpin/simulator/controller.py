"""What the unit does while loads come and go: when its oscillator runs, its relay is driven, its pins are live."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from coldpin.simulator.connection import diode_seen, sensed_state
from coldpin.simulator.contacts import Cause, Contacts
from coldpin.simulator.course import Condition, Contact, Course, Rest, joined
from coldpin.simulator.load import Load, Schedule, check_schedule, read_load
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

CONNECTED_BEFORE = 60.0
"""The first load has been connected for this long when a schedule starts. [s]"""


def output_voltage(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> float:
    """Return the largest voltage between power pins, or from one to earth, once a load has been connected for long.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, powered from the mains.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.

    Returns
    -------
    float
        R.m.s. voltage; with one pole closed that pole is live to earth. [V]

    Examples
    --------
    >>> output_voltage(VirtualUnit(), VirtualVehicle(), "A")
    0.0
    >>> output_voltage(VirtualUnit(output="always live"), VirtualVehicle(), "A")
    230.0
    """
    return output_after(unit, vehicle, [(1.0, load)])


def output_after(unit: VirtualUnit, vehicle: VirtualVehicle, schedule: Schedule) -> float:
    """Return the largest voltage between power pins, or from one to earth, at the end of a schedule.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, powered from the mains.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    schedule : sequence of (float, str)
        Seconds and load.

    Returns
    -------
    float
        R.m.s. voltage. [V]

    Examples
    --------
    >>> output_after(VirtualUnit(), VirtualVehicle(), [(1.0, "C"), (1.0, "C, supply off"), (5.0, "C")])
    230.0
    """
    contacts = follow(unit, vehicle, schedule).contacts
    return unit.mains if read_load(schedule[-1][1]).supply and contacts[-1].part > 0.0 else 0.0


def output_during(unit: VirtualUnit, vehicle: VirtualVehicle, schedule: Schedule) -> float:
    """Return the largest voltage between power pins, or from one to earth, during the last step of a schedule.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, powered from the mains.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    schedule : sequence of (float, str)
        Seconds and load.

    Returns
    -------
    float
        R.m.s. voltage, were it there only for a moment. [V]

    Examples
    --------
    >>> output_during(VirtualUnit(), VirtualVehicle(), [(1.0, "A, supply off"), (5.0, "A")])
    0.0
    """
    contacts = follow(unit, vehicle, schedule).contacts
    begins = sum(seconds for seconds, _ in schedule[:-1])
    before = [contact.part for contact in contacts if contact.at <= begins]
    since = [contact.part for contact in contacts if contact.at > begins]
    return unit.mains if read_load(schedule[-1][1]).supply and max([before[-1], *since]) > 0.0 else 0.0


def conditions(unit: VirtualUnit, vehicle: VirtualVehicle, schedule: Schedule) -> tuple[Condition, ...]:
    """Follow the controller through a schedule with a relay of no spread, and return the stretches alone.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    schedule : sequence of (float, str)
        Seconds and load.

    Returns
    -------
    tuple of Condition
        Stretches without gap, in order.

    Raises
    ------
    OutsideRange
        The schedule is empty, or one of its times is not above zero.
    UnknownName
        A load is not known.

    Examples
    --------
    >>> for part in conditions(VirtualUnit(), VirtualVehicle(), [(0.1, "A"), (0.1, "B"), (0.2, "C")]):
    ...     print(f"{part.start:.3f} {part.load} {part.oscillating} {part.commanded} {part.energised}")
    0.000 A False False False
    0.100 B False False False
    0.140 B True False False
    0.200 C True False False
    0.260 C True True False
    0.272 C True True True
    """
    return follow(unit, vehicle, schedule).conditions


def follow(
    unit: VirtualUnit, vehicle: VirtualVehicle, schedule: Schedule, *, rng: np.random.Generator | None = None
) -> Course:
    """Follow controller and contacts through a schedule; the first load has been connected for long when it starts.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    schedule : sequence of (float, str)
        Seconds and load.
    rng : numpy.random.Generator, optional
        Where the relay's spread and bounces come from; without it they are always the same.

    Returns
    -------
    Course
        Stretches, contacts and responses.

    Raises
    ------
    OutsideRange
        The schedule is empty, or one of its times is not above zero.
    UnknownName
        A load is not known.

    Examples
    --------
    >>> (up, down) = follow(VirtualUnit(), VirtualVehicle(), [(0.2, "B"), (0.3, "C"), (0.2, "B")]).responses
    >>> round(up.delay, 3), round(down.delay, 3)
    (0.072, 0.038)
    """
    check_schedule(schedule)
    contacts = Contacts(relay=unit.relay, output=unit.output, rng=rng or np.random.default_rng(0))
    running = _Running(unit, vehicle, contacts)
    pieces = list(running.follow(schedule[0][1], -CONNECTED_BEFORE, 0.0))
    contacts.responses.clear()
    before = contacts.part
    contacts.touches = [touch for touch in contacts.touches if touch.at > 0.0]
    pieces.clear()
    start = 0.0
    for seconds, load in schedule:
        pieces.extend(running.follow(load, start, start + seconds))
        start += seconds
    touches = (Contact(at=-math.inf, part=before), *contacts.touches)
    return Course(conditions=joined(pieces), contacts=touches, responses=tuple(contacts.responses))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What the controller makes of a load at an instant."""

    awake: bool
    asks: bool
    letter: str
    diode: bool
    load: Load


class _Running:
    """The controller at work: what it believes, and since when.

    Every reaction is a condition that must hold for as long as a delay. ``since`` says when each began to hold,
    ``coming`` when the next of them will have held for long enough.
    """

    def __init__(self, unit: VirtualUnit, vehicle: VirtualVehicle, contacts: Contacts) -> None:
        self.unit = unit
        self.vehicle = vehicle
        self.does = unit.controller
        self.contacts = contacts
        self.cause = Cause(at=-CONNECTED_BEFORE, load_from="", load_to="")
        self.letter = ""
        self.oscillating = False
        self.duty = unit.duty
        self.duty_changed = -math.inf
        self.refuses_from: float | None = None
        self.refuses = False
        self.new_request_needed = False
        self.diode_was_seen = False
        self.supplied = False
        self.awake_at = math.inf
        self.closed_when_supply_went = False
        self.since: dict[str, float] = {}
        self.coming: list[float] = []

    def follow(self, word: str, start: float, end: float) -> Iterator[Condition]:
        """Yield the stretches of one step of a schedule."""
        load = read_load(word)
        if word != self.cause.load_to:
            self.cause = Cause(at=start, load_from=self.cause.load_to, load_to=word)
        now = start
        while now < end:
            self._consider(word, load, now)
            until = min((at for at in self._instants() if at > now), default=end)
            until = min(until, end)
            yield self._condition(word, load, now, until)
            now = until

    def _instants(self) -> Iterator[float]:
        yield from self.coming
        if self.contacts.due is not None:
            yield self.contacts.due
        yield self.unit.oscillator_dies

    def _condition(self, word: str, load: Load, start: float, end: float) -> Condition:
        rest: Rest = "off" if not load.supply else "low" if self.refuses else "high"
        return Condition(
            start=start,
            end=end,
            load=word,
            oscillating=self.oscillating and start < self.unit.oscillator_dies,
            energised=load.supply and self.contacts.part == 1.0,
            commanded=self.contacts.coil,
            rest=rest,
            duty=self.duty,
        )

    def _held(self, name: str, holds: bool, now: float, delay: float) -> bool:
        """Say whether a condition has held for as long as a delay, and note when it will have."""
        if not holds:
            self.since.pop(name, None)
            return False
        at = self.since.setdefault(name, now) + delay
        if at <= now:
            return True
        self.coming.append(at)
        return False

    def _consider(self, word: str, load: Load, now: float) -> None:
        """Let everything happen that is due at an instant."""
        self.coming = []
        self._supply(load, now)
        self.contacts.move(now)
        if not self.supplied:
            return
        seen = self._look(word, load, now)
        self._refuse(seen, now)
        ran = self.oscillating
        self._offer(seen, now)
        # The oscillator has just moved or not: the low level is there to be seen only while it runs.
        seen = replace(seen, diode=self._diode(word))
        if self.oscillating != ran:
            self._refuse(seen, now)
        self._contacts(seen, now)
        self.contacts.move(now)

    def _supply(self, load: Load, now: float) -> None:
        if load.supply and not self.supplied:
            self.supplied, self.awake_at = True, now + self.does.boot_delay
            self.since.clear()
            self.letter, self.refuses, self.refuses_from = "", False, None
            self.new_request_needed = False
            pulls_in = self.does.boot_pulse > 0.0
            if pulls_in or (self.does.resumes_after_interruption and self.closed_when_supply_went):
                self._drive(True, now)
        elif not load.supply and self.supplied:
            self.supplied, self.oscillating = False, False
            self.closed_when_supply_went = self.contacts.coil
            if self.contacts.coil:
                self._drive(False, now)

    def _look(self, word: str, load: Load, now: float) -> _Seen:
        awake = self._held("awake", True, now, max(0.0, self.does.boot_delay)) or not self.does.senses_state
        if awake and not self.refuses:
            self.letter = sensed_state(self.unit, self.vehicle, word, self.letter)
        asks = self.letter in (("C", "D") if self.does.accepts_d else ("C",))
        if not asks:
            self.new_request_needed = False
        return _Seen(awake=awake, asks=asks, letter=self.letter or "A", diode=self._diode(word), load=load)

    def _diode(self, word: str) -> bool:
        runs = self.oscillating and not self.refuses
        return runs and diode_seen(self.unit, self.vehicle, word)

    def _refuse(self, seen: _Seen, now: float) -> None:
        """Enter or leave the refusing state, in which the pilot rests at its low rail."""
        does, closed = self.does, self.contacts.coil
        monitors = does.senses_state and does.monitors_supply_earth
        no_earth = self._held("no earth", monitors and not seen.load.supply_earth, now, does.earth_loss_delay)
        may_be_welded = does.notices_weld and self.unit.output == "switched"
        welded = self._held("weld", may_be_welded and not closed and self.contacts.part > 0.0, now, does.weld_delay)
        lost = self._held(
            "diode lost",
            does.watches_diode and closed and seen.asks and self.oscillating and self.diode_was_seen and not seen.diode,
            now,
            does.diode_loss_delay,
        )
        if (no_earth or welded or lost) and self.refuses_from is None:
            self.refuses_from = now + does.refusal_delay
            self.new_request_needed = True
            if closed:
                self._drive(False, now)
        if self.refuses_from is None:
            return
        if self.refuses_from > now:
            self.coming.append(self.refuses_from)
            return
        self.refuses, self.oscillating = True, False
        if no_earth or welded:
            return
        if self.refuses_from + does.fault_hold > now:
            self.coming.append(self.refuses_from + does.fault_hold)
            return
        self.refuses, self.refuses_from, self.letter = False, None, ""

    def _offer(self, seen: _Seen, now: float) -> None:
        does = self.does
        asked_for = seen.awake and seen.letter != "A" and not seen.load.withdrawn
        wanted = not does.senses_state or (asked_for and not self.refuses)
        if self._held("oscillator", wanted != self.oscillating, now, does.offer_delay if wanted else does.stop_delay):
            self.oscillating = wanted
            self.since.pop("oscillator")
        setting = self.unit.duty if seen.load.duty is None else seen.load.duty
        if setting != self.duty:
            at = self.duty_changed + does.offer_interval
            if at <= now:
                self.duty, self.duty_changed = setting, now
            else:
                self.coming.append(at)

    def _contacts(self, seen: _Seen, now: float) -> None:
        does = self.does
        if self.contacts.coil:
            if self._opens(seen, now):
                self._drive(False, now)
            return
        earthed = seen.load.supply_earth or not (does.senses_state and does.monitors_supply_earth)
        may = seen.awake and earthed and self.refuses_from is None and not self.new_request_needed
        offered = self.oscillating or not does.needs_offer
        diode = seen.diode or not does.checks_diode or not self.oscillating
        if self._held("close", may and seen.asks and offered and diode, now, does.energise_delay):
            self.diode_was_seen = seen.diode
            self._drive(True, now)

    def _opens(self, seen: _Seen, now: float) -> bool:
        """Say whether a closed relay is let go."""
        does = self.does
        if not seen.awake:
            pulse = 0.0 < does.boot_pulse < does.boot_delay and not does.resumes_after_interruption
            return self._held("boot pulse", pulse, now, does.boot_pulse)
        # One clock runs from the moment it was no longer asked; how long it may run, the present letter says.
        allowed = {"A": does.unplug_delay, "E": does.short_delay}.get(seen.letter, does.de_energise_delay)
        out_of_patience = self._held("withdrawn", seen.load.withdrawn, now, does.withdrawal_patience)
        # A unit that would close without an offer must not do so again in the same breath.
        self.new_request_needed = self.new_request_needed or (out_of_patience and not does.needs_offer)
        return self._held("no longer asked", not seen.asks, now, allowed) or out_of_patience

    def _drive(self, on: bool, now: float) -> None:
        self.contacts.drive(on, now, self.cause)
        for name in ("close", "no longer asked", "withdrawn", "boot pulse", "diode lost", "weld"):
            self.since.pop(name, None)

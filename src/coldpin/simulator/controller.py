"""What the unit does while loads come and go: when its oscillator runs and when its output is live."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from coldpin.errors import OutsideRange
from coldpin.simulator.circuit import Network
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

Schedule = Sequence[tuple[float, str]]
"""What is connected for how long: pairs of seconds and a load of :data:`coldpin.simulator.vehicle.LOADS`."""

# The unit's own idea of the states: halfway between the levels it expects on twelve-volt rails.
_THRESHOLDS = ((0.875, "A"), (0.625, "B"), (0.375, "C"), (0.125, "D"))
_LOW_REACHED = 0.92


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A stretch of time in which nothing is switched: what is connected, and what the unit does.

    Times are from the start of the schedule [s]. ``oscillating`` false means a steady high level.
    """

    start: float
    end: float
    load: str
    oscillating: bool
    energised: bool


def network(unit: VirtualUnit, vehicle: VirtualVehicle, load: str, *, probe: tuple[float, float, float]) -> Network:
    """Put unit, vehicle and probe together for one load.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.
    probe : tuple of float
        Resistance [Ω] and capacitance [F] of the probe and time constant of the scope's input [s].

    Returns
    -------
    Network
        The parts as seen from the connector's pilot pin.
    """
    probe_resistance, probe_capacitance, lag = probe
    broken = unit.pilot == "open"
    shunt = 1.0 / probe_resistance
    if unit.pilot == "shorted":
        shunt += 1.0 / unit.short_resistance
    if load == "E":
        shunt += 1.0 / vehicle.short
    resistance = vehicle.resistance(load)
    # What is left beyond a break is a stretch of cable: a tenth of the whole keeps the node a node.
    own = 0.1 * unit.capacitance if broken else unit.capacitance
    return Network(
        source_resistance=math.inf if broken else unit.source_resistance,
        capacitance=own + probe_capacitance + (0.0 if load == "A" else vehicle.capacitance),
        shunt=shunt,
        load=resistance,
        diode=vehicle.diode == "present",
        diode_saturation=vehicle.diode_saturation,
        diode_emission=vehicle.diode_emission,
        scope_lag=lag,
    )


def sensed_state(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> str:
    """Return the state a unit takes a load for, by its own thresholds on the high level.

    Parameters
    ----------
    unit : VirtualUnit
        The unit, which looks at its own end of the pilot.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.

    Returns
    -------
    str
        A letter from A to E.

    Examples
    --------
    >>> [sensed_state(VirtualUnit(), VirtualVehicle(), load) for load in "ABCDE"]
    ['A', 'B', 'C', 'D', 'E']
    >>> sensed_state(VirtualUnit(), VirtualVehicle(diode="open"), "C")
    'A'
    """
    if unit.pilot == "open":
        return "A"
    level = _seen_by_unit(unit, vehicle, load).settled(unit.rail_high)
    return next((state for part, state in _THRESHOLDS if level > part * unit.rail_high), "E")


def _seen_by_unit(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> Network:
    return network(unit, vehicle, load, probe=(math.inf, 0.0, 0.0))


def _diode_seen(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> bool:
    return _seen_by_unit(unit, vehicle, load).settled(unit.rail_low) < _LOW_REACHED * unit.rail_low


def wants_to_energise(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> bool:
    """Say whether the controller wants its output live while it oscillates into a load.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    vehicle : VirtualVehicle
        The vehicle or its stand-in.
    load : str
        What is connected.

    Returns
    -------
    bool
        True where the state asks for power and, if the unit looks, the diode is there.

    Examples
    --------
    >>> wants_to_energise(VirtualUnit(), VirtualVehicle(), "C")
    True
    >>> wants_to_energise(VirtualUnit(), VirtualVehicle(diode="shorted"), "C")
    False
    """
    asks = ("C", "D") if unit.controller.accepts_d else ("C",)
    if sensed_state(unit, vehicle, load) not in asks:
        return False
    return not unit.controller.checks_diode or _diode_seen(unit, vehicle, load)


def output_voltage(unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> float:
    """Return the voltage between the connector's power pins once a load has been connected for long.

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
        R.m.s. voltage. [V]

    Examples
    --------
    >>> output_voltage(VirtualUnit(), VirtualVehicle(), "A")
    0.0
    >>> output_voltage(VirtualUnit(output="always live"), VirtualVehicle(), "A")
    230.0
    """
    (last,) = conditions(unit, vehicle, [(1.0, load)])
    return unit.mains if last.energised else 0.0


def conditions(unit: VirtualUnit, vehicle: VirtualVehicle, schedule: Schedule) -> tuple[Condition, ...]:
    """Follow the controller through a schedule; the first load has been connected for long when it starts.

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

    Examples
    --------
    >>> for part in conditions(VirtualUnit(), VirtualVehicle(), [(0.1, "A"), (0.1, "B"), (0.2, "C")]):
    ...     print(f"{part.start:.2f} {part.load} {part.oscillating} {part.energised}")
    0.00 A False False
    0.10 B False False
    0.14 B True False
    0.20 C True False
    0.26 C True True
    """
    if not schedule or min(seconds for seconds, _ in schedule) <= 0.0:
        raise OutsideRange(
            "virtual schedule: give at least one load, each for more than 0 s, such as [(0.3, 'A'), (0.5, 'B')]"
        )
    pieces: list[Condition] = []
    switches = _Switches(unit=unit, vehicle=vehicle, load=schedule[0][1])
    start = 0.0
    for seconds, load in schedule:
        end = start + seconds
        pieces.extend(switches.follow(load, start, end))
        start = end
    return tuple(_joined(pieces))


@dataclass(slots=True, kw_only=True)
class _Switch:
    """A thing that follows what is wanted of it after a delay, unless the wish passes before."""

    on: bool
    due: float | None = None

    def want(self, wish: bool, now: float, delay: float) -> None:
        if wish == self.on:
            self.due = None
        elif self.due is None:
            self.due = now + delay

    def act(self, now: float) -> None:
        if self.due is not None and self.due <= now:
            self.on, self.due = not self.on, None


class _Switches:
    """Oscillator and contacts of a unit."""

    def __init__(self, *, unit: VirtualUnit, vehicle: VirtualVehicle, load: str) -> None:
        self.unit = unit
        self.vehicle = vehicle
        self.oscillator = _Switch(on=self._offer_wanted(load))
        self.contacts = _Switch(on=self.oscillator.on and wants_to_energise(unit, vehicle, load))

    def _offer_wanted(self, load: str) -> bool:
        return not self.unit.controller.senses_state or sensed_state(self.unit, self.vehicle, load) != "A"

    def _consider(self, load: str, now: float) -> None:
        delays = self.unit.controller
        offer = self._offer_wanted(load)
        self.oscillator.want(offer, now, delays.offer_delay if offer else delays.stop_delay)
        self.oscillator.act(now)
        close = self.oscillator.on and wants_to_energise(self.unit, self.vehicle, load)
        self.contacts.want(close, now, delays.energise_delay if close else delays.de_energise_delay)
        self.contacts.act(now)

    def follow(self, load: str, start: float, end: float) -> Iterator[Condition]:
        now = start
        self._consider(load, now)
        while now < end:
            coming = [due for due in (self.oscillator.due, self.contacts.due) if due is not None and due < end]
            until = min(coming, default=end)
            if until > now:
                yield Condition(start=now, end=until, load=load, oscillating=self.oscillator.on, energised=self._live())
            now = until
            if now < end:
                self._consider(load, now)

    def _live(self) -> bool:
        match self.unit.output:
            case "always live":
                return True
            case "never":
                return False
            case "switched":
                return self.contacts.on


def _joined(pieces: Sequence[Condition]) -> list[Condition]:
    joined: list[Condition] = []
    for piece in pieces:
        if joined and replace(joined[-1], start=piece.start, end=piece.end) == piece:
            joined[-1] = replace(joined[-1], end=piece.end)
        else:
            joined.append(piece)
    return joined

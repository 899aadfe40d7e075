"""Faults to build into a virtual specimen, one record each, so that tests and tables can go through them all."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from coldpin.errors import UnknownName
from coldpin.simulator.load import Schedule, repeated
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

OLD_DUTY = {10.0: 16.0, 16.0: 25.0, 32.0: 50.0}
"""Duty [%] by current [A] of an old mapping that is still copied around in generator boards."""

STEPS: Schedule = ((0.1, "A"), (0.2, "B"), (0.4, "C"), (0.4, "B"), (0.2, "C"), (0.4, "A"))
"""Connected, asking, no longer asking, asking again, unplugged while live."""

SHORTED: Schedule = ((0.1, "A"), (0.2, "B, diode shorted"), (0.4, "C, diode shorted"), (0.2, "A"))
VENTILATED: Schedule = ((0.1, "A"), (0.2, "B"), (0.4, "D"), (0.2, "A"))
DIODE_LOST: Schedule = ((0.2, "B"), (0.4, "C"), (0.8, "C, diode shorted"), (0.3, "B"))
EARTH_LOST: Schedule = ((0.2, "B"), (0.4, "C"), (0.4, "C, PE open"))
PILOT_SHORTED: Schedule = ((0.2, "B"), (0.4, "C"), (4.0, "E"))
WITHDRAWN: Schedule = ((0.2, "B"), (0.4, "C"), (0.5, "C, offer withdrawn"), (0.3, "B, offer withdrawn"))
NEVER_OFFERED: Schedule = ((0.2, "A, offer withdrawn"), (0.2, "B, offer withdrawn"), (0.4, "C, offer withdrawn"))
INTERRUPTED: Schedule = ((0.3, "A"), (0.4, "A, supply off"), (1.0, "A"))
INTERRUPTED_LIVE: Schedule = ((0.2, "B"), (0.3, "C"), (0.2, "C, supply off"), (0.2, "A, supply off"), (1.0, "A"))
NO_EARTH_UPSTREAM: Schedule = (
    (0.3, "A, supply earth open"),
    (0.3, "B, supply earth open"),
    (0.4, "C, supply earth open"),
)
OFFER_STEPS: Schedule = ((0.5, "B"), (0.5, "B, duty 16.7"), (0.5, "B, duty 20"))


def boundary(load: str) -> Schedule:
    """Return the steps that ask how a unit takes one resistance.

    Parameters
    ----------
    load : str
        The load at a boundary, such as "B 1870".

    Returns
    -------
    sequence of (float, str)
        Nothing, then connected if the load asks for power, then the load, then nothing.

    Examples
    --------
    >>> boundary("C 909")
    ((0.1, 'A'), (0.2, 'B'), (0.5, 'C 909'), (0.2, 'A'))
    """
    before: Schedule = ((0.1, "A"),) if load.startswith("B") else ((0.1, "A"), (0.2, "B"))
    return (*before, (0.5, load), (0.2, "A"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A fault: what it is, and what it changes in unit or vehicle.

    ``shown_by`` is a schedule under which it can be seen; ``shows_on_pilot`` and ``shows_on_output`` say whether the
    pilot, and the output beside it, then differ from those of a sound specimen at all.
    """

    name: str
    meaning: str
    shows_on_pilot: bool
    shows_on_output: bool
    shown_by: Schedule = STEPS
    unit: Callable[[VirtualUnit], VirtualUnit] = lambda unit: unit
    vehicle: Callable[[VirtualVehicle], VirtualVehicle] = lambda vehicle: vehicle

    def applied(self, unit: VirtualUnit, vehicle: VirtualVehicle) -> tuple[VirtualUnit, VirtualVehicle]:
        """Return unit and vehicle with the fault.

        Parameters
        ----------
        unit : VirtualUnit
            The unit without it.
        vehicle : VirtualVehicle
            The vehicle or its stand-in without it.

        Returns
        -------
        tuple of VirtualUnit and VirtualVehicle
            Both with it; the one it does not concern is as given.
        """
        return self.unit(unit), self.vehicle(vehicle)


def _controller(unit: VirtualUnit, **changes: Any) -> VirtualUnit:
    return replace(unit, controller=replace(unit.controller, **changes))


def _windows(unit: VirtualUnit, **changes: float) -> VirtualUnit:
    return _controller(unit, windows=replace(unit.controller.windows, **changes))


def _relay(unit: VirtualUnit, **changes: Any) -> VirtualUnit:
    return replace(unit, relay=replace(unit.relay, **changes))


def old_duty(unit: VirtualUnit, *, setting: float) -> VirtualUnit:
    """Return a unit that signals a current by the old mapping.

    Parameters
    ----------
    unit : VirtualUnit
        The unit.
    setting : float
        The current it means to offer, one of :data:`OLD_DUTY`. [A]

    Returns
    -------
    VirtualUnit
        The same unit with another duty cycle.

    Raises
    ------
    UnknownName
        The old mapping has no such current.

    Examples
    --------
    >>> old_duty(VirtualUnit(), setting=16.0).duty
    25.0
    """
    if setting not in OLD_DUTY:
        raise UnknownName.among("current of the old mapping", f"{setting:g}", [f"{one:g}" for one in OLD_DUTY])
    return replace(unit, duty=OLD_DUTY[setting])


_FAULTS = (
    Fault(
        name="duty off",
        meaning="the duty cycle is 2.5 points low",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, duty=unit.duty - 2.5),
    ),
    Fault(
        name="old duty mapping",
        meaning="16 A is signalled by 25 %, as an old mapping has it",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: old_duty(unit, setting=16.0),
    ),
    Fault(
        name="weak negative rail",
        meaning="the driver does not reach its negative rail",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, rail_low=0.88 * unit.rail_low),
    ),
    Fault(
        name="weak positive rail",
        meaning="the driver does not reach its positive rail",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, rail_high=0.88 * unit.rail_high),
    ),
    Fault(
        name="wrong frequency",
        meaning="the oscillator runs 6 % slow",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, frequency=0.94 * unit.frequency),
    ),
    Fault(
        name="high source resistance",
        meaning="the resistor behind the driver is 15 % high",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, source_resistance=1.15 * unit.source_resistance),
    ),
    Fault(
        name="ripple",
        meaning="both rails carry half a volt of ripple at twice the mains frequency",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, ripple=0.5),
    ),
    Fault(
        name="spikes on the pilot",
        meaning="pulses of 8 V and up to 40 µs couple onto the pilot, forty a second",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, spike_rate=40.0),
    ),
    Fault(
        name="pilot open",
        meaning="the pilot is broken between generator and connector pin",
        shows_on_pilot=True,
        shows_on_output=True,
        unit=lambda unit: replace(unit, pilot="open"),
    ),
    Fault(
        name="pilot shorted",
        meaning="the pilot is shorted to earth inside the specimen",
        shows_on_pilot=True,
        shows_on_output=True,
        unit=lambda unit: replace(unit, pilot="shorted"),
    ),
    Fault(
        name="pins always live",
        meaning="nothing switches the output",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: replace(unit, output="always live"),
    ),
    Fault(
        name="bare generator",
        meaning="a generator that senses nothing, and an output that nothing switches",
        shows_on_pilot=True,
        shows_on_output=True,
        unit=lambda unit: replace(_controller(unit, senses_state=False), output="always live"),
    ),
    Fault(
        name="diode not checked",
        meaning="the controller closes without a look at the low level",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=SHORTED,
        unit=lambda unit: _controller(unit, checks_diode=False),
    ),
    Fault(
        name="closes in D",
        meaning="the controller closes for a vehicle that wants ventilation",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=VENTILATED,
        unit=lambda unit: _controller(unit, accepts_d=True),
    ),
    Fault(
        name="low source resistance",
        meaning="the resistor behind the driver is 15 % low",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, source_resistance=0.85 * unit.source_resistance),
    ),
    Fault(
        name="slow edges",
        meaning="a filter of 6 nF too much sits from pilot to earth",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, capacitance=unit.capacitance + 6.0e-9),
    ),
    Fault(
        name="jittering oscillator",
        meaning="each edge falls up to some microseconds early or late",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, jitter=5.0e-6),
    ),
    Fault(
        name="drifting oscillator",
        meaning="frequency and duty cycle move by 4 % and 1.5 points within seconds as the unit warms up",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, frequency_drift=-0.04, duty_drift=1.5, warm_up=2.0),
    ),
    Fault(
        name="oscillator dies",
        meaning="the oscillator stops while the vehicle charges, and the pilot stays high",
        shows_on_pilot=True,
        shows_on_output=False,
        unit=lambda unit: replace(unit, oscillator_dies=0.5),
    ),
    Fault(
        name="offer changes at once",
        meaning="the offer follows each request, though the last change was less than five seconds ago",
        shows_on_pilot=True,
        shows_on_output=False,
        shown_by=OFFER_STEPS,
        unit=lambda unit: _controller(unit, offer_interval=0.0),
    ),
    Fault(
        name="slow relay",
        meaning="the contacts need 90 ms to part",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _relay(unit, operate=0.06, release=0.09),
    ),
    Fault(
        name="slow to close",
        meaning="the controller waits 3.5 s before it closes",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=((0.2, "B"), (4.0, "C"), (0.2, "B")),
        unit=lambda unit: _controller(unit, energise_delay=3.5),
    ),
    Fault(
        name="bouncing relay",
        meaning="the contacts bounce for five milliseconds",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _relay(unit, bounce=5.0e-3),
    ),
    Fault(
        name="sticking relay",
        meaning="every third opening comes 0.3 s late",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=repeated(4, (0.2, "B"), (0.3, "C"), (0.5, "B")),
        unit=lambda unit: _relay(unit, sticks_every=3, sticks_for=0.3),
    ),
    Fault(
        name="welded relay",
        meaning="both poles weld at the first closing; the unit notices and refuses",
        shows_on_pilot=True,
        shows_on_output=True,
        unit=lambda unit: _relay(unit, weld="both poles"),
    ),
    Fault(
        name="welded pole",
        meaning="one pole welds at the first closing; the unit notices and refuses",
        shows_on_pilot=True,
        shows_on_output=True,
        unit=lambda unit: _relay(unit, weld="one pole"),
    ),
    Fault(
        name="one pole not switched",
        meaning="a relay of one pole: the other goes straight through, and the unit does not look",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _controller(_relay(unit, weld="one pole", welds_after=0), notices_weld=False),
    ),
    Fault(
        name="slow discharge",
        meaning="100 nF at the output keep their voltage for seconds after opening",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: replace(unit, output_capacitance=100.0e-9),
    ),
    Fault(
        name="weld not noticed",
        meaning="both poles weld at the first closing, and the unit offers as if nothing had happened",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _controller(_relay(unit, weld="both poles"), notices_weld=False),
    ),
    Fault(
        name="opens late on B",
        meaning="the output goes dead 240 ms after the vehicle stopped asking",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _controller(unit, de_energise_delay=0.232),
    ),
    Fault(
        name="opens late on unplugging",
        meaning="the output goes dead 240 ms after the vehicle was unplugged",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _controller(unit, unplug_delay=0.232),
    ),
    Fault(
        name="never opens on pilot short",
        meaning="a pilot shorted to earth does not open the contacts",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=PILOT_SHORTED,
        unit=lambda unit: _controller(unit, short_delay=math.inf),
    ),
    Fault(
        name="slow on pilot short",
        meaning="a pilot shorted to earth opens the contacts after 3.5 s",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=PILOT_SHORTED,
        unit=lambda unit: _controller(unit, short_delay=3.5),
    ),
    Fault(
        name="diode loss ignored",
        meaning="a diode that is lost while charging changes nothing",
        shows_on_pilot=True,
        shows_on_output=True,
        shown_by=DIODE_LOST,
        unit=lambda unit: _controller(unit, watches_diode=False),
    ),
    Fault(
        name="PE loss ignored",
        meaning="the pilot returns by another conductor, so that a lost earth is not seen",
        shows_on_pilot=True,
        shows_on_output=True,
        shown_by=EARTH_LOST,
        unit=lambda unit: replace(unit, pilot_return="another conductor"),
    ),
    Fault(
        name="supply earth not monitored",
        meaning="the unit starts without an earth upstream",
        shows_on_pilot=True,
        shows_on_output=True,
        shown_by=NO_EARTH_UPSTREAM,
        unit=lambda unit: _controller(unit, monitors_supply_earth=False),
    ),
    Fault(
        name="closes without offer",
        meaning="the contacts close in C while the oscillator is off",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=NEVER_OFFERED,
        unit=lambda unit: _controller(unit, needs_offer=False),
    ),
    Fault(
        name="opens under load at once",
        meaning="where the unit stops its offer it opens without giving the vehicle time",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=WITHDRAWN,
        unit=lambda unit: _controller(unit, withdrawal_patience=0.1),
    ),
    Fault(
        name="closes in B",
        meaning="the threshold between B and C is shifted so far that a connected vehicle is taken for one that asks",
        shows_on_pilot=False,
        shows_on_output=True,
        unit=lambda unit: _windows(unit, b_c=0.79),
    ),
    Fault(
        name="misses low B",
        meaning="a vehicle at the low boundary of B, 1870 Ω, is taken for C",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=boundary("B 1870"),
        unit=lambda unit: _windows(unit, b_c=0.70),
    ),
    Fault(
        name="misses high B",
        meaning="a vehicle at the high boundary of B, 4610 Ω, is not seen",
        shows_on_pilot=True,
        shows_on_output=False,
        shown_by=boundary("B 4610"),
        unit=lambda unit: _windows(unit, a_b=0.80),
    ),
    Fault(
        name="misses low C",
        meaning="a vehicle at the low boundary of C, R3 of 909 Ω, is taken for D",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=boundary("C 909"),
        unit=lambda unit: _windows(unit, c_d=0.47),
    ),
    Fault(
        name="misses high C",
        meaning="a vehicle at the high boundary of C, R3 of 1723 Ω, is taken for B",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=boundary("C 1723"),
        unit=lambda unit: _windows(unit, b_c=0.53),
    ),
    Fault(
        name="live at power-up",
        meaning="the relay pulls in for 0.2 s as the supply comes",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=INTERRUPTED,
        unit=lambda unit: _controller(unit, boot_pulse=0.2),
    ),
    Fault(
        name="live on power return",
        meaning="the unit closes as the supply returns if it was closed before, whatever is connected",
        shows_on_pilot=False,
        shows_on_output=True,
        shown_by=INTERRUPTED_LIVE,
        unit=lambda unit: _controller(unit, resumes_after_interruption=True),
    ),
    Fault(
        name="refuses too briefly",
        meaning="the unit holds its refusal for 0.1 s only",
        shows_on_pilot=True,
        shows_on_output=False,
        shown_by=DIODE_LOST,
        unit=lambda unit: _controller(unit, fault_hold=0.1),
    ),
    Fault(
        name="vehicle diode shorted",
        meaning="the diode in the vehicle broke and conducts both ways",
        shows_on_pilot=True,
        shows_on_output=True,
        vehicle=lambda vehicle: replace(vehicle, diode="shorted"),
    ),
    Fault(
        name="vehicle diode absent",
        meaning="the vehicle was built without its diode, a wire in its place; the same waveform as a shorted one",
        shows_on_pilot=True,
        shows_on_output=True,
        vehicle=lambda vehicle: replace(vehicle, diode="absent"),
    ),
    Fault(
        name="vehicle diode open",
        meaning="the diode in the vehicle broke and no longer conducts; the pilot never sees the vehicle",
        shows_on_pilot=True,
        shows_on_output=True,
        vehicle=lambda vehicle: replace(vehicle, diode="open"),
    ),
)

FAULTS = {fault.name: fault for fault in _FAULTS}
"""Every fault by its name."""


def fault(name: str) -> Fault:
    """Return a fault by its name.

    Parameters
    ----------
    name : str
        A key of :data:`FAULTS`.

    Returns
    -------
    Fault
        The fault.

    Raises
    ------
    UnknownName
        There is no such fault; the message lists them.

    Examples
    --------
    >>> fault("weak negative rail").unit(VirtualUnit()).rail_low
    -10.56
    """
    if name not in FAULTS:
        raise UnknownName.among("fault", name, FAULTS)
    return FAULTS[name]

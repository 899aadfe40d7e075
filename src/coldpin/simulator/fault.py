"""Faults to build into a virtual specimen, one record each, so that tests and tables can go through them all."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from coldpin.errors import UnknownName
from coldpin.simulator.unit import VirtualUnit
from coldpin.simulator.vehicle import VirtualVehicle

OLD_DUTY = {10.0: 16.0, 16.0: 25.0, 32.0: 50.0}
"""Duty [%] by current [A] of an old mapping that is still copied around in generator boards."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """A fault: what it is, and what it changes in unit or vehicle.

    ``shows_on_pilot`` says whether a capture of the pilot differs from a sound one at all.
    """

    name: str
    meaning: str
    shows_on_pilot: bool
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


def _controller(unit: VirtualUnit, **changes: bool) -> VirtualUnit:
    return replace(unit, controller=replace(unit.controller, **changes))


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
        unit=lambda unit: replace(unit, duty=unit.duty - 2.5),
    ),
    Fault(
        name="old duty mapping",
        meaning="16 A is signalled by 25 %, as an old mapping has it",
        shows_on_pilot=True,
        unit=lambda unit: old_duty(unit, setting=16.0),
    ),
    Fault(
        name="weak negative rail",
        meaning="the driver does not reach its negative rail",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, rail_low=0.88 * unit.rail_low),
    ),
    Fault(
        name="weak positive rail",
        meaning="the driver does not reach its positive rail",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, rail_high=0.88 * unit.rail_high),
    ),
    Fault(
        name="wrong frequency",
        meaning="the oscillator runs 6 % slow",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, frequency=0.94 * unit.frequency),
    ),
    Fault(
        name="high source resistance",
        meaning="the resistor behind the driver is 15 % high",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, source_resistance=1.15 * unit.source_resistance),
    ),
    Fault(
        name="ripple",
        meaning="both rails carry half a volt of ripple at twice the mains frequency",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, ripple=0.5),
    ),
    Fault(
        name="pilot open",
        meaning="the pilot is broken between generator and connector pin",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, pilot="open"),
    ),
    Fault(
        name="pilot shorted",
        meaning="the pilot is shorted to earth inside the specimen",
        shows_on_pilot=True,
        unit=lambda unit: replace(unit, pilot="shorted"),
    ),
    Fault(
        name="pins always live",
        meaning="nothing switches the output",
        shows_on_pilot=False,
        unit=lambda unit: replace(unit, output="always live"),
    ),
    Fault(
        name="bare generator",
        meaning="a generator that senses nothing, and an output that nothing switches",
        shows_on_pilot=True,
        unit=lambda unit: replace(_controller(unit, senses_state=False), output="always live"),
    ),
    Fault(
        name="diode not checked",
        meaning="the controller closes without a look at the low level",
        shows_on_pilot=False,
        unit=lambda unit: _controller(unit, checks_diode=False),
    ),
    Fault(
        name="closes in D",
        meaning="the controller closes for a vehicle that wants ventilation",
        shows_on_pilot=False,
        unit=lambda unit: _controller(unit, accepts_d=True),
    ),
    Fault(
        name="vehicle diode shorted",
        meaning="the diode in the vehicle broke and conducts both ways",
        shows_on_pilot=True,
        vehicle=lambda vehicle: replace(vehicle, diode="shorted"),
    ),
    Fault(
        name="vehicle diode absent",
        meaning="the vehicle was built without its diode, a wire in its place; the same waveform as a shorted one",
        shows_on_pilot=True,
        vehicle=lambda vehicle: replace(vehicle, diode="absent"),
    ),
    Fault(
        name="vehicle diode open",
        meaning="the diode in the vehicle broke and no longer conducts; the pilot never sees the vehicle",
        shows_on_pilot=True,
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

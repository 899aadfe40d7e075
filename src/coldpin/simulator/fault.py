"""Faults to build into a virtual specimen, one record each, so that tests and tables can go through them all."""

from __future__ import annotations

from dataclasses import replace

from coldpin.errors import UnknownName
from coldpin.simulator.fault_record import (
    DIODE_LOST,
    OFFER_STEPS,
    Fault,
    boundary,
    with_controller,
    with_windows,
)
from coldpin.simulator.switching_faults import SWITCHING_FAULTS
from coldpin.simulator.unit import VirtualUnit

__all__ = ["FAULTS", "OLD_DUTY", "Fault", "fault", "old_duty"]

OLD_DUTY = {10.0: 16.0, 16.0: 25.0, 32.0: 50.0}
"""Duty [%] by current [A] of an old mapping that is still copied around in generator boards."""


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


_PILOT_FAULTS = (
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
        name="bare generator",
        meaning="a generator that senses nothing, and an output that nothing switches",
        shows_on_pilot=True,
        shows_on_output=True,
        unit=lambda unit: replace(with_controller(unit, senses_state=False), output="always live"),
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
        unit=lambda unit: with_controller(unit, offer_interval=0.0),
    ),
    Fault(
        name="misses high B",
        meaning="a vehicle at the high boundary of B, 4610 Ω, is not seen",
        shows_on_pilot=True,
        shows_on_output=False,
        shown_by=boundary("B 4610"),
        unit=lambda unit: with_windows(unit, a_b=0.80),
    ),
    Fault(
        name="refuses too briefly",
        meaning="the unit holds its refusal for 0.1 s only",
        shows_on_pilot=True,
        shows_on_output=False,
        shown_by=DIODE_LOST,
        unit=lambda unit: with_controller(unit, fault_hold=0.1),
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

FAULTS = {fault.name: fault for fault in (*_PILOT_FAULTS, *SWITCHING_FAULTS)}
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

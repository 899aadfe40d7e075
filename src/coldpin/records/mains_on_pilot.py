"""What mains on the pilot does to a car and to a person, as ``coldpin mains-on-pilot --json`` prints it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.records.body_current import BodyCurrent
from coldpin.records.finding import Limit


@dataclass(frozen=True, slots=True, kw_only=True)
class CarInput:
    """What the pilot input of a car sees whose body is earthed: a diode, then its resistors.

    The diode lets one half of each period through: peak [V, A], r.m.s. and mean of the current [A], power in the car's
    resistors [W]. In the other half the diode stands the whole peak alone. [V] ``body_v`` is the voltage of the car's
    body against earth, peak, along its protective conductor. [V]
    """

    state: str
    resistance_ohm: float
    forward_peak_v: float
    reverse_peak_v: float
    peak_current_a: float
    rms_current_a: float
    mean_current_a: float
    power_w: float
    body_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotSituation:
    """One place where the mains gets onto the pilot, with the resistance before it.

    ``series_ohm`` lies between the mains and the pilot contact, ``source_power_w`` is what the unit's own resistor
    takes with a car connected [W], null where the fault passes it by. ``contact`` is the person who touches the pilot
    contact of the uncoupled connector, ``car_body`` the one who touches the car while its earth is lost.
    """

    told: str
    series_ohm: float
    source_power_w: float | None
    car: CarInput
    contact: BodyCurrent
    car_body: BodyCurrent


@dataclass(frozen=True, slots=True, kw_only=True)
class MainsOnPilot:
    """What mains on the pilot does, through the unit's source resistor and past it."""

    schema: Literal["coldpin.mains_on_pilot/1"]
    voltage_v: float
    bridge_ohm: float
    earth_ohm: float
    situations: tuple[PilotSituation, ...]
    statements: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()

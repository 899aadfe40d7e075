"""A vehicle simulator to be built for the bench, in the form that ``coldpin vehicle-simulator --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit


class Arrangement(StrEnum):
    """How the resistors of a network stand to each other."""

    SINGLE = "single"
    SERIES = "series"
    PARALLEL = "parallel"


class DiodeSwitch(StrEnum):
    """Where the switch of the diode stands."""

    IN = "in"
    SHORTED = "shorted"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """One resistance of the simulator, made of one or two stock resistors.

    ``wanted_ohm`` is what it stands for, by ``limit``; ``resistance`` what the stock resistors make with their
    tolerance, ``deviation_percent`` how far their nominal values are off. ``heat_w`` is the most that each resistor
    takes in any position, ``rating_w`` what to buy for it. [W]
    """

    name: str
    wanted_ohm: float
    arrangement: Arrangement
    resistors_ohm: tuple[float, ...]
    resistance: Quantity
    deviation_percent: float
    limit: Limit
    heat_w: tuple[float, ...] = ()
    rating_w: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """What each resistor of a network takes in one position, at the highest generator. [W]"""

    network: str
    resistors_w: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """One position of the switches.

    ``behind`` are the networks behind the diode, ``across`` those straight from pilot to earth; ``shorted_behind`` says
    that the resistors are bridged behind the diode. ``high_v`` and ``low_v`` are the levels at a nominal generator,
    ``meter_low_ohm`` and ``meter_high_ohm`` what a meter may read between pilot and earth with the diode bridged: the
    worst corners of the resistors' tolerance, null where it reads open. ``asks`` is what is asked of the unit.
    """

    name: str
    state: str
    behind: tuple[str, ...]
    across: tuple[str, ...]
    shorted_behind: bool
    diode: DiodeSwitch
    high_v: Quantity
    low_v: Quantity
    meter_low_ohm: float | None
    meter_high_ohm: float | None
    heat: tuple[Heat, ...]
    asks: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleSimulator:
    """The whole of it: what to buy, what each position gives, what never to leave bare, how to prove it before use."""

    schema: Literal["coldpin.vehicle_simulator/1"]
    edition: str
    edition_title: str
    series: str
    tolerance_percent: float
    derating: float
    wiring: tuple[str, ...]
    cautions: tuple[str, ...]
    never_bare: tuple[str, ...]
    networks: tuple[Network, ...]
    diode: tuple[str, ...]
    positions: tuple[Position, ...]
    proof: tuple[str, ...]
    order: tuple[str, ...]
    remarks: tuple[str, ...]
    limits: tuple[Limit, ...]

"""What the resistance of a proximity contact says, in the form that ``coldpin proximity --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit


class ProximityMeaning(StrEnum):
    """What a resistance from the proximity contact to earth stands for.

    "undefined" is a resistance to which no text we know gives a meaning, "undecided" one that may be on either side of
    an edge, or whose uncertainty is not known.
    """

    CURRENT = "current"
    RELEASED = "released"
    PRESSED = "pressed"
    ERROR = "error"
    UNDEFINED = "undefined"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProximityZone:
    """A stretch of resistances with one meaning. [Ω]

    ``above`` and ``up_to`` are its ends, null where it is open. ``coded_current_a`` is what the cable says it carries
    there. [A] ``band`` is the range within it in which the coding must be recognised; the rest of the stretch lies
    between two ranges and stands for the lower current. ``probability`` is that of the true resistance lying here,
    null where the uncertainty is not known.
    """

    above: float | None
    up_to: float | None
    meaning: ProximityMeaning
    coded_current_a: float | None
    band: Limit | None
    limits: tuple[Limit, ...]
    probability: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherReading:
    """The same resistance by another text that is in dispute with the one used."""

    meaning: ProximityMeaning
    coded_current_a: float | None
    zones: tuple[ProximityZone, ...]
    agrees: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ProximityReading:
    """What one resistance says.

    ``zones`` are those the true resistance may lie in, likeliest first: one where it is decided, more where it is not.
    ``in_band`` says whether it lies in the range itself (null where that is not decided, or there is none).
    ``vehicle_voltage_v`` is what a vehicle sees at a type 1 connector.
    """

    schema: Literal["coldpin.proximity/1"]
    connector: str
    phases: int
    resistance: Quantity
    at_least: bool
    coded_current_a: float | None
    meaning: ProximityMeaning
    in_band: bool | None
    statement: str
    zones: tuple[ProximityZone, ...]
    other: OtherReading | None
    vehicle_voltage_v: Quantity | None

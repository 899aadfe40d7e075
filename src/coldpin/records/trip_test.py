"""Tests with residual currents: what was applied, when the device acted, and how that stands to its limits."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome
from coldpin.records.pilot import Bracket


class ResidualKind(StrEnum):
    """The form of a residual current."""

    ALTERNATING = "alternating"
    PULSATING = "pulsating"
    SMOOTH = "smooth"


class DeviceType(StrEnum):
    """What a residual-current device is said to be.

    The first four are those of IEC 60755, the others North American: they act by an inverse curve.
    """

    AC = "AC"
    A = "A"
    F = "F"
    B = "B"
    CLASS_A = "class A"
    CCID5 = "CCID5"
    CCID20 = "CCID20"

    @property
    def inverse(self) -> bool:
        """Whether its longest time follows the inverse curve."""
        return self in (DeviceType.CLASS_A, DeviceType.CCID5, DeviceType.CCID20)


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualDevice:
    """A residual-current device by what is said of it.

    ``rated_ma`` is its rated residual operating current, ``direct_ma`` the smooth direct current at which it acts, None
    where nothing is said of one. [mA] ``in_cable`` picks the rows of in-cable units, ``selective`` those of delayed
    ones. ``said_by`` names who says so.
    """

    type: DeviceType
    rated_ma: float
    direct_ma: float | None = None
    in_cable: bool = False
    selective: bool = False
    said_by: str = ""

    @property
    def name(self) -> str:
        """How it is called in a sentence."""
        direct = "" if self.direct_ma is None else f", {self.direct_ma:g} mA d.c."
        if self.type.inverse:
            return self.type.value
        return f"{self.rated_ma:g} mA type {self.type.value}{' S' if self.selective else ''}{direct}"


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualPulse:
    """One residual current as a capture shows it, from its beginning to its end.

    ``began_s`` and ``ended_s`` are brackets, the latter None where it still flowed when the capture ended. [s]
    ``current_ma`` is what flowed, of a rise at its beginning [mA]; ``rate_ma_s`` is how fast it rose, None for one that
    stayed. [mA/s] ``kind`` is None where it was too short, or too odd, for its form to be told; ``why`` says so.
    """

    kind: ResidualKind | None
    began_s: Bracket
    ended_s: Bracket | None
    current_ma: Quantity
    way: str = ""
    angle_deg: float = 0.0
    rate_ma_s: float | None = None
    why: str = ""


class RowRole(StrEnum):
    """What a row asks: acting in time at a current, not acting at one, or acting between two while a current rises."""

    TRIP = "trip"
    HOLD = "hold"
    RISE = "rise"


@dataclass(frozen=True, slots=True, kw_only=True)
class TripRow:
    """One row of what is asked of a device.

    ``current_ma`` is the current of the row, of a rise that at which it must have acted. [mA] ``limit`` is a time where
    it must act [s], the current up to which it must not, or the two between which a rise must trip it [mA].
    ``watch_s`` is how long a current that must not trip is left on. [s] ``inverse`` is true where the time follows the
    current that flowed. ``angle_deg`` is where half waves are cut. [°] ``stands_for`` names the current that may
    take the place of this one, empty for none.
    """

    name: str
    title: str
    role: RowRole
    current_ma: float
    limit: Limit
    watch_s: float = 0.0
    inverse: bool = False
    angle_deg: float = 0.0
    stands_for: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TripOperation:
    """One current put on, and what the device did.

    ``current_ma`` is what flowed [mA], at the end of a rise what flowed when it acted. ``time_s`` is from the beginning
    of the current to open contacts, or how long it was watched where ``tripped`` is false. [s] ``way`` is the starting
    phase ("0°", "180°") or the polarity; ``angle_deg`` is where half waves are cut. [°] ``rate_ma_s`` is the rate of a
    rise [mA/s], None for a current that was put on at once, ``dwell_s`` how long each of its steps was held. [s]
    ``entry`` names where it is written down. ``at_coil`` is true where only the relay's coil was seen.
    """

    kind: ResidualKind
    current_ma: Quantity
    time_s: Quantity
    tripped: bool = True
    way: str = ""
    angle_deg: float = 0.0
    rate_ma_s: float | None = None
    dwell_s: float = 0.0
    entry: str = ""
    at_coil: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualPicture:
    """One operation of a capture to be drawn: the slowest, or the largest current that did not trip.

    Times count from the beginning of the current. [s] Of each stretch the lowest and the highest sample are kept, of
    the current [mA] and of the output as read [V]. ``began_s`` and ``opened_s`` are brackets, the latter None where the
    output did not die. ``file`` is what the capture is called.
    """

    operation: TripOperation
    began_s: Bracket
    opened_s: Bracket | None
    time_s: tuple[float, ...]
    current_ma: tuple[tuple[float, float], ...]
    output_v: tuple[tuple[float, float], ...]
    file: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualReading:
    """What a capture of residual current and output shows; ``remarks`` say what could not be used."""

    pulses: tuple[ResidualPulse, ...]
    operations: tuple[TripOperation, ...]
    duration_s: float
    picture: ResidualPicture | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TripPlacement:
    """How the operations stand to one row.

    ``measured`` is what is compared with the limit, a time [s] or a current [mA]; ``worst`` the operation it is of,
    None where there was none. ``operations`` counts those at this row; ``never`` is true where the device acted at none
    of them though it was asked to; ``early`` where all that is beyond is that it acted too soon, or where it should
    hold. ``wanting`` says what is missing before "within" may be said.
    """

    row: TripRow
    limit: Limit
    outcome: Outcome
    statement: str
    probability: float | None = None
    measured: Quantity | None = None
    worst: TripOperation | None = None
    operations: int = 0
    never: bool = False
    early: bool = False
    wanting: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualLoad:
    """A test box for one current at one voltage.

    Any resistance from ``least_ohm`` to ``most_ohm`` drives the current near enough. [Ω] ``power_w`` is what the least
    of them dissipates, ``rated_w`` what it should be rated for. [W]
    """

    current_ma: float
    voltage_v: float
    least_ohm: float
    most_ohm: float
    power_w: float
    rated_w: float


@dataclass(frozen=True, slots=True, kw_only=True)
class TripTest:
    """All operations of a device with one form of residual current, against every row of what is asked of it.

    ``rows`` are all that are asked, ``placements`` those that an operation touched. ``boxes`` are the resistor boxes
    that drive the currents of the rows, where a voltage was given.
    """

    schema: Literal["coldpin.trip_test/1"]
    device: ResidualDevice
    kind: ResidualKind
    rows: tuple[TripRow, ...]
    placements: tuple[TripPlacement, ...]
    operations: tuple[TripOperation, ...]
    boxes: tuple[ResidualLoad, ...] = ()
    remarks: tuple[str, ...] = ()

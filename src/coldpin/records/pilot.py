"""What the pilot told: runs of states with their figures, in the form that ``coldpin pilot --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING, Any, Literal

from coldpin.quantity.model import Quantity

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema


class State(StrEnum):
    """States of the pilot (IEC 61851-1 Annex A): 1 with the oscillator off, 2 with it on."""

    A1 = "A1"
    A2 = "A2"
    B1 = "B1"
    B2 = "B2"
    C1 = "C1"
    C2 = "C2"
    D1 = "D1"
    D2 = "D2"
    E = "E"
    F = "F"
    UNDEFINED = "undefined"

    @property
    def oscillating(self) -> bool:
        """Whether the oscillator runs in this state."""
        return self.value.endswith("2")


MEANINGS = {
    "A": "no car",
    "B": "car, not asking",
    "C": "car asks for power",
    "D": "asks, with ventilation",
    "E": "no pilot",
    "F": "unit not available",
}
FITS_NONE = "no state fits"
"""What each letter of a state means, in a few words, and what is said where none fits."""


class Diode(StrEnum):
    """Whether the low level shows a diode on the vehicle side."""

    PRESENT = "present"
    ABSENT = "absent"
    UNKNOWN = "unknown"


class Meaning(StrEnum):
    """What a duty cycle tells the vehicle."""

    CURRENT = "current"
    DIGITAL = "digital"
    NONE = "none"
    FORBIDDEN = "forbidden"


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedCurrent:
    """A current as the vehicle reads it, and what the duty cycle means; in JSON both stand in one object."""

    current: Quantity
    meaning: Meaning

    @classmethod
    def __get_pydantic_core_schema__(cls, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        from pydantic_core import core_schema

        number = core_schema.nullable_schema(core_schema.float_schema())
        fields = {name: core_schema.typed_dict_field(number) for name in ("value", "u", "dof", "low", "high")} | {
            "unit": core_schema.typed_dict_field(core_schema.str_schema()),
            "why": core_schema.typed_dict_field(core_schema.str_schema(), required=False),
            "meaning": core_schema.typed_dict_field(core_schema.literal_schema([m.value for m in Meaning])),
        }
        plain = core_schema.typed_dict_schema(fields, extra_behavior="forbid", ref="OfferedCurrent")

        def read(given: dict[str, Any]) -> OfferedCurrent:
            rest = {key: member for key, member in given.items() if key != "meaning"}
            return cls(current=Quantity.from_json(rest), meaning=Meaning(given["meaning"]))

        def write(offer: OfferedCurrent) -> dict[str, float | str | None]:
            return {**offer.current.as_json(), "meaning": offer.meaning.value}

        reader = core_schema.no_info_after_validator_function(read, plain)
        return core_schema.json_or_python_schema(
            json_schema=reader,
            python_schema=core_schema.union_schema([core_schema.is_instance_schema(cls), reader]),
            serialization=core_schema.plain_serializer_function_ser_schema(write, return_schema=plain),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """The capture that was read."""

    samples: int
    sample_interval_s: float
    duration_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of time in one state.

    ``high_v`` and ``low_v`` are settled plateau levels; a level that the state does not have (the low one while the
    oscillator is off) is null. Times are from the first sample. [s] ``rise_s`` and ``fall_s`` are the times of the
    edges from 10 % to 90 % of the swing and back; where one is null and ``edges_below_s`` is not, the edge is shorter
    than this and below the resolution of the capture.
    """

    state: State
    start_s: float
    end_s: float
    cycles: int
    high_v: Quantity | None
    low_v: Quantity | None
    frequency_hz: Quantity | None
    duty_percent: Quantity | None
    offered_current_a: OfferedCurrent | None
    diode: Diode
    rise_s: Quantity | None = None
    fall_s: Quantity | None = None
    edges_below_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Glitch:
    """One excursion too short to belong to the signal: when it began, how long it lasted, how far it went. [s], [V]"""

    start_s: float
    width_s: float
    state: State
    peak_v: float


@dataclass(frozen=True, slots=True, kw_only=True)
class GlitchWidths:
    """How many glitches are longer than ``above_s`` and at most ``up_to_s``. [s]"""

    above_s: float
    up_to_s: float
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Glitches:
    """All glitches of a capture: how many, sorted by width, and the longest of them one by one."""

    count: int = 0
    widths: tuple[GlitchWidths, ...] = ()
    longest: tuple[Glitch, ...] = ()


class Switching(StrEnum):
    """What the output can do when the pilot changes, or while it stands.

    Those that close or open have a delay from the change of the pilot to the output; "live" events say that the output
    was live in a state in which it must be dead. "Live without diode" is an output that was switched on for a vehicle
    which showed none; one that stayed on when the diode was lost is an opening that did not follow.
    """

    CLOSES_IN_C = "closes-in-c"
    CLOSES_IN_D = "closes-in-d"
    OPENS_ON_B = "opens-on-b"
    OPENS_ON_A = "opens-on-a"
    OPENS_ON_D = "opens-on-d"
    OPENS_ON_SHORT = "opens-on-pilot-short"
    OPENS_ON_DIODE_LOSS = "opens-on-diode-loss"
    OPENS_ON_OSCILLATOR_OFF = "opens-on-oscillator-off"
    OPENS_ON_FAULT = "opens-on-fault"
    OPENS_UNASKED = "opens-unasked"
    LIVE_IN_A = "live-in-a"
    LIVE_IN_B = "live-in-b"
    LIVE_IN_C1 = "live-in-c1"
    LIVE_ON_SHORT = "live-on-pilot-short"
    LIVE_IN_F = "live-in-f"
    LIVE_WITHOUT_DIODE = "live-without-diode"


class OutputKind(StrEnum):
    """What the second channel sees of the output."""

    MAINS = "mains"
    LEVEL = "level"
    COIL = "coil"


Bracket = tuple[float, float]
"""Earliest and latest time of one instant, from the first sample. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveStretch:
    """A stretch of time in which the output was live; each instant as its earliest and latest time. [s]

    ``first_contact_s`` is when it became live and ``closed_s`` when the last bounce was over; both are null where it
    was live when the capture began. ``first_break_s`` is when it first let go and ``opened_s`` when the last contact
    ended; both are null where it was live when the capture ended.
    """

    first_contact_s: Bracket | None
    closed_s: Bracket | None
    first_break_s: Bracket | None
    opened_s: Bracket | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputReading:
    """What the second channel showed.

    ``kind`` was stated by a person or recognised. ``live`` holds the stretches in order of time. ``amplitude_v`` is the
    peak of the mains or the height of the level, as read. [V] ``doubt`` is not empty where what the channel shows
    may be live or not, for it never changed or is small and was never switched: it says why.
    """

    kind: OutputKind
    stated: bool
    live: tuple[LiveStretch, ...]
    amplitude_v: float
    doubt: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchingEvent:
    """One kind of switching of the output, beside the changes of the pilot; all its operations, judged by the worst.

    ``delay_s`` is that of the worst of ``operations``, ``delays_s`` holds all of them in order of time and ``at_s``
    when each change of the pilot was. [s] A delay is open above where the output did not follow: its value says how
    long it was watched, its ``low`` for how long at least, ``high`` is null, and its ``why`` says so. Where nobody
    stated clock or sensor a delay has no ``u``; ``low`` and ``high`` are then bounds that hold for every clock and
    sensor. A "live" event and an unasked opening have no delay; ``at_s`` then says when each began and ``delay_s`` is
    null. ``state_from`` and ``state_to`` are those
    of the worst operation. ``limit`` is the id of the constant that ``limit_s`` stands for. ``outcome`` is "within",
    "beyond", "undecided" or "not_applicable" (nothing limits it).
    """

    event: Switching
    state_from: State
    state_to: State
    delay_s: Quantity | None
    limit_s: float | None
    limit_kind: Literal["max", "min"] | None
    outcome: str
    operations: int
    delays_s: tuple[Quantity, ...] = ()
    at_s: tuple[float, ...] = ()
    limit: str = ""
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotReading:
    """All that one capture of the pilot told."""

    schema: Literal["coldpin.pilot/1"]
    source: Source
    runs: tuple[Run, ...]
    switching: tuple[SwitchingEvent, ...] = ()
    output: OutputReading | None = None
    glitches: Glitches = Glitches()

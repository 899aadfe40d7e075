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
    oscillator is off) is null. Times are from the first sample. [s]
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


@dataclass(frozen=True, slots=True, kw_only=True)
class SwitchingEvent:
    """A switching of the output that belongs to a change of the pilot; filled when the output is captured beside it."""

    event: str
    state_from: State
    state_to: State
    delay_s: Quantity
    limit_s: float | None
    limit_kind: Literal["max", "min"] | None
    outcome: str
    operations: int


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotReading:
    """All that one capture of the pilot told."""

    schema: Literal["coldpin.pilot/1"]
    source: Source
    runs: tuple[Run, ...]
    switching: tuple[SwitchingEvent, ...] = ()

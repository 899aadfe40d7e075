"""How long the pins of a plug stay charged, as ``coldpin plug-discharge`` prints it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class DischargePlacement:
    """One text's rule, and where the plug lies.

    ``left_v`` is the voltage at that time and ``reached_s`` when it has fallen to the limit: both null where no
    resistance is known. ``largest_kohm`` is the resistance that would just do with the capacitance at its highest; null
    where the rule asks nothing, or any resistance does. ``applies`` is false where the capacitance is too small for the
    rule.
    """

    limit: Limit
    time_s: float
    applies: bool
    left_v: Quantity | None
    reached_s: Quantity | None
    largest_kohm: float | None
    outcome: Outcome
    probability: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlugDischarge:
    """The worst start, the time constant, and each rule for the pins of a plug.

    ``start_v`` is the peak of the highest voltage that the supply may have. ``corrected_v`` is what a reading would
    have been without the probe that emptied the capacitor too; null where none was given.
    """

    schema: Literal["coldpin.plug_discharge/1"]
    start_v: float
    capacitance_nf: Quantity
    resistance_kohm: Quantity | None
    time_constant_s: Quantity | None
    placements: tuple[DischargePlacement, ...]
    corrected_v: Quantity | None
    statements: tuple[str, ...]
    remarks: tuple[str, ...] = ()

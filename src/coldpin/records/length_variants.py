"""The same cable at other lengths: what each would drop, how large its loop would be, and how far a claim holds."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthVariant:
    """One length that the catalogue offers.

    ``drop_percent`` is of the nominal voltage at the current asked for. ``loop_ohm`` and its outcome are null where the
    loop of the supply, the device or the earth conductor is not known. ``allowed_percent`` is the most that is allowed
    for what of the way is not in the drop.
    """

    length_m: float
    line_20c_ohm: Quantity
    drop_v: Quantity
    drop_percent: Quantity
    drop_outcome: Outcome
    loop_ohm: Quantity | None
    loop_outcome: Outcome | None
    allowed_percent: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthVariants:
    """All lengths, rising, and the length up to which each claim holds.

    ``longest_for_drop_m`` is where the lead alone would take the whole ``drop_limit``; ``longest_for_loop_m`` where the
    device before the socket need no longer act in time, null where that is not known.
    """

    current_a: float
    conductor_temperature_c: float
    drop_limit: Limit
    longest_for_drop_m: Quantity
    loop_limit: Limit | None
    longest_for_loop_m: Quantity | None
    variants: tuple[LengthVariant, ...]

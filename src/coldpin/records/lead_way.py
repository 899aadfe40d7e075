"""The way of the current through a lead, out and back, as its readings tell it."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.quantity.model import Quantity

BEYOND_TAPS = "what of the cable lies beyond the taps"
"""What is not counted where the length of the whole cable is not stated."""


NONE_APART = Quantity(0.0, 0.0, "Ω")
"""No joint was read apart from its conductor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadWay:
    """Line and neutral of a lead at 20 °C over its whole length, and what of its way was not read.

    ``out_20_ohm`` is the line, ``back_20_ohm`` the neutral, null with three phases, where evenly loaded nothing comes
    back. ``mean_20_ohm`` is what the drop is reckoned from: the mean of both, with what is wrong with both; the line
    where nothing comes back. ``length_m`` is the length that they are told for; each metre of cable adds
    ``mean_per_metre_20_ohm``, and ``joints_20_ohm`` are those joints in it that were read apart. ``told`` says what
    was added, scaled or taken for granted, ``taken`` that of it which holds at any length. ``not_counted`` names what
    is not in the figures, so that they are a lower end. ``allowed_20_ohm`` is the most that is allowed for it, out
    and back together; of that ``allowed_joints_20_ohm`` stays at any length and ``allowed_per_metre_20_ohm`` comes
    with each metre. ``entries`` are what it is from, ``doubts`` what these leave open.
    """

    out_20_ohm: Quantity
    back_20_ohm: Quantity | None
    mean_20_ohm: Quantity
    mean_per_metre_20_ohm: Quantity
    length_m: float
    joints_20_ohm: Quantity = NONE_APART
    told: tuple[str, ...] = ()
    taken: tuple[str, ...] = ()
    not_counted: tuple[str, ...] = ()
    allowed_20_ohm: float = 0.0
    allowed_joints_20_ohm: float = 0.0
    allowed_per_metre_20_ohm: float = 0.0
    entries: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NotCounted:
    """What of the way through a lead is in none of its figures, and the most that is allowed for it at 20 °C. [Ω]

    ``told`` says what was added, scaled or taken for granted in those figures.
    """

    what: tuple[str, ...] = ()
    allowed_20: float = 0.0
    told: tuple[str, ...] = ()


ALL_COUNTED = NotCounted()
"""Everything between plug and car is in the figures."""

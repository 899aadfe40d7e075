"""The current that a capacitor or a protective impedance lets reach a hand, as ``coldpin touch-current`` prints it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchSituation:
    """One way in which the current flows: what is open or shorted, and which poles drive.

    ``current_ma`` is at the nominal voltage, ``at_highest_ma`` at the highest that the supply may have; r.m.s. for a
    capacitor, peak for an impedance of resistors.
    """

    told: str
    poles: tuple[str, ...]
    current_ma: Quantity
    at_highest_ma: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchPlacement:
    """The worst situation against one limit.

    ``largest_nf`` is the capacitance, tolerance and all, and ``least_kohm`` the resistance, one part shorted, that
    would just keep it at the highest voltage; the one that does not apply is null.
    """

    limit: Limit
    outcome: Outcome
    probability: float | None
    largest_nf: float | None
    least_kohm: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchCurrent:
    """What reaches a hand in each situation, and where the worst lies.

    ``through`` is "capacitors" or "resistors". ``marked`` is true where no tolerance was written and that of the table
    was taken.
    """

    schema: Literal["coldpin.touch_current/1"]
    through: str
    voltage_v: float
    highest_v: float
    frequency_hz: float | None
    situations: tuple[TouchSituation, ...]
    worst: TouchSituation
    placements: tuple[TouchPlacement, ...]
    limits: tuple[Limit, ...]
    marked: bool
    statements: tuple[str, ...]
    remarks: tuple[str, ...] = ()

"""What a log of power or current shows of a charge, in the form that ``coldpin session --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity.model import Quantity

Bracket = tuple[float, float]
"""The last moment before a change and the first after it, from the first row. [s]"""


class PhaseKind(StrEnum):
    """What a stretch of a charge is.

    "reduced" is a level below one that was held before, "varying" a draw that settles at no level, "paused" no draw
    with a draw after it. "not recorded" is a gap in the log: it says nothing of the supply.
    """

    WAITING = "waiting"
    RAMP = "ramp"
    STEADY = "steady"
    REDUCED = "reduced"
    VARYING = "varying"
    PAUSED = "paused"
    SUPPLY_LOST = "supply lost"
    NOT_RECORDED = "not recorded"
    ENDED = "ended"


class MarkKind(StrEnum):
    """What somebody did or saw at a moment, beside the log."""

    UNLOCK = "unlock"
    LOCK_RELEASED = "lock released"
    BREAKER_OFF = "breaker off"
    BREAKER_ON = "breaker on"
    OFFER_LOWERED = "offer lowered"
    OFFER_RAISED = "offer raised"
    STOPPED_AT_CAR = "stopped at the car"
    STOPPED_AT_UNIT = "stopped at the unit"
    PLUGGED_IN = "plugged in"
    PLUG_PULLED = "plug pulled"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class EventMark:
    """A moment that somebody marked: what, when, by whose clock.

    ``at_s`` counts from the first row of the log, by the clock named; its uncertainty holds the hand that noted it and,
    after the clocks were aligned, that of their offset. [s] ``offer_a`` is the new offer where it was changed. [A]
    ``not_placed`` says why nobody knows where in the log a mark by another clock lies, and what to do about it: the
    mark then keeps that clock and its time, and nothing is read from where it would lie. It is empty for every other.
    """

    kind: MarkKind
    at_s: Quantity
    clock: str = "log"
    who: str = ""
    offer_a: Quantity | None = None
    note: str = ""
    not_placed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledMark:
    """An event mark as an entry holds it, beside the log of a charge.

    ``which`` counts the readings of the ``entry`` from 0. ``written`` is the time as written, ``own_s`` the same by its
    own clock [s], ``at_s`` by that of the log. [s] ``not_placed`` says why nobody knows where in the log it lies, as in
    an :class:`EventMark`; ``at_s`` is then ``own_s`` without an uncertainty. ``offset`` and ``offer`` are the
    conditions as written.
    """

    entry: str
    which: int
    kind: MarkKind
    written: str
    clock: str
    offset: str
    offer: str
    who: str
    note: str
    own_s: Quantity
    at_s: Quantity
    not_placed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClockOffset:
    """How far another clock is behind that of the log, from an event or several seen by both.

    ``offset_s`` is added to a time of the other clock. [s] ``mark`` is the event, or the first of them. Where the clock
    drifts, the offset is that at its own time ``at_own_s`` [s], and ``drift`` is by how much it grows for each second
    from then on [1]; else both are null. ``contradicted`` says what in the log
    speaks against the offset: it then has no uncertainty, and no mark by that clock shows a loss of the supply or the
    end of a charge. It is empty where nothing does, and in records from before it was told.
    """

    clock: str
    mark: MarkKind
    offset_s: Quantity
    contradicted: str = ""
    drift: Quantity | None = None
    at_own_s: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionPhase:
    """One stretch of a charge.

    ``start_s`` and ``end_s`` count from the first row and lie in the middle of ``start_bracket_s`` and
    ``end_bracket_s``, the rows between which the change lies; beside a gap they are the last and first row. [s]
    ``power_w``, ``current_a`` and ``power_factor`` are means over time. ``rows`` is the number of rows that are wholly
    in it.
    """

    kind: PhaseKind
    start_s: float
    end_s: float
    start_bracket_s: Bracket
    end_bracket_s: Bracket
    rows: int
    power_w: Quantity
    current_a: Quantity
    power_factor: Quantity | None = None

    @property
    def duration_s(self) -> float:
        """How long it is. [s]"""
        return self.end_s - self.start_s


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyOutage:
    """A time without supply, and what shows it: "voltage" or "marks"."""

    start_s: float
    end_s: float
    start_bracket_s: Bracket
    end_bracket_s: Bracket
    shown_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LogGap:
    """A time in which nothing was recorded, and the bounds of the energy that went by in it. [Wh]

    ``bounded_by`` says what the bounds rest on.
    """

    start_s: float
    end_s: float
    energy_wh: Quantity
    bounded_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CounterComparison:
    """The energy summed from power, held against the meter's own counter over the same rows.

    ``agrees`` is "yes", "no" or "cannot tell".
    """

    counter_wh: Quantity
    summed_wh: Quantity
    difference_wh: Quantity
    agrees: str
    resets: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaction:
    """What followed an event.

    ``after_s`` is the time from the event to the change [s], ``lasted_s`` how long what followed was held [s]; where
    nothing followed while it was watched, ``after_s`` has no uncertainty and its lower bound is that time.
    ``current_before_a`` and ``current_after_a`` are of the phases around it, ``current_at_a`` is the largest of the
    rows about the moment itself. [A]
    """

    mark: MarkKind
    at_s: Quantity
    followed_by: PhaseKind | None = None
    after_s: Quantity | None = None
    lasted_s: Quantity | None = None
    current_before_a: Quantity | None = None
    current_at_a: Quantity | None = None
    current_after_a: Quantity | None = None
    statement: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferComparison:
    """The current drawn in one phase against the one offered; ``phase`` counts from 0.

    Of a phase without a level the current is what was drawn above the offer; one that stays below is not compared.
    ``outcome`` is "within", "beyond" or "undecided"; ``probability`` that of drawing no more than the offer.
    """

    phase: int
    current_a: Quantity
    offer_a: Quantity
    share: Quantity
    outcome: str
    probability: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionSource:
    """What was read: columns, rows, the first row's time, the usual time between rows, and from when on it is a gap.

    ``gap_from_s`` is null where the stamps stand still and cannot tell. ``clock_steps`` are the settings of the
    logger's clock: how long it had run, and by how much it was put forward. [s], [s]
    ``power_from`` and ``current_from`` say how each was had: "logged", "voltage × current", "power ÷ voltage" or "".
    """

    rows: int
    began: str
    duration_s: float
    usual_interval_s: float
    gap_from_s: float | None
    power_from: str
    current_from: str
    columns: tuple[str, ...]
    clock_steps: tuple[tuple[float, float], ...] = ()
    voltage_logged: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionReading:
    """What a log shows of a charge; times count from its first row. [s]

    ``recorded_wh`` is the energy of the rows alone, where ``energy_wh`` holds the middle of what gaps may have too.
    """

    schema: Literal["coldpin.session/1"]
    source: SessionSource
    phases: tuple[SessionPhase, ...]
    energy_wh: Quantity
    outages: tuple[SupplyOutage, ...]
    gaps: tuple[LogGap, ...]
    counter: CounterComparison | None = None
    offer: tuple[OfferComparison, ...] = ()
    marks: tuple[EventMark, ...] = ()
    clocks: tuple[ClockOffset, ...] = ()
    reactions: tuple[Reaction, ...] = ()
    cost: Quantity | None = None
    remarks: tuple[str, ...] = ()
    recorded_wh: Quantity | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SessionTrace:
    """What is drawn of a log: lowest and highest value of equal stretches of time, with gaps where nothing is.

    ``unit`` is "A", "W" or "V". A stretch without a row has None. ``exact`` is true where these are the rows
    themselves.
    """

    unit: str
    time_s: tuple[float, ...]
    low: tuple[float | None, ...]
    high: tuple[float | None, ...]
    exact: bool = False


class TraceOf(StrEnum):
    """What of a log is drawn."""

    CURRENT = "current"
    POWER = "power"
    VOLTAGE = "voltage"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class TraceRows:
    """All rows of a log of a charge, for drawing any part of it.

    ``time_s``: array of shape (n,), from the first row. [s] ``current_a``, ``power_w``, ``voltage_v``: arrays of shape
    (n,), None where it was not logged and is not made of the others. [A], [W], [V] ``gap_from_s`` is the time without a
    row from which on it is a gap. [s]
    """

    time_s: NDArray[np.float64]
    current_a: NDArray[np.float32] | None
    power_w: NDArray[np.float32] | None
    voltage_v: NDArray[np.float32] | None
    gap_from_s: float

    def of(self, what: TraceOf) -> NDArray[np.float32] | None:
        """Return the values of a quantity.

        Parameters
        ----------
        what : TraceOf
            Which.

        Returns
        -------
        NDArray[np.float32] or None
            Array of shape (n,); None where there are none.
        """
        return {TraceOf.CURRENT: self.current_a, TraceOf.POWER: self.power_w, TraceOf.VOLTAGE: self.voltage_v}[what]


@dataclass(frozen=True, slots=True, kw_only=True)
class StandbyReading:
    """What an idle unit draws, and what that comes to in a year, in the form ``coldpin standby --json`` prints.

    ``yearly_wh`` is for a unit that is always plugged in. ``price`` is as stated, ``yearly_cost`` in its currency.
    """

    schema: Literal["coldpin.standby/1"]
    power_w: Quantity
    power_factor: float
    yearly_wh: Quantity
    price: str
    yearly_cost: Quantity | None
    method: str
    outcome: str
    probability: float | None
    limit: str
    statement: str
    remarks: tuple[str, ...] = ()

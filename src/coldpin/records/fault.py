"""What a fault asks of a lead and gets, in the form that ``coldpin fault-withstand --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome
from coldpin.records.lead_way import NONE_APART, LeadWay
from coldpin.records.voltage_drop import VoltageDrop


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectiveDevice:
    """The device before the socket: "B", "C", "D" for a circuit-breaker, "gG" or "BS 1362" for a fuse; rating in A."""

    kind: str
    rating_a: float

    @property
    def name(self) -> str:
        """How the trade calls it: "B16", "gG 16 A"."""
        if len(self.kind) == 1:
            return f"{self.kind}{self.rating_a:g}"
        return f"{self.kind} {self.rating_a:g} A"


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """A conductor of the lead: its resistance from end to end at 20 °C [Ω] and its area. [mm²]

    ``conductor`` is "line", "earth" or "neutral".

    ``resistance_20`` is None where it is not known. ``metal`` is the one by whose row it is judged: copper where the
    area is from the resistance. ``not_counted`` names what of it was not read, so that its resistance is a lower end,
    and ``allowed_20`` is the most that is allowed for that. [Ω]
    """

    conductor: str
    area: Quantity
    area_from: str
    resistance_20: Quantity | None = None
    metal: str = "copper"
    not_counted: tuple[str, ...] = ()
    allowed_20: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """What stands before the socket: the device, its short-circuit capacity [A], the loop read at the socket. [Ω]

    ``supply`` is the loop of line and earth, ``neutral`` are those of line and neutral, whose current may be larger and
    flows in the line conductor as well. ``residual_current`` is that of a residual-current device, None where none is
    known. [A] ``system`` is "TN" or "TT". ``seen`` is false where nobody looked at the device: then nothing is decided
    by it. ``class_seen`` is false where capacity or class were not read: then they show nothing to be within.
    """

    device: ProtectiveDevice
    capacity: float
    energy_class: int = 3
    supply: Quantity | None = None
    neutral: tuple[Quantity, ...] = ()
    residual_current: float | None = None
    system: str = "TN"
    seen: bool = True
    class_seen: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownFeed:
    """What stands before the socket, with the entries that say so."""

    feed: Feed
    entries: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EndToEndCore:
    """One conductor of a lead as read: the core from end to end, per metre at 20 °C [Ω/m], any doubts.

    ``entry`` is the one that its area is from.
    At any length it has ``joints_20`` too, its joints that were read apart, and ``allowed_joints_20`` is the most that
    is allowed for those that were not. [Ω]
    """

    core: Core
    per_metre_20: Quantity
    entry: str
    doubts: tuple[str, ...] = ()
    joints_20: Quantity = NONE_APART
    allowed_joints_20: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EndToEnd:
    """Line and earth of a lead and what stands before its socket: what drop and faults are reckoned from.

    ``neutral`` is None where it was not read. ``length_m`` is that of the cable, as read with the conductors.
    ``insulation`` is what the print stands for, ``marked_mm2`` the size that is marked. ``way`` is the current's, out
    and back, which the drop is reckoned from. ``drop`` is that of the lead as it is at its rated current, ``faults``
    are what a fault does behind each of the feeds: as its findings have them.
    """

    line: EndToEndCore | None
    earth: EndToEndCore | None
    length_m: float
    feeds: tuple[KnownFeed, ...]
    insulation: str
    phases: int
    marked_mm2: float | None = None
    way: LeadWay | None = None
    drop: VoltageDrop | None = None
    faults: tuple[FaultWithstand, ...] = ()
    neutral: EndToEndCore | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Withstand:
    """What one conductor bears without harm to its insulation.

    ``conductor`` is "line" or "earth". ``area_mm2`` is the area by which it is judged and ``area_from`` says where it
    is from. ``k`` is the printed factor, ``k_computed`` the one that follows from the metal's constants, null for a
    metal without them. ``least_area_mm2`` is the least area that would bear what is let through, null where nothing is
    known of that. ``let_through`` is what it is held against: a fault to neutral may draw more than one to earth.
    """

    conductor: str
    metal: str
    insulation: str
    area_mm2: Quantity
    area_from: str
    k: Limit
    k_computed: float | None
    withstand_a2s: Quantity
    let_through: LetThrough
    least_area_mm2: float | None
    outcome: Outcome
    probability: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LetThrough:
    """The most that the device lets through before a fault is off.

    ``limit`` is what its class allows at its full short-circuit capacity, null where no text known to us limits it.
    ``by_current_a2s`` is what the prospective current can do until the device acts at once, null where the loop is not
    known, or its accuracy is not, or it is so high that the device need not act at once. ``used_a2s`` is the less of
    the two, null where neither is known; ``why`` says which. ``of_this_supply`` is false where only the class speaks: a
    socket may stand far from its full capacity, so a conductor that bears less is then not shown to bear too little.
    """

    limit: Limit | None
    by_current_a2s: float | None
    used_a2s: float | None
    of_this_supply: bool
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultLoop:
    """The loop of a fault at the far end of the lead: supply, line out, earth back.

    ``line_ohm`` and ``earth_ohm`` are those of the lead at ``conductor_temperature_c``. ``prospective_current_a`` is
    the current at the nominal voltage, ``least_current_a`` that with the voltage factor of the tables. ``not_counted``
    names what of the lead is in none of these, so that the loop is a lower end; ``allowed_ohm`` is the most that is
    allowed for it.
    """

    supply_ohm: Quantity
    line_ohm: Quantity
    earth_ohm: Quantity
    total_ohm: Quantity
    conductor_temperature_c: float
    prospective_current_a: Quantity
    least_current_a: Quantity
    not_counted: tuple[str, ...] = ()
    allowed_ohm: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualDisconnection:
    """Whether a residual-current device switches a fault off: the largest loop with which it does, and the outcome."""

    largest_loop: Limit
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class Disconnection:
    """Whether the device acts in time on a fault at the far end of the lead.

    ``within`` is the time class, ``largest_loop`` what the tables allow with the voltage factor, by which the outcome
    is; ``without_factor`` and its outcome are those of practice without it.
    """

    within: Limit
    largest_loop: Limit
    outcome: Outcome
    probability: float | None
    without_factor: Limit
    outcome_without_factor: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortCircuit:
    """A short circuit of line and neutral at the far end of the lead: its least current, and whether it is off in time.

    ``supply_ohm`` is the loop of line and neutral at the socket, ``line_ohm`` and ``neutral_ohm`` are those of the lead
    at ``conductor_temperature_c``. ``prospective_current_a`` is the current at the nominal voltage,
    ``least_current_a`` that with the voltage factor of the loop tables. ``conductor`` is the one that bears less, for
    ``bears_s`` at that current: k²S²/I²; by the formula for no longer than ``longest``. From ``acts_from_a`` on the
    device acts within ``acts_within``, both null where no table known to us says so. ``let_through_a2s`` is what its
    class lets through, where it is that which the conductor bears. ``not_counted`` and ``allowed_ohm`` are as for the
    loop to earth. ``taken`` says what was taken for granted, ``settles`` why nothing is decided and what would tell.
    ``limits`` are those that were used.
    """

    supply_ohm: Quantity
    line_ohm: Quantity
    neutral_ohm: Quantity
    total_ohm: Quantity
    conductor_temperature_c: float
    prospective_current_a: Quantity
    least_current_a: Quantity
    conductor: str
    bears_s: Quantity
    longest: Limit
    acts_from_a: float | None
    acts_within: Limit | None
    let_through_a2s: float | None
    outcome: Outcome
    probability: float | None
    not_counted: tuple[str, ...] = ()
    allowed_ohm: float = 0.0
    taken: str = ""
    settles: str = ""
    limits: tuple[Limit, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Overload:
    """Whether the device before the socket protects the cable from too much current.

    ``carries_a`` may flow for an hour and more, at ``acts_at_a`` the device acts within the hour (null where no text
    known to us says so: then nothing is within). ``cable`` is what the cable may carry, ``largest_acting_a`` the most
    at which the device may act.
    """

    carries_a: float
    acts_at_a: float | None
    cable: Limit
    largest_acting_a: float
    outcome: Outcome
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FaultWithstand:
    """What happens when line meets earth or neutral at the far end of a lead, and whether its conductors bear it.

    ``loop`` and ``disconnection`` are null where the loop of the supply, or a conductor, is not known; ``overload``
    where no rating of the cable is. ``residual`` is null unless the earth is an electrode and a residual-current device
    is known: then it decides, and not ``disconnection``. ``short`` is null where the loop of line and neutral at the
    socket, or the line conductor, is not known; ``short_why`` then says which.
    """

    schema: Literal["coldpin.fault_withstand/1"]
    device: ProtectiveDevice
    let_through: LetThrough
    conductors: tuple[Withstand, ...]
    loop: FaultLoop | None
    disconnection: Disconnection | None
    overload: Overload | None
    outcome: Outcome
    statements: tuple[str, ...]
    remarks: tuple[str, ...]
    residual: ResidualDisconnection | None = None
    short: ShortCircuit | None = None
    short_why: str = ""

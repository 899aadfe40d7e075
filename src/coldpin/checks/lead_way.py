"""The conductors of a lead from end to end, and the way of the current: out by the line, back by the neutral.

Between its taps a conductor was read; of what lies beyond them only that is reckoned that is known: the length of the
whole cable, a joint that was tapped by itself, a neutral that was read too. What is not known is named, and the most
that is allowed for it is told beside the figure.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from coldpin.checks.conductor_evidence import (
    CONNECTOR_SIDE,
    INSIDE,
    PINS,
    PLUG_SIDE,
    conductor_reading,
    cores_in_series,
    tapped_entries,
    tapped_resistance,
)
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.readings import condition
from coldpin.copper.fault_withstand import EARTH, LINE, NEUTRAL
from coldpin.copper.resistance import equivalent_area
from coldpin.copper.unread_neutral import LIKE_THE_LINE, THIN_NEUTRAL, THINNER, UNREAD_NEUTRAL, like
from coldpin.quantity import Quantity, format_quantity, parse_quantity, propagate, rectangular, step_written
from coldpin.records.entry import Entry
from coldpin.records.fault import Core
from coldpin.records.lead_way import BEYOND_TAPS, NONE_APART, LeadWay
from coldpin.standards.metals import resistivity
from coldpin.standards.table import needed

CORE_NAMES = {LINE: ("L", "L1", "L2", "L3"), EARTH: ("PE",), NEUTRAL: ("N",)}
"""The conductors of a lead, by the names of the vocabulary."""

EARTH_READ = "earth resistance"
"""An entry of it states the length of the whole cable."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadCore:
    """One conductor of the lead as read: from end to end at 20 °C [Ω], per metre [Ω/m], and its copper area. [mm²]

    ``entry`` is the reading from end to end, ``area_entry`` the one between its joints that its area is from, empty
    where both are one.
    ``resistance_20`` is over the whole length of the cable, ``length_m``, where that is known to be more than lay
    between the taps, with the joints that were read. ``whole`` is true where no length may lie beyond the taps,
    ``joints`` is how many of its joints with plug and connector are in it, ``joints_20`` what those have that were
    read apart. [Ω] ``allowed_20`` is the most that is allowed for what of it was not read, of that
    ``allowed_joints_20`` for its joints; ``joints_inside_20`` is the most that good joints may be of what was read from
    pin to pin, where nothing tells them apart from the cable. [Ω] ``told`` says what was scaled and added, ``entries``
    are what stands behind it. ``doubts`` are what any of its readings leaves open: with one, nothing may be within by
    this conductor.
    """

    name: str
    entry: Entry
    resistance_20: Quantity
    per_metre_20: Quantity
    area: Quantity
    remarks: tuple[str, ...] = ()
    doubts: tuple[str, ...] = ()
    length_m: float = 0.0
    whole: bool = True
    joints: int = 2
    joints_20: Quantity = NONE_APART
    allowed_20: float = 0.0
    allowed_joints_20: float = 0.0
    joints_inside_20: float = 0.0
    area_entry: str = ""
    told: tuple[str, ...] = ()
    entries: tuple[str, ...] = ()

    def as_core(self) -> Core:
        """Return it as the formulas of a fault take it.

        Returns
        -------
        Core
            Judged as copper of its resistance.
        """
        return Core(
            conductor=self.name,
            area=self.area,
            area_from="its resistance",
            resistance_20=self.resistance_20,
            not_counted=(
                *(() if self.whole else (BEYOND_TAPS,)),
                *((UNREAD_JOINTS,) if self.allowed_joints_20 else ()),
            ),
            allowed_20=self.allowed_20,
        )


def lead_core(bench: BenchEvidence, name: str) -> LeadCore | None:
    """Return a conductor of the lead from the reading with the most resistance, with the doubts about any of them.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    name : str
        "line", "earth" or "neutral".

    Returns
    -------
    LeadCore or None
        Over the whole length of the cable, with the joints that were read; None where the conductor was not read.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    found = [
        _core(bench, name, entry)
        for entry in tapped_entries(bench)
        if entry.conditions["conductor"] in CORE_NAMES[name] and (entry.conditions.get("taps") or INSIDE) in END_TO_END
    ]
    if not found:
        return None
    most = _told_apart(max(found, key=lambda core: core.resistance_20.value), found)
    return replace(most, doubts=tuple(dict.fromkeys(doubt for core in found for doubt in core.doubts)))


def _told_apart(most: LeadCore, found: list[LeadCore]) -> LeadCore:
    """Take the cable of a conductor that was read from pin to pin from a reading between its joints; the rest are they.

    Only the cable grows with its length, and only its area counts in a fault.
    """
    inside = [core for core in found if not _is_pins(core.entry)]
    if not _is_pins(most.entry) or not inside:
        return most
    cable = max(inside, key=lambda core: core.per_metre_20.value)
    given: dict[str, Quantity | float] = {
        "whole": most.resistance_20,
        "per_metre": cable.per_metre_20,
        "length": most.length_m,
    }
    joints = propagate(_rest, given, "Ω", monte_carlo=False)
    if joints.value <= 0.0:
        return most
    return replace(
        most,
        per_metre_20=cable.per_metre_20,
        area=cable.area,
        area_entry=cable.entry.id,
        joints_20=joints,
        joints_inside_20=0.0,
        entries=tuple(dict.fromkeys((*most.entries, cable.entry.id))),
    )


def _rest(*, whole: float, per_metre: float, length: float) -> float:
    return whole - per_metre * length


def _core(bench: BenchEvidence, name: str, entry: Entry) -> LeadCore:
    told = conductor_reading(bench, entry)
    linear = told.resistance_20c_ohm_per_km
    ends = _ends(bench, entry, told.length_m)
    apart: dict[str, Quantity | float] = {side: ends.joints[side][0] if side in ends.joints else 0.0 for side in _SIDES}
    given: dict[str, Quantity | float] = {
        "linear": linear,
        "length": told.length_m,
        "longer": 1.0 if ends.longer is None else ends.longer,
        **apart,
    }
    resistance = propagate(_end_to_end, given, "Ω", monte_carlo=False)
    joints = len(_SIDES) if _is_pins(entry) else len(ends.joints)
    unread = _at_most(0 if _is_pins(entry) else JOINTS - joints, bench)
    return LeadCore(
        name=name,
        entry=entry,
        resistance_20=resistance,
        per_metre_20=propagate(_per_metre, {"linear": linear}, "Ω/m", monte_carlo=False),
        area=told.equivalent_area_mm2 if linear.u is not None else _area(linear, bench),
        remarks=told.questions,
        length_m=told.length_m.value * (1.0 if ends.longer is None else ends.longer.value),
        whole=ends.whole,
        joints=joints,
        allowed_20=unread + (0.0 if ends.whole else BEYOND_THE_TAPS * resistance.value),
        allowed_joints_20=unread,
        joints_inside_20=_at_most(JOINTS, bench) if _is_pins(entry) else 0.0,
        joints_20=propagate(_both, apart, "Ω", monte_carlo=False) if ends.joints else NONE_APART,
        told=ends.told,
        entries=tuple(dict.fromkeys((entry.id, *ends.entries))),
        doubts=(
            *told.questions,
            *((_NOT_SURE.format(entry=entry.id, why=linear.why),) if linear.u is None else ()),
            *((_MEAN.format(entry=entry.id),) if told.cores_in_series > 1 else ()),
        ),
    )


def _area(linear: Quantity, bench: BenchEvidence) -> Quantity:
    given: dict[str, Quantity | float] = {"linear": linear, "resistivity": resistivity(bench.book)}
    return propagate(equivalent_area, given, "mm²", monte_carlo=False)


_SIDES = {PLUG_SIDE.replace(" ", "_"): PLUG_SIDE, CONNECTOR_SIDE.replace(" ", "_"): CONNECTOR_SIDE}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ends:
    """What lies beyond the taps of a reading: how much longer the cable is [1], and the joints that were read. [Ω]"""

    longer: Quantity | None = None
    whole: bool = True
    joints: dict[str, tuple[Quantity, str]] = field(default_factory=dict)
    told: tuple[str, ...] = ()
    entries: tuple[str, ...] = ()


def _is_pins(entry: Entry) -> bool:
    return entry.conditions.get("taps") == PINS


def _ends(bench: BenchEvidence, entry: Entry, tapped: Quantity) -> _Ends:
    """Return what is known of a conductor beyond the taps of one of its readings: nothing is, from pin to pin."""
    if _is_pins(entry):
        return _Ends()
    joints = _joints_read(bench, entry.conditions["conductor"])
    full = cable_length(bench)
    told, entries = [], [name for _, name in joints.values()]
    longer = None
    if full is not None and full[0].value > tapped.value:
        longer = propagate(_longer, {"full": full[0], "tapped": tapped}, "1", monte_carlo=False)
        told.append(
            f"Of {entry.conditions['conductor']} {tapped.value:g} m lay between the taps: taken up to the "
            f"{format_quantity(full[0])} of the whole cable."
        )
        entries.append(full[1])
    if joints:
        told.append(
            f"With the joints of {entry.conditions['conductor']} that were read: {', '.join(joints)}.".replace("_", " ")
        )
    return _Ends(longer=longer, whole=full is not None, joints=joints, told=tuple(told), entries=tuple(entries))


def _joints_read(bench: BenchEvidence, conductor: str) -> dict[str, tuple[Quantity, str]]:
    """Return the joints of a conductor that were tapped by themselves, of each side the worst, with its entry."""
    found: dict[str, tuple[Quantity, str]] = {}
    for entry in tapped_entries(bench):
        for key, side in _SIDES.items():
            if entry.conditions["conductor"] != conductor or entry.conditions.get("taps") != side:
                continue
            if cores_in_series(entry) > 1:
                continue
            read = tapped_resistance(bench, entry).resistance
            if key not in found or read.value > found[key][0].value:
                found[key] = (read, entry.id)
    return found


def cable_length(bench: BenchEvidence) -> tuple[Quantity, str] | None:
    """Return the length of the whole cable, the longest that an entry states.

    It is stated with the resistance of the earth from pin to pin, and of any conductor so tapped.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of Quantity and str, or None
        The length [m] and the entry that states it; None where none does.

    Raises
    ------
    EntryError
        A length cannot be read.
    """
    stating = [
        *bench.showing(EARTH_READ),
        *(entry for entry in tapped_entries(bench) if _is_pins(entry)),
    ]
    found = [(length, entry) for entry in stating if (length := stated_cable_length(entry)) is not None]
    if not found:
        return None
    length, entry = max(found, key=lambda one: one[0].value)
    return length, entry.id


def stated_cable_length(entry: Entry) -> Quantity | None:
    """Return the length of the whole cable that an entry states: without ±, good to half of its last digit.

    Parameters
    ----------
    entry : Entry
        Whose condition "length" is that of the whole cable.

    Returns
    -------
    Quantity or None
        The length, the same in every budget [m]; None where it states none.

    Raises
    ------
    EntryError
        It cannot be read.
    """
    length = condition(entry, "length", "m")
    if length is None:
        return None
    text, label = entry.conditions["length"], "length of the whole cable"
    if length.u is not None:
        return parse_quantity(text, "m", id=LENGTH_ID, label=label)
    return rectangular(length.value, 0.5 * step_written(text, "m"), "m", id=LENGTH_ID, label=label)


LENGTH_ID = "cable: length"
"""How the length of the whole cable is called in every budget: what is wrong with it is wrong for each conductor."""


_NOT_SURE = "The uncertainty of {entry} is not known ({why})."
_MEAN = "{entry} is the mean of two cores in series: one alone may be thinner."
END_TO_END = (PINS, INSIDE)
"""Taps between which the whole length of a conductor lies, with or without the joints."""


def _end_to_end(*, linear: float, length: float, longer: float, plug_side: float, connector_side: float) -> float:
    return linear * length * longer / 1000 + plug_side + connector_side


def _both(*, plug_side: float, connector_side: float) -> float:
    return plug_side + connector_side


def _longer(*, full: float, tapped: float) -> float:
    return full / tapped


def _per_metre(*, linear: float) -> float:
    return linear / 1000


def lead_way(bench: BenchEvidence) -> LeadWay | None:
    """Return the way of the current through the lead, out and back, over its whole length.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    LeadWay or None
        By the worst readings of line and neutral; a neutral that was not read is taken to be like the line, and that
        is said. None where the line was not read.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    return bench.once("way of the current", lambda: _lead_way(bench))


def _lead_way(bench: BenchEvidence) -> LeadWay | None:
    line = lead_core(bench, LINE)
    if line is None:
        return None
    if bench.case.unit.phases > 1:
        return _way(bench, line, None, ())
    neutral = lead_core(bench, NEUTRAL)
    return _way(bench, line, neutral, (line,) if neutral is None else (line, neutral))


def _way(bench: BenchEvidence, line: LeadCore, neutral: LeadCore | None, ways: tuple[LeadCore, ...]) -> LeadWay:
    """Put line and neutral together: ``ways`` are the cores through which the current flows out and back."""
    single = bool(ways)
    read = (line,) if neutral is None else (line, neutral)
    back = None
    mean, each, joints_apart = line.resistance_20, line.per_metre_20, line.joints_20
    if single:
        back = like(line.resistance_20, NEUTRAL) if neutral is None else neutral.resistance_20
        each_back = like(line.per_metre_20, NEUTRAL) if neutral is None else neutral.per_metre_20
        mean, each = mean_of(line.resistance_20, back), mean_of(line.per_metre_20, each_back)
        if neutral is not None:
            joints_apart = mean_of(line.joints_20, neutral.joints_20)
    taken = (UNREAD_NEUTRAL.format(percent=100.0 * LIKE_THE_LINE),) if single and neutral is None else ()
    told = (*(remark for core in read for remark in core.told), *taken)
    beyond = 0.0 if all(core.whole for core in read) else BEYOND_THE_TAPS
    out_and_back = line.resistance_20.value + (0.0 if back is None else back.value)
    # where the neutral was not read its joints were not either
    joints = sum(_unread(core) for core in read) + (JOINTS if single and neutral is None else 0)
    at_most = _at_most(joints, bench)
    thin = THIN_NEUTRAL if single and neutral is None else 0.0
    not_counted = (
        *((BEYOND_TAPS,) if beyond else ()),
        *((UNREAD_JOINTS,) if joints else ()),
        *((THINNER,) if thin else ()),
    )
    return LeadWay(
        out_20_ohm=line.resistance_20,
        back_20_ohm=back,
        mean_20_ohm=mean,
        mean_per_metre_20_ohm=each,
        length_m=max(core.length_m for core in read),
        joints_20_ohm=joints_apart,
        told=tuple(dict.fromkeys(told)),
        taken=taken,
        not_counted=not_counted,
        allowed_20_ohm=beyond * out_and_back + (1.0 + beyond) * thin * line.resistance_20.value + at_most,
        allowed_joints_20_ohm=at_most,
        allowed_per_metre_20_ohm=thin * line.per_metre_20.value,
        entries=tuple(dict.fromkeys(name for core in read for name in core.entries)),
        doubts=tuple(dict.fromkeys(doubt for core in read for doubt in core.doubts)),
    )


def _unread(core: LeadCore) -> int:
    """Return how many joints of a conductor are allowed for: none where it was read from pin to pin."""
    return 0 if core.entry.conditions.get("taps") == PINS else JOINTS - core.joints


def _at_most(joints: int, bench: BenchEvidence) -> float:
    """Return the most that is allowed for joints that were not read. [Ω]"""
    return 1e-3 * joints * needed(bench.book.limit(GOOD_JOINT), "maximum")


def mean_of(out: Quantity, back: Quantity) -> Quantity:
    """Return the mean of two conductors, or of their joints, with what is wrong with both.

    Parameters
    ----------
    out : Quantity
        The one. [Ω or Ω/m]
    back : Quantity
        The other, in the same unit.

    Returns
    -------
    Quantity
        In the same unit.

    Examples
    --------
    >>> round(mean_of(Quantity(0.04, 1e-4, "Ω"), Quantity(0.06, 1e-4, "Ω")).value, 3)
    0.05
    """
    return propagate(_mean_core, {"out": out, "back": back}, out.unit, monte_carlo=False)


def _mean_core(*, out: float, back: float) -> float:
    return 0.5 * (out + back)


BEYOND_THE_TAPS = 0.5
"""Ours: the most that is allowed for a cable whose length is not stated: half as much again as lay between taps that
sit near its ends. [1]"""

JOINTS = 6
"""Ours: the most joints of one conductor that are allowed for: plug, connector, and in a box two terminals and the two
contacts of a relay."""

GOOD_JOINT = "joint.contact"
"""The limit by whose upper end each of them is allowed for; whether a joint is good, joints and heat tell."""

UNREAD_JOINTS = "the joints that were not read"
"""What is not counted of a conductor that was read between its joints."""

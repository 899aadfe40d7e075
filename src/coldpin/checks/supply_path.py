"""What is known of the supply of a lead and of its conductors from end to end, as the formulas take it."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.checks.check import Need
from coldpin.checks.conductor_evidence import INSIDE, PINS, conductor_reading, tapped_entries
from coldpin.checks.evidence import BenchEvidence, LogEvidence, Side, condition, mean, readings
from coldpin.checks.marked_size import marked_size
from coldpin.copper.fault import Core, Feed
from coldpin.copper.fault_loop import prospective_current
from coldpin.copper.fault_withstand import EARTH, LINE
from coldpin.copper.resistance import equivalent_area
from coldpin.copper.source_impedance import find_steps, impedance_from_readings, impedance_from_steps
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, propagate
from coldpin.records.entry import Entry
from coldpin.records.fault import ProtectiveDevice
from coldpin.records.log import LogQuantity
from coldpin.records.supply_words import BETWEEN
from coldpin.records.voltage_drop import SourceImpedance
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.conductors import resistivity
from coldpin.standards.fault_withstand import insulation_of_print
from coldpin.standards.protective_device import customary_capacity, device_before
from coldpin.standards.voltage_drop import supply_voltage

LOOP = "loop impedance of the supply"
CURRENT = "prospective fault current of the supply"
UNLOADED, LOADED = "voltage at the socket without load", "voltage at the socket with load"
SUPPLY_LOG = "voltage and current at the socket"
DEVICE = "protective device before the socket"
TO_EARTH, TO_NEUTRAL = BETWEEN

LOOP_NEEDS = (
    Need(shows=LOOP, conditions={"between": (TO_EARTH, "")}),
    Need(shows=CURRENT, conditions={"between": (TO_EARTH, "")}),
)
"""The loop of line and earth at the socket, in either of the ways in which a tester tells it."""

CORE_NAMES = {LINE: ("L", "L1", "L2", "L3"), EARTH: ("PE",)}
"""The conductors through which a fault to earth flows, by the names of the vocabulary."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadCore:
    """One conductor of the lead as read: from end to end at 20 °C [Ω], per metre [Ω/m], and its copper area. [mm²]"""

    name: str
    entry: Entry
    resistance_20: Quantity
    per_metre_20: Quantity
    area: Quantity
    remarks: tuple[str, ...] = ()

    def as_core(self) -> Core:
        """Return it as the formulas of a fault take it.

        Returns
        -------
        Core
            Judged as copper of its resistance.
        """
        return Core(conductor=self.name, area=self.area, area_from="its resistance", resistance_20=self.resistance_20)


def lead_core(bench: BenchEvidence, name: str) -> LeadCore | None:
    """Return line or earth of the lead from the reading with the most resistance, pins before taps inside.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    name : str
        "line" or "earth".

    Returns
    -------
    LeadCore or None
        None where the conductor was not read.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    entries = [entry for entry in tapped_entries(bench) if entry.conditions["conductor"] in CORE_NAMES[name]]
    for taps in (PINS, INSIDE):
        found = [_core(bench, name, entry) for entry in entries if (entry.conditions.get("taps") or INSIDE) == taps]
        if found:
            return max(found, key=lambda core: core.resistance_20.value)
    return None


def _core(bench: BenchEvidence, name: str, entry: Entry) -> LeadCore:
    told = conductor_reading(bench, entry)
    linear = told.resistance_20c_ohm_per_km
    given: dict[str, Quantity | float] = {"linear": linear, "length": told.length_m}
    return LeadCore(
        name=name,
        entry=entry,
        resistance_20=propagate(_end_to_end, given, "Ω", monte_carlo=False),
        per_metre_20=propagate(_per_metre, {"linear": linear}, "Ω/m", monte_carlo=False),
        area=propagate(
            equivalent_area, {"linear": linear, "resistivity": resistivity(bench.book)}, "mm²", monte_carlo=False
        ),
        remarks=told.questions,
    )


def _end_to_end(*, linear: float, length: float) -> float:
    return linear * length / 1000


def _per_metre(*, linear: float) -> float:
    return linear / 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownFeed:
    """What stands before the socket, with the entries that say so; ``seen`` is false where nobody looked."""

    feed: Feed
    entries: tuple[str, ...]
    seen: bool


def known_feed(bench: BenchEvidence) -> KnownFeed | None:
    """Return the device before the socket as recorded, or the one that the plug lets one reckon with; with the loop.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    KnownFeed or None
        None where no device was recorded and no plug is claimed.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    UnknownName
        The plug is not in the table.
    """
    loop, loop_entries = supply_loop(bench)
    recorded = bench.showing(DEVICE)
    if recorded:
        entry = recorded[-1]
        return KnownFeed(feed=_recorded(bench, entry, loop), entries=(entry.id, *loop_entries), seen=True)
    plug = bench.claim("plug")
    if not plug:
        return None
    feed = Feed(device=device_before(bench.book, plug), capacity=customary_capacity(bench.book), supply=loop)
    return KnownFeed(feed=feed, entries=loop_entries, seen=False)


def _recorded(bench: BenchEvidence, entry: Entry, loop: Quantity | None) -> Feed:
    rated = readings(bench, entry)[-1].quantity.value
    if rated <= 0.0:
        raise EntryError.of(entry.id, f"rated current {rated:g} A: it must be above 0 A")
    capacity = condition(entry, "short-circuit capacity", "A")
    residual = condition(entry, "residual current", "A")
    return Feed(
        device=ProtectiveDevice(kind=entry.conditions.get("kind") or "C", rating_a=rated),
        capacity=customary_capacity(bench.book) if capacity is None else capacity.value,
        energy_class=int(entry.conditions.get("energy class") or 3),
        supply=loop,
        residual_current=None if residual is None else residual.value,
        system=entry.conditions.get("earthing") or "TN",
    )


def supply_loop(bench: BenchEvidence) -> tuple[Quantity | None, tuple[str, ...]]:
    """Return the largest loop of line and earth that was read at the socket.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of Quantity or None, and tuple of str
        The loop [Ω], None where none was read, and the entry it is from.

    Raises
    ------
    EntryError
        A reading cannot be read, or is only a bound.
    """
    found: list[tuple[Quantity, str]] = []
    for need in LOOP_NEEDS:
        for entry in bench.matching(need):
            read = mean(readings(bench, entry))
            if read.side is not Side.VALUE:
                raise EntryError.of(entry.id, f"reading {read.text!r} is only a bound: write what the tester shows")
            if read.quantity.value <= 0.0:
                raise EntryError.of(entry.id, f"reading {read.text!r}: it must be above 0; zero the tester's leads")
            loop = read.quantity if need.shows == LOOP else _from_current(read.quantity, bench)
            found.append((loop, entry.id))
    if not found:
        return None, ()
    loop, name = max(found, key=lambda pair: pair[0].value)
    return loop, (name,)


def _from_current(current: Quantity, bench: BenchEvidence) -> Quantity:
    given: dict[str, Quantity | float] = {"voltage": supply_voltage(bench.book), "loop": current, "factor": 1.0}
    return propagate(prospective_current, given, "Ω", monte_carlo=False)


def source_of(bench: BenchEvidence) -> tuple[SourceImpedance, tuple[str, ...]] | None:
    """Return the impedance of the supply as a charge meets it: from a log, from two voltages, or from a tester.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of SourceImpedance and tuple of str, or None
        With the entries it is from; None where nothing tells it.

    Raises
    ------
    EntryError
        Something cannot be read, or shows no impedance.
    """
    logs = [one for one in bench.logs if one.entry.shows == SUPPLY_LOG]
    if logs:
        return _from_log(bench, logs[-1]), (logs[-1].entry.id,)
    before, after = bench.showing(UNLOADED), bench.showing(LOADED)
    if before and after:
        return _from_voltages(bench, before[-1], after[-1]), (before[-1].id, after[-1].id)
    tested = bench.matching(Need(shows=LOOP, conditions={"between": (TO_NEUTRAL,)}))
    if not tested:
        return None
    read = mean(readings(bench, tested[-1])).quantity
    return SourceImpedance(resistance_ohm=read, method="a loop tester, line and neutral"), (tested[-1].id,)


def _from_log(bench: BenchEvidence, evidence: LogEvidence) -> SourceImpedance:
    voltage, current = (evidence.log.channel(what) for what in (LogQuantity.VOLTAGE, LogQuantity.CURRENT))
    if voltage is None or current is None:
        raise EntryError.of(
            evidence.entry.id, "the log has no column of voltage or none of current: both are needed; file it anew"
        )
    steps = find_steps(evidence.log.time_s, voltage=voltage.values, current=current.values)
    accuracy = None
    instrument = bench.instruments.get(evidence.entry.instrument)
    if instrument is not None and steps.current.size:
        stated = [instrument.statements.get(what, "") for what in ("voltage", "current")]
        if all(stated):
            levels = (supply_voltage(bench.book), float(abs(steps.current).mean()))
            shares = [
                parse_accuracy(text).apply(Quantity(level, 0.0, unit), id=unit, label=unit).u or 0.0
                for text, level, unit in zip(stated, levels, ("V", "A"), strict=True)
            ]
            accuracy = sum((share / level) ** 2 for share, level in zip(shares, levels, strict=True)) ** 0.5
    try:
        return impedance_from_steps(steps, accuracy=accuracy)
    except InputError as error:
        raise EntryError.of(evidence.entry.id, str(error)) from error


def _from_voltages(bench: BenchEvidence, before: Entry, after: Entry) -> SourceImpedance:
    current = condition(after, "load current", "A")
    if current is None:
        raise EntryError.of(after.id, "the current of the load is missing: state 'load current', as '16.0 A ± 0.1 A'")
    unloaded, loaded = (mean(readings(bench, entry)).quantity for entry in (before, after))
    try:
        return impedance_from_readings(unloaded=unloaded, loaded=loaded, current=current)
    except InputError as error:
        raise EntryError.of(after.id, str(error)) from error


def unloaded_voltage(bench: BenchEvidence) -> Quantity | None:
    """Return the voltage at the socket without load.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    Quantity or None
        The latest; None where it was not read. [V]

    Raises
    ------
    EntryError
        A reading cannot be read.
    """
    found = bench.showing(UNLOADED)
    return mean(readings(bench, found[-1])).quantity if found else None


def printed_insulation(bench: BenchEvidence) -> str:
    """Return the insulation that the cable's print stands for.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case.

    Returns
    -------
    str
        As the table of factors k calls it; empty where the print does not tell it.
    """
    return insulation_of_print(bench.book, bench.claim("cable_print"))


def marked_mm2(bench: BenchEvidence) -> float | None:
    """Return the size that the cable is marked with.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case.

    Returns
    -------
    float or None
        None where neither print nor claim names one. [mm²]

    Raises
    ------
    CaseError
        The claim cannot be read.
    """
    marked = marked_size(bench)
    return None if marked is None else marked.size_mm2


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryingSize:
    """The size by which a printed rating of the cable is looked up, and why that one; with the entry read. [mm²]"""

    size_mm2: float
    why: str
    entries: tuple[str, ...] = ()


def carrying_size(bench: BenchEvidence) -> CarryingSize | None:
    """Return the size by which the cable is rated: the marked one, or the lesser one that its line conductor keeps.

    What heats a cable is its resistance: a conductor that resists as much as a smaller size carries no more than it,
    whatever is printed and whatever the metal.

    Parameters
    ----------
    bench : BenchEvidence
        With the claims of the case, and readings of the line conductor tapped inside where there are any.

    Returns
    -------
    CarryingSize or None
        None where no size is marked and none follows from a reading.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    marked = marked_mm2(bench)
    kept = [
        (told.keeps_limit_of_mm2, entry)
        for entry in tapped_entries(bench)
        if entry.conditions["conductor"] in CORE_NAMES[LINE] and (entry.conditions.get("taps") or INSIDE) == INSIDE
        if (told := conductor_reading(bench, entry)).keeps_limit_of_mm2 is not None
    ]
    least = min(kept, key=lambda pair: pair[0] or 0.0, default=None)
    if least is not None and least[0] is not None and (marked is None or least[0] < marked):
        return CarryingSize(
            size_mm2=least[0],
            why=f"By the resistance of its line conductor, which keeps the limit of {least[0]:g} mm² and of no more.",
            entries=(least[1].id,),
        )
    if marked is None:
        return None
    return CarryingSize(size_mm2=marked, why=f"By the size that the cable is marked with, {marked:g} mm².")

"""What is known of the supply of a lead and of its conductors from end to end, as the formulas take it."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import fields, is_dataclass, replace
from typing import Any

from coldpin.checks.check import Need
from coldpin.checks.evidence import BenchEvidence, LogEvidence
from coldpin.checks.lead_way import LeadCore, lead_core, lead_way
from coldpin.checks.marked_size import marked_size
from coldpin.checks.readings import Measured, Side, claimed, condition, mean, readings
from coldpin.copper.fault import fault_of_lead
from coldpin.copper.fault_loop import check_loop, prospective_current
from coldpin.copper.fault_withstand import EARTH, LINE, NEUTRAL
from coldpin.copper.source_impedance import find_steps, impedance_from_readings, impedance_from_steps
from coldpin.copper.voltage_drop import drop_of_way
from coldpin.errors import EntryError, InputError, OutsideRange
from coldpin.quantity import Quantity, propagate
from coldpin.records.entry import Entry
from coldpin.records.fault import EndToEnd, EndToEndCore, FaultWithstand, Feed, KnownFeed, ProtectiveDevice
from coldpin.records.finding import Finding, Outcome
from coldpin.records.log import LogQuantity
from coldpin.records.supply_words import BETWEEN
from coldpin.records.voltage_drop import SourceImpedance
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.fault_withstand import insulation_of_print
from coldpin.standards.protective_device import check_rating, customary_capacity, device_before
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


def end_to_end(bench: BenchEvidence) -> EndToEnd | None:
    """Return line and earth of the lead with what stands before its socket.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    EndToEnd or None
        None where neither conductor was read. Quantities stand in it as their record on disk tells them, so that what
        is asked of it later is answered alike.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        The claimed size cannot be read.
    UnknownName
        The plug is not in the table.
    """
    line, earth, way = lead_core(bench, LINE), lead_core(bench, EARTH), lead_way(bench)
    neutral = lead_core(bench, NEUTRAL)
    if line is None and earth is None:
        return None
    cores = [core for core in (line, earth) if core is not None]
    faults: tuple[FaultWithstand, ...] = ()
    drop = None
    # a value that cannot be is told by the check of it, and costs no page
    with suppress(InputError):
        faults = tuple(without_parts(faults_behind(bench, cores, known)) for known in known_feeds(bench))
        rated = claimed(bench, "rated_current", "A")
        if way is not None and rated is not None:
            drop = drop_of_way(way, bench.case.unit.phases, marked_mm2(bench), rated, bench.book)
    feeds = tuple(
        KnownFeed(
            feed=replace(
                known.feed,
                supply=None if known.feed.supply is None else _bare(known.feed.supply),
                neutral=tuple(map(_bare, known.feed.neutral)),
            ),
            entries=known.entries,
        )
        for known in known_feeds(bench)
    )
    return EndToEnd(
        line=None if line is None else _as_told(line),
        earth=None if earth is None else _as_told(earth),
        length_m=max(core.length_m for core in (line, earth) if core is not None),
        feeds=feeds,
        insulation=printed_insulation(bench),
        phases=bench.case.unit.phases,
        marked_mm2=marked_mm2(bench),
        way=None if way is None else without_parts(way),
        faults=faults,
        drop=None if drop is None else without_parts(drop),
        neutral=None if neutral is None else _as_told(neutral),
    )


def _as_told(core: LeadCore) -> EndToEndCore:
    known = core.as_core()
    assert known.resistance_20 is not None, "a core that was read has its resistance"
    return EndToEndCore(
        core=replace(known, area=_bare(known.area), resistance_20=_bare(known.resistance_20)),
        per_metre_20=_bare(core.per_metre_20),
        entry=core.area_entry or core.entry.id,
        doubts=core.doubts,
        joints_20=_bare(core.joints_20),
        allowed_joints_20=core.allowed_joints_20,
    )


def _bare(quantity: Quantity) -> Quantity:
    return replace(quantity, components=(), quantiles=())


def without_parts(record: Any) -> Any:
    """Return a record whose quantities stand in it as its record on disk tells them, without their components.

    Parameters
    ----------
    record : record, quantity, tuple or plain value
        What to tell.

    Returns
    -------
    record, quantity, tuple or plain value
        Of the same kind.

    Examples
    --------
    >>> from coldpin.quantity import rectangular
    >>> without_parts((rectangular(1.0, 0.1, "V"), "text"))[0].components
    ()
    """
    if isinstance(record, Quantity):
        return _bare(record)
    if isinstance(record, tuple):
        return tuple(without_parts(each) for each in record)
    if is_dataclass(record) and not isinstance(record, type):
        return replace(record, **{each.name: without_parts(getattr(record, each.name)) for each in fields(record)})
    return record


def faults_behind(bench: BenchEvidence, cores: Sequence[LeadCore], known: KnownFeed) -> FaultWithstand:
    """Return what a fault at the far end of the lead does: the one reckoning of checks and pages.

    A short circuit flows in the neutral too, as far as that was read.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    cores : sequence of LeadCore
        Line and earth, as far as they were read.
    known : KnownFeed
        What stands before the socket.

    Returns
    -------
    FaultWithstand
        Loop, disconnection and withstand.
    """
    asked, insulation, phases = [core.as_core() for core in cores], printed_insulation(bench), bench.case.unit.phases
    read = lead_core(bench, NEUTRAL)
    neutral = None if read is None else read.as_core()
    return bench.kept(
        "fault of the lead",
        (asked, neutral, known.feed, insulation, phases),
        lambda: fault_of_lead(asked, known.feed, bench.book, insulation=insulation, neutral=neutral, phases=phases),
    )


def within_unless(finding: Finding, doubts: tuple[str, ...]) -> Finding:
    """Return a finding that is within as undecided where something it rests on is doubted.

    Parameters
    ----------
    finding : Finding
        As it was judged.
    doubts : tuple of str
        What is doubted, each as a sentence; empty where nothing is.

    Returns
    -------
    Finding
        The same where there is no doubt; one that is beyond stays so.
    """
    if not doubts:
        return finding
    remarks = tuple(dict.fromkeys((*finding.remarks, *doubts)))
    if finding.outcome is not Outcome.WITHIN:
        return replace(finding, remarks=remarks)
    return replace(finding, outcome=Outcome.UNDECIDED, probability=None, remarks=remarks)


def known_feeds(bench: BenchEvidence) -> tuple[KnownFeed, ...]:
    """Return each device before the socket with each loop that was read there: the worst of them decides.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of KnownFeed
        With the device that the plug lets one reckon with where none was recorded; empty where no plug is claimed.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    UnknownName
        The plug is not in the table.
    """
    neutral = supply_loops(bench, TO_NEUTRAL)
    beside = tuple(name for _, name in neutral)
    return tuple(
        KnownFeed(
            feed=replace(feed, supply=loop, neutral=tuple(read for read, _ in neutral)),
            entries=tuple(dict.fromkeys((*entries, *of_loop, *beside))),
        )
        for feed, entries in _devices(bench)
        for loop, of_loop in _loops_or_none(bench)
    )


def _devices(bench: BenchEvidence) -> list[tuple[Feed, tuple[str, ...]]]:
    recorded = bench.showing(DEVICE)
    if recorded:
        return [(_recorded(bench, entry, read), (entry.id,)) for entry in recorded for read in readings(bench, entry)]
    plug = bench.claim("plug")
    if not plug:
        return []
    usual = Feed(
        device=device_before(bench.book, plug), capacity=customary_capacity(bench.book), seen=False, class_seen=False
    )
    return [(usual, ())]


def _loops_or_none(bench: BenchEvidence) -> list[tuple[Quantity | None, tuple[str, ...]]]:
    found = supply_loops(bench, TO_EARTH)
    return [(loop, (name,)) for loop, name in found] if found else [(None, ())]


def _recorded(bench: BenchEvidence, entry: Entry, read: Measured) -> Feed:
    rated = read.quantity.value
    try:
        check_rating(rated)
    except OutsideRange as error:
        raise EntryError.of(entry.id, str(error)) from error
    capacity = condition(entry, "short-circuit capacity", "A")
    residual = condition(entry, "residual current", "A")
    return Feed(
        device=ProtectiveDevice(kind=entry.conditions.get("kind") or "C", rating_a=rated),
        capacity=customary_capacity(bench.book) if capacity is None else capacity.value,
        energy_class=int(entry.conditions.get("energy class") or 3),
        residual_current=None if residual is None else residual.value,
        system=entry.conditions.get("earthing") or "TN",
        seen=bool(entry.conditions.get("kind")),
        class_seen=capacity is not None and bool(entry.conditions.get("energy class")),
    )


def supply_loops(bench: BenchEvidence, between: str) -> tuple[tuple[Quantity, str], ...]:
    """Return every loop of line and earth, or of line and neutral, that was read at the socket.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    between : str
        "line and earth" or "line and neutral", as in the vocabulary.

    Returns
    -------
    tuple of Quantity and str
        The loop [Ω] and the entry it is from, oldest first of each way of telling it.

    Raises
    ------
    EntryError
        A reading cannot be read, or is only a bound.
    """
    found: list[tuple[Quantity, str]] = []
    served = (TO_EARTH, "") if between == TO_EARTH else (between,)
    for need in (Need(shows=shows, conditions={"between": served}) for shows in (LOOP, CURRENT)):
        for entry in bench.matching(need):
            read = mean(readings(bench, entry))
            if read.side is not Side.VALUE:
                raise EntryError.of(entry.id, f"reading {read.text!r} is only a bound: write what the tester shows")
            if read.quantity.value <= 0.0:
                raise EntryError.of(entry.id, f"reading {read.text!r}: it must be above 0; zero the tester's leads")
            loop = read.quantity if need.shows == LOOP else _from_current(read.quantity, bench)
            try:
                check_loop(loop)
            except OutsideRange as error:
                raise EntryError.of(entry.id, f"reading {read.text!r}: {error}") from error
            found.append((loop, entry.id))
    return tuple(found)


def _from_current(current: Quantity, bench: BenchEvidence) -> Quantity:
    given: dict[str, Quantity | float] = {"voltage": supply_voltage(bench.book), "loop": current, "factor": 1.0}
    return propagate(prospective_current, given, "Ω", monte_carlo=False)


def sources_of(bench: BenchEvidence) -> tuple[tuple[SourceImpedance, tuple[str, ...]], ...]:
    """Return the impedance of the supply as a charge meets it: from logs, from pairs of voltages, and from a tester.

    A voltage with load is taken together with the last one without load that was read before it.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of SourceImpedance and tuple of str
        Each with the entries it is from; empty where nothing tells it.

    Raises
    ------
    EntryError
        Something cannot be read, or shows no impedance.
    """
    logs = [(_from_log(bench, one), (one.entry.id,)) for one in bench.logs if one.entry.shows == SUPPLY_LOG]
    pairs = [(_from_voltages(bench, before, after), (before.id, after.id)) for before, after in _voltage_pairs(bench)]
    tested = [
        (SourceImpedance(resistance_ohm=read, method="a loop tester, line and neutral"), (name,))
        for read, name in supply_loops(bench, TO_NEUTRAL)
    ]
    return (*logs, *pairs, *tested)


def _voltage_pairs(bench: BenchEvidence) -> list[tuple[Entry, Entry]]:
    """Pair each voltage with load with the last one without load before it; with the first where none is before it."""
    found: list[tuple[Entry, Entry]] = []
    unloaded = bench.showing(UNLOADED)
    place = {entry.id: at for at, entry in enumerate(bench.entries)}
    for after in bench.showing(LOADED):
        before = [entry for entry in unloaded if place[entry.id] < place[after.id]]
        if unloaded:
            found.append((before[-1] if before else unloaded[0], after))
    return found


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
                parse_accuracy(text).apply(Quantity(level, 0.0, unit), id=unit, label=unit).u
                for text, level, unit in zip(stated, levels, ("V", "A"), strict=True)
            ]
            known = [share / level for share, level in zip(shares, levels, strict=True) if share is not None]
            accuracy = sum(part**2 for part in known) ** 0.5 if len(known) == len(shares) else None
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


def unloaded_voltages(bench: BenchEvidence) -> tuple[tuple[Quantity, str], ...]:
    """Return every voltage at the socket without load.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of Quantity and str
        The voltage [V] and the entry it is from; empty where it was not read.

    Raises
    ------
    EntryError
        A reading cannot be read.
    """
    return tuple((mean(readings(bench, entry)).quantity, entry.id) for entry in bench.showing(UNLOADED))


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

"""The same lead at the other lengths of its catalogue: from which length a claim no longer holds."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Need, always
from coldpin.checks.conductor_evidence import CONDUCTOR_NEEDS
from coldpin.checks.conductor_resistance import CHECK as CONDUCTOR_CHECK
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.fault_loop import NOT_THE_LEAD
from coldpin.checks.judging import judged, worst_entry
from coldpin.checks.lead_way import LeadCore, lead_core, lead_way, mean_of
from coldpin.checks.readings import claimed, readings
from coldpin.checks.supply_path import known_feeds, within_unless
from coldpin.copper.drop_formulas import drop_of_resistance
from coldpin.copper.fault import UNSEEN
from coldpin.copper.fault_loop import disconnection
from coldpin.copper.fault_withstand import EARTH, LINE, NEUTRAL
from coldpin.copper.length_variants import Cable, Socket, length_variants
from coldpin.copper.supposed_warmth import supposed_remark, supposed_temperature
from coldpin.errors import EntryError, OutsideRange
from coldpin.quantity import Quantity, decide, format_figure, format_value
from coldpin.records.fault import Feed, KnownFeed
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.lead_way import BEYOND_TAPS, NONE_APART, LeadWay
from coldpin.records.length_variants import LengthVariants
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage

CHECK_ID = "length-variants"
LENGTHS = "catalogue lengths"

LONGEST = 200.0
"""Ours: the longest drums end at a quarter of it; a larger number is a slip of the unit. [m]"""


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Tell for each length of the catalogue what the lead alone would take, and how long it may be.

    Parameters
    ----------
    bench : BenchEvidence
        With the catalogue's lengths, the rated current and the line conductor.

    Returns
    -------
    tuple of Finding
        The drop; and the loop where the socket and the earth conductor are known.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        A claim cannot be read.
    """
    rated = claimed(bench, "rated_current", "A")
    assert rated is not None, "the check needs the rated current"
    line, earth = lead_core(bench, LINE), lead_core(bench, EARTH)
    if line is None:
        return ()
    cores = (line,) if earth is None else (line, earth)
    doubts = tuple(doubt for core in cores for doubt in core.doubts)
    filed = tuple(entry.id for entry in bench.showing(LENGTHS))
    way = lead_way(bench)
    assert way is not None, "the line was read"
    variants = _variants(bench, line, earth, rated, None)
    found = [within_unless(_drop(variants, (*filed, *way.entries), way, _ways(bench, line), bench), way.doubts)]
    loops = [_behind(bench, line, earth, rated, known) for known in known_feeds(bench)] if earth is not None else []
    behind = [
        _unless_seen(_loop(told, (*filed, *of), known, cores, bench), known)
        for told, of, known in loops
        if told is not None
    ]
    return tuple(within_unless(one, doubts) for one in (*found, *([worst_entry(behind)] if behind else [])))


def _lengths(bench: BenchEvidence) -> list[float]:
    """Return every length that any entry names."""
    found = [(entry, one.quantity.value) for entry in bench.showing(LENGTHS) for one in readings(bench, entry)]
    for entry, length in found:
        if length <= 0.0:
            raise EntryError.of(entry.id, f"length {length:g} m: a cable is longer than 0 m")
        if length > LONGEST:
            raise EntryError.of(entry.id, f"length {length:g} m: no lead is longer than {LONGEST:g} m; is it in m?")
    return sorted({length for _, length in found})


def _variants(
    bench: BenchEvidence, line: LeadCore, earth: LeadCore | None, rated: float, socket: Socket | None
) -> LengthVariants:
    way = lead_way(bench)
    return length_variants(
        _lengths(bench),
        Cable(
            line=line.per_metre_20,
            mean=None if way is None else way.mean_per_metre_20_ohm,
            earth=None if earth is None else earth.per_metre_20,
            joints=NONE_APART if way is None else way.joints_20_ohm,
            loop_joints=None if earth is None else mean_of(line.joints_20, earth.joints_20),
            allowed=0.0 if way is None else way.allowed_joints_20_ohm,
            allowed_per_metre=0.0 if way is None else way.allowed_per_metre_20_ohm,
            allowed_in_loop=line.allowed_joints_20 + (0.0 if earth is None else earth.allowed_joints_20),
        ),
        bench.book,
        current=rated,
        conductor_temperature=supposed_temperature(bench.book),
        phases=bench.case.unit.phases,
        socket=socket,
    )


def _behind(
    bench: BenchEvidence, line: LeadCore, earth: LeadCore, rated: float, known: KnownFeed
) -> tuple[LengthVariants | None, tuple[str, ...], KnownFeed]:
    """Return the lengths behind one device and loop, None where the loop or the device's table is not known.

    With an earth electrode and a residual-current device no length of a lead matters: that device bears any of them.
    """
    by_electrode = known.feed.system == "TT" and known.feed.residual_current is not None
    supply = None if by_electrode else known.feed.supply
    socket = None if supply is None else _socket(supply, known.feed, bench)
    told = None if socket is None else _variants(bench, line, earth, rated, socket)
    if told is not None and told.longest_for_loop_m is None:
        told = None
    return told, (line.entry.id, earth.entry.id, *known.entries), known


def _unless_seen(finding: Finding, known: KnownFeed) -> Finding:
    if known.feed.seen:
        return finding
    unseen = UNSEEN.format(device=f"a {known.feed.device.name}")
    return replace(finding, outcome=Outcome.UNDECIDED, probability=None, remarks=(*finding.remarks, unseen))


def _socket(loop: Quantity, feed: Feed, bench: BenchEvidence) -> Socket | None:
    """Return the socket, or None where no table has its device: then only the drop is told."""
    try:
        disconnection(loop, feed.device, bench.book, system=feed.system)
    except OutsideRange:
        return None
    return Socket(loop=loop, device=feed.device, system=feed.system)


def _ways(bench: BenchEvidence, line: LeadCore) -> tuple[LeadCore, ...]:
    """Return the conductors in which the current drops voltage; a neutral that was not read is like the line."""
    if bench.case.unit.phases > 1:
        return (line,)
    return (line, lead_core(bench, NEUTRAL) or line)


def _grown(cores: tuple[LeadCore, ...], length: float) -> float:
    """Return the most that was added for joints, which do not grow with the cable that they were read with. [Ω]"""
    return sum(core.joints_inside_20 * max(0.0, length / core.length_m - 1.0) for core in cores)


def _unless_joints(finding: Finding, by: float) -> Finding:
    """Leave open what is beyond only if joints are counted as cable."""
    assert finding.quantity is not None, "judged"
    assert finding.limit is not None, "judged"
    if not by:
        return finding
    remarks = (*finding.remarks, IN_PROPORTION)
    surely = decide(finding.quantity, maximum=needed(finding.limit, "maximum") + by).outcome
    if finding.outcome is Outcome.BEYOND and surely != "beyond":
        return replace(finding, outcome=Outcome.UNDECIDED, probability=None, remarks=remarks)
    return replace(finding, remarks=remarks)


def _drop(
    told: LengthVariants, evidence: tuple[str, ...], way: LeadWay, ways: tuple[LeadCore, ...], bench: BenchEvidence
) -> Finding:
    longest = told.variants[-1]
    bare = Finding(
        id=f"{CHECK_ID}.drop",
        check=CHECK_ID,
        title="Voltage drop at the other lengths",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=evidence,
        worst_of=len(told.variants),
    )
    finding = judged(bare, longest.drop_percent, told.drop_limit)
    if finding.outcome in (Outcome.WITHIN, Outcome.BEYOND) and longest.drop_outcome is not finding.outcome:
        finding = replace(finding, outcome=Outcome.UNDECIDED, probability=None)
    each = ", ".join(f"{one.length_m:g} m {format_figure(one.drop_percent)}" for one in told.variants)
    beyond = tuple(what for what in way.not_counted if what != BEYOND_TAPS)
    latest = " at the latest" if beyond else ""
    allowed = format_value(float(f"{longest.allowed_percent:.2g}"), "%")
    grown = drop_of_resistance(_grown(ways, longest.length_m), told.current_a, told.conductor_temperature_c, bench.book)
    placed = replace(
        finding,
        statement=(
            f"At {told.current_a:g} A the same cable would take: {each}. Alone it takes all that a whole installation "
            f"may, {told.drop_limit.maximum:g} %, from {format_figure(told.longest_for_drop_m)} on{latest}."
        ),
        remarks=(
            SAME_CABLE,
            supposed_remark(told.conductor_temperature_c, bench.book),
            *way.taken,
            *((NOT_COUNTED.format(what="; ".join(beyond), allowed=allowed, at=longest.length_m),) if beyond else ()),
            *finding.remarks,
        ),
    )
    return _unless_joints(placed, 100.0 * grown / supply_voltage(bench.book))


def _loop(
    told: LengthVariants,
    evidence: tuple[str, ...],
    known: KnownFeed,
    cores: tuple[LeadCore, ...],
    bench: BenchEvidence,
) -> Finding:
    longest, limit = told.variants[-1], told.loop_limit
    assert limit is not None, "told only with a socket"
    assert longest.loop_ohm is not None, "told only with an earth conductor"
    assert told.longest_for_loop_m is not None, "told only with both"
    assert known.feed.supply is not None, "told only with a socket"
    bare = Finding(
        id=f"{CHECK_ID}.loop",
        check=CHECK_ID,
        title="Fault loop at the other lengths",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=evidence,
        worst_of=len(told.variants),
    )
    finding = judged(bare, longest.loop_ohm, limit)
    if finding.outcome is Outcome.WITHIN and longest.loop_outcome is not Outcome.WITHIN:
        finding = replace(finding, outcome=Outcome.UNDECIDED, probability=None)
    first = (
        f"At the socket of this bench the loop of the longest, {longest.length_m:g} m, is "
        f"{format_figure(longest.loop_ohm)}"
    )
    remarks = (SAME_CABLE, *_left_out(cores), *finding.remarks)
    if decide(known.feed.supply, maximum=needed(limit, "maximum")).outcome != "within":
        # a socket that is too weak without any lead leaves no length to tell
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            probability=None,
            statement=f"{first}; that of the socket alone is {format_figure(known.feed.supply)}.",
            remarks=(*remarks, NOT_THE_LEAD),
        )
    placed = replace(
        finding,
        statement=(
            f"{first}; the device need no longer act in time from {format_figure(told.longest_for_loop_m)} on"
            f"{' at the latest' if _left_out(cores) else ''}."
        ),
        remarks=remarks,
    )
    grown = drop_of_resistance(_grown(cores, longest.length_m), 1.0, told.conductor_temperature_c, bench.book)
    return _unless_joints(placed, grown)


def _left_out(cores: tuple[LeadCore, ...]) -> tuple[str, ...]:
    unread = sum(core.allowed_joints_20 for core in cores)
    return (NOT_IN_LOOP.format(allowed=format_value(float(f"{unread:.2g}"), "Ω")),) if unread else ()


SAME_CABLE = (
    "Reckoned from this specimen: the longer ones are taken to have the same cable, which only a look at them shows."
)

NOT_COUNTED = "Not counted: {what}. The drop is a lower end; at most {allowed} more is allowed for that at {at:g} m."

NOT_IN_LOOP = "Not in the loop: the joints that were not read; at most {allowed} more is allowed for them, cold."

IN_PROPORTION = (
    "Read from pin to pin only: its joints are taken to grow with the cable, which they do not. Read between the "
    "joints too, and the cable tells its own part."
)

CHECK = Check(
    id=CHECK_ID,
    title="Other lengths of the same lead",
    question="From which length of the catalogue on does a claim no longer hold?",
    needs=(Need(shows=LENGTHS), Need(claim="rated_current")),
    any_of=CONDUCTOR_NEEDS,
    bench=replace(
        CONDUCTOR_CHECK.bench,
        steps=(*CONDUCTOR_CHECK.bench.steps, "Write down at which lengths the lead is offered: 'catalogue lengths'."),
    ),
    limits=("drop-limit.public.other", "loop"),
    run=run,
    bears=(),
    applies=always,
)

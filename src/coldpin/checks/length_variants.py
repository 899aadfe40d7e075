"""The same lead at the other lengths of its catalogue: from which length a claim no longer holds."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Check, Need, always
from coldpin.checks.conductor_evidence import CONDUCTOR_NEEDS
from coldpin.checks.conductor_resistance import CHECK as CONDUCTOR_CHECK
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, worst_entry
from coldpin.checks.lead_way import LeadCore, lead_core, lead_way
from coldpin.checks.readings import claimed, readings
from coldpin.checks.supply_path import known_feeds, within_unless
from coldpin.copper.fault import UNSEEN
from coldpin.copper.fault_loop import disconnection
from coldpin.copper.fault_withstand import EARTH, LINE
from coldpin.copper.length_variants import Cable, Socket, length_variants
from coldpin.errors import EntryError, OutsideRange
from coldpin.quantity import Quantity, format_figure
from coldpin.records.fault import Feed, KnownFeed
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.lead_way import LeadWay
from coldpin.records.length_variants import LengthVariants
from coldpin.standards.voltage_drop import cord_temperature

CHECK_ID = "length-variants"
LENGTHS = "catalogue lengths"


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
    found = [within_unless(_drop(_variants(bench, line, earth, rated, None), (*filed, *way.entries), way), way.doubts)]
    loops = [_behind(bench, line, earth, rated, known) for known in known_feeds(bench)] if earth is not None else []
    behind = [_unless_seen(_loop(told, (*filed, *of)), known) for told, of, known in loops if told is not None]
    return tuple(within_unless(one, doubts) for one in (*found, *([worst_entry(behind)] if behind else [])))


def _lengths(bench: BenchEvidence) -> list[float]:
    """Return every length that any entry names."""
    found = [(entry, one.quantity.value) for entry in bench.showing(LENGTHS) for one in readings(bench, entry)]
    for entry, length in found:
        if length <= 0.0:
            raise EntryError.of(entry.id, f"length {length:g} m: a cable is longer than 0 m")
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
        ),
        bench.book,
        current=rated,
        conductor_temperature=cord_temperature(bench.book),
        phases=bench.case.unit.phases,
        socket=socket,
    )


def _behind(
    bench: BenchEvidence, line: LeadCore, earth: LeadCore, rated: float, known: KnownFeed
) -> tuple[LengthVariants | None, tuple[str, ...], KnownFeed]:
    """Return the lengths behind one device and loop, None where the loop or the device's table is not known."""
    socket = None if known.feed.supply is None else _socket(known.feed.supply, known.feed, bench)
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


def _drop(told: LengthVariants, evidence: tuple[str, ...], way: LeadWay) -> Finding:
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
    each = ", ".join(f"{one.length_m:g} m {format_figure(one.drop_percent)}" for one in told.variants)
    return replace(
        finding,
        statement=(
            f"At {told.current_a:g} A the same cable would take: {each}. Alone it takes all that a whole installation "
            f"may, {told.drop_limit.maximum:g} %, from {format_figure(told.longest_for_drop_m)} on."
        ),
        remarks=(SAME_CABLE, *way.taken, *((NO_JOINTS_IN,) if way.allowed_joints_20_ohm else ())),
    )


def _loop(told: LengthVariants, evidence: tuple[str, ...]) -> Finding:
    longest, limit = told.variants[-1], told.loop_limit
    assert limit is not None, "told only with a socket"
    assert longest.loop_ohm is not None, "told only with an earth conductor"
    assert told.longest_for_loop_m is not None, "told only with both"
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
    return replace(
        finding,
        statement=(
            f"At the socket of this bench the loop of the longest, {longest.length_m:g} m, is "
            f"{format_figure(longest.loop_ohm)}; the device need no longer act in time from "
            f"{format_figure(told.longest_for_loop_m)} on."
        ),
        remarks=(SAME_CABLE,),
    )


SAME_CABLE = (
    "Reckoned from this specimen: the longer ones are taken to have the same cable, which only a look at them shows."
)

NO_JOINTS_IN = "Not counted: the joints with plug, box and connector, of which not every one was read."

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

"""Whether line and earth conductor of the lead bear what the device before the socket lets through.

And whether a short circuit of line and neutral at the far end, where least flows, is off before they have borne it.
"""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, always
from coldpin.checks.conductor_evidence import CONDUCTOR_NEEDS
from coldpin.checks.conductor_resistance import CHECK as CONDUCTOR_CHECK
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import budget_lines, worst_entry
from coldpin.checks.lead_way import LeadCore, lead_core
from coldpin.checks.supply_path import faults_behind, known_feeds, within_unless
from coldpin.copper.fault import SLOW, UNTOLD
from coldpin.copper.fault_withstand import EARTH, LINE, NEUTRAL
from coldpin.copper.short_circuit import short_circuit_statement
from coldpin.quantity import decide
from coldpin.records.fault import KnownFeed, LetThrough, ShortCircuit, Withstand
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing

CHECK_ID = "fault-withstand"
FUNCTION = "fault-withstand"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place what each conductor bears against what the device lets through.

    Parameters
    ----------
    bench : BenchEvidence
        With the resistance of line or earth conductor, and a device that was recorded or follows from the plug.

    Returns
    -------
    tuple of Finding
        One for each conductor that was read, and one of a short circuit at the far end where the loop of line and
        neutral at the socket is known; by the worst of devices and loops. None where no device is known.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        A claim cannot be read.
    """
    feeds = known_feeds(bench)
    cores = [core for core in (lead_core(bench, name) for name in (LINE, EARTH)) if core is not None]
    each = [_at(bench, cores, known) for known in feeds] if cores else []
    return tuple(worst_entry(of_core) for of_core in zip(*each, strict=True))


def _at(bench: BenchEvidence, cores: list[LeadCore], known: KnownFeed) -> tuple[Finding, ...]:
    """Place every core against one device and loop."""
    told = faults_behind(bench, cores, known)
    said = {one.conductor: said for one, said in zip(told.conductors, _statements(told.statements), strict=True)}
    slow = tuple(one for one in told.statements if one in (SLOW, UNTOLD))
    found = tuple(
        _finding(
            core,
            one,
            known,
            " ".join((said[one.conductor], *slow)),
            (*told.remarks, *((told.short_why,) if told.short_why and one.conductor == LINE else ())),
        )
        for core, one in zip(cores, told.conductors, strict=True)
    )
    return found if told.short is None else (*found, _short(bench, cores, told.short, known))


def _short(bench: BenchEvidence, cores: list[LeadCore], short: ShortCircuit, known: KnownFeed) -> Finding:
    """Place how long the conductors bear a short circuit at the far end against the time within which it is off."""
    neutral = lead_core(bench, NEUTRAL)
    read = [core for core in (*cores, *(() if neutral is None else (neutral,))) if core.name in (LINE, NEUTRAL)]
    within = short.acts_within
    finding = Finding(
        id=f"{CHECK_ID}.short",
        check=CHECK_ID,
        title="Short circuit at the far end off in time",
        statement=short_circuit_statement(short, known.feed),
        outcome=short.outcome,
        reach=Reach.SPECIMEN,
        functions=(),
        reckoned=True,
        quantity=short.bears_s,
        limit=None if within is None else replace(within, minimum=within.maximum, maximum=None),
        probability=short.probability,
        rule="confidence",
        evidence=tuple(
            dict.fromkeys(
                name
                for core in read
                for name in (core.area_entry or core.entry.id, core.entry.id, *core.entries, *known.entries)
            )
        ),
        budget=budget_lines(short.bears_s),
        remarks=tuple(
            dict.fromkeys(
                (
                    *(remark for core in read for remark in core.remarks),
                    *short.remarks,
                )
            )
        ),
    )
    return within_unless(finding, tuple(doubt for core in read for doubt in core.doubts))


def _statements(statements: tuple[str, ...]) -> list[str]:
    return [one for one in statements if one.startswith(("The line conductor", "The earth conductor"))]


def _finding(core: LeadCore, told: Withstand, known: KnownFeed, statement: str, remarks: tuple[str, ...]) -> Finding:
    bare = Finding(
        id=f"{CHECK_ID}.{told.conductor}",
        check=CHECK_ID,
        title=f"The {told.conductor} conductor bears a fault",
        statement=statement,
        outcome=told.outcome,
        reach=Reach.SPECIMEN,
        functions=(FUNCTION,),
        reckoned=True,
        quantity=told.withstand_a2s,
        probability=told.probability if told.outcome is not Outcome.UNDECIDED else None,
        rule="confidence",
        evidence=tuple(dict.fromkeys((core.area_entry or core.entry.id, *core.entries, *known.entries))),
        budget=budget_lines(told.withstand_a2s),
        remarks=(*_reckoned(told), *core.remarks, *(one for one in remarks if not one.startswith("Let-through:"))),
    )
    if told.let_through.used_a2s is None:
        return replace(bare, outcome=Outcome.UNDECIDED)
    placed = within_unless(replace(bare, limit=_limit(told.let_through, known)), core.doubts)
    return _unless_joints(placed, core, told)


def _unless_joints(finding: Finding, core: LeadCore, told: Withstand) -> Finding:
    """Leave open what is beyond only if the joints of a conductor that was read from pin to pin are counted as wire."""
    if finding.outcome is not Outcome.BEYOND or not core.joints_inside_20:
        return finding
    whole, most = core.resistance_20.value, told.let_through.used_a2s
    assert most is not None, "beyond only where it is known"
    wire = max(whole - core.joints_inside_20, 0.0)
    # heat borne goes by the square of the area, and that by what the wire alone has
    if decide(told.withstand_a2s, maximum=most * (wire / whole) ** 2).outcome == "beyond":
        return replace(finding, outcome=Outcome.UNDECIDED, probability=None, remarks=(*finding.remarks, WITH_JOINTS))
    return finding


WITH_JOINTS = (
    "Read from pin to pin only: its joints are counted as wire, and the wire by itself may be thicker. Read between "
    "the joints too."
)


def _limit(passed: LetThrough, known: KnownFeed) -> Limit:
    """Return the let-through as a limit: the least that a conductor must bear."""
    assert passed.used_a2s is not None, "asked only where it is known"
    if passed.limit is not None and passed.used_a2s == passed.limit.maximum:
        return replace(passed.limit, minimum=passed.used_a2s, maximum=None)
    return Limit(
        id="let-through.by-current",
        title=f"what a {known.feed.device.name} may let through at this supply",
        unit="A²s",
        minimum=passed.used_a2s,
        source="current of the supply until the device acts at once (EN 60898-1: within 0.1 s)",
        standing=Standing.MEMORY,
    )


def _reckoned(told: Withstand) -> tuple[str, ...]:
    return (
        f"Insulation: {told.insulation}; {told.k.title} is {told.k.nominal:g} A√s/mm².",
        f"Let-through: {told.let_through.why}.",
    )


CHECK = Check(
    id=CHECK_ID,
    title="Conductors in a fault",
    question="Do the conductors bear what the device before the socket lets through, and a short at the far end?",
    needs=(),
    any_of=CONDUCTOR_NEEDS,
    bench=CONDUCTOR_CHECK.bench,
    limits=(
        "k",
        "let-through",
        "trip",
        "before-socket",
        "device",
        "short-circuit",
        "loop.voltage-factor",
        "loop.bs-1362",
        "loop.gg",
    ),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.95, within_if_not=0.3),),
    applies=always,
)

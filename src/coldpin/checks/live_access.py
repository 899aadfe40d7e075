"""Whether a finger or a wire reaches what is live: at the connector, the housing, a plug partly drawn, a socket."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks import live_pins
from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst_entry
from coldpin.checks.readings import condition
from coldpin.checks.supply import with_supply
from coldpin.errors import EntryError
from coldpin.quantity import format_value
from coldpin.records.access_words import (
    ACCESS,
    ALWAYS,
    CONNECTOR,
    FINGER,
    HOUSING,
    INTERLOCK,
    NEVER,
    PARTLY_DRAWN,
    SHUTTER,
    SOCKET,
    TOP,
    WHILE_CHARGING,
    WIRE,
)
from coldpin.records.case import Build, Cable, UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.standards.access import access_rule, probe_row
from coldpin.standards.table import needed

CHECK_ID = "live-access"
FUNCTION = "access-protection"
NAMES = {FINGER: "finger", WIRE: "wire"}
TOLD = {FINGER: "a finger", WIRE: "a wire"}
ASKED_OF_A_WIRE = (CONNECTOR, TOP, SOCKET)
"""Where the text known to us asks for the wire as well; elsewhere a finger decides."""

UNCOUPLED = "live-pins.uncoupled"
SHUTS = "A pin or wire that opens a shutter meets what is live behind it for as long as the socket is."


@dataclass(frozen=True, slots=True, kw_only=True)
class _Reached:
    """What an answer says: its outcome and words, the rule it is held against, whether it concludes alone."""

    outcome: Outcome
    said: str
    rule: str
    decisive: bool = False
    remarks: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge each probe by the worst place it was tried at, then shutters and interlocks.

    Parameters
    ----------
    bench : BenchEvidence
        With an answer of a probe, of a shutter or of an interlock.

    Returns
    -------
    tuple of Finding
        One for each kind that was tried.

    Raises
    ------
    EntryError
        An answer does not say with which probe or where.
    CaseError
        A reading at the connector's pins, or a supply voltage, cannot be read.
    """
    entries = bench.showing(ACCESS)
    for entry in entries:
        missing = next((name for name in ("probe", "at") if not entry.conditions.get(name)), "")
        if missing:
            raise EntryError.of(entry.id, f"'{missing}' is missing: state with which probe it was tried, and where")
    found = []
    for probe, name in NAMES.items():
        tried = [entry for entry in entries if entry.conditions["probe"] == probe]
        if tried:
            found.append(_together(bench, probe, tried, [_judge_probe(bench, entry, probe, name) for entry in tried]))
    if bench.showing(SHUTTER):
        found.append(worst_entry(_judge_shutter(bench, entry) for entry in bench.showing(SHUTTER)))
    if bench.showing(INTERLOCK):
        found.append(worst_entry(_judge_interlock(bench, entry) for entry in bench.showing(INTERLOCK)))
    return tuple(found)


def places_asked(unit: UnitClass, probe: str) -> tuple[str, ...]:
    """Return where a probe must have been tried before nothing is called in reach.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.
    probe : str
        "XXB finger" or "XXD wire".

    Returns
    -------
    tuple of str
        Words of the vocabulary: the vehicle connector of a cable that is part of it, else the socket-outlet; for a
        finger the housing too, and the pins of a plug that is partly drawn.

    Examples
    --------
    >>> places_asked(UnitClass(charging_mode=3, build=Build.FIXED, cable=Cable.ATTACHED), FINGER)
    ('vehicle connector', 'housing')
    """
    coupler = CONNECTOR if unit.cable is Cable.ATTACHED else SOCKET
    if probe == WIRE:
        return (coupler,)
    return (coupler, HOUSING, *((PARTLY_DRAWN,) if unit.build is Build.PORTABLE else ()))


def _together(bench: BenchEvidence, probe: str, tried: list[Entry], judged: list[Finding]) -> Finding:
    """Return the worst place; where all are in order, tell them together, and open what was not tried."""
    chosen = worst_entry(judged)
    if chosen.outcome is not Outcome.WITHIN:
        return chosen
    places = list(dict.fromkeys(entry.conditions["at"] for entry in tried))
    untouched = list(dict.fromkeys(entry.conditions["at"] for entry in tried if entry.answer == "no"))
    said = [f"{_capital(TOLD[probe])} reaches no part that carries the mains ({', '.join(untouched)})."]
    held = [one for one in judged if one.remarks]
    whole = replace(
        chosen,
        statement=" ".join((*(said if untouched else []), *dict.fromkeys(one.statement for one in held))),
        reach=Reach.SPECIMEN if held else Reach.CONSTRUCTION,
        limit=held[0].limit if held else chosen.limit,
        remarks=tuple(dict.fromkeys(remark for one in held for remark in one.remarks)),
    )
    missing = [place for place in places_asked(bench.case.unit, probe) if place not in places]
    if not missing:
        return whole
    told = f"{whole.statement} That decides nothing: it was not tried at {' and '.join(missing)}."
    return replace(whole, statement=told, outcome=Outcome.UNDECIDED)


def _capital(words: str) -> str:
    return f"{words[0].upper()}{words[1:]}"


def _judge_probe(bench: BenchEvidence, entry: Entry, probe: str, name: str) -> Finding:
    reached = _reached(bench, entry, probe)
    limit = access_rule(bench.book, reached.rule)
    finding = Finding(
        id=f"{CHECK_ID}.{name}",
        check=CHECK_ID,
        title=f"Reach of {TOLD[probe]}",
        statement=reached.said,
        plain=_plain(probe, reached),
        outcome=reached.outcome,
        reach=Reach.CONSTRUCTION if reached.rule != "vehicle-connector" else Reach.SPECIMEN,
        functions=(FUNCTION,),
        answer=entry.answer,
        limit=limit,
        decisive=reached.decisive,
        evidence=(entry.id, *reached.beside),
        remarks=reached.remarks,
    )
    return _with_force(bench, entry, probe, finding)


def _plain(probe: str, reached: _Reached) -> str:
    """Say it in one sentence for a lay viewer, where it is decided."""
    if reached.outcome is Outcome.BEYOND:
        return f"{_TOUCHES[probe]} touches the live mains."
    return ""


_TOUCHES = {FINGER: "A finger put to it", WIRE: "A thin wire pushed into it"}


def _with_force(bench: BenchEvidence, entry: Entry, probe: str, finding: Finding) -> Finding:
    """Doubt a probe that reached nothing with less than its force, or something with more."""
    force, limit = condition(entry, "force", "N"), probe_row(bench.book, probe).limit
    asked = needed(limit, "maximum")
    told = format_value(asked, "N")
    if entry.answer == "no":
        if force is None:
            doubt = f"with what force it was pushed is not stated; {told} is asked for"
        elif force.value < asked:
            doubt = f"it was pushed with {format_value(force.value, 'N')}; {told} is asked for"
        else:
            return finding
        said = f"{finding.statement} That decides nothing: {doubt}."
        return replace(finding, statement=said, outcome=Outcome.UNDECIDED)
    if entry.answer == "yes" and force is not None and force.value > asked:
        doubt = f"it was pushed with {format_value(force.value, 'N')}, which is more than the {told} asked for"
        said = f"{finding.statement} That decides nothing: {doubt}."
        return replace(finding, statement=said, plain="", outcome=Outcome.UNDECIDED, decisive=False)
    return finding


def _reached(bench: BenchEvidence, entry: Entry, probe: str) -> _Reached:
    at, who = entry.conditions["at"], TOLD[probe]
    rule = "top-surface" if probe == WIRE else "live-parts"
    if entry.answer == "no":
        said = f"{_capital(who)} reaches no part that carries the mains ({at})."
        return _Reached(outcome=Outcome.WITHIN, said=said, rule=rule)
    if entry.answer != "yes":
        said = f"Whoever tried it could not tell what {who} reaches ({at})."
        return _Reached(outcome=Outcome.UNDECIDED, said=said, rule=rule)
    live = entry.conditions.get("live") or (WHILE_CHARGING if at == CONNECTOR else "")
    reaches = f"{_capital(who)} reaches a part that carries the mains ({at})"
    if live == NEVER:
        raise EntryError.of(entry.id, "a part that is never live is none that carries the mains: answer 'no'")
    if live == ALWAYS:
        if probe == WIRE and at not in ASKED_OF_A_WIRE:
            said = f"{reaches}, and it is live whenever the unit is plugged in; of this place only a finger is asked."
            return _Reached(outcome=Outcome.UNDECIDED, said=said, rule=rule)
        said = f"{reaches}, and it is live whenever the unit is plugged in."
        return _Reached(outcome=Outcome.BEYOND, said=said, rule=rule, decisive=True)
    if live == WHILE_CHARGING:
        return _while_charging(bench, reaches)
    said = f"{reaches}; when that part is live is not stated."
    return _Reached(outcome=Outcome.UNDECIDED, said=said, rule=rule)


def _while_charging(bench: BenchEvidence, reaches: str) -> _Reached:
    """Judge a part that should be live for a vehicle only, by what was read with nothing connected."""
    rule, seen = "vehicle-connector", _uncoupled(bench)
    if seen is None:
        said = f"{reaches}; whether it is dead until a vehicle asks was not tested."
        return _Reached(outcome=Outcome.UNDECIDED, said=said, rule=rule)
    if seen.outcome is Outcome.BEYOND:
        said = f"{reaches}, and it is live with nothing connected."
        return _Reached(outcome=Outcome.BEYOND, said=said, rule=rule, decisive=seen.transfers, beside=seen.evidence)
    if seen.outcome is Outcome.WITHIN and seen.transfers:
        said = f"{reaches}; it is dead with nothing connected."
        hangs = "What keeps a hand off here is the contact that is open, and not the form of the connector."
        return _Reached(outcome=Outcome.WITHIN, said=said, rule=rule, remarks=(hangs,), beside=seen.evidence)
    said = f"{reaches}; whether it is dead until a vehicle asks is not decided."
    return _Reached(outcome=Outcome.UNDECIDED, said=said, rule=rule, beside=seen.evidence)


def _uncoupled(bench: BenchEvidence) -> Finding | None:
    if not all(bench.has(need) for need in live_pins.CHECK.needs):
        return None
    made = (with_supply(bench, live_pins.CHECK, finding) for finding in live_pins.run_uncoupled(bench))
    return next((finding for finding in made if finding.id == UNCOUPLED), None)


def _judge_shutter(bench: BenchEvidence, entry: Entry) -> Finding:
    at = entry.conditions.get("at") or "socket-outlet"
    limit = access_rule(bench.book, "shutter")
    outcome = {"yes": Outcome.WITHIN, "no": Outcome.BEYOND}.get(entry.answer, Outcome.UNDECIDED)
    said = {
        "yes": f"The shutters stay shut to a single pin or wire ({at}).",
        "no": f"A single pin or wire opens a shutter, or there is none ({at}).",
    }.get(entry.answer, f"Whoever tried the shutters could not tell ({at}).")
    return Finding(
        id=f"{CHECK_ID}.shutter",
        check=CHECK_ID,
        title="Shutters",
        statement=said,
        outcome=outcome,
        reach=Reach.CONSTRUCTION,
        functions=(FUNCTION,),
        answer=entry.answer,
        limit=limit,
        evidence=(entry.id,),
        remarks=(SHUTS,) if outcome is not Outcome.WITHIN else (),
    )


def _judge_interlock(bench: BenchEvidence, entry: Entry) -> Finding:
    at = entry.conditions.get("at") or "coupler"
    limit = access_rule(bench.book, "interlock")
    outcome = {"yes": Outcome.WITHIN, "no": Outcome.BEYOND}.get(entry.answer, Outcome.UNDECIDED)
    said = {
        "yes": f"The {at} is held while it is live, or is dead before its contacts part.",
        "no": f"The {at} can be drawn while it is live.",
    }.get(entry.answer, f"Whoever tried it could not tell whether the {at} is held while it is live.")
    return Finding(
        id=f"{CHECK_ID}.interlock",
        check=CHECK_ID,
        title="Interlock",
        statement=said,
        outcome=outcome,
        reach=Reach.CONSTRUCTION,
        functions=(FUNCTION,),
        answer=entry.answer,
        limit=limit,
        evidence=(entry.id,),
        duty=False,
        remarks=("It is a protective function of its own: what happens with one fault in it is another test.",),
    )


CHECK = Check(
    id=CHECK_ID,
    title="Access to live parts",
    question="Can a finger or a wire reach what is live?",
    needs=(),
    any_of=(
        Need(shows=ACCESS, stated=("probe",)),
        Need(shows=SHUTTER),
        Need(shows=INTERLOCK),
    ),
    bench=Procedure(
        level=Level.DEAD,
        instrument=(
            "jointed test finger (XXB), test wire of 1.0 mm with its stop (XXD), a balance for their force; a lamp or "
            "buzzer of 40 V to 50 V in series with the probe"
        ),
        minutes=15,
        cautions=(
            *DEAD_CAUTIONS,
            "A probe is never put into a specimen that is plugged in, nor is one's own finger ever the probe.",
        ),
        steps=(
            "Join all power pins of the plug; lamp and supply from them to the probe: it lights where one is met.",
            "A unit that switches holds its inside apart: join the power contacts of the connector too, for its face.",
            "Push the finger with 10 N, its joints bent every way, at connector, housing, cable entries; note each.",
            "The same with the plug partly drawn from a dead socket, as far as its pins still touch inside.",
            "Push the wire with 1 N at the connector, at level surfaces on top, at socket-outlets.",
            "Where unit or adaptor has a socket-outlet: a single pin and the wire at each opening of its shutters.",
            "State when what was reached is live: always while plugged in, or only while charging.",
        ),
        hold_points=("No power where a finger reaches a part that is live whenever it is plugged in.",),
        repeats=1,
        transfers="What is reached by its form holds for any unit built like it; that it is dead holds for this one.",
    ),
    limits=("access.", "access.probe."),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.98, within_if_not=0.1),),
    applies=always,
)

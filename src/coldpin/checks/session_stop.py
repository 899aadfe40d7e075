"""How an ordinary user stops a charge, and whether the current is gone before the coupler can be drawn."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from coldpin.checks.charging_bench import charging_bench
from coldpin.checks.charging_logs import THIS_CAR, charges
from coldpin.checks.check import Bearing, Check, Need, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import OURS, judged, worst
from coldpin.checks.readings import Side, highest, readings
from coldpin.quantity import Quantity, format_quantity
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.session import MarkKind
from coldpin.session.phases import RESTS_A

STOP, RELEASE = "stop by user", "current at release"
WAYS = {"car": "at the car", "unit": "at the unit", "source": "at the supply"}
LOCK_DID = {"released": ", the lock let go", "kept": ", the lock kept the plug", "none": ", no lock holds the plug"}
FUNCTIONS = ("stopping",)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say by which ways a user could stop a charge, and hold the current at release against none.

    Parameters
    ----------
    bench : BenchEvidence
        With answers of whoever tried it, currents at release, or marks of a release beside a log.

    Returns
    -------
    tuple of Finding
        Up to two findings.

    Raises
    ------
    EntryError
        A reading, a mark or a log cannot be read.
    """
    ways = [(entry.conditions.get("way", ""), *_way(entry)) for entry in bench.showing(STOP)]
    released = list(_releases(bench))
    return (*((_stopped(bench, ways),) if ways else ()), *((worst(released),) if released else ()))


def _way(entry: Entry) -> tuple[Outcome, str]:
    """Return what one answer says: a way that stops the charge and leaves the plug locked in is no way out."""
    name = WAYS.get(entry.conditions.get("way", ""), "in a way not named")
    lock = entry.conditions.get("lock", "")
    kept = LOCK_DID.get(lock, "")
    if entry.answer == "yes":
        outcome = {"kept": Outcome.BEYOND, "": Outcome.UNDECIDED}.get(lock, Outcome.WITHIN)
        return outcome, f"{name}: stopped{kept or ', what the lock did is not recorded'}"
    if entry.answer == "no":
        return Outcome.BEYOND, f"{name}: did not stop{kept}"
    return Outcome.UNDECIDED, f"{name}: whoever tried it could not tell{kept}"


def _stopped(bench: BenchEvidence, ways: list[tuple[str, Outcome, str]]) -> Finding:
    """Take the worst of the tries of each way, and the best of the ways: one that works each time is enough."""
    outcomes = {_worst_of(outcome for name, outcome, _ in ways if name == way) for way, _, _ in ways}
    stops = Outcome.WITHIN in outcomes
    outcome = Outcome.WITHIN if stops else Outcome.BEYOND if outcomes == {Outcome.BEYOND} else Outcome.UNDECIDED
    head = {
        Outcome.WITHIN: "A user can end the charge and have the plug",
        Outcome.BEYOND: "By no way that was tried could a user each time end the charge and have the plug",
        Outcome.UNDECIDED: "Whether a user can end the charge and have the plug is open",
    }[outcome]
    cars = tuple(dict.fromkeys(car for entry in bench.showing(STOP) if (car := entry.conditions.get("car", ""))))
    return Finding(
        id="session-stop.ways",
        check="session-stop",
        title="Ways to stop a charge",
        statement=f"{head} ({'; '.join(said for _, _, said in ways)}).",
        outcome=outcome,
        reach=Reach.SPECIMEN,
        functions=FUNCTIONS,
        answer={Outcome.WITHIN: "yes", Outcome.BEYOND: "no"}.get(outcome, "cannot tell"),
        duty=False,
        evidence=tuple(entry.id for entry in bench.showing(STOP)),
        remarks=(THIS_CAR + (f" It was: {', '.join(cars)}." if cars else " Which car it was is not recorded."),),
    )


def _worst_of(outcomes: Iterable[Outcome]) -> Outcome:
    return min(outcomes, key=(Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN).index)


def released_unloaded(bench: BenchEvidence) -> Limit:
    """Return the current up to which we call a coupler unloaded, beside the text that asks for the order of events.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.

    Returns
    -------
    Limit
        In A; the number is ours.

    Sources
    -------
    ``charging.released-unloaded`` names no current.
    """
    known = bench.book.limit("charging.released-unloaded")
    return replace(
        known, unit="A", maximum=RESTS_A, asserted_by=OURS, title=f"{known.title}: up to this we call it gone"
    )


def _releases(bench: BenchEvidence) -> Iterator[Finding]:
    for entry in bench.showing(RELEASE):
        found = readings(bench, entry)
        largest = highest(found)
        where = WAYS.get(entry.conditions.get("way", ""), "")
        finding = _placed(bench, largest.quantity, where, (entry.id,), len(found))
        yield replace(finding, outcome=Outcome.BEYOND) if largest.side is Side.AT_LEAST else finding
    for charge in charges(bench):
        for reaction in charge.reading.reactions:
            if reaction.mark not in (MarkKind.LOCK_RELEASED, MarkKind.PLUG_PULLED):
                continue
            if reaction.current_at_a is None:
                yield replace(_bare(charge.evidence, 1), statement=reaction.statement)
            else:
                yield _placed(bench, reaction.current_at_a, f"at '{reaction.mark.value}'", charge.evidence, 1)


def _bare(evidence: tuple[str, ...], of: int) -> Finding:
    return Finding(
        id="session-stop.release",
        check="session-stop",
        title="Current when the coupler is released",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=FUNCTIONS,
        duty=False,
        worst_of=of,
        evidence=evidence,
        remarks=(THIS_CAR,),
    )


def _placed(bench: BenchEvidence, current: Quantity, where: str, evidence: tuple[str, ...], of: int) -> Finding:
    finding = judged(_bare(evidence, of), current, released_unloaded(bench))
    said = {
        Outcome.WITHIN: "it was gone",
        Outcome.BEYOND: "it was still there",
    }.get(finding.outcome, "whether it was gone cannot be said")
    stopped = f", stopped {where}," if where.startswith("at the") else f" {where}," if where else ""
    statement = f"When the coupler was released{stopped} the current was {format_quantity(current)}: {said}."
    return replace(finding, statement=statement)


CHECK = Check(
    id="session-stop",
    title="How a user stops a charge",
    question="Can an ordinary user end a charge, and is the current gone before the coupler comes free?",
    needs=(),
    any_of=(
        Need(shows=STOP),
        Need(shows=RELEASE),
        Need(shows="event mark", conditions={"event": (MarkKind.LOCK_RELEASED.value, MarkKind.PLUG_PULLED.value)}),
    ),
    bench=charging_bench(
        "Charging a car, stop as its owner would, by the car's button or app. See the current gone; is the lock open?",
        "Start again; stop by the unit's button or app, if it has one. The same look.",
        "Start again; switch the supply off. See whether the lock lets the plug go without it.",
        (
            "Start again; unlock the car as its owner would and leave the plug where it is. Mark 'unlock' and 'lock "
            "released': the log tells whether the current was gone between the two."
        ),
        instrument="power meter that logs, or a clamp meter that holds the largest current; a watch",
        minutes=30,
    ),
    limits=("charging.released-unloaded",),
    run=run,
    bears=(Bearing(function="stopping", within_if_works=0.97, within_if_not=0.3),),
    figures=("charge timeline",),
    applies=always,
)

"""How long the output took to follow: operations from captures and from readings, judged by the worst of all."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from coldpin.checks.evidence import BenchEvidence, PilotCapture, Side, readings
from coldpin.checks.judging import as_known, judged, placed, told_time, worst
from coldpin.checks.supply import closed_first
from coldpin.errors import CaseError
from coldpin.quantity import Quantity
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.pilot import OutputKind, Switching
from coldpin.standards.table import needed

FEWEST = 5
"""Ours: with fewer operations a contact that sticks now and then is not likely seen, so none is called in time."""

COIL = "relay coil"


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """What is timed: the word of a reading, the events of captures, and in which captures they count.

    ``done`` are values of the capture's condition "event"; ``subject`` begins the sentence; ``opening`` is true for
    contacts that must open.
    """

    check: str
    name: str
    title: str
    subject: str
    functions: tuple[str, ...]
    word: str
    events: tuple[Switching, ...] = ()
    done: tuple[str, ...] = ()
    opening: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One operation: how long it took, or how long it was watched where the output did not follow. [s]

    ``told`` is what the reading of the capture says of it against ``against`` [s]: it knows what holds for every sensor
    and every clock, also where the uncertainty of the delay is not known.
    """

    entry: Entry
    delay: Quantity
    followed: bool
    at_coil: bool
    told: Outcome | None = None
    against: float | None = None

    @property
    def words(self) -> str:
        """The time as it is listed."""
        return ("" if self.followed else "more than ") + told_time(self.delay.value)


def operations(bench: BenchEvidence, timed: Timed) -> tuple[Operation, ...]:
    """Collect the operations of one kind: of the closed unit on its mains where there are any.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    timed : Timed
        What is timed.

    Returns
    -------
    tuple of Operation
        From readings first, then from captures, in the order of the entries.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    found = [*_read(bench, timed), *_captured(bench, timed)]
    kept = {entry.id for entry in closed_first(bench, (operation.entry for operation in found))}
    return tuple(operation for operation in found if operation.entry.id in kept)


def _read(bench: BenchEvidence, timed: Timed) -> Iterator[Operation]:
    for entry in bench.showing(timed.word):
        at_coil = entry.conditions.get("seen at") == COIL
        for measured in readings(bench, entry):
            followed = measured.side is not Side.AT_LEAST
            yield Operation(entry=entry, delay=measured.quantity, followed=followed, at_coil=at_coil)


def _captured(bench: BenchEvidence, timed: Timed) -> Iterator[Operation]:
    for capture in bench.captures:
        if capture.condition("event", "states") not in timed.done:
            continue
        if doubt_of(bench, capture):
            continue
        at_coil = seen_at_coil(capture)
        for event in capture.reading.switching:
            if event.event not in timed.events:
                continue
            for delay in event.delays_s:
                worst_one = delay == event.delay_s or event.outcome == Outcome.WITHIN
                yield Operation(
                    entry=capture.entry,
                    delay=delay,
                    followed=followed(delay),
                    at_coil=at_coil,
                    told=Outcome(event.outcome) if worst_one and delay.u is None else None,
                    against=event.limit_s,
                )


def seen_at_coil(capture: PilotCapture) -> bool:
    """Say whether the second channel saw the relay's coil, which moves before the contacts do.

    Parameters
    ----------
    capture : PilotCapture
        A capture.

    Returns
    -------
    bool
        By the condition "seen at", or by what the channel was read as.
    """
    output = capture.reading.output
    return capture.condition("seen at") == COIL or (output is not None and output.kind is OutputKind.COIL)


def doubt_of(bench: BenchEvidence, capture: PilotCapture) -> str:
    """Say why it cannot be told what the second channel shows, so that nothing is timed or judged by it.

    A channel that shows nothing may be one that is connected to nothing: it counts only where it saw the output live,
    in this capture or in the one named by the condition "output seen in".

    Parameters
    ----------
    bench : BenchEvidence
        With the other captures, and the voltage that may be touched.
    capture : PilotCapture
        A capture with the output beside it.

    Returns
    -------
    str
        Empty where the channel saw the output follow a vehicle, or mains of more than may be touched.

    Raises
    ------
    CaseError
        The capture names another that is not there.
    """
    output = capture.reading.output
    if output is None or _saw_live(bench, capture):
        return ""
    # what another capture shows settles a channel that shows nothing, not how to take what one shows in doubt
    named = _named(bench, capture)
    if not (output.live and output.doubt) and any(_saw_live(bench, other) for other in named):
        return ""
    return output.doubt or (
        "the second channel never saw the output follow a vehicle: whether it is connected, and how it scales, it "
        "cannot tell; capture a closing with it, or name the capture that shows one (condition 'output seen in')"
    )


def _saw_live(bench: BenchEvidence, capture: PilotCapture) -> bool:
    output = capture.reading.output
    if output is None or output.doubt:
        return False
    touch = needed(bench.book.limit("touch.ac"), "maximum")
    mains = output.kind is OutputKind.MAINS and output.amplitude_v >= math.sqrt(2) * touch
    return mains or any(
        followed(delay) for event in capture.reading.switching if event.event in FOLLOWING for delay in event.delays_s
    )


FOLLOWING = (Switching.CLOSES_IN_C, Switching.CLOSES_IN_D, Switching.OPENS_ON_B, Switching.OPENS_ON_A)
"""What the output does for a vehicle that asks, stops asking or leaves: a channel that shows it sees the output."""


def _named(bench: BenchEvidence, capture: PilotCapture) -> tuple[PilotCapture, ...]:
    """Return the capture that one names for its second channel, where it was taken with the same instrument."""
    name = capture.condition("output seen in")
    if not name:
        return ()
    named = [
        other
        for other in bench.captures
        if name == other.entry.id
        or (other.entry.evidence is not None and name in {piece.file for piece in other.entry.evidence.files})
    ]
    if not named:
        raise CaseError(
            f"entry {capture.entry.id}, condition 'output seen in' = {name!r}: there is no decoded capture of this id "
            "or file; name one in which the same channel saw the output switched on"
        )
    return tuple(other for other in named if other.entry.instrument == capture.entry.instrument)


def followed(delay: Quantity) -> bool:
    """Say whether the output followed: a delay that is open above says only for how long it was watched.

    Parameters
    ----------
    delay : Quantity
        A delay as the reading of a capture gives it. [s]

    Returns
    -------
    bool
        True also where the uncertainty of the delay is not known.
    """
    return delay.low is None or delay.high is not None


def bare_of(timed: Timed, done: tuple[Operation, ...]) -> Finding:
    """Return the finding on a kind of operation of which nothing is said yet.

    Parameters
    ----------
    timed : Timed
        What is timed.
    done : tuple of Operation
        The operations.

    Returns
    -------
    Finding
        Undecided, without a statement.
    """
    return Finding(
        id=f"{timed.check}.{timed.name}",
        check=timed.check,
        title=timed.title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=timed.functions,
        evidence=tuple(dict.fromkeys(operation.entry.id for operation in done)),
    )


def judge_delays(bench: BenchEvidence, timed: Timed, limit: Limit) -> tuple[Finding, ...]:
    """Judge the operations of one kind against a limit: the worst decides, all are told.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    timed : Timed
        What is timed.
    limit : Limit
        A longest time, or one before which the output must not follow. [s]

    Returns
    -------
    tuple of Finding
        Within only for :data:`FEWEST` operations or more, seen at the output; one that is late is enough for beyond.
        None where the captures show no such operation.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    done = operations(bench, timed)
    if not done:
        return ()
    # Where several are beyond doubt on one side, the one farthest out is told: the first of equals is taken.
    farthest_first = sorted(done, key=lambda one: one.delay.value, reverse=limit.maximum is not None)
    finding = worst(_judge_one(replace(bare_of(timed, (one,)), id=""), one, timed, limit) for one in farthest_first)
    finding = replace(finding, id=f"{timed.check}.{timed.name}", evidence=bare_of(timed, done).evidence)
    finding = replace(finding, remarks=(*finding.remarks, *_remarks(done, timed)))
    if finding.outcome is Outcome.WITHIN and len(done) < FEWEST:
        few = "One operation was" if len(done) == 1 else f"Only {len(done)} operations were"
        said = f"{finding.statement} {few} timed; {FEWEST} are needed before it can be said that all are in time."
        return (replace(finding, outcome=Outcome.UNDECIDED, statement=said),)
    return (finding,)


def _judge_one(finding: Finding, one: Operation, timed: Timed, limit: Limit) -> Finding:
    if not one.followed:
        return _judge_unfollowed(finding, one, timed, limit)
    judged_one = placed(timed.subject, judged(finding, one.delay, limit))
    if one.delay.u is None and one.told in (Outcome.WITHIN, Outcome.BEYOND) and one.against in _numbers(limit):
        judged_one = _told(judged_one, one, timed, limit)
    if one.at_coil and timed.opening and judged_one.outcome is Outcome.WITHIN:
        said = f"{timed.subject} is {one.words} at the relay's coil: the contacts open later, which was not seen."
        return replace(judged_one, outcome=Outcome.UNDECIDED, answer="cannot tell", statement=said)
    return judged_one


def _numbers(limit: Limit) -> tuple[float | None, ...]:
    return (limit.maximum,) if limit.maximum is not None else (limit.minimum,)


def _told(finding: Finding, one: Operation, timed: Timed, limit: Limit) -> Finding:
    """Take over what was told of a delay far from its limit, whose own uncertainty nobody knows."""
    assert one.told is not None, "asked only where it was told"
    where = "within" if one.told is Outcome.WITHIN else "beyond"
    said = f"{timed.subject} reads {one.words}: {where} {as_known(limit)} whatever sensor and clock may add or take."
    return replace(finding, outcome=one.told, statement=said)


def _judge_unfollowed(finding: Finding, one: Operation, timed: Timed, limit: Limit) -> Finding:
    """Judge an operation that the output did not follow while it was watched."""
    edge = limit.maximum if limit.maximum is not None else limit.minimum
    assert edge is not None, "a time limit has a number"
    long_enough = one.delay.value >= edge
    outcome = Outcome.BEYOND if limit.maximum is not None else Outcome.WITHIN
    where = {Outcome.BEYOND: "beyond", Outcome.WITHIN: "within"}[outcome]
    tail = f"{where} {as_known(limit)}" if long_enough else f"too short a watch for {as_known(limit)}"
    return replace(
        finding,
        limit=limit,
        outcome=outcome if long_enough else Outcome.UNDECIDED,
        answer=one.words,
        statement=f"{timed.subject} is {one.words}, for the output had not followed while it was watched: {tail}.",
    )


def _remarks(done: tuple[Operation, ...], timed: Timed) -> tuple[str, ...]:
    listed = (f"All {len(done)} operations: {', '.join(one.words for one in done)}.",) if len(done) > 1 else ()
    loaded = any(one.entry.conditions.get("load current") for one in done)
    unloaded = ("Opened with no stated current: under load an arc keeps the contacts joined a little longer.",)
    return (*listed, *(unloaded if timed.opening and not loaded else ()))


def judge_following(
    bench: BenchEvidence, timed: Timed, longest: float, *, has: str, has_not: str
) -> tuple[Finding, ...]:
    """Say whether the output follows at all, where no text known to us says how fast.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    timed : Timed
        What is timed.
    longest : float
        An output that was watched for so long and did not follow is taken not to. [s]
    has : str
        What is said where it followed every time.
    has_not : str
        What is said where it did not.

    Returns
    -------
    tuple of Finding
        Within where it followed every time, beyond where it once did not, undecided where it was not watched for long
        enough; none where the captures show no such operation.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    done = operations(bench, timed)
    if not done:
        return ()
    finding = replace(bare_of(timed, done), worst_of=len(done), remarks=_remarks(done, timed))
    missed = [one for one in done if not one.followed]
    if missed:
        most = max(missed, key=lambda one: one.delay.value)
        if most.delay.value >= longest:
            said = f"{has_not} The output stayed live for {most.words}."
            absent = len(missed) == len(done)
            return (replace(finding, outcome=Outcome.BEYOND, answer="no", absence=absent, statement=said),)
        watched = told_time(most.delay.value)
        said = f"The output had not followed after {watched}, when the watch ended: too soon."
        return (replace(finding, answer="cannot tell", statement=said),)
    slowest = max(done, key=lambda one: one.delay.value)
    if any(one.at_coil for one in done):
        said = f"At the relay's coil it followed within {slowest.words}; the contacts were not seen."
        return (replace(finding, answer="cannot tell", statement=said),)
    said = (
        f"{has} The slowest of {len(done)} took {slowest.words}."
        if len(done) > 1
        else f"{has} It took {slowest.words}."
    )
    return (replace(finding, outcome=Outcome.WITHIN, answer="yes", statement=said),)

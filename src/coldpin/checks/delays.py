"""How long the output took to follow: operations from captures and from readings, judged by the worst of all."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from coldpin.checks.evidence import BenchEvidence, PilotCapture
from coldpin.checks.judging import as_known, judged, placed, told_time, worst
from coldpin.checks.readings import Side, readings
from coldpin.checks.supply import closed_first
from coldpin.errors import EntryError
from coldpin.pilot.operations import FEWEST_OPERATIONS
from coldpin.quantity import Quantity, decide
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.pilot import OutputKind, Switching
from coldpin.standards.table import needed
from coldpin.standards.wording import limit_value

COIL = "relay coil"
COIL_ONLY = "Seen at the relay's coil: the contacts may lag or weld."


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """What is timed: the word of a reading, the events of captures, and in which captures they count.

    ``done`` are values of the capture's condition "event"; ``subject`` begins the sentence; ``opening`` is true for
    contacts that must open, where an arc may keep them joined.
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
    """One operation: how long it took, or how long it was watched where the output did not follow. [s]"""

    entry: Entry
    delay: Quantity
    followed: bool
    at_coil: bool

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
    for entry in bench.operations(timed.word):
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
                yield Operation(entry=capture.entry, delay=delay, followed=followed(delay), at_coil=at_coil)


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
        or (other.entry.evidence and name in (other.entry.evidence.file, other.entry.evidence.original_name))
    ]
    if not named:
        raise EntryError.of(
            capture.entry.id,
            f"condition 'output seen in' = {name!r}: there is no decoded capture of this id or file; name one in which "
            "the same channel saw the output switched on",
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
        Within only for :data:`FEWEST_OPERATIONS` operations or more, seen at the output; one that is late is
        enough for beyond. None where the captures show no such operation.

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
    if finding.outcome is Outcome.WITHIN and len(done) < FEWEST_OPERATIONS:
        said = f"{finding.statement} {_too_few(done)}"
        return (replace(finding, outcome=Outcome.UNDECIDED, statement=said),)
    return (finding,)


def _too_few(done: Sequence[Operation]) -> str:
    few = "One operation was" if len(done) == 1 else f"Only {len(done)} operations were"
    return f"{few} timed; {FEWEST_OPERATIONS} are needed before it can be said that all are in time."


def _judge_one(finding: Finding, one: Operation, timed: Timed, limit: Limit) -> Finding:
    outcome = _placed(one, limit)
    if not one.followed:
        found = _unfollowed(finding, one, timed, limit, outcome)
    elif one.delay.u is None and outcome is not Outcome.UNDECIDED:
        found = _by_bounds(judged(finding, one.delay, limit), one, timed, limit, outcome)
    else:
        found = placed(timed.subject, judged(finding, one.delay, limit))
    # a coil moves before the contacts: it shows no maximum kept and no minimum broken
    favourable = Outcome.WITHIN if limit.maximum is not None else Outcome.BEYOND
    if one.at_coil and found.outcome is favourable:
        said = f"{timed.subject} is {one.words} at the relay's coil: the contacts move later, which was not seen."
        return replace(found, outcome=Outcome.UNDECIDED, answer="cannot tell", statement=said)
    return found


def _placed(one: Operation, limit: Limit) -> Outcome:
    """Place an operation: by its distribution where that is known, else by bounds; unfollowed, from below alone."""
    if one.delay.u is not None:
        outcome = Outcome(decide(one.delay, minimum=limit.minimum, maximum=limit.maximum).outcome)
    else:
        least = -math.inf if one.delay.low is None else one.delay.low
        most = math.inf if one.delay.high is None else one.delay.high
        outcome = _between(least, most, limit)
    from_below = Outcome.BEYOND if limit.maximum is not None else Outcome.WITHIN
    return outcome if one.followed or outcome is from_below else Outcome.UNDECIDED


def _between(least: float, most: float, limit: Limit) -> Outcome:
    longest = math.inf if limit.maximum is None else limit.maximum
    shortest = -math.inf if limit.minimum is None else limit.minimum
    if least > longest or most < shortest:
        return Outcome.BEYOND
    return Outcome.WITHIN if least >= shortest and most <= longest else Outcome.UNDECIDED


def _by_bounds(finding: Finding, one: Operation, timed: Timed, limit: Limit, outcome: Outcome) -> Finding:
    """Tell a delay far from its limit, whose own uncertainty nobody knows."""
    where = "within" if outcome is Outcome.WITHIN else "beyond"
    said = f"{timed.subject} reads {one.words}: {where} {as_known(limit)} whatever sensor and clock may add or take."
    return replace(finding, outcome=outcome, statement=said)


def _unfollowed(finding: Finding, one: Operation, timed: Timed, limit: Limit, outcome: Outcome) -> Finding:
    """Tell an operation that the output did not follow while it was watched."""
    tail = {
        Outcome.BEYOND: f"beyond {as_known(limit)}",
        Outcome.WITHIN: f"within {as_known(limit)}",
        Outcome.UNDECIDED: f"{_NOT_SURE if _unstated(one) else 'too short a watch'} for {as_known(limit)}",
    }[outcome]
    return replace(
        finding,
        limit=limit,
        outcome=outcome,
        answer=one.words,
        statement=f"{timed.subject} is {one.words}, for the output had not followed while it was watched: {tail}.",
    )


_NOT_SURE = "without the accuracy of the instrument not to be told"


def _unstated(one: Operation) -> bool:
    return one.delay.u is None and one.delay.low is None


def _remarks(done: tuple[Operation, ...], timed: Timed) -> tuple[str, ...]:
    listed = (f"All {len(done)} operations: {', '.join(one.words for one in done)}.",) if len(done) > 1 else ()
    loaded = any(one.entry.conditions.get("load current") for one in done)
    unloaded = ("Opened with no stated current: under load an arc keeps the contacts joined a little longer.",)
    return (*listed, *(unloaded if timed.opening and not loaded else ()))


def judge_following(
    bench: BenchEvidence, timed: Timed, longest: Limit, *, has: str, has_not: str
) -> tuple[Finding, ...]:
    """Say whether the output follows at all, where no text known to us says how fast.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    timed : Timed
        What is timed.
    longest : Limit
        An output that has not followed after so long is taken not to, though it may do so later. [s]
    has : str
        What is said where it followed every time.
    has_not : str
        What is said where it did not, or too late.

    Returns
    -------
    tuple of Finding
        Within where it followed every time in :data:`FEWEST_OPERATIONS` operations or more, beyond where it once did
        not, undecided where it was not watched for long enough or nobody stated how exact the times are; none where
        the captures show no such operation.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    done = operations(bench, timed)
    if not done:
        return ()
    finding = replace(bare_of(timed, done), worst_of=len(done), remarks=_remarks(done, timed))
    slowest_first = sorted(done, key=lambda one: one.delay.value, reverse=True)
    missed = [one for one in slowest_first if _placed(one, longest) is Outcome.BEYOND]
    if missed:
        tail = "went dead only after" if missed[0].followed else "stayed live for"
        absent = len(missed) == len(done)
        said = f"{has_not} The output {tail} {missed[0].words}."
        return (replace(finding, outcome=Outcome.BEYOND, answer="no", absence=absent, statement=said),)
    said = _why_not(slowest_first, longest)
    if said:
        return (replace(finding, answer="cannot tell", statement=said),)
    said = f"{has} The slowest of {len(done)} took {slowest_first[0].words}."
    return (replace(finding, outcome=Outcome.WITHIN, answer="yes", statement=said),)


def _why_not(slowest_first: Sequence[Operation], longest: Limit) -> str:
    """Return why it cannot be said that the output follows every time, empty where it can."""
    unsure = next((one for one in slowest_first if _placed(one, longest) is Outcome.UNDECIDED), None)
    if unsure is not None and unsure.followed:
        took = f"The output followed after {unsure.words}"
        if _unstated(unsure):
            return f"{took}, by an instrument whose accuracy is not stated."
        return f"{took}, too close to {limit_value(longest)} to say."
    if unsure is not None and _unstated(unsure):
        watched = told_time(unsure.delay.value)
        return f"The output had not followed after {watched}, by an instrument whose accuracy is not stated."
    if unsure is not None:
        watched = told_time(unsure.delay.value)
        return f"The output had not followed after {watched}, when the watch ended: too soon."
    slowest = slowest_first[0].words
    if any(one.at_coil for one in slowest_first):
        return f"At the relay's coil it followed within {slowest}; the contacts were not seen."
    few = len(slowest_first) < FEWEST_OPERATIONS
    return f"The output followed, at the latest after {slowest}. {_too_few(slowest_first)}" if few else ""

"""The plan as it stands at the bench: what was recorded ticks itself, the rest is ticked, hold points stand before.

A hold point of the order of work is passed by findings and never by ticks. What stands in words before the steps of a
test is ticked by hand, by somebody named, and until it is the steps wait. All of this reminds and switches nothing.
"""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.casefile.entries import entry_id, instant_of
from coldpin.checks import Need
from coldpin.checks.bench_tests import find_test
from coldpin.checks.evidence import serves
from coldpin.conclusion.safety_order import Held, known, stands_before, what
from coldpin.errors import CaseError, UnknownName
from coldpin.records.assessment import Assessment
from coldpin.records.entry import Entry
from coldpin.records.plan import BenchPlan, HeldTest, PlannedTest, Stage, TestOption
from coldpin.records.tick import (
    BenchBox,
    BenchLine,
    BenchProgress,
    DoneTest,
    LineKind,
    NeededInstrument,
    RecordedBy,
    TestAtBench,
    TestState,
    Tick,
)
from coldpin.workbench.advising import advise_on, options_of
from coldpin.workbench.bench_boxes import boxes_and_needs
from coldpin.workbench.bench_plan import plan_after
from coldpin.workbench.clock import now as clock
from coldpin.workbench.listing import EntryList, list_entries

NOT_ASSESSED = "what was recorded since is not assessed yet"
"""Stands before work with the mains until it is: it may hold what forbids power."""

TICK_FIRST = "the hold points of this test are not ticked"

_FINDING = re.compile(r" \([\w-]+\.[\w.-]+\)")
_DIGEST = 6
"""Ours: bytes of the digest that names a line; two lines of one test are never the same by it. [bytes]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchDay:
    """A plan with all that is needed to see how it stands: what takes long, made once for an assessment.

    Parameters
    ----------
    plan : BenchPlan
        The whole plan.
    needs : mapping of str to tuple of Need
        For each test the entries that fill its boxes, in the order of the boxes.
    waits_for : mapping of str to tuple of str
        For each test of the plan the hold points before it, in words.
    done : tuple of TestOption
        The tests that have their answer.
    held : tuple of HeldTest
        The tests that may not be done and are in no plan.
    no_change : tuple of str
        Titles of tests that would not change what may be said.
    """

    plan: BenchPlan
    needs: Mapping[str, tuple[Need, ...]]
    waits_for: Mapping[str, tuple[str, ...]]
    done: tuple[TestOption, ...]
    held: tuple[HeldTest, ...]
    no_change: tuple[str, ...]


def bench_day(
    assessment: Assessment,
    *,
    folder: str,
    without: Iterable[str] = (),
    progress: Callable[[float], None] | None = None,
) -> BenchDay:
    """Plan the bench after an assessment, with what stands before each test.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.
    folder : str
        The case, as it is typed into the lines of the boxes.
    without : iterable of str
        Ids of tests that are not to be done.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    BenchDay
        The plan and what belongs to it.
    """
    left_out = tuple(without)
    plan = plan_after(assessment, folder=folder, without=left_out, progress=progress)
    options = {option.test: option for option in options_of(assessment)}
    seen = known(assessment.findings)
    unit = assessment.case.unit
    planned = {test.test: test for test in plan.tests}
    needs = {
        name: ()
        if option.claims
        else tuple(
            need
            for _, need in boxes_and_needs(
                find_test(name),
                unit,
                (option.open or option.checks) if name in planned else option.checks,
                folder=folder,
                who=assessment.case.tester,
            )
        )
        for name, option in options.items()
    }
    advice = advise_on(assessment, without=left_out)
    return BenchDay(
        plan=plan,
        needs=needs,
        waits_for={name: _stands_before(stands_before(options[name], seen)) for name in planned},
        done=tuple(option for name, option in options.items() if not option.open and name not in planned),
        held=tuple(_in_words(held) for held in advice.held if held.test not in planned),
        no_change=advice.no_change,
    )


def bench_progress(
    folder: Path | str, day: BenchDay, *, plan: BenchPlan | None = None, fresh: bool, listed: EntryList | None = None
) -> BenchProgress:
    """Say how a plan stands at the bench: what is recorded and ticked by now, and what waits for what.

    Parameters
    ----------
    folder : Path or str
        The case.
    day : BenchDay
        What :func:`bench_day` made.
    plan : BenchPlan, optional
        The part of its plan that is wanted; all of it where left out.
    fresh : bool
        True where the assessment it was made of is of the case as it stands; else work with the mains waits.
    listed : EntryList, optional
        The entries of the case, where they were read already.

    Returns
    -------
    BenchProgress
        Each test with its lines and boxes.

    Raises
    ------
    CaseError
        The case cannot be read.
    """
    case = open_case(folder)
    listed = listed or list_entries(folder)
    holding = _by_word(entry for entry in listed.all if entry.id in listed.holding)
    withdrawn = _by_word(entry for entry in listed.all if entry.withdraws)
    ticks = case.ticks().ticks
    wanted = plan or day.plan
    tests = [
        _at_bench(test, day, holding=holding, withdrawn=withdrawn, ticks=ticks, fresh=fresh) for test in wanted.tests
    ]
    entries = {option.test: _filling(day.needs[option.test], holding) for option in day.done}
    return BenchProgress(
        plan=wanted,
        tests=_with_next(tests),
        done=tuple(
            DoneTest(test=option.test, title=option.title, stage=option.stage, entries=_each_once(entries[option.test]))
            for option in sorted(day.done, key=lambda option: list(Stage).index(option.stage))
            if any(entries[option.test])
        ),
        held=day.held,
        no_change=day.no_change,
        instruments=_instruments(wanted),
    )


def tick(
    folder: Path | str,
    progress: BenchProgress,
    line: str,
    *,
    who: str,
    taken_back: bool = False,
    now: datetime | None = None,
    random_bytes: Callable[[int], bytes] = secrets.token_bytes,
) -> Tick:
    """Tick a line of the plan off, or take its tick back; what stands so already is not written twice.

    Parameters
    ----------
    folder : Path or str
        The case.
    progress : BenchProgress
        The plan as it stands.
    line : str
        Id of the line.
    who : str
        Who ticks.
    taken_back : bool
        True to take the tick back.
    now : datetime, optional
        The instant of writing; the clock's where left out.
    random_bytes : callable, optional
        Source of the id's random part.

    Returns
    -------
    Tick
        As written, or that which stood there.

    Raises
    ------
    UnknownName
        The plan has no such line.
    CaseError
        It waits for a hold point, nobody is named, or the case cannot be written to.
    StorageError
        The disk refused; nothing was written.
    """
    found = {one.id: (test, one) for test in progress.tests for one in test.lines}
    if line not in found:
        raise UnknownName(
            f"the plan has no line {line[:80]!r} as it stands: look at it anew, for each entry makes it another"
        )
    test, old = found[line]
    if old.waits_for and not taken_back:
        raise CaseError(f"{test.test.title}: this waits, {old.waits_for}; nothing was ticked")
    if old.tick is not None and not taken_back:
        return old.tick
    written = now or clock()
    made = Tick(
        id=entry_id(written, random_bytes=random_bytes),
        recorded=written.isoformat(timespec="milliseconds"),
        who=who,
        test=test.test.test,
        kind=old.kind,
        words=old.words,
        taken_back=taken_back,
    )
    return made if taken_back and old.tick is None else open_case(folder).tick(made)


def line_id(test: str, kind: LineKind, words: str) -> str:
    """Return the name of a line among all lines of all tests.

    Parameters
    ----------
    test : str
        Id of the test.
    kind : LineKind
        What it asks for.
    words : str
        The line.

    Returns
    -------
    str
        Of letters, digits, hyphens and points.

    Examples
    --------
    >>> line_id("wiring", LineKind.STEP, "Read every pair.")
    'wiring.step.9ea2bc919213'
    """
    digest = hashlib.blake2b(words.encode(), digest_size=_DIGEST).hexdigest()
    return f"{test}.{kind.name.lower()}.{digest}"


def _stands_before(held: Held) -> tuple[str, ...]:
    """Say in words what stands before a test."""
    wanted = tuple(dict.fromkeys(what(name) for name in held.wanted))
    again = tuple(dict.fromkeys(what(name) for name in held.undecided))
    return (
        *((f"it waits for {', '.join(wanted)}",) if wanted else ()),
        *((f"undecided, to be measured again: {', '.join(again)}",) if again else ()),
        *held.failed,
    )


def _in_words(held: HeldTest) -> HeldTest:
    """Return what stands before a test without the ids of the findings; several of one name are told once."""
    return replace(held, because=tuple(dict.fromkeys(_FINDING.sub("", reason) for reason in held.because)))


def _by_word(entries: Iterable[Entry]) -> dict[str, list[Entry]]:
    found: dict[str, list[Entry]] = {}
    for entry in entries:
        found.setdefault(entry.shows, []).append(entry)
    return found


def _filling(needs: Iterable[Need], entries: Mapping[str, Sequence[Entry]]) -> tuple[tuple[Entry, ...], ...]:
    """Return for each box the entries that fill it."""
    return tuple(tuple(entry for entry in entries.get(need.shows, ()) if serves(entry, need)) for need in needs)


def _each_once(filling: Iterable[Iterable[Entry]]) -> tuple[RecordedBy, ...]:
    return _recorded({entry.id: entry for entries in filling for entry in entries}.values())


def _recorded(entries: Iterable[Entry]) -> tuple[RecordedBy, ...]:
    return tuple(RecordedBy(entry=entry.id, who=entry.who, made=entry.made) for entry in entries)


def _at_bench(
    test: PlannedTest,
    day: BenchDay,
    *,
    holding: Mapping[str, Sequence[Entry]],
    withdrawn: Mapping[str, Sequence[Entry]],
    ticks: Iterable[Tick],
    fresh: bool,
) -> TestAtBench:
    filling = _filling(day.needs[test.test], holding)
    withdrawn_at = [instant_of(entry.recorded) for some in _filling(day.needs[test.test], withdrawn) for entry in some]
    standing = _standing(test.test, ticks, since=max(withdrawn_at, default=float("-inf")))
    waits_for = (*day.waits_for[test.test], *((NOT_ASSESSED,) if test.live and not fresh else ()))
    told = "; ".join(waits_for)
    holds = [_line(test, LineKind.HOLD, words, standing, told) for words in test.hold_points]
    told = told or (TICK_FIRST if any(one.tick is None for one in holds) else "")
    steps = [_line(test, LineKind.STEP, words, standing, told) for words in test.steps]
    # what stands on the specimen is filled in case.toml, by no entry
    left = iter(filling)
    entries = [() if box.recorded_as == "claim" else next(left, ()) for box in test.boxes]
    whole = bool(entries) and all(entries)
    boxes = tuple(
        # a test that is open by an assessment that knows all its entries is not answered by them
        BenchBox(box=box, entries=_recorded(some), ticked=bool(some) and not (whole and fresh), waits_for=told)
        for box, some in zip(test.boxes, entries, strict=True)
    )
    state = TestState.RECORDED if whole and not fresh else TestState.WAITS if waits_for else TestState.OPEN
    return TestAtBench(test=test, state=state, waits_for=waits_for, lines=(*holds, *steps), boxes=boxes)


def _line(test: PlannedTest, kind: LineKind, words: str, ticks: Mapping[str, Tick], waits_for: str) -> BenchLine:
    name = line_id(test.test, kind, words)
    return BenchLine(id=name, kind=kind, words=words, tick=ticks.get(name), waits_for=waits_for)


def _standing(test: str, ticks: Iterable[Tick], *, since: float) -> dict[str, Tick]:
    """Return the ticks of a test that stand, by line: made since evidence of it was withdrawn, and not taken back."""
    found: dict[str, Tick] = {}
    for one in ticks:
        if one.test != test or instant_of(one.recorded) <= since:
            continue
        name = line_id(one.test, one.kind, one.words)
        if one.taken_back:
            found.pop(name, None)
        else:
            found.setdefault(name, one)
    return found


def _with_next(tests: Iterable[TestAtBench]) -> tuple[TestAtBench, ...]:
    """Mark the first line or box that is open."""
    marked: list[TestAtBench] = []
    found = False
    for test in tests:
        if found or test.state is not TestState.OPEN:
            marked.append(test)
            continue
        line = next((one for one in test.lines if one.tick is None and not one.waits_for), None)
        box = next((one for one in test.boxes if not one.ticked and not one.waits_for), None)
        found = line is not None or box is not None
        marked.append(
            replace(
                test,
                lines=tuple(replace(one, next=one is line) for one in test.lines),
                boxes=tuple(replace(one, next=line is None and one is box) for one in test.boxes),
            )
        )
    return tuple(marked)


def _instruments(plan: BenchPlan) -> tuple[NeededInstrument, ...]:
    used: dict[str, list[int]] = {}
    for test in plan.tests:
        used.setdefault(test.instrument, []).append(test.number)
    return tuple(NeededInstrument(instrument=name, tests=tuple(numbers)) for name, numbers in used.items())

"""What to test next in a case: its tests as the ranking sees them, and the advice."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from functools import cache
from pathlib import Path

from coldpin.checks import NO_SUCH_THING, Need, all_checks
from coldpin.checks.bench_tests import FIRST_QUESTION, BenchTest, bench_tests, find_test
from coldpin.checks.check import Check
from coldpin.checks.detection import chance, load_detection
from coldpin.checks.evidence import serves
from coldpin.conclusion import PLANS, advise
from coldpin.conclusion.next_test import done
from coldpin.records.assessment import Assessment, NotTested
from coldpin.records.case import UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome
from coldpin.records.plan import FaultMode, NextTest, TestBearing, TestOption
from coldpin.standards.book import Book, load_book
from coldpin.standards.table import needed
from coldpin.workbench.drafting import assessment_of

PRIORS = "prior.not-working."
"""How the ids of the chances begin that a function is thought not to work."""

ORDER = "wiring-closed"
"""The test of which the check is answered already, but not under its conditions."""

MINUTES_TO_WRITE = 1
"""Ours: what it takes to write a claim into case.toml, where nothing else is missing. [min]"""


def next_test(
    folder: Path | str, *, without: Iterable[str] = (), progress: Callable[[float], None] | None = None
) -> NextTest:
    """Say which test of a case to do next, or that none is worth it. Nothing is written.

    Parameters
    ----------
    folder : Path or str
        The case.
    without : iterable of str
        Tests or checks that are not to be done, by id.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.

    Returns
    -------
    NextTest
        The advice.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    UnknownName
        There is no such test.
    """
    left_out = ids_of_tests(without)
    return advise_on(assessment_of(folder, progress=progress), without=left_out)


def ids_of_tests(names: Iterable[str]) -> tuple[str, ...]:
    """Return the ids of tests that are named by themselves or by a check.

    Parameters
    ----------
    names : iterable of str
        Ids of tests or checks.

    Returns
    -------
    tuple of str
        Ids of tests.

    Raises
    ------
    UnknownName
        There is no such test.
    """
    return tuple(dict.fromkeys(find_test(name).id for name in names))


def advise_on(assessment: Assessment, *, without: Iterable[str] = ()) -> NextTest:
    """Say which test to do next after an assessment.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.
    without : iterable of str
        Ids of tests that are not to be done.

    Returns
    -------
    NextTest
        The advice.
    """
    told = advise(
        assessment.case.unit,
        assessment.findings,
        options_of(assessment),
        not_working(load_book().with_own(assessment.case.constants)),
        fault_modes(),
        case=assessment.title,
        said=so_far(assessment),
        without=without,
    )
    return replace(told, problems=assessment.problems)


def so_far(assessment: Assessment) -> str:
    """Return the public sentence of an assessment with what it rests on.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.

    Returns
    -------
    str
        The sentence, and in brackets one of measured, observed, inferred and opinion.
    """
    headline = assessment.conclusion.headline
    return f"{headline.text} [{headline.basis}]"


def not_working(book: Book) -> dict[str, float]:
    """Return how likely each function is thought, before any test, not to work.

    Parameters
    ----------
    book : Book
        The constants, a case's own among them.

    Returns
    -------
    dict
        By function, and for "other". [1]

    Examples
    --------
    >>> not_working(load_book())["other"]
    0.2
    """
    rows = book.under(PRIORS)
    return {row.limit.id.removeprefix(PRIORS): needed(row.limit, "nominal") for row in rows}


@cache
def fault_modes() -> tuple[FaultMode, ...]:
    """Return the faults that the checks were tried on, as ways in which a function may not work.

    Returns
    -------
    tuple of FaultMode
        One for each function that a fault takes away. A check that was tried and not with this fault is as of a sound
        unit: it sees nothing.

    Examples
    --------
    >>> mode = next(mode for mode in fault_modes() if mode.fault == "pins always live")
    >>> mode.function, mode.within["wiring"] < 0.1, mode.within["coding"] < 0.1
    ('supply-switching', True, False)
    """
    table = load_detection()
    modes = []
    for fault, functions in table.functions.items():
        within = {}
        for check in all_checks():
            tried = table.decided(fault, check.id)
            if tried:
                within[check.id] = chance(table.count(fault, check.id, "within"), tried)
            elif table.tested(check.id):
                within[check.id] = 1.0
        modes += [FaultMode(function=function, fault=fault, within=within) for function in functions]
    return tuple(modes)


def options_of(assessment: Assessment) -> tuple[TestOption, ...]:
    """Return every test that the specimen can be put to, as the ranking sees it.

    Parameters
    ----------
    assessment : Assessment
        The case as it stands.

    Returns
    -------
    tuple of TestOption
        In the order of the checks, with those done.
    """
    return options_for(assessment.case.unit, assessment.findings, assessment.not_tested, assessment.entries)


def options_for(
    unit: UnitClass, findings: Iterable[Finding], not_tested: Iterable[NotTested], entries: Iterable[Entry] = ()
) -> tuple[TestOption, ...]:
    """Return every test for a class of unit, with what was found so far.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.
    findings : iterable of Finding
        All findings.
    not_tested : iterable of NotTested
        The checks without an answer.
    entries : iterable of Entry
        What was recorded: it tells which of the milder tests were done.

    Returns
    -------
    tuple of TestOption
        In the order of the checks.
    """
    listed = tuple(findings)
    closed = {finding.check for finding in listed if finding.transfers}
    waiting = {missed.check: missed for missed in not_tested if not _says_nothing(missed)}
    closed |= {missed.check for missed in not_tested if _says_nothing(missed)}
    recorded = tuple(entries)
    bare = {one.id for one in listed if one.outcome is Outcome.UNDECIDED and one.quantity and one.quantity.u is None}
    made = []
    for test, option in _tests_for(unit):
        again = test.id == FIRST_QUESTION and not bare.isdisjoint(test.part_answers)
        if _was_done(test, recorded) and not again:
            made.append(done(option))
            continue
        claims = _claims((check for check in test.checks if check.id in option.checks), waiting)
        left = tuple(name for name in option.open if name in waiting or name not in closed or test.id == ORDER)
        alone = next((check for check in test.checks if left == (check.id,) and not test.part_answers), None)
        made.append(
            replace(
                option,
                open=left,
                title=alone.title if alone else option.title,
                question=alone.question if alone else option.question,
                minutes=MINUTES_TO_WRITE if claims else option.minutes,
                claims=claims,
            )
        )
    return tuple(made)


def _says_nothing(missed: NotTested) -> bool:
    """Say whether a check read a claim that tells it nothing, as a print without a current: no test changes that."""
    asked = next((check.needs for check in all_checks() if check.id == missed.check), ())
    return missed.why == NO_SUCH_THING and any(need.claim for need in asked)


@cache
def _tests_for(unit: UnitClass) -> tuple[tuple[BenchTest, TestOption], ...]:
    """Return the tests of a class of unit as they are while nothing was found."""
    made = []
    for test in bench_tests():
        checks = tuple(check for check in test.checks if not check.applies(unit))
        if checks:
            made.append((test, _option(test, checks)))
    return tuple(made)


def _was_done(test: BenchTest, entries: Collection[Entry]) -> bool:
    """Say whether a part of a procedure was done: its entry is there under its conditions."""
    if not test.part_answers:
        return False
    wanted = {name: (value,) for name, value in test.conditions.items() if name in ("supply", "contacts")}
    needs = [Need(shows=need.shows, conditions=wanted) for need in test.records]
    return any(entry.shows == need.shows and serves(entry, need) for need in needs for entry in entries)


def _option(test: BenchTest, checks: tuple[Check, ...]) -> TestOption:
    ids = tuple(check.id for check in checks)
    asked = dict.fromkeys(name for plan in PLANS for name in plan.asks if name.split(".")[0] in ids)
    bears = [(check.id, bearing) for check in checks for bearing in (test.bears or check.bears)]
    return TestOption(
        test=test.id,
        title=test.title,
        question=test.question,
        stage=test.procedure.when,
        live=test.live,
        minutes=test.procedure.minutes,
        checks=ids,
        open=ids,
        answers=test.part_answers or tuple(name for name in asked if name not in test.left_to_parts),
        bearings=tuple(
            TestBearing(
                check=check,
                function=bearing.function,
                within_if_works=bearing.within_if_works,
                within_if_not=bearing.within_if_not,
                source=bearing.source,
            )
            for check, bearing in bears
        ),
        after=test.procedure.after,
        first=test.first,
        needless_after=test.needless_after,
        comes_first=test.id == FIRST_QUESTION,
    )


def _claims(checks: Iterable[Check], waiting: Mapping[str, NotTested]) -> tuple[str, ...]:
    """Return the claims that alone keep the open checks of a test from their answer; none where a bench is needed."""
    found: dict[str, None] = {}
    for check in checks:
        missed = waiting.get(check.id)
        if missed is None:
            continue
        told = {need.describe(): need.claim for need in check.needs if need.claim}
        if not missed.needs or not all(need in told for need in missed.needs):
            return ()
        found.update(dict.fromkeys(told[need] for need in missed.needs))
    return tuple(found)

"""What would be tested next, in the order in which it may be done: what the report prints of the advice."""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.conclusion.safety_order import known, stands_before, what
from coldpin.records.assessment import FurtherTest, NotTested
from coldpin.records.case import UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding
from coldpin.records.plan import DESK, Stage
from coldpin.workbench.advising import options_for

_ORDER = {DESK: -1} | {stage.value: place for place, stage in enumerate(Stage)}


def further_tests(
    unit: UnitClass, findings: Iterable[Finding], not_tested: Iterable[NotTested], entries: Iterable[Entry]
) -> tuple[FurtherTest, ...]:
    """Return every test with an open question, dead before live and what destroys last; nothing is ranked.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.
    findings : iterable of Finding
        All findings.
    not_tested : iterable of NotTested
        The checks without an answer.
    entries : iterable of Entry
        The public entries.

    Returns
    -------
    tuple of FurtherTest
        Those that may be done at once first within each stage, the shorter before the longer.
    """
    found = tuple(findings)
    seen = known(found)
    made = []
    for option in options_for(unit, found, not_tested, entries):
        if not option.open or (option.needless_after and seen.within(option.needless_after)):
            continue
        held = stands_before(option, seen)
        asked = set(option.open)
        made.append(
            FurtherTest(
                test=option.test,
                title=option.title,
                question=option.question,
                stage=DESK if option.claims else option.stage.value,
                minutes=option.minutes,
                says_of=tuple(dict.fromkeys(one.function for one in option.bearings if one.check in asked)),
                first=tuple(dict.fromkeys(what(name) for name in held.wanted)),
                stopped=held.failed,
            )
        )
    return tuple(sorted(made, key=lambda one: (_ORDER[one.stage], bool(one.stopped or one.first), one.minutes)))

"""Conditions of use of a case: what limits the current, joined to what was found and to the injury scenarios there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import partial

from coldpin.checks import BenchEvidence
from coldpin.checks.ingress_claim import CHECK_ID, against_rain
from coldpin.checks.use_currents import use_bounds
from coldpin.conclusion.conditions import judge_use
from coldpin.conclusion.use_grounds import UseGrounds, grounds_of
from coldpin.conclusion.use_risks import RiskGrounds
from coldpin.conclusion.uses import read_use
from coldpin.errors import InputError
from coldpin.records.access_words import INGRESS
from coldpin.records.assessment import Problem
from coldpin.records.case import Build
from coldpin.records.finding import Finding, Limit
from coldpin.records.function import ProtectiveFunction
from coldpin.records.use import CurrentBound, Use, UseAnswer, UseJudgement, UseReason
from coldpin.standards.connections import plug
from coldpin.standards.pilot import duty_segments
from coldpin.standards.uses import standard_uses
from coldpin.workbench.cable_evidence import usable
from coldpin.workbench.injury import known_of, usable_estimates, usable_severities, zones_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Uses:
    """The conditions of use as judged, the limits they rest on, and what of the case's own could not be read."""

    judged: tuple[UseJudgement, ...]
    limits: tuple[Limit, ...]
    problems: tuple[Problem, ...]


def judge_uses(bench: BenchEvidence, functions: Iterable[ProtectiveFunction], findings: Iterable[Finding]) -> Uses:
    """Judge the usual places and the case's own conditions of use.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.

    Returns
    -------
    Uses
        In the order of the table, then the case's own.

    Raises
    ------
    InputError
        An own constant leaves out a number that is needed.
    """
    book, grounds = bench.book, use_grounds(bench, functions, findings)
    uses, unread, problems = _read(bench)
    told = tuple(judge_use(use, bounds_of(bench, use), grounds) for use in uses)
    reasons = [reason for one in told for reason in one.reasons]
    asked = {name for reason in reasons for name in reason.functions}
    limits = (
        *(bound.limit for one in told for bound in one.bounds if bound.limit is not None),
        *(rule.limit for one in told for rule in one.rules),
        *(use.limit for use in uses if use.limit is not None),
        *(need.limit for need in grounds.needs if need.function in asked),
        *(measure.limit for measure in grounds.measures if any(measure.text in one.measures for one in told)),
        *(book.limit(name) for name in sorted({name for reason in reasons for name in reason.limits})),
    )
    return Uses(judged=(*told, *unread), limits=limits, problems=problems)


def use_grounds(
    bench: BenchEvidence, functions: Iterable[ProtectiveFunction], findings: Iterable[Finding]
) -> UseGrounds:
    """Gather what every condition of use of a case is judged by.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.

    Returns
    -------
    UseGrounds
        The specimen as found, with the rows of the table.

    Raises
    ------
    InputError
        An own constant leaves out a number that is needed.
    """
    book, case = bench.book, bench.case
    judged, found = tuple(functions), tuple(findings)
    own, _ = usable_estimates(case)
    severities, _ = usable_severities(case)
    risks = RiskGrounds(
        book=book,
        known=known_of(case, judged, found),
        zones=zones_of(book, judged, found),
        own=own,
        severities=severities,
    )
    title = _plug(bench)
    return grounds_of(
        book,
        case,
        judged,
        found,
        risks,
        plug="" if title is None else title.id.removeprefix("plug."),
        plug_title="" if title is None else title.title,
        lowest_a=min(segment.low for segment in duty_segments(book)),
        rain=tuple(
            UseReason(
                text=text,
                answer=UseAnswer.ADVISED_AGAINST if against else UseAnswer.CANNOT_JUDGE,
                findings=(LOOKED_AT,) if looked else (),
            )
            for text, against, looked in usable(bench, _rain)
        ),
    )


def bounds_of(bench: BenchEvidence, use: Use) -> tuple[CurrentBound, ...]:
    """Return what limits the current under a condition of use, without entries that cannot be used.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    use : Use
        The condition, as understood.

    Returns
    -------
    tuple of CurrentBound
        Least first.
    """
    return usable(bench, partial(_bounds, use))


LOOKED_AT = f"{CHECK_ID}.looked-at"


def _rain(bench: BenchEvidence) -> tuple[tuple[str, bool, bool], ...]:
    """Return what speaks against rain of what is claimed and was seen; whether it does, and whether anybody looked."""
    if not bench.showing(INGRESS):
        return (("Nobody looked at what is claimed of water, and what speaks against it.", False, False),)
    return tuple((text, True, True) for text in against_rain(bench))


def _bounds(use: Use, bench: BenchEvidence) -> tuple[CurrentBound, ...]:
    return use_bounds(bench, use)


def _plug(bench: BenchEvidence) -> Limit | None:
    word = bench.claim("plug")
    if not word or bench.case.unit.build is Build.FIXED:
        return None
    try:
        return plug(bench.book, word)
    except InputError:
        return None


def _read(bench: BenchEvidence) -> tuple[tuple[Use, ...], tuple[UseJudgement, ...], tuple[Problem, ...]]:
    """Return the uses that can be read, an answer for each that cannot, and what is wrong with it."""
    country = bench.claim("country")
    uses = [*standard_uses(bench.book, bench.case.unit.build, country=country)]
    unread, problems = [], []
    for condition in bench.case.conditions_of_use:
        try:
            uses.append(read_use(bench.book, condition, country=country))
        except InputError as error:
            problems.append(Problem(where=f"case.toml, [[conditions_of_use]] {condition.name!r}", what=str(error)))
            because = f"It cannot be read: {error}"
            unread.append(UseJudgement(name=condition.name, answer=UseAnswer.CANNOT_JUDGE, because=because))
    return tuple(uses), tuple(unread), tuple(problems)

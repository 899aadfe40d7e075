"""From the folder of a case to one assessment record."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import takewhile
from pathlib import Path
from typing import TypeVar

from coldpin import __version__
from coldpin.casefile import Effective
from coldpin.checks import (
    BenchEvidence,
    BoardEvidence,
    Check,
    PilotCapture,
    ResidualEvidence,
    all_checks,
    method,
    run_checks,
)
from coldpin.checks.cautions import GENERAL
from coldpin.conclusion import conclude, judge_functions
from coldpin.conclusion.claims import contradicted, judge_claims
from coldpin.conclusion.comparison import price_paid
from coldpin.conclusion.market import market_picture
from coldpin.conclusion.public import complete
from coldpin.errors import InputError
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.case import CaseDescription
from coldpin.records.finding import Finding, Limit
from coldpin.records.instrument import ShelfDescription
from coldpin.records.keeping import Keeping, made_anew
from coldpin.workbench.board_filing import read_boards
from coldpin.workbench.board_pictures import board_photograph
from coldpin.workbench.cable_evidence import cable_evidence
from coldpin.workbench.charge_evidence import charge_evidence, standby_evidence
from coldpin.workbench.claims import smaller_sizes, unknown_subjects
from coldpin.workbench.further_tests import further_tests
from coldpin.workbench.injury import injury_scenarios
from coldpin.workbench.inside_evidence import inside_evidence
from coldpin.workbench.log_evidence import FiledLog, read_logs
from coldpin.workbench.opening import OpenedCase, is_decoded, open_to_assess
from coldpin.workbench.pilot_evidence import CAPTURE, read_pilots
from coldpin.workbench.privacy import public_entries, public_problems
from coldpin.workbench.progress import between
from coldpin.workbench.residual_evidence import read_residuals, trip_tests
from coldpin.workbench.shelving import Bench
from coldpin.workbench.shock_evidence import shock_evidence
from coldpin.workbench.uses import judge_uses

T = TypeVar("T")

LIMITS_OF_THE_WORK = (
    "One specimen was examined; others of the same name may differ.",
    "The work was done with bench instruments and not in an accredited laboratory; coldpin certifies nothing.",
    "A hash shows that a file is unchanged since it was filed, not when it was made.",
)


def evidence_of(opened: OpenedCase) -> BenchEvidence:
    """Return what a case's checks look at, without boards and residual currents, on which no condition of use rests.

    Parameters
    ----------
    opened : OpenedCase
        The case, with what keeps its parts.

    Returns
    -------
    BenchEvidence
        Entries, captures and logs; what cannot be read is left out, as an assessment does, which tells it.
    """
    untold: list[Problem] = []
    captures, _ = read_pilots(opened, untold)
    logs = read_logs(opened.bench, opened.usable, untold, keep=opened.keep)
    return _evidence(opened, captures=captures, logs=logs, boards=())


def make_parts(opened: OpenedCase, wanted: Callable[[str], bool]) -> None:
    """Make parts of an assessment for who keeps them, from the last that :func:`assess` asks for to the first.

    The checks run without captures, on which none of their parts rests: only what they keep is of use.

    Parameters
    ----------
    opened : OpenedCase
        The case, with what keeps the parts.
    wanted : callable
        Asked with the id of each check, and where it is answered no this ends.
    """
    untold: list[Problem] = []  # who assesses the case tells them
    logs = read_logs(opened.bench, opened.usable, untold, keep=opened.keep)
    boards = read_boards(opened.bench, opened.usable, untold)
    last_first = all_checks()[::-1]
    run_checks(_evidence(opened, logs=logs, boards=boards), takewhile(lambda check: wanted(check.id), last_first))
    if wanted(last_first[-1].id):
        _residuals(opened, untold)
        read_pilots(opened, untold, last_first=True)


def assess(
    folder: Path | str,
    *,
    progress: Callable[[float], None] | None = None,
    keep: Keeping = made_anew,
    begun: Callable[[str], None] = lambda _: None,
    description: CaseDescription | None = None,
) -> Assessment:
    """Assess a case: decode its captures, run every check, judge the functions, conclude. Nothing is written.

    Parameters
    ----------
    folder : Path or str
        The case.
    progress : callable, optional
        Told the fraction done, of captures read and checks run; what it raises stops the work.
    keep : Keeping, optional
        Gives back parts that were made before, such as what a capture shows; all is made anew where left out.
    begun : callable, optional
        Told the id of each check as it is begun.
    description : CaseDescription, optional
        What stands in place of ``case.toml``, to try something on it.

    Returns
    -------
    Assessment
        The whole record; what could not be used is under ``problems``.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    opened = open_to_assess(folder, keep, description=description)
    bench, held, usable = opened.bench, opened.held, opened.usable
    description, book = opened.description, opened.book
    problems = [*bench.problems, *held.problems, *bench.case.check_evidence(), *bench.case.check_issues()]
    checks, filed = all_checks(), sum(entry.shows == CAPTURE for entry in usable)
    of_captures = filed / (filed + len(checks))
    captures, pictures = read_pilots(opened, problems, between(progress, 0.0, of_captures))
    logs = read_logs(bench, usable, problems, keep=keep)
    boards = read_boards(bench, usable, problems)
    residuals = _residuals(opened, problems)
    seen = _evidence(opened, captures=captures, logs=logs, boards=boards, residuals=residuals)
    results = run_checks(seen, _each(checks, begun, between(progress, of_captures, 1.0)))
    cable = cable_evidence(seen, logs)
    inside = inside_evidence(seen, lambda drawn: board_photograph(bench, usable, drawn, keep=keep))
    functions = judge_functions(description.unit, results.findings)
    injuries = injury_scenarios(description, book, functions, results.findings)
    claims = judge_claims(description, results.findings, functions, smaller=smaller_sizes(description.claims))
    shared = _shelf_description(bench, problems)
    alternatives = (*description.alternatives, *shared.alternatives)
    market = market_picture(
        name=description.title,
        paid=price_paid(public_entries(held)),
        functions=functions,
        listings=(*description.listings, *shared.listings),
        surveys=(*description.surveys, *shared.surveys),
        alternatives=alternatives,
    )
    problems += market.problems
    uses = judge_uses(seen, functions, results.findings)
    given = (*problems, *unknown_subjects(description), *results.problems, *injuries.problems, *uses.problems)
    unused = public_problems(given, held, bench.case.folder)
    conclusion = conclude(description, results.findings, functions, results.not_tested, unused)
    shock = shock_evidence(seen, results.findings, functions)
    return Assessment(
        schema="coldpin.assessment/1",
        program_version=__version__,
        title=description.title,
        assessed_on=_stands_at(held),
        case=description,
        edition=str(opened.edition),
        conclusion=complete(
            replace(conclusion, may_say=(*conclusion.may_say, *contradicted(description, claims))),
            functions,
            results.findings,
            injuries.scenarios,
            uses.judged,
        ),
        functions=functions,
        findings=results.findings,
        not_tested=results.not_tested,
        pilot=pictures,
        entries=public_entries(held),
        instruments=tuple(sorted(bench.instruments.items())),
        methods=tuple(method(check, book) for check in all_checks() if not check.applies(description.unit)),
        limits=_limits_used(
            results.findings, (*cable.limits, *inside.limits, *shock.limits, *injuries.risk.limits, *uses.limits)
        ),
        scenarios=injuries.scenarios,
        risk=injuries.risk,
        conditions_of_use=uses.judged,
        cautions=GENERAL,
        limits_of_the_work=LIMITS_OF_THE_WORK,
        problems=unused,
        cable=cable,
        charges=charge_evidence(seen, logs),
        standby=standby_evidence(seen),
        inside=inside,
        shock=shock,
        claims=claims,
        trips=trip_tests(seen),
        leaks=tuple(one.reading.picture for one in residuals if one.reading.picture is not None),
        market=market.picture,
        alternatives=alternatives,
        further_tests=further_tests(description.unit, results.findings, results.not_tested, usable),
    )


def _shelf_description(bench: Bench, problems: list[Problem]) -> ShelfDescription:
    """Return what the shelf says of the market; nothing where there is none, or it cannot be read."""
    nothing = ShelfDescription(format="", title="")
    if bench.shelf is None:
        return nothing
    try:
        return bench.shelf.description()
    except InputError as error:
        problems.append(Problem(where="shelf.toml", what=str(error)))
        return nothing


def _each(
    checks: Sequence[Check], begun: Callable[[str], None], progress: Callable[[float], None] | None
) -> Iterator[Check]:
    for number, check in enumerate(checks):
        begun(check.id)
        if progress:
            progress(number / len(checks))
        yield check


def _residuals(opened: OpenedCase, problems: list[Problem]) -> tuple[ResidualEvidence, ...]:
    constants = opened.description.constants
    return read_residuals(opened.bench, opened.usable, opened.book, problems, keep=opened.keep, constants=constants)


def _evidence(
    opened: OpenedCase,
    *,
    logs: tuple[FiledLog, ...],
    boards: tuple[BoardEvidence, ...],
    captures: tuple[PilotCapture, ...] = (),
    residuals: tuple[ResidualEvidence, ...] = (),
) -> BenchEvidence:
    read = {capture.entry.id for capture in captures} | {log.evidence.entry.id for log in logs}
    read |= {board.entry.id for board in boards} | {residual.entry.id for residual in residuals}
    return BenchEvidence(
        case=opened.description,
        edition=opened.edition,
        book=opened.book,
        entries=tuple(entry for entry in opened.usable if not is_decoded(entry) or entry.id in read),
        instruments=opened.bench.instruments,
        captures=captures,
        logs=tuple(log.evidence for log in logs),
        boards=boards,
        residuals=residuals,
        keep=opened.keep,
    )


def _stands_at(held: Effective) -> str:
    """Return the day of the last entry: a report is dated by the case, not by the clock."""
    recorded = [entry.recorded for history in held.histories for entry in history.members]
    return max(recorded, default="")[:10]


def _limits_used(findings: Iterable[Finding], further: Iterable[Limit]) -> tuple[Limit, ...]:
    by_id: dict[tuple[str, str], Limit] = {}
    for limit in (*(finding.limit for finding in findings), *further):
        if limit is not None:
            by_id.setdefault((limit.id, limit.title), limit)
    return tuple(by_id[key] for key in sorted(by_id))

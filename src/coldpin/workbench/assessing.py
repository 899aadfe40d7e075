"""From the folder of a case to one assessment record, and from that to the files of the report."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import nullcontext
from dataclasses import dataclass, replace
from functools import partial
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from coldpin import __version__
from coldpin.capture import dialect_lines
from coldpin.capture.frames import FrameSource
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
from coldpin.pilot import clean_cycles, glitch_pictures, read_pilot, reduce_trace
from coldpin.records.assessment import Assessment, PilotEvidence, Problem
from coldpin.records.case import CaseDescription
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit
from coldpin.records.instrument import ShelfDescription
from coldpin.records.keeping import Keeping, made_anew
from coldpin.records.pilot import PilotReading
from coldpin.records.plain import to_json
from coldpin.records.vocabulary import VOCABULARY
from coldpin.standards.accuracy import ScopeAccuracy
from coldpin.standards.book import Book, load_book
from coldpin.standards.editions import Edition, default_edition
from coldpin.workbench.board_filing import read_boards
from coldpin.workbench.board_pictures import board_photograph
from coldpin.workbench.cable_evidence import cable_evidence
from coldpin.workbench.capture_reading import dialect_of, is_seekable, kept_of_capture, open_capture, read_capture
from coldpin.workbench.charge_evidence import charge_evidence, standby_evidence
from coldpin.workbench.claims import smaller_sizes, unknown_subjects
from coldpin.workbench.further_tests import further_tests
from coldpin.workbench.injury import injury_scenarios
from coldpin.workbench.inside_evidence import inside_evidence
from coldpin.workbench.log_evidence import FiledLog, read_logs
from coldpin.workbench.long_capture import LONG, left_out, read_long
from coldpin.workbench.look import accuracy_of, output_sensor
from coldpin.workbench.privacy import public_entries, public_problems, usable_entries
from coldpin.workbench.residual_evidence import read_residuals, trip_tests
from coldpin.workbench.same_recording import Recordings
from coldpin.workbench.shelving import Bench, open_bench
from coldpin.workbench.shock_evidence import shock_evidence
from coldpin.workbench.uses import judge_uses

if TYPE_CHECKING:
    from coldpin.report import Issue
    from coldpin.report.figures.drawing import Pencil

T = TypeVar("T")

Progress = Callable[[float], None] | None
"""Is told the fraction done."""

CAPTURE = "pilot capture"
"""The word of the vocabulary for a capture of the pilot."""

SEEN_AT_COIL = "relay coil"
"""The word of the vocabulary for an output seen at the coil of its relay."""

LIMITS_OF_THE_WORK = (
    "One specimen was examined; others of the same name may differ.",
    "The work was done with bench instruments and not in an accredited laboratory; coldpin certifies nothing.",
    "A hash shows that a file is unchanged since it was filed, not when it was made.",
)


def edition_for(description: CaseDescription) -> Edition:
    """Return the edition a case is judged by: its own choice, else that of its class of unit.

    Parameters
    ----------
    description : CaseDescription
        The case.

    Returns
    -------
    Edition
        The edition.

    Raises
    ------
    InputError
        The case names one that is not known.
    """
    chosen = description.unit.edition
    if not chosen:
        return default_edition(description.unit)
    if chosen not in list(Edition):
        raise InputError(
            f"case.toml, unit.edition = {chosen!r}: known editions are {', '.join(Edition)}; "
            "leave it out for the usual one"
        )
    return Edition(chosen)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedCase:
    """A case as it stands and what it is judged by, before any of its captures, logs and boards is read.

    ``usable`` are the entries of ``held`` that count; ``keep`` gives back parts that were made before.
    """

    bench: Bench
    held: Effective
    usable: tuple[Entry, ...]
    description: CaseDescription
    book: Book
    edition: Edition
    keep: Keeping


def open_to_assess(
    folder: Path | str, keep: Keeping = made_anew, *, description: CaseDescription | None = None
) -> OpenedCase:
    """Return a case as it stands and what it is judged by.

    Parameters
    ----------
    folder : Path or str
        The case.
    keep : Keeping, optional
        Gives back parts that were made before.
    description : CaseDescription, optional
        What stands in place of ``case.toml``, to try something on it.

    Returns
    -------
    OpenedCase
        For :func:`assess` and its parts.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    bench = open_bench(folder)
    description = description or bench.case.description()
    held = bench.case.effective()
    return OpenedCase(
        bench=bench,
        held=held,
        usable=usable_entries(held),
        description=description,
        book=load_book().with_own(description.constants),
        edition=edition_for(description),
        keep=keep,
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
    captures, _ = _read_captures(opened.usable, untold, partial(_kept, opened), None)
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
        _read_captures(opened.usable[::-1], untold, partial(_kept, opened), None)


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
    captures, pictures = _read_captures(usable, problems, partial(_kept, opened), _between(progress, 0.0, of_captures))
    logs = read_logs(bench, usable, problems, keep=keep)
    boards = read_boards(bench, usable, problems)
    residuals = _residuals(opened, problems)
    seen = _evidence(opened, captures=captures, logs=logs, boards=boards, residuals=residuals)
    results = run_checks(seen, _each(checks, begun, _between(progress, of_captures, 1.0)))
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


def render(assessment: Assessment, *, stamp: Issue | None = None) -> tuple[bytes, bytes, bytes]:
    """Return the record, the page and the PDF of an assessment.

    Parameters
    ----------
    assessment : Assessment
        The record.
    stamp : Issue, optional
        Number, day and changes of the issue to be published; a draft where left out.

    Returns
    -------
    tuple of bytes
        JSON, HTML, PDF.
    """
    return render_and(assessment, lambda: None, stamp=stamp)[0]


def render_and(
    assessment: Assessment,
    meanwhile: Callable[[], T],
    *,
    stamp: Issue | None = None,
    pencil: Pencil | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[tuple[bytes, bytes, bytes], T]:
    """Return what :func:`render` does, and what else is made while the typesetter works.

    Parameters
    ----------
    assessment : Assessment
        The record.
    meanwhile : callable
        Makes something else of it.
    stamp : Issue, optional
        Number, day and changes of the issue to be published; a draft where left out.
    pencil : callable, optional
        Draws the figures; each is drawn at once where left out.
    progress : callable, optional
        Told the fraction of the chapters written, before they are set in type; what it raises stops the work.

    Returns
    -------
    tuple of bytes
        JSON, HTML, PDF.
    object
        What ``meanwhile`` returned.
    """
    # drawing takes long to load, and advice on the next test draws nothing
    from coldpin.report import build_document, render_html, render_pdf
    from coldpin.report.figures.drawing import drawn_by

    with drawn_by(pencil) if pencil else nullcontext():
        document = build_document(assessment, issue=stamp, progress=progress)
    with ThreadPoolExecutor(max_workers=1) as beside:
        # the typesetter needs no Python meanwhile
        sheet = beside.submit(render_pdf, document)
        record, page, other = to_json(assessment).encode(), render_html(document).encode(), meanwhile()
        return (record, page, sheet.result()), other


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


def is_decoded(entry: Entry) -> bool:
    """Say whether an entry is of use only if its file could be read.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    bool
        True of captures, logs and drawings of boards.
    """
    return VOCABULARY[entry.shows].recorded_as in ("capture", "log", "board")


def _read_captures(
    entries: tuple[Entry, ...],
    problems: list[Problem],
    read: Callable[[Entry, Progress], tuple[PilotReading, PilotEvidence]],
    progress: Progress,
) -> tuple[tuple[PilotCapture, ...], tuple[PilotEvidence, ...]]:
    wanted = [entry for entry in entries if entry.shows == CAPTURE]
    captures: list[PilotCapture] = []
    pictures: list[PilotEvidence] = []
    met = Recordings()
    for index, entry in enumerate(wanted):
        if progress:
            progress(index / len(wanted))
        try:
            reading, picture = read(entry, _between(progress, index / len(wanted), (index + 1) / len(wanted)))
        except InputError as error:
            if all(problem.what != str(error) for problem in problems):
                problems.append(Problem(where=f"entry {entry.id}", what=str(error)))
            continue
        if told := met.again(entry, picture.dialect):
            problems.append(told)
            continue
        captures.append(PilotCapture(entry=entry, reading=reading))
        pictures.append(picture)
    return tuple(captures), tuple(pictures)


def _between(progress: Callable[[float], None] | None, begin: float, end: float) -> Callable[[float], None] | None:
    """Return what tells of a part of the work as so much of the whole."""
    return None if progress is None else lambda fraction: progress(begin + (end - begin) * fraction)


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


def _kept(opened: OpenedCase, entry: Entry, progress: Progress) -> tuple[PilotReading, PilotEvidence]:
    bench, edition = opened.bench, opened.edition
    given = (str(edition), opened.description.constants)
    make = partial(_read_one, bench, entry, opened.book, edition, progress)
    return kept_of_capture(bench, entry, opened.keep, "pilot", given, make)


def _read_one(
    bench: Bench, entry: Entry, book: Book, edition: Edition, progress: Progress
) -> tuple[PilotReading, PilotEvidence]:
    full_scale = entry.conditions.get("full scale", "")
    accuracy = accuracy_of(bench.instruments.get(entry.instrument), full_scale, entry.instrument)
    evidence = entry.evidence
    assert evidence is not None, "a capture that was read names its file"
    if evidence.size >= LONG and is_seekable(dialect_of(bench, entry)):
        with open_capture(bench, entry) as source:
            if isinstance(source, FrameSource) and source.samples >= LONG:
                return _read_in_parts(source, entry, book, edition, accuracy, progress)
    capture = read_capture(bench, entry)
    waveform = capture.waveform
    kind = "coil" if entry.conditions.get("seen at") == SEEN_AT_COIL else entry.conditions.get("output kind", "")
    sensor = output_sensor(kind, entry.conditions.get("output delay", ""))
    reading = read_pilot(waveform, book=book, edition=edition, accuracy=accuracy, sensor=sensor)
    picture = PilotEvidence(
        entry=entry.id,
        file=evidence.file,
        sha256=evidence.sha256,
        conditions=tuple(sorted(entry.conditions.items())),
        edition=str(edition),
        dialect=dialect_lines(capture.dialect),
        reading=reading,
        trace=reduce_trace(waveform.voltage, waveform.sample_interval, waveform.start),
        cycles=clean_cycles(waveform, reading, book=book, edition=edition),
        glitches=glitch_pictures(waveform, reading),
        remarks=tuple(dict.fromkeys((*capture.remarks, *waveform.remarks))),
    )
    return reading, picture


def _read_in_parts(
    source: FrameSource, entry: Entry, book: Book, edition: Edition, accuracy: ScopeAccuracy | None, progress: Progress
) -> tuple[PilotReading, PilotEvidence]:
    read = read_long(source, book=book, edition=edition, accuracy=accuracy, progress=progress)
    evidence = entry.evidence
    assert evidence is not None, "a capture that was read names its file"
    picture = PilotEvidence(
        entry=entry.id,
        file=evidence.file,
        sha256=evidence.sha256,
        conditions=tuple(sorted(entry.conditions.items())),
        edition=str(edition),
        dialect=dialect_lines(source.dialect),
        reading=read.reading,
        trace=read.trace,
        cycles=read.cycles,
        glitches=read.glitches,
        remarks=tuple(dict.fromkeys((*source.remarks, *left_out(source.dialect.output)))),
    )
    return read.reading, picture


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

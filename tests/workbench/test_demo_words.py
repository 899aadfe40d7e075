"""Every text that comes out of the demo and of simulated specimens: no word that is not ours, no sentence untagged."""

from __future__ import annotations

import html
import re
import shutil
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from coldpin.checks import run_checks
from coldpin.cli import DONE, NOT_ALL_USED, main
from coldpin.cli.commands import cli
from coldpin.conclusion import conclude, judge_functions
from coldpin.conclusion.claims import contradicted, judge_claims
from coldpin.conclusion.public import complete
from coldpin.conclusion.statement import basis_of
from coldpin.conclusion.use_telling import decided_by
from coldpin.records.assessment import Assessment, Basis
from coldpin.records.notice import Addressee
from coldpin.records.plain import to_plain
from coldpin.report import Document, build_document
from coldpin.report.document import Block, Line, Listing, Paragraph, Tag, Text, lines_of, text_of
from coldpin.report.figures.summary import summary_svg
from coldpin.report.notification import draft_notification
from coldpin.standards.book import load_book
from coldpin.standards.notices import notice_elements
from coldpin.workbench.advising import advise_on
from coldpin.workbench.brackwater import STORY
from coldpin.workbench.demo import DemoResult
from coldpin.workbench.injury import injury_scenarios
from coldpin.workbench.readings import all_readings, readings_table
from coldpin.workbench.replies import reply_remarks
from coldpin.workbench.uses import judge_uses
from coldpin.workbench.withholding import NOTE
from tests.pdf_reading import page_texts
from tests.project.test_words import AGAINST_A_STANDARD, NEVER_OURS
from tests.report.sample import SAMPLE
from tools.detection import all_faults, run_trial

NEVER = re.compile(f"{NEVER_OURS.pattern}|{AGAINST_A_STANDARD.pattern}", re.IGNORECASE)
ADDRESS = re.compile(r"https?://\S+")
SOME_FAULTS = ("pins always live", "thin conductor", "pilot track too near", "residual current late")
"""One each of units, leads, boards and safeguards; all faults when proving."""


@cache
def cited() -> frozenset[str]:
    """Return the titles of all texts that are cited."""
    limits = (row.limit for row in load_book().rows.values())
    return frozenset(part for one in limits for part in (one.source, one.place, *one.read_in) if NEVER.search(part))


def quoted(assessment: Assessment) -> frozenset[str]:
    """Return what others said, in their words: titles of texts that are cited, and claims."""
    return cited() | {text for text in strings(to_plain(assessment.case.claims)) if text}


def strings(plain: Any) -> Iterator[str]:
    """Yield every text in what JSON holds, without the keys."""
    match plain:
        case str():
            yield plain
        case dict():
            for value in plain.values():
                yield from strings(value)
        case list() | tuple():
            for value in plain:
                yield from strings(value)


def not_ours(texts: Iterable[str], said_by_others: Iterable[str] = ()) -> list[str]:
    """Return where a text says a word that is not ours; addresses and what others said are taken out before."""
    others = sorted((_squeezed(text) for text in said_by_others), key=len, reverse=True)
    squeezed = [_squeezed(text) for text in texts]
    addresses = {address for text in squeezed for address in ADDRESS.findall(text)}
    broken = re.compile("|".join(map(_in_lines, sorted(addresses, key=len, reverse=True))) or "(?!)")
    found = []
    for text in squeezed:
        left = ADDRESS.sub("", broken.sub("", text))
        for other in others:
            left = left.replace(ADDRESS.sub("", other), "") if NEVER.search(other) else left
        found += [left[max(0, one.start() - 60) : one.end() + 60] for one in NEVER.finditer(left)]
    return found


def _in_lines(address: str) -> str:
    """Return what an address looks like where a sheet may have broken it after any sign that is no letter."""
    return "".join(re.escape(sign) if sign.isalnum() else rf"{re.escape(sign)}\s?" for sign in address)


def _squeezed(text: str) -> str:
    return " ".join(text.replace("\u200b", "").replace("-\r\n", "-").split())


def tags_wanting(document: Document, sentences: Iterable[str]) -> list[str]:
    """Return the sentences that a document prints with no word after them of what they rest on."""
    told = frozenset(sentences)
    return [text for block in document.blocks for line in lines_of(block) for text in _untagged(line, told)]


def _untagged(line: Line, told: frozenset[str]) -> Iterator[str]:
    for place, piece in enumerate(line):
        said = isinstance(piece, Text) and piece.text.strip() in told
        if said and not any(isinstance(after, Tag) for after in line[place + 1 :]):
            yield text_of((piece,)).strip()


def sentences_of(assessment: Assessment) -> frozenset[str]:
    """Return every sentence of conclusion, functions, findings, scenarios and uses that a report may print."""
    conclusion = assessment.conclusion
    said = (conclusion.headline, *conclusion.may_say, *conclusion.done_well, *conclusion.would_change)
    return frozenset(
        (
            *(sentence.text for sentence in said),
            *(one.sentence.text for one in conclusion.plain),
            *(function.because for function in assessment.functions),
            *(text for finding in assessment.findings for text in (finding.statement, finding.plain)),
            *(text for one in assessment.scenarios for text in (one.plain, one.statement, one.sensitivity.statement)),
            *(text for use in assessment.conditions_of_use for text in (use.plain, use.because)),
            *(reason.text for use in assessment.conditions_of_use for reason in use.reasons),
            *((assessment.risk.statement,) if assessment.risk is not None else ()),
        )
    ) - {""}


def simulated(fault: str) -> Assessment:
    """Assess what a careful tester records of a simulated specimen."""
    bench = run_trial(fault, 0, 2026)
    case, results = bench.case, run_checks(bench)
    functions = judge_functions(case.unit, results.findings)
    injuries = injury_scenarios(case, bench.book, functions, results.findings)
    uses = judge_uses(bench, functions, results.findings)
    claims = judge_claims(case, results.findings, functions)
    told = conclude(case, results.findings, functions, results.not_tested, results.problems)
    told = replace(told, may_say=(*told.may_say, *contradicted(case, claims)))
    return Assessment(
        schema="coldpin.assessment/1",
        program_version="0",
        title=case.title,
        assessed_on="2026-05-02",
        case=case,
        edition=str(bench.edition),
        conclusion=complete(told, functions, results.findings, injuries.scenarios, uses.judged),
        functions=functions,
        findings=tuple(replace(finding, levels=()) for finding in results.findings),
        not_tested=results.not_tested,
        pilot=(),
        entries=bench.entries,
        instruments=tuple(sorted(bench.instruments.items())),
        methods=(),
        limits=uses.limits,
        scenarios=injuries.scenarios,
        risk=injuries.risk,
        conditions_of_use=uses.judged,
        claims=claims,
        cautions=(),
        limits_of_the_work=(),
        problems=results.problems,
    )


def of_record(assessment: Assessment, document: Document) -> Iterator[str]:
    """Yield every text that is made of a record without its files: itself, report, picture, drafts."""
    yield from strings(to_plain(assessment))
    yield from (text_of(line) for block in document.blocks for line in lines_of(block))
    yield summary_svg(assessment).decode()
    for to in Addressee:
        yield draft_notification(assessment, to, notice_elements(load_book(), to.value)).text


@pytest.mark.hand("words that are never our own, with those that only a standard may say")
def test_no_text_of_a_simulated_specimen_says_a_word_that_is_not_ours(proving: bool) -> None:
    """Findings, conclusion, scenarios, uses, drafts and the next test, of specimens with a fault; each is tagged."""
    for fault in all_faults() if proving else SOME_FAULTS:
        assessment = simulated(fault)
        document = build_document(assessment)
        texts = (*of_record(assessment, document), *strings(to_plain(advise_on(assessment))))
        assert not_ours(texts, quoted(assessment)) == []
        assert tags_wanting(document, sentences_of(assessment)) == []
        assert assessment.findings


@pytest.mark.hand("every file, read as a person reads it; what a sentence says that it rests on")
@pytest.mark.parametrize("number", range(len(STORY)), ids=[story.folder for story in STORY])
def test_no_text_of_the_demo_says_a_word_that_is_not_ours(demo: DemoResult, number: int) -> None:
    """Record, page, sheet, picture, drafts, letters, readings; each sentence is tagged, and none is left out."""
    written, folder = demo.written[number], demo.shelf / STORY[number].folder
    assessment, conclusion = written.assessment, written.assessment.conclusion
    document = build_document(assessment)
    texts = [
        *of_record(assessment, document),
        html.unescape(re.sub(r"(?s)<style.*?</style>|<[^>]+>", " ", written.page.read_text(encoding="utf-8"))),
        *page_texts(written.sheet),
        readings_table(all_readings(folder).readings),
    ]

    assert not_ours(texts, quoted(assessment)) == []
    assert tags_wanting(document, sentences_of(assessment)) == []
    printed = " ".join(text_of(line) for block in document.blocks for line in lines_of(block))
    said = (conclusion.headline, *conclusion.may_say, *conclusion.would_change)
    assert [one.text for one in said if f"{one.text} [{one.basis.value}]" not in printed] == []
    assert [one.plain for one in assessment.scenarios if f"{one.plain} [{Basis.OPINION.value}]" not in printed] == []
    uses = {one.name: " ".join((one.plain, decided_by(one))).strip() for one in assessment.conditions_of_use}
    assert [name for name, text in uses.items() if f"{text} [{Basis.INFERRED.value}]" not in printed] == []
    told = [(one.id, f"{one.statement} [{basis_of(one).value}]") for one in assessment.findings]
    assert [name for name, text in told if text not in printed] == []


def test_what_is_reckoned_is_not_told_as_measured(demo: DemoResult) -> None:
    """A number looked up or computed for a case that was not tried is inferred, wherever it is told."""
    reckoned = {
        one.sentence.basis
        for written in demo.written
        for finding in written.assessment.findings
        if finding.reckoned
        for one in written.assessment.conclusion.plain
        if (one.kind, one.id) == ("finding", finding.id)
    }

    assert reckoned == {Basis.INFERRED}


@pytest.mark.hand("a word in a headline; the same quoted as a claim; the tags taken away")
def test_a_word_and_a_missing_tag_are_found() -> None:
    """What is planted is found: in record, report and picture; what a listing says and an address are not ours."""
    sentence = replace(SAMPLE.conclusion.headline, text="This lead is safe.")
    planted = replace(SAMPLE, conclusion=replace(SAMPLE.conclusion, headline=sentence))
    document = build_document(SAMPLE)
    bare = replace(document, blocks=tuple(_without_tags(block) for block in document.blocks))

    assert len(not_ours(of_record(planted, build_document(planted)), quoted(planted))) >= 3
    assert not_ours(["The listing says “certified, TÜV safe”."], ["certified, TÜV safe"]) == []
    assert not_ours(["It fails the test; see https://example.org/safety"]) == ["It fails the test; see "]
    assert (
        not_ours(["https://a.example.org/safety-of-leads", "read in https://a.\nexample.org/\nsafety-of-leads"]) == []
    )
    assert tags_wanting(document, sentences_of(SAMPLE)) == []
    assert SAMPLE.conclusion.headline.text in tags_wanting(bare, sentences_of(SAMPLE))


def _without_tags(block: Block) -> Block:
    match block:
        case Paragraph():
            return replace(block, content=_plain(block.content))
        case Listing():
            return replace(block, items=tuple(map(_plain, block.items)))
        case _:
            return block


def _plain(line: Line) -> Line:
    return tuple(piece for piece in line if not isinstance(piece, Tag))


COMMANDS = (
    ("assess", "{case}"),
    ("entries", "{case}"),
    ("next", "{case}"),
    ("plan", "{case}", "--json"),
    ("plan", "{case}", "--pdf", "{sheet}"),
    ("risk", "{case}"),
    ("uses", "{case}"),
    ("readings", "{case}"),
    ("compare", "{case}"),
    ("notification", "{case}", "--to", "authority"),
    ("checks",),
    ("words",),
    ("sources",),
    ("body-current", "--voltage", "230"),
    ("mains-on-pilot",),
    ("risk", "--steps", "1/10,1/10,1/3,1/20", "--severity", "3"),
)
PUBLISHED = (("publish", "{case}", "--date", "2026-05-30"), ("corrections", "{case}"))
"""What is published is made of the record of the demo, which is read above: only when proving."""


@pytest.mark.hand("what each command prints, and what is published, of a copy of the shelf")
def test_no_command_prints_such_a_word(
    demo: DemoResult, tmp_path: Path, capsys: pytest.CaptureFixture[str], proving: bool
) -> None:
    """Commands, and a published copy with what changed since the one before."""
    shelf = tmp_path / "shelf"
    shutil.copytree(demo.shelf, shelf)
    case, sheet = shelf / STORY[1].folder, tmp_path / "bench.pdf"
    printed = []
    for command in (*COMMANDS, *PUBLISHED) if proving else COMMANDS:
        assert main([part.format(case=case, sheet=sheet) for part in command]) in (DONE, NOT_ALL_USED), command
        out, err = capsys.readouterr()
        assert out, command
        printed += [out, err]
    printed += page_texts(sheet)
    printed += [path.read_text(encoding="utf-8") for path in (case / "issued").rglob("*.json")]
    printed += [NOTE, *reply_remarks(demo.written[1].assessment.case, "2026-05-30")]

    assert not_ours(printed, quoted(demo.written[1].assessment)) == []


@pytest.mark.hand("the help of every command")
def test_no_help_says_such_a_word(capsys: pytest.CaptureFixture[str]) -> None:
    """Nor does any option of it."""
    told = []
    for name in cli.commands:
        assert main([name, "--help"]) == DONE
        told.append(capsys.readouterr().out)

    assert not_ours(told) == []
    assert len(told) > 30

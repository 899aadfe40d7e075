"""The PDF: tagged, searchable, equal twice, and whole."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from coldpin.records.entry import Entry, EntryKind
from coldpin.report import build_document, render_pdf
from coldpin.report.pdf import set_in_type
from tests.pdf_reading import page_texts
from tests.report.sample import FINDINGS, FUNCTIONS, LIMITS, SAMPLE, sample_pdf


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return sample_pdf()


@pytest.fixture(scope="module")
def words(pdf: bytes) -> str:
    return bare("".join(page_texts(pdf)))


def bare(text: str) -> str:
    """Text without spaces, line ends and places where a word may break: how lines fall is the page's business."""
    return re.sub(r"[\s\u200b\u00ad\ufffe\u2010-]+", "", text)


def test_the_headline_opens_the_report(pdf: bytes) -> None:
    """The one sentence for the public stands on the first page."""
    assert bare(SAMPLE.conclusion.headline.text) in bare(page_texts(pdf)[0])


def test_nothing_is_lost_on_the_way_to_paper(words: str) -> None:
    """Every finding with its sentence, every function, limit, public entry, method step and caution is printed."""
    shown = [text for finding in FINDINGS for text in (finding.id, finding.statement, *finding.remarks)]
    shown += [text for function in FUNCTIONS for text in (function.title, function.question, function.because)]
    shown += [text for limit in LIMITS for text in (limit.id, limit.title, limit.source, limit.other)]
    shown += [entry.id for entry in SAMPLE.entries if not entry.private]
    shown += [text for method in SAMPLE.methods for text in (*method.steps, *method.cautions, *method.hold_points)]
    shown += [line.label for finding in FINDINGS for line in finding.budget]
    shown += [*SAMPLE.cautions, *SAMPLE.limits_of_the_work, *SAMPLE.conclusion.may_not_say]

    assert [text for text in shown if bare(text) not in words] == []


def test_a_digest_can_be_copied_whole(pdf: bytes) -> None:
    """The sha256 of a file stands on one line, unbroken."""
    lines = {line.strip() for text in page_texts(pdf) for line in text.splitlines()}
    digests = {entry.evidence.sha256 for entry in SAMPLE.entries if entry.evidence and entry.evidence.sha256}

    assert all(any(digest in line for line in lines) for digest in digests)


@pytest.mark.published("ISO 14289-1: pdfuaid:part in the metadata, a structure tree, MarkInfo; standing: memory")
def test_the_file_says_that_it_is_tagged(pdf: bytes) -> None:
    """It claims PDF/UA-1, has a structure tree and a language."""
    for mark in (b"pdfuaid:part", b"/MarkInfo", b"/StructTreeRoot", b"/Lang"):
        assert mark in pdf


def test_the_typesetter_has_nothing_to_remark() -> None:
    """Every font is there and the layout settles."""
    assert set_in_type(build_document(SAMPLE))[1] == ()


def test_equal_records_give_equal_bytes(pdf: bytes) -> None:
    """The clock does not get in."""
    assert render_pdf(build_document(SAMPLE)) == pdf


def test_the_date_is_that_of_the_assessment(pdf: bytes) -> None:
    """The day in the file is the day of the assessment."""
    assert b"(D:20260315" in pdf


@pytest.mark.parametrize("day", ["", "in spring", "2026-03-15T10:00:00+01:00", "0001-01-01"])
def test_a_day_that_is_none_still_prints(day: str) -> None:
    """A report without a usable date is printed all the same."""
    assert render_pdf(build_document(replace(SAMPLE, assessed_on=day, findings=(), pilot=()))).startswith(b"%PDF")


def test_a_long_table_repeats_its_header() -> None:
    """Where the table of entries goes over pages, each page says what its columns are."""
    many = tuple(
        Entry(
            id=f"20260401-{number:04d}-a",
            kind=EntryKind.OBSERVATION,
            shows="remark",
            made="2026-04-01T10:00:00+02:00",
            recorded="2026-04-01T10:00:00+02:00",
            who="R. Okafor",
            note=f"remark number {number}",
        )
        for number in range(200)
    )
    pages = page_texts(render_pdf(build_document(replace(SAMPLE, entries=many, findings=(), pilot=()))))
    with_entries = [text for text in pages if len(re.findall(r"remark number \d+", text)) > 5]

    assert len(with_entries) > 3
    assert all("What was recorded" in text for text in with_entries)
    assert len(re.findall(r"remark number \d+", "".join(pages))) == len(many)


def test_letters_that_the_font_lacks_are_named(words: str) -> None:
    """A far-eastern nameplate is printed by the numbers of its letters, and a note says what that means."""
    assert "[U+5B89][U+5168]100%" in words
    assert "doesnotholdisprintedbyitsnumberinUnicode" in words

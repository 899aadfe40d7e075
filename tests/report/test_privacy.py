"""What is private stays out of everything that can be published."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.records.assessment import Assessment
from coldpin.report import build_document
from coldpin.report.document import lines_of, text_of
from tests.pdf_reading import page_texts
from tests.report.sample import ENTRIES, PILOT, SAMPLE, SECRET, sample_page, sample_pdf


@pytest.fixture(scope="module")
def everything() -> str:
    """The tree, the page and the PDF of the sample, one after the other."""
    return said(SAMPLE) + sample_page() + "".join(page_texts(sample_pdf()))


def said(assessment: Assessment) -> str:
    return "\n".join(text_of(line) for block in build_document(assessment).blocks for line in lines_of(block))


@pytest.mark.parametrize("word", [SECRET, "99-7731", "20260302-1205-z", "20260313-1800-z"])
def test_a_private_entry_is_nowhere(word: str, everything: str) -> None:
    """Neither its words nor its id is in the tree, the page or the PDF."""
    assert SAMPLE.title in everything
    assert word not in everything


def test_the_reader_is_told_that_something_is_kept_private() -> None:
    """The front page counts what is left out, and a finding that rests on it says so."""
    assert "2 entries are kept private" in said(SAMPLE)
    assert "an entry that is kept private" in said(SAMPLE)


def test_a_capture_of_a_private_entry_is_not_drawn() -> None:
    """Making the entry of a capture private takes its figures and its table out."""
    hidden = tuple(replace(entry, private=entry.private or entry.id == PILOT.entry) for entry in ENTRIES)
    text = said(replace(SAMPLE, entries=hidden))

    assert "The pilot as captured" not in text
    assert PILOT.file not in text
    assert PILOT.sha256 not in text


def test_a_private_correction_strikes_and_keeps_its_reason_to_itself() -> None:
    """A public entry that a private one corrects is struck, without the private words."""
    hidden = tuple(replace(entry, private=entry.private or entry.id == "20260314-0930-c") for entry in ENTRIES)
    text = said(replace(SAMPLE, entries=hidden))

    assert "Corrected by an entry that is kept private" in text
    assert "a digit was lost" not in text
    assert "0.081 Ω · 0.080 Ω" not in text

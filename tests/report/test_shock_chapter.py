"""The chapter on what a person would get, and its figure: what they say, and that they say it in words as well."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

from coldpin.records.shock import ShockEvidence
from coldpin.report import build_document, render_html
from coldpin.report.anchors import Anchors
from coldpin.report.document import Heading, Table
from coldpin.report.figures.zones import zones
from tests.report.sample import SAMPLE
from tests.workbench.test_shock_evidence import of_a_bare_lead

SHOCKED = replace(SAMPLE, shock=of_a_bare_lead())


def test_the_chapter_stands_in_the_report() -> None:
    """Heading, figure, a table with one row for each case, and what each rests on."""
    document = build_document(SHOCKED)
    headings = [block.text for block in document.blocks if isinstance(block, Heading)]
    (table,) = [block for block in document.blocks if isinstance(block, Table) and "person would get" in block.caption]

    assert any("Through a person" in heading for heading in headings)
    assert len(table.rows) == len(of_a_bare_lead().cases)
    page = render_html(document)
    assert "A pin of the uncoupled connector in the hand" in page
    assert "Unlimited: nothing is shown to break it" in page
    assert "AC-4.3" in page
    assert "320 mA by the factor 0.8" in page  # of 400 mA from the left hand, which give the zone


def test_without_a_case_of_the_specimen_there_is_no_chapter() -> None:
    """The comparison alone is not printed."""
    comparison = replace(of_a_bare_lead(), cases=of_a_bare_lead().cases[:1])
    for held in (ShockEvidence(), comparison):
        document = build_document(replace(SAMPLE, shock=held))
        assert all("Through a person" not in block.text for block in document.blocks if isinstance(block, Heading))


def test_a_case_that_rests_on_a_private_entry_is_left_out() -> None:
    """Of the report, not of the record."""
    held = of_a_bare_lead()
    secret, *_ = [entry.id for entry in SAMPLE.entries if entry.private]
    private = replace(held, cases=tuple(replace(case, entries=(secret,)) for case in held.cases[1:]))
    page = render_html(build_document(replace(SAMPLE, shock=private)))

    assert "Through a person" not in page


def test_the_figure_is_the_same_every_time_and_tells_itself() -> None:
    """Valid SVG, no case without its number and zone, and a description for who cannot see it."""
    held = of_a_bare_lead()
    first, second = (zones(held, Anchors()) for _ in range(2))

    assert first.svg == second.svg
    ElementTree.fromstring(first.svg)
    for case in held.cases:
        assert case.title in first.alt
        assert f"zone {case.zone.value}" in first.alt
    for name in ("AC-1", "AC-2", "AC-3", "AC-4.1", "AC-4.2", "AC-4.3", "c1", "c2"):
        assert f">{name}<" in first.svg

"""The chapter on distances inside: a row for every distance, the board with its worst ways, calliper beside drawing."""

from __future__ import annotations

from dataclasses import replace
from xml.etree import ElementTree

import pytest

from coldpin.records.assessment import Assessment
from coldpin.records.board import Role
from coldpin.records.finding import Outcome
from coldpin.records.inside import DrawnBoard, InsideEvidence
from coldpin.records.plain import from_json, to_json
from coldpin.report import build_document, render_html, render_pdf
from coldpin.report.anchors import Anchors
from coldpin.report.document import Document, Figure, Heading, Table, lines_of, text_of
from coldpin.report.figures.board import board as board_figure
from coldpin.workbench.inside_evidence import inside_evidence
from tests.checks.bench import entry
from tests.checks.test_distances import gap
from tests.checks.test_drawn_distances import DRAWING, LINE, board, conductor, drawn, shape
from tests.report.sample import SAMPLE

ENTRY = next(one.id for one in SAMPLE.entries if not one.private)
PRIVATE = next(one.id for one in SAMPLE.entries if one.private)

SLOT = shape("slot 1", Role.SLOT, 7.0, 6.0, 2.0, 10.0)
LOOSE = shape("loose pad", Role.FLOATING, 20.0, 20.0, 1.0, 2.0)
READ = gap(
    "4.02 mm ± 0.05 mm", name="g1", _from="L pad", to="CP pad", across="mains to pilot", searched="under the parts"
)


def evidence() -> InsideEvidence:
    """A board with a slot between mains and pilot, and one gap by calliper."""
    return inside_evidence(drawn(board(conductor("CP pad", "pilot CP", 10.0), SLOT, LOOSE), READ))


def published(found: InsideEvidence, name: str = ENTRY) -> Assessment:
    """The sample with distances whose entries are all one of its own."""
    boards = tuple(
        replace(
            one,
            entry=name,
            ways=tuple(replace(way, entry=name) for way in one.ways),
            calliper=tuple(replace(gap, entry=name) for gap in one.calliper),
        )
        for one in found.boards
    )
    distances = tuple(replace(one, entry=name) for one in found.distances)
    limits = tuple({limit.id: limit for limit in (*SAMPLE.limits, *found.limits)}.values())
    return replace(SAMPLE, inside=InsideEvidence(distances=distances, boards=boards), limits=limits)


def chapter(document: Document) -> list[object]:
    """The blocks of the chapter."""
    tops = [at for at, block in enumerate(document.blocks) if isinstance(block, Heading) and block.level == 2]
    start = next(at for at in tops if document.blocks[at].text.endswith("Inside: distances"))  # type: ignore[union-attr]  # a heading
    return list(document.blocks[start : next((at for at in tops if at > start), None)])


FOUND = evidence()


def test_every_distance_has_its_row_with_both_degrees_or_the_one() -> None:
    """What was measured, what is asked for, from where, and the outcome."""
    tables = [block for block in chapter(build_document(published(FOUND))) if isinstance(block, Table)]
    words = "\n".join(text_of(line) for table in tables for line in lines_of(table))

    assert sum(len(table.rows) for table in tables if "insulation" in table.caption) == len(FOUND.distances)
    assert "5 mm (degree 2; basic 2.5 mm)" in words
    assert "round the lower end of slot 1" in words or "round the upper end of slot 1" in words
    assert "any unit built like it" in words
    assert "they agree" in words


@pytest.mark.hand("nobody measured inside")
def test_where_nobody_measured_there_is_no_chapter() -> None:
    """Nothing is said of what was not looked at."""
    titles = [block.text for block in build_document(SAMPLE).blocks if isinstance(block, Heading)]

    assert not any("Inside" in title for title in titles)


def test_private_entries_are_left_out() -> None:
    """Neither rows nor drawing of them are published."""
    document = build_document(published(FOUND, PRIVATE))

    assert not any(isinstance(block, Heading) and "Inside" in block.text for block in document.blocks)


def test_it_is_set_as_page_and_on_paper() -> None:
    """Both renderings take the chapter with its figure."""
    document = build_document(published(FOUND))

    assert "slot 1" in render_html(document)
    assert render_pdf(document).startswith(b"%PDF")


def test_the_record_goes_to_json_and_back() -> None:
    """With every corner."""
    written = to_json(published(FOUND))

    assert to_json(from_json(Assessment, written, where="assessment")) == written


def the_board(found: InsideEvidence) -> DrawnBoard:
    (one,) = found.boards
    return one


def figure(found: InsideEvidence) -> Figure:
    return board_figure(the_board(found), Anchors())


class TestFigure:
    """The drawing with its worst ways."""

    def test_the_worst_way_comes_first_and_is_told_in_words(self) -> None:
        """What it is between, how long, what is asked for, and where it falls."""
        near = inside_evidence(drawn(board(conductor("CP pad", "pilot CP", 7.5), LOOSE)))
        drawn_near = the_board(near)

        assert drawn_near.ways[0].outcome is Outcome.BEYOND
        assert "1 creepage, mains to pilot: 1.5" in figure(near).alt
        assert "5 mm (degree 2)" in figure(near).alt
        assert "beyond" in figure(near).alt

    def test_it_is_well_formed_and_the_same_each_time(self) -> None:
        """Two drawings of one record are the same bytes."""
        assert ElementTree.fromstring(figure(FOUND).svg).tag.endswith("svg")
        assert figure(FOUND).svg == figure(FOUND).svg

    def test_names_and_kinds_stand_in_it_as_text(self) -> None:
        """Colour alone tells nothing: the key names every kind."""
        for word in ("mains", "pilot", "slot", "of no circuit", "L pad", "CP pad", "1 mm", "10 mm"):
            assert f">{word}<" in figure(FOUND).svg

    def test_a_board_without_ways_is_drawn_all_the_same(self) -> None:
        """Nothing is asked of its nets."""
        bare = replace(the_board(FOUND), ways=())

        assert ElementTree.fromstring(board_figure(bare, Anchors()).svg) is not None

    def test_strange_names_break_nothing(self) -> None:
        """A name may hold what is markup elsewhere."""
        odd = replace(the_board(FOUND), part="<b>&$x_1$")
        odd = replace(odd, shapes=tuple(replace(one, name="<i>$\\frac") for one in odd.shapes))

        assert ElementTree.fromstring(board_figure(odd, Anchors()).svg) is not None


def test_a_drawing_that_decides_nothing_says_why() -> None:
    """A gap that differs takes the drawing its say."""
    wrong = replace(READ, readings=("9.0 mm ± 0.05 mm",))
    found = inside_evidence(drawn(board(conductor("CP pad", "pilot CP", 10.0)), wrong))

    assert "differs" in the_board(found).undecided
    text = "\n".join(
        text_of(line)
        for block in chapter(build_document(published(found)))
        for line in lines_of(block)  # type: ignore[arg-type]  # all are blocks
    )
    assert "This drawing decides nothing" in text
    assert "they differ by more than both allow" in text


def test_an_entry_that_cannot_be_used_costs_itself() -> None:
    """The others are shown."""
    bad = entry("calliper gap", name="bad", readings=("0 mm",), conditions={"from": "mains", "to": "pilot"})
    found = inside_evidence(drawn(board(conductor("CP pad", "pilot CP", 10.0)), bad, READ))

    assert {one.entry for one in found.distances} == {DRAWING.id, READ.id}
    assert LINE.name in {one.name for one in the_board(found).shapes}

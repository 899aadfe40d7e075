"""How the checks were done: no caution is lost where what checks share is said once."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest

from coldpin.checks import CHECKS, method
from coldpin.records.assessment import Assessment, Method
from coldpin.records.finding import Finding
from coldpin.report import build_document
from coldpin.report.document import (
    Block,
    Callout,
    CalloutKind,
    Definitions,
    Heading,
    Listing,
    Paragraph,
    Table,
    Text,
    lines_of,
    text_of,
)
from coldpin.standards.book import load_book
from tests.report.sample import FINDINGS, SAMPLE

METHODS = tuple(method(check, load_book()) for check in CHECKS)
SHARED = re.compile(r"Steps? ([A-Z](?:(?:, | and )[A-Z])*) above\.")


def _found(check: str) -> Finding:
    return replace(FINDINGS[0], id=f"{check}.x", check=check)


@cache
def everything_done() -> Assessment:
    """Return an assessment in which each of our checks gave a finding."""
    findings = tuple(_found(done.check) for done in METHODS)
    return replace(SAMPLE, methods=METHODS, findings=findings, not_tested=(), pilot=())


@cache
def read_all() -> dict[str, tuple[list[str], list[str]]]:
    """Return what stands before the steps of each of our checks, and the steps, as a reader meets them."""
    return steps_as_read(everything_done())


def chapter(assessment: Assessment) -> list[Block]:
    """Return the blocks of the chapter on method."""
    blocks = build_document(assessment).blocks
    chapters = [place for place, block in enumerate(blocks) if isinstance(block, Heading) and block.level == 2]
    start = next(p for p in chapters if str(getattr(blocks[p], "text", "")).endswith("How these checks were done"))
    return list(blocks[start : next(p for p in chapters if p > start)])


def steps_as_read(assessment: Assessment) -> dict[str, tuple[list[str], list[str]]]:
    """Return for each check, by title, the callouts a reader has passed within its group, and its steps in full.

    The reader goes from top to bottom; a heading of a group or of a setup ends what stood before the last one.
    """
    read: dict[str, tuple[list[str], list[str]]] = {}
    group: list[str] = []
    setup: list[str] = []
    letters: dict[str, str] = {}
    title = ""
    for block in chapter(assessment):
        match block:
            case Heading(level=3):
                group, setup, title = [], [], ""
            case Heading(level=4, text=text):
                setup, letters, title = [], {}, text
            case Callout(items=items):
                (setup if title else group).extend(text_of(item) for item in items)
            case Listing(items=items) if title:
                read[title] = ([*group, *setup], [text_of(item) for item in items])
            case Definitions(items=items):
                letters |= {d.term.removeprefix("Step "): text_of(d.content) for d in items if "Step" in d.term}
            case Table(rows=rows):
                for row in rows:
                    told = text_of(row.cells[1])
                    if told.startswith("Read from the same evidence"):
                        read[text_of(row.cells[0]).split("\n")[0]] = read[told.split("“")[1].split("”")[0]]
                        continue
                    lines = told.split("\n")
                    stops = [line for line in lines if line.startswith("Stop: ")]
                    numbered = [re.sub(r"^\d+\. ", "", line) for line in lines if re.match(r"\d+\. ", line)]
                    read[text_of(row.cells[0]).split("\n")[0]] = ([*group, *setup, *stops], _in_full(numbered, letters))
            case _:
                pass
    return read


def _in_full(steps: list[str], letters: dict[str, str]) -> list[str]:
    full: list[str] = []
    for step in steps:
        named = SHARED.fullmatch(step)
        full += [step] if named is None else [letters[letter] for letter in re.findall(r"[A-Z]", named[1])]
    return full


@pytest.mark.parametrize("done", METHODS, ids=lambda done: done.check)
def test_cautions_hold_points_and_stops_stand_before_the_steps_of_every_check(done: Method) -> None:
    """Whoever reads down to the steps of a check has passed all that must stand before them, and finds every step."""
    before, steps = read_all()[done.title]

    assert [text for text in (*done.cautions, *done.hold_points) if text not in before] == []
    assert [stop for stop in done.stop_values if f"Stop: {stop}" not in before] == []
    assert tuple(steps) == done.steps


def test_a_caution_that_a_whole_group_shares_is_said_once() -> None:
    """Each level of danger has its common cautions in one box at its head."""
    groups: list[list[list[str]]] = []
    for block in chapter(everything_done()):
        if isinstance(block, Heading) and block.level == 3:
            groups.append([])
        elif groups and isinstance(block, Callout) and block.kind is CalloutKind.CAUTION:
            groups[-1].append([text_of(item) for item in block.items])

    assert len(groups) == len({done.level for done in METHODS})
    for head, *others in groups:
        assert head
        assert [caution for caution in head if any(caution in other for other in others)] == []


def test_whoever_comes_to_a_check_by_a_link_is_led_to_what_stands_before_it() -> None:
    """A setup links to the cautions of its group, and each row of it to the setup."""
    blocks = chapter(everything_done())
    levels = {b.anchor for b in blocks if isinstance(b, Heading) and b.level == 3}
    setups = {b.anchor for b in blocks if isinstance(b, Heading) and b.level == 4}
    items = [item for b in blocks if isinstance(b, Definitions) for item in b.items if item.term == "First"]
    firsts = [piece.link for item in items for piece in item.content if isinstance(piece, Text)]
    told = [row for b in blocks if isinstance(b, Table) for row in b.rows if "Read from" not in text_of(row.cells[1])]
    back = {piece.link for row in told for piece in row.cells[0][-1:] if isinstance(piece, Text)}

    assert len(firsts) == len(setups)
    assert set(firsts) == levels
    assert back <= setups


def test_levels_of_danger_stand_in_the_order_in_which_they_may_be_done() -> None:
    """Dead before extra-low voltage before live before destructive, however the record orders them."""
    shuffled = replace(
        SAMPLE,
        findings=tuple(_found(level) for level in ("live", "destructive", "dead", "extra-low voltage")),
        methods=tuple(
            replace(SAMPLE.methods[0], check=level, title=level, level=level)
            for level in ("live", "destructive", "dead", "extra-low voltage")
        ),
    )
    titles = [block.text for block in chapter(shuffled) if isinstance(block, Heading) and block.level == 4]

    assert titles == ["dead", "extra-low voltage", "live", "destructive"]


def test_only_checks_that_gave_a_finding_are_told_in_full() -> None:
    """A method whose check found nothing is left to the list of what was not tested, and to the command line."""
    one = replace(everything_done(), findings=(_found("live-pins"),))
    text = "\n".join(text_of(line) for block in chapter(one) for line in lines_of(block))

    assert list(steps_as_read(one)) == ["Pins live with nothing connected"]
    assert "coldpin checks ID" in text


def test_what_holds_for_one_check_of_a_setup_stands_in_its_row() -> None:
    """Repeats and transfer that differ from those of the setup are said with the check."""
    many = replace(SAMPLE.methods[1], repeats=3, transfers="holds")
    methods = (
        replace(many, check="a", title="A"),
        replace(many, check="b", title="B"),
        replace(many, check="c", title="C", repeats=1, transfers="does not hold", stop_values=("Smoke.",)),
    )
    assessment = replace(SAMPLE, methods=methods, findings=tuple(_found(c) for c in "abc"))
    table = next(block for block in chapter(assessment) if isinstance(block, Table))
    facts = next(block for block in chapter(assessment) if isinstance(block, Definitions))

    assert {d.term: text_of(d.content) for d in facts.items}["Repeats"] == "3 times or more"
    assert text_of(table.rows[1].cells[1]) == "Read from the same evidence, taken as for “A”."
    assert text_of(table.rows[2].cells[1]).split("\n") == [
        "Stop: Smoke.",
        "1. Steps A, B and C above.",
        "Repeats: none",
        "Once opened: does not hold",
    ]


def test_nothing_done_is_said() -> None:
    """Without a finding the chapter says that no check was done."""
    assert Paragraph in [type(block) for block in chapter(replace(SAMPLE, findings=()))]
    assert "No check was done." in [
        text_of(line) for block in chapter(replace(SAMPLE, findings=())) for line in lines_of(block)
    ]

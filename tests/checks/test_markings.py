"""Markings and papers: what is there is told, what is missing is told, and no law is decided."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coldpin.checks import run_checks
from coldpin.checks.markings import GROUPS, NO_LAW
from coldpin.conclusion.public import plain_finding
from coldpin.records.entry import Entry
from coldpin.records.finding import Outcome
from coldpin.records.marking_words import MARKS
from coldpin.report.words import placed
from coldpin.standards.book import load_book
from coldpin.standards.markings import marking_rows
from tests.checks.bench import entry, evidence, found_in


def mark(item: str, answer: str = "yes", *, where: str = "plate", says: str = "", name: str = "") -> Entry:
    conditions = {key: said for key, said in (("item", item), ("where", where), ("says", says)) if said}
    return entry("marking looked for", name=name or f"m-{item}-{where}", answer=answer, conditions=conditions)


def test_every_mark_of_the_vocabulary_is_asked_for_by_a_text() -> None:
    """The table and the closed list are one."""
    asked = [row.word("item") for group in GROUPS for row in marking_rows(load_book(), group)]

    assert sorted(asked) == sorted(MARKS)


@pytest.mark.hand("plate, pack and papers looked through")
def test_what_is_there_is_told_with_its_place_and_words() -> None:
    """All of a group found: within, with place and wording; no duty is decided."""
    found = found_in(
        evidence(
            mark("name of the maker", says="Skerrow"),
            mark("type or model", says="Skerrow 16"),
            mark("serial or batch number", where="pack"),
        )
    )["markings.identity"]

    assert found.outcome is Outcome.WITHIN
    assert found.statement.startswith("There: name of the maker (plate “Skerrow”); type or model")
    assert "serial or batch number (pack)" in found.statement
    assert (found.duty, found.functions, found.remarks) == (False, (), (NO_LAW,))


def test_what_is_missing_is_named_with_the_text_that_asks_for_it_and_its_standing() -> None:
    """Looked for everywhere and not there; another mark was not looked for at all, which is said apart."""
    found = found_in(evidence(mark("address of the maker", "no", where="anywhere")))["markings.responsible"]

    assert found.outcome is Outcome.BEYOND
    assert found.answer == "no"
    assert "Not found: address of the maker." in found.statement
    assert "Not looked for, or not told: importer or responsible person with address." in found.statement
    assert any("Directive 2014/35/EU" in remark and "standing: memory" in remark for remark in found.remarks)
    assert not found.decisive


def test_not_on_the_plate_but_on_the_pack_is_there() -> None:
    """One place is enough; a no of one place is no no of all."""
    both = (mark("rated voltage", "no"), mark("rated voltage", where="pack", says="230 V"))
    found = found_in(evidence(*both))["markings.ratings"]

    assert "rated voltage (pack “230 V”)" in found.statement
    assert "Not found" not in found.statement
    assert found.outcome is Outcome.UNDECIDED  # current, frequency and degree were not looked for


@pytest.mark.hand("20 A on the listing, 16 A on the plate; 230 V~ is 230 V")
def test_two_places_that_say_different_ratings_are_told() -> None:
    """Numbers are held beside each other, not their spelling; a range is none."""
    said = (
        mark("rated current", says="16 A"),
        mark("rated current", where="listing", says="20 A"),
        mark("rated voltage", says="230 V~"),
        mark("rated voltage", where="papers", says="0.23 kV"),
        mark("rated voltage", where="pack", says="220-240 V"),
    )
    differing = found_in(evidence(*said))["markings.agree"]
    agreeing = found_in(evidence(*said[2:]))["markings.agree"]

    assert differing.outcome is Outcome.BEYOND
    assert differing.statement == "Two places disagree. rated current: plate “16 A”; rated current: listing “20 A”."
    assert agreeing.outcome is Outcome.WITHIN
    assert "markings.agree" not in found_in(evidence(said[0]))


@pytest.mark.hand("a mark that a directive asks for is not called good practice beside that directive")
def test_a_mark_is_no_good_practice_and_no_duty_of_ours() -> None:
    """There or not: whether it must be is left to an authority, in the finding and in plain words."""
    missing = found_in(evidence(mark("address of the maker", "no", where="anywhere")))["markings.responsible"]
    there = replace(missing, outcome=Outcome.WITHIN, answer="yes", plain="")
    apart = replace(missing, id="markings.agree", plain="")

    assert placed(missing) == "not there; whether it must be is for an authority"
    assert placed(there) == "there; whether it must be is for an authority"
    assert placed(apart) == "not the same wherever it stands"
    said = "Not found on it or with it: address of the maker. Whether it must be there is for an authority."
    assert plain_finding(missing) == said
    assert "should" not in plain_finding(there).removeprefix(f"{there.title}: as it should be")
    assert plain_finding(apart).endswith("two places say different ratings.")


def test_whoever_could_not_tell_leaves_it_open() -> None:
    """A worn plate says neither yes nor no."""
    found = found_in(evidence(mark("warnings", "cannot tell"), mark("instructions"), mark("language of the country")))

    assert found["markings.information"].outcome is Outcome.UNDECIDED
    assert found["markings.information"].answer == "cannot tell"


def test_an_entry_without_its_item_costs_itself_only() -> None:
    """It is listed by its id; the others are told."""
    results = run_checks(evidence(mark("warnings"), entry("marking looked for", name="bare", answer="yes")))

    assert any(finding.id == "markings.information" for finding in results.findings)
    assert [problem.where for problem in results.problems] == ["entry bare"]

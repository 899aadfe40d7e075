"""Drafts of notices: every element asked for is there, filled from the record or told as missing; nothing invented."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from coldpin.records.assessment import Assessment
from coldpin.records.case import DECLARATION, Letter, QuotedClaim
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.finding import Outcome
from coldpin.records.notice import NOBODY_NAMED, Addressee, ElementState, NoticeElement, Notification, Sender
from coldpin.report.notification import (
    MOST_FACTS,
    NO_GROUND,
    NOTHING_AGAINST,
    SIGN,
    draft_notification,
    listing_addresses,
)
from coldpin.standards.book import load_book
from coldpin.standards.notices import notice_elements
from tests.report.sample import SAMPLE, SECRET

FORBIDDEN = re.compile(r"\b(safe|deadly|illegal|fake|certified|compliant)\b", re.IGNORECASE)


def draft(to: Addressee, assessment: Assessment = SAMPLE, sender: Sender = NOBODY_NAMED) -> Notification:
    return draft_notification(assessment, to, notice_elements(load_book(), to.value), sender)


def element(made: Notification, name: str) -> NoticeElement:
    return next(one for one in made.elements if one.id.endswith(f".{name}"))


def snapshot(name: str, *, address: str = "", private: bool = False, **conditions: str) -> Entry:
    made = "2026-03-14T10:00:00+00:00"
    return Entry(
        id=name,
        kind=EntryKind.OBSERVATION,
        shows="listing snapshot",
        made=made,
        recorded=made,
        who="Ines",
        conditions={key.replace("_", " "): said for key, said in conditions.items()},
        evidence=EvidenceFile(media="listing", address=address) if address else None,
        private=private,
    )


@pytest.mark.published("elements of article 1 of Regulation (EU) 2024/1740 as read in a reprint, in our words")
def test_a_notice_to_an_authority_has_every_element_of_the_gateway() -> None:
    """Product, supply chain, risk, accident, country, sender; then what lets an authority act."""
    asked = [one.id.rsplit(".", 1)[-1] for one in draft(Addressee.AUTHORITY).elements]

    assert asked[:6] == ["product", "supply", "risk", "accident", "country", "sender"]
    assert {"marks", "scenario", "tests", "declaration", "listings", "specimen"} == set(asked[6:])


@pytest.mark.published(
    "article 16(2) of Regulation (EU) 2022/2065: reasons, exact addresses, name and e-mail, good faith"
)
def test_a_notice_to_a_marketplace_has_the_four_elements_and_is_signed_by_nobody() -> None:
    """The statement of good faith is in quotes, for a hand; it stays so whoever is named."""
    for sender in (NOBODY_NAMED, Sender(name="Ines", contact="ines@example.org")):
        made = draft(Addressee.MARKETPLACE, sender=sender)
        asked = [one.id.rsplit(".", 1)[-1] for one in made.elements]
        faith = element(made, "good-faith")

        assert asked[:4] == ["reasons", "addresses", "sender", "good-faith"]
        assert faith.state is ElementState.TO_SIGN
        assert SIGN in faith.lines
        assert "Signature and day: ____" in made.text
        assert "Ines" not in " ".join(faith.lines)


@pytest.mark.parametrize("to", list(Addressee))
def test_every_element_is_given_or_told_as_missing(to: Addressee) -> None:
    """None is left empty, each names the text that asks for it, and the text holds all."""
    made = draft(to)

    for one in made.elements:
        assert one.lines or one.missing
        assert one.asked_by
        assert one.title in made.text
        assert all(line in made.text for line in one.lines)
        assert one.state is not ElementState.GIVEN or one.lines
        if one.missing:
            assert f"[MISSING: {one.missing}]" in made.text
            assert f"{one.title}: {one.missing}" in made.missing
    assert SECRET not in made.text
    assert FORBIDDEN.search(made.text) is None


def test_facts_are_those_that_conclude_alone_first_and_few_for_a_marketplace() -> None:
    """Each is tagged, says how far it reaches and how its limit is known, and leads to its finding."""
    reasons = element(draft(Addressee.MARKETPLACE), "reasons")
    first = reasons.lines[0]

    assert SAMPLE.conclusion.decisive[0] in first
    assert re.search(r"\[(measured|observed)\] \(finding ", first)
    assert "Holds by construction." in first
    assert len(reasons.lines) <= MOST_FACTS[Addressee.MARKETPLACE] + 1


def test_whoever_is_to_reply_has_every_finding() -> None:
    """A seller has not seen the report: nothing that is to be published is kept from them."""
    against = [f for f in SAMPLE.findings if f.outcome is Outcome.BEYOND and f.duty and f.transfers]
    lines = element(draft(Addressee.SELLER), "facts").lines

    assert against
    assert len(lines) == len(against)
    assert all(any(f"(finding {finding.id})" in line for line in lines) for finding in against)


def test_where_nothing_was_found_against_it_a_notice_has_no_ground() -> None:
    """A sound lead gets no notice."""
    sound = replace(
        SAMPLE,
        findings=tuple(replace(finding, outcome=Outcome.WITHIN, decisive=False) for finding in SAMPLE.findings),
        conclusion=replace(SAMPLE.conclusion, decisive=()),
    )
    made = draft(Addressee.MARKETPLACE, sound)

    assert element(made, "reasons").missing == NO_GROUND
    assert NOTHING_AGAINST in made.text
    assert NOTHING_AGAINST not in draft(Addressee.MARKETPLACE).text
    assert element(made, "wanted").state is ElementState.MISSING


def test_addresses_are_the_public_ones_in_full() -> None:
    """From snapshots and quotations of the listing; nothing that is no web address, nothing private."""
    entries = (
        snapshot("s1", address="https://example.org/a"),
        snapshot("s2", address="https://example.org/b", item_number="B0-77"),
        snapshot("s3", address="javascript:alert(1)"),
        snapshot("s4", address="https://example.org/secret", private=True),
    )
    case = replace(
        SAMPLE.case, quoted_claims=(QuotedClaim(words="20 A", where="listing", address="https://example.org/a"),)
    )
    assessment = replace(SAMPLE, entries=(*SAMPLE.entries, *entries), case=case)

    assert listing_addresses(assessment)[-2:] == ("https://example.org/a", "https://example.org/b")
    assert not any("javascript" in one or "secret" in one for one in listing_addresses(assessment))
    assert "Number of the item: B0-77" in element(draft(Addressee.MARKETPLACE, assessment), "item").lines


def test_letters_of_the_case_fill_declaration_and_deadline() -> None:
    """Asked and unanswered is told so; the day of the letter to the seller is the day of the draft."""
    letters = (
        Letter(to="maker", name="Pellwick", about=DECLARATION, sent="2026-03-20"),
        Letter(to="seller", sent="2026-03-20", deadline="2026-04-03"),
    )
    assessment = replace(SAMPLE, case=replace(SAMPLE.case, letters=letters))
    asked = element(draft(Addressee.AUTHORITY, assessment), "declaration")
    given = element(draft(Addressee.SELLER, assessment), "deadline")

    assert asked.lines == ("Asked of the maker Pellwick on 2026-03-20: no answer so far",)
    assert "by 2026-04-03" in given.lines[0]
    assert element(draft(Addressee.SELLER), "deadline").state is ElementState.MISSING

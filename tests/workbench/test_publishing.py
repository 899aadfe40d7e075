"""What would be published, and that nothing else is: drafts, digests, races, words that judge."""

from __future__ import annotations

from pathlib import Path

import pytest

from coldpin.casefile import Case
from coldpin.casefile.private import keep_mapping, write_private
from coldpin.errors import CaseError, ConflictError
from coldpin.records.plain import to_json
from coldpin.records.withheld import PRIVATE_FORMAT, PrivateDescription, ToWithhold, WithheldMapping
from coldpin.workbench import assess, publishing, record
from coldpin.workbench.judging_words import judging_words
from coldpin.workbench.publishing import draft_issue, publish
from tests.pdf_reading import page_texts
from tests.workbench.quay import SECRET, at, make_case, make_shelf

BERTH = "Nightingale Pier 12"


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A small case with an entry for everybody and one for nobody, and a text that is withheld."""
    made = make_case(make_shelf(tmp_path / "shelf"))
    record(made, shows="opened", who="Ines", note=f"At {BERTH}; a dangerous thing!", made=at(0), now=at(1))
    record(made, shows="purchase", who="Ines", note=SECRET, private=True, made=at(2), now=at(3))
    write_private(made, PrivateDescription(format=PRIVATE_FORMAT, withhold=(ToWithhold(text=BERTH, what="address"),)))
    return made


def test_a_draft_is_what_is_published_but_for_its_stamp(case: Path) -> None:
    """The record is the same to the byte; page and PDF say that they are a draft, and nothing is written."""
    before = sorted(path for path in case.rglob("*") if "cache" not in path.parts)
    told: list[float] = []
    draft = draft_issue(case, on="2026-06-01", progress=told.append)
    assert sorted(path for path in case.rglob("*") if "cache" not in path.parts) == before
    assert told == sorted(told)
    assert 0.0 <= told[0] < told[-1] <= 1.0

    issue = publish(case, on="2026-06-01", seen=draft.publication.digest)
    assert (issue.folder / "assessment.json").read_bytes() == draft.files["assessment.json"]
    assert (issue.folder / "summary.svg").read_bytes() == draft.files["summary.svg"]
    assert "Draft" in page_texts(draft.files["report.pdf"])[0]
    assert "Issue 1, 2026-06-01" in page_texts(issue.folder / "report.pdf")[0]
    assert (draft.publication.number, draft.publication.entries, draft.publication.kept_back) == (1, 1, 1)
    assert [one.placeholder for one in draft.publication.withheld] == ["[address 1, withheld]"]


def test_what_was_not_looked_at_is_not_published(case: Path) -> None:
    """An entry, or one more text to be withheld, makes it another record."""
    seen = draft_issue(case).publication.digest
    record(case, shows="opened", who="Ines", note="and closed again", made=at(4), now=at(5))
    with pytest.raises(ConflictError, match="the case has changed since its draft was looked at, so nothing was"):
        publish(case, seen=seen)
    assert Case(case).issues() == ()


def test_of_two_who_publish_at_once_one_is_told_that_the_other_was_first(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between making the reports and placing them another issue takes the number: one issue, and no number twice."""
    keep = keep_mapping
    other: list[int] = []

    def while_another_publishes(folder: Path, mapping: WithheldMapping) -> None:
        if not other:
            other.append(1)
            publish(case, on="2026-06-01")
        keep(folder, mapping)

    monkeypatch.setattr(publishing, "keep_mapping", while_another_publishes)
    with pytest.raises(CaseError, match=r"issue 01 says the same already|printed as issue 01, but the next is 02"):
        publish(case, on="2026-06-01")
    assert [issue.number for issue in Case(case).issues()] == ["01"]
    assert Case(case).check_issues() == ()


def test_a_draft_says_why_it_cannot_be_published(case: Path) -> None:
    """After an issue there has to be news; the draft is made and can be read all the same."""
    publish(case, on="2026-06-01")
    draft = draft_issue(case)
    assert draft.publication.refused == "issue 01 says the same already: there is nothing new to publish"
    assert draft.publication.number == 2
    assert draft.files["report.html"]


def test_work_that_is_stopped_publishes_nothing(case: Path) -> None:
    """Whatever the progress raises ends it, at any fraction."""

    class Stopped(Exception):
        pass

    def stop(fraction: float) -> None:
        if fraction > 0.6:
            raise Stopped

    with pytest.raises(Stopped):
        publish(case, progress=stop)
    assert Case(case).issues() == ()
    assert list(case.glob("issued/*")) == []


def test_words_that_judge_are_found_in_what_the_tester_wrote_alone(case: Path) -> None:
    """In the note, as a whole word, with its place; what is withheld is not shown by it."""
    found = judging_words(assess(case))
    assert [(one.word, one.where.partition(",")[2], one.text[-18:]) for one in found] == [
        ("dangerous", " note", "a dangerous thing!")
    ]
    published = draft_issue(case).publication.judging
    assert BERTH not in to_json(published[0])

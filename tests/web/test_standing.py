"""What a page knows of a case: the last assessment, at once, and whether it is of the case as it stands."""

from __future__ import annotations

import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from coldpin.errors import BeingAssessed, CaseError
from coldpin.records.plain import to_json
from coldpin.web.app import create_app
from coldpin.web.desk import Desk
from coldpin.web.pages.case import case_page
from coldpin.web.pages.compared import compared_page
from coldpin.web.standing import Standing, assessed, mark_of
from coldpin.web.works import KEPT, Course
from coldpin.workbench import add_evidence, record
from tests.workbench.quay import at, capture_text, make_case, make_shelf

PATIENCE = 120.0
"""Seconds after which a test gives up; a case with hardly anything in it takes one or two."""


@pytest.fixture(scope="module")
def desk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    """A shelf of one case with nothing in it."""
    shelf = make_shelf(tmp_path_factory.mktemp("standing") / "shelf")
    make_case(shelf)
    made = Desk(shelf=shelf)
    yield made
    made.works.close()


def settled(desk: Desk, folder: Path) -> Standing:
    """What is known of a case once its work is over."""
    standing = desk.standings.of(folder)
    while standing.work is not None and not standing.work.course.ended:
        desk.works.wait(standing.work.id, PATIENCE)
        standing = desk.standings.of(folder)
    return standing


def written(case: Path, minute: int) -> None:
    """One more entry in a case."""
    record(
        case,
        shows="output with nothing connected",
        who="Ines",
        readings=("1.4 V",),
        instrument="meter",
        supply_voltage="231 V",
        made=at(minute),
        now=at(minute),
    )


def test_an_assessment_is_made_beside_the_page_and_kept_until_the_case_changes(desk: Desk) -> None:
    """First nothing is known, then all, then the earlier state is shown as one until the new one is there."""
    folder = desk.case("skerrow-16").folder
    first = desk.standings.of(folder)
    assert (first.assessment, first.fresh) == (None, False)
    assert first.work is not None
    known = settled(desk, folder)
    assert (known.fresh, known.work) == (True, None)
    assert known.assessment is not None
    assert desk.standings.of(folder).assessment is known.assessment

    written(folder, 1)
    stale = desk.standings.of(folder)
    assert (stale.assessment is known.assessment, stale.fresh) == (True, False)
    assert stale.work is not None
    assert desk.standings.of(folder).work == desk.works.of(stale.work.id), "asked twice, made once"
    after = settled(desk, folder)
    assert after.assessment is not None
    assert (after.fresh, len(after.assessment.entries)) == (True, 1)


def test_cases_side_by_side_say_which_of_them_changed_since(desk: Desk) -> None:
    """Under its name, with the work that makes the next; nothing is said of one that stands as it is shown."""
    folder = desk.case("skerrow-16").folder
    settled(desk, folder)
    assert compared_page(desk, []).earlier == ()
    written(folder, 4)
    (changed,) = compared_page(desk, []).earlier
    assert (changed.case, changed.work is not None) == ("skerrow-16", True)
    settled(desk, folder)
    with TestClient(create_app(desk.shelf), base_url="http://127.0.0.1") as reader:
        end = time.monotonic() + PATIENCE
        while not reader.get("/shelf.json").json()["cases"][0]["fresh"]:
            assert time.monotonic() < end, "the case is not assessed"
            time.sleep(0.05)
        assert "earlier state" not in reader.get("/compare").text
        written(folder, 5)
        head = reader.get("/compare").text.partition("<thead>")[2].partition("</thead>")[0]
        assert '</a><p class="stale">Of an earlier state of this case.</p><div class="work' in head


def test_a_change_while_a_case_is_assessed_is_not_lost(desk: Desk) -> None:
    """What was made of the earlier state never passes for the later one."""
    folder = desk.case("skerrow-16").folder
    written(folder, 2)
    desk.standings.of(folder)
    written(folder, 3)
    known = settled(desk, folder)
    assert known.assessment is not None
    assert (known.fresh, len(known.assessment.entries)) == (True, 5)


def test_a_case_that_cannot_be_assessed_says_why(desk: Desk) -> None:
    """The words of the refusal, for the page and for whoever waits; mended, it is assessed again."""
    folder = make_case(desk.shelf, "wrong")
    toml = folder / "case.toml"
    right = toml.read_text(encoding="utf-8")
    toml.write_text(right.replace('edition = ""', 'edition = "none"'), encoding="utf-8")
    known = settled(desk, folder)
    assert (known.assessment, known.fresh) == (None, False)
    assert known.work is not None
    assert (known.work.course, "known editions are" in known.work.message) == (Course.FAILED, True)
    with pytest.raises(CaseError, match="known editions are"):
        desk.assessment("wrong")
    toml.write_text(right, encoding="utf-8")
    with pytest.raises(BeingAssessed, match="wrong is being assessed for the first time"):
        desk.assessment("wrong")
    settled(desk, folder)
    assert desk.assessment("wrong").title == "Skerrow 16"


def test_what_is_told_of_a_case_names_no_place_on_the_disk(desk: Desk) -> None:
    """Neither why it cannot be assessed, nor what of it could not be used, nor what to type next."""
    folder = make_case(desk.shelf, "moved")
    entries, kept = folder / "entries", folder / "elsewhere"
    entries.rename(kept)
    entries.write_text("no folder", encoding="utf-8")
    known = settled(desk, folder)
    assert known.work is not None
    assert known.work.message == "the folder moved/entries is not a folder: move it away"
    entries.unlink()
    kept.rename(entries)
    capture = folder.parent / "steps.csv"
    capture.write_bytes(capture_text())
    filed = add_evidence(folder, capture, shows="pilot capture", who="Ines", made=at(3), now=at(3))
    assert filed.entry.evidence is not None
    (folder / "evidence" / filed.entry.evidence.file).unlink()
    settled(desk, folder)
    assert any("evidence/" in one.what for one in desk.assessment("moved").problems)
    assert str(desk.shelf) not in to_json(case_page(desk, "moved"))


def test_what_was_stopped_is_not_begun_again_unasked(desk: Desk) -> None:
    """Neither by looking at it nor by looking late; asked for, or once the case has changed, it is."""
    folder = make_case(desk.shelf, "stopped")
    begun = desk.standings.of(folder).work
    assert begun is not None
    desk.works.stop(begun.id)
    for _ in range(KEPT + 1):
        desk.works.stop(desk.works.start(assessed, {"folder": folder}, title="of another").id)
    seen = desk.standings.of(folder)
    assert seen.work is not None
    assert (seen.work.id, seen.work.course, seen.fresh) == (begun.id, Course.STOPPED, False)
    with pytest.raises(CaseError, match="offers to assess it again"):
        desk.assessment("stopped")
    again = desk.standings.again(folder)
    assert desk.standings.again(folder).id == again.id, "asked twice, begun once"
    assert settled(desk, folder).fresh
    written(folder, 4)
    assert settled(desk, folder).fresh


def test_however_often_a_case_changes_one_assessment_is_under_way(desk: Desk) -> None:
    """Many who write and many who look make no queue, and each one that is done is shown until the next is."""
    folder = make_case(desk.shelf, "busy")
    settled(desk, folder)
    asked = set()
    for minute in range(10, 20):
        written(folder, minute)
        work = desk.standings.of(folder).work
        assert work is not None
        asked.add(work.id)
    assert len(desk.works.now("busy")) <= 1
    known = settled(desk, folder)
    assert known.assessment is not None
    assert (known.fresh, len(known.assessment.entries)) == (True, 10)


def test_of_a_long_shelf_the_case_that_is_looked_at_comes_first(desk: Desk, tmp_path: Path) -> None:
    """A page of one case overtakes what the shelf's page only listed."""
    listed = [make_case(desk.shelf, f"listed {number}") for number in range(3)]
    for folder in listed:
        desk.standings.of(folder, soon=False)
    settled(desk, listed[-1])
    assert not desk.standings.of(listed[1], soon=False).fresh
    assert settled(desk, listed[1]).fresh


def test_the_mark_of_a_case_tells_what_an_assessment_reads(desk: Desk) -> None:
    """Entries, evidence, case.toml, the shelf's own file; not what is made of them."""
    folder = desk.case("skerrow-16").folder
    before = mark_of(folder)
    assert mark_of(folder) == before
    (folder / "report").mkdir(exist_ok=True)
    (folder / "report" / "report.html").write_text("made", encoding="utf-8")
    (folder / "cache").mkdir(exist_ok=True)
    (folder / "cache" / "kept.piece").write_bytes(b"made")
    assert mark_of(folder) == before
    shelf = desk.shelf / "shelf.toml"
    shelf.write_text(shelf.read_text(encoding="utf-8") + "\n# a remark\n", encoding="utf-8")
    assert mark_of(folder) != before

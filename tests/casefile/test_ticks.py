"""Ticks on the disk: kept one by one, read back in order, and one that is broken costs itself only."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from coldpin.casefile import Case
from coldpin.casefile.entries import entry_id
from coldpin.errors import CaseError
from coldpin.records.tick import LineKind, Tick
from tests.workbench.quay import make_case, make_shelf

WHEN = datetime(2026, 5, 2, 9, 0, tzinfo=UTC)


def tick(minutes: int = 0, /, **changes: object) -> Tick:
    """A tick of a step."""
    when = WHEN + timedelta(minutes=minutes)
    told = {"who": "Ines", "test": "wiring", "kind": LineKind.STEP, "words": "Read every pair.", **changes}
    return Tick(id=entry_id(when), recorded=when.isoformat(), **told)  # type: ignore[arg-type]  # spread over the fields


@pytest.fixture
def case(tmp_path: Path) -> Case:
    """A case without ticks."""
    return Case(make_case(make_shelf(tmp_path / "shelf")))


def test_ticks_are_kept_and_read_in_the_order_in_which_they_were_made(case: Case) -> None:
    """The folder comes with the first; a tick that was taken back stays beside it."""
    assert case.ticks().ticks == ()
    later = case.tick(tick(5, taken_back=True))
    earlier = case.tick(tick())
    assert case.ticks().ticks == (earlier, later)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"who": " "}, "who ticks is not said"),
        ({"words": ""}, "the line is not said"),
        ({"test": "x" * 20_001}, "the test is 20001 characters long"),
        ({"who": "Ines\x00"}, "U\\+0000"),
    ],
)
def test_a_tick_that_says_nothing_is_refused(case: Case, changes: dict[str, object], message: str) -> None:
    """Nothing is written."""
    with pytest.raises(CaseError, match=message):
        case.tick(tick(0, **changes))
    assert case.ticks().ticks == ()


def test_a_broken_tick_costs_itself_only(case: Case) -> None:
    """Cut short, of another name, no file at all, a link that leads out: each is told, and the others stand."""
    kept = case.tick(tick())
    folder = case.folder / "ticks"
    (folder / "cut.json").write_text('{"id": ', encoding="utf-8")
    (folder / "other.json").write_bytes((folder / f"{kept.id}.json").read_bytes())
    (folder / "folder.json").mkdir()
    (folder / "link.json").symlink_to("/etc/hostname")
    loaded = case.ticks()
    assert loaded.ticks == (kept,)
    assert [problem.where for problem in loaded.problems] == [
        "ticks/cut.json",
        "ticks/folder.json",
        "ticks/link.json",
        "ticks/other.json",
    ]


def test_ticks_behind_a_link_are_not_read(case: Case, tmp_path: Path) -> None:
    """Nothing outside the case is."""
    (tmp_path / "elsewhere").mkdir()
    (case.folder / "ticks").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(CaseError, match="is a link"):
        case.ticks()
    with pytest.raises(CaseError, match="is a link"):
        case.tick(tick())

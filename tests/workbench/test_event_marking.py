"""Marks beside a charging log, put, moved and taken back: each is an entry, and none is lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import open_case
from coldpin.errors import CaseError, InputError, QuantityTextError, UnknownName
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.session import ClockOffset, MarkKind, SessionSource
from coldpin.workbench.event_marking import _bare, filed_marks, move_mark, put_mark, take_back_mark
from tests.web.yard import NAME, make_yard

SOURCE = SessionSource(
    rows=1500, began="2026-03-15T09:11:00+01:00", duration_s=1499.0, usual_interval_s=1.0, gap_from_s=5.0,
    power_from="logged", current_from="logged", columns=(),
)  # fmt: skip


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A case with a charging log, and the id of the log's entry."""
    folder = make_yard(tmp_path_factory.mktemp("yard")) / NAME
    (log,) = (one.id for one in open_case(folder).effective().entries if one.shows == "charging log")
    return folder, log


def test_a_mark_is_put_moved_and_taken_back(yard: tuple[Path, str]) -> None:
    """Each step is an entry that names the one before; the marks told are those that hold."""
    folder, log = yard
    put = put_mark(folder, log, event="unlock", at="905", who="Ines", note="key")
    assert put.readings == ("905 s",)
    moved = move_mark(folder, put.id, at="906.5 s ± 0.5 s", who="Ines", reason="read off anew", event="lock released")
    assert (moved.replaces, moved.reason, moved.readings) == (put.id, "read off anew", ("906.5 s ± 0.5 s",))
    told = {mark.entry: mark for mark in filed_marks(folder, log)}
    assert put.id not in told
    assert told[moved.id].kind is MarkKind.LOCK_RELEASED
    assert told[moved.id].at_s.value == 906.5
    back = take_back_mark(folder, moved.id, who="Ines", reason="another car")
    assert moved.id not in {mark.entry for mark in filed_marks(folder, log)}
    every = {entry.id for history in open_case(folder).effective().histories for entry in history.members}
    assert {put.id, moved.id, back.id} <= every


def test_a_clock_of_its_own_is_brought_to_that_of_the_log(yard: tuple[Path, str]) -> None:
    """By an offset as stated with a mark, or as the charge was read; without one it is where it says, unsurely."""
    folder, log = yard
    alone = put_mark(folder, log, event="unlock", at="200 s ± 1 s", who="Ines", clock="watch")
    (unknown,) = (m for m in filed_marks(folder, log, (), {"watch": "it cannot be"}) if m.entry == alone.id)
    assert (unknown.at_s.value, unknown.at_s.u, unknown.not_placed) == (200.0, None, "it cannot be")
    assert "not aligned" in next(m for m in filed_marks(folder, log) if m.entry == alone.id).not_placed
    offset = ClockOffset(clock="watch", mark=MarkKind.BREAKER_OFF, offset_s=Quantity(12.5, 0.5, "s"))
    (seen,) = (m for m in filed_marks(folder, log, (offset,)) if m.entry == alone.id)
    assert (seen.at_s.value, seen.own_s.value, seen.clock) == (212.5, 200.0, "watch")
    stated = move_mark(folder, alone.id, at="200 s ± 1 s", who="Ines", reason="set by the radio", offset="10 s ± 1 s")
    (seen,) = (m for m in filed_marks(folder, log) if m.entry == stated.id)
    assert seen.at_s.value == 210.0
    assert seen.at_s.u is not None
    wrong = ClockOffset(
        clock="watch", mark=MarkKind.OTHER, offset_s=Quantity(10.0, None, "s", why="no"), contradicted="no"
    )
    (seen,) = (m for m in filed_marks(folder, log, (wrong,)) if m.entry == stated.id)
    assert (seen.at_s.value, seen.at_s.u) == (210.0, None)


@pytest.mark.hand("09:26:00 is a quarter of an hour after 09:11:00")
def test_a_time_of_the_calendar_is_kept_as_seconds(yard: tuple[Path, str]) -> None:
    """By the log's first row; with its limits where it has some."""
    folder, log = yard
    assert put_mark(folder, log, event="other", at="09:26:00 ± 2 s", who="I", source=SOURCE).readings == (
        "900 s ± 2 s",
    )
    assert put_mark(folder, log, event="other", at="09:26:01", who="I", source=SOURCE).readings == ("901 s",)
    with pytest.raises(QuantityTextError, match="no date or time of day"):
        put_mark(folder, log, event="other", at="09:26:00", who="I")


def test_what_cannot_be_a_mark_is_refused_and_nothing_written(yard: tuple[Path, str]) -> None:
    """An unknown event, log or mark, a time without sense, no reason, no change."""
    folder, log = yard
    (off,) = (m.entry for m in filed_marks(folder, log) if m.kind is MarkKind.BREAKER_OFF)
    before = len(open_case(folder).entries().entries)
    put: tuple[tuple[dict[str, Any], str, type[Exception]], ...] = (
        ({"event": "lunch", "at": "1 s"}, log, UnknownName),
        ({"event": "unlock", "at": "1 s"}, "nothing", UnknownName),
        ({"event": "unlock", "at": "soon"}, log, InputError),
        ({"event": "unlock", "at": "1 m"}, log, InputError),
        ({"event": "unlock", "at": "1 s", "offset": "late", "clock": "watch"}, log, InputError),
        ({"event": "offer lowered", "at": "1 s", "offer": "10 V"}, log, InputError),
    )
    for said, beside, kind in put:
        with pytest.raises(kind):
            put_mark(folder, beside, who="I", **said)
    moved: tuple[tuple[str, str, str, int, type[Exception]], ...] = (
        (log, "1 s", "x", 0, UnknownName),
        (off, "1 s", "", 0, InputError),
        (off, "1 s", "x", 3, UnknownName),
        (off, "700 s ± 1 s", "x", 0, CaseError),
    )
    for entry, at, reason, which, kind in moved:
        with pytest.raises(kind):
            move_mark(folder, entry, at=at, who="I", reason=reason, which=which)
    with pytest.raises(InputError):
        take_back_mark(folder, off, who="I", reason="")
    assert len(open_case(folder).entries().entries) == before


@given(st.floats(min_value=1e-3, max_value=1e7, allow_nan=False), st.sampled_from(["", " s", " s ± 1 s", " min"]))
def test_a_number_by_itself_has_the_unit_that_is_asked_for(number: float, unit: str) -> None:
    """And what has one keeps it."""
    text = f"{number:g}{unit}"
    read = parse_quantity(_bare(text, "s"), "s")
    assert read.value == pytest.approx(float(f"{number:g}") * (60.0 if "min" in unit else 1.0))

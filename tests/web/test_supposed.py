"""Cases kept open to try assumptions on: as many as fit, by number and by what their logs take."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

import pytest

from coldpin.records.assessment import Assessment
from coldpin.web import supposed
from coldpin.web.supposed import KEPT, LARGEST, Opened


@dataclass(frozen=True, slots=True, eq=False)
class Known:
    """What stands for a case that is open."""

    assessment: object
    nbytes: int


@pytest.fixture
def opened(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The folders that were opened, in order; the size of a case is its name."""
    folders: list[str] = []

    def opening(folder: Path, assessment: Any) -> Known:
        folders.append(folder.name)
        return Known(assessment, int(folder.name))

    monkeypatch.setattr(supposed, "open_supposing", opening)
    return folders


def look(at: Opened, *cases: tuple[str, object]) -> None:
    """Ask for cases one after the other."""
    for name, assessment in cases:
        known = cast("Any", at.get(Path(name), cast("Assessment", assessment)))
        assert known.assessment is assessment


def test_what_was_asked_of_lately_stays_open(opened: list[str]) -> None:
    """Of small cases so many; the one that was not asked of for longest goes first."""
    cases = [(str(number), object()) for number in range(KEPT + 1)]
    at = Opened()
    look(at, *cases[:KEPT], cases[0], cases[KEPT], cases[0], cases[1])
    assert opened == [*(name for name, _ in cases), cases[1][0]]


def test_logs_are_held_up_to_a_size(opened: list[str]) -> None:
    """Two of which each takes more than half are not held together; one that is larger alone is not held at all."""
    half, other, whole = (str(LARGEST // 2 + 1), object()), (str(LARGEST // 2), object()), (str(LARGEST + 1), object())
    at = Opened()
    look(at, half, other, half, half)
    assert opened == [half[0], other[0], half[0]]
    look(at, whole, whole)
    assert opened[3:] == [whole[0], whole[0]]

"""A recording counts once: what was filed twice and is read alike is told and given to the checks once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from coldpin.casefile.case import Case
from coldpin.records.assessment import Problem
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.residual_words import RESIDUAL_CAPTURE
from coldpin.records.trip_test import ResidualReading
from coldpin.standards.book import load_book
from coldpin.workbench import add_evidence, residual_evidence
from coldpin.workbench.board_filing import read_boards
from coldpin.workbench.residual_evidence import read_residuals
from coldpin.workbench.shelving import open_bench
from tests.workbench.quay import at, make_case, make_shelf

BOARD = (
    '{"type": "FeatureCollection", "scale": {"unit": "mm", "pick_u_mm": 0.05}, "features": [{"type": "Feature", '
    '"properties": {"role": "board"}, "geometry": {"type": "Polygon", "coordinates": '
    "[[[0, 0], [40, 0], [40, 30], [0, 30], [0, 0]]]}}]}"
)


def filed(name: str, digest: str) -> Entry:
    """A capture of residual current as it was filed."""
    piece = EvidenceFile(file="a.npz", media="capture", sha256=digest * 64, size=1, original_name="a.npz")
    return Entry(
        id=name, kind=EntryKind.EVIDENCE, shows=RESIDUAL_CAPTURE, made="", recorded="", who="Ines", evidence=piece
    )


@pytest.mark.parametrize("dialect", [None, Dialect(format="npz", voltage="leak", origin={"voltage": "said"})])
def test_operations_of_one_capture_are_not_counted_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, dialect: Dialect | None
) -> None:
    """Neither with another sensor stated: five operations are five that were done, however it was said to be read."""
    monkeypatch.setattr(Case, "dialect_for", lambda *_: dialect)
    reading = ResidualReading(pulses=(), operations=(), duration_s=1.0)
    monkeypatch.setattr(residual_evidence, "kept_of_capture", lambda *_: reading)
    bench = open_bench(make_case(make_shelf(tmp_path / "shelf")))
    entries = (filed("one", "a"), replace(filed("two", "a"), conditions={"sensor": "10 Ω"}), filed("three", "b"))
    problems: list[Problem] = []

    found = read_residuals(bench, entries, load_book(), problems)

    assert [one.entry.id for one in found] == ["one", "three"]
    assert [(one.where, "same recording as entry one" in one.what) for one in problems] == [("entry two", True)]


def test_a_drawing_stands_once_for_each_part(tmp_path: Path) -> None:
    """An entry copied by hand draws nothing anew; of another part the same file is another drawing."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    path = tmp_path / "board.geojson"
    path.write_text(BOARD, encoding="utf-8")
    entry = add_evidence(case, path, shows="board drawing", who="Ines", now=at(1)).entry
    copied, other = replace(entry, id="copied"), replace(entry, id="other", conditions={"part": "relay board"})
    problems: list[Problem] = []

    found = read_boards(open_bench(case), (entry, copied, other), problems)

    assert [one.entry.id for one in found] == [entry.id, "other"]
    assert [one.where for one in problems if "same recording" in one.what] == ["entry copied"]

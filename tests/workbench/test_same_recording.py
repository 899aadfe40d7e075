"""A recording counts once: what was filed twice and is read alike is told and given to the checks once."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from coldpin.capture import open_samples, read_waveform
from coldpin.capture.frames import FrameSource
from coldpin.casefile import open_case
from coldpin.casefile.case import Case
from coldpin.records.assessment import Problem
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.residual_words import RESIDUAL_CAPTURE
from coldpin.records.trip_test import ResidualReading
from coldpin.standards.book import load_book
from coldpin.workbench import add_evidence, assess, correct, residual_evidence
from coldpin.workbench.board_filing import read_boards
from coldpin.workbench.drafting import assessment_of
from coldpin.workbench.residual_evidence import read_residuals
from coldpin.workbench.same_content import digest_of_samples, digest_of_source, digest_of_waveform, held_twice
from coldpin.workbench.shelving import open_bench
from tests.workbench.quay import at, capture_text, make_case, make_shelf

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


def twin(path: Path) -> Path:
    """A capture as another program saves it."""
    read = read_waveform(path).waveform
    other = path.with_suffix(".npz")
    np.savez(other, voltage=read.voltage, dt=read.sample_interval)
    return other


def test_a_recording_in_two_formats_is_asked_about(tmp_path: Path) -> None:
    """By its samples, when it is filed and as long as both stand; another capture, and a log, are not meant."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    path, other = tmp_path / "steps.csv", tmp_path / "other.csv"
    path.write_bytes(capture_text())
    other.write_bytes(capture_text(30.0))
    stated: dict[str, Any] = {"shows": "pilot capture", "who": "Ines", "conditions": {"load": "steps"}}
    first = add_evidence(case, path, **stated, now=at(1))
    assert not [one for one in first.remarks if "same recording" in one]
    assert not [one for one in add_evidence(case, other, **stated, now=at(2)).remarks if "same recording" in one]
    again = add_evidence(case, twin(path), **stated, now=at(3))
    asked = f"it holds what entry {first.entry.id} holds: the same recording?"
    assert asked in again.remarks
    held = open_case(case)
    assert held_twice(held, held.entries().entries) == {again.entry.id: first.entry.id}
    for kept in (case / "cache").glob("*.content"):
        kept.unlink()
    assert held_twice(held, held.entries().entries) == {}
    assess(case)
    assert held_twice(held, held.entries().entries) == {}
    assessment_of(case)
    assert held_twice(held, held.entries().entries) == {again.entry.id: first.entry.id}
    correct(case, again.entry.id, who="Ines", reason="saved twice", withdraw=True, now=at(4))
    assert held_twice(held, held.effective().entries) == {}


def test_a_log_in_two_formats_is_asked_about_and_a_flat_one_is_not(tmp_path: Path) -> None:
    """By its rows, with what is read of it: of other columns the same file shows another thing."""
    case = make_case(make_shelf(tmp_path / "shelf"))
    rows = [(f"2026-05-02T07:{n:02d}:00", 3600 + n % 5, 20.5 + n) for n in range(30)]
    comma, tab = tmp_path / "a.csv", tmp_path / "b.tsv"
    comma.write_text("Time,Power (W),Plug (°C)\n" + "".join(f"{t}Z,{p},{w}\n" for t, p, w in rows), encoding="utf-8")
    tab.write_text("Zeit\tP (kW)\tT (°C)\n" + "".join(f"{t}Z\t{p / 1e3}\t{w}\n" for t, p, w in rows), encoding="utf-8")
    first = add_evidence(case, comma, shows="charging log", who="Ines", now=at(1)).entry
    again = add_evidence(case, tab, shows="charging log", who="Ines", now=at(2))
    assert f"it holds what entry {first.id} holds: the same recording?" in again.remarks
    heated: dict[str, Any] = {"shows": "heating log", "who": "Ines"}
    state = {"supply": "extra-low voltage", "current": "16 A"}
    add_evidence(case, comma, **heated, conditions=state | {"plug": "Plug (°C)"}, now=at(3))
    for named, minute, told in (("pin", 4, False), ("plug", 5, True)):
        filed = add_evidence(case, comma, **heated, conditions=state | {named: "Plug (°C)"}, now=at(minute))
        assert any("same recording" in one for one in filed.remarks) is told
    assert digest_of_samples(9, 1e-6, lambda _, count: np.zeros(count)) == ""


@pytest.mark.hand("the capture's own samples")
def test_a_capture_in_parts_and_whole_hold_the_same(tmp_path: Path) -> None:
    """Read from the disk place by place, or at once."""
    path = tmp_path / "long.npy"
    np.save(path, np.sin(np.arange(200_000) * 0.01).astype(np.float32))
    choices = {"rate": "250 kHz"}
    with open_samples(path, choices=choices) as source:
        assert isinstance(source, FrameSource)
        assert digest_of_source(source) == digest_of_waveform(read_waveform(path, choices=choices).waveform) != ""

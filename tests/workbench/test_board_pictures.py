"""The photograph under a drawing, as the report shows it: laid flat, where the drawing is."""

from __future__ import annotations

import base64
import hashlib
import io
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from coldpin.checks import BoardEvidence
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.report.anchors import Anchors
from coldpin.report.figures.board import board as board_figure
from coldpin.workbench.board_pictures import board_photograph
from coldpin.workbench.inside_evidence import inside_evidence
from tests.checks.bench import entry
from tests.checks.test_drawn_distances import DRAWING, PILOT_NEAR, PIXELS, board, drawn, in_picture

Image = pytest.importorskip("PIL.Image", reason="the extra 'photo' reads pictures")


@pytest.fixture
def taken(tmp_path: Path) -> tuple[Any, Entry, BoardEvidence]:
    """A case with a picture that is red left of 20 mm and blue right of it, and a drawing made over it."""
    pixels = np.zeros((2200, 2400, 3), dtype=np.uint8)
    middle = int(100.0 + 20.0 * PIXELS)
    pixels[:, :middle, 0] = 255
    pixels[:, middle:, 2] = 255
    path = tmp_path / "board.png"
    Image.fromarray(pixels).save(path)
    digest = hashlib.sha256(path.read_bytes()).hexdigest()
    file = EvidenceFile(media="photograph", file=path.name, sha256=digest, size=path.stat().st_size)
    photo = entry("photograph", name="p1", kind=EntryKind.EVIDENCE, evidence=file)
    bench = SimpleNamespace(case=SimpleNamespace(evidence_path=lambda one: tmp_path / one.file))
    model = in_picture(board(PILOT_NEAR))
    assert model.calibration is not None
    model = replace(model, calibration=replace(model.calibration, picture=digest))
    return bench, photo, BoardEvidence(entry=DRAWING, board=model)


@pytest.mark.hand("the outline is 40 mm wide from 0, and the colour changes at 20 mm")
def test_it_lies_where_the_drawing_is(taken: tuple[Any, Entry, BoardEvidence]) -> None:
    """What is seen at a place of the picture is what lies at that place of the board."""
    bench, photo, drawing = taken
    found = board_photograph(bench, (photo,), drawing)

    assert found is not None
    assert found.entry == "p1"
    assert found.low_mm == pytest.approx((-1.0, -1.0), abs=0.01)
    assert found.high_mm == pytest.approx((41.0, 31.0), abs=0.01)
    shown = np.asarray(Image.open(io.BytesIO(base64.b64decode(found.jpeg))).convert("RGB")).astype(int)
    per_mm = shown.shape[1] / 42.0
    row = shown[shown.shape[0] // 2]
    assert row[int(19.0 * per_mm), 0] > row[int(19.0 * per_mm), 2] + 50
    assert row[int(23.0 * per_mm), 2] > row[int(23.0 * per_mm), 0] + 50


def test_without_its_picture_in_the_case_there_is_none(taken: tuple[Any, Entry, BoardEvidence]) -> None:
    """A drawing in millimetres was made over none; one over a picture that is missing shows none."""
    bench, photo, drawing = taken

    assert board_photograph(bench, (), drawing) is None
    assert board_photograph(bench, (photo,), BoardEvidence(entry=DRAWING, board=board(PILOT_NEAR))) is None


def test_a_face_above_the_plane_would_not_lie_on_its_drawing(taken: tuple[Any, Entry, BoardEvidence]) -> None:
    """It is left out rather than shown where it is not."""
    bench, photo, drawing = taken
    assert drawing.board.calibration is not None
    raised = replace(drawing.board, calibration=replace(drawing.board.calibration, face_above_mm=3.0))

    assert board_photograph(bench, (photo,), BoardEvidence(entry=DRAWING, board=raised)) is None


def test_it_stands_behind_the_figure(taken: tuple[Any, Entry, BoardEvidence]) -> None:
    """One picture, in the page itself."""
    bench, photo, drawing = taken
    found = inside_evidence(drawn(drawing.board), lambda one: board_photograph(bench, (photo,), one))
    figure = board_figure(found.boards[0], Anchors())

    assert figure.svg.count('href="data:image/jpeg;base64,') == 1
    assert "the photograph behind it" in figure.caption

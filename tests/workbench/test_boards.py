"""Drawings of boards in a case: filed version by version, given to the checks, never lost."""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from coldpin.casefile import open_case
from coldpin.checks import BenchEvidence, Check, CheckResults, run_checks
from coldpin.cli import DONE, WRONG_INPUT, main
from coldpin.errors import CaptureError, CaseError, UnknownName
from coldpin.records.board import BoardModel
from coldpin.records.board_words import BOARD_DRAWING
from coldpin.records.entry import EntryKind
from coldpin.workbench import Added, add_evidence, assess, correct
from tests.workbench.quay import at, make_case, make_shelf


def drawing(gap: float, **scale: Any) -> str:
    """A board with a line and a pilot conductor, so far apart. [mm]"""

    def pad(net: str, left: float) -> dict[str, Any]:
        ring = [[left, 0], [left + 2, 0], [left + 2, 2], [left, 2], [left, 0]]
        properties = {"role": "conductor", "net": net}
        return {
            "type": "Feature",
            "properties": properties,
            "geometry": {"type": "Polygon", "coordinates": [ring]},
        }

    features = [pad("mains L", 0.0), pad("pilot", 2.0 + gap)]
    return json.dumps({"type": "FeatureCollection", "scale": scale or {"unit": "mm"}, "features": features})


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case on a shelf."""
    return make_case(make_shelf(tmp_path / "shelf"))


@pytest.fixture
def board(tmp_path: Path) -> Path:
    """A drawing on somebody's disk."""
    path = tmp_path / "inner side.geojson"
    path.write_text(drawing(4.0), encoding="utf-8")
    return path


def add(case: Path, board: Path, minute: int = 5, **given: Any) -> Added:
    return add_evidence(case, board, shows=BOARD_DRAWING, who="Ines", now=at(minute), **given)


def seen_by_checks(case: Path, monkeypatch: pytest.MonkeyPatch) -> BenchEvidence:
    """Assess a case and return what the checks were given."""
    given: list[BenchEvidence] = []

    def run(bench: BenchEvidence, checks: Iterable[Check]) -> CheckResults:
        given.append(bench)
        return run_checks(bench, checks)

    monkeypatch.setattr("coldpin.workbench.assessing.run_checks", run)
    assess(case)
    return given[0]


def gap_of(board: BoardModel) -> float:
    line, pilot = board.features
    return float(pilot.outline[:, 0].min() - line.outline[:, 0].max())


def test_a_drawing_is_kept_as_it_came_and_reaches_the_checks(
    case: Path, board: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    added = add(case, board)
    (seen,) = seen_by_checks(case, monkeypatch).boards

    file = added.entry.evidence
    assert file is not None
    assert (file.media, file.file[:10], file.original_name) == ("board", "board-v01-", "inner side.geojson")
    assert (case / "boards" / file.file).read_bytes() == board.read_bytes()
    assert (case / "boards" / file.file).stat().st_mode & 0o222 == 0
    assert seen.entry.id == added.entry.id
    assert gap_of(seen.board) == 4.0
    assert assess(case).problems == ()


def test_a_drawing_filed_anew_is_the_next_version_and_takes_the_place_of_the_last(
    case: Path, board: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = add(case, board).entry
    board.write_text(drawing(3.5), encoding="utf-8")
    added = add(case, board, 6)
    second = added.entry
    (seen,) = seen_by_checks(case, monkeypatch).boards

    assert added.remarks == (f"version 2: it takes the place of entry {first.id}, which stays",)
    assert (second.kind, second.replaces, second.reason) == (
        EntryKind.CORRECTION,
        first.id,
        "drawn anew: version 2",
    )
    assert seen.entry.id == second.id
    assert gap_of(seen.board) == 3.5
    assert sorted(path.name[:10] for path in (case / "boards").iterdir()) == ["board-v01-", "board-v02-"]
    assert open_case(case).check_evidence() == ()


def test_each_part_has_versions_of_its_own(case: Path, board: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    main_board = add(case, board, conditions={"part": "main board"}).entry
    board.write_text(drawing(3.5), encoding="utf-8")
    relay_board = add(case, board, 6, conditions={"part": "relay board", "drawn from": "photograph"}).entry

    assert [seen.entry.id for seen in seen_by_checks(case, monkeypatch).boards] == [main_board.id, relay_board.id]
    assert sorted(path.name[:15] for path in (case / "boards").iterdir()) == ["main_board-v01-", "relay_board-v01"]


def test_the_same_drawing_is_not_filed_twice(case: Path, board: Path) -> None:
    first = add(case, board).entry

    with pytest.raises(CaseError, match=rf"newest version already, to the byte \(entry {first.id}\): nothing was wri"):
        add(case, board, 6)
    assert len(open_case(case).entries().entries) == 1


def test_an_earlier_drawing_may_come_back_as_a_new_version(case: Path, board: Path) -> None:
    for minute, gap in enumerate((4.0, 3.5, 4.0), start=5):
        board.write_text(drawing(gap), encoding="utf-8")
        add(case, board, minute)

    assert len(list((case / "boards").iterdir())) == 3
    assert open_case(case).check_evidence() == ()


def test_a_drawing_whose_entry_was_not_written_can_be_filed_again(case: Path, board: Path) -> None:
    """As after a full disk between the file and its entry."""
    open_case(case).file_board(board.read_bytes(), board="board", original_name=board.name)
    (unnamed,) = open_case(case).check_evidence()
    add(case, board)

    assert unnamed.where.startswith("boards/board-v01-")
    assert open_case(case).check_evidence() == ()


def test_what_cannot_be_is_refused_and_nothing_is_written(case: Path, board: Path) -> None:
    board.write_text(drawing(-1.0), encoding="utf-8")

    with pytest.raises(CaptureError, match=r"feature 2 \(conductor 'pilot'\), at .*: it touches feature 1"):
        add(case, board)
    board.write_text(drawing(4.0), encoding="utf-8")
    with pytest.raises(UnknownName, match="unknown value of the condition 'drawn from'"):
        add(case, board, conditions={"drawn from": "memory"})
    with pytest.raises(CaseError, match="a board must be a file"):
        add_evidence(case, None, shows=BOARD_DRAWING, who="Ines", address="https://example.org/b", now=at(5))
    assert open_case(case).entries().entries == ()


def test_a_withdrawn_drawing_is_not_given_to_the_checks(
    case: Path, board: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    added = add(case, board)
    correct(case, added.entry.id, who="Ines", reason="another unit's board", withdraw=True, now=at(7))
    assert seen_by_checks(case, monkeypatch).boards == ()

    again = add(case, board, 8).entry
    assert again.kind is EntryKind.EVIDENCE
    assert len(seen_by_checks(case, monkeypatch).boards) == 1


def test_a_new_version_of_a_private_drawing_stays_private(case: Path, board: Path) -> None:
    add(case, board, private=True)
    board.write_text(drawing(3.5), encoding="utf-8")

    assert add(case, board, 6).entry.private


def test_a_drawing_that_was_changed_costs_its_entry_alone(
    case: Path, board: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    changed = add(case, board, conditions={"part": "main board"}).entry
    kept = add(case, board, 6, conditions={"part": "relay board"}).entry
    assert changed.evidence is not None
    path = case / "boards" / changed.evidence.file
    path.chmod(0o644)
    path.write_bytes(board.read_bytes() + b" ")

    assert [seen.entry.id for seen in seen_by_checks(case, monkeypatch).boards] == [kept.id]
    assert [problem.where for problem in assess(case).problems] == [f"boards/{changed.evidence.file}"]


def test_a_picture_that_is_not_in_the_case_is_asked_for(case: Path, board: Path) -> None:
    points = [{"px": [0, 0], "mm": [0, 0]}, {"px": [100, 0], "mm": [2, 0]}]
    board.write_text(drawing(4.0, unit="px", method="pitch", points=points, picture="ab" * 32), encoding="utf-8")

    (remark,) = add(case, board).remarks
    assert remark == "the picture it was drawn over (sha256 abababababab…) is not in the case: file it too"


def test_the_command_files_a_drawing(case: Path, board: Path, capsys: pytest.CaptureFixture[str]) -> None:
    given = ["add", str(case), str(board), "--shows", BOARD_DRAWING, "--who", "Ines"]

    assert main(given) == DONE
    assert capsys.readouterr().out.strip() == open_case(case).entries().entries[0].id
    assert main(given) == WRONG_INPUT
    assert "newest version already" in capsys.readouterr().err

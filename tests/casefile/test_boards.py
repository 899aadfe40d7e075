"""Drawings of boards: each save a version, counted for each board, never rewritten."""

from __future__ import annotations

import hashlib
from concurrent.futures import ThreadPoolExecutor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.casefile import Case
from coldpin.casefile.boards import version_of
from coldpin.casefile.evidence import name_for
from coldpin.errors import CaseError
from coldpin.records.entry import EvidenceFile


def draw(case: Case, data: bytes, board: str = "main board") -> EvidenceFile:
    return case.file_board(data, board=board, original_name="b.geojson")


@pytest.mark.independent("sha256 by hashlib")
def test_each_save_is_a_version_and_none_is_rewritten(case: Case) -> None:
    files = [draw(case, data) for data in (b"one", b"two", b"one")]

    assert [version_of(file) for file in files] == [1, 2, 3]
    assert [case.evidence_path(file).read_bytes() for file in files] == [b"one", b"two", b"one"]
    assert files[0].sha256 == files[2].sha256 == hashlib.sha256(b"one").hexdigest()
    assert all(case.evidence_path(file).stat().st_mode & 0o222 == 0 for file in files)


def test_the_newest_version_is_not_kept_twice(case: Case) -> None:
    assert draw(case, b"one") == draw(case, b"one")


def test_boards_are_counted_apart(case: Case) -> None:
    files = [draw(case, b"one"), draw(case, b"two", "relay board"), draw(case, b"three")]

    assert [file.file.rpartition("-")[0] for file in files] == ["main_board-v01", "relay_board-v01", "main_board-v02"]


def test_those_who_save_at_once_get_versions_of_their_own(case: Case) -> None:
    with ThreadPoolExecutor(4) as hands:
        files = list(hands.map(lambda number: draw(case, b"%d" % number), range(12)))

    assert sorted(version_of(file) for file in files) == list(range(1, 13))


def test_a_drawing_is_looked_for_among_drawings_alone(case: Case) -> None:
    file = draw(case, b"one")

    with pytest.raises(CaseError, match="is not there"):
        case.evidence_path(EvidenceFile(media="photograph", file=file.file, sha256=file.sha256, size=file.size))
    with pytest.raises(CaseError, match="is not the name of a file in the folder"):
        case.evidence_path(EvidenceFile(media="board", file="../case.toml", sha256=file.sha256, size=file.size))


@given(board=st.text(max_size=120))
def test_whatever_a_board_is_called_its_files_have_plain_names(board: str) -> None:
    stem = name_for(f"{board}.x", "0" * 64).rpartition("-")[0]

    assert stem
    assert not set(stem) & set('/\\:\0\n"<>|?*')
    assert not stem.startswith(".")

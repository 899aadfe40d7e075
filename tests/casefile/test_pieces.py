"""Parts of an assessment in the cache: found by all that they are made of, believed only when whole."""

from __future__ import annotations

import errno
import os

import numpy as np
import pytest

from coldpin.casefile import Cache, Case, Pieces, cache, storage
from coldpin.quantity import Quantity, normal
from tests.casefile.faulty_disk import FaultyOs

GIVEN = (np.linspace(0.0, 1.0, 5), "gap", 3)
MADE = (normal(5.0, 0.1, "mm", id="hand"), "told")


@pytest.fixture
def pieces(case: Case) -> Pieces:
    return Pieces(cache=case.pieces, program="coldpin 1")


def refuse() -> tuple[Quantity, str]:
    raise AssertionError("made anew")


def test_a_piece_is_made_once(pieces: Pieces) -> None:
    """And comes back with its budget."""
    assert pieces("distance", GIVEN, lambda: MADE) == MADE
    assert pieces("distance", GIVEN, refuse) == MADE


def test_nothing_is_a_piece_too(pieces: Pieces) -> None:
    """That there is no photograph is known as well."""
    pieces("photograph", GIVEN, lambda: None)

    assert pieces("photograph", GIVEN, refuse) is None


@pytest.mark.parametrize("other", ["name", "array", "number", "program"])
def test_another_thing_is_made_anew(pieces: Pieces, other: str) -> None:
    """Whatever differs of what it is made of."""
    pieces("distance", GIVEN, lambda: MADE)
    asked = {
        "name": (pieces, "gap", GIVEN),
        "array": (pieces, "distance", (GIVEN[0] + 1e-12, *GIVEN[1:])),
        "number": (pieces, "distance", (*GIVEN[:2], 4)),
        "program": (Pieces(cache=pieces.cache, program="coldpin 2"), "distance", GIVEN),
    }
    keep, what, given = asked[other]

    with pytest.raises(AssertionError, match="made anew"):
        keep(what, given, refuse)


def test_what_changed_meanwhile_is_not_kept(pieces: Pieces) -> None:
    """The next time it is made of what is there by then."""
    assert pieces("pilot", GIVEN, lambda: MADE, unchanged=lambda: False) == MADE

    with pytest.raises(AssertionError, match="made anew"):
        pieces("pilot", GIVEN, refuse)


def test_what_cannot_be_written_is_made_each_time(pieces: Pieces) -> None:
    """Made of a function, or a function: nothing is kept, and nothing is raised."""
    assert pieces("distance", (print,), lambda: MADE) == MADE
    assert pieces("distance", GIVEN, lambda: print) is print
    assert not list(pieces.cache.folder.iterdir())


def test_a_damaged_piece_is_made_anew(pieces: Pieces) -> None:
    """Cut off, a bit changed, another file: never another result."""
    pieces("distance", GIVEN, lambda: MADE)
    (path,) = pieces.cache.folder.glob("*.piece")
    whole = path.read_bytes()
    spoiled = [whole[:place] + bytes([whole[place] ^ 8]) + whole[place + 1 :] for place in range(0, len(whole), 11)]
    for data in (*spoiled, whole[: len(whole) // 2], b"", b"PK"):
        path.write_bytes(data)

        assert pieces("distance", GIVEN, lambda: MADE) == MADE


def test_a_piece_under_another_name_is_not_taken(pieces: Pieces) -> None:
    """A file that was renamed to another key does not fit its own hash."""
    pieces("distance", GIVEN, lambda: ("wrong",))
    (path,) = pieces.cache.folder.glob("*.piece")
    wrong = path.read_bytes()
    path.unlink()
    pieces("distance", (*GIVEN, 1), lambda: MADE)
    (path,) = pieces.cache.folder.glob("*.piece")
    path.write_bytes(wrong)

    assert pieces("distance", (*GIVEN, 1), lambda: MADE) == MADE


@pytest.mark.parametrize("refusal", [errno.ENOSPC, errno.EROFS, errno.EACCES])
def test_a_disk_that_refuses_costs_time_only(pieces: Pieces, monkeypatch: pytest.MonkeyPatch, refusal: int) -> None:
    """The piece is made, and nothing is left half written."""
    monkeypatch.setattr(storage, "os", FaultyOs(at=0, refusal=refusal))

    assert pieces("distance", GIVEN, lambda: MADE) == MADE
    assert not list(pieces.cache.folder.iterdir())


def test_the_oldest_go_where_there_is_no_more_room(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each kind has its own room; the newest stays even where it alone is too large."""
    monkeypatch.setattr(cache, "MOST_KEPT", 3000)
    results, parts = case.cache, Cache(case.cache.folder, ending=".piece")
    assert results.store("a" * 64, {"x": np.zeros(100)})
    for number, key in enumerate("bcde"):
        assert parts.store(key * 64, {"x": np.zeros(100)})
        os.utime(parts.folder / f"{key * 64}.piece", (number, number))
    assert parts.store("f" * 64, {"x": np.zeros(100)})

    assert results.load("a" * 64) is not None
    assert [key for key in "bcdef" if parts.load(key * 64) is not None] == ["e", "f"]
    assert parts.store("9" * 64, {"x": np.zeros(1000)})
    assert [path.name[0] for path in parts.folder.glob("*.piece")] == ["9"]

"""The cache: saves time, never changes a result, can be deleted or damaged at any moment."""

from __future__ import annotations

import dataclasses
import errno
import io
import os
from pathlib import Path

import numpy as np
import pytest

from coldpin.casefile import Cache, Case, cache_key, storage
from coldpin.errors import CaseError
from coldpin.records.dialect import Dialect
from tests.casefile.faulty_disk import FaultyOs

KEY = "0" * 64
ARRAYS = {"voltage": np.linspace(-12.0, 12.0, 1000), "state": np.array(["A", "B"]), "n": np.array(3)}


@pytest.fixture
def cache(case: Case) -> Cache:
    assert case.cache.store(KEY, ARRAYS)
    return case.cache


def test_arrays_come_back_as_they_were(cache: Cache) -> None:
    """To the bit, with their types."""
    found = cache.load(KEY)

    assert found is not None
    assert found.keys() == ARRAYS.keys()
    for name, array in ARRAYS.items():
        assert found[name].dtype == array.dtype
        np.testing.assert_array_equal(found[name], array)


def test_what_was_never_stored_is_not_there(case: Case) -> None:
    """Nor is it after the folder was deleted; storing makes it again."""
    assert case.cache.load(KEY) is None
    case.cache.folder.rmdir()
    assert case.cache.load(KEY) is None
    assert case.cache.store(KEY, ARRAYS)
    assert case.cache.load(KEY) is not None


@pytest.mark.parametrize("cut", [0, 1, 10, 100, 5000])
def test_a_damaged_result_is_worked_out_again(cache: Cache, cut: int) -> None:
    """Cut off anywhere, it is as if it were not there."""
    path = cache.folder / f"{KEY}.npz"
    path.write_bytes(path.read_bytes()[:cut])

    assert cache.load(KEY) is None
    assert cache.store(KEY, ARRAYS)
    assert cache.load(KEY) is not None


def test_a_flipped_bit_never_gives_other_numbers(cache: Cache) -> None:
    """Wherever it is: either the arrays are as they were or there are none."""
    path = cache.folder / f"{KEY}.npz"
    whole = path.read_bytes()
    lost = 0
    for place in range(0, len(whole), 37):
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        found = cache.load(KEY)
        if found is None or found.keys() != ARRAYS.keys():
            lost += 1
        else:
            np.testing.assert_array_equal(found["voltage"], ARRAYS["voltage"])
    assert lost > 100


def test_no_program_is_run_from_a_cache(case: Case, tmp_path: Path) -> None:
    """Arrays of objects would bring code with them: neither stored nor read."""
    with pytest.raises(CaseError, match="'a' holds objects"):
        case.cache.store(KEY, {"a": np.array([object()])})
    np.savez(case.cache.folder / f"{KEY}.npz", a=np.array([{"a": 1}], dtype=object))
    assert case.cache.load(KEY) is None
    (case.cache.folder / f"{KEY}.npz").unlink()
    (case.cache.folder / f"{KEY}.npz").symlink_to(tmp_path / "elsewhere")
    assert case.cache.load(KEY) is None


def test_a_full_disk_costs_time_only(case: Case, monkeypatch: pytest.MonkeyPatch) -> None:
    """Storing says that it could not; nothing is raised."""
    full = FaultyOs(at=0, refusal=errno.ENOSPC)
    monkeypatch.setattr(storage, "os", full)

    assert not case.cache.store(KEY, ARRAYS)
    assert os.listdir(case.cache.folder) == []  # noqa: PTH208 hidden names count too


def test_a_key_is_not_a_path(case: Case) -> None:
    """Only what cache_key makes."""
    with pytest.raises(CaseError, match="is not a key of the cache"):
        case.cache.load("../x")


def test_the_key_changes_with_all_that_the_result_depends_on() -> None:
    """And with nothing else: how a dialect was found does not matter."""
    dialect = Dialect(delimiter=";", step=1e-6)

    def key(sha256: str = "ab", dialect: Dialect | None = dialect, version: str = "0.1", **options: float) -> str:
        return cache_key(sha256, dialect=dialect, options=options, program_version=version)

    others = [
        key("ac"),
        key(dialect=None),
        key(dialect=dataclasses.replace(dialect, step=2e-6)),
        key(version="0.2"),
        key(edge=1.0),
        key(edge=2.0),
        key(edges=1.0),
    ]
    assert len({key(), *others}) == 8
    assert key(dialect=dataclasses.replace(dialect, origin={"step": "given by hand"})) == key()
    assert key() == cache_key("ab", dialect=dialect, options={}, program_version="0.1")


def test_a_packed_result_is_worked_out_again(case: Case) -> None:
    """Ours lie as they are: another, which may unpack to anything, is not opened; nor is what is no archive at all."""
    held = io.BytesIO()
    np.savez_compressed(held, allow_pickle=False, **ARRAYS)
    alone = io.BytesIO()
    np.save(alone, ARRAYS["voltage"])
    assert case.cache.store(KEY, ARRAYS)
    (path,) = case.cache.folder.glob("*.npz")

    for data in (held.getvalue(), alone.getvalue()):
        path.write_bytes(data)
        assert case.cache.load(KEY) is None

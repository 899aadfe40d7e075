"""Waves that are open: prepared once, again only when asked for, opened anew when the case changes."""

from __future__ import annotations

import json
import shutil
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from fastapi.testclient import TestClient

from coldpin.errors import StorageError
from coldpin.records.entry import Entry
from coldpin.web import opened
from coldpin.web.app import create_app
from coldpin.web.opened import OpenWaves
from coldpin.web.works import Course, Works
from coldpin.workbench import add_evidence, correct, wave_opening
from tests.web.test_works import linger
from tests.workbench.quay import at, capture_text, make_case, make_shelf

PATIENCE = 60.0
"""Seconds after which a test gives up."""


@pytest.fixture(scope="module")
def works() -> Iterator[Works]:
    """The works of one server."""
    made = Works()
    yield made
    made.close()


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case with nothing in it."""
    return make_case(make_shelf(tmp_path / "shelf"))


@pytest.fixture
def entry(case: Path, monkeypatch: pytest.MonkeyPatch) -> Entry:
    """A capture in it, which counts as a long one that has to be copied."""
    monkeypatch.setattr(wave_opening, "ASIDE", 1000)
    file = case.parent / "steps.csv"
    file.write_bytes(capture_text())
    return add_evidence(case, file, shows="pilot capture", who="Ines", instrument="scope", made=at(0), now=at(1)).entry


def test_a_wave_is_prepared_once_and_opened_then(works: Works, case: Path, entry: Entry) -> None:
    """Whoever asks meanwhile gets the same work; when it is done the wave is there, and stays the same one."""
    held = OpenWaves(works)
    first = held.get(case, entry.id)
    assert not first.wave.prepared
    assert first.work is not None
    second = held.get(case, entry.id)
    assert second.work is None or second.work.id == first.work.id
    assert works.wait(first.work.id, PATIENCE).course is Course.DONE
    there = held.get(case, entry.id)
    assert there.work is None
    assert there.wave.prepared
    assert there.wave.cut(0, there.wave.samples, 100) is not None
    assert held.get(case, entry.id).wave is there.wave


def test_what_was_stopped_is_prepared_when_a_person_asks(
    works: Works, case: Path, entry: Entry, tmp_path: Path
) -> None:
    """Not by itself; asked for, it begins once more."""
    held = OpenWaves(works)
    before = works.start(linger, {"begun": tmp_path / "begun"}, title="Lingering")
    first = held.get(case, entry.id)
    assert first.work is not None
    assert first.work.again == f"/case/{case.name}/wave/{entry.id}/prepare"
    works.stop(first.work.id)
    for _ in range(2):
        seen = held.get(case, entry.id)
        assert seen.work is not None
        assert (seen.work.id, seen.work.course) == (first.work.id, Course.STOPPED)
    again = held.get(case, entry.id, again=True)
    assert again.work is not None
    assert again.work.id != first.work.id
    works.stop(before.id)
    assert works.wait(again.work.id, PATIENCE).course is Course.DONE
    assert held.get(case, entry.id).wave.prepared


def test_levels_that_are_gone_are_made_again(works: Works, case: Path, entry: Entry) -> None:
    """The cache may be deleted at any time: a wave that is open still draws, one that is not is prepared."""
    held = OpenWaves(works)
    first = held.get(case, entry.id)
    assert first.work is not None
    works.wait(first.work.id, PATIENCE)
    open_still = held.get(case, entry.id).wave
    shutil.rmtree(case / "cache")
    assert open_still.cut(0, open_still.samples, 50) is not None
    correct(case, entry.id, who="Ines", reason="the note was wanting", note="beside the unit")
    anew = held.get(case, entry.id)
    assert anew.work is not None
    assert anew.work.id != first.work.id
    works.wait(anew.work.id, PATIENCE)
    assert held.get(case, entry.id).wave.prepared


def test_so_many_waves_are_kept_and_no_more(
    works: Works, case: Path, entry: Entry, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those looked at last."""
    monkeypatch.undo()
    monkeypatch.setattr(opened, "KEPT", 2)
    held = OpenWaves(works)
    entries = [entry]
    for duty in (30.0, 35.0):
        file = case.parent / f"duty {duty}.csv"
        file.write_bytes(capture_text(duty=duty))
        entries.append(add_evidence(case, file, shows="pilot capture", who="Ines", made=at(2), now=at(3)).entry)
    seen = [held.get(case, one.id).wave for one in entries]
    assert held.get(case, entries[2].id).wave is seen[2]
    assert held.get(case, entries[0].id).wave is not seen[0]


def test_a_program_is_told_to_wait_and_a_person_has_it_done_once_more(
    case: Path, entry: Entry, monkeypatch: pytest.MonkeyPatch
) -> None:
    """202 with the work while it is prepared; after it did not succeed, a button asks again."""
    with TestClient(create_app(case.parent), base_url="http://127.0.0.1") as asked:
        here = f"/case/{case.name}/wave/{entry.id}"
        window = f"{here}/samples?first=0&count=10&columns=10"
        monkeypatch.setattr(opened, "prepare_wave", _refused)
        answer = asked.get(window)
        assert answer.status_code == 202
        name = json.loads(answer.text)["id"]
        over(asked, name)
        piece = asked.get(f"/under-way/{name}/piece").text
        assert "did not succeed" in piece
        assert f'action="{here}/prepare"' in piece
        monkeypatch.undo()
        monkeypatch.setattr(wave_opening, "ASIDE", 1000)
        again = asked.post(f"{here}/prepare", headers={"accept": "application/json"})
        assert again.status_code == 202
        name = again.json()["id"]
        over(asked, name)
        assert asked.get(window).status_code == 200


def over(asked: TestClient, name: str) -> None:
    """Wait until a piece of work is over."""
    end = time.monotonic() + PATIENCE
    while asked.get(f"/under-way/{name}.json").json()["work"]["course"] in ("waiting", "running"):
        assert time.monotonic() < end, "it is not over"
        time.sleep(0.05)


def _refused(folder: Path, entry: str, *, progress: Callable[[float], None]) -> str:
    """Prepare nothing."""
    raise StorageError("the wave was not written: the disk is full")

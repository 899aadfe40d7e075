"""Long work beside the page: in two lanes, told how far it is, stopped, and over when its process dies."""

from __future__ import annotations

import errno
import multiprocessing
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from coldpin.errors import CaseError, UnknownName
from coldpin.web import works as started
from coldpin.web.works import Course, Lane, Works

PATIENCE = 60.0
"""Seconds after which a test gives up; starting a process takes one or two."""


def square(number: float, progress: Callable[[float], None]) -> float:
    """Work that ends well."""
    progress(0.5)
    return number * number


def refuse(progress: Callable[[float], None]) -> None:
    """Work on something that cannot be used."""
    raise CaseError("entry 7: no unit")


def break_down(progress: Callable[[float], None]) -> None:
    """Work with a fault of ours."""
    raise ZeroDivisionError("by nothing")


def die(progress: Callable[[float], None]) -> None:
    """Work whose process ends under it."""
    os._exit(9)


def linger(begun: Path, progress: Callable[[float], None]) -> None:
    """Work that never ends by itself."""
    progress(0.25)
    begun.touch()
    while True:
        time.sleep(0.01)


def keep_aside(told: Path, progress: Callable[[float], None]) -> None:
    """Work that never ends by itself and keeps a folder aside, whose place it tells."""
    with tempfile.TemporaryDirectory() as aside:
        (Path(aside) / "half").write_text("packed", encoding="utf-8")
        told.with_suffix(".new").write_text(aside, encoding="utf-8")
        told.with_suffix(".new").rename(told)
        while True:
            time.sleep(0.01)


def wait_for(path: Path) -> None:
    """Return once work says that it has begun."""
    end = time.monotonic() + PATIENCE
    while not path.exists():
        assert time.monotonic() < end
        time.sleep(0.01)


@pytest.fixture(scope="module", autouse=True)
def clean() -> Iterator[None]:
    """Start the second process here as every server does."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(started, "START", multiprocessing.get_context("spawn"))
        yield


@pytest.fixture(scope="module")
def works() -> Iterator[Works]:
    """The works of one server."""
    made = Works()
    yield made
    made.close()


def test_work_is_done_and_handed_over(works: Works) -> None:
    """The result is there before the work counts as done."""
    taken: list[float] = []
    begun = works.start(square, {"number": 3.0}, title="Squaring", case="skerrow-16", then=taken.append)
    over = works.wait(begun.id, PATIENCE)
    assert (over.course, over.fraction, taken) == (Course.DONE, 1.0, [9.0])
    assert (over.title, over.case) == ("Squaring", "skerrow-16")
    assert works.now() == ()


def test_what_cannot_be_used_is_told_and_the_next_goes_on(works: Works) -> None:
    """An error of the input in its own words, a fault of ours as one, a death of the process as that."""
    told = [works.wait(works.start(what, {}, title="x").id, PATIENCE) for what in (refuse, break_down, die)]
    assert [one.course for one in told] == [Course.FAILED] * 3
    assert told[0].message == "entry 7: no unit"
    assert "a fault of coldpin (ZeroDivisionError" in told[1].message
    assert "nothing that was recorded is lost" in told[2].message
    assert works.wait(works.start(square, {"number": 2.0}, title="y").id, PATIENCE).course is Course.DONE


def test_work_is_stopped_whatever_it_does_and_what_waits_is_not_begun(works: Works, tmp_path: Path) -> None:
    """Stopping ends the process, also in the middle of a loop; work that waits is stopped before it begins."""
    first = works.start(linger, {"begun": tmp_path / "first"}, title="first", case="a")
    second = works.start(linger, {"begun": tmp_path / "second"}, title="second", case="b")
    wait_for(tmp_path / "first")
    assert [work.id for work in works.now()] == [first.id, second.id]
    assert [work.id for work in works.now("b")] == [second.id]
    assert (works.of(first.id).waits_for, works.of(second.id).waits_for) == ("", "“first” of a")
    assert works.now("b")[0].waits_for == "“first” of a"
    assert works.stop(second.id).course is Course.STOPPED
    assert works.stop(first.id).course is Course.STOPPED
    assert works.wait(works.start(square, {"number": 1.0}, title="z").id, PATIENCE).course is Course.DONE
    assert not (tmp_path / "second").exists()
    assert works.of(first.id).course is Course.STOPPED
    assert works.stop(first.id).course is Course.STOPPED, "stopping twice does nothing more"


def test_the_same_work_is_not_begun_twice(works: Works, tmp_path: Path) -> None:
    """Two tabs that ask for one assessment wait for the same."""
    first = works.start(linger, {"begun": tmp_path / "begun"}, title="x", key=("assess", "a", 1))
    again = works.start(linger, {"begun": tmp_path / "begun"}, title="x", key=("assess", "a", 1))
    other = works.start(linger, {"begun": tmp_path / "other"}, title="x", key=("assess", "a", 2))
    assert (again.id == first.id, other.id == first.id) == (True, False)
    for work in (first, other):
        works.stop(work.id)
    after = works.start(square, {"number": 2.0}, title="x", key=("assess", "a", 1))
    assert after.id != first.id
    assert works.wait(after.id, PATIENCE).course is Course.DONE


def test_a_server_that_runs_for_weeks_remembers_so_many_pieces(works: Works, monkeypatch: pytest.MonkeyPatch) -> None:
    """The last of each key longer than others, and these too with an end: keys of what is tried never come again."""
    monkeypatch.setattr(started, "KEPT", 1)
    monkeypatch.setattr(started, "KEPT_LAST", 2)
    keys: list[str | None] = ["a", None, "b", None, "c", "d"]
    names = []
    for key in keys:
        names.append(works.start(square, {"number": 1.0}, title="x", key=key).id)
        works.wait(names[-1], PATIENCE)
    works.start(square, {"number": 1.0}, title="x")
    remembered = []
    for name in names:
        try:
            remembered.append(works.of(name).id)
        except UnknownName:
            continue
    assert remembered == [names[3], names[4], names[5]]


def test_what_a_person_holds_does_not_stand_behind_a_report(works: Works, tmp_path: Path) -> None:
    """The bench has a lane of its own: its work ends while the other's goes on, and waits for its own kind alone."""
    report = works.start(linger, {"begun": tmp_path / "report"}, title="report")
    wait_for(tmp_path / "report")
    light = works.start(square, {"number": 3.0}, title="wave", lane=Lane.BENCH)
    assert works.wait(light.id, PATIENCE).course is Course.DONE
    capture = works.start(linger, {"begun": tmp_path / "capture"}, title="capture", lane=Lane.BENCH)
    wait_for(tmp_path / "capture")
    behind = works.start(square, {"number": 2.0}, title="wave", lane=Lane.BENCH)
    assert [works.of(one.id).course for one in (report, capture, behind)] == ["running", "running", "waiting"]
    works.stop(report.id)
    assert works.wait(works.start(square, {"number": 1.0}, title="plan").id, PATIENCE).course is Course.DONE
    assert [works.of(one.id).course for one in (report, capture, behind)] == ["stopped", "running", "waiting"]
    works.stop(capture.id)
    assert works.wait(behind.id, PATIENCE).course is Course.DONE


def test_a_process_that_dies_in_one_lane_leaves_the_other(works: Works, tmp_path: Path) -> None:
    """And what is to be put right after it is, before anything else of its lane begins."""
    report = works.start(linger, {"begun": tmp_path / "begun"}, title="report")
    wait_for(tmp_path / "begun")
    put_right: list[bool] = []
    dead = works.start(die, {}, title="capture", lane=Lane.BENCH, otherwise=lambda: put_right.append(True))
    assert works.wait(dead.id, PATIENCE).course is Course.FAILED
    assert put_right == [True]
    assert works.of(report.id).course is Course.RUNNING
    over = works.wait(works.start(square, {"number": 2.0}, title="x", lane=Lane.BENCH).id, PATIENCE)
    assert over.course is Course.DONE
    works.stop(report.id)


def test_what_is_kept_aside_is_gone_with_the_process(works: Works, tmp_path: Path) -> None:
    """A folder of half a bundle, when the packing of it is stopped."""
    packing = works.start(keep_aside, {"told": tmp_path / "told"}, title="packing")
    wait_for(tmp_path / "told")
    aside = Path((tmp_path / "told").read_text(encoding="utf-8"))
    assert (aside / "half").exists()
    works.stop(packing.id)
    assert works.wait(works.start(square, {"number": 1.0}, title="next").id, PATIENCE).course is Course.DONE
    assert not aside.parent.exists(), "the folder of the process that was ended"


def test_what_takes_the_result_may_refuse_it(works: Works) -> None:
    """Then the work failed, in the words of the refusal."""

    def take(_: float) -> None:
        raise CaseError("changed meanwhile")

    over = works.wait(works.start(square, {"number": 1.0}, title="x", then=take).id, PATIENCE)
    assert (over.course, over.message) == (Course.FAILED, "changed meanwhile")


def test_a_fault_in_what_takes_the_result_keeps_nothing_behind_it_waiting(works: Works) -> None:
    """It is told as a fault of ours, and the next goes on."""

    def take(_: float) -> None:
        raise KeyError("draft")

    over = works.wait(works.start(square, {"number": 1.0}, title="x", then=take).id, PATIENCE)
    assert (over.course, "a fault of coldpin (KeyError" in over.message) == (Course.FAILED, True)
    assert works.wait(works.start(square, {"number": 1.0}, title="x").id, PATIENCE).course is Course.DONE


def test_where_no_process_can_be_started_that_is_told(works: Works, monkeypatch: pytest.MonkeyPatch) -> None:
    """On a machine without memory left; once there is some, work goes on."""
    works.wait(works.start(die, {}, title="x").id, PATIENCE)

    def refused(self: object) -> None:
        raise OSError(errno.EAGAIN, "Resource temporarily unavailable")

    with monkeypatch.context() as without:
        without.setattr("multiprocessing.context.SpawnProcess.start", refused)
        over = works.wait(works.start(square, {"number": 1.0}, title="x").id, PATIENCE)
        assert (over.course, "no process to work in could be started" in over.message) == (Course.FAILED, True)
    assert works.wait(works.start(square, {"number": 1.0}, title="x").id, PATIENCE).course is Course.DONE


def test_unknown_work_is_said(works: Works) -> None:
    """By its name."""
    for ask in (works.of, works.stop, lambda name: works.wait(name, 0.0)):
        with pytest.raises(UnknownName, match="unknown work 'none'"):
            ask("none")


def test_closing_leaves_no_process_and_no_work(tmp_path: Path) -> None:
    """What ran is stopped, what waited too, and nothing outlives the server."""
    works = Works()
    running = works.start(linger, {"begun": tmp_path / "begun"}, title="x")
    waiting = works.start(linger, {"begun": tmp_path / "late"}, title="y")
    wait_for(tmp_path / "begun")
    works.close()
    assert [works.of(one.id).course for one in (running, waiting)] == [Course.STOPPED] * 2
    assert not (tmp_path / "late").exists()

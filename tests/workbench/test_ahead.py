"""A second process that assesses and draws ahead: the same to the byte, and nothing rests on it."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from coldpin.casefile import open_case
from coldpin.casefile.pieces import Pieces
from coldpin.records.plain import to_json
from coldpin.report import build_document
from coldpin.report.figures.drawing import drawn_by
from coldpin.workbench import ahead, assess, drafting, write_report
from coldpin.workbench.ahead import second_process
from coldpin.workbench.beside import Helper, Line
from coldpin.workbench.drafting import REPORT, SUMMARY, Written
from tests.workbench.quay import fill, make_case, make_shelf
from tests.workbench.test_beside import SOON, is_there, pipe, soon


@pytest.fixture(scope="module")
def pattern(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Written]:
    """A filled case, and its report as one process makes it."""
    table = tmp_path_factory.mktemp("pattern")
    case = make_case(make_shelf(table / "shelf"))
    fill(case, table)
    return case, write_report(case)


@pytest.fixture
def case(tmp_path: Path, pattern: tuple[Path, Written]) -> Path:
    """The same case with an empty cache and no report."""
    made, _ = pattern
    folder = shutil.copytree(made.parent, tmp_path / "shelf") / made.name
    shutil.rmtree(folder / "cache")
    shutil.rmtree(folder / "report")
    return folder


@pytest.fixture
def ends() -> Iterator[tuple[Line, Line]]:
    """Both ends of a line, the first process's first."""
    with ExitStack() as stack:
        (first_in, second_out), (second_in, first_out) = pipe(stack), pipe(stack)
        lines = Line(first_in, first_out), Line(second_in, second_out)
        yield lines
        for line in lines:
            line.close()
        for line in lines:
            line.reader.join(SOON)


def files_of(case: Path) -> dict[str, bytes]:
    return {name: (case / "report" / name).read_bytes() for name in (*REPORT, *SUMMARY)}


def test_the_report_of_two_processes_is_that_of_one(
    case: Path, pattern: tuple[Path, Written], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Record, page, sheet and pictures to the byte; the second began at once, and is gone when the block ends."""
    monkeypatch.setattr(ahead, "more_than_one_core", lambda: True)
    started: list[Helper] = []
    start = Helper.start

    def watched(helper: Helper) -> Line | None:
        started.append(helper)
        return start(helper)

    monkeypatch.setattr(Helper, "start", watched)
    with second_process(case) as second:
        assert len(started) == 1
        write_report(case, second=second)

    assert files_of(case) == files_of(pattern[0])
    process = started[0].process
    assert process is not None
    assert process.returncode is not None


def test_a_second_process_that_is_killed_is_done_without(
    case: Path, pattern: tuple[Path, Written], monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the first rests on it: the report is the same."""
    monkeypatch.setattr(ahead, "more_than_one_core", lambda: True)
    with Helper("coldpin.workbench.ahead", (str(case),)) as helper:
        line = helper.start()
        assert line is not None
        assert helper.process is not None
        assert soon(lambda: any((case / "cache").glob("*.piece")))
        helper.process.kill()
        write_report(case, second=helper.start)

    assert files_of(case) == files_of(pattern[0])


def test_nothing_is_started_on_one_core_nor_unasked(case: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A library call starts none either: who assesses a case in a script has one process."""

    def refuse(_: object) -> None:
        raise AssertionError("started")

    monkeypatch.setattr(Helper, "start", refuse)
    monkeypatch.setattr(ahead, "more_than_one_core", lambda: False)
    with second_process(case) as second:
        assert second() is None
    monkeypatch.setattr(ahead, "more_than_one_core", lambda: True)
    with second_process(case, wanted=False) as second:
        assert second() is None
    write_report(case)


def test_where_something_is_kept_it_starts_when_it_is_needed(
    pattern: tuple[Path, Written], monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same report again needs none."""
    started: list[Helper] = []
    monkeypatch.setattr(Helper, "start", lambda helper: started.append(helper))
    monkeypatch.setattr(ahead, "more_than_one_core", lambda: True)
    with second_process(pattern[0]) as second:
        write_report(pattern[0], second=second)
        assert started == []
        second()
        assert len(started) == 1


def test_all_parts_are_made_ahead(case: Path, ends: tuple[Line, Line], monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the first process has begun nothing, the second leaves nothing to make; and the record is the same."""
    anew = assess(case)
    ahead._make_parts(ends[1], str(case))
    made: list[str] = []
    monkeypatch.setattr(Pieces, "_made", only_kept(made))
    keep = drafting.keeping(open_case(case))

    assert to_json(assess(case, keep=keep)) == to_json(anew)
    assert made


def only_kept(asked: list[str]) -> Any:
    """Let a piece fail that is not kept."""
    original = Pieces._made

    def refuse() -> None:
        raise AssertionError("made again")

    def kept(pieces: Pieces, key: str, _: object, unchanged: Any) -> Any:
        asked.append(key)
        return original(pieces, key, refuse, unchanged)

    return kept


def test_what_the_first_process_has_begun_is_left_to_it(case: Path, ends: tuple[Line, Line]) -> None:
    """All checks: then the captures were read before, and nothing is kept by the second."""
    from coldpin.checks import all_checks

    first, second = ends
    for check in all_checks():
        ahead.begin_check(first, check.id)
    assert soon(lambda: second.is_begun(f"check {all_checks()[-1].id}"))

    ahead._make_parts(second, str(case))

    assert not (case / "cache").exists()


@pytest.mark.parametrize("begun", [0, 2])
def test_figures_drawn_by_the_second_are_those_of_the_document(
    pattern: tuple[Path, Written], ends: tuple[Line, Line], begun: int
) -> None:
    """From the last to the first that the first process has begun; each is drawn by one of the two."""
    assessment = pattern[1].assessment
    first, second = ends
    pencil = ahead.give_to_draw(first, assessment)
    for number in range(begun):
        first.begin(f"figure {number}")
    assert soon(lambda: begun == 0 or second.is_begun(f"figure {begun - 1}"))
    ahead._draw(second)
    here: list[object] = []

    def counting(make: Callable[[], str]) -> str:
        def drawn_here() -> str:
            here.append(make)
            return make()

        return pencil(drawn_here)

    with drawn_by(counting):
        document = build_document(assessment)

    assert document == build_document(assessment)
    assert len(here) == begun


def test_another_program_draws_nothing(pattern: tuple[Path, Written], ends: tuple[Line, Line]) -> None:
    """A record given by other code than the second process has loaded is not drawn by it."""
    first, second = ends
    first.give("assessment", ("another", pattern[1].assessment))

    ahead._draw(second)

    second.close()
    first.reader.join(SOON)
    assert not first.is_begun("figure 0")


@pytest.mark.skipif(sys.platform == "win32", reason="signals of another kind")
def test_who_interrupts_leaves_no_second_process(case: Path) -> None:
    """Ctrl-C reaches both; one line says so, and what was kept before is whole."""
    command = [sys.executable, "-c", "import coldpin.cli; coldpin.cli.run()", "assess", str(case)]
    with subprocess.Popen(command, stderr=subprocess.PIPE, start_new_session=True, text=True) as first:
        assert soon(lambda: any((case / "cache").glob("*.piece")))
        group = subprocess.run(["ps", "-o", "pid=", "-g", str(first.pid)], capture_output=True, text=True, check=False)
        os.killpg(first.pid, signal.SIGINT)
        told = first.communicate(timeout=SOON)[1]

    assert first.returncode == 130
    assert told.strip() == "interrupted; what was acknowledged before is kept"
    assert soon(lambda: not any(map(is_there, map(int, group.stdout.split()))))

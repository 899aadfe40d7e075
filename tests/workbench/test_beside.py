"""The line between two processes: what is begun is awaited, what is gone is not, and nothing rests on the other."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from typing import BinaryIO

import pytest

from coldpin.workbench import beside
from coldpin.workbench.beside import Helper, Line, more_than_one_core

SOON = 30.0
"""What is awaited comes within it on the slowest machine; nothing is judged by it. [s]"""


def pipe(stack: ExitStack) -> tuple[BinaryIO, BinaryIO]:
    """Both ends of a pipe, closed with the stack where nobody has."""
    reading, writing = os.pipe()
    ends = os.fdopen(reading, "rb"), os.fdopen(writing, "wb")
    for end in ends:
        stack.callback(end.close)
    return ends


@pytest.fixture
def ends() -> Iterator[tuple[Line, Line]]:
    """Both ends of a line, in one process."""
    with ExitStack() as stack:
        (here_in, there_out), (there_in, here_out) = pipe(stack), pipe(stack)
        here, there = Line(here_in, here_out), Line(there_in, there_out)
        yield here, there
        for line in (here, there):
            line.close()
        for line in (here, there):
            line.reader.join(SOON)


def soon(true: Callable[[], bool]) -> bool:
    """Say whether something comes true, for which nobody tells."""
    until = time.monotonic() + SOON
    while not true() and time.monotonic() < until:
        time.sleep(0.01)
    return true()


def test_what_the_other_never_began_is_made_here(ends: tuple[Line, Line]) -> None:
    """Nothing is waited for."""
    here, _ = ends

    assert here.take("a figure") is None
    assert not here.is_begun("a figure")


def test_what_the_other_is_at_is_awaited_and_can_be_had_again(ends: tuple[Line, Line]) -> None:
    """It comes while it is waited for."""
    here, there = ends
    there.begin("a figure")
    assert soon(lambda: here.is_begun("a figure"))
    given = threading.Timer(0.05, there.give, ("a figure", "<svg/>"))
    given.start()

    assert here.take("a figure") == "<svg/>"
    assert here.take("a figure") == "<svg/>"


def test_what_is_expected_is_awaited_though_not_begun(ends: tuple[Line, Line]) -> None:
    """So the second process waits for what it is to draw."""
    here, there = ends
    threading.Timer(0.05, here.give, ("the record", (1, 2))).start()

    assert there.expect("the record") == (1, 2)


def test_whoever_is_gone_is_not_awaited(ends: tuple[Line, Line]) -> None:
    """What it was at is made here, what it gave before can still be had, and telling it more does no harm."""
    here, there = ends
    there.give("one", 1)
    there.begin("two")
    assert soon(lambda: here.is_begun("two"))
    threading.Timer(0.05, there.close).start()

    assert here.take("two") is None
    assert here.expect("three") is None
    assert here.take("one") == 1
    here.begin("three")
    here.give("three", 3)


def test_patience_with_the_other_ends(ends: tuple[Line, Line], monkeypatch: pytest.MonkeyPatch) -> None:
    """One that is stopped, and not ended, stops nobody."""
    here, there = ends
    monkeypatch.setattr(beside, "PATIENCE", 0.05)
    there.begin("a figure")
    assert soon(lambda: here.is_begun("a figure"))

    assert here.take("a figure") is None


@pytest.mark.parametrize(
    "sent", [b"", b"not a message", pickle.dumps(("made", "a figure", "<svg/>"))[:-3], pickle.dumps("made")]
)
def test_what_cannot_be_read_ends_the_line(sent: bytes) -> None:
    """A message cut short, or none of ours: whoever listens is told, and nothing of it is used."""
    with ExitStack() as stack:
        (incoming, other), (unread, outgoing) = pipe(stack), pipe(stack)
        lost = threading.Event()
        line = Line(incoming, outgoing, lost.set)
        other.write(sent)
        other.close()

        assert lost.wait(SOON)
        assert line.expect("a figure") is None
        line.reader.join(SOON)
        assert unread.read() == b""


def test_a_process_that_cannot_start_or_do_its_work_helps_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """No interpreter, then no module: no error, no message, no waiting, and nothing left when it ends."""
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    with Helper("coldpin.workbench.nothing", ()) as helper:
        assert helper.start() is None
    monkeypatch.undo()
    with Helper("coldpin.workbench.nothing", ()) as helper:
        line = helper.start()
        assert line is not None
        assert helper.start() is line
        assert line.expect("anything") is None
        assert line.take("anything") is None


FIRST = """
import sys, time
from coldpin.workbench.beside import Helper
helper = Helper("coldpin.workbench.ahead", ("nowhere",))
helper.start()
print(helper.process.pid, flush=True)
time.sleep(600)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="another way to ask whether a process is there")
def test_the_second_ends_when_the_first_is_killed() -> None:
    """However the first ends: it has no time to say so."""
    with subprocess.Popen([sys.executable, "-c", FIRST], stdout=subprocess.PIPE) as first:
        assert first.stdout is not None
        second = int(first.stdout.readline())
        assert is_there(second)
        first.send_signal(signal.SIGKILL)

    assert soon(lambda: not is_there(second))


def is_there(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    # one that has ended and was not asked for is no more than a line in a list
    status = subprocess.run(["ps", "-o", "stat=", "-p", str(process)], capture_output=True, text=True, check=False)
    return not status.stdout.startswith("Z") and bool(status.stdout)


@pytest.mark.parametrize(("cores", "several"), [({0}, False), ({0, 1}, True)])
def test_cores_are_those_this_process_may_use(monkeypatch: pytest.MonkeyPatch, cores: set[int], several: bool) -> None:
    """Not those of the machine; where the system does not say, those of the machine."""
    monkeypatch.setattr(os, "sched_getaffinity", lambda _: cores, raising=False)
    assert more_than_one_core() is several
    monkeypatch.delattr(os, "sched_getaffinity")
    monkeypatch.setattr(os, "cpu_count", lambda: len(cores))
    assert more_than_one_core() is several

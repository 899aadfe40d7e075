"""A second process beside this one, and the line by which the two divide work that both could do.

Both know the same things to be made, and begin at opposite ends. Each says over the line what it begins, so that
neither begins what the other is at; where they meet, all is made. Nothing rests on the second process: what it does not
give, because it could not start, was stopped or is of no use, is made here.

The second process is an interpreter of its own with its ends of two pipes, and ends when the first does, however that
ends. It is no fork, for libraries with threads do not outlive one, and it reads no module of the person who called.
"""

from __future__ import annotations

import contextlib
import gc
import os
import pickle
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from types import TracebackType
from typing import IO, Any, Self

PATIENCE = 20.0
"""Ours: what the other process is at is awaited so long, and then made here; no part of a case takes as long. [s]"""

_BEGUN, _MADE = "begun", "made"
_LEAVING = 2.0
"""A process that was killed is gone before. [s]"""


class Line:
    """One end of the line between two processes.

    Parameters
    ----------
    incoming, outgoing : binary stream
        From the other process, and to it.
    lost : callable
        Called by a thread of its own when the other process is gone.
    """

    def __init__(self, incoming: IO[bytes], outgoing: IO[bytes], lost: Callable[[], None] = lambda: None) -> None:
        self._incoming, self._outgoing, self._lost = incoming, outgoing, lost
        self._news = threading.Condition()
        self._begun: set[str] = set()
        self._made: dict[str, Any] = {}
        self._open = True
        self.reader = threading.Thread(target=self._listen, daemon=True)
        self.reader.start()

    def begin(self, name: str) -> None:
        """Tell the other process that something is begun here.

        Parameters
        ----------
        name : str
            What it is called on both ends.
        """
        self._tell(_BEGUN, name, None)

    def give(self, name: str, made: object = None) -> None:
        """Tell the other process that something is made here, and give it.

        Parameters
        ----------
        name : str
            What it is called on both ends.
        made : object
            What was made; None where it lies elsewhere, or could not be made.
        """
        self._tell(_MADE, name, made)

    def is_begun(self, name: str) -> bool:
        """Say whether the other process has begun something.

        Parameters
        ----------
        name : str
            What it is called on both ends.

        Returns
        -------
        bool
            Whether it is at it or has made it.
        """
        with self._news:
            return name in self._begun or name in self._made

    def take(self, name: str) -> Any:
        """Return what the other process made, if it has begun it at all.

        Parameters
        ----------
        name : str
            What it is called on both ends.

        Returns
        -------
        object
            What was given; None where it is to be made here.
        """
        with self._news:
            self._news.wait_for(lambda: name not in self._begun or name in self._made or not self._open, PATIENCE)
            return self._made.get(name)

    def expect(self, name: str) -> Any:
        """Return what the other process will give, however long that takes.

        Parameters
        ----------
        name : str
            What it is called on both ends.

        Returns
        -------
        object
            What was given; None where the other process is gone.
        """
        with self._news:
            self._news.wait_for(lambda: name in self._made or not self._open)
            return self._made.pop(name, None)

    def close(self) -> None:
        """Tell nothing more, and wait for nothing more."""
        with self._news:
            self._open = False
            self._news.notify_all()
        with contextlib.suppress(OSError):
            self._outgoing.close()

    def _tell(self, word: str, name: str, made: object) -> None:
        if not self._open:
            return
        try:
            pickle.dump((word, name, made), self._outgoing, pickle.HIGHEST_PROTOCOL)
            self._outgoing.flush()
        except (OSError, ValueError):
            self.close()

    def _listen(self) -> None:
        # whatever cannot be read ends the line: a cut message, one of another program, a class that is not there
        with contextlib.suppress(Exception):
            while self._open:
                word, name, made = pickle.load(self._incoming)
                with self._news:
                    if word == _BEGUN:
                        self._begun.add(name)
                    else:
                        self._made[name] = made
                    self._news.notify_all()
        self.close()
        self._incoming.close()
        self._lost()


@dataclass(slots=True)
class Helper:
    """A second process that runs a module of this program; used as a context manager, which ends it.

    Parameters
    ----------
    module : str
        What it runs; it takes up the line by :func:`line_to_the_first`.
    arguments : tuple of str
        What it is told at once.
    """

    module: str
    arguments: tuple[str, ...]
    _line: Line | None = None
    process: subprocess.Popen[bytes] | None = None

    def __enter__(self) -> Self:
        """Return it as it is, not started."""
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End it."""
        self.end()

    def start(self) -> Line | None:
        """Start the process where it was not started before.

        Returns
        -------
        Line or None
            The line to it; None where it cannot be started.
        """
        if self.process is None:
            command = [sys.executable, "-P", "-m", self.module, str(gc.get_threshold()[0]), *self.arguments]
            try:
                process = subprocess.Popen(
                    command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
                )
            except (OSError, ValueError):
                return None
            assert process.stdin is not None, "both ends were asked for"
            assert process.stdout is not None, "both ends were asked for"
            self.process, self._line = process, Line(process.stdout, process.stdin)
        return self._line

    def end(self) -> None:
        """End the process; it leaves nothing but what it has kept."""
        process, line = self.process, self._line
        if process is None or line is None:
            return
        with contextlib.suppress(OSError):
            process.kill()
        line.close()
        line.reader.join(_LEAVING)
        with contextlib.suppress(subprocess.TimeoutExpired):
            process.wait(_LEAVING)


def more_than_one_core() -> bool:
    """Say whether this process may use more than one core.

    Returns
    -------
    bool
        Whether a second process can work at the same time.
    """
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0)) > 1
    return (os.cpu_count() or 1) > 1


def line_to_the_first() -> tuple[Line, list[str]]:
    """Take up the line in the second process, which ends where the first is gone.

    Returns
    -------
    tuple of Line and list of str
        The line, and what this process was told when it was started.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who interrupts the first means the first, and it ends this one
    outgoing = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(sys.stderr.fileno(), sys.stdout.fileno())  # what a library prints is no message
    threshold, *arguments = sys.argv[1:]
    gc.set_threshold(int(threshold))
    return Line(sys.stdin.buffer, outgoing, lost=lambda: os._exit(0)), arguments

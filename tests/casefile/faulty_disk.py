"""A disk that refuses, or a machine that stops, at one chosen call; and a record of what was asked of it."""

from __future__ import annotations

import errno
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

CALLS = ("open", "write", "fsync", "link", "unlink", "replace", "rename", "mkdir", "chmod", "close", "fstat", "lstat")


class Stopped(BaseException):
    """The process is no more: nothing in it can catch this or tidy up after it."""


@dataclass
class FaultyOs:
    """Stands in for the module ``os``: the call with number ``at`` fails, or it and all after it stop the process.

    ``refusal`` is the error number of a refusal, 0 for a stop. ``torn`` writes at most so many bytes at a time, and on
    the chosen call half of them before it fails, as a full disk does.
    """

    at: int = -1
    refusal: int = errno.ENOSPC
    torn: int = 1 << 30
    calls: int = 0
    trace: list[tuple[str, tuple[Any, ...], Any]] = field(default_factory=list)
    opened: set[int] = field(default_factory=set)

    def __getattr__(self, name: str) -> Any:
        real = getattr(os, name)
        return self._watched(name, real) if name in CALLS else real

    def _watched(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(*args: Any, **options: Any) -> Any:
            number, self.calls = self.calls, self.calls + 1
            if self.refusal == 0 and self.at >= 0 and number >= self.at:
                raise Stopped
            if number == self.at:
                if name == "close":
                    real(*args, **options)
                    self.opened.discard(args[0])
                raise OSError(self.refusal, os.strerror(self.refusal), str(args[0]))
            if name == "write":
                args = (args[0], memoryview(args[1])[: self.torn])
            result = real(*args, **options)
            if name == "open":
                self.opened.add(result)
            if name == "close":
                self.opened.discard(args[0])
            self.trace.append((name, args, result))
            return result

        return call

    def end(self) -> None:
        """Close what a stopped process had open, as the system does."""
        for descriptor in self.opened:
            os.close(descriptor)


class NoTidying:
    """Stands in for the module ``shutil`` in a stopped process."""

    def __getattr__(self, name: str) -> Any:
        raise Stopped

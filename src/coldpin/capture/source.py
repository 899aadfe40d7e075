"""A capture file on disk, given out in blocks of whole lines and never held whole."""

from __future__ import annotations

import codecs
import os
import stat
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType

from coldpin.capture.record import Progress
from coldpin.capture.signature import UTF8_MARK
from coldpin.errors import CaptureError

BLOCK_BYTES = 1 << 19
LONGEST_LINE = 1 << 16
"""Characters in one line beyond which a file is no table of samples."""

_OPEN_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0) | getattr(os, "O_NOCTTY", 0)


_seeking = threading.Lock()


def _read_into(descriptor: int, into: memoryview, place: int) -> int:
    """Read from a place without moving where others read, as far as the system allows at once."""
    if hasattr(os, "preadv"):
        return os.preadv(descriptor, [into], place)
    with _seeking:  # a system without reading by place: nobody else may move the file meanwhile
        os.lseek(descriptor, place, os.SEEK_SET)
        data = os.read(descriptor, len(into))
    into[: len(data)] = data
    return len(data)


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Whole lines of a file.

    ``data`` is in an encoding whose first 128 characters are ASCII's, its lines end with a line feed; ``line``
    is the number of its first line, counted from 1 as an editor does. ``ended`` is false for a last line
    without a line end. ``fraction`` is how much of the file has been read.
    """

    data: bytes
    line: int
    ended: bool
    fraction: float


class CaptureFile:
    """An opened capture: a regular file, read only as far as it reached when it was opened.

    Parameters
    ----------
    path : Path
        The file.
    kind : str
        What messages call it.
    holds : str
        What is in such a file.
    """

    def __init__(self, path: Path, *, kind: str = "capture", holds: str = "the samples") -> None:
        self.path = path
        self.name = path.name
        self._kind = kind
        try:
            handle = os.open(path, _OPEN_FLAGS)
        except FileNotFoundError:
            raise CaptureError(f"{kind} {path}: there is no such file: check the name and the folder") from None
        except (OSError, ValueError) as error:
            said = getattr(error, "strerror", None) or str(error)
            raise CaptureError(f"{kind} {path}: it cannot be opened ({said}): check its permissions") from None
        status = os.fstat(handle)
        if not stat.S_ISREG(status.st_mode):
            os.close(handle)
            raise CaptureError(f"{kind} {path}: it is not a regular file: give the file that holds {holds}")
        self.size = status.st_size
        self._file = os.fdopen(handle, "rb", buffering=0)

    def __enter__(self) -> CaptureFile:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        self._file.close()

    def error(self, said: str, *, line: int | None = None, column: str = "") -> CaptureError:
        """Build an error that names this file, and the row and column where they are known.

        Parameters
        ----------
        said : str
            What is wrong, what is allowed, and what to do.
        line : int or None
            The number of the line, counted from 1.
        column : str
            The name of the column.

        Returns
        -------
        CaptureError
            The error, to be raised by the caller.
        """
        return CaptureError(self.place(line=line, column=column) + said)

    def place(self, *, line: int | None = None, column: str = "") -> str:
        """Return the opening of a message: the file, the row, the column.

        Parameters
        ----------
        line : int or None
            The number of the line, counted from 1.
        column : str
            The name of the column.

        Returns
        -------
        str
            Such as "capture a.csv, row 7, column 'CH1': ".
        """
        row = f", row {line}" if line is not None else ""
        return f"{self._kind} {self.name}{row}{f', column {column!r}' if column else ''}: "

    def head(self, size: int) -> bytes:
        """Return the first bytes of the file.

        Parameters
        ----------
        size : int
            How many, at most.

        Returns
        -------
        bytes
            The bytes.
        """
        return b"".join(self._chunks(min(size, self.size)))

    def read_at(self, place: int, into: memoryview) -> None:
        """Fill a buffer from any place of the file; several threads may do so at once.

        Parameters
        ----------
        place : int
            The first byte wanted. [byte]
        into : memoryview
            The buffer, of single bytes, which is filled.

        Raises
        ------
        CaptureError
            The file ends before the buffer is full, or cannot be read.
        """
        done = 0
        while done < len(into):
            try:
                count = _read_into(self._file.fileno(), into[done:], place + done)
            except OSError as error:
                raise self.error(f"it cannot be read to its end ({error.strerror}): copy it again") from None
            if not count:
                raise self.error(
                    f"it ends at byte {place + done}, where {self.size} were there when it was opened: wait until its "
                    "writer has finished, or copy it again"
                )
            done += count

    def _chunks(self, size: int) -> Iterator[bytes]:
        self._file.seek(0)
        left = size
        while left > 0:
            chunk = self._read(min(left, BLOCK_BYTES))
            if not chunk:
                return
            left -= len(chunk)
            yield chunk

    def _read(self, size: int) -> bytes:
        try:
            return self._file.read(size)
        except OSError as error:
            raise self.error(f"it cannot be read to its end ({error.strerror}): copy it again") from None

    def _decoded(self, encoding: str, line_end: bytes) -> Iterator[tuple[bytes, int]]:
        """Yield the bytes in an encoding that contains ASCII, with how far the file has been read."""
        wide = encoding.startswith("utf-16")
        decoder = codecs.getincrementaldecoder(encoding)()
        done = 0
        for chunk in self._chunks(self.size):
            data = chunk if done else chunk.removeprefix(UTF8_MARK)
            done += len(chunk)
            if wide:
                try:
                    data = decoder.decode(chunk, done >= self.size).encode()
                except UnicodeError as error:
                    raise self.error(
                        f"near byte {done} it is not {encoding} text ({error}): "
                        "export the capture again, or say its encoding with --encoding"
                    ) from None
            yield (data.replace(b"\r", b"\n") if line_end == b"\r" else data), done

    def count_lines(self, encoding: str, line_end: bytes, *, most: int, progress: Progress | None) -> int:
        """Return how many lines the file has, a last one without line end included.

        Parameters
        ----------
        encoding : str
            The encoding.
        line_end : bytes
            What ends a line.
        most : int
            Where counting may stop, because more cannot be read anyway.
        progress : callable or None
            Told 0.0 between two blocks, so that the work can be cancelled.

        Returns
        -------
        int
            The number of lines, or a number above ``most``.
        """
        lines = 1
        for data, _ in self._decoded(encoding, line_end):
            lines += data.count(b"\n")
            if lines > most:
                break
            if progress is not None:
                progress(0.0)
        return lines

    def blocks(self, encoding: str, line_end: bytes, *, skip: int) -> Iterator[Block]:
        """Yield the lines of the file after the first ones, in blocks.

        Parameters
        ----------
        encoding : str
            The encoding.
        line_end : bytes
            What ends a line.
        skip : int
            How many lines to leave out.

        Yields
        ------
        Block
            Whole lines; the last block may be one line without an end.

        Raises
        ------
        CaptureError
            A line is longer than any row of samples.
        """
        line, held = 1, b""
        for data, done in self._decoded(encoding, line_end):
            cut = data.rfind(b"\n") + 1
            whole, held = (held + data[:cut], data[cut:]) if cut else (b"", held + data)
            fresh = line
            line += whole.count(b"\n")
            if len(held) > LONGEST_LINE:
                raise self.error(TOO_LONG, line=line)
            whole, fresh = _without_first(whole, fresh, skip)
            if whole:
                yield Block(data=whole, line=fresh, ended=True, fraction=done / self.size)
        if held.strip(b"\x1a \t\r") and line > skip:
            yield Block(data=held, line=line, ended=False, fraction=1.0)


TOO_LONG = (
    f"the line has more than {LONGEST_LINE} characters, which no row of samples has: "
    "export the capture as text with one row per sample"
)
"""What is said of a line that no row of samples can be."""


def _without_first(data: bytes, line: int, skip: int) -> tuple[bytes, int]:
    at = 0
    while line <= skip and at < len(data):
        at = data.index(b"\n", at) + 1
        line += 1
    return data[at:] if at else data, line

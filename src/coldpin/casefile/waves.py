"""The cache of waves: one large file for a capture, written once from its beginning to its end, read from any place.

What is in it is made from the capture and can be made again, so nothing is flushed to the disk and anything may be
deleted at any time. A reader sees a file whole or not at all.
"""

from __future__ import annotations

import contextlib
import os
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile.free_space import require_room
from coldpin.casefile.storage import Unfinished, disk_refusals, make_folder
from coldpin.casefile.untrusted import open_regular, require_folder
from coldpin.errors import CaseError

MOST_KEPT = 1 << 32
"""Ours: so much is kept of waves in one case; what was read last stays longest. [bytes]"""

ENDING = ".wave"

_KEY = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True, slots=True)
class Waves:
    """The waves in the ``cache`` folder of a case.

    Parameters
    ----------
    folder : Path
        The folder; it need not be there.
    """

    folder: Path

    def write(self, key: str, pieces: Iterable[bytes | memoryview], *, size: int) -> Path:
        """Keep a wave.

        Parameters
        ----------
        key : str
            64 hexadecimal digits that change when anything does that it is made of.
        pieces : iterable of bytes or memoryview
            All of it, in order; what they raise leaves nothing behind.
        size : int
            How large it will be. [bytes]

        Returns
        -------
        Path
            Where it stands.

        Raises
        ------
        CaseError
            Something else stands in the place of the cache.
        StorageError
            There is no room, or the disk refused; nothing is there under this name.
        """
        path, what = self._path(key), "the wave"
        make_folder(self.folder, what="the cache")
        require_room(self.folder, size, what=what)
        with disk_refusals(what, self.folder), Unfinished(self.folder, durable=False) as unfinished:
            for piece in pieces:
                unfinished.write(piece)
            unfinished.place_over(path)
        self._trim(path)
        return path

    @contextlib.contextmanager
    def open(self, key: str) -> Iterator[int]:
        """Open a wave for reading.

        Parameters
        ----------
        key : str
            As it was kept.

        Yields
        ------
        int
            A file descriptor, closed after the block.

        Raises
        ------
        CaseError
            It is not there, or no plain file.
        """
        require_folder(self.folder, what="the cache")
        with open_regular(self._path(key)) as descriptor:
            with contextlib.suppress(OSError):
                os.utime(self._path(key))
            yield descriptor

    def _trim(self, newest: Path) -> None:
        """Drop what was read longest ago where more is kept than there is room for; the newest stays."""
        with contextlib.suppress(OSError):
            held = [path for path in self.folder.iterdir() if path.name.endswith(ENDING) and path != newest]
            seen = {path: path.lstat() for path in held}
            room = MOST_KEPT - newest.lstat().st_size
            for path in sorted(held, key=lambda path: seen[path].st_mtime_ns, reverse=True):
                room -= seen[path].st_size
                if room < 0:
                    path.unlink(missing_ok=True)

    def _path(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise CaseError(f"{key[:80]!r} is not a key of the cache of waves")
        return self.folder / f"{key}{ENDING}"

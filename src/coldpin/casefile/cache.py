"""Decoded results kept to save time: deletable at any moment, believed only when whole.

What is cached is as trustworthy as the folder it lies in. A case that came from somebody else is judged anew by
deleting its ``cache`` first.
"""

from __future__ import annotations

import contextlib
import dataclasses
import hashlib
import io
import json
import re
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin.casefile.storage import make_folder, write_over
from coldpin.casefile.untrusted import read_regular, require_folder
from coldpin.errors import CaseError, StorageError
from coldpin.records.dialect import Dialect
from coldpin.records.plain import to_plain

MAXIMUM_CACHED = 1 << 32
"""Largest cached result that is read. [bytes]"""

MOST_KEPT = 1 << 26
"""Ours: so much is kept of one kind; what was stored first goes first. [bytes]"""

_KEY = re.compile(r"[0-9a-f]{64}")
_DAMAGE = (ValueError, KeyError, EOFError, OSError, MemoryError, zipfile.BadZipFile, zlib.error, NotImplementedError)
"""What the archive's reader raises for damaged, cut or unknown content, or for arrays larger than the memory: a cached
result that cannot be had is worked out again."""


@dataclass(frozen=True, slots=True)
class Cache:
    """The ``cache`` folder of a case.

    Parameters
    ----------
    folder : Path
        The folder; it need not be there.
    ending : str
        Of the files of one kind, which have their room apart from those of another.
    """

    folder: Path
    ending: str = ".npz"

    def load(self, key: str) -> Mapping[str, NDArray[Any]] | None:
        """Return arrays that were stored, if all of them are whole.

        Parameters
        ----------
        key : str
            From :func:`cache_key`.

        Returns
        -------
        mapping of str to array, or None
            None where nothing is stored or it is damaged: then it is to be worked out again.
        """
        path = self._path(key)
        try:
            require_folder(self.folder, what="the cache")
            data = read_regular(path, limit=MAXIMUM_CACHED)
        except CaseError:
            return None
        try:
            with zipfile.ZipFile(io.BytesIO(data)) as held:
                if any(member.compress_type != zipfile.ZIP_STORED for member in held.infolist()):
                    return None  # ours are stored as they are; another may unpack to anything
            with np.load(io.BytesIO(data), allow_pickle=False) as stored:
                return {name: stored[name] for name in stored.files}
        except _DAMAGE:
            return None

    def store(self, key: str, arrays: Mapping[str, NDArray[Any]]) -> bool:
        """Keep arrays for the next time.

        Parameters
        ----------
        key : str
            From :func:`cache_key`.
        arrays : mapping of str to array
            Of any shape: numbers, truth values or text; never objects.

        Returns
        -------
        bool
            False where the disk refused, which costs time and nothing else.

        Raises
        ------
        CaseError
            An array holds objects.
        """
        for name, array in arrays.items():
            if array.dtype.hasobject:
                raise CaseError(f"array {name!r} holds objects, which are not cached: give numbers")
        held = io.BytesIO()
        np.savez(held, allow_pickle=False, **arrays)
        with contextlib.suppress(StorageError, CaseError):
            make_folder(self.folder, what="the cache")
            write_over(self._path(key), held.getvalue(), what="a cached result", durable=False)
            self._trim(self._path(key))
            return True
        return False

    def _trim(self, newest: Path) -> None:
        """Drop what was stored first where more is kept than there is room for; the newest stays."""
        with contextlib.suppress(OSError):
            held = [path for path in self.folder.iterdir() if path.name.endswith(self.ending) and path != newest]
            seen = {path: path.lstat() for path in held}
            room = MOST_KEPT - newest.lstat().st_size
            for path in sorted(held, key=lambda path: seen[path].st_mtime_ns, reverse=True):
                room -= seen[path].st_size
                if room < 0:
                    path.unlink(missing_ok=True)

    def _path(self, key: str) -> Path:
        if not _KEY.fullmatch(key):
            raise CaseError(f"{key[:80]!r} is not a key of the cache: make it with cache_key")
        return self.folder / f"{key}{self.ending}"


def cache_key(
    sha256: str,
    *,
    dialect: Dialect | None,
    options: Mapping[str, str | float | int | bool | None],
    program_version: str,
) -> str:
    """Return the name a result is cached under: it changes when anything does that the result depends on.

    Parameters
    ----------
    sha256 : str
        Of the evidence.
    dialect : Dialect or None
        How it is read; how each part was found does not matter.
    options : mapping
        What else was chosen.
    program_version : str
        Of this program.

    Returns
    -------
    str
        64 hexadecimal digits.

    Examples
    --------
    >>> one = cache_key("ab", dialect=None, options={"edge": 3}, program_version="0.1")
    >>> one == cache_key("ab", dialect=None, options={"edge": 4}, program_version="0.1")
    False
    """
    how = to_plain(dataclasses.replace(dialect, origin={})) if dialect is not None else None
    plain = {"sha256": sha256, "dialect": how, "options": dict(options), "program_version": program_version}
    return hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()

"""Files that were brought to a case and are not filed yet: kept under ``cache/arrived`` until they are.

Each arrival is a folder of its own, named by chance, with the files that came together (the two of a capture side by
side) and what was said of them already. While they still come its name begins as that of anything unfinished: what a
stopped server leaves behind is never taken for whole, and is cleared when a server starts. Nothing reads arrivals but
whoever files them, and nothing is lost with them that was recorded. Who sends or files one holds it by a lock that the
system takes back, so that one whose hand ended is known.
"""

from __future__ import annotations

import contextlib
import itertools
import json
import os
import re
import secrets
import shutil
import stat
import sys
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO

from coldpin.casefile.evidence import plain_name
from coldpin.casefile.storage import TEMPORARY, disk_refusals, hold, make_folder, write_over
from coldpin.casefile.untrusted import MAXIMUM_TEXT, names_in, parse_json, read_regular, require_folder
from coldpin.errors import CaseError, UnknownName

PLACE = Path("cache") / "arrived"
"""Where arrivals stand in a case: what is made from it or may be deleted is there, and no assessment reads it."""

FILES = "files"
SAID = "said.json"
COMING, FILING = "coming", "filing"
"""What is held while the files of an arrival come, and while they are filed."""

_TOKEN = re.compile(r"[0-9a-f]{16}")
TOKEN_BYTES = 8
"""Ours: as many random bytes name an arrival, so that nobody guesses one. [bytes]"""

_LONGEST_NAME = 150
"""Ours: bytes of a name that are kept, so that it fits every file system with what is put to it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """Files that came together.

    Parameters
    ----------
    token : str
        Its name.
    folder : Path
        Where it stands.
    """

    token: str
    folder: Path

    @property
    def place(self) -> Path:
        """The folder that holds its files and nothing else."""
        return self.folder / FILES

    def arrived(self) -> Arrival:
        """Say that all of its files are whole.

        Returns
        -------
        Arrival
            The same, where it waits from now on.

        Raises
        ------
        StorageError
            The disk refused.
        """
        with disk_refusals("what arrived", self.folder.parent):
            return Arrival(token=self.token, folder=self.folder.rename(self.folder.parent / self.token))

    @contextlib.contextmanager
    def held(self, what: str) -> Iterator[None]:
        """Hold it inside the block, so that nobody takes what is done with it for left behind.

        Parameters
        ----------
        what : str
            :data:`COMING` or :data:`FILING`.

        Yields
        ------
        None
            Nothing; the block runs.

        Raises
        ------
        StorageError
            The disk refused.
        """
        with disk_refusals("what arrived", self.folder):
            descriptor = os.open(self.folder / what, os.O_RDWR | os.O_CREAT, 0o666)
        try:
            hold(descriptor)
            os.utime(self.folder / what)
            yield
        finally:
            os.close(descriptor)

    def left(self, what: str) -> float | None:
        """Say whether whoever held it ended before it was done, and since when it was held.

        Parameters
        ----------
        what : str
            :data:`COMING` or :data:`FILING`.

        Returns
        -------
        float or None
            None where nobody ever held it, somebody does, or the disk cannot tell. [s since 1970-01-01 UTC]
        """
        if sys.platform == "win32":  # there an open file is no sign of a hand
            return None
        try:
            descriptor = os.open(self.folder / what, os.O_RDWR)
        except OSError:
            return None
        try:
            return os.fstat(descriptor).st_mtime if hold(descriptor) else None
        except OSError:
            return None
        finally:
            os.close(descriptor)

    def names(self) -> tuple[str, ...]:
        """Return the names of its files.

        Returns
        -------
        tuple of str
            In order of name; a link is none of them, wherever a case came from.

        Raises
        ------
        CaseError
            The folder is a link or no folder.
        """
        require_folder(self.place, what="what arrived")
        return tuple(name for name in names_in(self.place) if stat.S_ISREG((self.place / name).lstat().st_mode))

    def file(self, name: str) -> Path:
        """Return where one of its files stands.

        Parameters
        ----------
        name : str
            As :meth:`names` has it.

        Returns
        -------
        Path
            The file.

        Raises
        ------
        UnknownName
            There is none of that name.
        """
        if name not in (names := self.names()):
            raise UnknownName.among("file that arrived", name, names)
        return self.place / name

    def said(self) -> Mapping[str, tuple[str, ...]]:
        """Return what was said of its files when they came.

        Returns
        -------
        mapping of str to tuple of str
            By field, as it was typed; empty where nothing was said.

        Raises
        ------
        CaseError
            What is kept cannot be read.
        """
        path = self.folder / SAID
        if not path.exists():
            return {}
        plain = parse_json(read_regular(path, limit=MAXIMUM_TEXT), where=SAID)
        if not all(isinstance(texts, list) and all(isinstance(one, str) for one in texts) for texts in plain.values()):
            raise CaseError(f"{SAID} does not hold what was said of the files: put them away and bring them again")
        return {name: tuple(texts) for name, texts in plain.items()}

    def say(self, said: Mapping[str, tuple[str, ...]]) -> None:
        """Keep what was said of its files.

        Parameters
        ----------
        said : mapping of str to tuple of str
            By field, as it was typed.

        Raises
        ------
        StorageError
            The disk refused.
        """
        data = json.dumps({name: list(texts) for name, texts in said.items()}, ensure_ascii=False, indent=1)
        write_over(self.folder / SAID, data.encode(), what="what was said of the files", durable=False)

    def new_file(self, name: str) -> BinaryIO:
        """Make a file under the name it comes with, made plain.

        Parameters
        ----------
        name : str
            As whoever sends it calls it; a name that is taken gets a number.

        Returns
        -------
        BinaryIO
            To be written and closed.

        Raises
        ------
        OSError
            The disk refused.
        """
        stem, dot, ending = arrived_name(name).rpartition(".")
        stem, ending = (stem, f".{ending}") if dot and stem else (f"{stem}{dot}{ending}", "")
        for number in itertools.count(1):
            with contextlib.suppress(FileExistsError):
                return (self.place / f"{stem}{'' if number == 1 else f'-{number}'}{ending}").open("xb")
        raise AssertionError("numbers do not end")

    def settled(self) -> None:
        """Forget that it was being filed: what was left of that is put right."""
        with contextlib.suppress(OSError):
            (self.folder / FILING).unlink()

    def drop(self, *names: str) -> None:
        """Remove files of it, and all of it with the last one.

        Parameters
        ----------
        *names : str
            Files that are filed or not wanted; all where none is named.
        """
        for name in names:
            (self.place / Path(name).name).unlink(missing_ok=True)
        if not names or not names_in(self.place):
            shutil.rmtree(self.folder, ignore_errors=True)
            with contextlib.suppress(OSError):
                self.folder.parent.rmdir()


def arrived_name(name: str) -> str:
    r"""Return the name under which a file is kept until it is filed: plain, without any path, not hidden.

    Parameters
    ----------
    name : str
        As whoever sent it calls it.

    Returns
    -------
    str
        At most so long that every file system takes it.

    Examples
    --------
    >>> arrived_name("../../etc/passwd"), arrived_name("C:\\scope\\steps.csv"), arrived_name("..")
    ('passwd', 'steps.csv', 'file')
    """
    last = plain_name(name).replace("\\", "/").rsplit("/", 1)[-1].strip().lstrip(".")
    stem, dot, ending = last.rpartition(".")
    if dot and stem:
        kept = stem.encode()[: _LONGEST_NAME - len(ending.encode()) - 1].decode("utf-8", "ignore")
        last = f"{kept}.{ending}"
    return last.encode()[:_LONGEST_NAME].decode("utf-8", "ignore") or "file"


def new_arrival(case: Path, *, random_text: Callable[[int], str] = secrets.token_hex) -> Arrival:
    """Make room for files that arrive; they wait once :meth:`Arrival.arrived` says that they are whole.

    Parameters
    ----------
    case : Path
        The case's folder.
    random_text : callable
        Gives hexadecimal digits of so many random bytes, for its name.

    Returns
    -------
    Arrival
        Empty.

    Raises
    ------
    CaseError
        A link stands in the way.
    StorageError
        The disk refused.
    """
    token = random_text(TOKEN_BYTES)
    arrival = Arrival(token=token, folder=case / PLACE / f"{TEMPORARY}{token}")
    make_folder(case / PLACE.parent, what="the cache")
    make_folder(case / PLACE, what="the folder of what arrived")
    make_folder(arrival.place, what="the folder of what arrived")
    return arrival


def clear_unfinished(case: Path) -> None:
    """Remove what was still coming when the server that took it in ended.

    Parameters
    ----------
    case : Path
        The case's folder.
    """
    folder = case / PLACE
    if folder.is_symlink() or not folder.is_dir():
        return
    for place in sorted(folder.glob(f"{TEMPORARY}*")):
        coming = Arrival(token=place.name, folder=place)
        if not place.is_symlink() and coming.left(COMING) is not None:
            coming.drop()


def arrivals(case: Path) -> tuple[Arrival, ...]:
    """Return what arrived and is not filed yet.

    Parameters
    ----------
    case : Path
        The case's folder.

    Returns
    -------
    tuple of Arrival
        Oldest first; those without any file are still coming and left out.
    """
    folder = case / PLACE
    if folder.is_symlink() or not folder.is_dir():
        return ()
    found = [Arrival(token=name, folder=folder / name) for name in names_in(folder) if _TOKEN.fullmatch(name)]
    held = [one for one in found if one.place.is_dir() and not one.folder.is_symlink() and one.names()]
    return tuple(sorted(held, key=lambda one: (one.folder.lstat().st_mtime, one.token)))


def find_arrival(case: Path, token: str) -> Arrival:
    """Return an arrival by its name.

    Parameters
    ----------
    case : Path
        The case's folder.
    token : str
        Its name.

    Returns
    -------
    Arrival
        The arrival.

    Raises
    ------
    UnknownName
        There is none: its files were filed or put away.
    """
    for one in arrivals(case):
        if one.token == token:
            return one
    raise UnknownName(f"no files wait under {token[:40]!r}: they were filed or put away; bring them again if not")

"""Putting bytes on the disk so that what was acknowledged stays.

A file is written under a temporary name in its own folder, flushed to the disk, and only then given its name; then the
folder is flushed. A reader sees the whole file or none. Whoever is killed or refused half-way leaves a temporary file
that no reader looks at.
"""

# Each line here that asks the system for something is one place where a disk can fill up or a process be stopped;
# the tests put a fault at every one of them, which needs the plain calls of os.
# ruff: noqa: PTH101, PTH102, PTH104, PTH105, PTH108

from __future__ import annotations

import contextlib
import errno
import os
import secrets
import shutil
import stat
import sys
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import TracebackType
from typing import Self

import filelock

from coldpin.casefile.untrusted import require_folder
from coldpin.errors import StorageError

if sys.platform != "win32":
    import fcntl

TEMPORARY = ".unfinished-"
"""Files and folders so named are being written, or were when somebody was stopped; no reader looks at them."""

LOCK = ".coldpin.lock"
"""Name of the file that is locked while a file is edited; what is in it does not matter."""

LOCK_PATIENCE = 10.0
"""How long to wait for another program's edit. [s]"""

_NO_HARD_LINKS = (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK, errno.EXDEV)
_NO_LOCKS = (errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EINVAL)
_FOLDERS_NOT_FLUSHED = (errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS)

_REASONS = {
    errno.ENOSPC: ("the disk is full", "free some space and do it again"),
    errno.EDQUOT: ("the disk quota is used up", "free some space and do it again"),
    errno.EFBIG: ("the file is larger than may be written here", "raise the limit or use another disk"),
    errno.EROFS: ("the disk is read-only", "copy the case to a disk that can be written"),
    errno.EACCES: ("permission is refused", "allow writing in this folder, or copy the case elsewhere"),
    errno.EPERM: ("permission is refused", "allow writing in this folder, or copy the case elsewhere"),
    errno.EIO: ("the disk reports an error", "copy the case to another disk before going on"),
    errno.ENAMETOOLONG: ("the name is too long for this disk", "use a shorter name or path"),
    errno.ENOENT: ("the folder is gone", "put the folder back and do it again"),
}
_OTHER_REASON = ("the system refuses", "mend the cause and do it again")


@contextlib.contextmanager
def disk_refusals(what: str, place: Path) -> Iterator[None]:
    """Turn what the system refuses inside the block into one message for the person at the bench.

    Parameters
    ----------
    what : str
        What was to be written, as the message should call it.
    place : Path
        The folder or file it was meant for.

    Yields
    ------
    None
        Nothing; the block runs.

    Raises
    ------
    StorageError
        The disk is full, read-only, or refuses in another way.
    """
    try:
        yield
    except OSError as error:
        raise disk_refusal(f"{what} was not written to {place}", error) from error


def disk_refusal(what: str, error: OSError) -> StorageError:
    """Return the error that tells what the system refused.

    Parameters
    ----------
    what : str
        What was not done, as the beginning of the message.
    error : OSError
        The refusal.

    Returns
    -------
    StorageError
        With the cause and what to do.

    Examples
    --------
    >>> str(disk_refusal("entry 7 was not kept", OSError(errno.ENOSPC, "No space left")))[:58]
    'entry 7 was not kept: the disk is full (No space left); ev'
    """
    why, next_step = _REASONS.get(error.errno or 0, _OTHER_REASON)
    return StorageError(
        f"{what}: {why} ({error.strerror or error}); everything acknowledged before is still there: {next_step}"
    )


class Unfinished:
    """A file being written beside its place, invisible to readers until it is whole.

    Used as a context manager: leaving the block without :meth:`place_new` or :meth:`place_over` removes it. While it is
    written its writer holds a lock on it that the system takes back when the writer ends, however it ends; that is how
    :mod:`coldpin.casefile.leftovers` can tell a dead writer's file from a living one's.

    Parameters
    ----------
    folder : Path
        Where the file will stand.
    durable : bool
        Flush to the disk before the file gets its name; False only for what can be made again.
    """

    def __init__(self, folder: Path, *, durable: bool = True) -> None:
        self._folder = folder
        self._durable = durable
        self._path = folder / f"{TEMPORARY}{secrets.token_hex(8)}"
        self._descriptor = -1

    def __enter__(self) -> Self:
        """Open the temporary file."""
        flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)
        self._descriptor = os.open(self._path, flags, 0o666)
        try:
            hold(self._descriptor)
        except BaseException:
            self.__exit__(None, None, None)
            raise
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Close the file and take the temporary name away, where it is still there."""
        # What fails here leaves a temporary file at worst, and must not hide the error that led here.
        with contextlib.suppress(OSError):
            os.close(self._descriptor)
        with contextlib.suppress(OSError):
            os.unlink(self._path)

    def write(self, data: bytes | memoryview) -> None:
        """Append bytes.

        Parameters
        ----------
        data : bytes or memoryview
            What to append.

        Raises
        ------
        OSError
            The system refused.
        """
        rest = memoryview(data)
        while rest:
            rest = rest[os.write(self._descriptor, rest) :]

    def protect(self) -> None:
        """Take write permission away from everybody.

        Raises
        ------
        OSError
            The system refused.
        """
        os.chmod(self._path, stat.S_IMODE(os.fstat(self._descriptor).st_mode) & 0o444)

    def take_permissions_of(self, path: Path) -> None:
        """Give this file the permissions of the one it will replace, if there is one.

        Parameters
        ----------
        path : Path
            The earlier file.

        Raises
        ------
        OSError
            The system refused.
        """
        with contextlib.suppress(FileNotFoundError):
            mode = os.lstat(path).st_mode
            if stat.S_ISREG(mode):
                os.chmod(self._path, stat.S_IMODE(mode))

    def place_new(self, path: Path) -> bool:
        """Give the file its name, if no other file has it.

        Parameters
        ----------
        path : Path
            The name, in the same folder.

        Returns
        -------
        bool
            True when it is done; False when the name was taken, and nothing was changed. Either way the name is on
            the disk.

        Raises
        ------
        OSError
            The system refused; the name is not in use by this file.
        """
        self._finish()
        if self._name_new(path):
            try:
                flush_folder(self._folder)
            except OSError:
                # Not acknowledged, so it must not turn up later as if it had been.
                with contextlib.suppress(OSError):
                    os.unlink(path)
                raise
            return True
        # Whoever has the name may not have come to flush it, and the caller may go on to rely on it.
        flush_folder(self._folder)
        return False

    def place_over(self, path: Path) -> None:
        """Give the file its name, in the place of the one that has it.

        Parameters
        ----------
        path : Path
            The name, in the same folder.

        Raises
        ------
        OSError
            The system refused; the earlier file, or the new one, stands there whole.
        """
        self._finish()
        os.replace(self._path, path)
        if self._durable:
            flush_folder(self._folder)

    def _finish(self) -> None:
        """Flush what was written to the disk."""
        if self._durable:
            os.fsync(self._descriptor)
        if sys.platform == "win32":
            # There a file cannot be renamed while it is open.
            os.close(self._descriptor)
            self._descriptor = -1

    def _name_new(self, path: Path) -> bool:
        """Give the name if it is free: by a hard link, which never replaces, or by turns on a disk without them."""
        try:
            os.link(self._path, path)
        except FileExistsError:
            return False
        except OSError as error:
            if error.errno not in _NO_HARD_LINKS:
                raise
            with locked(self._folder):
                if os.path.lexists(path):
                    return False
                os.rename(self._path, path)
        return True


def write_new(path: Path, data: bytes, *, what: str) -> bool:
    """Write a file that must not replace another.

    Parameters
    ----------
    path : Path
        Where it is to stand.
    data : bytes
        All of it.
    what : str
        What it is, for a message.

    Returns
    -------
    bool
        True when it is on the disk, False when the name was taken.

    Raises
    ------
    StorageError
        The disk refused; nothing is there under this name.
    """
    with disk_refusals(what, path.parent), Unfinished(path.parent) as unfinished:
        unfinished.write(data)
        return unfinished.place_new(path)


def write_over(path: Path, data: bytes, *, what: str, durable: bool = True) -> None:
    """Write a file in the place of an earlier one, all at once.

    Parameters
    ----------
    path : Path
        Where it is to stand.
    data : bytes
        All of it.
    what : str
        What it is, for a message.
    durable : bool
        Flush to the disk; False only for what can be made again.

    Raises
    ------
    StorageError
        The disk refused; the earlier file is still there.
    """
    with disk_refusals(what, path.parent), Unfinished(path.parent, durable=durable) as unfinished:
        unfinished.take_permissions_of(path)
        unfinished.write(data)
        unfinished.place_over(path)


def place_folder(path: Path, files: Mapping[str, bytes], *, what: str) -> bool:
    """Make a folder of files that must not replace another, all at once; the files cannot be written to afterwards.

    Whoever calls this holds the edit lock, so that :mod:`coldpin.casefile.leftovers` leaves the work alone.

    Parameters
    ----------
    path : Path
        Where the folder is to stand.
    files : mapping of str to bytes
        Its files by name; at least one.
    what : str
        What it is, for a message.

    Returns
    -------
    bool
        True when it is on the disk, False when the name was taken.

    Raises
    ------
    StorageError
        The disk refused; nothing is there under this name.
    """
    aside = path.with_name(f"{TEMPORARY}{secrets.token_hex(8)}")
    with disk_refusals(what, path.parent):
        try:
            os.mkdir(aside)
            for name, data in files.items():
                with Unfinished(aside) as unfinished:
                    unfinished.write(data)
                    unfinished.protect()
                    unfinished.place_new(aside / name)
            if os.path.lexists(path):
                return False
            os.rename(aside, path)
            try:
                flush_folder(path.parent)
            except OSError:
                # Not acknowledged, so it must not turn up later as if it had been.
                os.rename(path, aside)
                raise
            return True
        finally:
            shutil.rmtree(aside, ignore_errors=True)


def make_folder(path: Path, *, what: str) -> None:
    """Make a folder, and those above it, where they are missing.

    Parameters
    ----------
    path : Path
        The folder.
    what : str
        What it is, for a message.

    Raises
    ------
    CaseError
        Something that is no folder stands there, or a link to one.
    StorageError
        The disk refused.
    """
    if not path.parent.is_dir():
        make_folder(path.parent, what=what)
    with disk_refusals(what, path.parent):
        try:
            os.mkdir(path)
        except FileExistsError:
            require_folder(path, what=what)
            return
        flush_folder(path.parent)


def flush_folder(folder: Path) -> None:
    """Flush a folder's names to the disk, where the system has such a thing.

    Parameters
    ----------
    folder : Path
        The folder.

    Raises
    ------
    OSError
        The disk refused.
    """
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | os.O_CLOEXEC)
    try:
        os.fsync(descriptor)
    except OSError as error:
        if error.errno not in _FOLDERS_NOT_FLUSHED:
            raise
    finally:
        os.close(descriptor)


@contextlib.contextmanager
def locked(folder: Path) -> Iterator[None]:
    """Hold the folder's edit lock inside the block; others wait.

    Parameters
    ----------
    folder : Path
        The folder of what is edited.

    Yields
    ------
    None
        Nothing; the block runs alone.

    Raises
    ------
    StorageError
        Another program held the lock too long, or the disk refused to lock.
    """
    lock = filelock.FileLock(folder / LOCK, timeout=LOCK_PATIENCE)
    with disk_refusals("the edit lock", folder):
        try:
            lock.acquire()
        except filelock.Timeout as error:
            raise StorageError(
                f"{folder} has been held by another program for {LOCK_PATIENCE:g} s; nothing was changed: "
                f"finish or close the other program and do it again"
            ) from error
    try:
        yield
    finally:
        lock.release()


def hold(descriptor: int) -> bool:
    """Lock an open file without waiting; the system takes the lock back when the file is closed, however that comes.

    Parameters
    ----------
    descriptor : int
        The open file.

    Returns
    -------
    bool
        False where somebody else holds it or the disk knows no such lock.

    Raises
    ------
    OSError
        The system refused.
    """
    if sys.platform != "win32":
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise
            return False
    return True

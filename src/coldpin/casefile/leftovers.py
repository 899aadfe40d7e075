"""What stopped writers leave behind: told apart from what a living one is writing, and cleared."""

from __future__ import annotations

import contextlib
import os
import shutil
from pathlib import Path

from coldpin.casefile.storage import TEMPORARY, hold
from coldpin.casefile.untrusted import open_regular
from coldpin.errors import CaseError


def clear_leftovers(folder: Path, *, older_than: float) -> tuple[Path, ...]:
    """Remove the temporary files of writers that were stopped, and of nobody else.

    A file goes when it is older than asked for *and* its writer no longer holds it; where the disk cannot
    tell, it stays.

    Parameters
    ----------
    folder : Path
        Where to look, not below it.
    older_than : float
        Files changed after this time are left alone. [s since 1970-01-01 UTC]

    Returns
    -------
    tuple of Path
        What was removed.
    """
    removed = []
    with contextlib.suppress(OSError), os.scandir(folder) as found:
        for item in found:
            if item.name.startswith(TEMPORARY) and item.is_file(follow_symlinks=False):
                path = Path(item.path)
                if item.stat(follow_symlinks=False).st_mtime < older_than and _remove_unheld(path):
                    removed.append(path)
    return tuple(removed)


def clear_ended(folder: Path) -> tuple[Path, ...]:
    """Remove at once the temporary files of writers that ended half-way, however young, and of nobody else.

    A writer holds its file before it writes, so that one with something in it that nobody holds has no writer any
    more; where the disk cannot tell, it stays.

    Parameters
    ----------
    folder : Path
        Where to look, not below it.

    Returns
    -------
    tuple of Path
        What was removed.
    """
    removed = []
    with contextlib.suppress(OSError), os.scandir(folder) as found:
        for item in found:
            if item.name.startswith(TEMPORARY) and item.is_file(follow_symlinks=False):
                path = Path(item.path)
                if item.stat(follow_symlinks=False).st_size and _remove_unheld(path):
                    removed.append(path)
    return tuple(removed)


def clear_leftover_folders(folder: Path, *, older_than: float) -> tuple[Path, ...]:
    """Remove half-made folders of issues.

    The caller holds the edit lock, so that nobody is making one.

    Parameters
    ----------
    folder : Path
        Where to look, not below it.
    older_than : float
        Folders changed after this time are left alone. [s since 1970-01-01 UTC]

    Returns
    -------
    tuple of Path
        What was removed.
    """
    removed = []
    with contextlib.suppress(OSError), os.scandir(folder) as found:
        for item in found:
            aside = item.name.startswith(TEMPORARY) and item.is_dir(follow_symlinks=False)
            if aside and item.stat(follow_symlinks=False).st_mtime < older_than:
                shutil.rmtree(item.path)
                removed.append(Path(item.path))
    return tuple(removed)


def _remove_unheld(path: Path) -> bool:
    try:
        with open_regular(path) as descriptor:
            if not hold(descriptor):
                return False
        path.unlink()
    except (CaseError, OSError):
        # On systems that forbid removing an open file this is how a living writer shows.
        return False
    return True

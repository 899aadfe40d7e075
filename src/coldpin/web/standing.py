"""What is known of each case now: the last assessment, whether it is of the case as it stands, and the work under way.

A page never waits for an assessment. It shows the last one, says so where the case has changed since, and the new one
is made beside it. Whether a case has changed is told by names, sizes and times of its files, which takes a
millisecond; the assessment itself is then made, or found in the case's cache, by what is in them.
"""

from __future__ import annotations

import os
import threading
from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile.shelf import SHELF_FILE
from coldpin.records.assessment import Assessment
from coldpin.web.works import Course, Work, Works
from coldpin.workbench.drafting import NOT_READ, assessment_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A case as it stands.

    Parameters
    ----------
    assessment : Assessment or None
        The last one made; None where none was made yet.
    fresh : bool
        True where it is of the case as it stands now.
    work : Work or None
        What makes the next, while it is made; the one that failed, where it failed.
    """

    assessment: Assessment | None
    fresh: bool
    work: Work | None = None


@dataclass(frozen=True, slots=True)
class _Held:
    mark: object
    assessment: Assessment | None
    work: str


class Standings:
    """The assessments of a shelf's cases, each made when it is asked for and kept until its case changes.

    Parameters
    ----------
    works : Works
        Where they are made.
    """

    def __init__(self, works: Works) -> None:
        self._works = works
        self._lock = threading.Lock()
        self._held: dict[Path, _Held] = {}

    def of(self, folder: Path) -> Standing:
        """Return what is known of a case, and begin to assess it where that is of an earlier state.

        Parameters
        ----------
        folder : Path
            The case.

        Returns
        -------
        Standing
            At once, whatever is under way.
        """
        mark = mark_of(folder)
        with self._lock:
            held = self._held.get(folder)
        if held is not None and held.mark == mark:
            work = self._works.of(held.work) if held.work else None
            if held.assessment is not None and (work is None or work.course is Course.DONE):
                return Standing(assessment=held.assessment, fresh=True)
            return Standing(assessment=held.assessment, fresh=False, work=work)
        before = held.assessment if held else None
        work = self._works.start(
            assessment_of,
            {"folder": folder},
            title="Assessing",
            case=folder.name,
            key=("assess", folder, mark),
            then=lambda made: self._take(folder, mark, made),
        )
        with self._lock:
            now = self._held.get(folder)
            if now is None or now.mark != mark:
                self._held[folder] = _Held(mark, before, work.id)
        return Standing(assessment=before, fresh=False, work=work)

    def _take(self, folder: Path, mark: object, made: Assessment) -> None:
        with self._lock:
            held = self._held.get(folder)
            if held is None or held.mark == mark:
                self._held[folder] = _Held(mark, made, "")
            elif held.assessment is None:
                self._held[folder] = _Held(held.mark, made, held.work)


def mark_of(folder: Path) -> tuple[tuple[str, int, int, int], ...]:
    """Return what tells one state of a case from another without reading it.

    Parameters
    ----------
    folder : Path
        The case.

    Returns
    -------
    tuple
        Name, size, time of change and number of every file that an assessment may read.
    """
    shelf = folder.parent
    marks = list(_marks(folder, ""))
    marks += _mark(shelf / SHELF_FILE, SHELF_FILE)
    marks += _marks(shelf / "dialects", "dialects/")
    return tuple(marks)


def _marks(folder: Path, before: str) -> list[tuple[str, int, int, int]]:
    found: list[tuple[str, int, int, int]] = []
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError:
        return found
    for entry in entries:
        if not before and entry.name in NOT_READ:
            continue
        name = f"{before}{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            found += _marks(Path(entry.path), f"{name}/")
        else:
            found += _mark(Path(entry.path), name)
    return found


def _mark(path: Path, name: str) -> list[tuple[str, int, int, int]]:
    try:
        seen = path.lstat()
    except OSError:
        return []
    return [(name, seen.st_size, seen.st_mtime_ns, seen.st_ino)]

"""What is known of each case now: the last assessment, whether it is of the case as it stands, and the work under way.

A page never waits for an assessment. It shows the last one, says so where the case has changed since, and the new one
is made beside it. Whether a case has changed is told by names, sizes and times of its files, which takes a
millisecond; the assessment itself is then made, or found in the case's cache, by what is in them. However often a case
changes and whoever asks, one assessment of it is under way at most; what changed meanwhile is the next one's.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from urllib.parse import quote

from coldpin.casefile.storage import LOCK, TEMPORARY
from coldpin.records.assessment import Assessment
from coldpin.records.instrument import SHELF_FILE
from coldpin.web.works import Work, Works
from coldpin.workbench.drafting import NOT_READ, assessment_of

Mark = tuple[tuple[str, int, int, int], ...]
"""What tells one state of a case from another."""


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
        What makes the next, while it is made; the one that was stopped or did not succeed, where that was the last.
    """

    assessment: Assessment | None
    fresh: bool
    work: Work | None = None


@dataclass(frozen=True, slots=True)
class _Held:
    """Of one case: the last assessment with the state it is of, the last work with the state it was asked for."""

    assessment: Assessment | None = None
    mark: Mark | None = None
    work: str = ""
    tried: Mark | None = None


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

    def of(self, folder: Path, *, soon: bool = True) -> Standing:
        """Return what is known of a case, and begin to assess it where that is of an earlier state.

        Parameters
        ----------
        folder : Path
            The case.
        soon : bool
            True where somebody looks at this very case; else it is assessed after those.

        Returns
        -------
        Standing
            At once, whatever is under way.
        """
        mark = mark_of(folder)
        with self._lock:
            held = self._held.get(folder, _Held())
            if held.assessment is not None and held.mark == mark:
                return Standing(assessment=held.assessment, fresh=True)
            last = self._works.of(held.work) if held.work else None
            if last is not None and last.course.broke_off and held.tried == mark:
                return Standing(assessment=held.assessment, fresh=False, work=last)
            work = self._begin(folder, soon)
            self._held[folder] = replace(
                held, work=work.id, tried=held.tried if work.id == held.work and held.tried is not None else mark
            )
            return Standing(assessment=held.assessment, fresh=False, work=work)

    def again(self, folder: Path) -> Work:
        """Assess a case once more, whose last assessment was stopped or did not succeed.

        Parameters
        ----------
        folder : Path
            The case.

        Returns
        -------
        Work
            What makes it; the one under way where there is one.
        """
        with self._lock:
            work = self._begin(folder, soon=True)
            self._held[folder] = replace(self._held.get(folder, _Held()), work=work.id, tried=mark_of(folder))
        return work

    def _begin(self, folder: Path, soon: bool) -> Work:
        return self._works.start(
            assessed,
            {"folder": folder},
            title="Assessing",
            case=folder.name,
            key=("assess", folder),
            then=lambda made: self._take(folder, *made),
            soon=soon,
            again=f"/case/{quote(folder.name, safe='')}/assess",
        )

    def _take(self, folder: Path, mark: Mark, made: Assessment) -> None:
        with self._lock:
            held = self._held.get(folder, _Held())
            self._held[folder] = replace(held, assessment=made, mark=mark)


def assessed(folder: Path, progress: Callable[[float], None]) -> tuple[Mark, Assessment]:
    """Assess a case, and say of which state.

    Parameters
    ----------
    folder : Path
        The case.
    progress : callable
        Told the fraction done.

    Returns
    -------
    tuple
        The mark taken before anything was read, so that what changed while it was read makes the assessment an
        earlier one; and the assessment.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    mark = mark_of(folder)
    return mark, assessment_of(folder, progress=progress)


def mark_of(folder: Path) -> Mark:
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
    marks += mark_of_file(shelf / SHELF_FILE, SHELF_FILE)
    marks += _marks(shelf / "dialects", "dialects/")
    return tuple(marks)


def _marks(folder: Path, before: str) -> list[tuple[str, int, int, int]]:
    found: list[tuple[str, int, int, int]] = []
    try:
        entries = sorted(os.scandir(folder), key=lambda entry: entry.name)
    except OSError:
        return found
    for entry in entries:
        if (not before and entry.name in NOT_READ) or entry.name == LOCK or entry.name.startswith(TEMPORARY):
            continue
        name = f"{before}{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            found += _marks(Path(entry.path), f"{name}/")
        else:
            found += mark_of_file(Path(entry.path), name)
    return found


def mark_of_file(path: Path, name: str = "") -> list[tuple[str, int, int, int]]:
    """Return what tells one state of a file from another; nothing where it is not there.

    Parameters
    ----------
    path : Path
        The file.
    name : str
        What it is called in the mark.

    Returns
    -------
    list of tuple
        One or none: name, size, time of change, number.
    """
    try:
        seen = path.lstat()
    except OSError:
        return []
    return [(name, seen.st_size, seen.st_mtime_ns, seen.st_ino)]

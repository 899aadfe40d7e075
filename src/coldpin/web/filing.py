"""Filing as long work: what is too large to be read and filed while a request waits is so beside the page.

What arrived waits in its case; a piece of work reads and files it. Whoever brought it sees how far that is, may stop
it, and is led to the entry once it stands, or back to the question where it does not.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from urllib.parse import quote

from coldpin.casefile.arrivals import Arrival, find_arrival
from coldpin.errors import UnknownName
from coldpin.records.entry import Entry
from coldpin.web.works import Course, Lane, Work, Works
from coldpin.workbench.arriving import FiledArrivals, file_waiting
from coldpin.workbench.settling import settle

LARGE = 1 << 24
"""Ours: files of so much together are filed beside the page. A text capture of less is read and filed in about a
second, with two cores of which others work too; a photograph of a camera is smaller. [bytes]"""

KEPT = 50
"""Ours: of so many arrivals what became of them is remembered, for a page that asks late. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What was written: entries, and remarks on how files were read and on readings that are hardly so."""

    entries: tuple[Entry, ...]
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Filing:
    """Files that are being filed, or were.

    Parameters
    ----------
    name : str
        The case's folder.
    token : str
        Name of the arrival.
    files : tuple of str
        Which of its files.
    work : Work or None
        What files them; None where nobody remembers.
    recorded : Recorded or None
        What was written, once it was.
    place : str
        Where a browser goes once it is over; empty while it is under way.
    """

    name: str
    token: str
    files: tuple[str, ...] = ()
    work: Work | None = None
    recorded: Recorded | None = None
    place: str = ""

    @property
    def why(self) -> str:
        """Why what waits was not filed; empty where nobody tried."""
        if self.recorded is not None or self.work is None or not self.work.course.broke_off:
            return ""
        if self.work.course is Course.STOPPED:
            return "Filing was stopped: nothing of it was recorded, and what was brought waits."
        return self.work.message


@dataclass(frozen=True, slots=True)
class _Held:
    """What is known of a filing: its files, its work, what was written, and where that is seen."""

    files: tuple[str, ...]
    work: Work
    after: Callable[[Recorded], str]
    recorded: Recorded | None = None


class Filings:
    """What of a shelf's arrivals is being filed, and what became of it.

    Parameters
    ----------
    works : Works
        Where it is done.
    """

    def __init__(self, works: Works) -> None:
        self._works = works
        self._lock = threading.Lock()
        self._held: OrderedDict[tuple[Path, str], _Held] = OrderedDict()

    def begin(
        self,
        folder: Path,
        arrival: Arrival,
        *,
        names: tuple[str, ...],
        shows: str,
        who: str,
        stated: Mapping[str, object],
        after: Callable[[Recorded], str],
    ) -> Filing:
        """Begin to file files that wait; what is being filed is not begun twice.

        Parameters
        ----------
        folder : Path
            The case.
        arrival : Arrival
            The files.
        names : tuple of str
            Which of them.
        shows : str
            A word of the vocabulary.
        who : str
            Who files them.
        stated : mapping
            What else :func:`coldpin.workbench.arriving.file_arrived` takes.
        after : callable
            Gives the address of what was written.

        Returns
        -------
        Filing
            Under way.
        """
        key = (folder, arrival.token)
        with self._lock:  # it is held before its result can come
            work = self._works.start(
                file_waiting,
                {"case": folder, "token": arrival.token, "names": names, "shows": shows, "who": who, **stated},
                title=f"Reading and filing {', '.join(names)}",
                case=folder.name,
                key=("file", *key, names),
                place=f"/case/{quote(folder.name)}/add/{arrival.token}/filing",
                then=partial(self._take, key),
                otherwise=partial(settle, folder),
                lane=Lane.BENCH,
            )
            held = self._held.get(key)
            if held is None or held.work.id != work.id:
                self._held[key] = _Held(names, work, after)
            self._held.move_to_end(key)
            while len(self._held) > KEPT:
                self._held.popitem(last=False)
        return Filing(name=folder.name, token=arrival.token, files=names, work=work)

    def of(self, folder: Path, token: str) -> Filing:
        """Return how far the filing of an arrival is.

        Parameters
        ----------
        folder : Path
            The case.
        token : str
            Name of the arrival.

        Returns
        -------
        Filing
            Of what waits and is not being filed it says where it waits.

        Raises
        ------
        UnknownName
            There is no such arrival, and nobody remembers one.
        """
        with self._lock:
            held = self._held.get((folder, token))
        base = f"/case/{quote(folder.name)}"
        if held is None:
            find_arrival(folder, token)
            return Filing(name=folder.name, token=token, place=f"{base}/add/{token}")
        try:
            work = self._works.of(held.work.id)
        except UnknownName:  # it ended long ago
            work = replace(held.work, course=Course.DONE if held.recorded else Course.STOPPED)
        place = ""
        if held.recorded is not None or work.course.ended:
            place = f"{base}/add/{token}" if _waits(folder, token) else f"{base}/evidence"
            if held.recorded is not None and not _waits(folder, token):
                place = held.after(held.recorded)
        return Filing(name=folder.name, token=token, files=held.files, work=work, recorded=held.recorded, place=place)

    def under_way(self, folder: Path, token: str) -> bool:
        """Say whether files of an arrival are being filed.

        Parameters
        ----------
        folder : Path
            The case.
        token : str
            Name of the arrival.

        Returns
        -------
        bool
            True while they are.
        """
        with self._lock:
            if (folder, token) not in self._held:
                return False
        return not self.of(folder, token).place

    def _take(self, key: tuple[Path, str], filed: FiledArrivals) -> None:
        with self._lock:
            held = self._held.get(key)
            if held is not None:
                self._held[key] = replace(held, recorded=recorded_of(filed))


def _waits(folder: Path, token: str) -> bool:
    try:
        find_arrival(folder, token)
    except UnknownName:
        return False
    return True


def recorded_of(filed: FiledArrivals) -> Recorded:
    """Return what filing wrote, as a page tells it.

    Parameters
    ----------
    filed : FiledArrivals
        What was filed, and what was not.

    Returns
    -------
    Recorded
        Remarks on how files were read, and why others were not filed.
    """
    return Recorded(
        entries=tuple(one.entry for one in filed.added),
        remarks=(*(remark for one in filed.added for remark in one.remarks), *(one.what for one in filed.left)),
    )


def large(arrival: Arrival, names: tuple[str, ...]) -> bool:
    """Say whether files are filed beside the page.

    Parameters
    ----------
    arrival : Arrival
        The files.
    names : tuple of str
        Which of them.

    Returns
    -------
    bool
        True where they are too much for one request.

    Raises
    ------
    UnknownName
        The arrival holds no file of such a name.
    """
    return sum(arrival.file(name).stat().st_size for name in names) >= LARGE

"""Waves that are open: each kept until its case changes, so that a zoom asks for nothing but its numbers.

A wave that has to be prepared first is prepared once, by itself. What was stopped, or did not succeed, is prepared
again only when a person asks for it.
"""

from __future__ import annotations

import contextlib
import threading
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from coldpin.errors import UnknownName
from coldpin.web.standing import mark_of
from coldpin.web.works import Course, Lane, Work, Works
from coldpin.workbench.wave_opening import open_wave
from coldpin.workbench.wave_preparing import prepare_wave
from coldpin.workbench.waves import Wave

KEPT = 4
"""Ours: so many waves are kept open; one that is not long takes up to 64 MiB."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A wave, and the work that prepares it while it is not prepared."""

    wave: Wave
    work: Work | None = None


class OpenWaves:
    """The waves that were looked at lately.

    Parameters
    ----------
    works : Works
        Where waves are prepared.
    """

    def __init__(self, works: Works) -> None:
        self._works = works
        self._lock = threading.Lock()
        self._held: OrderedDict[tuple[Path, str], tuple[object, Wave]] = OrderedDict()
        self._prepared: dict[str, str] = {}

    def get(self, folder: Path, entry: str, *, again: bool = False) -> Opened:
        """Return a wave, opened where it was not yet, and begin to prepare it where that is needed.

        Parameters
        ----------
        folder : Path
            The case.
        entry : str
            Id of the entry that filed the capture.
        again : bool
            Prepare it once more, where that was stopped or did not succeed.

        Returns
        -------
        Opened
            At once, whatever is under way.

        Raises
        ------
        UnknownName
            There is no such capture.
        InputError
            The file is gone or cannot be read.
        """
        wave = self._wave(folder, entry)
        return Opened(wave=wave) if wave.prepared else Opened(wave=wave, work=self._work(folder, entry, wave, again))

    def _wave(self, folder: Path, entry: str) -> Wave:
        key, mark = (folder, entry), mark_of(folder)
        with self._lock:
            held = self._held.get(key)
            if held is not None and held[0] == mark:
                self._held.move_to_end(key)
                return held[1]
        wave = open_wave(folder, entry)
        with self._lock:
            self._held[key] = mark, wave
            self._held.move_to_end(key)
            while len(self._held) > KEPT:
                self._held.popitem(last=False)
        return wave

    def _work(self, folder: Path, entry: str, wave: Wave, again: bool) -> Work:
        with self._lock:
            name = self._prepared.get(wave.key)
        if name is not None:
            with contextlib.suppress(UnknownName):  # it ended long ago
                work = self._works.of(name)
                # where its levels are gone again they are made again; what was stopped waits for a person
                if work.course is not Course.DONE and not (again and work.course.broke_off):
                    return work
        work = self._works.start(
            prepare_wave,
            {"folder": folder, "entry": entry},
            title="Preparing the wave",
            case=folder.name,
            again=f"/case/{quote(folder.name)}/wave/{quote(entry)}/prepare",
            key=("wave", folder, wave.key),
            then=lambda _: self._forget(folder, entry),
            soon=True,
            lane=Lane.BENCH,
        )
        with self._lock:
            self._prepared[wave.key] = work.id
        return work

    def _forget(self, folder: Path, entry: str) -> None:
        with self._lock:
            self._held.pop((folder, entry), None)

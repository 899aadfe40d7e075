"""Ticks on the disk: one small file each, written once, never changed, apart from the entries.

A tick reminds whoever works of where they are. It is no evidence: no assessment reads it, nothing published shows it,
and a case without any says the same. To take one back writes another, so that both can be seen.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile.acceptance import ID, LONGEST_TEXT, parse_instant
from coldpin.casefile.storage import write_new
from coldpin.casefile.untrusted import MAXIMUM_TEXT, check_plain, names_in, problem, read_regular, require_folder
from coldpin.errors import CaseError, ColdpinError
from coldpin.records.assessment import Problem
from coldpin.records.plain import from_json, to_json
from coldpin.records.tick import Tick

FOLDER = "ticks"
"""The folder of a case in which they stand; made with the first."""

_ENDING = ".json"


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadedTicks:
    """Every tick, oldest first, and what of the folder could not be read."""

    ticks: tuple[Tick, ...] = ()
    problems: tuple[Problem, ...] = ()


def write_tick(folder: Path, tick: Tick) -> Tick:
    """Put a tick on the disk; when this returns it is there to stay.

    No lock is needed: each is a file of its own.

    Parameters
    ----------
    folder : Path
        The case's ``ticks``.
    tick : Tick
        What is to be kept.

    Returns
    -------
    Tick
        The same, as acknowledgement.

    Raises
    ------
    CaseError
        It is not as a tick must be, or another has its id; nothing was written.
    StorageError
        The disk refused; nothing was written.
    """
    _check(tick)
    require_folder(folder, what="the folder of ticks")
    if not write_new(folder / f"{tick.id}{_ENDING}", to_json(tick).encode(), what="the tick"):
        raise CaseError(f"another tick has the id {tick.id}: tick once more")
    return tick


def load_ticks(folder: Path) -> LoadedTicks:
    """Read every tick; one that is broken costs itself only.

    Parameters
    ----------
    folder : Path
        The case's ``ticks``; it need not be there.

    Returns
    -------
    LoadedTicks
        In the order in which they were made.

    Raises
    ------
    CaseError
        The folder cannot be listed.
    """
    ticks, problems = [], []
    for name in names_in(folder):
        try:
            tick = from_json(Tick, read_regular(folder / name, limit=MAXIMUM_TEXT), where=f"{FOLDER}/{name}")
            _check(tick)
            if name != f"{tick.id}{_ENDING}":
                raise CaseError(f"holds tick {tick.id}: rename it to that")
            ticks.append(tick)
        except (ColdpinError, RecursionError) as error:
            problems.append(problem(f"{FOLDER}/{name}", error, root=folder.parent))
    return LoadedTicks(ticks=tuple(sorted(ticks, key=lambda tick: tick.id)), problems=tuple(problems))


def _check(tick: Tick) -> None:
    if not ID.fullmatch(tick.id):
        raise CaseError(f"id of tick {tick.id[:60]!r} is none that coldpin makes")
    parse_instant(tick.recorded, what="time of the tick")
    for what, text in (("who ticks", tick.who), ("the test", tick.test), ("the line", tick.words)):
        if not text.strip():
            raise CaseError(f"{what} is not said: a tick names who, of which test, and which line")
        if len(text) > LONGEST_TEXT:
            raise CaseError(f"{what} is {len(text)} characters long; at most {LONGEST_TEXT} are taken")
        check_plain(text, where=what)

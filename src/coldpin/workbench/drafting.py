"""The draft of a report: made from the case as it stands, or taken from the cache where nothing has changed since.

What is remembered hangs on every byte that an assessment can depend on: all files of the case and what its shelf lends
it, the program's own files, the libraries, the interpreter. Parts of it, such as what one capture shows, are kept each
by all that they are made of (:mod:`coldpin.casefile.pieces`), so that one more entry computes little anew. Nothing
is remembered of a case that changed while it was assessed, or where checks of other packages take part, whose files are
not ours to watch.
"""

from __future__ import annotations

import hashlib
import os
import stat
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from importlib.metadata import entry_points
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coldpin import __version__
from coldpin.casefile.cache import Cache, cache_key
from coldpin.casefile.case import Case, open_case
from coldpin.casefile.pieces import Pieces
from coldpin.casefile.storage import LOCK, TEMPORARY
from coldpin.casefile.untrusted import open_regular
from coldpin.errors import CaseError
from coldpin.records.assessment import Assessment
from coldpin.records.instrument import SHELF_FILE
from coldpin.records.keeping import Keeping, made_anew
from coldpin.records.plain import from_json, to_json
from coldpin.workbench import ahead
from coldpin.workbench.beside import Line
from coldpin.workbench.clock import now as clock
from coldpin.workbench.environment import environment

REPORT = ("assessment.json", "report.html", "report.pdf")
"""The files of a draft: record, page, sheet."""

SUMMARY = ("summary.svg", "summary.png")
"""The summary picture beside a draft, for a page and for a video."""

CHECKS_OF_OTHERS = "coldpin.checks"
NOT_READ = ("cache", "report", "private", "private.toml", "ticks")
"""What of a case no assessment reads: made from it, about what is published of it, or a reminder at the bench."""

_CHUNK = 1 << 20
_SHA256 = "sha256"


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """An assessment and where its report and its summary picture were written."""

    assessment: Assessment
    record: Path
    page: Path
    sheet: Path
    summary: tuple[Path, ...] = ()


def write_report(
    folder: Path | str,
    *,
    progress: Callable[[float], None] | None = None,
    fresh: bool = False,
    second: Callable[[], Line | None] = lambda: None,
    told: Callable[[Assessment], None] = lambda _: None,
) -> Written:
    """Assess a case and write its draft report: the record, one page, one PDF.

    Parameters
    ----------
    folder : Path or str
        The case.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.
    fresh : bool
        True to take nothing from the cache.
    second : callable
        Gives the line to a second process that helps, as :func:`coldpin.workbench.ahead.second_process` does; asked
        where there is something to make. Without it all is made by this process.
    told : callable
        Told the assessment once, as soon as it is known, before its report is made.

    Returns
    -------
    Written
        The record and the files.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    StorageError
        The disk refused.
    """
    case = open_case(folder)

    def make() -> tuple[Assessment, dict[str, bytes]]:
        from coldpin.workbench.assessing import assess
        from coldpin.workbench.rendering import render_and

        keep = keeping(case, fresh=fresh)
        line = second() if isinstance(keep, Pieces) else None
        if line is None or not isinstance(keep, Pieces):
            assessment, pencil = assess(folder, progress=progress, keep=keep), None
        else:
            beginning = partial(ahead.begin_check, line)
            shared = replace(keep, turn=partial(ahead.turn, line))
            assessment = assess(folder, progress=progress, keep=shared, begun=beginning)
            pencil = ahead.give_to_draw(line, assessment)
        told(assessment)
        # what draws loads long, and a second process has it loaded by now and begins
        from coldpin.report.figures.summary import summary_png, summary_svg

        report, pictures = render_and(
            assessment, lambda: (summary_svg(assessment), summary_png(assessment)), pencil=pencil
        )
        return assessment, dict(zip((*REPORT, *SUMMARY), (*report, *pictures), strict=True))

    assessment, files = _remembered(case, "report", (*REPORT, *SUMMARY), make, fresh=fresh, told=told)
    case.clear_leftovers(now=clock())
    record, page, sheet = (case.write_report(name, files[name]) for name in REPORT)
    summary = tuple(case.write_report(name, files[name]) for name in SUMMARY)
    return Written(assessment=assessment, record=record, page=page, sheet=sheet, summary=summary)


def assessment_of(
    folder: Path | str, *, progress: Callable[[float], None] | None = None, fresh: bool = False
) -> Assessment:
    """Return the assessment of a case: the remembered one where nothing has changed since it was made.

    That of a draft which is remembered serves too.

    Parameters
    ----------
    folder : Path or str
        The case.
    progress : callable, optional
        Told the fraction done; what it raises stops the work.
    fresh : bool
        True to take nothing from the cache.

    Returns
    -------
    Assessment
        As :func:`coldpin.workbench.assess` makes it.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    """
    case = open_case(folder)

    def make() -> tuple[Assessment, dict[str, bytes]]:
        from coldpin.workbench.assessing import assess

        assessment = assess(folder, progress=progress, keep=keeping(case, fresh=fresh))
        return assessment, {REPORT[0]: to_json(assessment).encode()}

    draft = None if fresh else case_key(case, "report")
    if draft is not None and (found := _loaded(case.cache, draft, (*REPORT, *SUMMARY))) is not None:
        return found[0]
    return _remembered(case, "record", REPORT[:1], make, fresh=fresh)[0]


def case_key(case: Case, what: str) -> str | None:
    """Return the name under which something made from a case as it stands is remembered.

    Parameters
    ----------
    case : Case
        The case.
    what : str
        What is made from it.

    Returns
    -------
    str or None
        64 hexadecimal digits; None where nothing may be remembered: part of the case cannot be read, or checks of
        other packages take part.
    """
    if entry_points(group=CHECKS_OF_OTHERS):
        return None
    digest = hashlib.sha256(case.folder.name.encode("utf-8", "surrogateescape"))
    try:
        for name, content in _contents(case.folder):
            label = name.encode("utf-8", "surrogateescape")
            digest.update(b"%d\0%b\0%b" % (len(label), label, content.encode()))
    except (OSError, CaseError):
        return None
    options = {"made": what, "with": to_json(environment())}
    return cache_key(digest.hexdigest(), dialect=None, options=options, program_version=__version__)


def keeping(case: Case, *, fresh: bool = False) -> Keeping:
    """Return what keeps the parts of an assessment; nothing does where checks of others take part.

    Parameters
    ----------
    case : Case
        The case, in whose cache they are kept.
    fresh : bool
        True to keep nothing and take nothing.

    Returns
    -------
    Keeping
        What :func:`coldpin.workbench.assess` takes.
    """
    if fresh or entry_points(group=CHECKS_OF_OTHERS):
        return made_anew
    return Pieces(cache=case.pieces, program=to_json(environment()))


def _remembered(
    case: Case,
    what: str,
    names: tuple[str, ...],
    make: Callable[[], tuple[Assessment, dict[str, bytes]]],
    *,
    fresh: bool,
    told: Callable[[Assessment], None] = lambda _: None,
) -> tuple[Assessment, dict[str, bytes]]:
    """Return what is in the cache, else what is made, which is then kept if the case did not change meanwhile.

    ``told`` is told what was in the cache; of what is made, whoever makes it tells.
    """
    key = None if fresh else case_key(case, what)
    if key is not None and (found := _loaded(case.cache, key, names)) is not None:
        told(found[0])
        return found
    assessment, files = make()
    if key is not None and case_key(case, what) == key:
        case.cache.store(key, _stored(files))
    return assessment, files


def _stored(files: Mapping[str, bytes]) -> dict[str, NDArray[Any]]:
    held: dict[str, NDArray[Any]] = {name: np.frombuffer(data, dtype=np.uint8) for name, data in files.items()}
    return {**held, _SHA256: np.array(_hash_of(files))}


def _loaded(cache: Cache, key: str, names: tuple[str, ...]) -> tuple[Assessment, dict[str, bytes]] | None:
    """Return what is in the cache, if it is whole and can be read."""
    held = cache.load(key)
    if held is None or set(held) != {*names, _SHA256}:
        return None
    files = {name: held[name].tobytes() for name in names}
    if str(held[_SHA256]) != _hash_of(files):
        return None
    try:
        return from_json(Assessment, files[REPORT[0]], where="the cache"), files
    except CaseError:
        return None


def _hash_of(files: Mapping[str, bytes]) -> str:
    digest = hashlib.sha256()
    for name, data in sorted(files.items()):
        digest.update(b"%b\0%d\0%b" % (name.encode(), len(data), data))
    return digest.hexdigest()


def _contents(folder: Path) -> Iterator[tuple[str, str]]:
    """Give every file that an assessment may read, with the hash of what is in it."""
    yield from _below(folder, "case", leaving=NOT_READ)
    shelf = folder.resolve().parent
    if os.path.lexists(shelf / SHELF_FILE):
        yield from _file(shelf / SHELF_FILE, SHELF_FILE)
        yield from _below(shelf / "dialects", "shelf's dialects")


def _below(folder: Path, name: str, *, leaving: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    if not os.path.lexists(folder):
        return
    for entry in sorted(os.scandir(folder), key=lambda entry: entry.name):
        if entry.name in leaving or entry.name == LOCK or entry.name.startswith(TEMPORARY):
            continue
        inner = f"{name}/{entry.name}"
        if entry.is_dir(follow_symlinks=False):
            yield inner, "a folder"
            yield from _below(Path(entry.path), inner)
        else:
            yield from _file(Path(entry.path), inner)


def _file(path: Path, name: str) -> Iterator[tuple[str, str]]:
    if not stat.S_ISREG(path.lstat().st_mode):
        yield name, "no plain file"  # an assessment does not open it
        return
    digest = hashlib.sha256()
    with open_regular(path) as descriptor:
        while piece := os.read(descriptor, _CHUNK):
            digest.update(piece)
    yield name, digest.hexdigest()

"""What was brought to a case: what each file seems to show, how it would be read, and filing it.

Several files may come at once; the two of a capture lie side by side and are filed under one entry.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coldpin.capture import dialect_lines
from coldpin.capture.first_look import FirstLook, first_look, try_as
from coldpin.casefile.arrivals import FILING, Arrival, find_arrival
from coldpin.errors import CaseError, ColdpinError
from coldpin.records.assessment import Problem
from coldpin.records.file_words import Sort
from coldpin.records.form_field import FormField
from coldpin.records.log import LogQuantity
from coldpin.records.vocabulary import showing
from coldpin.workbench.entries import Added, add_evidence
from coldpin.workbench.reading_options import READ_BY
from coldpin.workbench.shelving import open_bench

HEADER_FIRST = (".cfg", ".hdr")
"""Endings of headers that name their samples: filed before what lies beside them, they take it along."""


SHOWN_BY = {
    Sort.PICTURE: "photograph",
    Sort.VIDEO: "video",
    Sort.PAPER: "document",
    Sort.PAGE: "listing snapshot",
    Sort.BOARD: "board drawing",
    Sort.CAPTURE: "pilot capture",
    Sort.LOG: "charging log",
    Sort.OTHER: "document",
}
"""The word that most files of a sort are filed under; whoever files them says which it is."""

WARM = "heating log"
"""The word for a log of temperatures."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ArrivedFile:
    """A file that waits to be filed.

    Parameters
    ----------
    name : str
        What it is called.
    size : int
        [bytes]
    beside : tuple of str
        What came with it and is filed under the same entry.
    proposed : str
        The word of the vocabulary that it seems to show.
    content : str
        What its content is.
    picture : bool
        Whether it is a picture.
    rows : tuple of str
        Its first rows as they stand.
    columns : tuple of str
        Names of its columns.
    read : tuple of tuple of str
        How it would be read, name by name; empty where it would not, or is not read at all.
    asks : str
        Why it cannot be read as it stands; empty where it can.
    """

    name: str
    size: int
    beside: tuple[str, ...]
    proposed: str
    content: str
    picture: bool
    rows: tuple[str, ...]
    columns: tuple[str, ...]
    read: tuple[tuple[str, str], ...]
    asks: str


def look_at_arrival(arrival: Arrival) -> tuple[ArrivedFile, ...]:
    """Say what files seem to be that wait to be filed.

    Parameters
    ----------
    arrival : Arrival
        The files.

    Returns
    -------
    tuple of ArrivedFile
        In order of name; samples whose header lies beside them are told with it.

    Raises
    ------
    CaseError
        The folder is gone.
    """
    names = arrival.names()
    stems = {Path(name).stem: name for name in names if Path(name).suffix.casefold() in HEADER_FIRST}
    taken = {name: stems[Path(name).stem] for name in names if Path(name).stem in stems and name not in stems.values()}
    return tuple(
        _arrived(arrival.file(name), tuple(one for one, header in taken.items() if header == name))
        for name in names
        if name not in taken
    )


def _arrived(path: Path, beside: tuple[str, ...]) -> ArrivedFile:
    try:
        look = first_look(path)
    except ColdpinError as error:
        look = FirstLook(sort=Sort.OTHER, content="nothing that can be opened", asks=str(error))
    return ArrivedFile(
        name=path.name,
        size=path.stat().st_size,
        beside=beside,
        proposed=WARM if LogQuantity.TEMPERATURE in look.quantities else SHOWN_BY[look.sort],
        content=look.content,
        picture=look.sort is Sort.PICTURE,
        rows=look.rows,
        columns=look.columns,
        read=() if look.dialect is None else dialect_lines(look.dialect),
        asks=look.asks if look.sort in READ_BY else "",
    )


def reading_choices(word: str) -> tuple[FormField, ...]:
    """Return what may be said by hand of how a file is read that shows a word.

    Parameters
    ----------
    word : str
        A word of the vocabulary.

    Returns
    -------
    tuple of FormField
        Empty where it is filed as it is.

    Raises
    ------
    UnknownName
        The word is not in the vocabulary.

    Examples
    --------
    >>> [one.name for one in reading_choices("charging log")][:2], reading_choices("photograph")
    (['column', 'time'], ())
    """
    return READ_BY.get(_sort_of(word), ())


def _sort_of(word: str) -> Sort:
    return {"capture": Sort.CAPTURE, "log": Sort.LOG}.get(showing(word).recorded_as, Sort.OTHER)


def try_arrived(
    case: Path | str,
    arrival: Arrival,
    name: str,
    *,
    shows: str,
    instrument: str = "",
    choices: Mapping[str, str | float | int | Sequence[str]] | None = None,
) -> tuple[tuple[tuple[str, str], ...], str]:
    """Say how a file that waits would be read, from its first lines and from choices by hand; nothing is written.

    Parameters
    ----------
    case : Path or str
        The case.
    arrival : Arrival
        The files.
    name : str
        Which of them.
    shows : str
        A word of the vocabulary.
    instrument : str
        Its name on the shelf: how its files were read last is tried first.
    choices : mapping, optional
        How it is to be read.

    Returns
    -------
    tuple of tuple and str
        How, name by name; or nothing, and what is asked.

    Raises
    ------
    UnknownName
        There is no such file or word.
    """
    sort = _sort_of(shows)
    if sort not in READ_BY:
        return (), ""
    try:
        remembered = open_bench(case).remembered(instrument, log=sort is Sort.LOG)
        dialect, asks = try_as(arrival.file(name), sort, dict(choices or {}), remembered)
    except ColdpinError as error:
        return (), str(error)
    return (() if dialect is None else dialect_lines(dialect)), asks


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledArrivals:
    """What of an arrival was filed, and what was not, with the reason; that is still there."""

    added: tuple[Added, ...]
    left: tuple[Problem, ...] = ()


def file_arrived(
    case: Path | str,
    arrival: Arrival,
    *,
    names: Sequence[str] = (),
    shows: str,
    who: str,
    choices: Mapping[str, str | float | int | Sequence[str]] | None = None,
    progress: Callable[[float], None] | None = None,
    **stated: Any,
) -> FiledArrivals:
    """File files that arrived, each by an entry of its own that shows the same.

    Parameters
    ----------
    case : Path or str
        The case.
    arrival : Arrival
        The files.
    names : sequence of str
        Which of them; all where none is named.
    shows : str
        A word of the vocabulary.
    who : str
        Who files them.
    choices : mapping, optional
        How a capture or log is to be read.
    progress : callable, optional
        Told the fraction done.
    **stated
        What else :func:`coldpin.workbench.entries.add_evidence` takes.

    Returns
    -------
    FiledArrivals
        What was filed is no longer in the arrival.

    Raises
    ------
    UnknownName
        The arrival holds no file of such a name.
    """
    wanted = [arrival.file(name) for name in names or arrival.names()]
    wanted.sort(key=lambda path: path.suffix.casefold() not in HEADER_FIRST)
    sizes = [path.stat().st_size for path in wanted]
    added: list[Added] = []
    left: list[Problem] = []
    taken: set[str] = set()
    for number, path in enumerate(wanted):
        if path.name in taken:
            continue
        told = _share(progress, sizes, number)
        try:
            one = add_evidence(case, path, shows=shows, who=who, choices=choices, progress=told, **stated)
        except ColdpinError as error:
            left.append(Problem(where=path.name, what=str(error)))
            continue
        added.append(one)
        beside = one.entry.evidence.companion if one.entry.evidence is not None else None
        taken |= {path.name} | ({beside.original_name} if beside is not None else set())
    if taken:
        arrival.drop(*taken)
    return FiledArrivals(added=tuple(added), left=tuple(left))


def _share(
    progress: Callable[[float], None] | None, sizes: Sequence[int], number: int
) -> Callable[[float], None] | None:
    """Tell one file of several, by the bytes of each."""
    total, before = sum(sizes) or 1, sum(sizes[:number])
    return None if progress is None else lambda part: progress((before + part * sizes[number]) / total)


def file_waiting(
    case: Path,
    token: str,
    *,
    names: Sequence[str] = (),
    shows: str,
    who: str,
    progress: Callable[[float], None] | None = None,
    **stated: Any,
) -> FiledArrivals:
    """File files that wait; ended at any moment, :func:`coldpin.workbench.settling.settle` puts right what is half.

    Parameters
    ----------
    case : Path
        The case.
    token : str
        Name of the arrival.
    names : sequence of str
        Which of its files; all where none is named.
    shows : str
        A word of the vocabulary.
    who : str
        Who files them.
    progress : callable, optional
        Told the fraction done.
    **stated
        What else :func:`file_arrived` takes.

    Returns
    -------
    FiledArrivals
        At least one file was filed.

    Raises
    ------
    UnknownName
        There is no such arrival, file or word.
    CaseError
        None of them could be filed; they wait still.
    StorageError
        The disk refused.
    """
    arrival = find_arrival(case, token)
    with arrival.held(FILING):
        filed = file_arrived(case, arrival, names=names, shows=shows, who=who, progress=progress, **stated)
        if not filed.added:
            arrival.settled()
            raise CaseError("; ".join(one.what for one in filed.left))
    if filed.left:
        arrival.settled()
    return filed

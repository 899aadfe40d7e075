"""Writing into a case at the bench: evidence, readings and observations, corrections."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from coldpin.capture import open_samples, read_waveform
from coldpin.capture.frames import FrameSource
from coldpin.capture.log import read_log
from coldpin.casefile import new_entry
from coldpin.errors import CaseError, InputError
from coldpin.records.dialect import Dialect
from coldpin.records.entry import FIRST_STAMP, Entry, EntryKind, EvidenceFile
from coldpin.records.vocabulary import showing
from coldpin.workbench.board_filing import file_drawing
from coldpin.workbench.capture_reading import require_readable
from coldpin.workbench.clock import now as clock
from coldpin.workbench.first_stamp import made_by_stamp
from coldpin.workbench.look import is_long
from coldpin.workbench.observing import (
    CUSTODY,
    observed,
    require_instrument,
    require_standing,
    require_units,
    written_pairs,
)
from coldpin.workbench.public_files import telling_columns, told_in_file, told_of_columns
from coldpin.workbench.same_content import (
    digest_of_log,
    digest_of_source,
    digest_of_waveform,
    held_twice,
    keep_digest,
)
from coldpin.workbench.shelving import Bench, open_bench
from coldpin.workbench.trial import require_usable

MEDIA = {"video": "video", "document": "document", "listing snapshot": "listing"}
"""What a filed piece of evidence is, by what it shows; anything else is a photograph."""

_DECODED = ("capture", "log", "board")
"""Forms of evidence that are read before they are filed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """What filing a piece of evidence did: the entry, and how a capture or log was read."""

    entry: Entry
    dialect: Dialect | None = None
    remarks: tuple[str, ...] = ()


def add_evidence(
    folder: Path | str,
    path: Path | str | None,
    *,
    shows: str,
    who: str,
    made: datetime | str | None = None,
    address: str = "",
    time_code: str = "",
    conditions: Mapping[str, str] | None = None,
    instrument: str = "",
    supply_voltage: str = "",
    ambient: str = "",
    humidity: str = "",
    note: str = "",
    private: bool = False,
    choices: Mapping[str, str | float | int | Sequence[str]] | None = None,
    remember: bool = True,
    now: datetime | None = None,
    progress: Callable[[float], None] | None = None,
    random_bytes: Callable[[int], bytes] = secrets.token_bytes,
) -> Added:
    """File a capture, log, board, photograph, video, document or listing, and write the entry that tells what it shows.

    A capture or log is read before it is filed: what cannot be read is refused with the choices, and how it was read is
    kept with the case and remembered for the instrument on the shelf. A capture that comes in two files (a COMTRADE
    header and its samples) is filed with both under one entry. The drawing of a board is filed as the next version of
    its part, and its entry takes the place of that of the version before.

    Parameters
    ----------
    folder : Path or str
        The case.
    path : Path or str or None
        The file; None where the evidence is at an address.
    shows : str
        A word of the vocabulary.
    who : str
        Who files it.
    made : datetime or str, optional
        When it was taken, with zone; where left out, that of a log is by its first stamp, of anything else now.
    address, time_code : str
        Where it is to be seen, and at which time of a video.
    conditions : mapping of str to str, optional
        Conditions the vocabulary has for this word.
    instrument : str
        Its name on the shelf.
    supply_voltage, ambient, humidity : str
        Texts with unit, where known.
    note : str
        Anything else.
    private : bool
        Kept out of what is published.
    choices : mapping, optional
        How to read a capture, as for :func:`coldpin.capture.read_waveform`, or a log, as for
        :func:`coldpin.capture.log.read_log`.
    remember : bool
        Whether later files of the instrument are read alike.
    now : datetime, optional
        The instant of writing; the clock's where left out.
    progress : callable, optional
        Told the fraction done.
    random_bytes : callable, optional
        Source of the id's random part.

    Returns
    -------
    Added
        The entry, and how a capture or log was read.

    Raises
    ------
    CaptureError
        A capture, log or drawing cannot be read, or only in more than one way.
    CaseError
        The file cannot be filed, is the newest version of a drawing already, or the entry is not as it must be.
    StorageError
        The disk refused.
    """
    bench = open_bench(folder)
    require_instrument(bench, instrument)
    require_units(shows, conditions or {})
    piece = _file_piece(
        bench,
        path,
        shows,
        conditions=conditions or {},
        instrument=instrument,
        choices=choices,
        address=address,
        time_code=time_code,
        progress=progress,
    )
    before, dialect = piece.before, piece.dialect
    written = now or clock()
    stamped, told = (None, "") if made else made_by_stamp(piece.began, written, bench.zone())
    entry = new_entry(
        EntryKind.CORRECTION if before else EntryKind.CUSTODY if shows in CUSTODY else EntryKind.EVIDENCE,
        shows,
        who,
        made or stamped or written,
        recorded=written,
        made_by=FIRST_STAMP if stamped else "",
        conditions=conditions,
        instrument=instrument,
        supply_voltage=supply_voltage,
        ambient=ambient,
        humidity=humidity,
        evidence=piece.file,
        replaces=before.id if before else "",
        reason=piece.reason if before else "",
        private=private or (before is not None and before.private),
        note=note,
        random_bytes=random_bytes,
    )
    if dialect is not None:
        bench.case.store_dialect(piece.file.sha256, dialect)
    bench.case.append(entry)
    if dialect is not None and remember and bench.shelf and instrument:
        bench.shelf.remember_dialect(instrument, dialect)
    said = tuple(filter(None, (told, _held_before(bench, entry))))
    return Added(entry=entry, dialect=dialect, remarks=(*piece.remarks, *said, *_of_columns(entry, path)))


def _held_before(bench: Bench, entry: Entry) -> str:
    """Ask about a recording that seems to be one which the case holds already."""
    if entry.evidence is None or showing(entry.shows).recorded_as not in ("capture", "log"):
        return ""
    earlier = held_twice(bench.case, bench.case.effective().entries).get(entry.id)
    return "" if earlier is None else f"it holds what entry {earlier} holds: the same recording?"


def _of_columns(entry: Entry, path: Path | str | None) -> tuple[str, ...]:
    """Say while the file is at hand what of its columns others would read."""
    if entry.private or entry.evidence is None or path is None:
        return ()
    text, of_instrument = told_in_file(Path(path), entry.evidence)
    told = told_of_columns(telling_columns(text)) if of_instrument else ""
    return (told,) if told else ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Piece:
    """A piece of evidence as filed: how it was read, and the entry whose place it takes, with the reason.

    ``began`` is the first stamp of a log; empty where it has none.
    """

    file: EvidenceFile
    dialect: Dialect | None = None
    remarks: tuple[str, ...] = ()
    before: Entry | None = None
    reason: str = ""
    began: str = ""


def _file_piece(
    bench: Bench,
    path: Path | str | None,
    shows: str,
    *,
    conditions: Mapping[str, str],
    instrument: str,
    choices: Mapping[str, str | float | int | Sequence[str]] | None,
    address: str,
    time_code: str,
    progress: Callable[[float], None] | None,
) -> _Piece:
    """Read what has to be read before it is filed, and file it."""
    form = showing(shows).recorded_as
    if path is None:
        if form in _DECODED:
            raise CaseError(f"a {form} must be a file: an address cannot be decoded")
        if not address:
            raise CaseError("nothing to file: give a file or an address")
        return _Piece(
            file=EvidenceFile(media=MEDIA.get(shows, "photograph"), address=address, time_code=time_code),
        )
    if form == "board":
        drawing = file_drawing(bench, path, conditions)
        file = replace(drawing.file, address=address, time_code=time_code)
        return _Piece(file=file, remarks=drawing.remarks, before=drawing.replaces, reason=drawing.reason)
    dialect: Dialect | None = None
    remarks: tuple[str, ...] = ()
    beside: EvidenceFile | None = None
    began = digest = ""
    copying = progress
    if form == "capture":
        plain, remembered = _plain(choices), bench.remembered(instrument)
        if is_long(Path(path), plain, remembered):
            with open_samples(Path(path), choices=plain, remembered=remembered) as source:
                if isinstance(source, FrameSource):  # what lies evenly in its file need not be read to be known
                    dialect, remarks = source.dialect, source.remarks
                    digest = digest_of_source(source)
        if dialect is None:
            reading, copying = _part(progress, 0.0), _part(progress, 0.5)
            capture = read_waveform(Path(path), choices=plain, remembered=remembered, progress=reading)
            dialect, remarks, digest = capture.dialect, capture.remarks, digest_of_waveform(capture.waveform)
            beside = None if capture.companion is None else bench.case.file_evidence(capture.companion, form)
    if form == "log":
        reading, copying = _part(progress, 0.0), _part(progress, 0.5)
        read = read_log(path, choices=choices, remembered=bench.remembered(instrument, log=True), progress=reading)
        dialect, remarks, began, digest = read.dialect, read.remarks, read.log.began, digest_of_log(read.log)
    media = form if form in _DECODED else MEDIA.get(shows, "photograph")
    filed = bench.case.file_evidence(path, media, progress=copying)
    filed = replace(filed, address=address, time_code=time_code, companion=beside)
    keep_digest(bench.case, filed, digest)
    return _Piece(file=filed, dialect=dialect, remarks=remarks, began=began)


def _part(progress: Callable[[float], None] | None, before: float) -> Callable[[float], None] | None:
    """Tell half of the work: a file that is read is gone through once to read it and once to copy it."""
    return None if progress is None else lambda part: progress(before + 0.5 * part)


def _plain(choices: Mapping[str, str | float | int | Sequence[str]] | None) -> dict[str, str | float | int]:
    """Return the options of a capture; one that takes several values is not among them and is refused by its name."""
    return {name: value if isinstance(value, str | float | int) else "" for name, value in (choices or {}).items()}


def record(
    folder: Path | str,
    *,
    shows: str,
    who: str,
    made: datetime | str | None = None,
    readings: Sequence[str] = (),
    answer: str = "",
    pairs: Mapping[str, str] | None = None,
    conditions: Mapping[str, str] | None = None,
    instrument: str = "",
    supply_voltage: str = "",
    ambient: str = "",
    humidity: str = "",
    note: str = "",
    private: bool = False,
    now: datetime | None = None,
    random_bytes: Callable[[int], bytes] = secrets.token_bytes,
) -> Entry:
    """Write down a reading or an observation.

    Parameters
    ----------
    folder : Path or str
        The case.
    shows : str
        A word of the vocabulary.
    who : str
        Who read or saw it.
    made : datetime or str, optional
        When, with zone; now where left out.
    readings : sequence of str
        As a person writes them, one text per repeat.
    answer : str
        "yes", "no" or "cannot tell".
    pairs : mapping of str to str, optional
        Of a wiring map: ``"L > L1"`` to "joined", "open" or a resistance.
    conditions : mapping of str to str, optional
        Conditions the vocabulary has for this word.
    instrument : str
        Its name on the shelf.
    supply_voltage, ambient, humidity : str
        Texts with unit, where known.
    note : str
        Anything else.
    private : bool
        Kept out of what is published.
    now : datetime, optional
        The instant of writing; the clock's where left out.
    random_bytes : callable, optional
        Source of the id's random part.

    Returns
    -------
    Entry
        As written; it is on the disk.

    Raises
    ------
    CaseError
        The instrument is not on the shelf, or no check could use the entry as it is; nothing was written.
    InputError
        It is not as an entry must be; nothing was written.
    StorageError
        The disk refused; nothing was written.
    """
    bench = open_bench(folder)
    entry = observed(
        bench,
        shows=shows,
        who=who,
        made=made,
        readings=readings,
        answer=answer,
        pairs=pairs,
        conditions=conditions,
        instrument=instrument,
        supply_voltage=supply_voltage,
        ambient=ambient,
        humidity=humidity,
        note=note,
        private=private,
        now=now,
        random_bytes=random_bytes,
    )
    return bench.case.append(entry)


def correct(
    folder: Path | str,
    word: str,
    *,
    who: str,
    reason: str,
    readings: Sequence[str] | None = None,
    answer: str | None = None,
    pairs: Mapping[str, str] | None = None,
    conditions: Mapping[str, str] | None = None,
    instrument: str | None = None,
    supply_voltage: str | None = None,
    ambient: str | None = None,
    humidity: str | None = None,
    note: str | None = None,
    made: datetime | str | None = None,
    private: bool = False,
    withdraw: bool = False,
    now: datetime | None = None,
    random_bytes: Callable[[int], bytes] = secrets.token_bytes,
) -> Entry:
    """Correct an entry: the earlier one stays and can be seen, the new one takes its place.

    Parameters
    ----------
    folder : Path or str
        The case.
    word : str
        The id of the entry, or enough of it to be the only one.
    who : str
        Who corrects.
    reason : str
        Why; a correction without a reason is refused.
    readings, answer, pairs, conditions, instrument, supply_voltage, ambient, humidity, note : optional
        What is to be different; what is left out is taken over from the entry that is corrected. Pairs and conditions
        are laid over the earlier ones; a pair or condition of an empty text is taken out.
    made : datetime or str, optional
        When it happened, where that was wrong.
    private : bool
        Keep it out of what is published from now on, and the earlier entry with it; what is private stays so.
    withdraw : bool
        Take the entry back and put nothing in its place.
    now : datetime, optional
        The instant of writing; the clock's where left out.
    random_bytes : callable, optional
        Source of the id's random part.

    Returns
    -------
    Entry
        The correction.

    Raises
    ------
    CorrectedBefore
        Somebody corrected it before; the correction is named.
    InputError
        There is no such entry, nothing would change, the result is not as an entry must be, no check could use it, or a
        capture cannot be read in the way its conditions say.
    StorageError
        The disk refused; nothing was written.
    """
    bench = open_bench(folder)
    require_instrument(bench, instrument or "")
    case = bench.case
    old = case.find_entry(word)
    changes = (readings, answer, pairs, conditions, instrument, supply_voltage, ambient, humidity, note, made)
    if not (withdraw or private) and all(change is None for change in changes):
        raise InputError(f"nothing to correct in entry {old.id}: give what is to be different, or withdraw it")
    require_standing(case, old)
    changed = {name: text for name, text in (conditions or {}).items() if text != old.conditions.get(name)}
    require_units(old.shows, changed)
    written = now or clock()
    correction = new_entry(
        EntryKind.CORRECTION,
        old.shows,
        who,
        made or old.made,
        recorded=written,
        made_by="" if made else old.made_by,
        readings=() if withdraw else tuple(old.readings if readings is None else readings),
        answer="" if withdraw else old.answer if answer is None else answer,
        pairs={} if withdraw else _laid_over(old.pairs, written_pairs(bench, pairs)),
        conditions=_laid_over(old.conditions, conditions or {}),
        instrument=old.instrument if instrument is None else instrument,
        supply_voltage=old.supply_voltage if supply_voltage is None else supply_voltage,
        ambient=old.ambient if ambient is None else ambient,
        humidity=old.humidity if humidity is None else humidity,
        evidence=None if withdraw else old.evidence,
        replaces=old.id,
        reason=reason,
        withdraws=withdraw,
        private=old.private or private,
        note=old.note if note is None else note,
        random_bytes=random_bytes,
    )
    require_usable(bench, correction)
    if showing(correction.shows).recorded_as == "capture" and correction.conditions != old.conditions and not withdraw:
        require_readable(bench, correction)
    return case.append(correction)


def _laid_over(old: Mapping[str, str], new: Mapping[str, str]) -> dict[str, str]:
    return {name: text for name, text in {**old, **new}.items() if text.strip()}

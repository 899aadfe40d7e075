"""Event marks beside the log of a charge: put, moved, taken back as entries, so that nothing once marked is lost.

A mark is an entry of its own. To move it is to correct that entry, with a reason: the earlier time stays and can be
seen. A time is written as a person has it: from the log's first row, by another clock, or as a time of the log's
calendar, which is then kept as seconds from the first row.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.checks.charging_logs import LOG, MARK, belongs
from coldpin.checks.event_marks import parse_mark
from coldpin.errors import CaseError, InputError, UnknownName
from coldpin.quantity import parse_quantity
from coldpin.records.entry import Entry
from coldpin.records.session import ClockOffset, EventMark, FiledMark, MarkKind, SessionReading, SessionSource
from coldpin.session.marks import LOG_CLOCK, aligned
from coldpin.workbench.entries import correct, record


def not_placed(reading: SessionReading) -> dict[str, str]:
    """Return why clocks of a charge as read are not aligned with that of its log.

    Parameters
    ----------
    reading : SessionReading
        The charge as read.

    Returns
    -------
    dict
        By clock.
    """
    return {mark.clock: mark.not_placed for mark in reading.marks if mark.not_placed}


def filed_marks(
    folder: Path | str, log: str, clocks: tuple[ClockOffset, ...] = (), why: Mapping[str, str] | None = None
) -> tuple[FiledMark, ...]:
    """Return the marks beside a charging log, as the case stands now.

    Parameters
    ----------
    folder : Path or str
        The case.
    log : str
        Id of the log's entry.
    clocks : tuple of ClockOffset
        What is known of other clocks, from the charge as read.
    why : mapping of str to str, optional
        By clock why it has none, from the charge as read.

    Returns
    -------
    tuple of FiledMark
        By time, those that are not placed last; one that cannot be read is left out, for its check tells it.

    Raises
    ------
    UnknownName
        There is no such charging log.
    CaseError
        The case cannot be read.
    """
    held = open_case(folder).effective().entries
    logs = {one.id: one for one in held if one.shows == LOG}
    if log not in logs:
        raise UnknownName.among("charge", log, logs)
    entries = [one for one in held if one.shows == MARK and belongs(one, logs[log])]
    if len(logs) > 1:
        entries = [one for one in entries if one.conditions.get("log")]
    known = {one.clock: one for one in clocks}
    for stated in (one for entry in entries for one in _offset(entry)):
        read = known.get(stated.clock)
        # an offset that the log contradicts stays so until another is stated
        if read is None or not read.contradicted or read.offset_s.value != stated.offset_s.value:
            known[stated.clock] = stated
    found = [mark for entry in entries for mark in _filed(entry, tuple(known.values()), why)]
    return tuple(sorted(found, key=lambda mark: (mark.not_placed != "", mark.at_s.value)))


def _offset(entry: Entry) -> tuple[ClockOffset, ...]:
    text, clock = entry.conditions.get("offset", ""), entry.conditions.get("clock", "")
    if not text or not clock:
        return ()
    try:
        return (ClockOffset(clock=clock, mark=MarkKind.OTHER, offset_s=parse_quantity(text, "s")),)
    except InputError:
        return ()


def _filed(entry: Entry, clocks: tuple[ClockOffset, ...], why: Mapping[str, str] | None) -> list[FiledMark]:
    found = []
    kind = MarkKind(entry.conditions.get("event") or MarkKind.OTHER)
    clock = entry.conditions.get("clock") or LOG_CLOCK
    for which, written in enumerate(entry.readings):
        try:
            own = parse_quantity(written, "s", id=f"{entry.id}: {which}", label="mark")
        except InputError:
            continue
        (moved,) = aligned([EventMark(kind=kind, at_s=own, clock=clock)], clocks, why)
        found.append(
            FiledMark(
                entry=entry.id,
                which=which,
                kind=kind,
                written=written,
                clock="" if clock == LOG_CLOCK else clock,
                offset=entry.conditions.get("offset", ""),
                offer=entry.conditions.get("offer", ""),
                who=entry.who,
                note=entry.note,
                own_s=own,
                at_s=moved.at_s,
                not_placed=moved.not_placed,
            )
        )
    return found


def put_mark(
    folder: Path | str,
    log: str,
    *,
    event: str,
    at: str,
    who: str,
    clock: str = "",
    offset: str = "",
    offer: str = "",
    note: str = "",
    source: SessionSource | None = None,
    now: datetime | None = None,
) -> Entry:
    """Mark an event beside a charging log.

    Parameters
    ----------
    folder : Path or str
        The case.
    log : str
        Id of the log's entry.
    event : str
        A word of :class:`~coldpin.records.session.MarkKind`.
    at : str
        When: "905 s ± 1 s", "905", or a time of the log's calendar, "14:32:10 ± 1 s".
    who : str
        Who saw it.
    clock : str
        The clock it was read by; that of the log where left out.
    offset : str
        What is to be added to that clock's times, "12 s ± 1 s".
    offer : str
        The new offer, where it was changed: "10 A ± 0.2 A".
    note : str
        Anything else.
    source : SessionSource, optional
        What was read of the log, for times of its calendar.
    now : datetime, optional
        The instant of writing; the clock's where left out.

    Returns
    -------
    Entry
        As written; it is on the disk.

    Raises
    ------
    UnknownName
        There is no such event or charging log.
    InputError
        The time, the offset or the offer cannot be read; nothing was written.
    StorageError
        The disk refused; nothing was written.
    """
    filed_marks(folder, log)
    if event not in set(MarkKind):
        raise UnknownName.among("event", event, MarkKind)
    offset, offer = _readable(offset, "s"), _readable(offer, "A")
    conditions = {"event": event, "log": log, "clock": clock, "offset": offset, "offer": offer}
    return record(
        folder,
        shows=MARK,
        who=who,
        readings=(_time(at, clock, source),),
        conditions={name: text for name, text in conditions.items() if text},
        note=note,
        now=now,
    )


def move_mark(
    folder: Path | str,
    entry: str,
    *,
    at: str,
    who: str,
    reason: str,
    which: int = 0,
    event: str = "",
    offset: str | None = None,
    source: SessionSource | None = None,
    now: datetime | None = None,
) -> Entry:
    """Correct when an event was, what it was, or how far its clock is off; the earlier mark stays and can be seen.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the mark's entry.
    at : str
        When, as for :func:`put_mark`, by the clock of the mark.
    who : str
        Who corrects.
    reason : str
        Why.
    which : int
        Which of the entry's readings, from 0.
    event : str
        Another event; the same where left out.
    offset : str, optional
        What is to be added to the times of the mark's clock; as it was where left out.
    source : SessionSource, optional
        What was read of the log, for times of its calendar.
    now : datetime, optional
        The instant of writing; the clock's where left out.

    Returns
    -------
    Entry
        The correction.

    Raises
    ------
    UnknownName
        There is no such mark or event.
    CaseError
        Nothing would change; nothing was written.
    InputError
        There is no reason, or something cannot be read; nothing was written.
    StorageError
        The disk refused; nothing was written.
    """
    old = _mark(folder, entry)
    if not 0 <= which < len(old.readings):
        raise UnknownName.among("reading of the mark", str(which), map(str, range(len(old.readings))))
    if event and event not in set(MarkKind):
        raise UnknownName.among("event", event, MarkKind)
    written = _time(at, old.conditions.get("clock", ""), source)
    readings = tuple(written if place == which else text for place, text in enumerate(old.readings))
    changed = {"event": event} if event and event != old.conditions.get("event") else {}
    if offset is not None and offset != old.conditions.get("offset", ""):
        changed["offset"] = _readable(offset, "s")
    if readings == tuple(old.readings) and not changed:
        raise CaseError(f"nothing to correct in mark {entry}: give another time, event or offset, or take it back")
    return correct(folder, old.id, who=who, reason=reason, readings=readings, conditions=changed or None, now=now)


def take_back_mark(folder: Path | str, entry: str, *, who: str, reason: str, now: datetime | None = None) -> Entry:
    """Take a mark back; it stays and can be seen, and counts no more.

    Parameters
    ----------
    folder : Path or str
        The case.
    entry : str
        Id of the mark's entry.
    who : str
        Who takes it back.
    reason : str
        Why.
    now : datetime, optional
        The instant of writing; the clock's where left out.

    Returns
    -------
    Entry
        The withdrawal.

    Raises
    ------
    UnknownName
        There is no such mark.
    InputError
        There is no reason; nothing was written.
    StorageError
        The disk refused; nothing was written.
    """
    return correct(folder, _mark(folder, entry).id, who=who, reason=reason, withdraw=True, now=now)


def _mark(folder: Path | str, entry: str) -> Entry:
    marks = {one.id: one for one in open_case(folder).effective().entries if one.shows == MARK}
    if entry not in marks:
        raise UnknownName.among("event mark", entry, marks)
    return marks[entry]


def _time(at: str, clock: str, source: SessionSource | None) -> str:
    """Return a time as it is kept: as written where it counts from a zero, in seconds where it was of a calendar."""
    text = _bare(at, "s")
    if ":" not in text:
        parse_quantity(text, "s")
        return text
    by = f" @{clock}" if clock else ""
    read = parse_mark(
        f"{text}{by} = {MarkKind.OTHER.value}",
        began="" if source is None else source.began,
        clock_steps=() if source is None else source.clock_steps,
    ).at_s
    if read.u is None:
        return f"{read.value:.10g} s"
    _, _, limits = text.partition("±")
    return f"{read.value:.10g} s ± {_bare(limits, 's')}"


def _readable(text: str, unit: str) -> str:
    """Return a text as it is kept, where it is a quantity or empty."""
    written = _bare(text, unit)
    if written:
        parse_quantity(written, unit)
    return written


def _bare(text: str, unit: str) -> str:
    """Return a text with the unit that belongs to it, where it is a number by itself."""
    kept = text.strip()
    try:
        float(kept.replace(",", "."))
    except ValueError:
        return kept
    return f"{kept} {unit}"

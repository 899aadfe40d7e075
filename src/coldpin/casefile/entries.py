"""Entries on the disk: one small file each, written once, never changed."""

from __future__ import annotations

import json
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from coldpin.casefile.acceptance import ID, check_entry, parse_instant
from coldpin.casefile.storage import write_new
from coldpin.casefile.untrusted import (
    MAXIMUM_TEXT,
    check_plain,
    names_in,
    parse_json,
    printable,
    problem,
    read_regular,
    require_folder,
)
from coldpin.errors import CaseError, ColdpinError, InputError
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry, EntryKind, EvidenceFile
from coldpin.records.plain import from_plain, to_plain

ENTRY_FORMAT = "coldpin.entry/1"
"""The value of ``format`` in every entry file."""

_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """What the entries' folder holds.

    ``entries`` can be used, oldest first. ``set_aside`` are records of ours that today's rules would not let in (a
    word no longer known, a reading that cannot be read): shown, corrected like others, but not used. ``problems``
    tells of these and of every file that is no entry at all.
    """

    entries: tuple[Entry, ...]
    set_aside: tuple[Entry, ...] = ()
    problems: tuple[Problem, ...] = ()


def entry_id(recorded: datetime, *, random_bytes: Callable[[int], bytes] = secrets.token_bytes) -> str:
    """Make the id of a new entry.

    Parameters
    ----------
    recorded : datetime
        When it is written down, with zone.
    random_bytes : callable
        Gives so many random bytes; another than the system's makes an example repeatable.

    Returns
    -------
    str
        UTC to the millisecond and fifty random bits: it sorts by time and two programs never make the same.

    Raises
    ------
    CaseError
        The time has no zone.

    Examples
    --------
    >>> entry_id(datetime(2026, 3, 14, 9, 5, 1, 250_000, tzinfo=UTC), random_bytes=bytes)
    '20260314T090501250Z-0000000000'
    """
    if recorded.tzinfo is None:
        raise CaseError(f"time {recorded.isoformat()} does not say its zone: give a time with zone")
    t = recorded.astimezone(UTC)
    stamp = f"{t.year:04}{t.month:02}{t.day:02}T{t.hour:02}{t.minute:02}{t.second:02}{t.microsecond // 1000:03}Z"
    number = int.from_bytes(random_bytes(7)[:7], "big")
    return f"{stamp}-" + "".join(_ALPHABET[(number >> 5 * place) & 31] for place in range(10))


def new_entry(
    kind: EntryKind | str,
    shows: str,
    who: str,
    made: datetime | str,
    *,
    recorded: datetime,
    readings: tuple[str, ...] = (),
    answer: str = "",
    pairs: Mapping[str, str] | None = None,
    conditions: Mapping[str, str] | None = None,
    instrument: str = "",
    supply_voltage: str = "",
    ambient: str = "",
    humidity: str = "",
    evidence: EvidenceFile | None = None,
    replaces: str = "",
    reason: str = "",
    withdraws: bool = False,
    private: bool = False,
    note: str = "",
    made_by: str = "",
    random_bytes: Callable[[int], bytes] = secrets.token_bytes,
) -> Entry:
    """Make an entry with an id of its own, checked and ready to be appended.

    A correction carries everything anew: what it does not repeat is not taken over from the entry it replaces.

    Parameters
    ----------
    kind : EntryKind or str
        What sort of thing it records.
    shows : str
        A word of the vocabulary.
    who : str
        Who did it.
    made : datetime or str
        When it happened, with zone.
    recorded : datetime
        Now, with zone, from the caller's clock.
    readings : tuple of str
        One text per repeat.
    answer : str
        "yes", "no" or "cannot tell".
    pairs : mapping of str to str, optional
        ``"L > L1"`` to "joined", "open" or a resistance.
    conditions : mapping of str to str, optional
        Conditions the vocabulary has for this word.
    instrument : str
        Its name on the shelf.
    supply_voltage, ambient, humidity : str
        Texts with unit, where known.
    evidence : EvidenceFile, optional
        What was filed, or an address.
    replaces : str
        Of a correction: the id of the entry it replaces.
    reason : str
        Of a correction: why.
    withdraws : bool
        Of a correction: nothing takes the place of the earlier entry.
    private : bool
        Keep it out of what is published.
    note : str
        Anything else.
    made_by : str
        What said when it was made, where no person did.
    random_bytes : callable
        Gives so many random bytes, for the id.

    Returns
    -------
    Entry
        The entry.

    Raises
    ------
    CaseError
        The kind is not known, the time has no zone, or a field is not as it must be.
    InputError
        It is not as :func:`coldpin.casefile.acceptance.check_entry` asks in another way.
    """
    try:
        known_kind = EntryKind(kind)
    except ValueError as error:
        raise CaseError(f"kind of entry {kind!r} is not known; known: {', '.join(EntryKind)}") from error
    entry = Entry(
        id=entry_id(recorded, random_bytes=random_bytes),
        kind=known_kind,
        shows=shows,
        made=made.isoformat(timespec="milliseconds") if isinstance(made, datetime) else made,
        recorded=recorded.isoformat(timespec="milliseconds"),
        who=who,
        readings=tuple(readings),
        answer=answer,
        pairs=dict(pairs or {}),
        conditions=dict(conditions or {}),
        instrument=instrument,
        supply_voltage=supply_voltage,
        ambient=ambient,
        humidity=humidity,
        evidence=evidence,
        replaces=replaces,
        reason=reason,
        withdraws=withdraws,
        private=private,
        note=note,
        made_by=made_by,
    )
    check_entry(entry)
    return entry


def write_entry(folder: Path, entry: Entry) -> Entry:
    """Put an entry on the disk; when this returns it is there to stay.

    No lock is needed: each entry is a file of its own, and a name in use is never written again. Writing the same entry
    twice is the same as writing it once.

    Parameters
    ----------
    folder : Path
        The case's ``entries``.
    entry : Entry
        What is to be kept.

    Returns
    -------
    Entry
        The same entry, as acknowledgement.

    Raises
    ------
    InputError
        It is not as an entry must be; nothing was written.
    StorageError
        The disk refused; nothing was written.
    CaseError
        Another entry has its id.
    """
    check_entry(entry)
    require_folder(folder, what="the folder of entries")
    plain = {"format": ENTRY_FORMAT, **_without_defaults(to_plain(entry))}
    data = (json.dumps(plain, ensure_ascii=False, indent=1, allow_nan=False) + "\n").encode()
    path = folder / f"{entry.id}.json"
    if not write_new(path, data, what=f"entry {entry.shows!r}") and read_regular(path, limit=MAXIMUM_TEXT) != data:
        raise CaseError(f"another entry has the id {entry.id}: make this one anew; the other was left as it is")
    return entry


def load_entries(folder: Path) -> Loaded:
    """Read every entry; one that is broken costs itself only.

    Parameters
    ----------
    folder : Path
        The case's ``entries``.

    Returns
    -------
    Loaded
        Entries oldest first, those set aside, and the problems, each with file name and reason.

    Raises
    ------
    CaseError
        There is no such folder.
    """
    require_folder(folder, what="the folder of entries")
    reading = _Reading()
    for name in names_in(folder):
        try:
            reading.take(name, _read_entry(folder / name))
        except (ColdpinError, RecursionError) as error:
            reading.problems.append(problem(f"entries/{name}", error, root=folder.parent))
    return reading.result()


def order_of(entry: Entry) -> tuple[float, str]:
    """Return what entries are sorted by: when they were made, then their id.

    Parameters
    ----------
    entry : Entry
        An entry.

    Returns
    -------
    tuple
        Seconds since 1970-01-01 UTC (the distant past where the date cannot be read), and the id.
    """
    return instant_of(entry.made), entry.id


def instant_of(text: str) -> float:
    """Return a date and time as seconds, never failing, for sorting what may be of any age or origin.

    Parameters
    ----------
    text : str
        ISO 8601 with zone.

    Returns
    -------
    float
        Since 1970-01-01 UTC; minus infinity where it cannot be read. [s]

    Examples
    --------
    >>> instant_of("1970-01-01T01:00+01:00"), instant_of("yesterday")
    (0.0, -inf)
    """
    try:
        return (parse_instant(text, what="time") - _EPOCH).total_seconds()
    except CaseError:
        return float("-inf")


_COPY = "is a copy of {0}: remove it"
_OTHER = "has the same id as {0} but says something else; {0} is used: if this is right, record it anew"


@dataclass(slots=True)
class _Reading:
    """Entries read so far, by id, with the name of the file each came from."""

    by_id: dict[str, tuple[str, Entry]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def take(self, name: str, entry: Entry) -> None:
        where = f"entries/{printable(name)}"
        own_name = f"{entry.id}.json"
        if name != own_name:
            self.problems.append(
                Problem(where=where, what=f"holds entry {entry.id}; its name should be {own_name}: rename it")
            )
        earlier = self.by_id.get(entry.id)
        if earlier is None:
            self.by_id[entry.id] = (name, entry)
            return
        kept, dropped = ((name, entry), earlier) if name == own_name else (earlier, (name, entry))
        self.by_id[entry.id] = kept
        what = _COPY if kept[1] == dropped[1] else _OTHER
        self.problems.append(Problem(where=f"entries/{printable(dropped[0])}", what=what.format(printable(kept[0]))))

    def result(self) -> Loaded:
        sound, aside = [], []
        for name, entry in self.by_id.values():
            try:
                check_entry(entry)
            except InputError as error:
                aside.append(entry)
                self.problems.append(
                    Problem(where=f"entries/{printable(name)}", what=f"{error}; it is kept but not used: correct it")
                )
            else:
                sound.append(entry)
        return Loaded(
            entries=tuple(sorted(sound, key=order_of)),
            set_aside=tuple(sorted(aside, key=order_of)),
            problems=tuple(self.problems),
        )


def _read_entry(path: Path) -> Entry:
    if path.suffix != ".json":
        raise CaseError("is not an entry (a file that ends in .json): move it out, evidence is filed with 'add'")
    data = read_regular(path, limit=MAXIMUM_TEXT)
    plain = parse_json(data, where=path.name)
    found = plain.pop("format", None)
    if found != ENTRY_FORMAT:
        raise CaseError(
            f"its format is {str(found)[:60]!r}; this program reads {ENTRY_FORMAT!r}: "
            "it was written by a newer coldpin or by something else"
        )
    entry = from_plain(Entry, plain, where=path.name)
    check_plain(entry, where=path.name)
    if not ID.fullmatch(entry.id):
        raise CaseError(f"its id {entry.id[:60]!r} is not one of ours")
    return entry


def _without_defaults(plain: dict[str, object]) -> dict[str, object]:
    """Leave out what says nothing, so that a person who opens the file sees what was recorded."""
    return {
        key: value for key, value in plain.items() if value not in ("", False, None) and value != [] and value != {}
    }

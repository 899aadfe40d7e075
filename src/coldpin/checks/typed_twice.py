"""Readings that are there twice: typed twice, one passes for two operations; so it counts once, and is asked about."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime

from coldpin.records.entry import Entry

APART_S = 60.0
"""Ours: of two readings alike in everything a person types that lie no further apart, one may be the other typed again;
nobody resets a bench and reads the same anew in less. [s]"""

ASK = (
    "The same reading is there twice (entries {first} and {again}: the same value, conditions and instrument within a "
    "minute): was it measured twice? It counts once; if it was, write both readings into one entry."
)


def typed_twice(entries: Iterable[Entry]) -> Mapping[str, str]:
    """Return the readings that repeat another one, by the id of what they repeat.

    Parameters
    ----------
    entries : iterable of Entry
        In the order in which they were made.

    Returns
    -------
    mapping of str to str
        From the later entry to the first. Repeats within one entry are no matter of it, nor are files.

    Examples
    --------
    >>> from coldpin.records.entry import EntryKind
    >>> def read(name, at, text="24 ms"):
    ...     kind, shows = EntryKind.READING, "opening time"
    ...     return Entry(id=name, kind=kind, shows=shows, made=at, recorded=at, who="Ines", readings=(text,))
    >>> typed_twice([read("a", "2026-05-02T10:00:05+00:00"), read("b", "2026-05-02T10:00:40+00:00")])
    {'b': 'a'}
    >>> typed_twice([read("a", "2026-05-02T10:00:05+00:00"), read("b", "2026-05-02T10:07:40+00:00")])
    {}
    """
    first: dict[object, list[Entry]] = {}
    again: dict[str, str] = {}
    for entry in entries:
        if not entry.readings or entry.evidence is not None:
            continue
        alike = first.setdefault(_typed(entry), [])
        near = next((one for one in alike if _near(one.made, entry.made)), None)
        if near is None:
            alike.append(entry)
        else:
            again[entry.id] = near.id
    return again


def _typed(entry: Entry) -> object:
    conditions = frozenset((name, value) for name, value in entry.conditions.items() if value)
    pairs = frozenset(entry.pairs.items())
    read = (entry.readings, entry.answer, pairs, conditions)
    return (entry.kind, entry.shows, entry.instrument, entry.supply_voltage, *read)


def _near(one: str, other: str) -> bool:
    try:
        apart = datetime.fromisoformat(other) - datetime.fromisoformat(one)
    except (TypeError, ValueError):  # no moments that can be compared
        return one == other
    return abs(apart.total_seconds()) < APART_S

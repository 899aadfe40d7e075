"""Where the specimen is now: who last said so, and what was done to it since, which asks for it again."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime

from coldpin.records.case import CaseDescription
from coldpin.records.entry import Entry

WHERE = "where it is"
"""The word of an entry that says where the specimen went."""

_UNPACKED = "contents received"
_ALTERING = frozenset(
    {
        _UNPACKED,
        "opened",
        "stripped core mass",
        "strand count",
        "strand diameter",
        "magnet at the wires",
        "look of a cut",
        "part inside",
        "cord displacement",
        "electric strength",
        "charging log",
    }
)
"""Ours: words of entries for which the specimen is unpacked, opened, cut, strained or put on the mains."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Whereabouts:
    """Where the specimen is, as it was said last.

    Parameters
    ----------
    place : str
        In the words of whoever said it; empty where nobody did.
    said : str
        When, ISO 8601; empty where only the description of the case says it, which has no date.
    entry : str
        Id of the entry that says it; empty where none does.
    since : int
        How many entries after it open, cut or strain the specimen, or put it on the mains.
    last : str
        What the last of these shows; empty where there are none.
    last_made : str
        When that was, ISO 8601; empty where there are none.
    """

    place: str
    said: str = ""
    entry: str = ""
    since: int = 0
    last: str = ""
    last_made: str = ""


def whereabouts(case: CaseDescription, entries: Iterable[Entry]) -> Whereabouts:
    """Say where the specimen is, and whether it was worked on since that was said.

    Parameters
    ----------
    case : CaseDescription
        What a person writes of it.
    entries : iterable of Entry
        Of the case; what was replaced or withdrawn counts nothing.

    Returns
    -------
    Whereabouts
        An entry comes before the description, for it has a date.

    Examples
    --------
    >>> from coldpin.records.case import Build, Cable, Specimen, UnitClass
    >>> unit = UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED)
    >>> piece = Specimen(make="Skerrow", model="16", where_now="cupboard 2")
    >>> whereabouts(CaseDescription(format="", title="", specimen=piece, unit=unit), ()).place
    'cupboard 2'
    """
    every = tuple(entries)
    gone = {one.replaces for one in every}
    held = sorted((one for one in every if one.id not in gone and not one.withdraws), key=_order)
    said = next((one for one in reversed(held) if one.shows == WHERE), None)
    if said is None:
        worked = [one for one in held if _alters(one) and one.shows != _UNPACKED]
        return _with(worked, Whereabouts(place=case.specimen.where_now))
    worked = [one for one in held if _alters(one) and _order(one) > _order(said)]
    told = said.conditions.get("place", "") or said.note
    return _with(worked, Whereabouts(place=told, said=said.made, entry=said.id))


def _with(worked: list[Entry], told: Whereabouts) -> Whereabouts:
    if not worked:
        return told
    return Whereabouts(
        place=told.place,
        said=told.said,
        entry=told.entry,
        since=len(worked),
        last=worked[-1].shows,
        last_made=worked[-1].made,
    )


def _alters(entry: Entry) -> bool:
    return entry.shows in _ALTERING or entry.conditions.get("supply") == "mains"


def _order(entry: Entry) -> tuple[datetime, str]:
    try:
        made = datetime.fromisoformat(entry.made)
    except ValueError:
        made = datetime.max
    return (made if made.tzinfo else made.replace(tzinfo=UTC), entry.id)

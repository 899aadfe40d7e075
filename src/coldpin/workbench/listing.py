"""What stands in a case, entry by entry."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from coldpin.casefile import open_case
from coldpin.records.assessment import Problem
from coldpin.records.entry import Entry


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryList:
    """All entries of a case, oldest first, the ids of those that hold after corrections, and what could not be read."""

    all: tuple[Entry, ...]
    holding: frozenset[str]
    problems: tuple[Problem, ...]


def list_entries(folder: Path | str) -> EntryList:
    """Return the entries of a case, also those that were corrected or are private.

    Parameters
    ----------
    folder : Path or str
        The case.

    Returns
    -------
    EntryList
        The entries.

    Raises
    ------
    CaseError
        The folder is not a case.
    """
    held = open_case(folder).effective()
    members = (entry for history in held.histories for entry in history.members)
    return EntryList(
        all=tuple(sorted(members, key=lambda entry: (entry.made, entry.recorded, entry.id))),
        holding=frozenset(entry.id for entry in held.entries),
        problems=held.problems,
    )

"""Every reading of a case, one row each, as it is given to others."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading, answer or joint of a wiring map, with everything that was written down around it.

    ``what`` names the joint of a wiring map. ``written`` is the text as a person wrote it. ``quantity`` is the same as
    a number with its uncertainty, None for an answer or what cannot be read; ``side`` is "at least" or "at most" where
    the meter was beyond its range, else empty. ``counts`` is false where the entry was corrected or withdrawn;
    ``replaced_by`` names the correction, ``reason`` is its own or that of this entry.
    """

    entry: str
    shows: str
    what: str
    repeat: int
    written: str
    quantity: Quantity | None
    side: str
    made: str
    recorded: str
    who: str
    instrument: str
    supply_voltage: str
    ambient: str
    humidity: str
    conditions: Mapping[str, str]
    counts: bool
    replaced_by: str
    reason: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """All readings of a case that are not private, in the order in which they were made."""

    schema: Literal["coldpin.readings/1"]
    title: str
    rows: tuple[ReadingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class IssueChanges:
    """One published issue and what changed with it."""

    number: int
    issued_on: str
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrections:
    """The public list of what changed from issue to issue, newest first."""

    schema: Literal["coldpin.corrections/1"]
    title: str
    issues: tuple[IssueChanges, ...]

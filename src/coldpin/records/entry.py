"""One thing that happened at the bench: a reading, an observation, a piece of evidence, a correction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import ClassVar

from pydantic import ConfigDict

from coldpin.records.plain import STRICT

FIRST_STAMP = "its first stamp"
"""What says when a log was made, where no person did."""


class EntryKind(StrEnum):
    """What sort of thing an entry records."""

    READING = "reading"
    OBSERVATION = "observation"
    EVIDENCE = "evidence"
    CUSTODY = "custody"
    CORRECTION = "correction"


@dataclass(frozen=True, slots=True, kw_only=True)
class EvidenceFile:
    """A file as it came, or an address where something is to be seen.

    ``file`` is the name under ``evidence/`` (under ``boards/`` for a drawing), empty for an address; ``sha256`` and
    ``size`` [bytes] are of the file; ``address`` and ``time_code`` point into a video or a listing elsewhere.
    ``original_name`` is what it was called where it came from. ``companion`` is the other file of a capture that comes
    in two, filed under the same entry.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    media: str
    file: str = ""
    original_name: str = ""
    sha256: str = ""
    size: int = 0
    address: str = ""
    time_code: str = ""
    companion: EvidenceFile | None = None

    @property
    def files(self) -> tuple[EvidenceFile, ...]:
        """The piece itself and its companion, as far as they are files in the case."""
        pieces = (self,) if self.companion is None else (self, self.companion)
        return tuple(piece for piece in pieces if piece.file)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing that happened: who, when, with what, under which conditions, and what came of it.

    ``shows`` is a word of the closed vocabulary in :mod:`coldpin.records.vocabulary`. ``made`` is when it happened,
    ``recorded`` when it was written down, both ISO 8601 with zone; ``made_by`` is what said when, where no person did
    (:data:`FIRST_STAMP`). ``readings`` are kept as a person wrote them,
    one text per repeat; ``answer`` is "yes", "no" or "cannot tell"; ``pairs`` maps a pin to a pin, written
    ``"L > L1"``, to "joined", "open" or a resistance. ``conditions`` maps a condition of the vocabulary to its value.
    A correction names the entry it ``replaces`` and gives the ``reason``; both remain. ``withdraws`` is true when the
    correction takes the earlier entry back and puts nothing in its place. ``private`` keeps an entry out of what is
    published.
    """

    __pydantic_config__: ClassVar[ConfigDict] = STRICT

    id: str
    kind: EntryKind
    shows: str
    made: str
    recorded: str
    who: str
    readings: tuple[str, ...] = ()
    answer: str = ""
    pairs: Mapping[str, str] = field(default_factory=dict)
    conditions: Mapping[str, str] = field(default_factory=dict)
    instrument: str = ""
    supply_voltage: str = ""
    ambient: str = ""
    humidity: str = ""
    evidence: EvidenceFile | None = None
    replaces: str = ""
    reason: str = ""
    withdraws: bool = False
    private: bool = False
    note: str = ""
    made_by: str = ""

"""A log of a charge as read, with the entry that filed it and what its figure shows; a chapter is made from it."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.session import SessionReading, SessionTrace


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargeEvidence:
    """One charge: the file of its log, how it was read, what it shows."""

    entry: str
    file: str
    sha256: str
    conditions: tuple[tuple[str, str], ...]
    dialect: tuple[tuple[str, str], ...]
    reading: SessionReading
    trace: SessionTrace
    remarks: tuple[str, ...] = ()

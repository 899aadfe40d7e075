"""A log of a charge as read, with the entry that filed it and what its figure shows; and what an idle unit draws."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.session import SessionReading, SessionTrace, StandbyReading


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

    @property
    def questions(self) -> tuple[str, ...]:
        """What of the remarks is asked, for something in the log looks implausible."""
        return tuple(one for one in dict.fromkeys((*self.reading.remarks, *self.remarks)) if "?" in one)


@dataclass(frozen=True, slots=True, kw_only=True)
class StandbyEvidence:
    """What an idle unit draws, by one entry, and what is known of the meter's accuracy there.

    ``accuracy`` is the maker's statement for a power, ``from_power`` and ``from_power_factor`` are from where on it
    holds, as written.
    """

    entry: str
    instrument: str
    accuracy: str
    from_power: str
    from_power_factor: str
    reading: StandbyReading

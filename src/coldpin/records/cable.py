"""What was found out about the cable of a lead, each piece with the entries it is from; a chapter is made from it."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.conductor import ConductorReading, PinToPin
from coldpin.records.current_map import CurrentChart
from coldpin.records.current_path import CurrentPath
from coldpin.records.fault import EndToEnd
from coldpin.records.finding import Limit
from coldpin.records.heating import TemperatureRise
from coldpin.records.metal import MetalEstimate


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorEvidence:
    """The resistance of one conductor; ``taps`` says between what it was read ("inside", "pins")."""

    entry: str
    conductor: str
    taps: str
    reading: ConductorReading


@dataclass(frozen=True, slots=True, kw_only=True)
class JointsEvidence:
    """One conductor from pin to pin, taken apart into its joints and what lies between."""

    entries: tuple[str, ...]
    conductor: str
    apart: PinToPin


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreEvidence:
    """What one core is made of; ``conductor`` is empty where the evidence does not say which core it was.

    ``limit`` is that of the marked size, where one is marked.
    """

    entries: tuple[str, ...]
    conductor: str
    estimate: MetalEstimate
    limit: Limit | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingEvidence:
    """One heating test by its log: the file, how it was read, where the heated part comes in the end."""

    entry: str
    file: str
    sha256: str
    conditions: tuple[tuple[str, str], ...]
    dialect: tuple[tuple[str, str], ...]
    rise: TemperatureRise
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CableEvidence:
    """The cable of a lead: conductors, joints, metal, heating, everything on the current's way, and a map of its heat.

    ``heat`` is the map of current and ambient, None where too little is known to draw one. ``end_to_end`` is what drop
    and faults are reckoned from, None where neither line nor earth was read.
    """

    conductors: tuple[ConductorEvidence, ...] = ()
    joints: tuple[JointsEvidence, ...] = ()
    cores: tuple[CoreEvidence, ...] = ()
    heating: tuple[HeatingEvidence, ...] = ()
    path: CurrentPath | None = None
    heat: CurrentChart | None = None
    end_to_end: EndToEnd | None = None

    @property
    def limits(self) -> tuple[Limit, ...]:
        """Every limit that one of its parts was placed against."""
        placed = (place.limit for seen in self.conductors for place in seen.reading.placements)
        joints = (seen.apart.limit for seen in self.joints)
        sizes = (seen.limit for seen in self.cores if seen.limit is not None)
        parts = () if self.path is None else (part.limit for part in self.path.parts if part.limit is not None)
        heated = (seen.rise.limit for seen in self.heating if seen.rise.limit is not None)
        lines = () if self.heat is None else (line.limit for line in self.heat.lines)
        return (*placed, *joints, *sizes, *heated, *parts, *lines)

    def __bool__(self) -> bool:
        return bool(self.conductors or self.joints or self.cores or self.heating or self.path)

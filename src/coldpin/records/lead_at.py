"""What a lead does at another current, in other air, at another length, as ``coldpin lead-at --json`` prints it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.records.current_map import LeadHeat
from coldpin.records.fault import FaultWithstand
from coldpin.records.voltage_drop import VoltageDrop


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadAt:
    """What follows from the readings of a lead for a question that was not tried.

    ``current_a``, ``ambient_c``, ``lies`` and ``length_m`` are what was asked, or what the lead itself has where
    nothing was; ``as_it_is`` is true where nothing was. ``length_m`` is null where no conductor was read. ``heat``,
    ``drop`` and ``faults`` (one for each device and loop before the socket) are null or empty where too little is
    known; ``heat_why``, ``drop_why`` and ``faults_why`` then say what is missing. ``remarks`` say what was taken for
    granted.
    """

    schema: Literal["coldpin.lead_at/1"]
    title: str
    current_a: float
    ambient_c: float
    lies: str
    length_m: float | None
    as_it_is: bool
    heat: LeadHeat | None
    heat_why: str
    drop: VoltageDrop | None
    drop_why: str
    faults: tuple[FaultWithstand, ...]
    faults_why: str
    remarks: tuple[str, ...] = ()

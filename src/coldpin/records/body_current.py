"""The current through a person and the zone it lies in, in the form that ``coldpin body-current --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.records.finding import Limit, Standing
from coldpin.records.person import Wetness


class Kind(StrEnum):
    """Alternating or direct current."""

    AC = "ac"
    DC = "dc"


class Zone(StrEnum):
    """The zones of effect, a.c. and d.c."""

    AC_1 = "AC-1"
    AC_2 = "AC-2"
    AC_3 = "AC-3"
    AC_4_1 = "AC-4.1"
    AC_4_2 = "AC-4.2"
    AC_4_3 = "AC-4.3"
    DC_1 = "DC-1"
    DC_2 = "DC-2"
    DC_3 = "DC-3"
    DC_4 = "DC-4"


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneLimits:
    """The currents at which the zones part at one duration; null where no point of the curve is known. [mA]"""

    b: float | None
    c1: float | None
    c2: float | None
    c3: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveAt:
    """One curve at the duration: its current [mA], and the points it was read between, with their standing.

    ``longest_s`` is how long the current found may flow below the curve [s]; null where it may for ever, 0 where it
    may not at all.
    """

    name: str
    current_ma: float
    standing: Standing
    points: tuple[str, ...]
    longest_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class AtPercentile:
    """What one part of the population would meet: impedance, current, reference current and zone."""

    percentile: float
    touch_voltage_v: float
    impedance_ohm: float
    current_ma: float
    reference_current_ma: float
    zone: Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class AtHeartFactor:
    """What one published heart-current factor makes of the current: the reference current, and its zone."""

    factor: float
    limit: Limit
    reference_current_ma: float
    zone: Zone


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyCurrent:
    """The current through a person at one voltage, and the zone it lies in when it is broken.

    ``voltage_v`` drives; ``series_ohm`` lies before the person, so that ``touch_voltage_v`` may be less.
    ``impedance_ohm`` is that of the path at the touch voltage, which ``percentile`` per cent of people do not exceed.
    ``time_s`` is null where nothing is shown to break the current: then the end of the curves is read, ``read_at_s``.
    Where heart-current factors differ, ``reference_current_ma`` and ``zone`` are by the largest. ``by_percentile`` has
    the columns of the table beside it, ``by_heart_factor`` every factor. ``superseded_ohm`` is what an older table has.
    """

    schema: Literal["coldpin.body_current/1"]
    voltage_v: float
    series_ohm: float
    touch_voltage_v: float
    kind: Kind
    path: str
    wetness: Wetness
    percentile: float
    time_s: float | None
    read_at_s: float
    path_factor: float
    impedance_ohm: float
    current_ma: float
    reference_current_ma: float
    zone: Zone
    effect: str
    limits_ma: ZoneLimits
    curves: tuple[CurveAt, ...]
    by_percentile: tuple[AtPercentile, ...]
    by_heart_factor: tuple[AtHeartFactor, ...]
    superseded_ohm: float | None
    statements: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()

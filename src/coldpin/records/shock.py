"""What a person would get from this specimen, case by case, beside the zones of effect."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.records.body_current import BodyCurrent, Zone
from coldpin.records.finding import Limit, Standing

Rests = Literal["measured", "inferred"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ZoneLine:
    """One curve between two zones, as it is drawn: durations [s] that rise, currents [mA] that never do."""

    name: str
    durations_s: tuple[float, ...]
    currents_ma: tuple[float, ...]
    standing: Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class ShockCase:
    """One way in which current flows through a person.

    ``current_ma`` is what the heart meets of it, as from the left hand to the feet, for the one in twenty who lets most
    through; ``median_ma`` at the median, None where the current was read and hangs on nobody's body. ``time_s`` is
    after what it is shown to be broken, None where nothing shows that; ``broken_by`` says by what, or why not.
    ``body`` holds the reckoning, None where the current was read. ``comparison`` is true of what would be so with any
    lead. ``rests`` is "measured" for a current that was read, "inferred" for one that was reckoned.
    """

    id: str
    title: str
    rests: Rests
    current_ma: float
    median_ma: float | None
    time_s: float | None
    broken_by: str
    zone: Zone
    median_zone: Zone | None
    effect: str
    findings: tuple[str, ...]
    entries: tuple[str, ...] = ()
    body: BodyCurrent | None = None
    comparison: bool = False
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ShockEvidence:
    """The cases of one specimen, and the curves they are drawn between; no cases where nothing was found to reckon."""

    cases: tuple[ShockCase, ...] = ()
    curves: tuple[ZoneLine, ...] = ()
    limits: tuple[Limit, ...] = ()

    def __bool__(self) -> bool:
        """Whether there is anything to show of this specimen beyond the comparison.

        Returns
        -------
        bool
            True where one case is of the specimen itself.
        """
        return any(not case.comparison for case in self.cases)

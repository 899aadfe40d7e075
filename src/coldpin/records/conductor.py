"""What a conductor's resistance says of it, in the form that ``coldpin conductor --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.finding import BudgetLine, Limit, Outcome
from coldpin.records.metal import MetalEstimate


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassPlacement:
    """A conductor's resistance at 20 °C against the limit of one class and coating.

    ``probability`` is that of keeping the limit, null where the uncertainty is not known.
    """

    conductor_class: int
    coating: str
    limit: Limit
    probability: float | None
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorReading:
    """What the resistance of one core, or of two in series, says.

    ``resistance_20c_ohm_per_km`` is for each kilometre of cable and core, so that the lay of the cores is in it as it
    is in the limit. ``limit_ohm_per_km`` is that of the marked size ``nominal_mm2``, of plain wires where the coating
    is not stated; ``placements`` hold every limit it was placed against. ``equivalent_area_mm2`` is the area of
    annealed copper of the same resistance, ``least_area_mm2`` the least that keeps the limit, ``keeps_limit_of_mm2``
    the largest listed size whose limit is kept for sure. ``self_heating_k`` is by how much the test current had
    warmed the metal. ``questions`` are about values that look like slips; nothing was corrected. ``metal`` is
    the estimate of metal and area from everything given, null where nothing given can be used; ``metal_why`` says so.
    ``joints`` are those of the core with its pins where it was read from pin to pin too, else null.
    A ``probability`` of 0 or 1 is one that the computation cannot tell from it, and no certainty.
    """

    schema: Literal["coldpin.conductor/1"]
    resistance_20c_ohm_per_km: Quantity
    nominal_mm2: float | None
    limit_ohm_per_km: float | None
    outcome: Outcome
    probability: float | None
    equivalent_area_mm2: Quantity
    least_area_mm2: float | None
    keeps_limit_of_mm2: float | None
    cores_in_series: int
    length_m: Quantity
    temperature_c: Quantity
    self_heating_k: Quantity
    placements: tuple[ClassPlacement, ...]
    statement: str
    questions: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    budget: tuple[BudgetLine, ...] = ()
    metal: MetalEstimate | None = None
    metal_why: str = ""
    joints: PinToPin | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JointResistance:
    """One joint of a core with its pin, or both together where they cannot be told apart.

    ``where`` is "plug side", "connector side" or "both sides". ``share`` is its part of the whole from pin to pin. [1]
    ``heat_w`` is what it turns into heat at the current it was asked for, null where none was.
    """

    where: str
    resistance_ohm: Quantity
    share: Quantity | None
    heat_w: Quantity | None
    probability: float | None
    outcome: Outcome


@dataclass(frozen=True, slots=True, kw_only=True)
class PinToPin:
    """A core from pin to pin, taken apart into its joints and the conductor between them.

    ``limit`` is what a good joint has. ``current_a`` is the current for which the heat is told.
    """

    whole_ohm: Quantity
    conductor_ohm: Quantity
    joints: tuple[JointResistance, ...]
    limit: Limit
    current_a: float | None
    remarks: tuple[str, ...] = ()

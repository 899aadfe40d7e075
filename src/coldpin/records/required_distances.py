"""Required distances: where insulation stands and what is asked of it; ``coldpin required-distances --json`` prints it.

Distances are in millimetres, voltages in volts.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from coldpin.quantity.model import Quantity
from coldpin.records.distance import PathKind
from coldpin.records.finding import Limit, Outcome


class OvervoltageCategory(StrEnum):
    """How large a surge may come from the supply, by where the equipment stands in the installation."""

    I = "I"  # noqa: E741 - the standard's own numeral
    II = "II"
    III = "III"
    IV = "IV"


class MaterialGroup(StrEnum):
    """How well an insulating surface withstands tracking, best first."""

    I = "I"  # noqa: E741 - the standard's own numeral
    II = "II"
    IIIA = "IIIa"
    IIIB = "IIIb"


class InsulationKind(StrEnum):
    """What insulation is for. Reinforced stands for double as well: the distances of one are those of the other."""

    FUNCTIONAL = "functional"
    BASIC = "basic"
    SUPPLEMENTARY = "supplementary"
    REINFORCED = "reinforced"


class SupplySystem(StrEnum):
    """What the nominal voltage is measured between, and what of the supply is earthed."""

    LINE_TO_NEUTRAL = "line to neutral"
    THREE_PHASE = "three-phase"
    SPLIT_PHASE = "split-phase"
    UNEARTHED = "unearthed"
    CORNER_EARTHED = "corner-earthed"


class Barrier(StrEnum):
    """Between what the insulation stands."""

    MAINS_PILOT = "mains-pilot"
    MAINS_LOW_VOLTAGE = "mains-low-voltage"
    MAINS_TOUCHABLE = "mains-touchable"
    MAINS_EARTH = "mains-earth"
    LINE_NEUTRAL = "line-neutral"
    BEHIND_FUSE = "behind-fuse"


class Location(StrEnum):
    """Where a unit is used, so far as pollution goes. What is not known is taken as outdoors: leads lie in drives."""

    INDOORS = "indoors"
    INDUSTRIAL = "industrial"
    OUTDOORS = "outdoors"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class InsulationSituation:
    """Where insulation stands.

    ``nominal_voltage_v`` is what ``system`` says it is. ``material_group`` is None where the material is not known.
    ``working_voltage_v`` [V r.m.s.] is that across the insulation where somebody found it out, None where the nominal
    one stands for it; ``working_peak_v`` [V] is the recurring peak there, None where it is that of a sine.
    ``printed_wiring`` is true of copper on a board, for which the generic table has columns of its own.
    """

    nominal_voltage_v: float
    overvoltage_category: OvervoltageCategory
    pollution_degree: int
    material_group: MaterialGroup | None = None
    system: SupplySystem = SupplySystem.LINE_TO_NEUTRAL
    altitude_m: float = 0.0
    working_voltage_v: float | None = None
    working_peak_v: float | None = None
    printed_wiring: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SituationProposal:
    """What class and place of a unit let expect, with reasons; a person may know better.

    ``pollution_degrees`` are all that are to be judged: two where the sealing of an outdoor unit is not proved.
    ``limits`` are what the reasons rest on, the product standard's in place of the generic ones.
    """

    overvoltage_category: OvervoltageCategory
    pollution_degrees: tuple[int, ...]
    reasons: tuple[str, ...]
    limits: tuple[Limit, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class RowUsed:
    """One step from the situation to a distance: what was looked up, with what, and what came out.

    ``rows`` are the ids of the cells of the table: two where the value lies between them.
    """

    step: str
    entered_with: str
    value: float
    unit: str
    interpolated: bool
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DistanceRow:
    """What one kind of insulation asks for in a situation.

    ``clearance_mm`` and ``creepage_mm`` are what the texts as used ask for. ``clearance_up_to_mm`` and
    ``creepage_up_to_mm`` are what another reading of the same texts asks for, the same where none asks for more: what
    lies between the two is undecided. ``creepage_table_mm`` is the creepage before it was raised to the clearance.
    ``rated_impulse_v`` is the step of the impulse voltage that the clearance is for. ``governed_by`` says what the
    clearance follows from. ``groove_x_mm`` is the width below which a groove is bridged, for the required clearance.
    """

    insulation: InsulationKind
    clearance_mm: float
    creepage_mm: float
    clearance_up_to_mm: float
    creepage_up_to_mm: float
    creepage_table_mm: float
    groove_x_mm: float
    rated_impulse_v: float
    governed_by: str
    rows: tuple[RowUsed, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OtherValue:
    """What another text, or another reading of the same text, asks for; kept beside the value used."""

    insulation: InsulationKind
    kind: str
    value_mm: float
    used_mm: float
    why: str
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TestVoltage:
    """A voltage by which insulation may be tested, never without a current-limited, interlocked tester and training.

    ``form`` is "impulse 1.2/50 µs, peak", "a.c. r.m.s." or "d.c.".
    """

    __test__ = False

    insulation: InsulationKind
    form: str
    value_v: float
    rule: str
    rows: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DistancePlacement:
    """Where a reading falls beside one row.

    ``probability`` is that of the distance being at least ``required_mm``, null where the accuracy is not known.
    """

    insulation: InsulationKind
    kind: PathKind
    required_mm: float
    up_to_mm: float
    outcome: Outcome
    probability: float | None
    asked: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DegreeRows:
    """Both rows of a further pollution degree by which a unit is to be judged, and where a reading falls there."""

    pollution_degree: int
    basic: DistanceRow
    reinforced: DistanceRow
    placements: tuple[DistancePlacement, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredDistances:
    """What is asked for between two circuits.

    ``clearance_mm``, ``creepage_mm`` and ``groove_x_mm`` are those of ``insulation``; ``basic`` and ``reinforced`` are
    both rows. ``barrier`` and ``kind_limit`` say why this kind is asked for, null where the kind was given;
    ``proposal`` is what class and place let expect, null where category and degree were given. ``milder_degrees`` are
    the rows of the lower degrees that are to be judged beside. ``others`` are what other texts say. ``reading`` is a
    distance that was measured and ``placements`` where it falls.
    """

    schema: Literal["coldpin.required_distances/1"]
    situation: InsulationSituation
    insulation: InsulationKind
    clearance_mm: float
    creepage_mm: float
    groove_x_mm: float
    line_to_neutral_v: float
    material_group: MaterialGroup
    basic: DistanceRow
    reinforced: DistanceRow
    barrier: Barrier | None
    kind_limit: Limit | None
    proposal: SituationProposal | None
    milder_degrees: tuple[DegreeRows, ...]
    others: tuple[OtherValue, ...]
    test_voltages: tuple[TestVoltage, ...]
    reading: Quantity | None
    placements: tuple[DistancePlacement, ...]
    statements: tuple[str, ...]
    remarks: tuple[str, ...]
    sources: tuple[Limit, ...]

    @property
    def asked(self) -> DistanceRow:
        """The row of the kind of insulation that is asked for."""
        return self.reinforced if self.insulation is InsulationKind.REINFORCED else self.basic

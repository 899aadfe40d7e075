"""What a core is made of and how much of it there is: metal and area together, with what they rest on."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.quantity.model import Quantity


class Metal(StrEnum):
    """What the wires of a core may be made of; "clad" is aluminium with so many per cent of copper around it."""

    COPPER = "copper"
    TINNED_COPPER = "tinned_copper"
    CLAD_10 = "clad_10"
    CLAD_15 = "clad_15"
    ALUMINIUM = "aluminium"
    STEEL_CORED = "steel_cored"


class MetalEvidenceKind(StrEnum):
    """What can be found out of a core."""

    RESISTANCE = "resistance"
    MASS = "mass"
    STRANDS = "strands"
    HEATING = "heating"
    MAGNET = "magnet"
    CUT = "cut"


class CutLook(StrEnum):
    """How a fresh cut of the wires looks under a lens."""

    RED = "red throughout"
    RED_CORE = "red core with white skin"
    WHITE_CORE = "white core with red skin"
    WHITE = "white throughout"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class AreaPoint:
    """One point of a density over the area: area [mm²], density over its logarithm, with the metal's probability."""

    area_mm2: float
    density: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalShare:
    """How one metal stands.

    ``probability`` is null where no metal explains the evidence. ``fit`` is the probability that this metal, of
    whatever area, would give evidence that goes together as badly as this: near 1 where it goes together. ``area_mm2``
    is the area if it is this metal. ``keeps_size_from_mm2`` is the area from which this metal, of usual lay and
    resistivity, keeps the resistance of the marked size. ``outline`` draws its share of the posterior over the area;
    it is empty where nobody asked for it.
    """

    metal: Metal
    probability: float | None
    fit: float
    area_mm2: Quantity
    keeps_size_from_mm2: float | None
    outline: tuple[AreaPoint, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalEvidenceUsed:
    """One piece of evidence: what it said, whether it was used, and if not, why.

    ``departure`` is how far it lies from what the likeliest metal gives by all of the evidence, in standard deviations;
    null for an answer in words.
    """

    kind: MetalEvidenceKind
    quantity: Quantity | None
    answer: str
    used: bool
    why: str
    departure: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeProbability:
    """Whether a core is of the size marked on it, by all evidence together.

    A size is a resistance at 20 °C: ``by_resistance`` is the probability of keeping the limit of the class, plain or
    tinned, whatever the metal; ``limit_ohm_per_km`` is that of plain wires, or of tinned ones where these are likelier,
    and ``limit`` its id. ``as_copper`` is that of keeping it and being copper. ``by_copper_equivalent`` is the
    probability that copper of the marked number of square millimetres would conduct no better, which no text asks for
    and most honest flexible cores miss.
    """

    nominal_mm2: float
    conductor_class: int
    limit: str
    limit_ohm_per_km: float
    by_resistance: float
    as_copper: float
    by_copper_equivalent: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PriorAnswer:
    """What comes out by one belief beforehand, whose name is ``prior``; ``believed`` says it in numbers."""

    prior: str
    copper: float
    meets_size: float | None
    area_mm2: Quantity
    believed: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SettlingMeasurement:
    """A measurement not yet made, and what it may be expected to settle.

    ``probability_of_deciding`` is that of copper or not being decided afterwards, and the size where one is marked.
    ``expected_entropy`` is what would be left of the doubt between the metals. [bit] ``destructive`` costs a piece of
    the specimen.
    """

    kind: MetalEvidenceKind
    title: str
    minutes: int
    destructive: bool
    probability_of_deciding: float
    expected_entropy: float


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalEstimate:
    """Metal and area of one core, estimated together.

    ``explained`` is false where no metal of the list goes together with all of the evidence: then no probability is
    given. ``copper`` is the probability of copper, plain or tinned. ``likeliest`` is the metal with the largest
    probability. ``area_mm2`` is the cross-section of metal over all metals, ``copper_equivalent_mm2`` that of annealed
    copper which would conduct as well. ``metal_number`` is resistance times mass per metre, from which the area has
    dropped out. [Ω·g/m²] ``entropy`` is the doubt between the metals. [bit] ``decided`` says whether copper or not,
    and the size where one is marked, are decided; ``settle`` lists what would decide them, best first. ``limits`` are
    the ids of the constants it was made with.
    """

    explained: bool
    statement: str
    likeliest: Metal | None
    copper: float | None
    metals: tuple[MetalShare, ...]
    area_mm2: Quantity | None
    copper_equivalent_mm2: Quantity | None
    metal_number: Quantity | None
    size: SizeProbability | None
    entropy: float | None
    decided: bool
    evidence: tuple[MetalEvidenceUsed, ...]
    settle: tuple[SettlingMeasurement, ...]
    priors: tuple[PriorAnswer, ...]
    remarks: tuple[str, ...]
    limits: tuple[str, ...]

"""Evidence of what a core is made of, each kind as one record, and what of it can be used."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.metal_priors import CUT_LOOKS, LATENT, MAGNET_YES, MetalModel
from coldpin.errors import OutsideRange
from coldpin.quantity import COVERAGE, Quantity, correlation, coverage_factor, format_value, in_unit
from coldpin.records.metal import CutLook, Metal, MetalEvidenceKind
from coldpin.standards.conductors import REFERENCE_TEMPERATURE

AT_REFERENCE = Quantity(REFERENCE_TEMPERATURE, 0.0, "°C")
"""The temperature at which resistances are told. [°C]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ResistanceEvidence:
    """Resistance of one core for each metre of cable [Ω/m or Ω/km], with the temperature of its metal [°C].

    Where it was referred to 20 °C already, as copper, the temperature stays 20 °C.
    """

    per_metre: Quantity
    temperature: Quantity = AT_REFERENCE


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingEvidence:
    """The resistance at 20 °C [Ω/m or Ω/km] that would warm the cable as much as it was seen to warm."""

    per_metre: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class MassEvidence:
    """Mass of the bare metal of one core for each metre [g/m]: of the ``core`` laid straight, or of the ``cable``."""

    per_metre: Quantity
    along: Literal["core", "cable"] = "core"


@dataclass(frozen=True, slots=True, kw_only=True)
class StrandEvidence:
    """How many wires a core has, counted, and how thick they are [mm]."""

    count: int
    diameter: Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class MagnetEvidence:
    """Whether a hand magnet sticks to the bare wires: "yes", "no" or "cannot tell"."""

    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CutEvidence:
    """How a fresh cut of the wires looks."""

    look: CutLook


MetalEvidence: TypeAlias = (
    ResistanceEvidence | HeatingEvidence | MassEvidence | StrandEvidence | MagnetEvidence | CutEvidence
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Observation:
    """A number that was measured, in logarithms: what it is of a core, to the first order exactly.

    The logarithm of what is measured is ``slope`` times that of the area, plus ``row`` (shape (4,)) times those of
    :data:`~coldpin.copper.metal_priors.LATENT`, plus what the warmth of the metal adds. ``u`` is the standard
    uncertainty of ``log_value``. [1]
    """

    kind: MetalEvidenceKind
    quantity: Quantity
    log_value: float
    u: float
    slope: float
    row: NDArray[np.float64]
    temperature: Quantity = AT_REFERENCE

    def warmth(self, model: MetalModel) -> float:
        """Return what the temperature of the metal adds to the logarithm, if it is of this metal.

        Parameters
        ----------
        model : MetalModel
            The metal.

        Returns
        -------
        float
            Zero at 20 °C. [1]
        """
        return math.log1p(model.temperature_coefficient * (self.temperature.value - REFERENCE_TEMPERATURE))

    def variance(self, model: MetalModel) -> float:
        """Return the variance of the logarithm, that of the metal's temperature with it.

        Parameters
        ----------
        model : MetalModel
            The metal.

        Returns
        -------
        float
            Variance. [1]
        """
        warm = model.temperature_coefficient * (self.temperature.u or 0.0) / math.exp(self.warmth(model))
        return float(self.u**2 + warm**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """Something seen, and how likely it is to be said of each metal."""

    kind: MetalEvidenceKind
    said: str
    likelihood: dict[Metal, float]

    @property
    def best(self) -> float:
        """The largest of the likelihoods. [1]"""
        return max(self.likelihood.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class NotUsed:
    """A piece of evidence that tells nothing, and why."""

    kind: MetalEvidenceKind
    quantity: Quantity | None
    said: str
    why: str


Prepared: TypeAlias = Observation | Answer | NotUsed

RESISTANCE_ROW = (1.0, 1.0, 1.0, 0.0)
MASS_ROWS = {"core": (1.0, 0.0, 0.0, 1.0), "cable": (1.0, 1.0, 0.0, 1.0)}
STRAND_ROW = (0.0, 0.0, 0.0, 0.0)
"""How resistance, mass and the area of all wires follow lay, twist, resistivity and density."""

WIDEST = 0.5
"""Ours: what is less sure than to a half of itself is not used. Its logarithm would not be near to normal."""

LEAST_U = 1e-4
"""Ours: what claims to be surer than to a ten-thousandth is taken to be that sure; no bench measures a cord better."""

MOST_SHARED = 0.999
"""Ours: two readings are taken to share no more of their uncertainty than this. One reading given twice stays one."""

_PLAUSIBLE = {
    MetalEvidenceKind.RESISTANCE: (0.1, 500.0, "Ω/km"),
    MetalEvidenceKind.HEATING: (0.1, 500.0, "Ω/km"),
    MetalEvidenceKind.MASS: (0.5, 1000.0, "g/m"),
    MetalEvidenceKind.STRANDS: (0.03, 5.0, "mm"),
}
"""Ours: what a core of a charging lead can hardly be outside of; asked about there, and used as it is."""

_ROOM = (-30.0, 120.0)
"""Ours: temperatures at which somebody can have measured a cable with its insulation on. [°C]"""


def prepare(evidence: MetalEvidence) -> Prepared:
    """Return a piece of evidence in the form it is used in, or why it is not used.

    Parameters
    ----------
    evidence : MetalEvidence
        The piece.

    Returns
    -------
    Observation, Answer or NotUsed
        What it says.

    Raises
    ------
    OutsideRange
        A resistance, a mass, a count or a diameter is not above zero, or a temperature is below absolute zero.
    UnitError
        A unit is of another kind.

    Examples
    --------
    >>> prepare(MassEvidence(per_metre=Quantity(22.0, 0.2, "g/m"))).slope
    1.0
    >>> prepare(MassEvidence(per_metre=Quantity(22.0, None, "g/m"))).why
    'its uncertainty is not known'
    """
    match evidence:
        case ResistanceEvidence():
            return _resistance(evidence)
        case HeatingEvidence():
            return _number(MetalEvidenceKind.HEATING, evidence.per_metre, slope=-1.0, row=RESISTANCE_ROW)
        case MassEvidence():
            return _number(MetalEvidenceKind.MASS, evidence.per_metre, slope=1.0, row=MASS_ROWS[evidence.along])
        case StrandEvidence():
            return _strands(evidence)
        case MagnetEvidence():
            return _magnet(evidence.answer)
        case CutEvidence():
            return _cut(evidence.look)


def _resistance(evidence: ResistanceEvidence) -> Prepared:
    temperature = in_unit(evidence.temperature, "°C")
    if temperature.value <= _ABSOLUTE_ZERO:
        raise OutsideRange(f"temperature of the metal: {temperature.value:g} °C is below absolute zero; give it in °C")
    made = _number(MetalEvidenceKind.RESISTANCE, evidence.per_metre, slope=-1.0, row=RESISTANCE_ROW)
    if not isinstance(made, Observation):
        return made
    if temperature.u is None:
        return NotUsed(
            kind=made.kind,
            quantity=made.quantity,
            said="",
            why="the uncertainty of the metal's temperature is not known",
        )
    return replace(made, temperature=temperature)


_ABSOLUTE_ZERO = -273.15
"""By definition of the degree Celsius. [°C]"""


def _number(
    kind: MetalEvidenceKind,
    quantity: Quantity,
    *,
    slope: float,
    row: tuple[float, ...],
    factor: float = 1.0,
    power: int = 1,
) -> Prepared:
    """Take a positive number, of which a power times a factor follows the core, into logarithms."""
    _, _, unit = _PLAUSIBLE[kind]
    given = in_unit(quantity, unit)
    if not given.value > 0.0:
        raise OutsideRange(
            f"{kind.value} of the core: {format_value(given.value, unit)} cannot be; give what was measured, above zero"
        )
    if given.u is None:
        return NotUsed(kind=kind, quantity=given, said="", why=f"its uncertainty is not known{_reason(given)}")
    u = power * normal_uncertainty(given) / given.value
    if u > WIDEST:
        return NotUsed(kind=kind, quantity=given, said="", why="it is less sure than to a half of itself")
    return Observation(
        kind=kind,
        quantity=given,
        log_value=math.log(factor * given.value**power),
        u=max(u, LEAST_U),
        slope=slope,
        row=np.array(row),
    )


def _reason(quantity: Quantity) -> str:
    return f" ({quantity.why})" if quantity.why else ""


def normal_uncertainty(quantity: Quantity) -> float:
    """Return the standard deviation of the normal variable that stands for a quantity.

    Parameters
    ----------
    quantity : Quantity
        Of known uncertainty.

    Returns
    -------
    float
        u, or more where few degrees of freedom make the 95 % interval wider than that of a normal variable; in the unit
        of the quantity.

    Examples
    --------
    >>> normal_uncertainty(Quantity(7.0, 0.1, "Ω/km")), round(normal_uncertainty(Quantity(7.0, 0.1, "Ω/km", dof=4)), 3)
    (0.1, 0.142)
    """
    assert quantity.u is not None, "asked only where the uncertainty is known"
    assert quantity.expanded is not None, "a known uncertainty has an interval"
    return max(quantity.u, quantity.expanded / coverage_factor(math.inf, COVERAGE))


def _strands(evidence: StrandEvidence) -> Prepared:
    if evidence.count < 1:
        raise OutsideRange(f"wires of the core: {evidence.count}; give how many were counted")
    return _number(
        MetalEvidenceKind.STRANDS,
        evidence.diameter,
        slope=1.0,
        row=STRAND_ROW,
        factor=math.pi * 0.5**2 * evidence.count,
        power=2,
    )


def _magnet(answer: str) -> Prepared:
    kind = MetalEvidenceKind.MAGNET
    if answer not in ("yes", "no"):
        return NotUsed(kind=kind, quantity=None, said=answer, why="whoever tried it could not tell")
    likelihood = {metal: yes if answer == "yes" else 1.0 - yes for metal, yes in MAGNET_YES.items()}
    return Answer(kind=kind, said=answer, likelihood=likelihood)


def _cut(look: CutLook) -> Prepared:
    kind = MetalEvidenceKind.CUT
    if look is CutLook.CANNOT_TELL:
        return NotUsed(kind=kind, quantity=None, said=look.value, why="whoever looked could not tell")
    return Answer(kind=kind, said=look.value, likelihood={metal: looks[look] for metal, looks in CUT_LOOKS.items()})


def noise(observations: Sequence[Observation], model: MetalModel) -> NDArray[np.float64]:
    """Return the covariance of what was measured, in logarithms, as the instruments make it.

    Parameters
    ----------
    observations : sequence of Observation
        n numbers.
    model : MetalModel
        The metal, by whose temperature coefficient a temperature enters.

    Returns
    -------
    array of shape (n, n)
        Correlated where two quantities share a component, such as one tape for two lengths. [1]
    """
    size = np.sqrt([one.variance(model) for one in observations])
    shared = np.eye(len(observations))
    for place, one in enumerate(observations):
        for other in range(place):
            same = correlation(one.quantity, observations[other].quantity)
            shared[place, other] = shared[other, place] = max(-MOST_SHARED, min(MOST_SHARED, same))
    covariance: NDArray[np.float64] = shared * np.outer(size, size)
    return covariance


def questions(prepared: Sequence[Prepared]) -> tuple[str, ...]:
    """Ask about values that a core can hardly have.

    Parameters
    ----------
    prepared : sequence of Prepared
        The evidence.

    Returns
    -------
    tuple of str
        One question for each; nothing is corrected.
    """
    asked = []
    for one in prepared:
        if isinstance(one, Answer) or one.quantity is None:
            continue
        low, high, unit = _PLAUSIBLE[one.kind]
        if not low <= one.quantity.value <= high:
            meant = _thousandfold(one.quantity.value, low, high)
            prefix = f"; {format_value(meant, unit)} would not be" if meant is not None else ""
            asked.append(
                f"{one.kind.value}: is it {format_value(one.quantity.value, unit)}? A core is hardly outside of "
                f"{low:g} {unit} to {high:g} {unit}{prefix}: check unit and length. Used as given."
            )
        if isinstance(one, Observation) and not _ROOM[0] <= one.temperature.value <= _ROOM[1]:
            asked.append(
                f"temperature of the metal: is it {one.temperature.value:g} °C? If kelvin, write K. Used as given."
            )
    return tuple(asked)


def _thousandfold(value: float, low: float, high: float) -> float | None:
    """Return what a value would be with the next prefix, where that and not the value is plausible."""
    return next((other for other in (1000.0 * value, value / 1000.0) if low <= other <= high), None)


assert len(LATENT) == len(RESISTANCE_ROW), "a row has a place for each latent number"

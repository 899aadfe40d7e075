"""What a core is made of, and how much of it there is: one estimate over metal and area from whatever was found out.

A resistance alone cannot tell thin copper from clad aluminium, nor can a mass. Together they can, and each further
piece of evidence enters the same sum. The wires' lay makes them longer than the cable: it is in the resistance, in the
mass, and common to both.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from coldpin.copper.metal_evidence import (
    AT_REFERENCE,
    RESISTANCE_ROW,
    Answer,
    MetalEvidence,
    NotUsed,
    Observation,
    Prepared,
    ResistanceEvidence,
    prepare,
    questions,
)
from coldpin.copper.metal_number import Number, metal_number
from coldpin.copper.metal_posterior import MetalPosterior, metal_posterior, mixture
from coldpin.copper.metal_priors import MetalModel, Prior, metal_models, priors
from coldpin.copper.metal_telling import belief_remarks, belief_told, fit_remarks, metal_statement
from coldpin.copper.resistance import area_of
from coldpin.copper.settling import COPPER_METALS, entropy, held_of, is_decided, settle
from coldpin.quantity import Quantity, in_unit, propagate
from coldpin.records.finding import Limit
from coldpin.records.metal import (
    AreaPoint,
    Metal,
    MetalEstimate,
    MetalEvidenceKind,
    MetalEvidenceUsed,
    MetalShare,
    PriorAnswer,
    SizeProbability,
)
from coldpin.standards.book import Book
from coldpin.standards.conductors import FLEXIBLE, REFERENCE_TEMPERATURE, cross_sections, resistance_limit
from coldpin.standards.table import needed

EXPLAINS = 1e-3
"""Ours: a metal that would give evidence so ill-matched less than once in a thousand times does not explain it."""

OUTLINE = 6
"""Ours: of the points of a metal's grid every so many-th is kept for the figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Size:
    """The marked size with its limits, plain and tinned."""

    nominal_mm2: float
    conductor_class: int
    plain: Limit
    tinned: Limit

    def limit_of(self, metal: Metal) -> float:
        return needed(self.tinned if metal is Metal.TINNED_COPPER else self.plain, "maximum")


def estimate_metal(
    evidence: Sequence[MetalEvidence],
    book: Book,
    *,
    nominal_mm2: float | None = None,
    conductor_class: int = FLEXIBLE,
) -> MetalEstimate:
    """Estimate metal and area of a core from any evidence of it.

    Parameters
    ----------
    evidence : sequence of MetalEvidence
        Resistance, mass, wires, heating, magnet, cut: any of them, any number, in any order.
    book : Book
        The constants.
    nominal_mm2 : float, optional
        The size marked on the cable; without it nothing is said of a size. [mm²]
    conductor_class : int
        Class whose limit the size stands for: 5, flexible, is that of a charging cable.

    Returns
    -------
    MetalEstimate
        Probability of each metal, area, size, what would settle it. Where no metal of the list explains the evidence
        together, that is said and no probability given.

    Raises
    ------
    OutsideRange
        A value cannot be, or the class has no such size.
    UnitError
        A unit is of another kind.
    UnknownName
        There is no such class.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.copper.metal_evidence import MassEvidence, ResistanceEvidence
    >>> from coldpin.standards.book import load_book
    >>> found = [
    ...     ResistanceEvidence(per_metre=Quantity(7.52, 0.03, "Ω/km")),
    ...     MassEvidence(per_metre=Quantity(22.0, 0.1, "g/m")),
    ... ]
    >>> told = estimate_metal(found, load_book(), nominal_mm2=2.5)
    >>> told.likeliest.value, round(told.copper, 3), told.decided
    ('copper', 1.0, True)
    >>> round(told.area_mm2.value, 2), round(told.size.by_resistance, 3)
    (2.41, 1.0)

    Sources
    -------
    ``metal.*``, ``conductor.*``; what is believed beforehand: :mod:`coldpin.copper.metal_priors`.
    """
    size = _size_of(book, nominal_mm2, conductor_class)
    prepared = tuple(prepare(one) for one in evidence)
    observations = tuple(one for one in prepared if isinstance(one, Observation))
    believed = [one for one, made in zip(evidence, prepared, strict=True) if not isinstance(made, NotUsed)]
    answers = tuple(one for one in prepared if isinstance(one, Answer))
    models = metal_models(book)
    used, *others = priors(cross_sections(book, conductor_class=conductor_class))
    result = _Weighed.of(models, observations, answers, used)
    explained = max(result.fits.values()) >= EXPLAINS
    weighed_by = ((used, result), *((other, _Weighed.of(models, observations, answers, other)) for other in others))
    beliefs = {prior.name: weighed for prior, weighed in weighed_by}
    doubting = _doubting(result, tuple(beliefs.values()))
    held = [
        held_of(
            model,
            observations,
            probability=doubting.probability[model.metal],
            size_limit=None if size is None else math.log(size.limit_of(model.metal)),
        )
        for model in models
    ]
    copper = result.copper
    answered = tuple(_told_by(prior, weighed, size) for prior, weighed in weighed_by)
    decided = explained and _alike([one.copper for one in answered])
    if size is not None:
        decided = decided and _alike([weighed.meets(size) for weighed in beliefs.values()])
    made = [one.kind for one in prepared if not isinstance(one, NotUsed)]
    likeliest = max(result.probability, key=lambda metal: result.probability[metal])
    nearest = likeliest if explained else max(result.fits, key=lambda metal: result.fits[metal])
    estimate = MetalEstimate(
        explained=explained,
        statement="",
        likeliest=likeliest if explained else None,
        copper=copper if explained else None,
        metals=tuple(_share(result, metal, explained, size) for metal in result.probability),
        area_mm2=result.area() if explained else None,
        copper_equivalent_mm2=_as_read(believed, book) or _equivalent(result, book) if explained else None,
        metal_number=_number_of(observations, models),
        size=_size_probability(result, size, book) if explained and size is not None else None,
        entropy=float(entropy(np.array(list(result.probability.values())))) if explained else None,
        decided=decided,
        evidence=_evidence_used(prepared, result.of_metal[nearest]),
        settle=() if decided or not explained else settle(held, made),
        priors=answered if explained else (),
        remarks=(*questions(prepared), *(belief_remarks(answered) if explained else ())),
        limits=_limits(models, size),
    )
    remarks = (*estimate.remarks, *fit_remarks(estimate))
    return replace(estimate, statement=metal_statement(estimate), remarks=remarks)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """All metals weighed against each other under one belief."""

    of_metal: Mapping[Metal, MetalPosterior]
    probability: Mapping[Metal, float]
    fits: Mapping[Metal, float]

    @classmethod
    def of(
        cls,
        models: Sequence[MetalModel],
        observations: Sequence[Observation],
        answers: Sequence[Answer],
        prior: Prior,
    ) -> _Weighed:
        found = {model.metal: metal_posterior(model, observations, prior.log_density) for model in models}
        # two looks at one cut are no two witnesses: the answers of one kind weigh together as one
        count = Counter(one.kind for one in answers)
        said = {
            metal: math.prod(one.likelihood[metal] ** (1.0 / count[one.kind]) for one in answers) for metal in found
        }
        best = math.prod(one.best ** (1.0 / count[one.kind]) for one in answers)
        logs = {
            metal: one.log_evidence + math.log(prior.metals[metal]) + math.log(said[metal])
            for metal, one in found.items()
        }
        highest = max(logs.values())
        total = sum(math.exp(log - highest) for log in logs.values())
        return cls(
            of_metal=found,
            probability={metal: math.exp(log - highest) / total for metal, log in logs.items()},
            fits={metal: one.fit * said[metal] / best for metal, one in found.items()},
        )

    @property
    def copper(self) -> float:
        return min(1.0, sum(self.probability[metal] for metal in COPPER_METALS))

    def meets(self, size: _Size, *, metals: Sequence[Metal] = tuple(Metal)) -> float:
        kept = sum(
            self.probability[metal] * self.of_metal[metal].probability_below(size.limit_of(metal)) for metal in metals
        )
        return min(1.0, kept)

    def area(self) -> Quantity:
        likely = [metal for metal in self.probability if self.probability[metal] > _DRAWN]
        why = "" if len(likely) < 2 else "over all metals; each has an area of its own"
        return mixture(
            np.concatenate([self.of_metal[metal].log_area for metal in likely]),
            np.concatenate([self.probability[metal] * self.of_metal[metal].weight for metal in likely]),
            "mm²",
            why=why,
        )


def _alike(probabilities: Sequence[float]) -> bool:
    """Say whether every belief decides, and to the same side."""
    sides = {probability > EVEN for probability in probabilities}
    return bool(is_decided(np.array(probabilities)).all()) and len(sides) == 1


def _doubting(result: _Weighed, beliefs: Sequence[_Weighed]) -> _Weighed:
    """Return the belief whose doubt is to be settled: the one in use, or the most doubtful where that has none."""
    if not _alike([result.copper]) or _alike([weighed.copper for weighed in beliefs]):
        return result
    return min(beliefs, key=lambda weighed: abs(weighed.copper - EVEN))


EVEN = 0.5
"""As likely as not."""

_DRAWN = 1e-4
"""Ours: a metal less likely than this is left out of a total over all metals."""


def _size_of(book: Book, nominal_mm2: float | None, conductor_class: int) -> _Size | None:
    if nominal_mm2 is None:
        return None
    plain, tinned = (
        resistance_limit(book, conductor_class=conductor_class, coating=coating, cross_section_mm2=nominal_mm2)
        for coating in ("plain", "tinned")
    )
    return _Size(nominal_mm2=nominal_mm2, conductor_class=conductor_class, plain=plain, tinned=tinned)


def _share(weighed: _Weighed, metal: Metal, explained: bool, size: _Size | None) -> MetalShare:
    one, probability = weighed.of_metal[metal], weighed.probability[metal]
    return MetalShare(
        metal=metal,
        probability=probability if explained else None,
        fit=weighed.fits[metal],
        area_mm2=mixture(one.log_area, one.weight, "mm²"),
        keeps_size_from_mm2=None
        if size is None
        else math.exp(float(np.array(RESISTANCE_ROW) @ one.model.mean)) / size.limit_of(metal),
        outline=tuple(
            AreaPoint(area_mm2=math.exp(area), density=(probability if explained else 1.0) * float(density))
            for area, density in zip(one.log_area[::OUTLINE], one.density[::OUTLINE], strict=True)
        ),
    )


def _as_read(evidence: Sequence[MetalEvidence], book: Book) -> Quantity | None:
    """Return the copper that has the resistance of the one reading there is, as the reading itself tells it."""
    read = [one for one in evidence if isinstance(one, ResistanceEvidence)]
    if len(read) != 1 or read[0].temperature != AT_REFERENCE:
        return None
    return area_of(in_unit(read[0].per_metre, "Ω/km"), book)


def _equivalent(weighed: _Weighed, book: Book) -> Quantity:
    """Return the area of annealed copper that would conduct as well: resistivity in nΩ·m over resistance in Ω/km."""
    copper = needed(book.limit("metal.copper.resistivity"), "nominal")
    likely = [metal for metal in weighed.probability if weighed.probability[metal] > _DRAWN]
    found = [weighed.of_metal[metal] for metal in likely]
    return mixture(
        math.log(copper) - np.concatenate([one.log_resistance for one in found]),
        np.concatenate([weighed.probability[one.model.metal] * one.weight for one in found]),
        "mm²",
        spread=max(one.resistance_u for one in found),
    )


def _size_probability(weighed: _Weighed, size: _Size, book: Book) -> SizeProbability:
    copper = needed(book.limit("metal.copper.resistivity"), "nominal")
    equivalent = sum(
        weighed.probability[metal] * one.probability_below(copper / size.nominal_mm2)
        for metal, one in weighed.of_metal.items()
    )
    tinned = weighed.probability[Metal.TINNED_COPPER] > weighed.probability[Metal.COPPER]
    return SizeProbability(
        nominal_mm2=size.nominal_mm2,
        conductor_class=size.conductor_class,
        limit=(size.tinned if tinned else size.plain).id,
        limit_ohm_per_km=size.limit_of(Metal.TINNED_COPPER if tinned else Metal.COPPER),
        by_resistance=weighed.meets(size),
        as_copper=weighed.meets(size, metals=COPPER_METALS),
        by_copper_equivalent=min(1.0, equivalent),
    )


def _number_of(observations: Sequence[Observation], models: Sequence[MetalModel]) -> Quantity | None:
    """Return resistance times mass where both were measured, the resistance referred to 20 °C as copper."""
    by_kind = {one.kind: one for one in reversed(observations)}
    if not {MetalEvidenceKind.RESISTANCE, MetalEvidenceKind.MASS} <= set(by_kind):
        return None
    resistance, mass = by_kind[MetalEvidenceKind.RESISTANCE], by_kind[MetalEvidenceKind.MASS]
    coefficient = next(model.temperature_coefficient for model in models if model.metal is Metal.COPPER)

    def referred(resistance: Number, temperature: Number, mass: Number) -> Number:
        return metal_number(
            resistance=resistance / (1.0 + coefficient * (temperature - REFERENCE_TEMPERATURE)), mass=mass
        )

    inputs = {
        "resistance": in_unit(resistance.quantity, "Ω/m"),
        "temperature": resistance.temperature,
        "mass": mass.quantity,
    }
    return propagate(referred, inputs, "Ω·g/m²")


def _evidence_used(prepared: Sequence[Prepared], likeliest: MetalPosterior) -> tuple[MetalEvidenceUsed, ...]:
    departures = iter(likeliest.departures)
    return tuple(
        MetalEvidenceUsed(
            kind=one.kind,
            quantity=None if isinstance(one, Answer) else one.quantity,
            answer="" if isinstance(one, Observation) else one.said,
            used=not isinstance(one, NotUsed),
            why=one.why if isinstance(one, NotUsed) else "",
            departure=float(next(departures)) if isinstance(one, Observation) else None,
        )
        for one in prepared
    )


def _told_by(prior: Prior, weighed: _Weighed, size: _Size | None) -> PriorAnswer:
    return PriorAnswer(
        prior=prior.name,
        believed=belief_told(prior.metals, prior.sizes_mm2),
        copper=weighed.copper,
        meets_size=None if size is None else weighed.meets(size),
        area_mm2=weighed.area(),
    )


def _limits(models: Sequence[MetalModel], size: _Size | None) -> tuple[str, ...]:
    of_metals = [limit for model in models for limit in model.limits]
    of_size = [] if size is None else [size.plain, size.tinned]
    return tuple(dict.fromkeys(limit.id for limit in (*of_metals, *of_size)))

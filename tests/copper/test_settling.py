"""Which measurement would settle it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import MagnetEvidence, MassEvidence, ResistanceEvidence
from coldpin.copper.metal_priors import AREAS_MM2, metal_models
from coldpin.copper.settling import BENCH, entropy, is_decided
from coldpin.quantity import Quantity
from coldpin.records.metal import Metal, MetalEvidenceKind
from coldpin.standards import load_book

BOOK = load_book()
RESISTANCE = ResistanceEvidence(per_metre=Quantity(7.2, 0.024, "Ω/km"))


def test_after_the_resistance_the_mass_settles_it() -> None:
    """Mass tells copper from clad nearly surely; heating, which is a resistance again, tells nothing of the metal."""
    told = estimate_metal([RESISTANCE], BOOK, nominal_mm2=2.5)
    by_kind = {one.kind: one for one in told.settle}

    assert told.entropy is not None
    assert told.settle[0].kind is MetalEvidenceKind.MASS
    assert by_kind[MetalEvidenceKind.MASS].probability_of_deciding > 0.99
    assert by_kind[MetalEvidenceKind.HEATING].probability_of_deciding == 0.0
    assert by_kind[MetalEvidenceKind.HEATING].expected_entropy == pytest.approx(told.entropy, abs=1e-6)
    assert by_kind[MetalEvidenceKind.MAGNET].expected_entropy < told.entropy
    assert MetalEvidenceKind.RESISTANCE not in by_kind


def test_no_measurement_adds_doubt() -> None:
    """Whatever is measured, the doubt expected afterwards is not larger than before."""
    for evidence in (
        [],
        [RESISTANCE],
        [MagnetEvidence(answer="no")],
        [MassEvidence(per_metre=Quantity(9.0, 0.05, "g/m"))],
    ):
        told = estimate_metal(evidence, BOOK, nominal_mm2=2.5)
        assert told.entropy is not None
        assert told.settle
        for one in told.settle:
            assert 0.0 <= one.probability_of_deciding <= 1.0
            assert one.expected_entropy <= told.entropy + 1e-9
            assert one.minutes > 0


def test_of_equals_the_one_that_costs_no_specimen_comes_first() -> None:
    """The list falls in what would be decided, and destruction comes last among equals."""
    told = estimate_metal([RESISTANCE], BOOK, nominal_mm2=2.5)
    keys = [(-round(one.probability_of_deciding, 2), one.destructive) for one in told.settle]

    assert keys == sorted(keys)


def test_an_answer_that_cannot_be_used_can_still_be_asked_for() -> None:
    """A mass without uncertainty was not made."""
    unsure = MassEvidence(per_metre=Quantity(22.0, None, "g/m"))
    told = estimate_metal([RESISTANCE, unsure], BOOK, nominal_mm2=2.5)

    assert told.settle[0].kind is MetalEvidenceKind.MASS


@pytest.mark.hand("log2 of the number of equally likely metals")
def test_entropy() -> None:
    """Certainty is nil, six equal ones are log2 6."""
    assert float(entropy(np.array([1.0, 0.0]))) == 0.0
    assert float(entropy(np.full(6, 1.0 / 6.0))) == pytest.approx(math.log2(6.0))


def test_decided_by_the_rule_of_the_house() -> None:
    """97.5 % either way."""
    assert is_decided(np.array([0.975, 0.974, 0.026, 0.025])).tolist() == [True, False, False, True]


@pytest.mark.independent("masses drawn from what is believed, each estimated anew")
def test_the_expected_doubt_is_the_mean_of_the_doubts(proving: bool) -> None:
    """A thousand masses to come, drawn and estimated, leave the doubt that was foretold."""
    draws = 1000 if proving else 60
    rng = np.random.default_rng(20)
    models = {model.metal: model for model in metal_models(BOOK)}
    told = estimate_metal([RESISTANCE], BOOK, nominal_mm2=2.5)
    foretold = next(one for one in told.settle if one.kind is MetalEvidenceKind.MASS)
    relative = next(one.relative_u for one in BENCH if one.kind is MetalEvidenceKind.MASS)
    assert relative is not None
    metals = rng.choice(len(told.metals), size=draws, p=[share.probability or 0.0 for share in told.metals])
    doubts, decided = [], 0
    for place in metals:
        metal = told.metals[place].metal
        strands, cores, resistivity, density = rng.multivariate_normal(models[metal].mean, models[metal].covariance)
        # the area that has the resistance read, with the reading's own error
        area = strands + cores + resistivity - math.log(7.2) + rng.normal(0.0, 0.024 / 7.2)
        mass = math.exp(density + area + strands + rng.normal(0.0, relative))
        seen = MassEvidence(per_metre=Quantity(mass, relative * mass, "g/m"))
        after = estimate_metal([RESISTANCE, seen], BOOK, nominal_mm2=2.5)
        if after.entropy is not None:
            doubts.append(after.entropy)
            decided += after.decided
    error = float(np.std(doubts)) / math.sqrt(len(doubts))

    assert np.mean(doubts) == pytest.approx(foretold.expected_entropy, abs=4.0 * error)
    assert decided / len(doubts) == pytest.approx(foretold.probability_of_deciding, abs=0.02)
    assert math.log(AREAS_MM2[1] / AREAS_MM2[0]) > 5.0
    assert len(Metal) == len(told.metals)

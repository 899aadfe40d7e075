"""The integral over what is not known, against plain draws that know nothing of how it is taken."""

from __future__ import annotations

import math

import numpy as np
import pytest

from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import MassEvidence, MetalEvidence, ResistanceEvidence, StrandEvidence
from coldpin.copper.metal_posterior import metal_posterior, mixture
from coldpin.copper.metal_priors import AREAS_MM2, METAL_PRIOR, metal_models, priors
from coldpin.quantity import Quantity
from coldpin.records.metal import Metal
from coldpin.standards import load_book

BOOK = load_book()


@pytest.mark.independent("importance-weighted draws of metal, area, lay, twist, resistivity and density")
@pytest.mark.parametrize(
    ("resistance", "mass", "diameter"), [(7.5, 21.0, 0.25), (7.5, 14.0, 0.28), (11.5, 8.0, None), (20.0, 22.0, None)]
)
def test_against_draws(resistance: float, mass: float, diameter: float | None, proving: bool) -> None:
    """Probabilities, area and the marked size come out as by weighting draws from what is believed beforehand."""
    draws = 4_000_000 if proving else 500_000
    percent = 8.0
    rng = np.random.default_rng(4)
    evidence: list[MetalEvidence] = [
        ResistanceEvidence(per_metre=Quantity(resistance, resistance * percent / 100.0, "Ω/km")),
        MassEvidence(per_metre=Quantity(mass, mass * percent / 100.0, "g/m")),
    ]
    if diameter is not None:
        evidence.append(StrandEvidence(count=50, diameter=Quantity(diameter, diameter * percent / 200.0, "mm")))
    told = estimate_metal(evidence, BOOK, nominal_mm2=2.5)

    area = rng.uniform(math.log(AREAS_MM2[0]), math.log(AREAS_MM2[1]), draws)
    weight, limit, which = np.zeros(draws), np.zeros(draws), rng.choice(6, draws, p=list(METAL_PRIOR.values()))
    for place, model in enumerate(metal_models(BOOK)):
        of = which == place
        strands, cores, resistivity, density = rng.multivariate_normal(model.mean, model.covariance, of.sum()).T
        log_resistance = resistivity + strands + cores - area[of]
        gaps = [
            (math.log(resistance) - log_resistance) / (percent / 100.0),
            (math.log(mass) - density - strands - area[of]) / (percent / 100.0),
        ]
        if diameter is not None:
            gaps.append((math.log(50 * math.pi / 4.0 * diameter**2) - area[of]) / (percent / 100.0))
        weight[of] = np.exp(-0.5 * np.sum(np.square(gaps), axis=0))
        limit[of] = log_resistance <= math.log(8.21 if model.metal is Metal.TINNED_COPPER else 7.98)
    total = weight.sum()
    effective = total**2 / (weight**2).sum()

    assert effective > 300.0
    error = 4.0 / math.sqrt(effective)
    for place, share in enumerate(told.metals):
        assert share.probability == pytest.approx(weight[which == place].sum() / total, abs=0.5 * error)
    assert told.area_mm2 is not None
    assert told.area_mm2.u is not None
    assert told.area_mm2.value == pytest.approx(weight @ np.exp(area) / total, abs=error * told.area_mm2.u)
    assert told.size is not None
    assert told.size.by_resistance == pytest.approx(weight @ limit / total, abs=0.5 * error)


@pytest.mark.hand("ln R = ln ρ + ln k − ln A: variances of lay, melt and reading add up")
def test_the_area_of_copper_by_its_resistance() -> None:
    """The spread of the area is that of lay, resistivity and reading together."""
    model = metal_models(BOOK)[0]
    told = estimate_metal([ResistanceEvidence(per_metre=Quantity(7.0, 0.021, "Ω/km"))], BOOK)
    area = told.metals[0].area_mm2
    by_hand = math.sqrt(model.covariance[0, 0] + model.covariance[1, 1] + 0.010**2 + 0.003**2)

    assert area.u is not None
    assert area.u / area.value == pytest.approx(by_hand, rel=0.01)
    assert area.value == pytest.approx(17.241 * 1.0349 / 7.0, rel=1e-3)


@pytest.mark.hand("95 % of a normal variable: 1.96 standard deviations of the logarithm")
def test_mixture_of_one_bell() -> None:
    """Points of a normal density give its interval; a width of each point adds to it."""
    at = np.linspace(-6.0, 6.0, 241)
    bell = np.exp(-0.5 * at**2)
    plain, wider = mixture(0.01 * at, bell, "mm²"), mixture(0.01 * at, bell, "mm²", spread=0.01)

    assert plain.low is not None
    assert wider.low is not None
    assert math.log(plain.low) == pytest.approx(-0.0196, rel=2e-3)
    assert math.log(wider.low) == pytest.approx(-0.0196 * math.sqrt(2.0), rel=5e-3)


def test_mixture_of_one_point() -> None:
    """All at one place: the width alone is left."""
    told = mixture(np.zeros(5), np.full(5, 0.2), "mm²", spread=0.01)

    assert told.value == pytest.approx(1.0, rel=1e-3)
    assert told.u == pytest.approx(0.01, rel=0.01)


def test_grid_holds_all_of_it() -> None:
    """The weights of a metal add up to one and vanish at both ends."""
    seen = metal_posterior(metal_models(BOOK)[0], [], priors(())[0].log_density)

    assert seen.weight.sum() == pytest.approx(1.0)
    assert seen.fit == 1.0
    assert math.exp(seen.log_area[0]) == pytest.approx(AREAS_MM2[0])

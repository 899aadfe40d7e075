"""Benches with equations and constants of their own: are metals told apart, do the intervals hold the truth?"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import pytest
from scipy import stats

from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import MassEvidence, MetalEvidence, ResistanceEvidence, StrandEvidence
from coldpin.copper.metal_priors import METAL_PRIOR, metal_models
from coldpin.quantity import Quantity
from coldpin.records.metal import Metal, MetalEstimate
from coldpin.simulator.conductor import draw_conductor
from coldpin.simulator.conductor_bench import (
    INSTRUMENTS,
    ConductorReadings,
    measure_conductor,
    set_up_conductor_bench,
)
from coldpin.standards import load_book

BOOK = load_book()
STATED = {meter.name: meter for meter in INSTRUMENTS}
SQRT3 = math.sqrt(3.0)


def read(text: str, meter: str) -> tuple[float, float]:
    """A reading and its standard uncertainty by the maker's statement, with the digits of scatter and rounding."""
    number = re.match(r"-?[0-9.]+", text)
    assert number is not None, text
    value, digit = float(number[0]), 10.0 ** -len(number[0].partition(".")[2])
    stated = STATED[meter]
    half = stated.percent / 100.0 * value + (stated.digits + stated.scatter + 0.5) * digit
    return value, half / SQRT3


def as_evidence(seen: ConductorReadings, *, strands: bool = False) -> list[MetalEvidence]:
    """What a person makes of the readings: resistance and mass for each metre, each with its uncertainty."""
    ohms = [read(text, "milliohm meter") for text in seen.resistance]
    resistance, u_resistance = np.mean([value for value, _ in ohms]), ohms[0][1]
    length, u_length = read(seen.length, "tape")
    mass, u_mass = read(seen.mass, "scale")
    piece, u_piece = read(seen.mass_length, "tape")
    warm, u_warm = read(seen.temperature, "thermometer")
    per_kilometre, per_metre = float(resistance) / length, mass / piece
    found: list[MetalEvidence] = [
        ResistanceEvidence(
            per_metre=Quantity(
                per_kilometre, per_kilometre * math.hypot(u_resistance / resistance, u_length / length), "Ω/km"
            ),
            # where the thermometer lies the cable may be 0.3 K off
            temperature=Quantity(warm, math.hypot(u_warm, 0.3 / SQRT3), "°C"),
        ),
        MassEvidence(per_metre=Quantity(per_metre, per_metre * math.hypot(u_mass / mass, u_piece / piece), "g/m")),
    ]
    if strands:
        wires = [read(text, "micrometer") for text in seen.strand_diameter]
        scatter = float(np.std([value for value, _ in wires], ddof=1)) / math.sqrt(len(wires))
        diameter = Quantity(float(np.mean([value for value, _ in wires])), math.hypot(wires[0][1], scatter), "mm")
        found.append(StrandEvidence(count=seen.strands, diameter=diameter))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Lead:
    """What is sold as 6 mm², and whether it is copper and keeps the resistance."""

    metal: str
    area_mm2: tuple[float, float]
    copper: bool
    meets: bool

    def told_apart(self, told: MetalEstimate) -> bool:
        """Whether both answers are decided, and right."""
        if not told.decided or told.copper is None or told.size is None:
            return False
        return (told.copper > 0.5) is self.copper and (told.size.by_resistance > 0.5) is self.meets


LEADS = (
    Lead(metal="copper", area_mm2=(5.6, 6.1), copper=True, meets=True),
    Lead(metal="copper", area_mm2=(3.7, 4.1), copper=True, meets=False),
    Lead(metal="clad_10", area_mm2=(5.6, 6.1), copper=False, meets=False),
)


def bench(metal: str, area_mm2: tuple[float, float], seed: int) -> ConductorReadings:
    """One virtual core on one virtual bench."""
    rng = np.random.default_rng(seed)
    conductor = draw_conductor(metal, float(rng.uniform(*area_mm2)), rng, nominal_mm2=6.0)
    return measure_conductor(conductor, set_up_conductor_bench(rng), rng=rng)


@pytest.mark.independent("virtual cores and instruments of the simulator, which shares no formula with the estimate")
def test_copper_thin_copper_and_clad_are_told_apart(
    proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """6 mm² copper, 4 mm² copper sold as 6, and clad 6 mm²: by four wires and mass, in 99 of 100 benches."""
    benches = 1000 if proving else 100
    right = dict.fromkeys(LEADS, 0)
    for lead in LEADS:
        for seed in range(benches):
            evidence = as_evidence(bench(lead.metal, lead.area_mm2, seed))
            right[lead] += lead.told_apart(estimate_metal(evidence, BOOK, nominal_mm2=6.0))
    worst = min(right.values()) / benches
    measured(
        f"6 mm², 4 mm² and clad 6 mm² told apart, worst of three by {benches} benches", 100.0 * worst, "%", "≥ 99 %"
    )

    assert worst >= 0.99


def binomial_band(count: int, share: float = 0.95) -> tuple[int, int]:
    """Hits out of ``count`` that a true coverage of ``share`` leaves in 999 of 1000 runs, counted exactly."""
    hits = stats.binom(count, share)
    return int(hits.ppf(0.0005)), int(hits.ppf(0.9995))


@pytest.mark.independent("cores drawn from what is believed beforehand, measured by equations written here")
@pytest.mark.parametrize("strands", [False, True])
def test_intervals_hold_the_area_as_often_as_they_say(
    strands: bool, proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """95 % intervals of the area, and of the metal's own, hold the truth in an exact binomial band about 95 %."""
    cores = 1000 if proving else 150
    rng = np.random.default_rng(31)
    models = {model.metal: model for model in metal_models(BOOK)}
    metals = rng.choice(list(METAL_PRIOR), size=cores, p=list(METAL_PRIOR.values()))
    held, held_by_metal = 0, 0
    for name in metals:
        metal = Metal(name)
        area = float(np.exp(rng.uniform(math.log(0.7), math.log(12.0))))
        wires, twist, resistivity, density = np.exp(
            rng.multivariate_normal(models[metal].mean, models[metal].covariance)
        )
        ohms = resistivity * wires * twist / area * math.exp(rng.normal(0.0, 0.004))
        grams = density * area * wires * math.exp(rng.normal(0.0, 0.006))
        evidence: list[MetalEvidence] = [
            ResistanceEvidence(per_metre=Quantity(ohms, 0.004 * ohms, "Ω/km")),
            MassEvidence(per_metre=Quantity(grams, 0.006 * grams, "g/m")),
        ]
        if strands:
            thick = math.sqrt(area / (0.25 * math.pi * 50)) * math.exp(rng.normal(0.0, 0.006))
            evidence.append(StrandEvidence(count=50, diameter=Quantity(thick, 0.006 * thick, "mm")))
        told = estimate_metal(evidence, BOOK)
        own = next(share.area_mm2 for share in told.metals if share.metal is metal)
        held += told.area_mm2 is not None and told.area_mm2.low <= area <= told.area_mm2.high  # type: ignore[operator]  # a known interval
        held_by_metal += own.low <= area <= own.high  # type: ignore[operator]  # a known interval
    low, high = binomial_band(cores)
    which = "resistance, mass and wires" if strands else "resistance and mass"
    measured(
        f"95 % intervals of the area by {which}: share that holds the truth",
        100.0 * held / cores,
        "%",
        "95 %, exact binomial band",
    )

    assert low <= held <= high
    assert low <= held_by_metal <= high


@pytest.mark.independent("virtual cores of the simulator, whose melts, skins, lays and twists are its own")
def test_intervals_hold_the_area_of_virtual_cores(
    proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Cores made by somebody who does not know what is believed: the interval of the right metal is wide enough."""
    cores = 1000 if proving else 120
    metals = list(Metal)
    held = 0
    for seed in range(cores):
        metal = metals[seed % len(metals)]
        seen = bench(metal.value, (1.2, 9.5), 5000 + seed)
        told = estimate_metal(as_evidence(seen, strands=seed % 2 == 0), BOOK)
        own = next(share.area_mm2 for share in told.metals if share.metal is metal)
        held += own.low <= 1e6 * seen.conductor.area <= own.high  # type: ignore[operator]  # a known interval
    measured(
        "95 % intervals of a virtual core's area: share that holds the truth",
        100.0 * held / cores,
        "%",
        "≥ 95 %, exact binomial band",
    )

    assert held >= binomial_band(cores)[0]

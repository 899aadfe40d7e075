"""Readings of virtual benches, whose truth is known: how often the interval holds it and an outcome is wrong."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
import pytest
from scipy.stats import binom

from coldpin.quantity import COVERAGE
from coldpin.records.conductor import ConductorReading
from coldpin.records.finding import Outcome
from coldpin.simulator.conductor import VirtualPath, conductor_of
from coldpin.simulator.conductor_bench import set_up_conductor_bench
from coldpin.simulator.conductor_instruments import CLAMP, DROP, MILLIOHM, TAPE, THERMOMETER, statement
from coldpin.workbench import look_at_conductor

BENCHES, ALL_BENCHES = 60, 1000
CHANCE = 1e-3
"""How often a right program would fail here by chance, each way."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What was told of a virtual core, and its resistance at 20 °C. [Ω/km]"""

    told: ConductorReading
    truth: float


def stated(shown: str, accuracy: str) -> str:
    """A reading with its instrument's limits written behind it, from a statement such as '1 % + 3 digits'."""
    value, unit = shown.split(" ")
    percent, digits = accuracy.replace(" %", "").replace(" digits", "").split(" + ")
    step = 10.0 ** -len(value.partition(".")[2])
    return f"{value} {unit} ± {float(percent) / 100.0 * abs(float(value)) + float(digits) * step:.6g} {unit}"


def look(seed: int) -> Looked:
    """One core near the limit of its mark, read on one bench by a milliohm meter, or by a drop both ways."""
    rng = np.random.default_rng(seed)
    bench = set_up_conductor_bench(rng)
    conductor = conductor_of("copper", float(rng.uniform(2.0, 2.6)), nominal_mm2=2.5)
    path = VirtualPath(conductor=conductor, length=float(rng.uniform(2.0, 10.0)))
    room = float(rng.uniform(10.0, 32.0))
    length = stated(bench.length(path.length, rng=rng).shown[0], statement(TAPE))
    at = stated(bench.temperature(room, rng=rng).shown[0], statement(THERMOMETER))
    tell = partial(look_at_conductor, length=length, at=at, nominal="2.5 mm2", coating="plain")
    if rng.uniform() < 0.5:
        reading = bench.four_wire(path, rng=rng, room=room, test_current=1.0, seconds=5.0)
        shown = stated(reading.shown[0], statement(MILLIOHM))
        told = tell(resistance=shown, current="1 A ± 0.1 A", since="5 s")
    else:
        seconds = float(rng.uniform(1.0, 600.0))
        one, other = (bench.drop(path, current=way, rng=rng, room=room, seconds=seconds) for way in (10.0, -10.0))
        told = tell(
            drop=stated(one.voltage, statement(DROP)),
            drop_reversed=stated(other.voltage, statement(DROP)),
            current=stated(one.current, statement(CLAMP)),
            since=f"{seconds:.0f} s",
        )
    return Looked(told=told, truth=1000.0 * conductor.resistance(temperature=20.0))


@pytest.fixture(scope="module")
def looked(request: pytest.FixtureRequest) -> list[Looked]:
    """All benches, or fewer where not everything is proved."""
    return [look(seed) for seed in range(ALL_BENCHES if request.getfixturevalue("proving") else BENCHES)]


@pytest.mark.independent("virtual bench whose conductors and meters share no formula with the analysis")
def test_the_interval_holds_the_truth_as_often_as_it_says(
    looked: list[Looked], measured: Callable[[str, float, str, str], None]
) -> None:
    """At least as often as 95 % by an exact binomial band; unstated shares make it wider, never narrower."""
    held = 0
    for one in looked:
        quantity = one.told.resistance_20c_ohm_per_km
        assert quantity.low is not None
        assert quantity.high is not None
        held += quantity.low <= one.truth <= quantity.high

    measured("Ω/km of a core within its 95 % interval", 100.0 * held / len(looked), "%", "95 or above, binomial")
    assert held >= binom.ppf(CHANCE, len(looked), COVERAGE)


@pytest.mark.independent("virtual bench whose conductors and meters share no formula with the analysis")
def test_an_outcome_is_wrong_no_oftener_than_it_may_be(looked: list[Looked]) -> None:
    """Within beyond the limit or beyond within it: at most one in forty; and both outcomes do come about."""
    wrong = [
        one
        for one in looked
        if (one.told.outcome is Outcome.WITHIN and one.truth > 7.98)
        or (one.told.outcome is Outcome.BEYOND and one.truth < 7.98)
    ]

    assert len(wrong) <= binom.ppf(1.0 - CHANCE, len(looked), 0.5 * (1.0 - COVERAGE))
    assert {one.told.outcome for one in looked} == {Outcome.WITHIN, Outcome.BEYOND, Outcome.UNDECIDED}

"""Which measurement, not yet made, would settle what a core is: what each would be expected to leave of the doubt."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.metal_evidence import MASS_ROWS, RESISTANCE_ROW, STRAND_ROW, Observation, noise
from coldpin.copper.metal_priors import AREAS_MM2, CUT_LOOKS, MAGNET_YES, MetalModel
from coldpin.quantity import find_rule
from coldpin.records.metal import Metal, MetalEvidenceKind, SettlingMeasurement

COPPER_METALS = (Metal.COPPER, Metal.TINNED_COPPER)
"""The metals that a charging cable may be of."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchMeasurement:
    """A measurement as an ordinary bench makes it.

    ``relative_u`` is the standard uncertainty to be expected, over the value [1]; ``slope`` and ``row`` as in
    :class:`~coldpin.copper.metal_evidence.Observation`. Of an answer in words the uncertainty is None.
    """

    kind: MetalEvidenceKind
    title: str
    minutes: int
    destructive: bool
    relative_u: float | None
    slope: float = 0.0
    row: tuple[float, ...] = STRAND_ROW


BENCH: tuple[BenchMeasurement, ...] = (
    BenchMeasurement(
        kind=MetalEvidenceKind.RESISTANCE,
        title="resistance of the core with four wires, over metres of cable",
        minutes=10,
        destructive=False,
        relative_u=0.0033,
        slope=-1.0,
        row=RESISTANCE_ROW,
    ),
    BenchMeasurement(
        kind=MetalEvidenceKind.MAGNET,
        title="a magnet at the bare wires",
        minutes=2,
        destructive=False,
        relative_u=None,
    ),
    BenchMeasurement(
        kind=MetalEvidenceKind.HEATING,
        title="heating of the cable at extra-low voltage",
        minutes=60,
        destructive=False,
        relative_u=0.09,
        slope=-1.0,
        row=RESISTANCE_ROW,
    ),
    BenchMeasurement(
        kind=MetalEvidenceKind.CUT,
        title="look of a fresh cut under a lens",
        minutes=5,
        destructive=True,
        relative_u=None,
    ),
    BenchMeasurement(
        kind=MetalEvidenceKind.MASS,
        title="mass of a stripped piece of core",
        minutes=15,
        destructive=True,
        relative_u=0.005,
        slope=1.0,
        row=MASS_ROWS["core"],
    ),
    BenchMeasurement(
        kind=MetalEvidenceKind.STRANDS,
        title="wires counted, and their diameter with a micrometer",
        minutes=20,
        destructive=True,
        relative_u=0.025,
        slope=1.0,
        row=STRAND_ROW,
    ),
)
"""Ours: what a bench of the trade reaches, and how long it takes. Resistance by a budget of 10 A over 5 m of 2.5 mm²
(0.33 %, from memory), heating by the film coefficient (9 %, from memory), mass by 0.1 g and 2 mm on a metre, diameter
by 3 µm on a quarter of a millimetre."""

OUTCOMES = 800
"""Ours: values of a measurement to come over which its doubt is averaged."""

OUTCOME_REACH = 5.0
"""Ours: standard deviations on either side that they cover."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """What is held of one metal after the evidence: its probability, and a normal belief about the core's five numbers.

    ``mean`` (shape (5,)) and ``covariance`` (shape (5, 5)) are those of the logarithm of the area and of the latent
    numbers; ``size_limit`` is the logarithm of the limit in Ω/km, None where no size is marked. [1]
    """

    metal: Metal
    probability: float
    mean: NDArray[np.float64]
    covariance: NDArray[np.float64]
    size_limit: float | None


def held_of(
    model: MetalModel, observations: Sequence[Observation], *, probability: float, size_limit: float | None
) -> Held:
    """Return what is held of one metal, the area's belief taken as normal: enough to plan by.

    Parameters
    ----------
    model : MetalModel
        The metal.
    observations : sequence of Observation
        The numbers measured.
    probability : float
        That of this metal. [1]
    size_limit : float or None
        Logarithm of the limit of the marked size in Ω/km. [1]

    Returns
    -------
    Held
        The belief.
    """
    ends = np.log(AREAS_MM2)
    # as wide as a log-uniform belief between these areas
    mean = np.concatenate([[ends.mean()], model.mean])
    covariance = np.zeros((mean.size, mean.size))
    covariance[0, 0] = (ends[1] - ends[0]) ** 2 / _WIDTH_OVER_SIGMA
    covariance[1:, 1:] = model.covariance
    if observations:
        rows = np.array([(one.slope, *one.row) for one in observations])
        seen = np.array([one.log_value - one.warmth(model) for one in observations])
        gain = covariance @ rows.T @ np.linalg.inv(rows @ covariance @ rows.T + noise(observations, model))
        mean = mean + gain @ (seen - rows @ mean)
        covariance = covariance - gain @ rows @ covariance
    return Held(metal=model.metal, probability=probability, mean=mean, covariance=covariance, size_limit=size_limit)


_WIDTH_OVER_SIGMA = 12.0
"""The square of the width of a rectangular distribution over its variance."""


def entropy(probabilities: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the doubt between metals.

    Parameters
    ----------
    probabilities : array of shape (n, ...)
        Probabilities that add up to one along the first axis. [1]

    Returns
    -------
    array of shape (...)
        Entropy. [bit]

    Examples
    --------
    >>> float(entropy(np.array([0.5, 0.25, 0.25])))
    1.5
    """
    sure = np.where(probabilities > 0.0, probabilities, 1.0)
    doubt: NDArray[np.float64] = -(probabilities * np.log2(sure)).sum(axis=0)
    return doubt


def is_decided(probability: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Say where a yes or no is decided by the rule that decides everything else.

    Parameters
    ----------
    probability : array of shape (n,)
        That of yes. [1]

    Returns
    -------
    array of shape (n,)
        Whether yes or no is as sure as the rule asks.

    Examples
    --------
    >>> is_decided(np.array([0.99, 0.5, 0.02])).tolist()
    [True, False, True]
    """
    confidence = find_rule("confidence").confidence
    assert confidence is not None, "this rule decides by a probability"
    sure: NDArray[np.bool_] = np.maximum(probability, 1.0 - probability) >= confidence
    return sure


def settle(held: Sequence[Held], made: Sequence[MetalEvidenceKind]) -> tuple[SettlingMeasurement, ...]:
    """Rank the measurements not yet made by what they would settle.

    Parameters
    ----------
    held : sequence of Held
        One for each metal.
    made : sequence of MetalEvidenceKind
        What was measured and used already.

    Returns
    -------
    tuple of SettlingMeasurement
        The one that most probably decides comes first; of equals what costs no piece of the specimen, then what leaves
        the least doubt.
    """
    weights = np.array([one.probability for one in held])
    copper = np.array([one.metal in COPPER_METALS for one in held])
    found = []
    for bench in BENCH:
        if bench.kind in made:
            continue
        outcomes = _by_number(held, bench) if bench.relative_u is not None else _by_words(held, bench.kind)
        joint = weights[:, None] * outcomes.likelihood
        chance = joint.sum(axis=0)
        after = joint / np.where(chance > 0.0, chance, 1.0)
        decided = is_decided(copper @ after)
        if outcomes.meets is not None:
            decided &= is_decided((after * outcomes.meets).sum(axis=0))
        share = chance * outcomes.width
        share = share / share.sum()
        found.append(
            SettlingMeasurement(
                kind=bench.kind,
                title=bench.title,
                minutes=bench.minutes,
                destructive=bench.destructive,
                probability_of_deciding=float(share @ decided),
                expected_entropy=float(share @ entropy(after)),
            )
        )
    return tuple(
        sorted(found, key=lambda one: (-round(one.probability_of_deciding, 2), one.destructive, one.expected_entropy))
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Outcomes:
    """What a measurement may say: for metals times outcomes how likely it is, and whether the size is met then."""

    likelihood: NDArray[np.float64]
    meets: NDArray[np.float64] | None
    width: float


def _by_number(held: Sequence[Held], bench: BenchMeasurement) -> _Outcomes:
    """Let the number come out anywhere, and look what each value would make of every metal."""
    assert bench.relative_u is not None, "asked only of a number"
    asked = np.array([bench.slope, *bench.row])
    middle = np.array([asked @ one.mean for one in held])
    spread = np.sqrt([asked @ one.covariance @ asked + bench.relative_u**2 for one in held])
    likely = np.array([one.probability for one in held]) > _NEGLIGIBLE
    low = float((middle - OUTCOME_REACH * spread)[likely].min())
    high = float((middle + OUTCOME_REACH * spread)[likely].max())
    at = np.linspace(low, high, OUTCOMES)
    departure = (at - middle[:, None]) / spread[:, None]
    likelihood = np.exp(-0.5 * departure**2) / spread[:, None]

    def moved(one: Held) -> tuple[float, float, float]:
        resistance = np.array([-1.0, *RESISTANCE_ROW])
        together = float(resistance @ one.covariance @ asked)
        own = float(resistance @ one.covariance @ resistance)
        variance = float(asked @ one.covariance @ asked) + (bench.relative_u or 0.0) ** 2
        return float(resistance @ one.mean), together / math.sqrt(variance), own - together**2 / variance

    return _Outcomes(likelihood=likelihood, meets=_meets(held, moved, departure), width=(high - low) / OUTCOMES)


_NEGLIGIBLE = 1e-6
"""Ours: a metal less likely than this does not widen the range of values that are tried."""


def _by_words(held: Sequence[Held], kind: MetalEvidenceKind) -> _Outcomes:
    """Let each answer be given; an answer in words says nothing of the area of a metal."""
    if kind is MetalEvidenceKind.MAGNET:
        likelihood = np.array([[MAGNET_YES[one.metal], 1.0 - MAGNET_YES[one.metal]] for one in held])
    else:
        likelihood = np.array([list(CUT_LOOKS[one.metal].values()) for one in held])

    def as_it_is(one: Held) -> tuple[float, float, float]:
        resistance = np.array([-1.0, *RESISTANCE_ROW])
        return float(resistance @ one.mean), 0.0, float(resistance @ one.covariance @ resistance)

    return _Outcomes(likelihood=likelihood, meets=_meets(held, as_it_is, np.zeros(likelihood.shape)), width=1.0)


def _meets(
    held: Sequence[Held], resistance: Callable[[Held], tuple[float, float, float]], departure: NDArray[np.float64]
) -> NDArray[np.float64] | None:
    """Return for metals times outcomes whether the size is met.

    ``resistance`` gives the middle of the logarithm of the resistance, how far it moves with each standard deviation by
    which the outcome departs from what was expected, and the variance that is left.
    """
    from scipy import special

    found = []
    for one, departed in zip(held, departure, strict=True):
        if one.size_limit is None:
            return None
        middle, move, variance = resistance(one)
        left = math.sqrt(max(variance, _LEAST_VARIANCE))
        found.append(special.ndtr((one.size_limit - middle - move * departed) / left))
    return np.array(found)


_LEAST_VARIANCE = 1e-10
"""Ours: what rounding may leave of a variance that is nil."""

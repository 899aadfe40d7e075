"""Risk before measuring: how many of a production are wrongly accepted or rejected (JCGM 106 clause 9.5)."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

from scipy import special

from coldpin.errors import InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class GlobalRisk:
    """Probabilities that an item taken at random is non-conforming and accepted, or conforming and rejected."""

    consumer: float
    producer: float


def global_risk(
    prior: Callable[[float], float],
    *,
    support: tuple[float, float],
    u: float,
    minimum: float = -math.inf,
    maximum: float = math.inf,
    accept_minimum: float = -math.inf,
    accept_maximum: float = math.inf,
) -> GlobalRisk:
    """Return the consumer's and the producer's risk of an acceptance interval for a known production.

    Parameters
    ----------
    prior : callable
        Probability density of the property among the items.
    support : tuple of float
        Finite limits outside which the density is negligible.
    u : float
        Standard uncertainty of the measurement, normal, above 0, in the unit of the property.
    minimum, maximum : float
        Tolerance limits, in the unit of the property; infinite where there is none.
    accept_minimum, accept_maximum : float
        Limits of the measured value within which an item is accepted, in its unit; infinite where there is none.

    Returns
    -------
    GlobalRisk
        Both risks. [1]

    Raises
    ------
    InputError
        The support is not finite and in order, or ``u`` is not above 0.

    Examples
    --------
    >>> flat = global_risk(lambda x: 0.5, support=(-1.0, 1.0), u=0.1, maximum=0.0, accept_maximum=0.0)
    >>> round(flat.consumer, 4), round(flat.producer, 4)
    (0.0199, 0.0199)

    Sources
    -------
    JCGM 106:2012 9.5.2 (standing: memory, recomputed).
    """
    low, high = support
    if not (math.isfinite(low) and math.isfinite(high) and low < high and u > 0.0):
        raise InputError(f"global risk over {low} to {high} with u = {u}: the support must be finite and u above 0")
    from scipy import integrate

    def accepted(item: float) -> float:
        return float(special.ndtr((accept_maximum - item) / u) - special.ndtr((accept_minimum - item) / u))

    def integral(of: Callable[[float], float], start: float, end: float) -> float:
        # the acceptance probability steps within a few u: cut there, so that no step falls between the nodes
        cuts = {start, end}
        for limit in (minimum, maximum, accept_minimum, accept_maximum):
            cuts |= {limit + reach * u for reach in (-6.0, -2.0, 0.0, 2.0, 6.0) if start < limit + reach * u < end}
        steps = sorted(cuts)
        return math.fsum(float(integrate.quad(of, a, b)[0]) for a, b in pairwise(steps))

    inside = (max(low, minimum), min(high, maximum))
    outside = ((low, min(high, minimum)), (max(low, maximum), high))
    return GlobalRisk(
        consumer=math.fsum(
            integral(lambda item: prior(item) * accepted(item), start, end) for start, end in outside if start < end
        ),
        producer=integral(lambda item: prior(item) * (1.0 - accepted(item)), *inside) if inside[0] < inside[1] else 0.0,
    )

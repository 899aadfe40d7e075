"""What evidence says of one metal: how well it goes together, which area it leaves, which resistance at 20 °C.

In logarithms every measurement is a sum of the core's five numbers, four of which are normal beforehand. These are
integrated out exactly; over the area, whose belief may have any shape, the integral is taken on a grid that lies where
the evidence puts the area. No random draws: the same evidence gives the same digits.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.metal_evidence import RESISTANCE_ROW, Observation, noise
from coldpin.copper.metal_priors import AREAS_MM2, MetalModel
from coldpin.quantity import Quantity

NODES = 241
"""Ours: points of the grid over the area of one metal. Twelve standard deviations in steps of a twentieth of one."""

REACH = 6.0
"""Ours: standard deviations of the area on either side that the grid covers; beyond lie two in a thousand million."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class MetalPosterior:
    """What the evidence says if a core is of one metal.

    ``log_evidence`` is the logarithm of the density of the evidence. [1] ``log_area`` (shape (m,)) are logarithms of
    areas in mm², ``weight`` (shape (m,)) their probabilities, which add up to one, ``density`` (shape (m,)) the same
    per unit of logarithm. ``log_resistance`` (shape (m,)) is the middle of the logarithm of the resistance at 20 °C in
    Ω/km at each area, ``resistance_u`` its standard deviation. [1] ``misfit`` is the least sum of squared departures
    and ``freedom`` how many of them are free. ``departures`` (shape (n,)) are those of the measurements from the middle
    of the posterior, in standard deviations.
    """

    model: MetalModel
    log_evidence: float
    log_area: NDArray[np.float64]
    weight: NDArray[np.float64]
    density: NDArray[np.float64]
    log_resistance: NDArray[np.float64]
    resistance_u: float
    misfit: float
    freedom: int
    departures: NDArray[np.float64]

    @property
    def fit(self) -> float:
        """Probability of a misfit as large as this or larger if the core is of this metal. [1]"""
        if self.freedom < 1:
            return 1.0
        from scipy import special

        return float(special.chdtrc(self.freedom, self.misfit))

    def probability_below(self, resistance: float) -> float:
        """Return the probability that the resistance at 20 °C is at most so much.

        Parameters
        ----------
        resistance : float
            A limit. [Ω/km]

        Returns
        -------
        float
            Probability, if the core is of this metal. [1]
        """
        from scipy import special

        below = special.ndtr((math.log(resistance) - self.log_resistance) / self.resistance_u)
        return float(self.weight @ below)


def metal_posterior(
    model: MetalModel,
    observations: Sequence[Observation],
    log_prior: Callable[[NDArray[np.float64]], NDArray[np.float64]],
) -> MetalPosterior:
    r"""Weigh the evidence as if the core were of one metal.

    With y the logarithms measured, s their slopes over that of the area a, H their rows over the latent numbers of mean
    μ and covariance Σ, and N the covariance of the instruments,

    .. math:: y = s a + H z + e, \quad C = H \Sigma H^T + N, \quad \ln p(y | a) = -\frac12 (y - sa - H\mu)^T C^{-1}
        (y - sa - H\mu) - \frac12 \ln |2 \pi C|

    Parameters
    ----------
    model : MetalModel
        The metal.
    observations : sequence of Observation
        n numbers measured; none leaves the belief.
    log_prior : callable
        Logarithm of the density over the logarithm of the area, of an array of shape (m,).

    Returns
    -------
    MetalPosterior
        Evidence, area, resistance at 20 °C.

    Sources
    -------
    Normal variables under linear observation (standing: memory, recomputed by draws in the tests).
    """
    rows = np.array([one.row for one in observations]).reshape(-1, model.mean.size)
    slopes = np.array([one.slope for one in observations])
    covariance = rows @ model.covariance @ rows.T + noise(observations, model)
    precision = np.linalg.inv(covariance)
    residual = np.array([one.log_value - one.warmth(model) for one in observations]) - rows @ model.mean
    if observations:
        sharpness = float(slopes @ precision @ slopes)
        middle, reach = float(slopes @ precision @ residual) / sharpness, REACH / math.sqrt(sharpness)
        ends = (middle - reach, middle + reach)
    else:
        sharpness, middle = 0.0, 0.0
        ends = (math.log(AREAS_MM2[0]), math.log(AREAS_MM2[1]))
    misfit = max(0.0, float(residual @ precision @ residual) - sharpness * middle**2)

    log_area = np.linspace(*ends, NODES)
    step = (ends[1] - ends[0]) / (NODES - 1)
    log_likelihood = -0.5 * sharpness * (log_area - middle) ** 2 + log_prior(log_area)
    highest = float(log_likelihood.max())
    density = np.exp(log_likelihood - highest)
    weight = density.copy()
    weight[[0, -1]] *= 0.5
    total = float(weight.sum()) * step
    weight /= weight.sum()
    norm = 0.5 * (misfit + float(np.linalg.slogdet(2.0 * math.pi * covariance)[1]))

    # what the latent numbers are at each area, and the resistance that follows
    asked = np.array(RESISTANCE_ROW)
    gain = model.covariance @ rows.T @ precision
    left = residual[:, None] - slopes[:, None] * log_area
    log_resistance = asked @ model.mean + asked @ gain @ left - log_area
    variance = float(asked @ (model.covariance - gain @ rows @ model.covariance) @ asked)
    mean_area = float(weight @ log_area)
    return MetalPosterior(
        model=model,
        log_evidence=math.log(total) + highest - norm,
        log_area=log_area,
        weight=weight,
        density=density / total,
        log_resistance=log_resistance,
        resistance_u=math.sqrt(max(variance, 0.0)),
        misfit=misfit,
        freedom=max(0, len(observations) - 1),
        departures=(residual - slopes * mean_area) / np.sqrt(np.diag(covariance)),
    )


def mixture(
    values: NDArray[np.float64], weights: NDArray[np.float64], unit: str, *, spread: float = 0.0, why: str = ""
) -> Quantity:
    """Return the quantity that stands for a weighted set of logarithms.

    Parameters
    ----------
    values : array of shape (m,)
        Logarithms, in the unit. [1]
    weights : array of shape (m,)
        Their probabilities. [1]
    unit : str
        The unit.
    spread : float
        Standard deviation of each logarithm about its value. [1]
    why : str
        What is to be said beside it.

    Returns
    -------
    Quantity
        The mean, the standard deviation and the 95 % interval that leaves 2.5 % on either side.

    Examples
    --------
    >>> told = mixture(np.log(np.linspace(1.0, 3.0, 2001)), np.full(2001, 1.0 / 2001), "mm²")
    >>> round(told.value, 3), round(told.low, 3), round(told.high, 3)
    (2.0, 1.05, 2.95)
    """
    points, shares = values, weights / weights.sum()
    if spread > 0.0:
        points, shares = _widened(points, shares, spread)
    order = np.argsort(points, kind="stable")
    points, shares = points[order], shares[order]
    # each point stands for the stretch about it: half of its share lies below it
    below = np.cumsum(shares) - 0.5 * shares
    low, high = (float(np.exp(np.interp(level, below, points))) for level in (_TAIL, 1.0 - _TAIL))
    plain = np.exp(points)
    mean = float(shares @ plain)
    return Quantity(mean, math.sqrt(float(shares @ (plain - mean) ** 2)), unit, low=low, high=high, why=why)


_TAIL = 0.025
"""Half of what an interval of 95 % leaves out."""

_BINS = 2000
"""Ours: stretches into which logarithms are counted before each is given its width."""


def _widened(
    points: NDArray[np.float64], shares: NDArray[np.float64], spread: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Give each point a normal width, and return the same on an even grid."""
    ends = (float(points.min()) - REACH * spread, float(points.max()) + REACH * spread)
    counted, edges = np.histogram(points, bins=_BINS, range=ends, weights=shares)
    step = (ends[1] - ends[0]) / _BINS
    reach = min(math.ceil(REACH * spread / step), _BINS // 2 - 1)
    aside = np.arange(-reach, reach + 1) * step
    bell = np.exp(-0.5 * (aside / spread) ** 2)
    return 0.5 * (edges[1:] + edges[:-1]), np.convolve(counted, bell / bell.sum(), mode="same")

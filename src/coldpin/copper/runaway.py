"""Does a part under one current become warm faster and faster: then no end is in sight, and none is led to."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_curve import HeatingFit
from coldpin.copper.heating_grid import Blocks
from coldpin.quantity import Quantity

Array = NDArray[np.float64]

FASTER = 1.1
"""Ours: the slope of the last third is at least so much that of the third before; a straight line has 1, and any
curve with an end has less."""

MATERIAL = 0.1
"""Ours: the last third adds at least this share of the whole rise, so that a draught near the end is not taken for a
joint that runs away."""

PARTS = 3
"""Ours: the run is looked at in thirds; the first one, where a body lags behind its core, is left out."""

SURELY = 3.0
"""Ours: the slopes of two thirds differ by so many of their standard uncertainties."""

FEWEST = 4
"""Ours: a third with fewer readings than this has no slope of its own."""

NO_END = (
    "it became warm faster and faster: no end is in sight, and nothing is led beyond what was read. Either the heating "
    "had only begun, or a joint runs away: stop, let it cool, look at it"
)
"""Why a part has no temperature in the end."""


def rises_faster(blocks: Blocks) -> bool:
    """Say whether a part rises faster and faster over its air.

    Parameters
    ----------
    blocks : Blocks
        Readings from the moment the current came, at one current.

    Returns
    -------
    bool
        True where the last third rises surely faster than the one before, and adds a good share of the whole.

    Examples
    --------
    >>> time = np.linspace(0.0, 3000.0, 100)
    >>> def warmed(rise: Array) -> Blocks:
    ...     return Blocks(time=time, temperature=21.0 + rise, ambient=np.full(100, 21.0), drive=np.ones(100),
    ...                   counts=np.ones(100), resolution=0.1)
    >>> rises_faster(warmed(7e-6 * time**2)), rises_faster(warmed(-24.0 * np.expm1(-time / 430.0)))
    (True, False)
    """
    over = blocks.temperature - blocks.ambient
    third = blocks.duration / PARTS
    since = blocks.time - blocks.time[0]
    before, last = (since >= third) & (since <= 2.0 * third), since >= 2.0 * third
    if min(int(before.sum()), int(last.sum())) < FEWEST:
        return False
    (slow, slow_u), (fast, fast_u) = (_slope(since[part], over[part]) for part in (before, last))
    return (
        fast > max(FASTER * slow, 0.0)
        and fast - slow > SURELY * math.hypot(slow_u, fast_u)
        and fast * third > MATERIAL * float(over.max() - over.min())
    )


def _slope(time: Array, values: Array) -> tuple[float, float]:
    """Return the slope of a straight line with its standard uncertainty. [K/s]"""
    centred = time - time.mean()
    weight = float(centred @ centred)
    slope = float(centred @ values) / weight
    left = values - values.mean() - slope * centred
    return slope, math.sqrt(float(left @ left) / (time.size - 2) / weight)


def without_end(fit: HeatingFit) -> HeatingFit:
    """Return a fit that gives what was read last in the place of an end.

    Parameters
    ----------
    fit : HeatingFit
        Of a part that rises faster and faster.

    Returns
    -------
    HeatingFit
        Open above, its rise and time constant bounded from below by what was seen.
    """
    blocks = fit.blocks
    last = float(blocks.temperature[-1] - blocks.ambient[-1])
    return replace(
        fit,
        rise=Quantity(last, None, "K", low=last, why=NO_END),
        time_constant=Quantity(blocks.duration, None, "s", low=blocks.duration, why=NO_END),
        fast_constants=(),
        open_above=True,
        reached=None,
    )

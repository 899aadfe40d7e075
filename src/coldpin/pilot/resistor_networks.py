"""A resistance made of what is to be had: one stock resistor, or two in series or side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from coldpin.quantity import Quantity, propagate, rectangular
from coldpin.records.vehicle_simulator import Arrangement

DECADES = (1, 2, 3, 4)
"""Ours: resistors from 10 Ω to below 100 kΩ are looked at; beyond them the pilot is shorted, or sees no load. [1]"""

CLOSE = 0.005
"""Ours: a single resistor this near to what is wanted is taken before any pair. [1] Half its own tolerance."""

ALIKE = 1e-4
"""Ours: pairs whose deviations differ by less than this are as good as each other; the plainer one is taken. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Combination:
    """Stock resistors and what they make together. [Ω]"""

    arrangement: Arrangement
    resistors: tuple[float, ...]
    nominal: float


def value_of(arrangement: Arrangement, resistors: Sequence[float]) -> float:
    """Return what resistors make together.

    Parameters
    ----------
    arrangement : Arrangement
        How they stand to each other.
    resistors : sequence of float
        One or two. [Ω]

    Returns
    -------
    float
        Their resistance. [Ω]

    Examples
    --------
    >>> value_of(Arrangement.SERIES, (2700.0, 39.0)), value_of(Arrangement.PARALLEL, (200.0, 200.0))
    (2739.0, 100.0)
    """
    if arrangement is Arrangement.PARALLEL:
        return 1.0 / sum(1.0 / one for one in resistors)
    return sum(resistors)


@cache
def _stock(decade: tuple[float, ...]) -> NDArray[np.float64]:
    return np.sort(np.outer(10.0 ** np.array(DECADES, dtype=np.float64), decade).ravel().round(6))


def nearest_combination(
    wanted: float, decade: tuple[float, ...], *, at_least: bool = False, at_most: bool = False
) -> Combination:
    """Return the stock resistors that come nearest to a resistance.

    A single resistor within half a per cent is taken before any pair; of pairs that are equally near, the one in series
    and with the larger first resistor.

    Parameters
    ----------
    wanted : float
        The resistance. [Ω]
    decade : tuple of float
        Preferred numbers from 1 up to below 10.
    at_least : bool
        Never below it: for the lower end of a window.
    at_most : bool
        Never above it: for the upper end of a window.

    Returns
    -------
    Combination
        The resistors.

    Examples
    --------
    >>> nearest_combination(1300.0, (1.0, 1.3, 2.2, 4.7)).resistors
    (1300.0,)
    >>> nearest_combination(3500.0, (1.0, 1.3, 2.2, 4.7)).resistors
    (2200.0, 1300.0)
    """
    stock = _stock(decade)
    first, second = np.meshgrid(stock, stock, indexing="ij")
    alone = [
        (one, Arrangement.SINGLE, (float(one),)) for one in stock if _allowed(float(one), wanted, at_least, at_most)
    ]
    best = min(alone, key=lambda found: abs(found[0] / wanted - 1.0), default=None)
    if best is not None and abs(best[0] / wanted - 1.0) <= CLOSE:
        return Combination(arrangement=best[1], resistors=best[2], nominal=best[2][0])
    found = []
    for rank, (arrangement, values) in enumerate(
        ((Arrangement.SERIES, first + second), (Arrangement.PARALLEL, first * second / (first + second)))
    ):
        off = np.abs(values / wanted - 1.0)
        # of a pair and the same turned round only one counts, and what crosses an end of the window not at all
        off[(first < second) | (at_least & (values < wanted)) | (at_most & (values > wanted))] = np.inf
        near = np.argwhere(off <= off.min() + ALIKE)
        place = max(map(tuple, near.tolist()))
        found.append(
            (round(float(off.min()) / ALIKE), rank, arrangement, (float(stock[place[0]]), float(stock[place[1]])))
        )
    _, _, arrangement, resistors = min(found)
    return Combination(arrangement=arrangement, resistors=resistors, nominal=value_of(arrangement, resistors))


def _allowed(value: float, wanted: float, at_least: bool, at_most: bool) -> bool:
    return not (at_least and value < wanted) and not (at_most and value > wanted)


def with_tolerance_of(combination: Combination, percent: float, name: str) -> Quantity:
    """Return the resistance of a combination whose resistors are within a tolerance, each for itself.

    Parameters
    ----------
    combination : Combination
        The resistors.
    percent : float
        Their tolerance, either way. [%]
    name : str
        The network's name, for the ids of its resistors.

    Returns
    -------
    Quantity
        The resistance. [Ω]

    Examples
    --------
    >>> pair = Combination(arrangement=Arrangement.SERIES, resistors=(2200.0, 540.0), nominal=2740.0)
    >>> round(with_tolerance_of(pair, 1.0, "R2").expanded, 1)
    22.5
    """
    labels = [f"{name}, {one:g} Ω" for one in combination.resistors]
    parts = {
        f"r{place}": rectangular(one, one * percent / 100.0, "Ω", id=f"{label} ({place})", label=label)
        for place, (one, label) in enumerate(zip(combination.resistors, labels, strict=True))
    }
    if combination.arrangement is Arrangement.PARALLEL:
        return propagate(lambda r0, r1: r0 * r1 / (r0 + r1), parts, "Ω")
    if combination.arrangement is Arrangement.SERIES:
        return propagate(lambda r0, r1: r0 + r1, parts, "Ω")
    return parts["r0"]


def heat_in(combination: Combination, voltage: float) -> tuple[float, ...]:
    """Return the power in each resistor of a combination that a voltage stands across.

    Parameters
    ----------
    combination : Combination
        The resistors.
    voltage : float
        Across the whole of it. [V]

    Returns
    -------
    tuple of float
        Power in each. [W]

    Examples
    --------
    >>> pair = Combination(arrangement=Arrangement.SERIES, resistors=(600.0, 400.0), nominal=1000.0)
    >>> [round(power, 4) for power in heat_in(pair, 10.0)]
    [0.06, 0.04]
    """
    if combination.arrangement is Arrangement.PARALLEL:
        return tuple(voltage**2 / one for one in combination.resistors)
    return tuple((voltage / combination.nominal) ** 2 * one for one in combination.resistors)

"""Map of a lead over current and ambient: temperatures of metal and sheath, and where the first limit is reached.

All is computed for the whole grid at once. The middle of everything gives the temperatures. The warm side, from which
the margin to the nearest limit is taken, has all at its warm end: the film and the factor of how it lies at their low
ends, the cable as thin over its sheath, its layers as thick and its cores as resistive as their intervals allow.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.air_film import Arrangement, film_interval
from coldpin.copper.cable_rating import heat_for
from coldpin.copper.rated import at_rated, scaled_rise
from coldpin.copper.steady import (
    HOTTEST_SHEATH,
    HeatedCable,
    Outer,
    hot_resistance,
    loss,
    metal_temperature,
    sheath_temperature,
)
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity
from coldpin.records.current_map import AccessoryRise, CurrentChart, CurrentMap, Place, StopLine, TestedPoint
from coldpin.records.finding import Limit
from coldpin.standards.table import needed

__all__ = ["AccessoryRise", "accessory_line", "at_rated", "charted", "current_map", "limit_lines"]

COLUMNS, ROWS = 161, 61
"""Currents and ambients of a map: finer than a printed line is wide."""

COLDEST_AIR, HOTTEST_AIR = 0.0, 60.0
"""Ours: ambients of a map, from frost to a closed garage under the sun. [°C]"""

BEYOND = 1.08
"""Ours: a map reaches this much beyond the largest current on it."""

FILM_ENDS = (-1.0, 0.0, 1.0)
"""Low end, middle and high end of the film, as parts of its half width."""


EVERY_CURRENT, EVERY_AMBIENT = 4, 2
"""Of a map's currents and ambients so many stand for one in a report: a figure is no finer."""


def current_map(
    cable: HeatedCable,
    arrangement: Arrangement,
    *,
    metal_limit: Limit,
    touch_limit: Limit,
    offered: float | None = None,
    rated: float | None = None,
    max_ambient: float | None = None,
    tested: tuple[TestedPoint, ...] = (),
    accessory: AccessoryRise | None = None,
    body: AccessoryRise | None = None,
    words: str = "",
) -> CurrentMap:
    """Return the map of a lead over current and ambient.

    Parameters
    ----------
    cable : HeatedCable
        The cable; the ends of its intervals go into the bands, and where one is not known its value stands for it.
    arrangement : Arrangement
        How it lies.
    metal_limit : Limit
        What the insulation bears. [°C]
    touch_limit : Limit
        What a hand may meet. [°C]
    offered : float, optional
        Current that the unit offers. [A]
    rated : float, optional
        Current that is marked. [A]
    max_ambient : float, optional
        Hottest air it is meant for. [°C]
    tested : tuple of TestedPoint
        Tests to mark.
    accessory : AccessoryRise, optional
        Measured rise of plug or coupler, for its own line.
    body : AccessoryRise, optional
        Measured rise of the body that a hand grasps, for its own line.
    words : str
        What was assumed of the cable.

    Returns
    -------
    CurrentMap
        Temperatures, margin, and one line for each limit.

    Raises
    ------
    OutsideRange
        No current above zero is known to draw the map around.
    InputError
        An own value of the case leaves a limit without its number.

    Examples
    --------
    >>> from coldpin.copper.air_film import arrange
    >>> from coldpin.quantity import Quantity
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.cable_heating import touch_temperature
    >>> from coldpin.standards.cable_ratings import insulation_temperature
    >>> book = load_book()
    >>> cord = HeatedCable(diameter=Quantity(0.0112, 0.0, "m"), inner=Quantity(0.83, 0.0, "K·m/W"),
    ...                    resistance=Quantity(0.00798, 0.0, "Ω/m"), coefficient=0.00393, cores=2)
    >>> found = current_map(cord, arrange(book), offered=16.0, touch_limit=touch_temperature(book),
    ...                     metal_limit=insulation_temperature(book, "pvc"))
    >>> metal, sheath = found.lines
    >>> at_30 = list(found.ambient).index(30.0)
    >>> f"{metal.low[at_30]:.1f} {metal.middle[at_30]:.1f} {metal.high[at_30]:.1f}"
    '26.6 28.0 29.1'

    Layers known to a quarter widen what the film leaves open.

    >>> from coldpin.quantity import rectangular
    >>> guessed = replace(cord, inner=rectangular(0.83, 0.21, "K·m/W", id="layers"))
    >>> metal, sheath = current_map(guessed, arrange(book), offered=16.0, touch_limit=touch_temperature(book),
    ...                             metal_limit=insulation_temperature(book, "pvc")).lines
    >>> f"{metal.low[at_30]:.1f} {metal.middle[at_30]:.1f} {metal.high[at_30]:.1f}"
    '25.6 28.0 30.6'

    Sources
    -------
    As in :func:`coldpin.copper.steady.reached_metal`.
    """
    currents = [amperes for amperes in (offered, rated, *(point.current for point in tested)) if amperes is not None]
    if not currents or not max(currents) > 0.0:
        raise OutsideRange("no current above zero is known: name the offered or the rated current")
    hottest = max([HOTTEST_AIR, *([max_ambient] if max_ambient is not None else [])])
    ambient = np.linspace(COLDEST_AIR, hottest, ROWS)
    cables, films = _ends(cable, arrangement)
    lines: tuple[StopLine, ...] = _lines(cables, arrangement, films, ambient, (metal_limit, touch_limit))
    reach = max(*currents, lines[0].high[0] or 0.0)
    current = np.linspace(0.0, BEYOND * reach, COLUMNS)
    low, middle, _ = arrangement.factor
    metal, sheath = _grid(cable, current, ambient, films[1], middle)
    metal_high, sheath_high = _grid(cables[0], current, ambient, films[0], low)
    for heated in (accessory, body):
        if heated is not None:
            lines = (*lines, accessory_line(heated, current, ambient, cable.coefficient))
    return CurrentMap(
        arrangement=arrangement.name,
        cable=words,
        current=current,
        ambient=ambient,
        metal=metal,
        metal_high=metal_high,
        sheath=sheath,
        margin=np.minimum(needed(metal_limit, "maximum") - metal_high, needed(touch_limit, "maximum") - sheath_high),
        lines=lines,
        offered=offered,
        rated=rated,
        max_ambient=max_ambient,
        tested=tested,
        factor=arrangement.factor,
    )


def charted(found: CurrentMap) -> CurrentChart:
    """Return what a report keeps of a map.

    Parameters
    ----------
    found : CurrentMap
        The map.

    Returns
    -------
    CurrentChart
        Every fourth current and every second ambient, the first and the last among them.

    Examples
    --------
    >>> (COLUMNS - 1) % EVERY_CURRENT, (ROWS - 1) % EVERY_AMBIENT
    (0, 0)
    """
    metal = np.minimum(found.metal, HOTTEST_SHEATH)[::EVERY_AMBIENT, ::EVERY_CURRENT]
    lines = tuple(
        replace(
            line, low=line.low[::EVERY_AMBIENT], middle=line.middle[::EVERY_AMBIENT], high=line.high[::EVERY_AMBIENT]
        )
        for line in found.lines
    )
    return CurrentChart(
        arrangement=found.arrangement,
        cable=found.cable,
        current=tuple(found.current[::EVERY_CURRENT].tolist()),
        ambient=tuple(found.ambient[::EVERY_AMBIENT].tolist()),
        metal=tuple(tuple(row) for row in metal.round(2).tolist()),
        lines=lines,
        offered=found.offered,
        rated=found.rated,
        max_ambient=found.max_ambient,
        tested=found.tested,
    )


def limit_lines(
    cable: HeatedCable,
    arrangement: Arrangement,
    ambient: NDArray[np.float64],
    *,
    metal_limit: Limit,
    touch_limit: Limit,
) -> tuple[StopLine, StopLine]:
    """Return the currents that bring the limits of metal and sheath, over ambients.

    Parameters
    ----------
    cable : HeatedCable
        The cable.
    arrangement : Arrangement
        How it lies.
    ambient : NDArray[np.float64]
        Array of shape (m,), the air. [°C]
    metal_limit : Limit
        What the insulation bears. [°C]
    touch_limit : Limit
        What a hand may meet. [°C]

    Returns
    -------
    tuple of StopLine
        That of the metal, that of the sheath.

    Raises
    ------
    InputError
        An own value of the case leaves a limit without its number.
    """
    cables, films = _ends(cable, arrangement)
    return _lines(cables, arrangement, films, ambient, (metal_limit, touch_limit))


def _ends(cable: HeatedCable, arrangement: Arrangement) -> tuple[tuple[HeatedCable, ...], tuple[Outer, ...]]:
    """Return the cable and its film at the warm end of everything, in the middle, and at the cool end."""
    cables = tuple(_at_end(cable, end) for end in FILM_ENDS)
    films = tuple(_film(arrangement, one.diameter.value, end) for one, end in zip(cables, FILM_ENDS, strict=True))
    return cables, films


def _at_end(cable: HeatedCable, end: float) -> HeatedCable:
    """Return the cable at its warm end (-1), in the middle (0) or at its cool end (1)."""
    if end == 0.0:
        return cable
    warm = end < 0.0
    return replace(
        cable,
        diameter=_edge(cable.diameter, high=not warm),
        inner=_edge(cable.inner, high=warm),
        resistance=_edge(cable.resistance, high=warm),
    )


def _edge(quantity: Quantity, *, high: bool) -> Quantity:
    edge = quantity.high if high else quantity.low
    return Quantity(quantity.value if edge is None else edge, 0.0, quantity.unit)


def _film(arrangement: Arrangement, diameter: float, end: float) -> Outer:
    """Return the film at its low end (-1), in the middle (0) or at its high end (1)."""

    def outer(
        surface: NDArray[np.float64] | float, ambient: NDArray[np.float64] | float
    ) -> NDArray[np.float64] | float:
        film = film_interval(arrangement, diameter=diameter, surface=surface, ambient=ambient)
        return film.middle * (1.0 + end * film.half)

    return outer


def _grid(
    cable: HeatedCable, current: NDArray[np.float64], ambient: NDArray[np.float64], outer: Outer, factor: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return temperatures of metal and sheath, arrays of shape (m, n)."""
    fixed = {
        "resistance": cable.resistance.value,
        "coefficient": cable.coefficient,
        "cores": float(cable.cores),
    }
    inner, alone = cable.inner.value, current[None, :] / factor
    surface = sheath_temperature(
        current=alone, ambient=ambient[:, None], diameter=cable.diameter.value, inner=inner, outer=outer, **fixed
    )
    metal = np.asarray(metal_temperature(sheath=surface, current=alone, inner=inner, **fixed))
    with np.errstate(invalid="ignore"):
        heat = loss(current=current[None, :], metal=metal, **fixed)
        sheath = np.where(np.isfinite(metal), metal - heat * inner, np.inf)
    return metal, sheath


def _lines(
    cables: tuple[HeatedCable, ...],
    arrangement: Arrangement,
    films: tuple[Outer, ...],
    ambient: NDArray[np.float64],
    limits: tuple[Limit, Limit],
) -> tuple[StopLine, StopLine]:
    """Return the lines of metal and sheath.

    With a factor f on the current the metal is as warm as it would be alone at I/f; the heat is f² of that, and so is
    the step from the metal to the sheath, which therefore is warmer than it would be alone.
    """
    found: tuple[list[tuple[float, ...]], list[tuple[float, ...]]] = ([], [])
    for cable, outer, factor in zip(cables, films, arrangement.factor, strict=True):
        diameter, inner = cable.diameter.value, cable.inner.value
        for lines, limit, share in zip(found, limits, (0.0, factor**2), strict=True):
            warm = needed(limit, "maximum")
            heat = heat_for(warm=warm, ambient=ambient, diameter=diameter, inner=inner * (1.0 - share), outer=outer)
            metal = warm + share * heat * inner
            hot = hot_resistance(resistance=cable.resistance.value, temperature=metal, coefficient=cable.coefficient)
            lines.append(tuple(float(amperes) for amperes in factor * np.sqrt(heat / (cable.cores * hot))))
    metal_line, sheath_line = (
        StopLine(place=where, limit=limit, low=low, middle=middle, high=high)
        for where, limit, (low, middle, high) in zip((Place.METAL, Place.SHEATH), limits, found, strict=True)
    )
    return metal_line, sheath_line


def accessory_line(
    accessory: AccessoryRise, current: NDArray[np.float64], ambient: NDArray[np.float64], coefficient: float
) -> StopLine:
    """Return the current at which plug or coupler reach their limit; that of a rise hardly depends on the air.

    Parameters
    ----------
    accessory : AccessoryRise
        The rise of a test.
    current : NDArray[np.float64]
        Array of shape (n,), rising from 0: the currents that are looked at. [A]
    ambient : NDArray[np.float64]
        Array of shape (m,), the air. [°C]
    coefficient : float
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    StopLine
        None where the limit lies beyond the largest current, 0 where the air alone is as warm as a hand bears.

    Raises
    ------
    InputError
        An own value of the case leaves the limit without its number.
    """
    limit, place = needed(accessory.limit, "maximum"), place_of(accessory)
    largest = limit - ambient if place is Place.BODY else np.full(ambient.size, limit)
    some = np.maximum(current, current[1] * 0.5)
    found = []
    for exponent in (min(accessory.exponent), 0.5 * sum(accessory.exponent), max(accessory.exponent)):
        at = [
            scaled_rise(
                rise=accessory.rise,
                current=accessory.current,
                rated_current=some,
                ambient=accessory.ambient,
                max_ambient=float(air),
                metal_above=0.0,
                exponent=exponent,
                coefficient=coefficient,
            )
            for air in ambient
        ]
        found.append(
            [
                float(np.interp(rise, np.asarray(rises), some, right=np.inf)) if rise > 0.0 else 0.0
                for rise, rises in zip(largest, at, strict=True)
            ]
        )
    # above the rise of the test one end of the exponent is the warm one, below it the other
    ends = (tuple(one if np.isfinite(one) else None for one in line) for line in np.sort(found, axis=0).tolist())
    low, middle, high = ends
    return StopLine(place=place, limit=accessory.limit, low=low, middle=middle, high=high)


def place_of(accessory: AccessoryRise) -> Place:
    """Return where the limit of a plug or coupler holds: of its rise, or of its body in a hand.

    Parameters
    ----------
    accessory : AccessoryRise
        With its limit.

    Returns
    -------
    Place
        By the unit of the limit.
    """
    return Place.BODY if accessory.limit.unit == "°C" else Place.ACCESSORY

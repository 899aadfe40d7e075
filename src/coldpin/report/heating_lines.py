"""The lines that tell a heating test in a table, on the screen and on paper."""

from __future__ import annotations

import math
from collections.abc import Iterable

from coldpin.quantity import Quantity, format_value
from coldpin.records.cable import HeatingEvidence
from coldpin.records.current_map import StopValue, TestedPoint
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.report.numbers import measured
from coldpin.report.times import duration
from coldpin.standards.wording import limit_value


def heating_lines(told: TemperatureRise) -> tuple[tuple[str, str], ...]:
    """Return what a heating test showed, line by line.

    Parameters
    ----------
    told : TemperatureRise
        The record.

    Returns
    -------
    tuple of tuple of str
        What it is, and its value with unit.
    """
    lines = [
        ("Temperature in the end", bounded(told.end_temperature_c)),
        ("Rise in the end", bounded(told.end_rise_k)),
        ("Air around, last", measured(told.ambient_c)),
        ("Current", measured(told.current_a)),
        ("Time constant", _seconds(told.time_constant_s)),
        ("Heated for", _heated(told)),
        ("Still rising by", "–" if told.slope_k_per_h is None else f"{told.slope_k_per_h:.2g} K/h"),
        ("Scatter about the curve", f"{told.scatter_k:.2g} K{_lasting(told)}"),
    ]
    if told.at_rated_c is not None:
        lines.append(("At rated current in the hottest air", bounded(told.at_rated_c)))
    if told.stops is not None:
        lines.append(("Stop the test at", _stop(told.stops.lowest)))
    elif told.stop_at_c is not None:
        lines.append(("Reading at which to stop", format_value(round(told.stop_at_c, 1), "°C")))
    return tuple(lines)


def tested_points(found: Iterable[HeatingEvidence]) -> tuple[TestedPoint, ...]:
    """Return the heating tests of the sheath as points of the map of current and ambient.

    Parameters
    ----------
    found : iterable of HeatingEvidence
        All heating tests.

    Returns
    -------
    tuple of TestedPoint
        In their order.
    """
    return tuple(
        TestedPoint(
            current=seen.rise.current_a.value,
            ambient=seen.rise.ambient_c.value,
            sheath=seen.rise.end_temperature_c.value,
        )
        for seen in found
        if seen.rise.part is HeatedPart.SHEATH
    )


def _stop(value: StopValue) -> str:
    limit = value.limit
    reading = format_value(round(value.reading, 1), "°C")
    return f"{reading} for the {value.place}: {limit_value(limit)}, {limit.title} ({limit.source}, {limit.standing})"


def bounded(quantity: Quantity) -> str:
    """Return a quantity with its interval, or with the bounds that hold where its uncertainty is not known.

    Parameters
    ----------
    quantity : Quantity
        A temperature or a rise.

    Returns
    -------
    str
        Such as "53.2 ± 0.8 °C", or with both ends where they do not lie evenly.
    """
    low, high, unit = quantity.low, quantity.high, quantity.unit
    if quantity.u is None and low is not None and high is None:
        return f"above {format_value(round(low, 1), unit)}; no upper end"
    if low is None or high is None:
        return measured(quantity)
    up, down = high - quantity.value, quantity.value - low
    uneven = max(up, down) > UNEVEN * min(up, down)
    if quantity.u is not None and not uneven:
        return measured(quantity)
    digits = max(0, 1 - math.floor(math.log10(max(min(up, down), 1e-9))))
    ends = f"{quantity.value:.{digits}f} {unit}, {low:.{digits}f} to {high:.{digits}f} {unit}"
    return ends + ("" if quantity.u is not None else " by the readings alone")


UNEVEN = 1.25
"""Ours: an interval is printed by its ends where one side is longer than the other by this factor."""


def _seconds(quantity: Quantity) -> str:
    if quantity.low is None:
        return duration(quantity.value)
    if quantity.high is None:
        return f"above {duration(quantity.low)}"
    return f"{duration(quantity.value)} ({duration(quantity.low)} to {duration(quantity.high)})"


def _heated(told: TemperatureRise) -> str:
    if told.reached is None:
        return duration(told.lasted_s)
    least, most = _share(told, told.end_rise_k.high), _share(told, told.end_rise_k.low)
    between = "" if least is None or most is None or most - least < WORTH_SAYING else f" ({least:.0%} to {most:.0%})"
    return f"{duration(told.lasted_s)}, {told.reached:.0%} of the rise in the end{between}"


WORTH_SAYING = 0.02
"""Ours: a share of the rise is told with its interval where that is wider than this."""


def _share(told: TemperatureRise, rise: float | None) -> float | None:
    """Return which share of a possible rise was reached: at most the whole."""
    if told.reached is None or rise is None or not rise > 0.0:
        return None
    return min(1.0, told.reached * told.end_rise_k.value / rise)


def _lasting(told: TemperatureRise) -> str:
    return f", lasting {duration(told.scatter_lasts_s)}" if told.scatter_lasts_s else ""

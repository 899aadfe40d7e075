"""What is asked and said about a heating test, in words."""

from __future__ import annotations

import math

import numpy as np

from coldpin.copper.heating_curve import HeatingFit
from coldpin.copper.heating_log import AskedUse, FittedRows, HeatingTest
from coldpin.copper.runaway import NO_END
from coldpin.quantity import Quantity, format_quantity, format_value
from coldpin.records.finding import Outcome
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.records.log import LogChannel

LIKE_KELVIN = 150.0
"""Ours: no sheath and no plug is read at this and more degrees Celsius from the first row on. [°C]"""

LARGE_CURRENT = 500.0
"""Ours: no lead is tested with so much; a current in milliamperes looks like it. [A]"""

SMALL_CURRENT = 0.5
"""Ours: what so little warms nobody measures; a current in kiloamperes looks like it. [A]"""

SAME = 0.05
"""Ours: a current told and a current logged are one where they differ by no more than this share."""

WARMER_AMBIENT = 1.0
"""Ours: two ordinary thermometers at one temperature differ by less. [K]"""

HOTTEST_ROOM = 45.0
"""Ours: nobody tests in hotter air; a room of 7 °C reads so in degrees Fahrenheit. [°C]"""

LIKE_FAHRENHEIT = 4.0
"""Ours: a part that begins no further from the number of its air in degrees Fahrenheit is asked about. [K]"""

FAHRENHEIT = (1.8, 32.0)
"""Degrees Fahrenheit in one kelvin, and at 0 °C: by their definition."""

COLDEST_READ = -60.0
"""Ours: no part of a lead on a bench is colder; a logger writes such numbers where a wire is broken. [°C]"""

HOTTEST_READ = 400.0
"""Ours: nor hotter; nothing of a lead is left there. [°C]"""

HOTTEST_AIR = 60.0
"""Ours: no lead is used in hotter air than this; what is told of it is then in another unit or mistaken. [°C]"""

COLDEST_AIR = -50.0
"""Ours: nor is its hottest air colder than this. [°C]"""


def questions(test: HeatingTest, rows: FittedRows, fit: HeatingFit, use: AskedUse) -> tuple[str, ...]:
    """Ask about values that look as if something was mistaken; nothing is corrected.

    Parameters
    ----------
    test : HeatingTest
        The test.
    rows : FittedRows
        Its rows.
    fit : HeatingFit
        The fit.
    use : AskedUse
        What the result is wanted for.

    Returns
    -------
    tuple of str
        One question each.
    """
    return (*_of_temperatures(test, fit), *_of_current(test, rows), *_of_use(use))


def _of_use(use: AskedUse) -> list[str]:
    asked = []
    air, amperes = use.max_ambient, use.rated_current
    if air is not None and not COLDEST_AIR <= air.value <= HOTTEST_AIR:
        asked.append(
            f"the hottest air told is {format_value(air.value, '°C')}: no lead is used in that; is it in another unit "
            "(313 K are 40 °C)?"
        )
    if amperes is not None and not SMALL_CURRENT <= amperes.value < LARGE_CURRENT:
        asked.append(f"the rated current told is {format_value(amperes.value, 'A')}: was the unit mistaken?")
    return asked


def _wild(*channels: LogChannel | Quantity | None) -> list[str]:
    """Ask about rows that a logger writes where a wire is broken; where most are so it is another slip."""
    asked = []
    for channel in channels:
        if not isinstance(channel, LogChannel):
            continue
        values = channel.values[np.isfinite(channel.values)]
        wild = values[(values < COLDEST_READ) | (values > HOTTEST_READ)]
        if 0 < wild.size < 0.5 * values.size:
            rows = "1 row" if wild.size == 1 else f"{wild.size} rows"
            places = max(0, -math.floor(math.log10(channel.resolution))) if channel.resolution else 1
            asked.append(
                f"column {channel.name!r} has {rows} such as {format_value(round(float(wild[0]), 1), '°C')}, which no "
                f"part of a lead comes to: is it what the logger writes where a wire is off? Say so as it stands in "
                f"the file, such as --missing {wild[0]:.{places}f}, and they are left out"
            )
    return asked


def like_fahrenheit(part: float, air: float) -> bool:
    """Say whether a part that no current has warmed yet reads as its air would in degrees Fahrenheit.

    Parameters
    ----------
    part : float
        As read. [°C]
    air : float
        Around it. [°C]

    Returns
    -------
    bool
        True where the two are one temperature in two units, near enough.

    Examples
    --------
    >>> like_fahrenheit(70.0, 21.0), like_fahrenheit(24.0, 21.0), like_fahrenheit(-39.0, -40.0)
    (True, False, False)
    """
    return abs(part - fahrenheit(air)) <= LIKE_FAHRENHEIT < abs(part - air)


def fahrenheit(temperature: float) -> float:
    """Return a temperature in degrees Fahrenheit.

    Parameters
    ----------
    temperature : float
        In degrees Celsius. [°C]

    Returns
    -------
    float
        In degrees Fahrenheit.

    Examples
    --------
    >>> fahrenheit(100.0)
    212.0
    """
    slope, zero = FAHRENHEIT
    return slope * temperature + zero


def _of_room(air: float) -> list[str]:
    if not HOTTEST_ROOM < air < LIKE_KELVIN:
        return []
    return [f"the air around is {format_value(round(air, 1), '°C')}: is it in degrees Fahrenheit (70 °F are 21 °C)?"]


def _of_temperatures(test: HeatingTest, fit: HeatingFit) -> list[str]:
    asked = _wild(test.channel, test.ambient)
    first, ambient = float(test.channel.values[np.isfinite(test.channel.values)][0]), float(fit.blocks.ambient[0])
    if first >= LIKE_KELVIN:
        asked.append(
            f"column {test.channel.name!r} begins at {format_value(round(first, 1), '°C')}: is it in kelvin? Say its "
            f"unit, such as --column 'temperature={test.channel.name}:K'"
        )
    if ambient >= LIKE_KELVIN > first:
        asked.append(f"the ambient is {format_value(round(ambient, 1), '°C')}: is it in kelvin? Say its unit")
    begun = float(fit.fitted[0])
    asked += _of_room(ambient)
    if like_fahrenheit(begun, ambient):
        asked.append(
            f"column {test.channel.name!r} begins at {format_value(round(begun, 1), '°C')}, and the air, "
            f"{format_value(round(ambient, 1), '°C')}, is {fahrenheit(ambient):.0f} °F: is it in degrees Fahrenheit, "
            "or was the part still warm?"
        )
    if ambient > begun + WARMER_AMBIENT and first < LIKE_KELVIN:
        asked.append(
            f"the ambient, {format_value(round(ambient, 1), '°C')}, is above the {test.part}, "
            f"{format_value(round(begun, 1), '°C')}, as the current came: are two columns exchanged, or does the "
            "thermometer of the ambient lie in the sun or above something warm?"
        )
    if fit.fitted[-1] < begun:
        asked.append("the part was colder at the end of the stretch than at its beginning: was the current on?")
    return asked


def questions_of_end(part: HeatedPart, *, temperature: float, air: float, current: float) -> tuple[str, ...]:
    """Ask about readings in the end that look as if something was mistaken; nothing is corrected.

    Parameters
    ----------
    part : HeatedPart
        What was read.
    temperature : float
        Of the part. [°C]
    air : float
        Around it. [°C]
    current : float
        Of the test. [A]

    Returns
    -------
    tuple of str
        One question each.

    Examples
    --------
    >>> questions_of_end(HeatedPart.SHEATH, temperature=30.0, air=21.0, current=16.0)
    ()
    >>> questions_of_end(HeatedPart.SHEATH, temperature=30.0, air=21.0, current=16000.0)
    ('the current told is 16000 A: is it in milliamperes?',)
    """
    asked = [
        f"the {name} is {format_value(round(value, 1), '°C')}: is it in kelvin?"
        for name, value in ((f"temperature of the {part}", temperature), ("air", air))
        if value >= LIKE_KELVIN
    ]
    asked += _of_room(air)
    if air > temperature + WARMER_AMBIENT:
        asked.append(
            f"the air, {format_value(round(air, 1), '°C')}, is above the {part}, "
            f"{format_value(round(temperature, 1), '°C')}, though a current warmed it: are the two exchanged, or does "
            "the thermometer of the air lie in the sun or above something warm?"
        )
    return (*asked, *_of_amperes(current, "told"))


def _of_amperes(value: float, how: str) -> list[str]:
    if abs(value) >= LARGE_CURRENT:
        return [f"the current {how} is {format_value(value, 'A')}: is it in milliamperes?"]
    if abs(value) < SMALL_CURRENT:
        return [f"the current {how} is {format_value(value, 'A')}: was the unit mistaken?"]
    return []


def _of_current(test: HeatingTest, rows: FittedRows) -> list[str]:
    asked = []
    for amperes, how in ((test.current, "told"), (rows.stretch.current, "logged")):
        value = amperes.value if isinstance(amperes, Quantity) else amperes
        asked += [] if value is None else _of_amperes(value, how)
    if test.current is not None and rows.stretch.current is not None:
        told, logged = test.current.value, rows.stretch.current
        if abs(told - logged) > SAME * abs(told):
            asked.append(
                f"the current told, {format_value(told, 'A')}, is not the one logged, "
                f"{format_value(round(logged, 3), 'A')}: which holds? The one told was used"
            )
    return asked


def _told(quantity: Quantity) -> str:
    """Return a quantity as a sentence tells it, with the bounds that hold where its uncertainty is not known."""
    if quantity.u is not None:
        return format_quantity(quantity)
    value = format_value(round(quantity.value, 1), quantity.unit)
    if quantity.low is not None and quantity.high is not None:
        low, high = (format_value(round(end, 1), quantity.unit) for end in (quantity.low, quantity.high))
        return f"{value} ({low} to {high} by the readings alone)"
    if quantity.low is not None:
        return f"above {format_value(round(quantity.low, 1), quantity.unit)}"
    return value


def statement_of(made: TemperatureRise) -> str:
    """Say where a heated part comes in the end.

    Parameters
    ----------
    made : TemperatureRise
        The record, complete but for its statement.

    Returns
    -------
    str
        One or two sentences.
    """
    part = made.part.value
    amperes = format_value(round(made.current_a.value, 2), "A")
    if made.end_temperature_c.why.startswith(NO_END):
        read = format_value(round(made.end_temperature_c.value, 1), "°C")
        return f"The {part} was at {read} at {amperes} as the readings end, and {NO_END}{_surpassed(made)}."
    begin = f"The {part} comes in the end to {_told(made.end_temperature_c)} at {amperes}"
    if made.open_above:
        begin += "; how much warmer it would become the readings do not say: go on with the test"
    if made.at_rated_c is None:
        return begin + "."
    air = made.max_ambient_c
    asked = [
        *([] if made.rated_current_a is None else [format_value(made.rated_current_a, "A")]),
        "in the air of the test" if air is None else f"{format_value(air, '°C')} around it",
    ]
    rated = f"{_told(made.at_rated_c)}{_open(made.at_rated_c)}{_placed(made)}"
    return f"{begin}. At {' and '.join(asked)} that is {rated}. {_lay(made)}"


def _open(quantity: Quantity) -> str:
    return " (its upper end is not known)" if quantity.low is not None and quantity.high is None else ""


WARMER_AIR = 10.0
"""Ours: that the test's air was further from the air asked for than this is told beside the result. [K]"""


def _lay(made: TemperatureRise) -> str:
    """Say for which lay of the cable a result holds, and how far its air was from that of the test."""
    lay = f"The lead lay {made.arrangement}" if made.arrangement else "How it lay was not told"
    apart = 0.0 if made.max_ambient_c is None else made.max_ambient_c - made.ambient_c.value
    air = f", and the air of the test was {abs(apart):.0f} K {'cooler' if apart > 0.0 else 'warmer'}"
    return f"{lay}{air if abs(apart) > WARMER_AIR else ''}; coiled or covered it becomes warmer."


def _surpassed(made: TemperatureRise) -> str:
    """Say of a part without an end in sight that it went beyond its limit already."""
    return f". What was read is{_placed(made).lstrip(',')}" if made.outcome is Outcome.BEYOND else ""


def _placed(made: TemperatureRise) -> str:
    if made.limit is None or made.limit.maximum is None:
        return ""
    limit = (
        f"{format_value(made.limit.maximum, made.limit.unit)} ({made.limit.source}, standing: {made.limit.standing})"
    )
    match made.outcome:
        case Outcome.WITHIN:
            return f", within {limit}"
        case Outcome.BEYOND:
            return f", beyond {limit}"
        case _:
            return f", which cannot be placed against {limit}"


WORTH_SAYING = 0.05
"""Ours: by less than this no end is said to lie higher; no ordinary thermometer shows it. [K]"""


def air_remark(fit: HeatingFit) -> str:
    """Say for which air the end holds, and how long disturbances lasted where the readings show some.

    Parameters
    ----------
    fit : HeatingFit
        The fit.

    Returns
    -------
    str
        One sentence or two.
    """
    seen = ""
    if fit.noise.share:
        lasted = format_value(float(f"{fit.noise.lasting_s:.2g}"), "s")
        raised = format_value(float(f"{fit.lasting:.2g}"), "K")
        higher = f"; as a draught only cools, its upper end lies {raised} higher for them"
        seen = (
            f"Disturbances that last some {lasted} were seen and widen the interval"
            f"{higher if fit.lasting >= WORTH_SAYING else ''}. "
        )
    return (
        f"{seen}The interval is by the readings alone: what blew all the time, or on to the last reading, is "
        "not told from a part that warms less, so the end is that in the air of the test."
    )

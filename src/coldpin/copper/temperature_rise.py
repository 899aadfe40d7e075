"""From a heating log to where a part comes in the end, in the test and at rated current in the hottest air."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_curve import HeatingFit, curves_at, fit_heating
from coldpin.copper.heating_rows import Stretch, filled, gather, longest, stretches_of_current, warming_rows
from coldpin.copper.rated import at_rated
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import (
    COVERAGE,
    Component,
    Quantity,
    add_components,
    assemble,
    decide,
    format_quantity,
    format_value,
    propagate,
    rectangular,
)
from coldpin.records.finding import Limit, Outcome
from coldpin.records.heating import CurrentPhase, HeatedPart, HeatingChart, TemperatureRise
from coldpin.records.log import LogChannel
from coldpin.standards.accuracy import AccuracyStatement
from coldpin.standards.book import Book
from coldpin.standards.conductors import temperature_coefficient

Array = NDArray[np.float64]

DRAWN = 90
"""Ours: places of the band in the figure."""

DRAWN_BEYOND = 1.6
"""Ours: the figure goes on by so much of the run, to show where the curve is led."""

METAL_ABOVE = (0.0, 0.6)
"""Ours: by how much the metal inside is warmer than a part of its outside, as shares of that part's rise. A cord's
conductors are a fifth to a half warmer than its sheath, a pin is its own metal; it enters by resistance alone."""

ACCURACY_NOT_STATED = "the thermometer's accuracy is not stated: the interval is that of the readings alone"
"""Why an end temperature has no uncertainty."""

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

SLOPE_SHARE = 0.1
"""Ours: the slope at the end is that of the fitted curve over the last tenth of the run."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class HeatingTest:
    """A heating test as logged and told.

    ``time_s`` and ``channel`` with the temperature; ``ambient``: a second channel, or a quantity, or None. ``current``
    as told [A], ``logged`` the channel with the current. ``start_s`` is when the current came, None where it is not
    told. ``accuracy`` of the thermometers, None where not stated.
    """

    part: HeatedPart
    time_s: Array
    channel: LogChannel
    ambient: LogChannel | Quantity | None = None
    current: Quantity | None = None
    logged: LogChannel | None = None
    start_s: float | None = None
    accuracy: AccuracyStatement | None = None
    arrangement: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedUse:
    """What the result is wanted for: the rated current [A], the hottest ambient [°C], a limit of the temperature."""

    rated_current: Quantity | None = None
    max_ambient: Quantity | None = None
    limit: Limit | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Rows:
    """The rows of a test as they are fitted: which stretch, from when, with what beside the temperature."""

    stretch: Stretch
    all: tuple[Stretch, ...]
    began: float
    ambient: Array
    drive: Array | None
    remarks: tuple[str, ...]


def rise_of_log(test: HeatingTest, use: AskedUse, book: Book) -> TemperatureRise:
    """Say where a heated part comes in the end.

    Parameters
    ----------
    test : HeatingTest
        The log and what is told about it.
    use : AskedUse
        Rated current, hottest ambient, limit; each may be left out.
    book : Book
        The constants.

    Returns
    -------
    TemperatureRise
        End temperature, time constant, temperature at rated current, and what is to be asked about the log.

    Raises
    ------
    InputError
        There are too few rows, a column is empty, or the start lies outside the log.
    OutsideRange
        No end temperature follows at the rated current.
    """
    rows = _rows(test)
    temperature = test.channel.values
    fit = fit_heating(
        gather(
            test.time_s,
            temperature,
            rows.ambient,
            rows.drive,
            rows.stretch,
            began=rows.began,
            step=test.channel.resolution or 0.0,
        )
    )
    ambient, current = _ambient(test, fit), _current(test, rows)
    rise, end = _rise(test, fit, ambient), _end(test, fit)
    rated, told = _at_rated(use, rise, current, ambient, book)
    judged = rated if rated is not None else end
    outcome, probability = Outcome.UNDECIDED, None
    if use.limit is not None and not fit.open_above:
        decision = decide(judged, minimum=use.limit.minimum, maximum=use.limit.maximum)
        outcome, probability = Outcome(decision.outcome), decision.probability
    made = TemperatureRise(
        schema="coldpin.temperature_rise/1",
        part=test.part,
        column=test.channel.name,
        arrangement=test.arrangement,
        current_a=current,
        ambient_c=ambient,
        end_temperature_c=end,
        end_rise_k=rise,
        time_constant_s=fit.time_constant,
        fast_constants_s=fit.fast_constants,
        terms=fit.terms,
        open_above=fit.open_above,
        lasted_s=fit.blocks.duration,
        reached=fit.reached,
        slope_k_per_h=_slope(fit),
        scatter_k=fit.scatter,
        scatter_lasts_s=fit.noise.lasting_s if fit.noise.share else 0.0,
        rated_current_a=None if use.rated_current is None else use.rated_current.value,
        max_ambient_c=None if use.max_ambient is None else use.max_ambient.value,
        at_rated_c=rated,
        limit=use.limit,
        stop_at_c=_stop_at(test, use.limit),
        outcome=outcome,
        probability=probability,
        statement="",
        phases=_phases(test, rows),
        questions=_questions(test, rows, fit),
        remarks=(*rows.remarks, *told),
        chart=_chart(test, fit, rows.began),
    )
    return replace(made, statement=_statement(made))


def _rows(test: HeatingTest) -> _Rows:
    time = test.time_s
    temperature = filled(time, test.channel.values)
    remarks: list[str] = []
    drive = None if test.logged is None else filled(time, test.logged.values)
    if drive is not None:
        found = stretches_of_current(drive)
        if not found:
            raise InputError(f"column {test.logged.name!r} shows no current at all" if test.logged else "no current")
        stretch = longest(found, time)
        if len(found) > 1:
            remarks.append(
                f"{len(found)} currents were logged, one after another; the curve is fitted to the longest stretch, at "
                f"{format_value(round(stretch.current or 0.0, 2), 'A')}"
            )
        # a row shows the current on at the latest when it was written, and off at the earliest one row before
        began = float(time[max(stretch.first - 1, 0)])
    else:
        stretch = warming_rows(temperature)
        found = (stretch,)
        began = float(time[stretch.first])
        remarks.append("no current was logged: its coming and going are read off the temperature")
    if test.start_s is not None:
        if not time[0] <= test.start_s < time[-1]:
            raise InputError(
                f"the start at {test.start_s:g} s lies outside the log, which runs from {time[0]:g} s to "
                f"{time[-1]:g} s: give it in the log's own time"
            )
        first = int(np.searchsorted(time, test.start_s, side="left"))
        stretch = replace(stretch, first=min(first, time.size - 1), end=max(stretch.end, first + 1))
        began = test.start_s
    if stretch.end < time.size and drive is None:
        remarks.append(f"the rows after {time[stretch.end - 1]:g} s, where it cools, are left out")
    ambient, said = _ambient_rows(test, temperature, stretch)
    remarks += said
    return _Rows(stretch=stretch, all=found, began=began, ambient=ambient, drive=drive, remarks=tuple(remarks))


def _ambient_rows(test: HeatingTest, temperature: Array, stretch: Stretch) -> tuple[Array, list[str]]:
    if isinstance(test.ambient, LogChannel):
        return filled(test.time_s, test.ambient.values), []
    if isinstance(test.ambient, Quantity):
        return np.full(test.time_s.size, test.ambient.value), []
    before = temperature[: max(stretch.first, 1)]
    remark = (
        f"no ambient was told or logged: the part's own temperature before the current, "
        f"{format_value(round(float(np.median(before)), 2), '°C')}, is taken for it"
    )
    return np.full(test.time_s.size, float(np.median(before))), [remark]


def _sensor(test: HeatingTest, reading: float, name: str) -> tuple[Component, ...] | None:
    """Return what a thermometer adds to a reading, None where its accuracy is not stated."""
    if test.accuracy is None:
        return None
    label = "thermometer of the ambient" if name == "ambient" else f"thermometer of the {test.part}"
    return test.accuracy.components(reading, "°C", id=f"thermometer: {name}", label=label)


def _with_sensor(fitted: Quantity, added: tuple[Component, ...] | None) -> Quantity:
    """Return a fitted temperature with the thermometer's own error, which no fit can see."""
    if fitted.u is None:
        return fitted
    if added is None:
        return replace(fitted, u=None, quantiles=(), why=ACCURACY_NOT_STATED)
    error = assemble(0.0, fitted.unit, added)
    return propagate(lambda fitted, error: fitted + error, {"fitted": fitted, "error": error}, fitted.unit)


def _end(test: HeatingTest, fit: HeatingFit) -> Quantity:
    by = float(fit.blocks.ambient[-1])
    rise = fit.rise
    end = replace(
        rise,
        value=rise.value + by,
        unit="°C",
        low=None if rise.low is None else rise.low + by,
        high=None if rise.high is None else rise.high + by,
        quantiles=tuple(one + by for one in rise.quantiles),
    )
    return _with_sensor(end, _sensor(test, end.value, str(test.part)))


def _rise(test: HeatingTest, fit: HeatingFit, ambient: Quantity) -> Quantity:
    """Return the rise in the end: both thermometers err."""
    added = _sensor(test, ambient.value + fit.rise.value, str(test.part))
    if added is None or ambient.u is None:
        return _with_sensor(fit.rise, None)
    against = tuple(replace(one, contribution=-one.contribution) for one in ambient.components)
    if ambient.u and not against:
        against = (Component(id="ambient", label="ambient as told", contribution=ambient.u),)
    return _with_sensor(fit.rise, (*added, *against))


def _ambient(test: HeatingTest, fit: HeatingFit) -> Quantity:
    value = float(fit.blocks.ambient[-1])
    if isinstance(test.ambient, Quantity) and test.ambient.u is not None:
        return test.ambient
    added = _sensor(test, value, "ambient")
    if added is None:
        return Quantity(value, None, "°C", why="the accuracy of the ambient's thermometer is not stated")
    return assemble(value, "°C", added)


def _current(test: HeatingTest, rows: _Rows) -> Quantity:
    if test.current is not None:
        return test.current
    if rows.stretch.current is not None:
        return Quantity(rows.stretch.current, None, "A", why="the accuracy of the current as logged is not stated")
    raise InputError("the current is neither told nor logged: say it, such as --current '16 A ± 0.2 A'")


def _at_rated(
    use: AskedUse, rise: Quantity, current: Quantity, ambient: Quantity, book: Book
) -> tuple[Quantity | None, tuple[str, ...]]:
    if use.rated_current is None and use.max_ambient is None:
        return None, ()
    asked = use.rated_current or current
    hottest = use.max_ambient or ambient
    low, high = METAL_ABOVE
    middle, half = 0.5 * (low + high) * rise.value, 0.5 * (high - low) * abs(rise.value)
    above = rectangular(middle, half, "K", id="metal above surface", label="metal warmer than where it was measured")

    def scaled(rise: Quantity, current: Quantity, ambient: Quantity) -> Quantity:
        return at_rated(
            rise,
            current=current,
            rated_current=asked.value,
            ambient=ambient,
            max_ambient=hottest.value,
            coefficient=temperature_coefficient(book),
            book=book,
            metal_above=above,
        )

    try:
        if None not in (rise.u, current.u, ambient.u):
            return scaled(rise, current, ambient), ()
        # what is not known of thermometer or ammeter leaves the interval of the readings, which is still told
        exact = Quantity(current.value, current.u or 0.0, "A"), Quantity(ambient.value, ambient.u or 0.0, "°C")
        inner = _readings_alone(rise)
        bounds = None if inner is None else scaled(inner, *exact)
        value = scaled(Quantity(rise.value, 0.0, "K"), *exact).value if bounds is None else bounds.value
    except OutsideRange as error:
        return None, (f"no temperature at the rated current: {error}",)
    why = "; ".join(dict.fromkeys(one.why for one in (rise, current, ambient) if one.u is None and one.why))
    least = None
    if bounds is not None:
        least = bounds.low
    elif rise.low is not None:
        least = scaled(Quantity(rise.low, 0.0, "K"), *exact).low
    high_end = None if bounds is None else bounds.high
    return Quantity(value, None, "°C", low=least, high=high_end, why=why), ()


def _readings_alone(rise: Quantity) -> Quantity | None:
    """Return a rise with the uncertainty of its readings alone, None where they leave it open."""
    if rise.low is None or rise.high is None:
        return None
    half = 0.5 * (rise.high - rise.low)
    centre = Quantity(rise.value, 0.0, "K")
    part = Component(id="readings", label="readings of the heating curve", contribution=half / _two_sided())
    return add_components(centre, (part,))


def _two_sided() -> float:
    from coldpin.quantity import coverage_factor

    return coverage_factor(math.inf)


def _slope(fit: HeatingFit) -> float:
    """Return how fast the fitted curve still rises over the last part of the run. [K/h]"""
    time = fit.blocks.time
    late = time >= time[-1] - SLOPE_SHARE * fit.blocks.duration
    if late.sum() < 2:
        return math.nan
    return float(np.polyfit(time[late] - time[-1], fit.fitted[late], 1)[0]) * SECONDS_PER_HOUR


SECONDS_PER_HOUR = 3600.0
"""Seconds in an hour."""


def _stop_at(test: HeatingTest, limit: Limit | None) -> float | None:
    """Return the reading at which a test is to be stopped: the limit less what the thermometer may be off."""
    if limit is None or limit.maximum is None:
        return None
    added = _sensor(test, limit.maximum, str(test.part))
    if added is None:
        return None
    expanded = assemble(limit.maximum, "°C", added).expanded
    return None if expanded is None else limit.maximum - expanded


def _phases(test: HeatingTest, rows: _Rows) -> tuple[CurrentPhase, ...]:
    def told(one: Stretch) -> CurrentPhase:
        here = one is rows.stretch or (rows.drive is not None and one.end == rows.stretch.end)
        first = rows.stretch.first if here else one.first
        return CurrentPhase(
            start_s=float(test.time_s[first]),
            end_s=float(test.time_s[(rows.stretch.end if here else one.end) - 1]),
            current_a=one.current,
            fitted=here,
        )

    return tuple(told(one) for one in (rows.all if rows.drive is not None else (rows.stretch,)))


def _questions(test: HeatingTest, rows: _Rows, fit: HeatingFit) -> tuple[str, ...]:
    """Ask about values that look as if something was mistaken; nothing is corrected."""
    asked = []
    first, ambient = float(test.channel.values[np.isfinite(test.channel.values)][0]), float(fit.blocks.ambient[0])
    if first >= LIKE_KELVIN:
        asked.append(
            f"column {test.channel.name!r} begins at {format_value(round(first, 1), '°C')}: is it in kelvin? Say its "
            f"unit, such as --column 'temperature={test.channel.name}:K'"
        )
    if ambient >= LIKE_KELVIN > first:
        asked.append(f"the ambient is {format_value(round(ambient, 1), '°C')}: is it in kelvin? Say its unit")
    begun = float(fit.fitted[0])
    if ambient > begun + WARMER_AMBIENT and first < LIKE_KELVIN:
        asked.append(
            f"the ambient, {format_value(round(ambient, 1), '°C')}, is above the {test.part}, "
            f"{format_value(round(begun, 1), '°C')}, as the current came: are two columns exchanged, or does the "
            "thermometer of the ambient lie in the sun or above something warm?"
        )
    for amperes, how in ((test.current, "told"), (rows.stretch.current, "logged")):
        value = amperes.value if isinstance(amperes, Quantity) else amperes
        if value is None:
            continue
        if abs(value) >= LARGE_CURRENT:
            asked.append(f"the current {how} is {format_value(value, 'A')}: is it in milliamperes?")
        elif abs(value) < SMALL_CURRENT:
            asked.append(f"the current {how} is {format_value(value, 'A')}: was the unit mistaken?")
    if test.current is not None and rows.stretch.current is not None:
        told, logged = test.current.value, rows.stretch.current
        if abs(told - logged) > SAME * abs(told):
            asked.append(
                f"the current told, {format_value(told, 'A')}, is not the one logged, "
                f"{format_value(round(logged, 3), 'A')}: which holds? The one told was used"
            )
    if fit.fitted[-1] < begun:
        asked.append("the part was colder at the end of the stretch than at its beginning: was the current on?")
    return tuple(asked)


def _chart(test: HeatingTest, fit: HeatingFit, began: float) -> HeatingChart:
    del test
    blocks = fit.blocks
    at = np.linspace(blocks.time[0], blocks.time[0] + DRAWN_BEYOND * blocks.duration, DRAWN)
    curves = curves_at(fit, at)
    ends = [0.5 * (1.0 - COVERAGE), 0.5, 0.5 * (1.0 + COVERAGE)]
    low, middle, high = np.quantile(curves, ends, axis=0)

    def plain(values: Array) -> tuple[float, ...]:
        return tuple(values.round(4).tolist())

    return HeatingChart(
        time_s=plain(blocks.time + began),
        read_c=plain(blocks.temperature),
        fitted_c=plain(fit.fitted),
        residual_k=plain(fit.residuals),
        at_s=plain(at + began),
        low_c=plain(low),
        middle_c=plain(middle),
        high_c=plain(high),
    )


def _told(quantity: Quantity) -> str:
    """Return a quantity as a sentence tells it, with the bounds that hold where its uncertainty is not known."""
    if quantity.u is not None:
        return format_quantity(quantity)
    value = format_value(round(quantity.value, 1), quantity.unit)
    if quantity.low is not None and quantity.high is not None:
        low, high = (format_value(round(end, 1), quantity.unit) for end in (quantity.low, quantity.high))
        return f"{value} ({low} to {high} by the readings alone)"
    if quantity.low is not None:
        return f"at least {format_value(round(quantity.low, 1), quantity.unit)}"
    return value


def _statement(made: TemperatureRise) -> str:
    part = made.part.value
    begin = f"The {part} ends at {_told(made.end_temperature_c)} at {format_value(round(made.current_a.value, 2), 'A')}"
    if made.open_above:
        begin += "; how much warmer it would become the readings do not say: go on with the test"
    if made.at_rated_c is None:
        return begin + "."
    asked = [
        *([] if made.rated_current_a is None else [format_value(made.rated_current_a, "A")]),
        *([] if made.max_ambient_c is None else [f"{format_value(made.max_ambient_c, '°C')} around it"]),
    ]
    return f"{begin}. At {' and '.join(asked)} that is {_told(made.at_rated_c)}{_placed(made)}."


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


def limit_of(part: HeatedPart, limits: Sequence[Limit]) -> Limit | None:
    """Return the lowest of several limits that hold for a part.

    Parameters
    ----------
    part : HeatedPart
        The part; it is named where a limit has no maximum.
    limits : sequence of Limit
        In °C.

    Returns
    -------
    Limit or None
        The lowest, None where there is none.

    Raises
    ------
    InputError
        A limit has no maximum.
    """
    for limit in limits:
        if limit.maximum is None:
            raise InputError(f"the limit {limit.id!r} for the {part} has no maximum")
    return min(limits, key=lambda limit: limit.maximum or 0.0, default=None)

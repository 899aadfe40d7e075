"""From a heating log to where a part comes in the end, in the test and at rated current in the hottest air."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from coldpin.copper.heating_curve import HeatingFit, curves_at, fit_heating
from coldpin.copper.heating_digits import at_changes
from coldpin.copper.heating_grid import LAG_OF_BODY
from coldpin.copper.heating_log import AskedUse, FittedRows, HeatingTest, rows_of_test
from coldpin.copper.heating_rows import Stretch, gather
from coldpin.copper.heating_telling import air_remark, questions, statement_of
from coldpin.copper.rated import at_rated, left_out
from coldpin.copper.runaway import rises_faster, without_end
from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import (
    COVERAGE,
    Component,
    Quantity,
    assemble,
    decide,
    format_value,
    propagate,
    rectangular,
)
from coldpin.records.by_content import ByContent
from coldpin.records.finding import Limit, Outcome
from coldpin.records.heating import CurrentPhase, HeatedPart, HeatingChart, TemperatureRise
from coldpin.standards.book import Book
from coldpin.standards.metals import temperature_coefficient

Array = NDArray[np.float64]

BODIES = (HeatedPart.PLUG, HeatedPart.CONNECTOR)
"""Parts with a mass of their own, which are heated by what they hold."""

DRAWN = 90
"""Ours: places of the band in the figure."""

DRAWN_BEYOND = 1.6
"""Ours: the figure goes on by so much of the run, to show where the curve is led."""

METAL_ABOVE = (0.0, 0.6)
"""Ours: by how much the metal inside is warmer than a part of its outside, as shares of that part's rise. A cord's
conductors are a fifth to a half warmer than its sheath, a pin is its own metal; it enters by resistance alone."""

ACCURACY_NOT_STATED = "the thermometer's accuracy is not stated: the interval is that of the readings alone"
"""Why an end temperature has no uncertainty."""

METER_NOT_STATED = "the resistance meter's accuracy is not stated: the interval is that of the readings alone"
"""Why the end temperature of a conductor has none."""

AIR_NOT_TOLD = "the air around was neither told nor logged: the part's own temperature stands in its place"
"""Why a rise has no uncertainty: a log that begins late, or a room that warmed, makes it too small or too large."""

CURRENT_NOT_STATED = (
    "the accuracy of the current as logged is not stated: state it for the ammeter, as 'current=1 %', or tell the "
    "current with its own, as '16 A ± 0.1 A'"
)
"""Why a logged current has no uncertainty."""

BY_CHANGES = (
    "the readings stand on one number for long, without scatter: what was fitted are the moments at which the last "
    "digit changed, midway between two numbers, and each run of one number as a single reading"
)
"""Why the dots of the figure are fewer than the rows, and lie between the steps of the thermometer."""

SLOPE_SHARE = 0.1
"""Ours: the slope at the end is that of the fitted curve over the last tenth of the run."""


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
    return _told(ByContent((test, use)), book)


REMEMBERED = 16
"""Ours: so many results are kept; a case has few heating tests of few parts each, and each is asked for many times."""


@lru_cache(maxsize=REMEMBERED)
def _told(wanted: ByContent[tuple[HeatingTest, AskedUse]], book: Book) -> TemperatureRise:
    test, use = wanted.given
    rows = rows_of_test(test)
    means = gather(
        test.time_s,
        test.channel.values,
        rows.ambient,
        rows.drive,
        rows.stretch,
        began=rows.began,
        step=test.channel.resolution or 0.0,
    )
    changes = at_changes(test.time_s, test.channel.values, rows.stretch, means, began=rows.began)
    blocks = changes or means
    fit = fit_heating(replace(blocks, lag=LAG_OF_BODY, chained=True) if test.part in BODIES else blocks)
    runs_away = rises_faster(means)
    fit = without_end(fit) if runs_away else fit
    ambient, current = _ambient(test, fit), _current(test, rows)
    rise, end = _rise(test, fit, ambient), _end(test, fit)
    rated, told = rise_in_use(use, rise, current, ambient, book, part=test.part)
    judged = rated if rated is not None else end
    asked = questions(test, rows, fit, use)
    outcome, probability, beyond = Outcome.UNDECIDED, None, False
    if use.limit is not None and not asked:
        last = end.value if runs_away else float(fit.fitted[-1])
        least = _reached_in_use(test, use, last, current, ambient, book) if fit.open_above else judged
        decision = decide(least, minimum=use.limit.minimum, maximum=use.limit.maximum)
        beyond = decision.outcome == "beyond"
        # what was not asked for hotter air or more current is not within for use
        open_still = fit.open_above or (decision.outcome == "within" and use.unasked)
        if surely_beyond(least, use, ambient) if beyond else not open_still:
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
        stops=None,
        outcome=outcome,
        probability=probability,
        statement="",
        phases=_phases(test, rows),
        questions=asked,
        remarks=(
            *rows.remarks,
            *told,
            *((BY_CHANGES,) if changes is not None else ()),
            air_remark(fit),
            *(() if outcome is Outcome.BEYOND else _undecided(use, judged, asked, ambient)),
            *((RADIATED_MORE,) if beyond and outcome is Outcome.UNDECIDED else ()),
        ),
        chart=_chart(fit, rows.began, beyond=1.0 if runs_away else DRAWN_BEYOND),
    )
    return replace(made, statement=statement_of(made))


def _reached_in_use(
    test: HeatingTest, use: AskedUse, last: float, current: Quantity, ambient: Quantity, book: Book
) -> Quantity:
    """Return what the readings alone reached, in use: of a run without an end it is the least. [°C]

    To a smaller current than that of the test it is not led: a joint that runs away at one need not do so at less.
    """
    added = sensor_error(test, last, str(test.part))
    least = Quantity(last, None, "°C", why=_not_stated(test)) if added is None else assemble(last, "°C", added)
    if use.rated_current is not None and use.rated_current.value < current.value:
        return replace(least, u=None, components=(), why="the test was made with more than the rated current")
    if use.rated_current is None and use.max_ambient is None:
        return least
    if least.u is None or ambient.u is None:
        return replace(least, u=None, components=(), why=_not_stated(test))
    over = propagate(lambda last, air: last - air, {"last": least, "air": ambient}, "K")
    rated, _ = rise_in_use(use, over, current, ambient, book, part=test.part)
    return rated if rated is not None else least


QUESTIONED = "nothing is decided against the limit while there are questions: see to them, and read the log again"
"""Why a log with values that look mistaken is placed against nothing."""


RADIATED_MORE = "it is beyond only if no more is radiated in the hotter air, which is left out: test in air as hot"
"""Why a rise led to hotter air is placed against nothing."""


def surely_beyond(in_use: Quantity, use: AskedUse, ambient: Quantity) -> bool:
    """Say whether a temperature in use is beyond its limit also by as much less as radiation in hotter air may take.

    Parameters
    ----------
    in_use : Quantity
        At rated current in the hottest air, without what is radiated more there. [°C]
    use : AskedUse
        The limit, and the hottest air.
    ambient : Quantity
        Air of the test. [°C]

    Returns
    -------
    bool
        As for the limit alone where the hottest air is no hotter than that of the test, or is not told.
    """
    if use.limit is None or use.limit.maximum is None:
        return use.limit is not None
    spare = 0.0
    if use.max_ambient is not None:
        hottest = use.max_ambient.value
        spare = left_out(ambient=ambient.value, max_ambient=hottest) * max(in_use.value - hottest, 0.0)
    return decide(in_use, maximum=use.limit.maximum + spare).outcome == "beyond"


def _undecided(use: AskedUse, judged: Quantity, asked: tuple[str, ...], ambient: Quantity) -> tuple[str, ...]:
    """Say why a limit is there and nothing is decided by it."""
    if use.limit is None:
        return ()
    if asked:
        return (QUESTIONED,)
    if judged.u is None and judged.why:
        return (f"nothing is decided against the limit: {judged.why}",)
    if use.unasked:
        air = format_value(round(ambient.value, 1), "°C")
        return (
            (
                f"a part is within its limit for a use that is told: say {' and '.join(use.unasked)} too; what was not "
                f"told is here that of the test, whose air was {air}"
            ),
        )
    return ()


def sensor_error(test: HeatingTest, reading: float, name: str) -> tuple[Component, ...] | None:
    """Return what a thermometer adds to a reading, or a resistance meter to that of a conductor.

    Parameters
    ----------
    test : HeatingTest
        With what is stated of both.
    reading : float
        What was read. [°C]
    name : str
        Of the part, or "ambient".

    Returns
    -------
    tuple of Component or None
        None where its accuracy is not stated. [K]
    """
    if test.by_resistance and name != "ambient":
        return None if test.resistance_error is None else (test.resistance_error,)
    if test.accuracy is None:
        return None
    label = "thermometer of the ambient" if name == "ambient" else f"thermometer of the {test.part}"
    return test.accuracy.components(reading, "°C", id=f"thermometer: {name}", label=label)


def _with_sensor(test: HeatingTest, fitted: Quantity, added: tuple[Component, ...] | None) -> Quantity:
    """Return a fitted temperature with the thermometer's or the meter's own error, which no fit can see."""
    if fitted.u is None:
        return fitted
    if added is None:
        return replace(fitted, u=None, quantiles=(), why=_not_stated(test))
    error = assemble(0.0, fitted.unit, added)
    return propagate(lambda fitted, error: fitted + error, {"fitted": fitted, "error": error}, fitted.unit)


def _not_stated(test: HeatingTest) -> str:
    return METER_NOT_STATED if test.by_resistance else ACCURACY_NOT_STATED


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
    return _with_sensor(test, end, sensor_error(test, end.value, str(test.part)))


def _rise(test: HeatingTest, fit: HeatingFit, ambient: Quantity) -> Quantity:
    """Return the rise in the end: both thermometers err."""
    added = sensor_error(test, ambient.value + fit.rise.value, str(test.part))
    if added is None:
        return _with_sensor(test, fit.rise, None)
    if ambient.u is None:
        return replace(fit.rise, u=None, quantiles=(), why=ambient.why)
    against = tuple(replace(one, contribution=-one.contribution) for one in ambient.components)
    if ambient.u and not against:
        against = (Component(id="ambient", label="ambient as told", contribution=ambient.u),)
    return _with_sensor(test, fit.rise, (*added, *against))


def _ambient(test: HeatingTest, fit: HeatingFit) -> Quantity:
    value = float(fit.blocks.ambient[-1])
    if isinstance(test.ambient, Quantity) and test.ambient.u is not None:
        return test.ambient
    if test.ambient is None:
        return Quantity(value, None, "°C", why=AIR_NOT_TOLD)
    added = sensor_error(test, value, "ambient")
    if added is None:
        return Quantity(value, None, "°C", why="the accuracy of the ambient's thermometer is not stated")
    return assemble(value, "°C", added)


def _current(test: HeatingTest, rows: FittedRows) -> Quantity:
    if test.current is not None:
        return test.current
    logged = rows.stretch.current
    if logged is not None and test.ammeter is not None:
        return assemble(logged, "A", test.ammeter.components(logged, "A", id="ammeter", label="current as logged"))
    if logged is not None:
        return Quantity(logged, None, "A", why=CURRENT_NOT_STATED)
    raise InputError("the current is neither told nor logged: say it, such as --current '16 A ± 0.2 A'")


def rise_in_use(
    use: AskedUse, rise: Quantity, current: Quantity, ambient: Quantity, book: Book, *, part: HeatedPart | None = None
) -> tuple[Quantity | None, tuple[str, ...]]:
    """Return the temperature at rated current in the hottest air, from a rise in the end.

    Parameters
    ----------
    use : AskedUse
        Rated current and hottest air; where one is left out that of the test stands in its place.
    rise : Quantity
        In the end, over the air of the test. [K]
    current : Quantity
        Of the test. [A]
    ambient : Quantity
        Air of the test. [°C]
    book : Book
        The constants.
    part : HeatedPart, optional
        What was measured; the conductor is the metal itself, and a metal inside it is no warmer.

    Returns
    -------
    Quantity or None
        None where neither is asked for, or no end temperature follows; where an uncertainty is not known the bounds
        are those that the others leave. [°C]
    tuple of str
        What is to be said of it.
    """
    if use.rated_current is None and use.max_ambient is None:
        return None, ()
    asked = use.rated_current or current
    hottest = use.max_ambient or ambient

    def scaled(rise: Quantity, current: Quantity, ambient: Quantity) -> Quantity:
        low, high = (0.0, 0.0) if part is HeatedPart.CONDUCTOR else METAL_ABOVE
        middle, half = 0.5 * (low + high) * rise.value, 0.5 * (high - low) * abs(rise.value)
        return at_rated(
            rise,
            current=current,
            rated_current=asked.value,
            ambient=ambient,
            max_ambient=hottest.value,
            coefficient=temperature_coefficient(book),
            book=book,
            metal_above=rectangular(
                middle, half, "K", id="metal above surface", label="metal warmer than where it was measured"
            ),
        )

    try:
        if None not in (rise.u, current.u, ambient.u):
            return _not_below_air(scaled(rise, current, ambient), rise, hottest), _too_warm(ambient, hottest)
        # what is not known of thermometer or ammeter leaves the interval of the readings, which is still told
        exact = Quantity(current.value, current.u or 0.0, "A"), Quantity(ambient.value, ambient.u or 0.0, "°C")
        middle = scaled(Quantity(rise.value, 0.0, "K"), *exact)
    except OutsideRange as error:
        return None, (f"no temperature at the rated current: {error}",)

    def end(of_rise: float | None, of_others: float | None) -> float | None:
        """Return how far an end lies from the middle: those of the rise and of all else, in quadrature."""
        if of_rise is None or of_others is None:
            return None
        try:
            moved = scaled(Quantity(of_rise, 0.0, "K"), *exact).value
        except OutsideRange:
            return None
        return math.hypot(moved - middle.value, of_others - middle.value)

    down, up = end(rise.low, middle.low), end(rise.high, middle.high)
    why = "; ".join(dict.fromkeys(one.why for one in (rise, current, ambient) if one.u is None and one.why))
    least = None if down is None else middle.value - down
    told = Quantity(middle.value, None, "°C", low=least, high=None if up is None else middle.value + up, why=why)
    return _not_below_air(told, rise, hottest), _too_warm(ambient, hottest)


WORTH_TELLING = 0.05
"""Ours: a rise that is too large by less than this share is within what the film leaves open anyhow."""


def _too_warm(ambient: Quantity, hottest: Quantity) -> tuple[str, ...]:
    share = left_out(ambient=ambient.value, max_ambient=hottest.value)
    if share < WORTH_TELLING:
        return ()
    said = "in hotter air a surface also radiates more; that is left out, so that the rise in use may be up to"
    return (f"{said} {share:.0%} smaller than told: to judge what is too warm by less than that, test in air as hot",)


def _not_below_air(found: Quantity, rise: Quantity, air: Quantity) -> Quantity:
    """Return a temperature whose interval ends at the air: a loaded part is never colder than what is around it."""
    if found.low is None or rise.value <= 0.0 or found.low >= air.value:
        return found
    return replace(found, low=air.value)


def _slope(fit: HeatingFit) -> float:
    """Return how fast the fitted curve still rises over the last part of the run. [K/h]"""
    time = fit.blocks.time
    # readings may lie far apart near the end: the last two are there always
    late = time >= min(float(time[-1] - SLOPE_SHARE * fit.blocks.duration), float(time[-2]))
    return float(np.polyfit(time[late] - time[-1], fit.fitted[late], 1)[0]) * SECONDS_PER_HOUR


SECONDS_PER_HOUR = 3600.0
"""Seconds in an hour."""


def _stop_at(test: HeatingTest, limit: Limit | None) -> float | None:
    """Return the reading at which a test is to be stopped: the limit less what the thermometer may be off."""
    if limit is None or limit.maximum is None:
        return None
    added = sensor_error(test, limit.maximum, str(test.part))
    if added is None:
        return None
    expanded = assemble(limit.maximum, "°C", added).expanded
    return None if expanded is None else limit.maximum - expanded


def _phases(test: HeatingTest, rows: FittedRows) -> tuple[CurrentPhase, ...]:
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


def _chart(fit: HeatingFit, began: float, *, beyond: float) -> HeatingChart:
    blocks = fit.blocks
    at = np.linspace(blocks.time[0], blocks.time[0] + beyond * blocks.duration, DRAWN)
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

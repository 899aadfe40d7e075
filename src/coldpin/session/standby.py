"""What an idle unit draws, and what that comes to in a year."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coldpin.errors import InputError, OutsideRange
from coldpin.quantity import Component, Quantity, assemble, decide, format_quantity, format_value
from coldpin.quantity.linear import components_of
from coldpin.quantity.model import SQRT3, Shape
from coldpin.records.log import Log, LogQuantity
from coldpin.records.session import StandbyReading
from coldpin.session.charge_log import charge_log
from coldpin.session.energy import cost_of
from coldpin.session.meter import UNSTATED, Meter, mean_reading
from coldpin.session.outages import rows_after_gaps, spacing_of
from coldpin.standards.accuracy import AccuracyStatement
from coldpin.standards.book import Book
from coldpin.standards.session import idle_limit, standby_method
from coldpin.standards.wording import limit_value

YEAR_HOURS = 8760.0
"""Hours in a year of 365 days. [h]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class SmallLoadAccuracy:
    """A meter's accuracy, and from which power and power factor on its maker states it.

    Plug-in meters are made for kettles: what is stated of them often begins at some watts and a power factor near one,
    where an idle unit has neither. ``from_power`` [W] and ``from_power_factor`` [1] are None where the maker does not
    say, and then the statement is not known to hold here.
    """

    statement: AccuracyStatement | None
    from_power: float | None
    from_power_factor: float | None


def refuse_unstated(accuracy: SmallLoadAccuracy, power: float, power_factor: float | None) -> None:
    """Refuse a standby power for which no accuracy is stated where it was measured.

    Parameters
    ----------
    accuracy : SmallLoadAccuracy
        What is stated of the meter.
    power : float
        What it showed. [W]
    power_factor : float or None
        That of the load; None where it was not measured. [1]

    Raises
    ------
    InputError
        No accuracy is stated, or not from where on it holds, or the load's power factor is not known.
    OutsideRange
        Power or power factor lies below what the accuracy is stated for, or the power factor is none.
    """
    shown = format_value(power, "W")
    if accuracy.statement is None:
        raise InputError(
            f"a standby power of {shown} without the meter's accuracy is refused: many meters show nothing true of so "
            "small a load; give the maker's statement"
        )
    if accuracy.from_power is None or accuracy.from_power_factor is None:
        raise InputError(
            f"a standby power of {shown}: say from which power and power factor on the meter's accuracy is stated (the "
            "data sheet says); without that it is not known to hold here"
        )
    if power_factor is None:
        raise InputError(
            f"a standby power of {shown} needs the load's power factor, which for an idle unit is small: read it off "
            "the meter, or compute it from voltage and current"
        )
    if not 0.0 <= power_factor <= 1.0:
        raise OutsideRange(
            f"the power factor is {power_factor:g}; it lies between 0 and 1: write it without the sign by which a "
            "meter tells leading from lagging, and not in per cent"
        )
    if power < 0.0:
        raise OutsideRange(
            f"the power is {shown}, below zero: an idle unit feeds nothing back; are two leads of the meter exchanged, "
            "or its current sensor the wrong way round?"
        )
    if power < accuracy.from_power:
        raise OutsideRange(
            f"the power is {shown}; the meter's accuracy is stated from {format_value(accuracy.from_power, 'W')} on: "
            "use a meter made for small loads, or count energy over a long time"
        )
    if power_factor < accuracy.from_power_factor:
        raise OutsideRange(
            f"the power factor is {power_factor:g}; the meter's accuracy is stated from "
            f"{accuracy.from_power_factor:g} on: use a meter whose accuracy holds for such a load"
        )


def standby_reading(
    power: Quantity,
    book: Book,
    *,
    power_factor: float,
    method: str = "read off",
    price: float | None = None,
    currency: str = "",
) -> StandbyReading:
    """Place an idle unit's power, with what it comes to in a year.

    Parameters
    ----------
    power : Quantity
        The mean power, with the uncertainty of a meter whose accuracy holds there. [W]
    book : Book
        The constants.
    power_factor : float
        That of the load. [1]
    method : str
        How the power was had, in words.
    price : float or None
        For each kilowatt-hour, as stated. [currency/kWh]
    currency : str
        Its name.

    Returns
    -------
    StandbyReading
        Yearly energy and cost, and where the power lies beside common practice.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = standby_reading(Quantity(0.8, 0.01, "W"), load_book(), power_factor=0.1, price=0.3, currency="EUR")
    >>> round(told.yearly_wh.value), round(told.yearly_cost.value, 2), told.outcome
    (7008, 2.1, 'within')
    """
    limit, asked = idle_limit(book), standby_method(book)
    decision = decide(power, minimum=limit.minimum, maximum=limit.maximum)
    yearly = energy_in(power, YEAR_HOURS)
    cost = None if price is None else cost_of(yearly, price, currency)
    remarks = []
    odd = power.value > MOST_IDLE
    if odd:
        remarks.append(
            f"{format_value(power.value, 'W')} is the draw of a heater, not of an idle unit: is the unit mW, or was a "
            "vehicle charging? Nothing is decided by it"
        )
    if power.value == 0.0:
        remarks.append(
            "the meter shows nothing: either nothing in the unit draws, or it cuts off so small a load, as many do; "
            "hang a known small load beside the unit and see whether the meter tells it"
        )
    wanted = asked.wanted(power.value)
    if power.expanded is not None and power.expanded > wanted:
        remarks.append(
            f"the uncertainty is {format_value(float(f'{power.expanded:.3g}'), 'W')}; {asked.limits[0].source} asks "
            f"for {format_value(float(f'{wanted:.3g}'), 'W')} or less at this power"
        )
    where = {"within": "within", "beyond": "above", "undecided": "too close to say beside"}[decision.outcome]
    if odd:
        where = "not placed beside"
    spent = "" if cost is None else f" and {format_quantity(cost)} at {price:g} {currency}/kWh"
    return StandbyReading(
        schema="coldpin.standby/1",
        power_w=power,
        power_factor=power_factor,
        yearly_wh=yearly,
        price="" if price is None else f"{price:g} {currency}/kWh",
        yearly_cost=cost,
        method=method,
        outcome="undecided" if odd else decision.outcome,
        probability=None if odd else decision.probability,
        limit=limit.id,
        statement=(
            f"The idle unit draws {format_quantity(power)}: {where} what is usual ({limit_value(limit)}, "
            f"{limit.source}). Always plugged in, that is {format_quantity(yearly)} a year{spent}."
        ),
        remarks=tuple(remarks),
    )


MOST_IDLE = 60.0
"""Ours: a unit that waits and draws more would be too hot to hold; such a reading is asked about. [W]"""


def energy_in(power: Quantity, hours: float) -> Quantity:
    """Return the energy a steady power comes to.

    Parameters
    ----------
    power : Quantity
        The power. [W]
    hours : float
        For how long. [h]

    Returns
    -------
    Quantity
        In Wh.

    Examples
    --------
    >>> energy_in(Quantity(1.0, 0.1, "W"), 8760.0).u
    876.0
    """
    if power.u is None:
        return Quantity(power.value * hours, None, "Wh", why=power.why)
    parts = [
        Component(
            id=part.id,
            label=part.label,
            contribution=part.contribution * hours,
            dof=part.dof,
            shape=part.shape,
            group=part.group,
        )
        for part in components_of(power, "power")
    ]
    return assemble(power.value * hours, "Wh", parts)


def power_from_counter(
    energy: float, hours: float, statement: AccuracyStatement | None, *, step: float, start_hours: float = 0.0
) -> Quantity:
    """Return the mean power of a load that ticks, from what a counter rose by in a time.

    Parameters
    ----------
    energy : float
        What the counter rose by. [Wh]
    hours : float
        In how long. [h]
    statement : AccuracyStatement or None
        The meter's accuracy, for a power; without one the result has no uncertainty.
    step : float
        One step of the counter: the rise may be wrong by one either way. [Wh]
    start_hours : float
        Half-width of how surely the time is known. [h]

    Returns
    -------
    Quantity
        In W.

    Raises
    ------
    OutsideRange
        The time is not above zero, or the counter rose by less than a step.

    Examples
    --------
    >>> from coldpin.standards.accuracy import parse_accuracy
    >>> power = power_from_counter(60.0, 72.0, parse_accuracy("1 %"), step=10.0)
    >>> round(power.value, 4), round(power.u, 4)
    (0.8333, 0.0569)
    """
    if not hours > 0.0:
        raise OutsideRange(f"the time is {hours:g} h; it must be above zero: give how long the counter ran")
    if not energy >= step > 0.0:
        raise OutsideRange(
            f"the counter rose by {format_value(energy, 'Wh')}, its step is {format_value(step, 'Wh')}: let it run "
            "until it has risen by many steps"
        )
    power = energy / hours
    if statement is None:
        return Quantity(power, None, "W", why=UNSTATED)
    parts = [
        *statement.components(power, "W", id="meter:power", label="standby power"),
        Component(
            id="steps of the energy counter",
            label="step of the counter at both ends",
            contribution=step / hours / SQRT3 / math.sqrt(2.0),
            shape=Shape.TRIANGULAR,
        ),
    ]
    if start_hours > 0.0:
        parts.append(
            Component(
                id="time the counter ran",
                label="time the counter ran",
                contribution=power * start_hours / hours / SQRT3,
                shape=Shape.RECTANGULAR,
            )
        )
    return assemble(power, "W", parts)


SELDOM = 0.01
"""Ours: a load that ticks may show less than the meter is known to measure for so small a part of the time. [1]"""


def power_from_log(log: Log, statement: AccuracyStatement | None, *, from_power: float | None = None) -> Quantity:
    """Return the mean power of a load that ticks, from a log that holds many ticks.

    Parameters
    ----------
    log : Log
        With a column of power.
    statement : AccuracyStatement or None
        The meter's accuracy, for a power; without one the result has no uncertainty.
    from_power : float or None
        The power from which on that is stated. [W]

    Returns
    -------
    Quantity
        The mean over time, with what its parts scatter by. [W]

    Raises
    ------
    InputError
        The log has no power that was logged, too few rows, a gap, or values beyond the meter's range.
    OutsideRange
        The load rests below the power from which on the accuracy is stated, whatever its mean is.
    """
    if log.channel(LogQuantity.POWER) is None:
        raise InputError("a standby power needs a log of power: voltage times current is not the power of an idle unit")
    channel = log.channel(LogQuantity.POWER)
    if channel is not None and channel.beyond:
        raise InputError(
            f"{channel.beyond} values of the power were beyond the meter's range: the mean of the others is not that "
            "of the idle unit; use a range that holds its ticks"
        )
    rows = charge_log(log)
    assert rows.power_w is not None, "the log has a column of power"
    gaps = rows_after_gaps(rows.time_s, spacing_of(rows.time_s).gap_from_s)
    if gaps.size:
        raise InputError(
            f"nothing was recorded for a time after row {int(gaps[0])} of the log: an idle unit may have ticked "
            "meanwhile; cut the log to a stretch without a gap"
        )
    below = float(np.mean(rows.power_w < (from_power or 0.0)))
    if from_power is not None and below > SELDOM:
        raise OutsideRange(
            f"in {100.0 * below:.3g} % of its rows the log shows less than {format_value(from_power, 'W')}, from which "
            "on the meter's accuracy is stated: what a load draws between its ticks is not known; use a meter made for "
            "small loads"
        )
    meter = Meter(statements={} if statement is None else {LogQuantity.POWER: statement})
    return mean_reading(
        rows.time_s, rows.power_w, LogQuantity.POWER, meter, step=rows.power_step, label="standby power"
    )

"""A conductor's resistance logged while it warms: its temperature row by row, and what it errs by."""

from __future__ import annotations

import numpy as np

from coldpin.copper.hot_metal import metal_temperature_under_load, temperature_from_resistance
from coldpin.errors import OutsideRange
from coldpin.quantity import Component, Quantity, format_value
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.standards.accuracy import AccuracyStatement

FLOWS = 0.1
"""Ours: rows with less than this share of the largest current tell no resistance: it would be one of two offsets."""


def resistances_of(log: Log) -> tuple[LogChannel, ...]:
    r"""Return the columns of a log that hold a resistance; where none does, that of its voltage and its current.

    .. math:: R = U / I

    Parameters
    ----------
    log : Log
        The log.

    Returns
    -------
    tuple of LogChannel
        Of voltage over current one, without a value where hardly any current flows; none without both.

    Examples
    --------
    >>> volts = LogChannel(name="U", quantity=LogQuantity.VOLTAGE, unit="V", values=np.array([0.001, 0.64, 0.65]))
    >>> amperes = LogChannel(name="I", quantity=LogQuantity.CURRENT, unit="A", values=np.array([0.0, 16.0, 16.0]))
    >>> (told,) = resistances_of(Log(time_s=np.arange(3.0), channels=(volts, amperes)))
    >>> told.name, told.values.tolist()
    ('U over I', [nan, 0.04, 0.040625])
    """
    found = log.all_of(LogQuantity.RESISTANCE)
    volts, amperes = (log.all_of(quantity) for quantity in (LogQuantity.VOLTAGE, LogQuantity.CURRENT))
    if found or len(volts) != 1 or len(amperes) != 1:
        return found
    (voltage,), (current,) = volts, amperes
    size = np.abs(current.values)
    most = float(np.nanmax(size, initial=0.0))
    flows = size > FLOWS * most
    values = np.full(size.size, np.nan)
    values[flows] = np.abs(voltage.values[flows]) / size[flows]
    return (
        LogChannel(
            name=f"{voltage.name} over {current.name}",
            quantity=LogQuantity.RESISTANCE,
            unit="Ω",
            values=values,
            resolution=None if voltage.resolution is None or not most else voltage.resolution / most,
        ),
    )


def temperature_by_resistance(
    channel: LogChannel, *, cold: Quantity, cold_temperature: Quantity, coefficient: float
) -> LogChannel:
    """Return the temperature of a conductor from its resistance, row by row.

    Parameters
    ----------
    channel : LogChannel
        The resistance between the taps. [Ω]
    cold : Quantity
        Between the same taps before the current. [Ω]
    cold_temperature : Quantity
        Of the conductor then. [°C]
    coefficient : float
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    LogChannel
        In °C, of the same name; one step of it is that of the resistance.

    Raises
    ------
    OutsideRange
        The cold resistance is not above zero.

    Examples
    --------
    >>> read = LogChannel(name="R", quantity=LogQuantity.RESISTANCE, unit="Ω", values=np.array([0.0400, 0.0404]),
    ...                   resolution=0.0001)
    >>> cold, room = Quantity(0.0400, 0.0, "Ω"), Quantity(25.0, 0.0, "°C")
    >>> told = temperature_by_resistance(read, cold=cold, cold_temperature=room, coefficient=0.00393)
    >>> told.values.round(2).tolist(), round(told.resolution, 2)
    ([25.0, 27.59], 0.65)

    Sources
    -------
    As in :func:`coldpin.copper.hot_metal.temperature_from_resistance`.
    """
    if not cold.value > 0.0:
        raise OutsideRange(
            f"the cold resistance {format_value(cold.value, cold.unit)} is not above zero: look at the taps and the "
            "sign"
        )

    def told(resistance: float) -> float:
        found = temperature_from_resistance(
            hot=resistance, cold=cold.value, cold_temperature=cold_temperature.value, coefficient=coefficient
        )
        return float(found)

    values = temperature_from_resistance(
        hot=channel.values, cold=cold.value, cold_temperature=cold_temperature.value, coefficient=coefficient
    )
    step = None if channel.resolution is None else told(cold.value + channel.resolution) - told(cold.value)
    return LogChannel(
        name=channel.name, quantity=LogQuantity.TEMPERATURE, unit="°C", values=np.asarray(values), resolution=step
    )


def resistance_error(
    channel: LogChannel,
    *,
    cold: Quantity,
    cold_temperature: Quantity,
    meter: AccuracyStatement | None,
    thermometer: AccuracyStatement | None,
    coefficient: float,
) -> Component | None:
    """Return what meter, cold reading and the thermometer of the cold metal add to a conductor's temperature.

    Parameters
    ----------
    channel : LogChannel
        The resistance between the taps; its last row, the warmest, counts. [Ω]
    cold : Quantity
        Before the current; where it has no uncertainty the meter's stands in its place. [Ω]
    cold_temperature : Quantity
        Of the conductor then; where it has no uncertainty the thermometer's stands in its place. [°C]
    meter : AccuracyStatement or None
        Of the resistance meter.
    thermometer : AccuracyStatement or None
        Of the thermometer.
    coefficient : float
        α of the metal at 20 °C. [1/K]

    Returns
    -------
    Component or None
        None where one of them is not stated. Hot and cold are taken to err apart, which is the wider way. [K]

    Raises
    ------
    OutsideRange
        A resistance is not above zero.

    Sources
    -------
    As in :func:`coldpin.copper.hot_metal.metal_temperature_under_load`.
    """
    if meter is None:
        return None
    if cold_temperature.u is None:
        if thermometer is None:
            return None
        exact = Quantity(cold_temperature.value, 0.0, "°C")
        cold_temperature = thermometer.apply(exact, id="thermometer: cold", label="temperature of the cold metal")
    if cold.u is None:
        exact = Quantity(cold.value, 0.0, cold.unit)
        cold = meter.apply(exact, id="meter: cold", label="resistance meter, cold")
    last = float(channel.values[np.isfinite(channel.values)][-1])
    found = metal_temperature_under_load(
        hot=meter.apply(Quantity(last, 0.0, cold.unit), id="meter: hot", label="resistance meter, hot"),
        cold=cold,
        cold_temperature=cold_temperature,
        coefficient=coefficient,
    )
    if found.u is None:
        return None
    return Component(id="conductor by resistance", label="resistance meter and cold metal", contribution=found.u)

"""The readings at which a heating test is to be stopped, told beside what the test came to."""

from __future__ import annotations

from dataclasses import replace

from coldpin.copper.heating_limits import GRASPED
from coldpin.copper.heating_log import HeatingTest
from coldpin.copper.stop_values import stop_values
from coldpin.copper.temperature_rise import BODIES, METAL_ABOVE, sensor_error
from coldpin.errors import OutsideRange
from coldpin.quantity import assemble
from coldpin.records.finding import Limit
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.standards.book import Book

OWN_METAL = (HeatedPart.CONDUCTOR, HeatedPart.PIN)
"""Parts that are metal themselves: none inside them is warmer."""


def with_stops(
    told: TemperatureRise, test: HeatingTest, book: Book, *, accessory: Limit, insulation: str
) -> TemperatureRise:
    """Return what a heating test came to with the readings at which such a test is stopped.

    Parameters
    ----------
    told : TemperatureRise
        What it came to.
    test : HeatingTest
        The test.
    book : Book
        The constants.
    accessory : Limit
        Largest rise of its plug or coupler above the air. [K]
    insulation : str
        Of the cores.

    Returns
    -------
    TemperatureRise
        Without stop values where no accuracy is stated; where none lies above the air, without any and with a remark.

    Raises
    ------
    UnknownName
        There is no such insulation.
    InputError
        An own value of the case leaves a limit without its number.
    """
    added = sensor_error(test, told.end_temperature_c.value, str(test.part))
    if added is None:
        return told
    expanded = assemble(0.0, "°C", added).expanded
    assert expanded is not None, "the accuracy is stated"
    rise = told.end_rise_k
    warmest = METAL_ABOVE[1] * max(rise.value if rise.high is None else rise.high, 0.0)
    try:
        found = stop_values(
            book,
            insulation=insulation,
            ambient=told.ambient_c,
            reading_expanded=expanded,
            metal_above=0.0 if test.part in OWN_METAL else warmest,
            accessory=accessory,
            touched=_touched(test.part),
        )
    except OutsideRange as error:
        # that of one limit alone is then none either
        return replace(told, stop_at_c=None, remarks=(*told.remarks, str(error)))
    return replace(told, stops=found)


def _touched(part: HeatedPart) -> str | None:
    """Return what a hand meets there: a pin is reached by none."""
    if part is HeatedPart.PIN:
        return None
    return GRASPED if part in BODIES else "sheath"

"""Stop values of a heating test: the lowest of what insulation, accessory and hand bear, less the uncertainty."""

from __future__ import annotations

from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, format_quantity, format_value
from coldpin.records.current_map import Place, StopValue, StopValues
from coldpin.records.finding import Limit
from coldpin.standards.book import Book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature
from coldpin.standards.table import needed


def stop_values(
    book: Book,
    *,
    insulation: str,
    ambient: Quantity,
    reading_expanded: float,
    metal_above: Quantity | float,
    accessory: Limit | None = None,
    touched: str | None = "sheath",
) -> StopValues:
    """Return the readings at which a heating test is to be stopped, lowest first.

    Parameters
    ----------
    book : Book
        The constants.
    insulation : str
        "pvc", "rubber", "charging" or another word of :func:`coldpin.standards.cable_ratings.insulation_temperature`.
    ambient : Quantity
        The air of the test. [°C]
    reading_expanded : float
        U of the thermometer, half of its 95 % interval. [K]
    metal_above : Quantity or float
        By how much the metal is warmer than the sheath at the current of the test; its high end counts. [K]
    accessory : Limit, optional
        Largest rise of plug or coupler above the air. [K]
    touched : str or None
        The part that a hand meets, as :func:`coldpin.standards.cable_heating.touch_temperature` names it; None where
        none does.

    Returns
    -------
    StopValues
        One for the metal, one for the hand where it meets the part, one for the accessory where its limit was given.

    Raises
    ------
    UnknownName
        There is no such insulation or part.
    OutsideRange
        U is negative, or the lowest reading is not above the air: such a test cannot be done.
    InputError
        An own value of the case leaves a limit without its number.

    Examples
    --------
    >>> from coldpin.quantity import normal
    >>> from coldpin.standards.book import load_book
    >>> found = stop_values(
    ...     load_book(), insulation="pvc", ambient=normal(25.0, 0.3, "°C", id="room"), reading_expanded=1.5,
    ...     metal_above=4.0)
    >>> [(value.place.value, value.reading) for value in found.values]
    [('sheath', 58.5), ('metal', 64.5)]

    Sources
    -------
    ``insulation-temperature.*``, ``touch-temperature.*``, ``accessory.rise.*``.
    """
    if reading_expanded < 0.0:
        raise OutsideRange(f"the thermometer's U is {format_value(reading_expanded, 'K')}: give it without sign")
    above = metal_above if isinstance(metal_above, float) else _high_end(metal_above)
    metal = insulation_temperature(book, insulation)
    found = [_value(Place.METAL, metal, needed(metal, "maximum"), reading_expanded + above)]
    if touched is not None:
        hand, place = touch_temperature(book, touched), Place.SHEATH if touched == "sheath" else Place.BODY
        found.append(_value(place, hand, needed(hand, "maximum"), reading_expanded))
    if accessory is not None:
        # the coldest the air may be: the rise is then the largest
        air = ambient.value if ambient.low is None else ambient.low
        found.append(_value(Place.ACCESSORY, accessory, air + needed(accessory, "maximum"), reading_expanded))
    values = StopValues(values=tuple(sorted(found, key=lambda value: value.reading)))
    if not values.lowest.reading > ambient.value:
        raise OutsideRange(
            f"the test would have to be stopped at {format_value(round(values.lowest.reading, 1), '°C')}, and the air "
            f"is {format_quantity(ambient)}: test in cooler air, with a better thermometer or at less current"
        )
    return values


def _value(place: Place, limit: Limit, temperature: float, less: float) -> StopValue:
    return StopValue(place=place, limit=limit, temperature=temperature, reading=temperature - less)


def _high_end(above: Quantity) -> float:
    return above.value if above.high is None else above.high

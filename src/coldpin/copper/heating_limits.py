"""Which published limit holds for the temperature of a heated part."""

from __future__ import annotations

from dataclasses import replace

from coldpin.quantity import format_value
from coldpin.records.finding import Limit
from coldpin.records.heating import HeatedPart
from coldpin.standards.accessories import accessory_rise
from coldpin.standards.book import Book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature
from coldpin.standards.table import needed

GRASPED = "grasped.plastic"
"""What the body of a plug or connector is to the hand, in the table of what may be touched."""


def limit_for(
    part: HeatedPart, book: Book, *, accessory: str = "household", insulation: str = "pvc", ambient: float | None = None
) -> Limit | None:
    """Return the highest temperature of a part: what a hand, an accessory or an insulation bears.

    A plug or connector is grasped, and its body is cooler than the contacts whose rise is limited: the lower of both
    counts. A pin is reached by no hand; it has its rise alone.

    Parameters
    ----------
    part : HeatedPart
        The part.
    book : Book
        The constants.
    accessory : str
        Kind of plug or coupler.
    insulation : str
        Of the cores.
    ambient : float, optional
        Air in which it is asked for: an accessory's limit is a rise over it. [°C]

    Returns
    -------
    Limit or None
        In °C; None for a pin without the ambient.

    Raises
    ------
    UnknownName
        There is no such accessory or insulation.
    InputError
        An own value of the case has no maximum.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> limit_for(HeatedPart.SHEATH, load_book()).maximum
    60.0
    >>> limit_for(HeatedPart.PLUG, load_book(), ambient=40.0).maximum
    60.0
    >>> limit_for(HeatedPart.PIN, load_book(), ambient=40.0).maximum
    85.0
    >>> limit_for(HeatedPart.CONDUCTOR, load_book()).maximum
    70.0

    Sources
    -------
    ``touch-temperature.sheath``, ``touch-temperature.grasped.plastic``, ``accessory.rise.*``,
    ``insulation-temperature.*``.
    """
    match part:
        case HeatedPart.SHEATH:
            return touch_temperature(book, "sheath")
        case HeatedPart.CONDUCTOR:
            return insulation_temperature(book, insulation)
        case HeatedPart.PIN:
            return _risen(accessory_rise(book, accessory), ambient)
        case _:
            grasped, risen = touch_temperature(book, GRASPED), _risen(accessory_rise(book, accessory), ambient)
            return grasped if risen is None else min(grasped, risen, key=lambda one: needed(one, "maximum"))


def _risen(rise: Limit, ambient: float | None) -> Limit | None:
    """Return a rise over the air as a temperature."""
    if ambient is None:
        return None
    largest = needed(rise, "maximum")
    note = f"A rise of {format_value(largest, 'K')} over air of {format_value(ambient, '°C')}."
    return replace(rise, unit="°C", maximum=ambient + largest, note=" ".join(filter(None, (rise.note, note))))

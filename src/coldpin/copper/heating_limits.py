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


def limit_for(
    part: HeatedPart, book: Book, *, accessory: str = "household", insulation: str = "pvc", ambient: float | None = None
) -> Limit | None:
    """Return the highest temperature of a part: what a hand, an accessory or an insulation bears.

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
        In °C; None for an accessory without the ambient.

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
    85.0
    >>> limit_for(HeatedPart.CONDUCTOR, load_book()).maximum
    70.0

    Sources
    -------
    ``touch-temperature.sheath``, ``accessory.rise.*``, ``insulation-temperature.*``.
    """
    match part:
        case HeatedPart.SHEATH:
            return touch_temperature(book, "sheath")
        case HeatedPart.CONDUCTOR:
            return insulation_temperature(book, insulation)
        case _:
            rise = accessory_rise(book, accessory)
            if ambient is None:
                return None
            largest = needed(rise, "maximum")
            note = f"A rise of {format_value(largest, 'K')} over air of {format_value(ambient, '°C')}."
            return replace(rise, unit="°C", maximum=ambient + largest, note=" ".join(filter(None, (rise.note, note))))

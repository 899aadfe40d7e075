"""A quick look at a proximity contact, with nothing written anywhere."""

from __future__ import annotations

from dataclasses import replace

from coldpin.errors import OutsideRange
from coldpin.pilot.proximity import read_proximity
from coldpin.quantity import AtLeast, AtMost, parse_reading
from coldpin.records.proximity import ProximityReading
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import load_book


def look_at_proximity(
    reading: str, *, connector: str = "type 2", phases: int = 3, accuracy: str = ""
) -> ProximityReading:
    """Say what the resistance from a proximity contact to earth stands for.

    Parameters
    ----------
    reading : str
        As the meter shows it, with its unit: "223 Ω", "0,68 kΩ", "> 20 MΩ".
    connector : str
        "type 1" or "type 2".
    phases : int
        Phases of the cable, 1 or 3.
    accuracy : str
        The meter's accuracy as its maker writes it; where it is left out and the reading states none, nothing is
        decided.

    Returns
    -------
    ProximityReading
        Coded current or state of the latch, with the ranges, their sources and the reading in dispute.

    Raises
    ------
    QuantityTextError
        The reading or the accuracy cannot be read.
    UnitError
        The unit is not one of a resistance.
    OutsideRange
        The reading is below 0 Ω, or says only that the resistance is less than something.
    UnknownName
        There is no such connector.

    Examples
    --------
    >>> told = look_at_proximity("223 Ω", accuracy="0.8 % + 2 digits, resolution 1 Ω")
    >>> told.coded_current_a, told.meaning.value
    (32.0, 'current')
    >>> look_at_proximity("223 Ω").meaning.value
    'undecided'
    """
    read = parse_reading(reading, "Ω")
    if isinstance(read, AtMost):
        raise OutsideRange(f"the reading {reading!r} only bounds the resistance from above: give what the meter shows")
    beyond_range = isinstance(read, AtLeast)
    quantity = read.edge if isinstance(read, AtLeast) else read
    if quantity.value < 0.0:
        raise OutsideRange(f"the reading {reading!r} is below 0 Ω: check leads and zero of the meter, and read again")
    if accuracy and quantity.u is None and not beyond_range:
        exact = replace(quantity, u=0.0, low=None, high=None, why="")
        quantity = parse_accuracy(accuracy).apply(exact, id="meter: resistance", label="proximity contact")
    return read_proximity(quantity, load_book(), connector=connector, phases=phases, at_least=beyond_range)

"""Codes printed on resistors and capacitors (IEC 60062)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from coldpin.errors import QuantityTextError
from coldpin.quantity.model import Quantity

_RESISTANCE = {"L": -3, "R": 0, "K": 3, "M": 6, "G": 9} | {"r": 0, "k": 3, "m": -3}
"""The letter in the place of the decimal mark; small r, k and m are habits of circuit diagrams."""

_CAPACITANCE = {"p": -12, "n": -9, "u": -6, "µ": -6, "μ": -6, "m": -3, "F": 0}

TOLERANCES: dict[str, Fraction] = {
    letter: Fraction(percent) / 100
    for letter, percent in {
        "E": "0.005",
        "L": "0.01",
        "P": "0.02",
        "W": "0.05",
        "B": "0.1",
        "C": "0.25",
        "D": "0.5",
        "F": "1",
        "G": "2",
        "H": "3",
        "J": "5",
        "K": "10",
        "M": "20",
        "N": "30",
    }.items()
}
"""Symmetrical tolerance letters, as parts of the value (IEC 60062:2016; standing: memory)."""

_CODE = re.compile(r"(?P<whole>[0-9]{0,4})(?P<letter>[LRKMGrkmpnuµμF])(?P<part>[0-9]{0,4})(?P<tolerance>[A-Z])?")
_CHIP_E96 = re.compile(r"(?P<index>[0-9]{2})(?P<letter>[A-Z])")
_CHIP_POWERS = {letter: power for power, letter in enumerate("ZYXABCDEF", start=-3)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """What a code can mean. ``tolerance`` is a part of the value, None where no letter states one."""

    value: Fraction
    unit: str
    tolerance: Fraction | None
    embedded: bool
    """The multiplier letter stands before or between digits, so that it cannot be part of a unit."""


def read_marking(code: str) -> tuple[Marking, ...]:
    """Return all that a code of digits and letters can mean.

    Parameters
    ----------
    code : str
        The code: digits, one multiplier letter in the place of the decimal mark, digits, perhaps a tolerance letter.

    Returns
    -------
    tuple of Marking
        The readings; none where it is no such code, several where the letter is used for resistors and capacitors.

    Examples
    --------
    >>> [(float(reading.value), reading.unit) for reading in read_marking("2K74F")]
    [(2740.0, 'Ω')]

    Sources
    -------
    IEC 60062:2016 (standing: read for examples and multiplier letters, memory for tolerance letters).
    """
    found = _CODE.fullmatch(code)
    if not found or not found["whole"] + found["part"] or (found["tolerance"] or "E") not in TOLERANCES:
        return ()
    return tuple(
        Marking(
            value=Fraction(int(found["whole"] + found["part"])) * Fraction(10) ** (power - len(found["part"])),
            unit=unit,
            tolerance=TOLERANCES[found["tolerance"]] if found["tolerance"] else None,
            embedded=bool(found["part"]),
        )
        for unit, power in read_multiplier(found["letter"])
    )


def read_multiplier(letter: str) -> tuple[tuple[str, int], ...]:
    """Return what a multiplier letter without a unit can mean, as in "2.7k".

    Parameters
    ----------
    letter : str
        The letter.

    Returns
    -------
    tuple of tuple of str and int
        Unit and power of ten, for resistors and for capacitors; empty for any other letter.

    Examples
    --------
    >>> read_multiplier("k"), read_multiplier("m")
    ((('Ω', 3),), (('Ω', -3), ('F', -3)))
    """
    both = (("Ω", _RESISTANCE.get(letter)), ("F", _CAPACITANCE.get(letter)))
    return tuple((unit, power) for unit, power in both if power is not None)


def read_chip_marking(code: str) -> Quantity:
    """Return the resistance a code printed on a chip resistor means.

    Parameters
    ----------
    code : str
        Three or four digits of which the last is a power of ten, two digits and a letter (E96), "R" for a decimal
        point, or zeros for a link.

    Returns
    -------
    Quantity
        The resistance, of unknown uncertainty. [Ω]

    Raises
    ------
    QuantityTextError
        The code is none of these.

    Examples
    --------
    >>> read_chip_marking("1002").value, read_chip_marking("68X").value
    (10000.0, 49.9)

    Sources
    -------
    IEC 60062:2016 and the three-character code for the E96 series (standing: memory).
    """
    why = f"nominal value of the marking {code}; its tolerance is not printed"
    if re.fullmatch(r"0{1,4}", code):
        return Quantity(0.0, None, "Ω", why=why)
    if re.fullmatch(r"[0-9]{3,4}", code):
        return Quantity(float(Fraction(int(code[:-1])) * Fraction(10) ** int(code[-1])), None, "Ω", why=why)
    e96 = _CHIP_E96.fullmatch(code)
    if e96 and e96["letter"] in _CHIP_POWERS and 1 <= int(e96["index"]) <= 96:
        figures = round(100.0 * 10.0 ** ((int(e96["index"]) - 1) / 96.0))
        return Quantity(float(Fraction(figures) * Fraction(10) ** _CHIP_POWERS[e96["letter"]]), None, "Ω", why=why)
    resistances = [reading for reading in read_marking(code) if reading.unit == "Ω" and "R" in code]
    if len(resistances) == 1 and resistances[0].tolerance is None:
        return Quantity(float(resistances[0].value), None, "Ω", why=why)
    raise QuantityTextError(
        f"marking {code!r} is no resistor code: three or four digits (103, 1002), two digits and a letter (01C), "
        "R for the decimal point (4R7), or 000"
    )

"""In which unit a condition is stated, for those that are a quantity wherever they are asked for."""

from __future__ import annotations

from collections.abc import Mapping

CONDITION_UNITS: Mapping[str, str] = {
    "accuracy from power": "W",
    "after": "s",
    "capacitance": "F",
    "change": "K/h",
    "cold resistance": "Ω",
    "cold temperature": "°C",
    "conductor temperature": "°C",
    "contact gap": "mm",
    "current": "A",
    "diameter": "mm",
    "diode drop": "V",
    "duration": "s",
    "dwell": "s",
    "force": "N",
    "full scale": "V",
    "gap": "s",
    "hottest air": "°C",
    "joined below": "Ω",
    "length": "m",
    "load current": "A",
    "offer": "A",
    "offset": "s",
    "opening": "mm",
    "output delay": "s",
    "probe": "Ω",
    "rate": "mA/s",
    "residual current": "mA",
    "resistance": "Ω/m",
    "resistance B": "Ω",
    "resistance C": "Ω",
    "resistor": "Ω",
    "setting": "A",
    "short-circuit capacity": "A",
    "size": "mm2",
    "start": "s",
    "temperature": "°C",
    "test current": "A",
    "test voltage": "V",
    "time since switch-on": "s",
    "voltage": "V",
    "working voltage": "V",
}
"""By its name; of a condition with several meanings (a column's name or a temperature, say) none stands here."""


def unit_asked(name: str, meaning: str) -> str:
    """Return the unit that a condition is asked for in.

    Parameters
    ----------
    name : str
        Of the condition.
    meaning : str
        What it means for the word it is stated with: a residual current is of milliamperes.

    Returns
    -------
    str
        Empty where it is no quantity.

    Examples
    --------
    >>> [unit_asked("current", meaning) for meaning in ("of the test", "such as '31.5 mA ± 1.5 mA'")]
    ['A', 'mA']
    >>> unit_asked("load", "")
    ''
    """
    unit = CONDITION_UNITS.get(name, "")
    return f"m{unit}" if unit == "A" and f"m{unit}" in meaning else unit

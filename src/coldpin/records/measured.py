"""Under which names the accuracy of an instrument is asked for: what is stated under any other makes no reading's ±."""

from __future__ import annotations

import difflib
from collections.abc import Mapping

from coldpin.records.log import LogQuantity
from coldpin.records.vocabulary import VOCABULARY

BANDWIDTH = "bandwidth"
"""The statement that is a frequency, and no accuracy."""

CAPTURED = ("voltage", "time", BANDWIDTH)
"""What is asked of the instrument that a capture came from."""

METERED = (
    LogQuantity.POWER,
    LogQuantity.CURRENT,
    LogQuantity.VOLTAGE,
    LogQuantity.ENERGY,
    LogQuantity.POWER_FACTOR,
)
"""What a meter's accuracy can be stated for."""

ALSO_NAMED = {"insulation": "insulation resistance"}
"""By what other name a shelf may state the accuracy of a thing, as people write it."""

MEASURED = tuple(
    sorted(
        {known.measures for known in VOCABULARY.values() if known.measures}
        | {*CAPTURED, *(metered.value for metered in METERED), *ALSO_NAMED.values()}
    )
)
"""Every name under which something asks for the accuracy of an instrument."""

AT_THE_BENCH: Mapping[str, tuple[str, ...]] = {
    "resistance": ("ohm", "ohms", "Ω", "r", "continuity", "low ohm", "milliohm", "milliohms", "mΩ", "kΩ"),
    "insulation": ("megohm", "megohms", "insulation test", "insulation tester", "riso", "iso"),
    "loop impedance": ("loop", "impedance", "zs", "z loop", "earth loop"),
    "voltage": ("volt", "volts", "v", "mV", "dc voltage", "ac voltage", "dcv", "acv", "vdc", "vac", "vertical", "u"),
    "current": ("amp", "amps", "ampere", "amperes", "a", "dca", "aca", "adc", "aac", "i", "mA"),
    "residual current": ("rcd current", "leakage", "leakage current", "trip current"),
    "fault current": ("short circuit current", "ipf", "psc", "pfc"),
    "time": ("second", "seconds", "s", "ms", "trip time", "timebase", "time base", "horizontal"),
    "temperature": ("temp", "degree", "degrees", "celsius", "°C", "thermocouple"),
    "length": ("distance", "mm", "millimetre", "millimetres", "millimeter", "diameter", "thickness", "width"),
    "mass": ("weight", "gram", "grams", "g"),
    "capacitance": ("farad", "capacity", "c", "nF", "µF"),
    "power": ("watt", "watts", "w", "active power"),
    "energy": ("wh", "kwh"),
    "power factor": ("pf", "cos phi"),
    BANDWIDTH: ("frequency", "hertz", "hz", "MHz"),
}
"""What people write in the place of each name, in words, with a unit, or as it stands on a knob."""

NEAR_ENOUGH = 0.75
"""Ours: what is less alike than this is another word, not a slip of the pen."""

_MEANT = {word.casefold(): name for name, words in AT_THE_BENCH.items() for word in words}
_FORMS = str.maketrans({".": "", "_": " ", "-": " ", "(": " ", ")": " ", "\u2126": "Ω"})


def as_asked(name: str) -> str:
    """Return a name as it is asked for, where it differs in capitals and spaces alone.

    Parameters
    ----------
    name : str
        As a person types it.

    Returns
    -------
    str
        As it is asked for; as typed, without outer spaces, where nothing is asked under it.

    Examples
    --------
    >>> as_asked(" Loop  Impedance"), as_asked("Ohms")
    ('loop impedance', 'Ohms')
    """
    plain = " ".join(name.casefold().split())
    return plain if plain in MEASURED else name.strip()


def nearest(name: str) -> str:
    """Return the name that was meant by one under which nothing is asked.

    Parameters
    ----------
    name : str
        As a person wrote it.

    Returns
    -------
    str
        One of :data:`MEASURED`; empty where none is near.

    Examples
    --------
    >>> nearest("Ohms"), nearest("DC voltage"), nearest("resistence"), nearest("colour of the case")
    ('resistance', 'voltage', 'resistance', '')
    """
    plain = " ".join(name.translate(_FORMS).casefold().split())
    if plain in MEASURED:
        return plain
    if plain in _MEANT:
        return _MEANT[plain]
    held = [known for known in sorted(MEASURED, key=len, reverse=True) if f" {known} " in f" {plain} "]
    of_words = [_MEANT[word] for word in plain.split() if word in _MEANT]
    like = difflib.get_close_matches(plain, (*MEASURED, *_MEANT), n=1, cutoff=NEAR_ENOUGH)
    return next((_MEANT.get(one, one) for one in (*held, *of_words, *like)), "")


def not_asked(name: str) -> str:
    """Say of a name that nothing is asked under it, which was meant, and which others there are.

    Parameters
    ----------
    name : str
        By which an instrument's accuracy is stated.

    Returns
    -------
    str
        Empty where it is asked for.

    Examples
    --------
    >>> not_asked("Ohms")[:73]
    "nothing asks for the accuracy of 'Ohms'; did you mean 'resistance'? Known"
    >>> not_asked("voltage")
    ''
    """
    if name in MEASURED:
        return ""
    near = nearest(name)
    hint = f"; did you mean {near!r}?" if near else "."
    return f"nothing asks for the accuracy of {name[:60]!r}{hint} Known: {', '.join(MEASURED)}"

"""Units: how people spell them, what kind they are, and how one becomes another."""

from __future__ import annotations

import difflib
import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache

from coldpin.errors import UnitError


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit: its symbol, the kind of thing it measures, and how it becomes the base unit of that kind.

    ``factor`` times a value (plus ``offset``) gives the base unit. Both are exact fractions, so that
    ``2.74 kΩ`` is 2740 Ω to the last bit.
    """

    symbol: str
    kind: str
    factor: Fraction
    offset: Fraction = Fraction(0)


_PREFIXES: dict[str, tuple[int, tuple[str, ...], tuple[str, ...]]] = {
    # symbol: power of ten, spellings before a symbol, spellings before a word
    "T": (12, ("T",), ("tera",)),
    "G": (9, ("G",), ("giga",)),
    "M": (6, ("M",), ("mega", "meg")),
    "k": (3, ("k", "K"), ("kilo",)),
    "": (0, ("",), ("",)),
    "c": (-2, ("c",), ("centi",)),
    "m": (-3, ("m",), ("milli",)),
    "µ": (-6, ("µ", "u"), ("micro",)),
    "n": (-9, ("n",), ("nano",)),
    "p": (-12, ("p",), ("pico",)),
}

_SCALED: tuple[tuple[str, str, Fraction, str, tuple[str, ...], tuple[str, ...]], ...] = (
    # symbol, kind, factor, prefixes besides none, further symbols, words
    ("V", "voltage", Fraction(1), "kmµn", (), ("volt", "volts")),
    ("A", "current", Fraction(1), "kmµnp", (), ("ampere", "amperes", "amp", "amps")),
    ("Ω", "resistance", Fraction(1), "TGMkmµ", (), ("ohm", "ohms")),
    ("S", "conductance", Fraction(1), "mµn", (), ("siemens",)),
    ("s", "time", Fraction(1), "mµnp", ("sec",), ("second", "seconds")),
    ("Hz", "frequency", Fraction(1), "GMkm", (), ("hertz",)),
    ("W", "power", Fraction(1), "Mkmµ", (), ("watt", "watts")),
    ("VA", "apparent power", Fraction(1), "Mk", (), ()),
    ("var", "reactive power", Fraction(1), "Mk", ("VAr", "VAR", "Var"), ()),
    ("varh", "reactive energy", Fraction(3600), "Mk", ("VArh", "VARh"), ()),
    ("Wh", "energy", Fraction(3600), "Mkm", (), ()),
    ("J", "energy", Fraction(1), "GMkm", (), ("joule", "joules")),
    ("Ah", "charge", Fraction(3600), "km", (), ()),
    ("m", "length", Fraction(1), "kcmµn", (), ("metre", "metres", "meter", "meters")),
    ("F", "capacitance", Fraction(1), "mµnp", (), ("farad", "farads")),
    ("H", "inductance", Fraction(1), "mµn", (), ("henry", "henries")),
    ("g", "mass", Fraction(1, 1000), "kmµ", (), ("gram", "grams", "gramme", "grammes")),
    ("N", "force", Fraction(1), "Mkm", (), ("newton", "newtons")),
    ("Pa", "pressure", Fraction(1), "Mkm", (), ("pascal", "pascals")),
    ("K", "temperature", Fraction(1), "m", (), ("kelvin", "kelvins")),
    ("Ω·m", "resistivity", Fraction(1), "µn", ("ohm·m",), ()),
    ("J/(m³·K)", "heat capacity by volume", Fraction(1), "Mk", (), ()),
)

_PLAIN: tuple[tuple[str, str, Fraction, tuple[str, ...]], ...] = (
    ("min", "time", Fraction(60), ("minute", "minutes", "mins")),
    ("h", "time", Fraction(3600), ("hour", "hours", "hr", "hrs")),
    ("d", "time", Fraction(86400), ("day", "days")),
    ("1", "ratio", Fraction(1), ("",)),
    ("%", "ratio", Fraction(1, 100), ("percent", "pct")),
    ("‰", "ratio", Fraction(1, 1000), ("permille",)),
    ("ppm", "ratio", Fraction(1, 10**6), ()),
    ("m²", "area", Fraction(1), ("m2", "sqm")),
    ("cm²", "area", Fraction(1, 10**4), ("cm2", "sqcm")),
    ("mm²", "area", Fraction(1, 10**6), ("mm2", "sqmm", "qmm")),
    ("m³", "volume", Fraction(1), ("m3",)),
    ("N·m", "torque", Fraction(1), ("Nm",)),
    ("A²s", "let-through", Fraction(1), ("A2s",)),
    ("K·m/W", "thermal resistivity", Fraction(1), ()),
    ("Ω·g/m²", "resistivity by mass", Fraction(1, 1000), ()),
    ("mC", "charge", Fraction(1, 1000), ("millicoulomb",)),
    ("µC", "charge", Fraction(1, 10**6), ("uC", "microcoulomb")),
    ("rad", "angle", Fraction(1), ("radian", "radians")),
    ("°", "angle", Fraction(math.pi) / 180, ("deg", "degree", "degrees")),
)

_ALIASES = {"hz": "Hz", "khz": "kHz", "°K": "K", "kilohm": "kΩ", "kilohms": "kΩ"}

_CELSIUS = Unit(symbol="°C", kind="temperature", factor=Fraction(1), offset=Fraction(27315, 100))
_CELSIUS_SPELLINGS = (
    *("°C", "C", "degC", "DegC", "degreeC", "degreesC", "celsius", "Celsius"),
    *("degreeCelsius", "degreesCelsius", "°Celsius"),
)

_RATIOS = ("Ω/km", "Ω/m", "mΩ/m", "g/m", "kg/km", "W/m", "V/m", "V/s", "V/µs", "A/mm²", "K/min", "K/W")
"""Ratios of two units that are listed; any other ratio of two known units is understood as well."""

_REFUSED = {
    "Vpp": "a peak-to-peak value is twice an amplitude: give the level against ground in V",
    "Vp-p": "a peak-to-peak value is twice an amplitude: give the level against ground in V",
    "Vac": "write V and say alternating in the note",
    "VAC": "write V and say alternating in the note",
    "Vdc": "write V and say direct in the note",
    "VDC": "write V and say direct in the note",
    "Vrms": "write V and say r.m.s. in the note",
    "mhz": "mHz is a thousandth of a hertz, MHz a million hertz",
    "°F": "write the temperature in °C",
    "F/C": "write the temperature in °C",
}


def normal_spelling(text: str) -> str:
    """Return a unit as written with its look-alike signs, spaces and hyphens made one.

    Parameters
    ----------
    text : str
        The unit as written.

    Returns
    -------
    str
        The same with µ for μ, Ω for the old ohm sign, 2 for ², without spaces, dots between factors and hyphens.

    Examples
    --------
    >>> normal_spelling("k-Ohm"), normal_spelling("mm²"), normal_spelling("mm^2")
    ('kOhm', 'mm2', 'mm2')
    """
    rings = text.replace("º", "°").replace("˚", "°")
    plain = unicodedata.normalize("NFKC", rings).replace("μ", "µ").replace("⁄", "/").replace("∕", "/")
    return re.sub(r"(?<=\w)[-‐‑](?=\w)|[\s·⋅*^]", "", plain)


def _spellings(prefix: str, symbols: tuple[str, ...], words: tuple[str, ...]) -> set[str]:
    _, before_symbol, before_word = _PREFIXES[prefix]
    found = {start + symbol for start in before_symbol for symbol in symbols}
    for word in words:
        # "kOhm" and "Megohm" are both written; a lone letter keeps its case, since m and M differ
        starts = {*before_word, *before_symbol} if word.startswith("ohm") else set(before_word)
        for start in starts:
            found |= {start + word, start + word.capitalize()}
            if len(start) != 1:
                found.add((start + word).capitalize())
    return found


@cache
def _table() -> dict[str, Unit]:
    table: dict[str, Unit] = {}

    def put(spelling: str, unit: Unit) -> None:
        held = table.setdefault(normal_spelling(spelling), unit)
        assert held == unit, f"{spelling} is both {held} and {unit}"

    for symbol, kind, factor, prefixes, symbols, words in _SCALED:
        for prefix in ("", *prefixes):
            scaled = factor * Fraction(10) ** _PREFIXES[prefix][0]
            unit = Unit(symbol=prefix + symbol, kind=kind, factor=scaled)
            for spelling in _spellings(prefix, (symbol, *symbols), words):
                put(spelling, unit)
    for symbol, kind, factor, spellings in _PLAIN:
        for spelling in (symbol, *spellings):
            put(spelling, Unit(symbol=symbol, kind=kind, factor=factor))
    for spelling in _CELSIUS_SPELLINGS:
        put(spelling, _CELSIUS)
    for spelling, symbol in _ALIASES.items():
        put(spelling, table[symbol])
    return table


def _ratio(spelling: str) -> Unit | None:
    above, slash, below = spelling.partition("/")
    if not slash or not above or not below:
        return None
    upper, lower = _table().get(above), _table().get(below)
    if upper is None or lower is None or lower.symbol == "1" or "/" in below:
        return None
    kind = f"{upper.kind} per {lower.kind}"
    return Unit(symbol=f"{upper.symbol}/{lower.symbol}", kind=kind, factor=upper.factor / lower.factor)


def unit_or_none(text: str) -> Unit | None:
    """Return the unit a text means, or None where the text is no unit: for asking, where none is no fault.

    Parameters
    ----------
    text : str
        The unit as written.

    Returns
    -------
    Unit or None
        What :func:`find_unit` returns, without its search for what may have been meant.

    Examples
    --------
    >>> unit_or_none("CH1") is None, unit_or_none("mV").kind
    (True, 'voltage')
    """
    return _known_unit(text)


REMEMBERED = 1024
"""Ours: spellings kept; all that one case uses are far fewer."""


@lru_cache(maxsize=REMEMBERED)
def _known_unit(text: str) -> Unit | None:
    spelling = normal_spelling(text)
    return _table().get(spelling) or _ratio(spelling)


def find_unit(text: str) -> Unit:
    """Return the unit a text means.

    Parameters
    ----------
    text : str
        The unit as written ("kOhm", "mm^2", "degC", "Ω/km"); the empty text is the unit 1.

    Returns
    -------
    Unit
        The unit under its proper symbol.

    Raises
    ------
    UnitError
        The spelling is not known; the nearest known one is named.

    Examples
    --------
    >>> find_unit("k-Ohm").symbol, find_unit("ohm/km").kind
    ('kΩ', 'resistance per length')
    """
    unit = unit_or_none(text)
    if unit is not None:
        return unit
    spelling, shown = normal_spelling(text), text.strip()
    if spelling in _REFUSED:
        raise UnitError(f"unit {shown!r} is not used here: {_REFUSED[spelling]}")
    folded = [known for known in _table() if known and known.lower() == spelling.lower()]
    near = folded or difflib.get_close_matches(spelling, filter(None, _table()), n=1)
    hint = f"; did you mean {' or '.join(dict.fromkeys(_table()[known].symbol for known in near))}?" if near else ";"
    bases = [symbol for symbol, *_ in _SCALED] + [symbol for symbol, *_ in _PLAIN] + ["°C"]
    raise UnitError(f"unknown unit {shown!r}{hint} known: {', '.join(bases)}, their prefixes, and ratios such as Ω/km")


def known_units() -> tuple[str, ...]:
    """Return the symbols of the units coldpin knows, as it prints them.

    Returns
    -------
    tuple of str
        Symbols; every ratio of two of them ("V/s") is understood too.

    Examples
    --------
    >>> {"kΩ", "mm²", "°C", "Ω/km", "%", "1"} <= set(known_units())
    True
    """
    return tuple(dict.fromkeys([*(unit.symbol for unit in _table().values()), *_RATIOS]))


def prefixed(symbol: str) -> tuple[tuple[int, str], ...]:
    """Return the units that differ from one by a prefix in steps of a thousand.

    Parameters
    ----------
    symbol : str
        A unit.

    Returns
    -------
    tuple of tuple of int and str
        Power of ten relative to the unit, and symbol; empty for a unit that takes no prefix or is not known.

    Examples
    --------
    >>> prefixed("mV")
    ((6, 'kV'), (3, 'V'), (0, 'mV'), (-3, 'µV'), (-6, 'nV'))
    """
    for base, _, _, prefixes, *_ in _SCALED:
        powers = {prefix + base: _PREFIXES[prefix][0] for prefix in ("", *prefixes)}
        if symbol in powers:
            steps = ((power - powers[symbol], name) for name, power in powers.items() if name[:1] != "c")
            return tuple(sorted(steps, reverse=True))
    return ()


def symbols_of(kind: str) -> tuple[str, ...]:
    """Return the symbols of the units of one kind.

    Parameters
    ----------
    kind : str
        The kind ("voltage", "resistance per length").

    Returns
    -------
    tuple of str
        Symbols, largest unit first.

    Examples
    --------
    >>> symbols_of("capacitance")
    ('F', 'mF', 'µF', 'nF', 'pF')
    """
    units = {unit.symbol: unit for unit in map(find_unit, known_units()) if unit.kind == kind}
    return tuple(sorted(units, key=lambda symbol: -units[symbol].factor))


def _same_kind(given: Unit, wanted: Unit) -> None:
    if given.kind != wanted.kind:
        allowed = ", ".join(symbols_of(wanted.kind)) or wanted.symbol
        raise UnitError(
            f"{given.symbol!r} is a unit of {given.kind}, but {wanted.kind} in {wanted.symbol!r} is asked for: "
            f"give it in one of {allowed}"
        )


def convert_exact(value: Fraction, given: Unit, wanted: Unit, *, difference: bool = False) -> Fraction:
    """Return a value in another unit of the same kind, exactly.

    Parameters
    ----------
    value : Fraction
        The value in the unit ``given``.
    given, wanted : Unit
        The two units.
    difference : bool
        True for a difference of two values, where 0 °C and 0 K are the same.

    Returns
    -------
    Fraction
        The value in the unit ``wanted``.

    Raises
    ------
    UnitError
        The units are of different kinds.

    Examples
    --------
    >>> convert_exact(Fraction(20), find_unit("°C"), find_unit("K"))
    Fraction(5863, 20)
    """
    _same_kind(given, wanted)
    if difference:
        return value * given.factor / wanted.factor
    return (value * given.factor + given.offset - wanted.offset) / wanted.factor


def _convert(value: float, unit_from: str, unit_to: str, *, difference: bool) -> float:
    given, wanted = find_unit(unit_from), find_unit(unit_to)
    if not math.isfinite(value):
        _same_kind(given, wanted)
        return value
    if given is wanted or given == wanted:
        return float(value)
    return float(convert_exact(Fraction(value), given, wanted, difference=difference))


def convert(value: float, unit_from: str, unit_to: str) -> float:
    """Return a value in another unit of the same kind.

    Temperatures convert as points of the scale: 20 °C is 293.15 K. A rise of 20 °C is 20 K, for which there
    is :func:`convert_difference`.

    Parameters
    ----------
    value : float
        The value in ``unit_from``.
    unit_from, unit_to : str
        Units as people write them.

    Returns
    -------
    float
        The value in ``unit_to``.

    Raises
    ------
    UnitError
        A unit is unknown, or the two are of different kinds.

    Examples
    --------
    >>> convert(2.74, "kΩ", "Ω"), convert(20.0, "°C", "K")
    (2740.0, 293.15)
    """
    return _convert(value, unit_from, unit_to, difference=False)


def convert_difference(value: float, unit_from: str, unit_to: str) -> float:
    """Return a difference, an uncertainty or a rise in another unit of the same kind.

    Parameters
    ----------
    value : float
        The difference in ``unit_from``.
    unit_from, unit_to : str
        Units as people write them.

    Returns
    -------
    float
        The difference in ``unit_to``.

    Raises
    ------
    UnitError
        A unit is unknown, or the two are of different kinds.

    Examples
    --------
    >>> convert_difference(20.0, "°C", "K"), convert_difference(0.5, "V", "mV")
    (20.0, 500.0)
    """
    return _convert(value, unit_from, unit_to, difference=True)

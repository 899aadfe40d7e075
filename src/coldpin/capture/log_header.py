"""The header of a log: which quantity a column holds, by its name and by its unit, in the languages of the trade."""

from __future__ import annotations

import re

from coldpin.capture.header import Heading, Trade, read_heading, unit_kind
from coldpin.records.log import LogQuantity

TIME_WORDS = frozenset(
    {
        *("time", "t", "timestamp", "datetime", "date", "elapsed", "epoch", "unixtime", "unix", "clock"),
        *("zeit", "zeitpunkt", "uhrzeit", "datum", "zeitstempel", "temps", "heure", "horodatage", "tiempo", "hora"),
        *("fecha", "tempo", "ora", "tijd", "tid", "dato"),
    }
)
"""What the trade writes above a time or a date; small letters."""

_WORDS: tuple[tuple[LogQuantity, frozenset[str]], ...] = (
    (
        LogQuantity.POWER_FACTOR,
        frozenset({"powerfactor", "pf", "cosphi", "cosφ", "cosϕ", "cos", "leistungsfaktor"}),
    ),
    (
        LogQuantity.REACTIVE_POWER,
        frozenset({"reactive", "blindleistung", "réactive", "reactiva", "reattiva", "blindvermogen"}),
    ),
    (LogQuantity.APPARENT_POWER, frozenset({"apparent", "scheinleistung", "apparente", "aparente", "schijnvermogen"})),
    (
        LogQuantity.ENERGY,
        frozenset({"energy", "energie", "énergie", "energía", "energia", "arbeit"}),
    ),
    (
        LogQuantity.TEMPERATURE,
        frozenset({"temperature", "temp", "temperatur", "température", "temperatura", "temperatuur"}),
    ),
    (
        LogQuantity.POWER,
        frozenset({"power", "leistung", "wirkleistung", "puissance", "potencia", "potenza", "vermogen", "watts", "p"}),
    ),
    (
        LogQuantity.VOLTAGE,
        frozenset({"voltage", "volt", "volts", "spannung", "tension", "tensión", "tensione", "spanning", "u", "v"}),
    ),
    (
        LogQuantity.CURRENT,
        frozenset(
            {
                *("current", "strom", "intensity", "courant", "intensité", "corriente", "corrente", "stroom"),
                *("amps", "ampere", "amperes", "i"),
            }
        ),
    ),
    (LogQuantity.FREQUENCY, frozenset({"frequency", "frequenz", "fréquence", "frecuencia", "frequenza", "freq"})),
    (LogQuantity.RESISTANCE, frozenset({"resistance", "widerstand", "résistance", "resistencia", "resistenza"})),
)
"""What the trade calls each quantity; the first that fits holds, since "reactive power" is also a power."""

QUANTITY_OF_KIND = {
    "power": LogQuantity.POWER,
    "reactive power": LogQuantity.REACTIVE_POWER,
    "apparent power": LogQuantity.APPARENT_POWER,
    "voltage": LogQuantity.VOLTAGE,
    "current": LogQuantity.CURRENT,
    "energy": LogQuantity.ENERGY,
    "frequency": LogQuantity.FREQUENCY,
    "temperature": LogQuantity.TEMPERATURE,
    "resistance": LogQuantity.RESISTANCE,
}
"""The quantity that the kind of a unit tells by itself; a ratio may be anything."""

KIND_OF_QUANTITY = {
    **{quantity: kind for kind, quantity in QUANTITY_OF_KIND.items()},
    LogQuantity.POWER_FACTOR: "ratio",
}
"""The kind of unit that each quantity has."""

_SMALL_UNITS = {unit.casefold(): unit for unit in ("C", "K", "A", "mA", "V", "mV", "W", "kW", "Wh", "kWh", "Hz")}
"""Units at the end of names in small letters, as "temperature_c"; MW and mW would be the same and are left out."""

_CAMEL = re.compile(r"(?<=[a-z])(?=[A-Z])")
_WORD = re.compile(r"[^\W\d_]+")
_TAIL = re.compile(r"(?P<name>.*?[^\s_/])\s*(?:[\s_/]|\bin\b)\s*(?P<unit>[^\s_/]+)")
_COS = re.compile(r"cos\s*(?:\(\s*)?(?:φ|ϕ|phi)\s*\)?", re.IGNORECASE)


def name_quantity(name: str) -> LogQuantity | None:
    """Return the quantity that a column's name tells.

    Parameters
    ----------
    name : str
        The name without its unit.

    Returns
    -------
    LogQuantity or None
        None where no word of it is known.

    Examples
    --------
    >>> [name_quantity(name) for name in ("Global_active_power", "Power factor", "Strom", "Heater 1")]
    [<LogQuantity.POWER: 'power'>, <LogQuantity.POWER_FACTOR: 'power factor'>, <LogQuantity.CURRENT: 'current'>, None]
    """
    words = _words(name)
    if _COS.search(name) or words >= {"power", "factor"}:
        return LogQuantity.POWER_FACTOR
    return next((quantity for quantity, known in _WORDS if words & known), None)


def name_allows(name: str, quantity: LogQuantity) -> bool:
    """Say whether a name goes with a quantity: it has a word for it, or none for any.

    Parameters
    ----------
    name : str
        The name without its unit.
    quantity : LogQuantity
        The quantity that the unit tells.

    Returns
    -------
    bool
        False for a "Power" in volts.
    """
    words = _words(name)
    fitting = [known for known, spellings in _WORDS if words & spellings]
    return not fitting or quantity in fitting


def heading_quantity(heading: Heading) -> LogQuantity | None:
    """Return the quantity that a column's unit tells, else its name.

    Parameters
    ----------
    heading : Heading
        Name and unit.

    Returns
    -------
    LogQuantity or None
        None where neither tells; a name without a unit tells what, not in which unit.

    Examples
    --------
    >>> heading_quantity(read_log_heading("Load [kW]")), heading_quantity(read_log_heading("Heater 1 (%)"))
    (<LogQuantity.POWER: 'power'>, None)
    """
    named = name_quantity(heading.name)
    if heading.unit is None:
        return named
    told = QUANTITY_OF_KIND.get(heading.kind)
    if told is not None or heading.kind == "unknown":
        return told or named
    return named if heading.kind == "ratio" and named is LogQuantity.POWER_FACTOR else None


def read_log_heading(cell: str) -> Heading:
    """Split a header cell of a log into name and unit.

    The unit stands in brackets, or as a last word. A single letter at the end is a unit only where the name tells the
    quantity that it measures: "temp_C" is in °C, "Phase A" is not in ampere. A name in small letters with underlines
    may have its unit in small letters: "current_a".

    Parameters
    ----------
    cell : str
        The cell.

    Returns
    -------
    Heading
        Name and unit, None where there is none.

    Examples
    --------
    >>> [(h.name, h.unit) for h in map(read_log_heading, ["Power (W)", "temp_C", "Phase A", "Strom/A", "meter kWh"])]
    [('Power', 'W'), ('temp', 'C'), ('Phase A', None), ('Strom', 'A'), ('meter', 'kWh')]
    >>> [(h.name, h.unit) for h in map(read_log_heading, ["time_s", "temperature_c", "current_a", "phase_a"])]
    [('time', 's'), ('temperature', 'C'), ('current', 'A'), ('phase_a', None)]
    """
    if _COS.fullmatch(cell.strip()):
        return Heading(name=cell.strip(), cell=cell.strip())
    heading = read_heading(cell)
    if heading.unit is not None:
        return heading
    found = _TAIL.fullmatch(heading.cell)
    if found is None:
        return heading
    kind, name, unit = unit_kind(found["unit"]), found["name"], found["unit"]
    if "_" in heading.cell and heading.cell == heading.cell.casefold() and unit in _SMALL_UNITS:
        meant = _SMALL_UNITS[unit]
        if name_quantity(name) is QUANTITY_OF_KIND[unit_kind(meant)]:
            return Heading(name=name, unit=meant, cell=heading.cell)
    quantity = QUANTITY_OF_KIND.get(kind)
    if quantity is None and kind != "time":
        percent = found["unit"] == "%"
        return Heading(name=name, unit=found["unit"], cell=heading.cell) if percent else heading
    named = name_quantity(name) is quantity if quantity is not None else bool(_words(name) & TIME_WORDS)
    if not named and len(found["unit"]) == 1:
        return heading
    return Heading(name=name, unit=found["unit"], cell=heading.cell)


def is_time_heading(heading: Heading) -> bool:
    """Say whether a heading is that of a time or a date.

    Parameters
    ----------
    heading : Heading
        Name and unit.

    Returns
    -------
    bool
        By its unit, or by a word of its name where it has no unit of another kind.
    """
    if heading.kind == "time":
        return True
    return heading.kind in ("", "unknown") and name_quantity(heading.name) is None and is_time_name(heading)


def is_time_name(heading: Heading) -> bool:
    """Say whether a name is one of a time or a date.

    Parameters
    ----------
    heading : Heading
        Name and unit.

    Returns
    -------
    bool
        True for "Time" and "date_time".
    """
    return bool(_words(heading.name) & TIME_WORDS)


def _words(name: str) -> set[str]:
    words = [word.casefold() for word in _WORD.findall(_CAMEL.sub(" ", name))]
    return {*words, "".join(words)}


def _is_known(heading: Heading) -> bool:
    return is_time_heading(heading) or heading_quantity(heading) is not None


LOGS = Trade(read=read_log_heading, knows=_is_known, words=True)
"""The headings of logs, among whose columns some hold words."""

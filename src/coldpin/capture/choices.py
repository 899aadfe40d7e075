"""What a person says by hand about a capture: options, each checked before a file is opened."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from coldpin.capture.number import read_number
from coldpin.errors import CaptureError, UnitError, UnknownName
from coldpin.quantity.units import find_unit, symbols_of
from coldpin.records.file_words import DECIMAL_NAMES, DECIMALS, ENCODINGS, RAW_SAMPLES, SEPARATOR_NAMES, SEPARATORS

CHOICES = (
    *("time", "voltage", "output", "separator", "decimal", "encoding"),
    *("skip_rows", "unit", "step", "rate", "scale", "output_scale", "format", "channels", "segment"),
)
"""The options by hand; on the command line ``--skip-rows`` and so on."""

_ENCODING_ALIASES = {
    "utf8": "utf-8",
    "utf-8-sig": "utf-8",
    "ascii": "utf-8",
    "latin1": "latin-1",
    "iso-8859-1": "latin-1",
    "iso8859-1": "latin-1",
    "windows-1252": "cp1252",
    "utf16": "utf-16",
    "utf-16le": "utf-16-le",
    "utf-16be": "utf-16-be",
}

Value = str | float | int


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """Options by hand, understood: empty or None where nothing was said.

    ``time_unit`` and ``voltage_unit`` come from ``unit``; ``step`` [s] from ``step`` or ``rate``.
    """

    time: str = ""
    voltage: str = ""
    output: str = ""
    separator: str = ""
    decimal: str = ""
    encoding: str = ""
    skip_rows: int | None = None
    time_unit: str = ""
    voltage_unit: str = ""
    step: float | None = None
    scale: float | None = None
    output_scale: float | None = None
    format: str = ""
    channels: int | None = None
    segment: int | None = None

    def __bool__(self) -> bool:
        return any(getattr(self, field.name) not in ("", None) for field in fields(self))


def parse_choices(given: Mapping[str, Value]) -> Choices:
    """Return options by hand, understood and checked.

    Parameters
    ----------
    given : mapping of str to str, float or int
        The options; the keys are those of ``CHOICES``. A step is in seconds, a rate in hertz, unless a unit
        stands behind the number ("10 us", "1 MS/s").

    Returns
    -------
    Choices
        The options.

    Raises
    ------
    UnknownName
        A key is not an option.
    CaptureError
        A value cannot be meant.

    Examples
    --------
    >>> parse_choices({"separator": "semicolon", "rate": "1 MS/s", "unit": "mV"}).step
    1e-06
    """
    for key in given:
        if key not in CHOICES:
            raise UnknownName.among("option of a capture", str(key), CHOICES)
    said = {key: value for key, value in given.items() if value != ""}
    if "step" in said and "rate" in said:
        raise CaptureError("--step and --rate are both given; each says the other: give one of them")
    choices = Choices()
    for key, value in said.items():
        choices = _SET[key](choices, value)
    return choices


def _word(option: str, value: Value, known: Mapping[str, str]) -> str:
    text = str(value)
    word = text.strip().casefold()
    if text in known.values():
        return text
    if word in known:
        return known[word]
    names = SEPARATOR_NAMES if option == "separator" else DECIMAL_NAMES
    allowed = ", ".join(names.values())
    raise CaptureError(f"--{option} {text!r} is not known; allowed: {allowed}, or the character itself")


def _encoding(choices: Choices, value: Value) -> Choices:
    word = str(value).strip().casefold().replace("_", "-")
    name = _ENCODING_ALIASES.get(word, word)
    if name not in ENCODINGS:
        raise CaptureError(f"--encoding {str(value)!r} is not known; allowed: {', '.join(ENCODINGS)}")
    return replace(choices, encoding=name)


def _format(choices: Choices, value: Value) -> Choices:
    """Understand a raw format; other names are those of the readers, which the registry knows."""
    words = str(value).casefold().replace("_", "-").split()
    if words[:1] != ["raw"]:
        return replace(choices, format=" ".join(words))
    order = {(): "", ("little-endian",): "", ("big-endian",): " big-endian"}.get(tuple(words[2:]))
    if len(words) < 2 or words[1] not in RAW_SAMPLES or order is None:
        raise CaptureError(
            f"--format {str(value)!r} is not known; a raw file is one of "
            f"{', '.join(f'raw {name}' for name in RAW_SAMPLES)}, with 'big-endian' behind it where it is"
        )
    return replace(choices, format=f"raw {words[1]}{order}")


def _count(option: str) -> Callable[[Choices, Value], Choices]:
    def put(choices: Choices, value: Value) -> Choices:
        number = read_number(str(value).strip())
        if isinstance(value, bool) or number is None or number < 1 or number != int(number):
            raise CaptureError(f"--{option} {value!r} cannot be meant; give a whole number from 1 on")
        changed: dict[str, Any] = {option: int(number)}
        return replace(choices, **changed)

    return put


def _skip_rows(choices: Choices, value: Value) -> Choices:
    number = read_number(str(value).strip())
    if isinstance(value, bool) or number is None or number < 0 or number != int(number):
        raise CaptureError(
            f"--skip-rows {value!r} is not a count of lines; give how many lines stand above the header, 0 or more"
        )
    return replace(choices, skip_rows=int(number))


def _unit(choices: Choices, value: Value) -> Choices:
    for part in filter(None, (piece.strip() for piece in str(value).replace(";", ",").split(","))):
        try:
            kind = find_unit(part).kind
        except UnitError as error:
            raise CaptureError(f"--unit {part!r}: {error}; {_UNITS_ALLOWED}") from None
        if kind == "time":
            choices = replace(choices, time_unit=part)
        elif kind == "voltage":
            choices = replace(choices, voltage_unit=part)
        else:
            raise CaptureError(f"--unit {part!r} is a unit of {kind}; {_UNITS_ALLOWED}")
    return choices


_UNITS_ALLOWED = (
    f"allowed: {', '.join(symbols_of('voltage'))} for the voltage, {', '.join(symbols_of('time'))} for the time, "
    'or one of each ("ms, mV")'
)


def _amount(option: str, value: Value) -> tuple[float, str]:
    """Split what was given into a number and the unit behind it."""
    text = str(value).strip()
    for end in range(len(text), 0, -1):
        number = read_number(text[:end].rstrip())
        if number is not None:
            return number, text[end:].strip()
    raise CaptureError(f"--{option} {text!r} is not a number; write it like 0.001, 1e-3 or with a unit behind it")


def _positive(option: str, value: float) -> float:
    if not (value > 0.0 and math.isfinite(value)):
        raise CaptureError(f"--{option} is {value:g}; it must be above zero")
    return value


def step_in_seconds(number: float, unit: str) -> float:
    """Return a time between samples in seconds.

    Parameters
    ----------
    number : float
        The number as written, in that unit.
    unit : str
        The unit of time behind it; seconds if empty.

    Returns
    -------
    float
        The time. [s]

    Raises
    ------
    UnitError
        The unit is unknown or no unit of time.

    Examples
    --------
    >>> step_in_seconds(2.0, "us")
    2e-06
    """
    found = find_unit(unit or "s")
    if found.kind != "time":
        raise UnitError(f"{unit!r} is a unit of {found.kind}; a step is in {', '.join(symbols_of('time'))}")
    return _times(number, unit or "s")


def rate_in_hertz(number: float, unit: str) -> float:
    """Return a sampling rate in hertz.

    Parameters
    ----------
    number : float
        The number as written, in that unit.
    unit : str
        Hertz with a prefix, or samples in a second ("MS/s", "kSa/s", "1/s"); hertz if empty.

    Returns
    -------
    float
        The rate. [Hz]

    Raises
    ------
    UnitError
        The unit is unknown or no unit of frequency.

    Examples
    --------
    >>> rate_in_hertz(2.5, "MS/s"), rate_in_hertz(100.0, "samples/s")
    (2500000.0, 100.0)
    """
    spelling = unit.strip() or "Hz"
    for samples in ("samples/s", "sample/s", "sa/s", "s/s", "sps", "1/s"):
        if spelling.casefold().endswith(samples):
            spelling = spelling[: len(spelling) - len(samples)] + "Hz"
            break
    found = find_unit(spelling)
    if found.kind != "frequency":
        raise UnitError(f"{unit!r} is a unit of {found.kind}; a rate is in Hz, kHz, MHz, S/s, kS/s or MS/s")
    return _times(number, spelling)


def _times(number: float, unit: str) -> float:
    """Multiply by the unit's factor, rounding once: 2.5 µs is the float nearest to 2.5e-6."""
    factor = find_unit(unit).factor
    if factor.numerator == 1:
        return number / factor.denominator
    return number * factor.numerator / factor.denominator


def _step(choices: Choices, value: Value) -> Choices:
    number, unit = _amount("step", value)
    try:
        return replace(choices, step=_positive("step", step_in_seconds(number, unit)))
    except UnitError as error:
        raise CaptureError(f"--step {value!r}: {error}") from None


def _rate(choices: Choices, value: Value) -> Choices:
    number, unit = _amount("rate", value)
    try:
        step = 1.0 / _positive("rate", rate_in_hertz(number, unit))
    except UnitError as error:
        raise CaptureError(f"--rate {value!r}: {error}") from None
    if not math.isfinite(step):
        raise CaptureError(f"--rate is {value!r}; its step would be beyond all numbers")
    return replace(choices, step=step)


def _scale(option: str) -> Callable[[Choices, Value], Choices]:
    def put(choices: Choices, value: Value) -> Choices:
        number, unit = _amount(option, value)
        if unit or number == 0.0 or not math.isfinite(number):
            raise CaptureError(
                f"--{option} {value!r} cannot be meant; it is a factor on the voltage, not zero, without unit"
            )
        changed: dict[str, Any] = {option.replace("-", "_"): number}
        return replace(choices, **changed)

    return put


def _column(role: str) -> Callable[[Choices, Value], Choices]:
    def put(choices: Choices, value: Value) -> Choices:
        changed: dict[str, Any] = {role: str(value).strip()}
        return replace(choices, **changed)

    return put


_SET: dict[str, Callable[[Choices, Value], Choices]] = {
    "time": _column("time"),
    "voltage": _column("voltage"),
    "output": _column("output"),
    "separator": lambda choices, value: replace(choices, separator=_word("separator", value, SEPARATORS)),
    "decimal": lambda choices, value: replace(choices, decimal=_word("decimal", value, DECIMALS)),
    "encoding": _encoding,
    "skip_rows": _skip_rows,
    "unit": _unit,
    "step": _step,
    "rate": _rate,
    "scale": _scale("scale"),
    "output_scale": _scale("output-scale"),
    "format": _format,
    "channels": _count("channels"),
    "segment": _count("segment"),
}

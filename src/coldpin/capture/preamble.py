"""The lines above the header: kept as they stand, and searched for the time between samples."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from coldpin.capture.choices import rate_in_hertz, step_in_seconds
from coldpin.capture.header import read_heading
from coldpin.capture.number import read_number, written_digits
from coldpin.errors import UnitError

STEP_WORDINGS = frozenset(
    {
        *("sample interval", "sampling interval", "sample period", "sampling period", "sample time", "sampling time"),
        *("time step", "time increment", "time interval", "time per sample", "increment", "x increment", "interval"),
        *("dt", "delta t", "step"),
    }
)
"""What the trade writes before a time between samples; small letters, signs as spaces."""

RATE_WORDINGS = frozenset(
    {
        *("sample rate", "sampling rate", "sample frequency", "sampling frequency", "samples per second", "fs"),
        *("samplerate", "samplingrate"),
    }
)
"""What the trade writes before a sampling rate."""

LEAST_MEANT = 1e-3
"""The part of a step by which a file's statement of it may be rounded, however few digits it writes."""

_LONGEST_NUMBER = 1 << 5
KEPT_LINES = 100
KEPT_CHARACTERS = 1 << 9

_LEAD = re.compile(r"^[\s#;%*!/\"']+")
_WORDS_NUMBER = re.compile(r"(?P<key>[^0-9:=,;]*[^\W\d])\s+(?P<value>[+-]?[0-9.,].*)")
_KEY_SIGNS = re.compile(r"[\W_]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedStep:
    """A time between samples as a file states it. [s]

    ``half_width`` is half of the last digit written, in seconds, but at most a thousandth of the step: who writes
    "1 us" means it. ``line`` is the line it stands in, ``text`` that line.
    """

    value: float
    half_width: float
    line: int
    text: str


def kept_preamble(lines: Sequence[str]) -> tuple[str, ...]:
    """Return the lines above the header as they stand, as far as they are kept.

    Parameters
    ----------
    lines : sequence of str
        The lines.

    Returns
    -------
    tuple of str
        The first lines, each cut to its first characters where it is very long.
    """
    return tuple(line[:KEPT_CHARACTERS] for line in lines[:KEPT_LINES])


def stated_steps(
    lines: Iterable[tuple[int, str]], *, delimiter: str, decimal_char: str
) -> tuple[tuple[StatedStep, ...], tuple[str, ...]]:
    """Return every time between samples that the lines above the data state.

    Parameters
    ----------
    lines : iterable of tuple of int and str
        Numbers of the lines, counted from 1, and the lines.
    delimiter : str
        The character between two fields.
    decimal_char : str
        The decimal character of the file.

    Returns
    -------
    tuple
        The steps; and remarks on lines that name a step which cannot be read.

    Examples
    --------
    >>> lines = [(1, "# Sample Interval: 2 us"), (2, "Sampling Rate,500,kHz")]
    >>> [step.value for step in stated_steps(lines, delimiter=",", decimal_char=".")[0]]
    [2e-06, 2e-06]
    """
    steps: list[StatedStep] = []
    remarks: list[str] = []
    rows = list(lines)
    delimiter = "\t" if delimiter == decimal_char else delimiter
    for (number, line), (_, below) in zip(rows, [*rows[1:], (0, "")], strict=False):
        for key, values in (*_pairs(line, delimiter), *_above(line, below, delimiter)):
            if _wording(key) == "":
                continue
            step = _step_of(key, values, decimal_char, line=number, text=line.strip())
            if step is not None:
                steps.append(step)
            elif any(character.isdigit() for value in values for character in value):
                remarks.append(
                    f"line {number} names a time between samples that cannot be read here ({line.strip()[:80]!r}; "
                    f"the decimal sign is {decimal_char!r}); --step says it by hand"
                )
    return tuple(steps), tuple(dict.fromkeys(remarks))


def _pairs(line: str, delimiter: str) -> list[tuple[str, list[str]]]:
    """Read "key: value unit" or "key,value,unit": the key is what stands before the first sign that separates.

    Behind a colon a comma is not taken to separate: "1,5 ms" is one value, to be read or refused as a whole.
    """
    text = _LEAD.sub("", line).strip().rstrip('"')
    first = re.search(r"[:=\t;]|" + re.escape(delimiter if delimiter != " " else "\t"), text)
    if first is None:
        plain = _WORDS_NUMBER.fullmatch(text)
        return [(plain["key"], [plain["value"]])] if plain else []
    rest = text[first.end() :]
    splits = r"[;\t]" if first[0] in ":=" and delimiter in " ,;\t" else r"[:=\t;" + re.escape(delimiter) + "]"
    values = [part.strip('" ,') for part in re.split(splits, rest)]
    return [(text[: first.start()], [value for value in values if value])]


def _above(line: str, below: str, delimiter: str) -> list[tuple[str, list[str]]]:
    """Read a value that stands in the row under its name."""
    if delimiter == " ":
        return []
    names = [cell.strip(' "') for cell in _LEAD.sub("", line).split(delimiter)]
    values = [cell.strip(' "') for cell in _LEAD.sub("", below).split(delimiter)]
    if len(names) < 3 or len(names) != len(values):
        return []
    return [(name, [value]) for name, value in zip(names, values, strict=True) if name and value]


def _wording(key: str) -> str:
    words = _KEY_SIGNS.sub(" ", read_heading(key).name.casefold()).strip()
    if words in STEP_WORDINGS:
        return "step"
    return "rate" if words in RATE_WORDINGS else ""


def _step_of(key: str, values: Sequence[str], decimal_char: str, *, line: int, text: str) -> StatedStep | None:
    if not values:
        return None
    number_text, behind = _leading_number(values[0], decimal_char)
    number = read_number(number_text, decimal_char)
    if number is None or number <= 0.0:
        return None
    units = [behind] if behind else []
    for further in values[1:]:
        other = read_number(further, decimal_char)
        if other is None:
            units.append(further)
        elif other != number:
            return None
    unit = units[0] if units else read_heading(key).unit or ""
    try:
        value = step_in_seconds(number, unit) if _wording(key) == "step" else 1.0 / rate_in_hertz(number, unit)
    except UnitError:
        return None
    place, _ = written_digits(number_text, decimal_char)
    half_width = min(0.5 * 10.0**place / number, LEAST_MEANT) * value
    return StatedStep(value=value, half_width=half_width, line=line, text=text)


def _leading_number(text: str, decimal_char: str) -> tuple[str, str]:
    """Split "1us" or "1 us" into the number and what follows it; nothing where digits follow."""
    for end in range(min(len(text), _LONGEST_NUMBER), 0, -1):
        if read_number(text[:end], decimal_char) is not None:
            behind = text[end:].strip()
            return (text[:end], behind) if behind[:1] not in (".", ",") else ("", "")
    return "", ""

"""The header of a capture: names and units of columns, and the words by which a column or a step is known."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from coldpin.quantity.units import unit_or_none

TIME_WORDS = frozenset({"time", "t", "zeit", "temps", "tiempo", "tempo", "tijd", "tid", "timestamp"})
COUNT_WORDS = frozenset({"sample", "samples", "index", "point", "points", "no", "nr", "n", "row", "record", "number"})
VOLTAGE_WORDS = frozenset({"voltage", "volt", "volts", "u", "v", "spannung", "tension", "tensión", "tensione"})
PILOT_WORDS = frozenset({"pilot", "cp", "controlpilot"})
OUTPUT_WORDS = frozenset({"output", "out", "ausgang", "sortie", "salida", "uscita"})

_BRACKETS = re.compile(r"(?P<name>.*?)\s*(?:\(\s*(?P<round>[^()]*?)\s*\)|\[\s*(?P<square>[^\[\]]*?)\s*\])")
_SLASH = re.compile(r"(?P<name>.*\S)\s*/\s*(?P<unit>[^\s/]+)")
_IN = re.compile(r"(?P<name>.*\S)\s+in\s+(?P<unit>\S+)")
_SUFFIX = re.compile(r"(?P<name>.*[^\s_])[\s_]+(?P<unit>[^\s_]+)")
_WORD = re.compile(r"[^\W\d_]+")


_LONGEST_NAME = 1 << 7
_LONGEST_UNIT = 1 << 5
"""Characters beyond which a cell is not searched for a unit."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """The head of one column: its name without the unit, the unit as written (None if none), the whole cell."""

    name: str = ""
    unit: str | None = None
    cell: str = ""

    @property
    def kind(self) -> str:
        """The kind of the unit ("time", "voltage"), "" without a unit, "unknown" for a unit nobody knows."""
        return "" if self.unit is None else unit_kind(self.unit) or "unknown"

    @property
    def words(self) -> frozenset[str]:
        """The words of the name in small letters, digits left out; also all of them together."""
        words = _WORD.findall(self.name.casefold())
        return frozenset([*words, "".join(words)])


def unit_kind(text: str) -> str:
    """Return the kind of a unit as written.

    Parameters
    ----------
    text : str
        The unit.

    Returns
    -------
    str
        The kind ("time"), or the empty text if the unit is not known.
    """
    unit = unit_or_none(text) if len(text) <= _LONGEST_UNIT else None
    return unit.kind if unit else ""


def read_heading(cell: str) -> Heading:
    """Split a header cell into name and unit.

    The unit stands in round or square brackets, behind a slash or the word "in", or as a last word that is
    a unit of time or voltage.

    Parameters
    ----------
    cell : str
        The cell.

    Returns
    -------
    Heading
        Name and unit; what stands in brackets is taken as the unit even where nobody knows it.

    Examples
    --------
    >>> [(h.name, h.unit) for h in map(read_heading, ["Time (ms)", "U/V", "pilot_mV", "CH1", "CH1 (volts?)"])]
    [('Time', 'ms'), ('U', 'V'), ('pilot', 'mV'), ('CH1', None), ('CH1', 'volts?')]
    """
    text = cell.strip()
    if len(text) > _LONGEST_NAME:
        return Heading(name=text, cell=text)
    found = _BRACKETS.fullmatch(text)
    if found is not None:
        unit = found["round"] if found["round"] is not None else found["square"]
        return Heading(name=found["name"], unit=unit or None, cell=text)
    for pattern in (_SLASH, _IN, _SUFFIX):
        found = pattern.fullmatch(text)
        if found is not None and unit_kind(found["unit"]) in ("time", "voltage"):
            return Heading(name=found["name"], unit=found["unit"], cell=text)
    return Heading(name=text, cell=text)


def bare_unit(cell: str) -> str:
    """Return the unit in a cell of a row of units, where it may stand in brackets.

    Parameters
    ----------
    cell : str
        The cell.

    Returns
    -------
    str
        The unit as written.

    Examples
    --------
    >>> bare_unit("[ms]"), bare_unit("V")
    ('ms', 'V')
    """
    text = cell.strip()
    if len(text) > 1 and (text[0], text[-1]) in (("(", ")"), ("[", "]")):
        return text[1:-1].strip()
    return text


def is_unit_row(cells: Sequence[str], trade: Trade | None = None) -> bool:
    """Say whether a row is one of units: at least one of them known, and none of them a name that we know.

    Parameters
    ----------
    cells : sequence of str
        The cells.
    trade : Trade or None
        Which names are known; those of captures if None.

    Returns
    -------
    bool
        True for units such as ``s, V`` or ``(ms), (furlong)``.

    Examples
    --------
    >>> is_unit_row(["s", "V"]), is_unit_row(["(ms)", "(x)"]), is_unit_row(["t", "V"]), is_unit_row(["Time", ""])
    (True, True, False, False)
    """
    knows, read = (is_known_name, read_heading) if trade is None else (trade.knows, trade.read)
    written = [bare_unit(cell) for cell in cells if cell.strip()]
    known = [bool(unit) and unit_kind(unit) not in ("", "ratio") for unit in written]
    if not any(known):
        return False
    return not any(
        not sure and knows(read(cell)) for cell, sure in zip((c for c in cells if c.strip()), known, strict=True)
    )


def is_known_name(heading: Heading) -> bool:
    """Say whether a heading is one that a capture is expected to have.

    Parameters
    ----------
    heading : Heading
        The head of a column.

    Returns
    -------
    bool
        True if a word of it is known here, or its unit is one of time or voltage.
    """
    known = TIME_WORDS | COUNT_WORDS | VOLTAGE_WORDS | PILOT_WORDS | OUTPUT_WORDS
    return heading.kind in ("time", "voltage") or bool(heading.words & known)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trade:
    """How the headings of a kind of table are read, which of them are known, and whether columns may hold words."""

    read: Callable[[str], Heading]
    knows: Callable[[Heading], bool]
    words: bool = False


CAPTURES = Trade(read=read_heading, knows=is_known_name)
"""The headings of captures, whose columns hold numbers."""

"""What the report's font says of its letters: which there are, how wide each is, and how far it reaches up and down.

The font comes with a library that we use for other things; its file is read here by itself, because that library takes
a hundred times longer to load than the three tables that are wanted of it.
"""

from __future__ import annotations

import struct
from dataclasses import dataclass
from functools import cache
from importlib.util import find_spec
from pathlib import Path

REGULAR, BOLD = "DejaVuSans.ttf", "DejaVuSans-Bold.ttf"
"""Files of both faces."""

_SEGMENTED = 0xC
"""The form of a character map that lists runs of code points of all planes."""
_ENTRY, _RUN = struct.Struct(">4s4xII"), struct.Struct(">III")
_LONG, _SHORT = 0x4, 0x2
"""Bytes of an offset into the outlines."""


@cache
def font_folder() -> Path:
    """Return the folder with the fonts that come with the libraries: the same on every machine.

    Returns
    -------
    Path
        The folder.
    """
    found = find_spec("matplotlib")
    assert found is not None, "a library that coldpin needs is installed with it"
    assert found.submodule_search_locations is not None, "it is a package"
    return Path(found.submodule_search_locations[0]) / "mpl-data" / "fonts" / "ttf"


@dataclass(frozen=True, slots=True)
class Letter:
    """How far one letter advances, and how far it reaches from the baseline, in parts of the size of the font."""

    advance: float
    below: float
    above: float


class Typeface:
    """One face of a font."""

    def __init__(self, held: bytes) -> None:
        self._held = held
        count = int.from_bytes(held[4:6])
        start = len(held[:12])
        entries = (_ENTRY.unpack_from(held, start + _ENTRY.size * place) for place in range(count))
        self._tables = {name: offset for name, offset, _ in entries}
        head, last = self._tables[b"head"], self._tables[b"hhea"]
        self._units = self._number(head + 0x12)
        self._offset_size = _LONG if self._number(head + 0x32) else _SHORT
        self._advances = self._number(last + 0x22)
        self._letters: dict[str, Letter] = {}
        self.glyphs = self._mapped()

    def letter(self, character: str) -> Letter:
        """Return the measures of a letter; one that the font lacks has those of its sign for what is missing.

        Parameters
        ----------
        character : str
            One character.

        Returns
        -------
        Letter
            Its measures.
        """
        known = self._letters.get(character)
        if known is None:
            known = self._letters[character] = self._measured(self.glyphs.get(ord(character), 0))
        return known

    def _number(self, at: int, size: int = _SHORT, *, signed: bool = False) -> int:
        return int.from_bytes(self._held[at : at + size], signed=signed)

    def _mapped(self) -> dict[int, int]:
        """Return the glyph of each code point."""
        table = self._tables[b"cmap"]
        for place in range(self._number(table + 2)):
            form = table + self._number(table + 0x8 + 0x8 * place, _LONG)
            if self._number(form) == _SEGMENTED:
                runs = (
                    _RUN.unpack_from(self._held, form + 0x10 + _RUN.size * one)
                    for one in range(self._number(form + 0xC, _LONG))
                )
                return {code: glyph + code - first for first, last, glyph in runs for code in range(first, last + 1)}
        raise AssertionError("the fonts that come with the libraries map all planes")

    def _measured(self, glyph: int) -> Letter:
        advance = self._number(self._tables[b"hmtx"] + 4 * min(glyph, self._advances - 1))
        size, offsets = self._offset_size, self._tables[b"loca"]
        start, end = (self._number(offsets + size * one, size) * (_LONG // size) for one in (glyph, glyph + 1))
        if start == end:
            return Letter(advance / self._units, 0.0, 0.0)
        outline = self._tables[b"glyf"] + start
        low, high = (self._number(outline + at, signed=True) for at in (0x4, 0x8))
        return Letter(advance / self._units, -low / self._units, high / self._units)


@cache
def typeface(name: str = REGULAR) -> Typeface:
    """Return a face of the report's font.

    Parameters
    ----------
    name : str
        Its file.

    Returns
    -------
    Typeface
        Its letters.

    Examples
    --------
    >>> letter = typeface().letter("l")
    >>> round(letter.advance, 3), round(letter.above, 3), letter.below
    (0.278, 0.76, 0.0)
    """
    return Typeface((font_folder() / name).read_bytes())

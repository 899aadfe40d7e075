"""Which characters can be printed, and what is printed in the place of those that cannot."""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from pathlib import Path

_FACES = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
_JOINERS = frozenset({0x200C, 0x200D})
_NEVER = frozenset({"Cc", "Cf", "Cs", "Co", "Cn"})
_NUMBER = re.compile(r"\[U\+[0-9A-F]{4,6}\]")


@cache
def printed_characters() -> frozenset[int]:
    """Return the characters that every face of the report's font holds, as code points.

    Returns
    -------
    frozenset of int
        Code points; no controls, no signs that turn the direction of what follows.
    """
    import matplotlib
    from matplotlib.ft2font import FT2Font

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    faces = [set(FT2Font(str(folder / face)).get_charmap()) for face in _FACES]
    return frozenset(code for code in set.intersection(*faces) if unicodedata.category(chr(code)) not in _NEVER)


@cache
def _named(character: str) -> str:
    return f"[U+{ord(character):04X}]"


def for_print(text: str) -> str:
    """Return text in which every character the font lacks is given by its number.

    Parameters
    ----------
    text : str
        Anything a person or a machine wrote.

    Returns
    -------
    str
        The text; line ends and tabs become spaces.

    Examples
    --------
    >>> for_print("额定 16 A ± 2 %")
    '[U+989D][U+5B9A] 16 A ± 2 %'
    """
    known = printed_characters()
    return "".join(
        " " if character in "\t\n\r" else character if ord(character) in known else _named(character)
        for character in text
    )


def for_screen(text: str) -> str:
    """Return text in which only what no screen shows is given by its number: controls and hidden signs.

    Parameters
    ----------
    text : str
        Anything a person or a machine wrote.

    Returns
    -------
    str
        The text; a browser finds its own font for all the rest.

    Examples
    --------
    >>> for_screen("额定" + chr(7))
    '额定[U+0007]'
    """
    return "".join(character if _is_shown(character) else _named(character) for character in text)


def _is_shown(character: str) -> bool:
    code = ord(character)
    if character in "\t\n\r" or code in _JOINERS:
        return True
    category = unicodedata.category(character)
    if category == "Cn":  # a browser may know letters that are newer than this Python
        return code & 0xFFFE != 0xFFFE and not 0xFDD0 <= code <= 0xFDEF
    return category not in _NEVER


def names_a_character(text: str) -> bool:
    """Say whether a text holds a character given by its number.

    Parameters
    ----------
    text : str
        Text after :func:`for_print`.

    Returns
    -------
    bool
        Whether the note that explains the form is wanted.

    Examples
    --------
    >>> names_a_character(for_print("额")), names_a_character("16 A")
    (True, False)
    """
    return _NUMBER.search(text) is not None

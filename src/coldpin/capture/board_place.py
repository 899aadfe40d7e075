"""Where in a drawing of a board something is: file, feature, place; so that every message names them."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any

from coldpin.errors import CaptureError, UnknownName

LONGEST_TEXT = 200
"""Ours: characters in a name or a net of a drawing; what is longer is no name."""

FARTHEST = 1e6
"""Ours: no board, and no picture of one, reaches so far from its origin. [unit of the drawing]"""

_SHOWN = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place in a drawing: the file, the feature by its number from 1 and what it is, the corner.

    ``where`` names the file; ``number`` is 0 for the drawing as a whole; ``called`` is what is known of the feature so
    far ("conductor 'mains L'"); ``at`` is a corner in the unit of the drawing.
    """

    where: str
    number: int = 0
    called: str = ""
    at: tuple[float, float] | None = None

    def __str__(self) -> str:
        feature = f", feature {self.number}" if self.number else ""
        called = f" ({self.called})" if self.called else ""
        at = f", at {self.at[0]:g}, {self.at[1]:g}" if self.at is not None else ""
        return f"board {self.where}{feature}{called}{at}"

    def near(self, x: float, y: float) -> Place:
        """Return the same place, with a corner.

        Parameters
        ----------
        x : float
            To the right. [unit of the drawing]
        y : float
            Up, or down in a picture. [unit of the drawing]

        Returns
        -------
        Place
            The place.
        """
        return replace(self, at=(x, y))

    def error(self, said: str) -> CaptureError:
        """Build the error that names this place.

        Parameters
        ----------
        said : str
            What is wrong, what is allowed, and what to do.

        Returns
        -------
        CaptureError
            To be raised by the caller.

        Examples
        --------
        >>> str(Place(where="a.geojson", number=3).near(1.0, 2.5).error("the outline crosses itself: draw it anew"))
        'board a.geojson, feature 3, at 1, 2.5: the outline crosses itself: draw it anew'
        """
        return CaptureError(f"{self}: {said}")

    def text(self, given: object, what: str) -> str:
        """Return a text that was given, without blanks around it and with single ones inside.

        Parameters
        ----------
        given : object
            As the drawing has it; None and the empty text both mean that nothing is given.
        what : str
            Which member it is, for a message.

        Returns
        -------
        str
            The text; empty where nothing is given.

        Raises
        ------
        CaptureError
            It is no text, is too long, or holds characters that cannot be printed.
        """
        if given is None:
            return ""
        if not isinstance(given, str):
            raise self.error(f"{what} is {shown(given)}: write a text")
        text = " ".join(given.split())
        odd = next((letter for letter in text if unicodedata.category(letter) in ("Cc", "Cs")), "")
        if odd:
            raise self.error(f"{what} holds the character U+{ord(odd):04X}, which cannot be printed: take it out")
        if len(text) > LONGEST_TEXT:
            raise self.error(f"{what} has {len(text)} characters; at most {LONGEST_TEXT} are read: shorten it")
        return text

    def word(self, given: object, what: str, known: Iterable[str]) -> str:
        """Return a word of a closed list.

        Parameters
        ----------
        given : object
            As the drawing has it.
        what : str
            Which member it is, for a message.
        known : iterable of str
            The words.

        Returns
        -------
        str
            The word; empty where nothing is given.

        Raises
        ------
        CaptureError
            It is no such word; all are listed.
        """
        text, words = self.text(given, what), tuple(map(str, known))
        if text and text not in words:
            raise self.error(str(UnknownName.among(what, text, words)))
        return text

    def number_of(self, given: object, what: str, *, above: float | None = None, least: float = -FARTHEST) -> float:
        """Return a number that was given.

        Parameters
        ----------
        given : object
            As the drawing has it.
        what : str
            Which member it is, for a message.
        above : float or None
            It must be above this. [unit of the member]
        least : float
            It must not be below this. [unit of the member]

        Returns
        -------
        float
            The number.

        Raises
        ------
        CaptureError
            It is no number, or outside of what such a number can be.
        """
        if isinstance(given, bool) or not isinstance(given, int | float):
            raise self.error(f"{what} is {shown(given)}: write a number")
        if not least <= given <= FARTHEST or (above is not None and given <= above):
            least_said = f"above {above:g}" if above is not None else f"{least:g} or more"
            raise self.error(f"{what} is {shown(given)}: it must be {least_said}, and {FARTHEST:g} at most")
        return float(given)

    def optional(self, members: Mapping[str, Any], name: str, **bounds: float) -> float | None:
        """Return a number that may be left out or null.

        Parameters
        ----------
        members : mapping
            A JSON object of the drawing.
        name : str
            Of the member.
        **bounds : float
            As for :meth:`number_of`. [unit of the member]

        Returns
        -------
        float or None
            None where it is not given.

        Raises
        ------
        CaptureError
            It is no number, or outside of what such a number can be.
        """
        given = members.get(name)
        return None if given is None else self.number_of(given, name, **bounds)


def shown(given: object) -> str:
    """Return what was given as a message may print it.

    Parameters
    ----------
    given : object
        Anything JSON can hold.

    Returns
    -------
    str
        Shortened.

    Examples
    --------
    >>> shown([1, 2]), shown({"a": 1}), shown("x" * 100)[:6]
    ('a list', 'an object', "'xxxxx")
    """
    match given:
        case None:
            return "null"
        case bool():
            return str(given).lower()
        case list():
            return "a list"
        case dict():
            return "an object"
        case int() if abs(given) > FARTHEST:
            return "a number with too many digits" if abs(given) > FARTHEST**2 else str(given)
    text = repr(given)
    return text if len(text) <= _SHOWN else text[:_SHOWN] + "…"

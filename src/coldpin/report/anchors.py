"""Where each part of an assessment stands in the report: an anchor for each function, finding, entry, limit, method."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from coldpin.report.document import Face, Text

_OTHER = re.compile(r"[^a-z0-9]+")


def slug(text: str) -> str:
    """Return a text as lower-case ASCII words joined by hyphens.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The words; "x" where nothing is left.

    Examples
    --------
    >>> slug("PILOT_HIGH_B · Ω")
    'pilot-high-b'
    """
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    return _OTHER.sub("-", plain).strip("-") or "x"


class Anchors:
    """The anchors of one document; a link is only made to something that has one.

    Examples
    --------
    >>> anchors = Anchors()
    >>> anchors.assign("finding", ["pilot.high.B2", "pilot high B2"])
    >>> anchors.of("finding", "pilot high B2")
    'finding-pilot-high-b2-2'
    >>> anchors.link("finding", "unknown one").link
    ''
    """

    def __init__(self) -> None:
        self._known: dict[tuple[str, str], str] = {}
        self._taken: set[str] = set()
        self._placed: set[str] = set()

    def assign(self, kind: str, ids: Iterable[str]) -> None:
        """Give each id of a kind an anchor of its own.

        Parameters
        ----------
        kind : str
            What the ids name: "finding", "function", "entry", "limit", "check", "capture".
        ids : iterable of str
            The ids; one that comes twice keeps its first anchor.
        """
        for name in ids:
            if (kind, name) not in self._known:
                self._known[kind, name] = self.fresh(f"{kind}-{slug(name)}")

    def fresh(self, wish: str) -> str:
        """Return the wished anchor, numbered if it is taken.

        Parameters
        ----------
        wish : str
            ASCII words joined by hyphens.

        Returns
        -------
        str
            An anchor nothing else has.
        """
        anchor, number = wish, 1
        while anchor in self._taken:
            number += 1
            anchor = f"{wish}-{number}"
        self._taken.add(anchor)
        return anchor

    def of(self, kind: str, name: str) -> str:
        """Return the anchor of an id, empty where it has none.

        Parameters
        ----------
        kind : str
            What the id names.
        name : str
            The id.

        Returns
        -------
        str
            The anchor or nothing.
        """
        return self._known.get((kind, name), "")

    def place(self, kind: str, name: str) -> str:
        """Return the anchor of an id for the one place where it is told of.

        Parameters
        ----------
        kind : str
            What the id names.
        name : str
            The id.

        Returns
        -------
        str
            The anchor, or nothing the second time: an anchor stands once in a document.
        """
        anchor = self.of(kind, name)
        if anchor in self._placed:
            return ""
        self._placed.add(anchor)
        return anchor

    def link(self, kind: str, name: str, words: str = "") -> Text:
        """Return text that leads to where an id is told of, or plain text where it is not in this document.

        Parameters
        ----------
        kind : str
            What the id names.
        name : str
            The id.
        words : str
            What to print; the id itself, set as code, where empty.

        Returns
        -------
        Text
            The text.
        """
        return Text(words or name, Face.PLAIN if words else Face.CODE, self.of(kind, name))

"""How entries, their forms and the messages about them are worded on a page."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from coldpin.records.entry import Entry
from coldpin.web.remedies import by_page

FORM_WORDS = {
    "readings": "Readings",
    "answer": "Questions: yes, no or cannot tell",
    "pairs": "Maps of pins",
    "capture": "Captures",
    "log": "Logs",
    "board": "Drawings of boards",
    "note": "Notes, photographs, papers",
}
"""What words are called that are recorded in one way."""

BROUGHT = {
    "capture": "The capture, with what belongs to it",
    "log": "The log",
    "board": "The drawing, as GeoJSON",
    "note": "Photograph, paper or video, if there is one",
}
"""What is to be brought for a word that takes a file."""


def capitalize_first(text: str) -> str:
    """Begin with a capital, and leave all else: names such as CP stay as they are.

    Parameters
    ----------
    text : str
        A text.

    Returns
    -------
    str
        The same with a capital.

    Examples
    --------
    >>> capitalize_first("mains to CP")
    'Mains to CP'
    """
    return text[:1].upper() + text[1:]


def names_of_files(entries: Iterable[Entry]) -> dict[str, str]:
    """Return what the file of each entry was called where it came from.

    Parameters
    ----------
    entries : iterable of Entry
        Of a case.

    Returns
    -------
    dict of str to str
        By the entry's id; the name under which it is stored where it came without one.
    """
    return {one.id: one.evidence.original_name or one.evidence.file for one in entries if one.evidence is not None}


ENTRY: Mapping[str, Callable[..., Any]] = {
    "capitalize_first": capitalize_first,
    "by_page": by_page,
    "form_words": FORM_WORDS.__getitem__,
    "brought": BROUGHT.__getitem__,
}
"""The filters of the templates of entries."""

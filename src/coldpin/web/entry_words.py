"""How entries, their forms and the messages about them are worded on a page."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from coldpin.records.entry import Entry

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


def by_form(text: str) -> str:
    """Name in a message the fields of a form where it names options of the command line.

    Parameters
    ----------
    text : str
        A message.

    Returns
    -------
    str
        The same, for whoever has a form before them.

    Examples
    --------
    >>> by_form("1 column with the decimal comma (--decimal comma); or say --skip-rows 3")
    "1 column with the decimal comma ('decimal' comma); or say 'skip rows' 3"
    """
    return _OPTION.sub(lambda found: f"'{found[1].replace('-', ' ')}'", text)


BY_PAGE = {
    "(coldpin notification CASE --to seller)": "(the letter stands under 'To be taken along' on the page Report)",
    "(coldpin correct CASE ENTRY --withdraw --reason … --who …)": "('Withdraw it' on the page of the entry)",
    "(coldpin correct)": "('Correct it' on the page of the entry)",
    "coldpin correct.": "'Correct it' on the page of the entry.",
    "'coldpin plan' computes it anew": "the page Plan is then made anew",
    "'coldpin new' makes one with an example in it,": "the page Instruments writes one,",
}
"""What the page has, in place of each command that a message names."""


def by_page(text: str) -> str:
    """Name in a message what the page has, where the message names a command that does the same.

    Parameters
    ----------
    text : str
        A message.

    Returns
    -------
    str
        The same, for whoever has the page before them.

    Examples
    --------
    >>> by_page("state it in shelf.toml and correct the entry (coldpin correct), or read again.")
    "state it in shelf.toml and correct the entry ('Correct it' on the page of the entry), or read again."
    """
    for command, way in BY_PAGE.items():
        text = text.replace(command, way)
    return text


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


_OPTION = re.compile(r"--([a-z]+(?:-[a-z]+)*)")

ENTRY: Mapping[str, Callable[..., Any]] = {
    "capitalize_first": capitalize_first,
    "by_form": by_form,
    "by_page": by_page,
    "form_words": FORM_WORDS.__getitem__,
    "brought": BROUGHT.__getitem__,
}
"""The filters of the templates of entries."""

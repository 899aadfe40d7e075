"""What a check is missing, with the way to where it is written down: the form of a word, the field of a claim."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from coldpin.records.vocabulary import VOCABULARY, showing
from coldpin.web.addresses import described_address, form_address
from coldpin.web.remedies import by_page
from coldpin.workbench.describing import heading

_CLAIM = r"'(?P<claim>[a-z_]+)' in case\.toml"
_WORD = rf"'(?P<word>{'|'.join(map(re.escape, sorted(VOCABULARY, key=len, reverse=True)))})'"
_KIND = r"(?P<beside>(?: with the output beside it)?(?: \((?P<kind>[^()]*)\))?)"
_MISSING = re.compile(rf"{_CLAIM}|{_WORD}{_KIND}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of a text: its words, and the address that they lead to; empty where they lead nowhere."""

    words: str
    address: str = ""


def linked(text: str, name: str, then: str = "") -> tuple[Part, ...]:
    """Take a text apart where it names what can be written down, each with its place on the page.

    A word of the vocabulary leads to its form, which holds what the text says of its conditions already; a claim leads
    to its field on the page Described.

    Parameters
    ----------
    text : str
        What a check needs, or why it was not done.
    name : str
        The case's folder.
    then : str
        Path of the section to go on to when it is written; empty for the entry itself.

    Returns
    -------
    tuple of Part
        In their order; together they are the text in the words of the page.

    Examples
    --------
    >>> parts = linked("an entry that shows 'pilot capture' (event: states)", "skerrow-16")
    >>> [part.words for part in parts]
    ["an entry that shows '", 'pilot capture', "' (event: states)"]
    >>> parts[1].address
    '/case/skerrow-16/record/pilot%20capture?condition.event=states'
    >>> linked("the claim 'country' in case.toml", "skerrow-16")[1]
    Part(words='Country of use', address='/case/skerrow-16/described#of-claims-country')
    """
    parts: list[Part] = []
    done = 0
    for found in _MISSING.finditer(text):
        parts.append(Part(words=by_page(text[done : found.start()]) + "'"))
        parts += _claim(found["claim"], name) if found["claim"] else _word(found, name, then)
        done = found.end()
    parts.append(Part(words=by_page(text[done:])))
    return tuple(part for part in parts if part.words)


def _claim(claim: str, name: str) -> tuple[Part, ...]:
    key = f"claims.{claim}"
    return (Part(words=heading(key), address=described_address(name, key)), Part(words="' on the page Described"))


def _word(found: re.Match[str], name: str, then: str) -> tuple[Part, ...]:
    word = found["word"]
    return (
        Part(words=word, address=form_address(name, word, _stated(word, found["kind"] or ""), then=then)),
        Part(words=f"'{found['beside']}"),
    )


def _stated(word: str, kind: str) -> dict[str, str]:
    """Return the conditions of which a text names one value; of several, whoever records chooses."""
    pairs = (said.partition(": ") for said in re.split("[,;] ", kind))
    return {
        name: value for name, _, value in pairs if name in showing(word).conditions and value and not _several(value)
    }


def _several(value: str) -> bool:
    return " or " in value


MISSING: Mapping[str, Callable[..., Any]] = {"linked": linked, "heading": heading}
"""The filters of the templates that tell what is missing, and how its field is called."""

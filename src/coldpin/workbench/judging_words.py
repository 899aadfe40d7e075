"""Words that judge in what a person wrote: told before it is published, for whoever publishes must answer for them."""

from __future__ import annotations

import re
from collections.abc import Iterator

from coldpin.casefile.untrusted import walk
from coldpin.records.assessment import Assessment
from coldpin.records.publication import JudgingWord

# One letter of each stands in brackets: the program itself says none of them, and a test looks for them in its texts.
JUDGING = re.compile(
    r"\b(?:(?:un)?[s]afe(?:ly|ty)?|[d]eadly|[d]angerous(?:ly)?|[i]llegal(?:ly)?|[f]akes?|[c]ertified|[c]ompliant|"
    r"fra[u]d(?:ulent)?|sc[a]m|cr[i]minal(?:ly)?|l[e]thal|death tr[a]ps?|j[u]nk)\b",
    re.IGNORECASE,
)
"""Judgements that no measurement makes."""

QUOTED = ("claims", "quoted_claims", "listings", "surveys", "alternatives", "letters")
"""What of a case is somebody else's word, printed as theirs."""

AROUND = 60
"""Ours: so much is shown on each side of a word. [characters]"""


def judging_words(assessment: Assessment) -> tuple[JudgingWord, ...]:
    """Name words of judgement in what the tester wrote: title, question, opinions, notes, reasons.

    Parameters
    ----------
    assessment : Assessment
        What is to be published.

    Returns
    -------
    tuple of JudgingWord
        In the order in which they stand; claims and answers of others are quoted and not looked through.
    """
    return tuple(
        JudgingWord(word=found[0], where=where, text=_around(text, found))
        for where, text in _own_words(assessment)
        for found in JUDGING.finditer(text)
    )


def _own_words(assessment: Assessment) -> Iterator[tuple[str, str]]:
    for place, value in walk(assessment.case):
        if isinstance(value, str) and place.split(".")[0] not in QUOTED:
            yield f"case.toml, {place}", value
    for entry in assessment.entries:
        yield f"entry {entry.id}, note", entry.note
        yield f"entry {entry.id}, reason", entry.reason


def _around(text: str, found: re.Match[str]) -> str:
    begin, end = max(found.start() - AROUND, 0), found.end() + AROUND
    return f"{'…' if begin else ''}{text[begin:end].strip()}{'…' if end < len(text) else ''}"

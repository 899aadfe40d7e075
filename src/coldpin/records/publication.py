"""What would be published of a case as it stands: told before it is, so that nobody has to guess."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.assessment import Problem
from coldpin.records.withheld import WithheldText


@dataclass(frozen=True, slots=True, kw_only=True)
class PublicFile:
    """A file that goes public: its name and size. [bytes]"""

    name: str
    size: int


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgingWord:
    """A word of judgement in what a person wrote and what is published as theirs: where it stands, and around it."""

    word: str
    where: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Publication:
    """What would be published as the next issue.

    Parameters
    ----------
    number : int
        Of the issue.
    digest : str
        The sha256 of the record that would be published: tells whether another has taken its place since.
    title : str
        Of the case, as it is published.
    headline : str
        The one sentence for the public.
    entries : int
        How many entries are shown.
    kept_back : int
        How many are private, or belong to one that is.
    files : tuple of PublicFile
        The reports, the record, the summary picture.
    photographs : tuple of PublicFile
        Pictures as their pixels alone.
    withheld : tuple of WithheldText
        Texts that stand in the record and are replaced.
    left_out : tuple of str
        Photographs that cannot be published, with why.
    changes : tuple of str
        What changed since the last issue; empty for the first.
    replies : tuple of str
        What is to be known of the right of reply.
    judging : tuple of JudgingWord
        Words that are better looked at once more.
    refused : str
        Why it cannot be published as it stands; empty where it can.
    problems : tuple of Problem
        What was given and could not be used, and what of earlier issues is not as it was published.
    """

    number: int
    digest: str
    title: str
    headline: str
    entries: int
    kept_back: int
    files: tuple[PublicFile, ...]
    photographs: tuple[PublicFile, ...]
    withheld: tuple[WithheldText, ...]
    left_out: tuple[str, ...]
    changes: tuple[str, ...]
    replies: tuple[str, ...]
    judging: tuple[JudgingWord, ...]
    refused: str = ""
    problems: tuple[Problem, ...] = ()

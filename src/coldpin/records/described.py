"""``case.toml`` as a person fills it on a page: field by field, each with its help, its choices, and its text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum


class FieldKind(StrEnum):
    """What a person writes into a field."""

    LINE = "line"
    TEXT = "text"
    LINES = "lines"
    CHOICE = "choice"
    WHOLE = "whole number"
    NUMBER = "number"
    CHANCE = "chance"


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribedField:
    """One field.

    Parameters
    ----------
    key : str
        Dotted key in ``case.toml``; in a row of a list the name alone.
    words : str
        What it is called, for a person.
    kind : FieldKind
        What is written into it.
    text : str
        What it holds, as a person types it; several texts stand on a line each.
    help : str
        What is meant by it.
    example : str
        How it may look.
    choices : tuple of str
        What it can be, where it can be nothing else.
    titles : mapping of str to str
        What choices are called, where that is more than their words.
    known : tuple of str
        What is often written; anything else may be.
    needed : bool
        True where it cannot stay empty.
    """

    key: str
    words: str
    kind: FieldKind
    text: str = ""
    help: str = ""
    example: str = ""
    choices: tuple[str, ...] = ()
    titles: Mapping[str, str] = field(default_factory=dict)
    known: tuple[str, ...] = ()
    needed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribedPart:
    """Fields that belong together: those of a table, or those at the top."""

    key: str
    words: str
    fields: tuple[DescribedField, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribedRow:
    """One row of a list; ``seen`` is all of it as JSON, by which an edit says what it began from."""

    words: str
    fields: tuple[DescribedField, ...]
    seen: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DescribedList:
    """A list of rows, with the fields of a new one."""

    key: str
    words: str
    help: str
    rows: tuple[DescribedRow, ...]
    fresh: tuple[DescribedField, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Described:
    """All that a person writes of a case by hand."""

    title: str
    parts: tuple[DescribedPart, ...]
    lists: tuple[DescribedList, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Conflict:
    """Two values for one place: what the file holds by now, and what was to be written.

    Parameters
    ----------
    key : str
        The place.
    words : str
        What it is called, for a person.
    now : str
        What the file holds, as a person types it; a row as lines of name and value.
    wanted : str
        What was to be written.
    seen : str
        What an edit that wants it all the same begins from: a text, or a row as JSON; empty where the row is gone.
    told : str
        What happened, with where the second value is kept.
    """

    key: str
    words: str
    now: str
    wanted: str
    seen: str
    told: str

"""The evidence of one case as the checks see it: effective entries, decoded captures, logs, boards as drawn."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from typing import Any, TypeVar

from coldpin.checks.check import Need
from coldpin.checks.typed_twice import typed_twice
from coldpin.records.board import BoardModel
from coldpin.records.case import CaseDescription
from coldpin.records.entry import Entry
from coldpin.records.instrument import Instrument
from coldpin.records.keeping import Keeping, made_anew
from coldpin.records.log import Log
from coldpin.records.pilot import PilotReading
from coldpin.records.trip_test import ResidualReading
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class PilotCapture:
    """A capture of the pilot as decoded, with the entry that filed it."""

    entry: Entry
    reading: PilotReading

    def condition(self, name: str, otherwise: str = "") -> str:
        """Return a condition of the entry, or what holds when it is not stated.

        Parameters
        ----------
        name : str
            The condition.
        otherwise : str
            What holds when the entry does not state it.

        Returns
        -------
        str
            Its value.
        """
        return self.entry.conditions.get(name) or otherwise


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LogEvidence:
    """A log as read, with the entry that filed it."""

    entry: Entry
    log: Log


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoardEvidence:
    """A board as drawn, with the entry that filed it."""

    entry: Entry
    board: BoardModel


@dataclass(frozen=True, slots=True, kw_only=True)
class ResidualEvidence:
    """A capture of residual current and output as read, with the entry that filed it."""

    entry: Entry
    reading: ResidualReading


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchEvidence:
    """Everything the checks may look at: no file, no clock, no screen."""

    case: CaseDescription
    edition: Edition
    book: Book
    entries: tuple[Entry, ...] = ()
    instruments: Mapping[str, Instrument]
    captures: tuple[PilotCapture, ...] = ()
    logs: tuple[LogEvidence, ...] = ()
    boards: tuple[BoardEvidence, ...] = ()
    residuals: tuple[ResidualEvidence, ...] = ()
    keep: Keeping = field(default=made_anew, repr=False, compare=False)
    _made: dict[str, Any] = field(init=False, repr=False, compare=False, default_factory=dict)

    def once(self, name: str, make: Callable[[], T]) -> T:
        """Return what several checks take from this evidence, made at the first call only.

        It belongs to this record: other evidence, such as that without one entry, begins with nothing made.

        Parameters
        ----------
        name : str
            What it is called; one name stands for one thing.
        make : callable
            Makes it, from nothing but this evidence.

        Returns
        -------
        object
            What was made.
        """
        if name not in self._made:
            self._made[name] = make()
        made: T = self._made[name]
        return made

    def kept(self, what: str, given: object, make: Callable[[], T]) -> T:
        """Return what was made of the same in an earlier assessment, else make it.

        Parameters
        ----------
        what : str
            What is made; one name for one way of making it.
        given : object
            All that it is made of; the constants of the case need not be among it.
        make : callable
            Makes it.

        Returns
        -------
        object
            The result, equal to one made anew.
        """
        return self.keep(what, (self.case.constants, given), make)

    def without(self, name: str) -> BenchEvidence:
        """Return the evidence with one entry, and its capture, log or board, set aside.

        Parameters
        ----------
        name : str
            The id of the entry.

        Returns
        -------
        BenchEvidence
            Everything else.
        """
        return replace(
            self,
            entries=tuple(entry for entry in self.entries if entry.id != name),
            captures=tuple(capture for capture in self.captures if capture.entry.id != name),
            logs=tuple(log for log in self.logs if log.entry.id != name),
            boards=tuple(board for board in self.boards if board.entry.id != name),
            residuals=tuple(residual for residual in self.residuals if residual.entry.id != name),
        )

    @property
    def typed_twice(self) -> Mapping[str, str]:
        """The readings that repeat another one, by the id of what they repeat: they are no further operations."""
        return self.once("typed-twice", lambda: typed_twice(self.entries))

    def matching(self, need: Need) -> tuple[Entry, ...]:
        """Return the entries that serve a need, in the order they were made.

        Parameters
        ----------
        need : Need
            What is needed.

        Returns
        -------
        tuple of Entry
            Oldest first.
        """
        return tuple(entry for entry in self.entries if entry.shows == need.shows and serves(entry, need))

    def showing(self, word: str) -> tuple[Entry, ...]:
        """Return the entries that show something, whatever their conditions.

        Parameters
        ----------
        word : str
            A word of the vocabulary.

        Returns
        -------
        tuple of Entry
            Oldest first.
        """
        return tuple(entry for entry in self.entries if entry.shows == word)

    def operations(self, word: str) -> tuple[Entry, ...]:
        """Return the entries that tell operations to be counted, without those that were typed twice.

        Parameters
        ----------
        word : str
            A word of the vocabulary.

        Returns
        -------
        tuple of Entry
            Oldest first.
        """
        return tuple(entry for entry in self.showing(word) if entry.id not in self.typed_twice)

    def claim(self, name: str) -> str:
        """Return a claim of the case as written.

        Parameters
        ----------
        name : str
            The claim's key in ``case.toml``.

        Returns
        -------
        str
            Its text, empty where nothing is said.
        """
        return str(getattr(self.case.claims, name))

    def has(self, need: Need) -> bool:
        """Say whether a need is met.

        Parameters
        ----------
        need : Need
            What is needed.

        Returns
        -------
        bool
            Whether an entry or a claim meets it.
        """
        if need.claim:
            return bool(self.claim(need.claim))
        if not need.with_output:
            return bool(self.matching(need))
        return any(c.reading.output is not None for c in self.captures if serves(c.entry, need))


def serves(entry: Entry, need: Need) -> bool:
    """Say whether an entry was made under the conditions asked for.

    Parameters
    ----------
    entry : Entry
        The entry.
    need : Need
        Condition to the values that serve; an empty value serves where the entry does not state the condition.

    Returns
    -------
    bool
        Whether every condition is met, and one of those that must be stated is.
    """
    met = all(entry.conditions.get(name, "") in values for name, values in need.conditions.items())
    return met and (not need.stated or any(entry.conditions.get(name) for name in need.stated))

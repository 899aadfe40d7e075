"""What is asked of a person who records one word of the vocabulary, and what was understood of what they wrote."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.records.form_field import FormField
from coldpin.records.plan import Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class FormInstrument:
    """An instrument of the shelf, and what its maker says of its accuracy in this; empty where nothing."""

    name: str
    title: str
    states: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FormTest:
    """A test in which a word is recorded: its cautions stand before its first step, its hold points before power."""

    test: str
    title: str
    stage: Stage
    live: bool
    cautions: tuple[str, ...]
    hold_points: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryForm:
    """How one word of the vocabulary is recorded in a case.

    ``recorded_as`` is as in :class:`~coldpin.records.showing.Showing`. ``examples`` are readings as people write them,
    ``blanks`` is how many are usual, ``rows`` are the pairs of a wiring map. ``tests`` are those that record the word,
    mildest first. ``supply`` is true where the voltage of the supply belongs to the entry.
    """

    word: str
    meaning: str
    recorded_as: str
    unit: str
    measures: str
    examples: tuple[str, ...]
    blanks: int
    rows: tuple[str, ...]
    answers: tuple[str, ...]
    fields: tuple[FormField, ...]
    instruments: tuple[FormInstrument, ...]
    tests: tuple[FormTest, ...]
    supply: bool

    @property
    def live(self) -> bool:
        """Whether the mains is on in any test that records it."""
        return any(test.live for test in self.tests)


@dataclass(frozen=True, slots=True, kw_only=True)
class Understood:
    """What was understood of one text: ``means`` is it in our words, ``problem`` why it cannot be read.

    ``what`` says which text it is: "reading 2", "test voltage". Both are empty for words that are kept as they stand.
    """

    what: str
    text: str
    means: str = ""
    problem: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SaidBack:
    """What an entry would be understood as, before it is written.

    ``refused`` is why it would not be taken as it stands, empty where it would; ``remark`` is what would keep it from
    deciding anything. ``questions`` are what is hardly so, and is kept as written all the same.
    """

    texts: tuple[Understood, ...]
    refused: str = ""
    remark: str = ""
    questions: tuple[str, ...] = ()

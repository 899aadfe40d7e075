"""Several cases side by side: what was shown of each, and what may be said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coldpin.records.assessment import Problem, Sentence
from coldpin.records.function import FunctionState

COMPARISON_SCHEMA = "coldpin.compare/1"


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionSeen:
    """A protective function of one case, with its state."""

    id: str
    title: str
    state: FunctionState


@dataclass(frozen=True, slots=True, kw_only=True)
class UseSeen:
    """A condition of use of one case, with the answer to it."""

    name: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseSummary:
    """What of one assessment is compared.

    ``within``, ``beyond`` and ``undecided`` count its findings, ``not_tested`` its checks without evidence. ``price``
    is what was paid, as written; empty where nobody wrote it. ``unused`` counts what was given and could not be used.
    """

    case: str
    title: str
    specimen: str
    assessed_on: str
    headline: Sentence
    decisive: tuple[str, ...]
    functions: tuple[FunctionSeen, ...]
    uses: tuple[UseSeen, ...]
    within: int
    beyond: int
    undecided: int
    not_tested: int
    price: str
    unused: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FunctionRow:
    """One protective function over all cases: its state in each, in their order; None where it does not apply."""

    id: str
    title: str
    states: tuple[FunctionState | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Cases side by side, in the order in which they were given; ``problems`` are those that could not be read."""

    schema: Literal["coldpin.compare/1"]
    title: str
    program_version: str
    cases: tuple[CaseSummary, ...]
    functions: tuple[FunctionRow, ...]
    problems: tuple[Problem, ...] = ()

"""A protective function and how it stands."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.records.finding import Reach


class FunctionState(StrEnum):
    """How a protective function stands after the tests done so far."""

    SHOWN = "shown"
    FAULTY = "faulty"
    SHOWN_ABSENT = "shown_absent"
    NOT_SHOWN = "not_shown"


@dataclass(frozen=True, slots=True, kw_only=True)
class ProtectiveFunction:
    """One protective function: its state, how far that reaches, and the findings behind it.

    ``because`` is one plain sentence; ``missing`` names the checks that would say more and were not done.
    ``duty`` is false for good practice that no text known to us asks for: where it is absent nothing is broken.
    ``protects`` is how it stands for what it protects from, None where that is its state: a device that acts too soon
    is faulty, and may protect all the same.
    """

    id: str
    title: str
    question: str
    state: FunctionState
    reach: Reach | None
    findings: tuple[str, ...]
    because: str
    missing: tuple[str, ...] = ()
    duty: bool = True
    protects: FunctionState | None = None

    @property
    def protecting(self) -> FunctionState:
        """How it stands for what it protects from."""
        return self.protects or self.state

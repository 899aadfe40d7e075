"""A claim of plate, print, papers or listing, placed beside what was found."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.records.finding import Reach


class ClaimState(StrEnum):
    """How a claim stands after the tests done so far."""

    HOLDS = "holds"
    CONTRADICTED = "contradicted"
    NOT_SHOWN = "not shown"


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedClaim:
    """One claim as it is written, and what these tests say of it.

    ``said`` are its words; ``where`` is where they stand, empty where the case does not tell. ``because`` is one plain
    sentence, ``findings`` and ``functions`` are the ids that it rests on. ``missing`` names what would say more.
    ``reach`` is None for what is not shown.
    """

    id: str
    title: str
    said: str
    where: str
    state: ClaimState
    because: str
    reach: Reach | None = None
    findings: tuple[str, ...] = ()
    functions: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()

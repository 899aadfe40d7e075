"""Everything on the current's way side by side: what each part may carry, and what is asked of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.quantity.model import Quantity
from coldpin.records.finding import Limit, Outcome


class PathRole(StrEnum):
    """What a line of the comparison is: a part that carries, a claim that the lead makes, or a current it asks for."""

    CARRIES = "carries"
    CLAIMS = "claims"
    ASKS = "asks"


@dataclass(frozen=True, slots=True, kw_only=True)
class PathPart:
    """One line of the comparison.

    ``current_a`` is exact for a rating or a claim. ``limit`` says where a rating is from, null for what the specimen
    says itself; ``said_by`` then says who. ``for_hours`` is true for a practice that holds for hours of charging.
    ``kind`` is "plug", "socket", "cable" or "coupler" of a part that carries; of a claim it names the one part that it
    is about, and is empty for one about the whole lead. ``allowed_a`` is how far an offer may lie above a rating and be
    as it should: the tolerance of what tells it. [A]
    """

    name: str
    role: PathRole
    current_a: Quantity
    limit: Limit | None = None
    said_by: str = ""
    for_hours: bool = False
    kind: str = ""
    allowed_a: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Exceeding:
    """A claim or an asking that lies above what a part may carry, or may lie above it."""

    asking: PathPart
    part: PathPart
    outcome: Outcome
    probability: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CurrentPath:
    """All parts by rising current, the weakest of those that carry, and what exceeds which of them."""

    parts: tuple[PathPart, ...]
    weakest: PathPart | None
    exceeding: tuple[Exceeding, ...]
    outcome: Outcome
    statement: str

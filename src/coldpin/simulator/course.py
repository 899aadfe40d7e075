"""What happened while loads came and went: stretches, movements of the contacts, and what answered what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

Rest = Literal["high", "low", "off"]
"""Where the driver stands while it does not oscillate: at its high rail, at its low one (state F), or unsupplied."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A stretch of time in which nothing is switched: what is connected, and what the unit does.

    Times are from the start of the schedule [s]. ``rest`` is where the driver stands where it is not ``oscillating``,
    ``duty`` the offer that is set [%]. ``commanded`` says whether the relay's coil is driven, ``energised`` whether the
    pins are live: both poles closed and a supply before them.
    """

    start: float
    end: float
    load: str
    oscillating: bool
    energised: bool
    commanded: bool = False
    rest: Rest = "high"
    duty: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """From ``at`` on the pins have this part of the supply: 1 closed, 0 open, between them with one pole closed. [s]"""

    at: float
    part: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Response:
    """One movement that the controller ordered, and the change of load that was its last cause.

    ``changed`` is when the load changed from ``load_from`` to ``load_to``, ``commanded`` when the coil followed,
    ``contacts`` when the contacts touched first or parted last, or None where they did not follow by the end of the
    schedule, and ``settled`` when they had stopped bouncing. [s] ``closes`` says which way.
    """

    changed: float
    load_from: str
    load_to: str
    closes: bool
    commanded: float
    contacts: float | None
    settled: float | None

    @property
    def delay(self) -> float | None:
        """From the change of load to the contacts; None where they did not follow. [s]"""
        return None if self.contacts is None else self.contacts - self.changed


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """All that happened: ``conditions`` without gap, the ``contacts`` with every bounce, the ``responses`` in order."""

    conditions: tuple[Condition, ...]
    contacts: tuple[Contact, ...]
    responses: tuple[Response, ...]


def joined(pieces: Sequence[Condition]) -> tuple[Condition, ...]:
    """Make one of neighbours that differ in nothing.

    Parameters
    ----------
    pieces : sequence of Condition
        Stretches without gap, in order.

    Returns
    -------
    tuple of Condition
        The same time in fewer stretches.
    """
    whole: list[Condition] = []
    for piece in pieces:
        if whole and replace(whole[-1], start=piece.start, end=piece.end) == piece:
            whole[-1] = replace(whole[-1], end=piece.end)
        else:
            whole.append(piece)
    return tuple(whole)

"""How a supply unit answers to resistors at the edge of what it must recognise."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.quantity.model import Quantity


class Recognition(StrEnum):
    """Whether a unit took a load for the state that it stands for."""

    RECOGNISED = "recognised"
    NOT_RECOGNISED = "not recognised"
    UNDECIDED = "undecided"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryAnswer:
    """One load put on the pilot, and what the unit made of it.

    ``resistance`` is that of all resistors behind the diode together. [Ω] ``level`` is the high level that was seen
    with it, None where none was measured. [V] ``fitted`` says what the load was made of ("R2 1870 Ω, R3 909 Ω"),
    ``entry`` which entry holds the observation. ``because`` is one line for an answer that is undecided.
    """

    state: str
    resistance: Quantity
    level: Quantity | None
    answer: Recognition
    fitted: str = ""
    entry: str = ""
    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryWindow:
    """What a unit must recognise as one state.

    ``resistor`` is the one that is varied ("R2", "R3"), from ``resistor_low`` to ``resistor_high``; ``low`` and
    ``high`` are the loads at these ends, all resistors behind the diode together. [Ω] ``level_low`` and ``level_high``
    are the high levels these give at a nominal generator and diode. [V] ``limit`` is what ``coldpin sources`` lists
    the span under, with its source and standing.
    """

    state: str
    resistor: str
    resistor_low: float
    resistor_high: float
    low: float
    high: float
    level_low: float
    level_high: float
    limit: str
    source: str
    standing: str


@dataclass(frozen=True, slots=True, kw_only=True)
class BoundaryChart:
    """The windows of all states, the level over the load at a nominal generator, and how one unit answered.

    ``load`` and ``level`` are the curve, equally long. [Ω], [V]
    """

    windows: tuple[BoundaryWindow, ...]
    load: tuple[float, ...]
    level: tuple[float, ...]
    answers: tuple[BoundaryAnswer, ...] = ()

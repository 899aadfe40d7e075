"""A scale card to lay beside a board: where everything on it is, in the form ``coldpin scale-card --json`` prints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardMarker:
    """One coded mark: its number, its lower left corner [mm], and its cells by row from the top, "1" for white.

    Around the cells given runs a rim of dark ones, as wide as a cell.
    """

    number: int
    corner_mm: Point
    cells: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardBar:
    """A printed bar whose ends are measured by calliper; ``start_mm`` and ``end_mm`` lie on its middle line."""

    name: str
    start_mm: Point
    end_mm: Point
    width_mm: float
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleCard:
    """The layout of a card; all places are counted from the lower left corner of its pattern, y up. [mm]

    The pattern has ``columns`` by ``rows`` squares of ``square_mm``, the upper left one dark, with a coded mark of
    ``marker_mm`` in the middle of each light one. ``card_mm`` are the lower left and upper right corner of the card.
    ``steps`` say how it is printed, checked and laid.
    """

    schema: Literal["coldpin.scale_card/1"]
    name: str
    columns: int
    rows: int
    square_mm: float
    marker_mm: float
    dictionary: str
    markers: tuple[CardMarker, ...]
    bars: tuple[CardBar, ...]
    card_mm: tuple[Point, Point]
    cautions: tuple[str, ...]
    steps: tuple[str, ...]

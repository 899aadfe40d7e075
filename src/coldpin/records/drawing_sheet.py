"""A drawing of a board opened to be drawn on, and what of a case there is to draw on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from coldpin.records.entry import Entry
from coldpin.records.photo import PhotoReading

Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetShape:
    """One shape as it lies on the sheet, y down; ``net`` and ``group`` are empty where it has none."""

    name: str
    role: str
    net: str
    group: str
    rings: tuple[tuple[Place, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingSheet:
    """A drawing opened to be drawn on.

    ``entry`` filed it, empty where it is new. ``newest`` is the entry whose place the next version would take.
    ``photograph`` is the entry of the picture under it, empty where there is none in the case. ``drawing`` is the file,
    GeoJSON with one polygon for each feature; ``unit`` that of its corners, y up in millimetres, down in pixels.
    ``view`` is all of it: left, top, width and height with y down, in that unit; ``near`` what is drawn, with a margin.
    ``scale`` is what its picture says of itself, null where there is none, or no scale yet.
    """

    entry: str
    newest: str
    part: str
    version: int
    photograph: str
    unit: str
    view: tuple[float, float, float, float]
    near: tuple[float, float, float, float]
    drawing: dict[str, Any]
    shapes: tuple[SheetShape, ...]
    scale: PhotoReading | None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FiledBoard:
    """The drawings of one part: the entry that counts, which version it is, and those before it, the last first."""

    part: str
    entry: Entry
    version: int
    earlier: tuple[Entry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardsOfCase:
    """All drawings of a case, and the photographs that can be drawn on."""

    boards: tuple[FiledBoard, ...]
    photographs: tuple[Entry, ...]

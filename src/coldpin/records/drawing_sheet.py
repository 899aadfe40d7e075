"""A drawing of a board opened to be drawn on, and what of a case there is to draw on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

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
class OtherPicture:
    """A photograph that may be laid under a drawing: the entry that filed it, what it is called, and its SHA-256."""

    entry: str
    called: str
    picture: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceReading:
    """How the photograph of the other face lies under a drawing.

    ``misses_mm`` is by how much each mark misses its place. ``u_mm`` is the standard uncertainty of a coordinate of
    what lies on that picture, at the worst of what is drawn and marked, ``u_px`` the same in the drawing; within
    ``within_mm`` it lies there with 95 %. All are null where it is not known with what uncertainty corners are picked.
    """

    schema: Literal["coldpin.other_face/1"]
    picture: str
    marks: int
    misses_mm: tuple[float, ...]
    u_mm: float | None
    u_px: float | None
    within_mm: float | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingSheet:
    """A drawing opened to be drawn on.

    ``entry`` filed it, empty where it is new. ``newest`` is the entry whose place the next version would take.
    ``photograph`` is the entry of the picture under it, empty where there is none in the case. ``drawing`` is the file,
    GeoJSON with one polygon for each feature; ``unit`` that of its corners, y up in millimetres, down in pixels.
    ``view`` is all of it: left, top, width and height with y down, in that unit; ``near`` what is drawn, with a margin.
    ``scale`` is what its picture says of itself, null where there is none, or no scale yet. ``others`` are the
    photographs that may be of the other face; ``laid`` says how the one that the drawing names lies under it.
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
    others: tuple[OtherPicture, ...] = ()
    laid: FaceReading | None = None
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

"""Outlines proposed on a photograph, in the form that ``coldpin outline --json`` prints. Nothing of it is confirmed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from coldpin.records.board import Face, Role

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedOutline:
    """One outline, to be looked at over the photograph.

    ``role`` is null where it was not said what it is; ``at_px`` are the points that were pointed out. ``corner_u_px``
    are the standard uncertainties of its corners, null where one was left as it was drawn, and ``pick_u_px`` is that
    of the least known, openings included: what the feature of a board's file carries as ``pick_u``.
    """

    number: int
    label: str
    role: Role | None
    net: str
    name: str
    face: Face | None
    at_px: tuple[Point, ...]
    outline_px: tuple[Point, ...]
    openings_px: tuple[tuple[Point, ...], ...]
    corner_u_px: tuple[float | None, ...]
    pick_u_px: float | None
    proposed: Literal[True]
    made_by: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineReading:
    """Outlines proposed on one photograph; ``shown`` is the picture to look at them in, ``confirm`` says how to."""

    schema: Literal["coldpin.outline/1"]
    picture: str
    sha256: str
    width_px: int
    height_px: int
    outlines: tuple[ProposedOutline, ...]
    shown: str
    confirm: str
    remarks: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineToTake:
    """An outline proposed in an open drawing, and the feature it becomes when a person has looked and takes it.

    ``feature`` is GeoJSON, as the file of a board has it.
    """

    outline: ProposedOutline
    feature: dict[str, Any]

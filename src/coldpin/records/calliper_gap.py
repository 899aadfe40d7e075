"""A gap read by calliper beside the same gap in a drawing: both stay, and it is said whether they agree."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coldpin.quantity import Quantity
from coldpin.records.distance import PathKind


class Agreement(StrEnum):
    """Whether a reading and a drawing say the same of a gap."""

    AGREES = "agrees"
    DIFFERS = "differs"
    CANNOT_TELL = "cannot tell"


@dataclass(frozen=True, slots=True, kw_only=True)
class CalliperGap:
    """A gap by calliper, and what the drawing has for it.

    ``entry`` is the id of the entry it was recorded in, empty where it was given by hand. ``ends`` name nets, groups or
    shapes. ``drawn_mm`` is null where the drawing has no such gap; ``difference_mm`` is the reading less the drawing.
    ``agreement`` is that of this gap among all that were compared on the same board. ``direction_deg`` is in which
    direction it runs in the drawing, from 0 up to 180 [deg], 90 being up and down; null where it has none. ``told``
    says it in a sentence.
    """

    entry: str
    ends: tuple[str, str]
    kind: PathKind
    reading_mm: Quantity
    drawn_mm: Quantity | None
    difference_mm: Quantity | None
    agreement: Agreement
    told: str
    direction_deg: float | None = None

"""Two cards in one picture: whether they lie in one plane, as the board between them should."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from coldpin.insulation.card_detection import FoundCard
from coldpin.insulation.plane_map import PlaneMap
from coldpin.quantity.printing import MINUS

APART = 3e-3
"""Ours: cards of one sheet whose scales differ by more than this lie in different planes, or on a slope."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CardPair:
    """The second card as measured by the map of the first.

    ``larger`` is by what part it comes out larger than it was drawn, ``missed_mm`` by how much its corners then miss
    its shape (standard deviation), ``length_u`` the relative standard uncertainty that both make.
    """

    name: str
    larger: float
    missed_mm: float
    length_u: float

    def told(self) -> str:
        """Say what was found.

        Returns
        -------
        str
            One sentence.
        """
        size = f"{100.0 * self.larger:+.2f}".replace("-", MINUS)
        found = (
            f"card {self.name} comes out larger by {size} % by the scale of the other card, and its corners miss its "
            f"shape by {self.missed_mm:.2g} mm"
        )
        if self.length_u * math.sqrt(3.0) < APART:
            return found
        return f"{found}: the cards do not lie in one plane, or were printed unlike; the scale is widened as far"


def compare_cards(plane: PlaneMap, other: FoundCard) -> CardPair:
    """Measure a card by the map that another gave; where both lie in one plane it comes out as drawn.

    Parameters
    ----------
    plane : PlaneMap
        The map by the first card, both printed alike.
    other : FoundCard
        The second card.

    Returns
    -------
    CardPair
        How the two agree.

    Sources
    -------
    Schönemann, A generalized solution of the orthogonal Procrustes problem (1966) (standing: memory).
    """
    seen, drawn = plane.to_mm(other.picture_px), other.plane_mm
    seen, drawn = seen - seen.mean(axis=0), drawn - drawn.mean(axis=0)
    left, sizes, right = np.linalg.svd(drawn.T @ seen)
    ratio = float(sizes.sum() / np.sum(drawn**2))
    missed = seen - ratio * drawn @ left @ right
    missed_mm = float(np.sqrt(np.mean(missed**2)))
    extent = float(np.sqrt(np.mean(drawn**2)))
    return CardPair(
        name=other.card.name,
        larger=ratio - 1.0,
        missed_mm=missed_mm,
        length_u=math.hypot(ratio - 1.0, missed_mm / extent) / math.sqrt(3.0),
    )

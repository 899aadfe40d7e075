"""Glitches of a stream: counted by width, the longest of them kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from coldpin.pilot.stream.table import Rows

KEPT = 20
"""Ours: so many of the longest glitches are told one by one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GlitchSums:
    """Glitches of a stretch: how many of each width in samples, and the longest as rows of `GLITCH`."""

    widths: Mapping[int, int] = field(default_factory=dict)
    longest: tuple[tuple[int, int, int, int], ...] = ()

    @property
    def count(self) -> int:
        """How many there are."""
        return sum(self.widths.values())

    def plus(self, other: GlitchSums) -> GlitchSums:
        """Return the glitches of two stretches together.

        Parameters
        ----------
        other : GlitchSums
            Those of the later stretch.

        Returns
        -------
        GlitchSums
            All of them.
        """
        if not other.widths:
            return self
        widths = dict(self.widths)
        for width, count in other.widths.items():
            widths[width] = widths.get(width, 0) + count
        longest = sorted((*self.longest, *other.longest), key=lambda glitch: (-glitch[1], glitch[0]))
        return GlitchSums(widths=widths, longest=tuple(longest[:KEPT]))


def glitch_sums(glitches: Rows) -> GlitchSums:
    """Return the sums of the glitches of a page.

    Parameters
    ----------
    glitches : NDArray
        Array of shape (g,) of `GLITCH`.

    Returns
    -------
    GlitchSums
        Their sums.

    Examples
    --------
    >>> from coldpin.pilot.stream.table import GLITCH
    >>> rows = np.array([(5, 2, -900, 0), (90, 4, 700, 1)], GLITCH)
    >>> glitch_sums(rows).widths, glitch_sums(rows).longest[0]
    ({2: 1, 4: 1}, (90, 4, 700, 1))
    """
    if glitches.size == 0:
        return GlitchSums()
    widths, counts = np.unique(glitches["samples"], return_counts=True)
    order = np.lexsort((glitches["index"], -glitches["samples"]))[:KEPT]
    return GlitchSums(
        widths=dict(zip(widths.tolist(), counts.tolist(), strict=True)),
        longest=tuple(glitches[order].tolist()),
    )

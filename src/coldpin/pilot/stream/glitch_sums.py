"""Glitches of a stream: counted by width, the longest of them kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from coldpin.pilot.glitches import LISTED, Excursions, list_counted
from coldpin.pilot.stream.plan import Plan
from coldpin.pilot.stream.table import Rows
from coldpin.records import pilot as records
from coldpin.records.pilot import Run


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
        return GlitchSums(widths=widths, longest=tuple(longest[:LISTED]))


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
    order = np.lexsort((glitches["index"], -glitches["samples"]))[:LISTED]
    return GlitchSums(
        widths=dict(zip(widths.tolist(), counts.tolist(), strict=True)),
        longest=tuple(glitches[order].tolist()),
    )


def listed(glitches: GlitchSums, runs: tuple[Run, ...], plan: Plan) -> records.Glitches:
    """Return the list of a capture's glitches: those across 0 V, by width, the longest one by one.

    Parameters
    ----------
    glitches : GlitchSums
        All of them.
    runs : tuple of Run
        The runs of the capture.
    plan : Plan
        The plan of the capture.

    Returns
    -------
    coldpin.records.pilot.Glitches
        The list.
    """
    widths = np.array(sorted(glitches.widths), np.int64)
    index, samples, peak, _ = np.array(glitches.longest, np.int64).reshape(-1, 4).T
    return list_counted(
        widths,
        np.array([glitches.widths[width] for width in widths.tolist()], np.int64),
        Excursions(index=index, samples=samples, peak=peak.astype(np.float64) * plan.gain + plan.zero),
        runs,
        plan.scale.interval,
    )

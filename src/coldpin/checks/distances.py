"""All distances found inside a unit, by calliper and in drawings of its boards."""

from __future__ import annotations

from coldpin.checks.distance_drawings import drawn_distances, without_calliper_doubts
from coldpin.checks.distance_evidence import FoundDistance, calliper_distances
from coldpin.checks.evidence import BenchEvidence


def found_distances(bench: BenchEvidence) -> tuple[FoundDistance, ...]:
    """Return every distance found inside, by calliper first.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of FoundDistance
        Once made for all checks.

    Raises
    ------
    EntryError
        A reading, a condition or a drawing cannot be used.
    """
    return bench.once("distances inside", lambda: _found(bench))


def _found(bench: BenchEvidence) -> tuple[FoundDistance, ...]:
    by_calliper, drawn = calliper_distances(bench), drawn_distances(bench)
    return (*without_calliper_doubts(by_calliper, drawn), *drawn)

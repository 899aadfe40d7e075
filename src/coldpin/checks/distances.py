"""All distances found inside a unit, by calliper and in drawings of its boards."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from coldpin.checks.distance_drawings import drawn_between, drawn_distances, part_of, without_search_doubts
from coldpin.checks.distance_evidence import FoundDistance, once_by_calliper
from coldpin.checks.distance_judging import Asked, JudgedDistance, judge_distance, telling
from coldpin.checks.evidence import BenchEvidence, BoardEvidence
from coldpin.records.distance import PathKind
from coldpin.records.distance_words import ACROSS


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
    by_calliper, drawn = once_by_calliper(bench), drawn_distances(bench)
    parts = {part_of(one.entry) for one in bench.boards}
    told = (_of_no_drawing(one, parts) for one in without_search_doubts(by_calliper, drawn))
    return (*told, *drawn)


def _of_no_drawing(gap: FoundDistance, parts: set[str]) -> FoundDistance:
    """Say of a gap that it stands beside none of the drawings, for its part may be misspelt."""
    if not parts or part_of(gap.entry) in parts:
        return gap
    named = ", ".join(repr(part) for part in sorted(parts))
    said = f"It stands beside no drawing: its part is {part_of(gap.entry)!r}, the drawings are of {named}."
    return replace(gap, remarks=(*gap.remarks, said))


def judged_everywhere(bench: BenchEvidence) -> tuple[JudgedDistance, ...]:
    """Judge every distance found inside, for a report that shows more than the worst of each check.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of JudgedDistance
        By what they lie between and by kind, the shortest first.

    Raises
    ------
    EntryError
        A reading, a condition or a drawing cannot be used.
    CaseError
        The claimed voltage cannot be read.
    """
    found = found_distances(bench)
    return tuple(one for word in ACROSS for one in _judged_across(bench, word, found))


def judged_between(
    bench: BenchEvidence, drawn: BoardEvidence, nets: tuple[str, str], sides: str
) -> tuple[JudgedDistance, ...]:
    """Judge the distances of one drawing between two nets, as :func:`judged_everywhere` does: for a drawing being made.

    Parameters
    ----------
    bench : BenchEvidence
        With that drawing among its boards.
    drawn : BoardEvidence
        The drawing.
    nets : tuple of str
        Two nets or groups, as `coldpin.checks.distance_drawings.pairs_of_nets` gives them.
    sides : str
        Between what they lie, a word of the vocabulary.

    Returns
    -------
    tuple of JudgedDistance
        By kind, the shortest first.

    Raises
    ------
    EntryError
        A reading, a condition or the drawing cannot be used.
    CaseError
        The claimed voltage cannot be read.
    """
    found = (*once_by_calliper(bench), *drawn_between(bench, drawn, nets, sides))
    return tuple(one for one in _judged_across(bench, sides, found) if one.found.board is drawn)


def _judged_across(bench: BenchEvidence, sides: str, found: Iterable[FoundDistance]) -> Iterator[JudgedDistance]:
    asked = Asked(check="inside", across=(sides,), what=sides, functions=())
    across = [one for one in found if one.across == sides]
    for kind in PathKind:
        yield from telling(judge_distance(bench, asked, one) for one in across if one.kind is kind)

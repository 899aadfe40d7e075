"""What the readings and drawings of a case say of distances inside, gathered for the report.

The checks judge; here the same distances are asked for whole, so that the report can show more than the worst of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.checks import BenchEvidence, BoardEvidence
from coldpin.checks.distance_drawings import gaps_beside, part_of
from coldpin.checks.distance_judging import JudgedDistance
from coldpin.checks.distances import judged_everywhere
from coldpin.checks.drawing_doubts import as_sentences, drawing_questions
from coldpin.insulation.corner_scatter import in_millimetres
from coldpin.records.board import BoardFeature
from coldpin.records.distance import Leg
from coldpin.records.distance_words import ACROSS
from coldpin.records.finding import Outcome
from coldpin.records.inside import BoardPhotograph, DegreeAsked, DrawnBoard, DrawnShape, InsideDistance, InsideEvidence
from coldpin.workbench.cable_evidence import usable

_WORST_FIRST = {Outcome.BEYOND: 0, Outcome.UNDECIDED: 1, Outcome.WITHIN: 2}
_PLACES = 4
"""A corner is kept to a tenth of a micrometre."""


def inside_evidence(
    bench: BenchEvidence, photograph: Callable[[BoardEvidence], BoardPhotograph | None] = lambda _: None
) -> InsideEvidence:
    """Return the distances found inside a unit.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    photograph : callable
        Gives the photograph that a drawing was made over; none where it is left out.

    Returns
    -------
    InsideEvidence
        Empty where nothing was recorded of them.
    """
    return next(iter(usable(bench, lambda spared: (_inside(spared, photograph),))), InsideEvidence())


def _inside(bench: BenchEvidence, photograph: Callable[[BoardEvidence], BoardPhotograph | None]) -> InsideEvidence:
    judged = judged_everywhere(bench)
    boards = (replace(_board(bench, drawn, judged), photograph=photograph(drawn)) for drawn in bench.boards)
    return InsideEvidence(distances=tuple(map(inside_distance, judged)), boards=tuple(boards))


def inside_distance(judged: JudgedDistance) -> InsideDistance:
    """Return a judged distance as it stands on record.

    Parameters
    ----------
    judged : JudgedDistance
        By calliper or in a drawing.

    Returns
    -------
    InsideDistance
        With the row that decides.
    """
    found, finding = judged.found, judged.finding
    deciding = judged.demanded[0] if finding.outcome is Outcome.BEYOND else judged.demanded[-1]
    length = found.length(deciding.asked.groove_x_mm)
    kind = found.kind
    return InsideDistance(
        across=found.across,
        kind=kind,
        entry=found.entry.id,
        told=" to ".join(found.ends),
        beside=found.beside,
        measured_mm=finding.quantity,
        over_range=found.over_range,
        at_least=found.at_least,
        at_most=found.at_most,
        insulation=deciding.insulation,
        degrees=tuple(
            DegreeAsked(
                pollution_degree=told.situation.pollution_degree,
                required_mm=placed.required_mm,
                basic_mm=told.basic.clearance_mm if kind.value == "clearance" else told.basic.creepage_mm,
                outcome=placed.outcome,
            )
            for told, placed in zip(judged.demanded, judged.placements, strict=True)
        ),
        outcome=finding.outcome,
        reach=finding.reach,
        probability=finding.probability,
        statement=finding.statement,
        why=judged.why,
        limit=finding.limit,
        drawn=found.board is not None,
        dominated_by=length.dominated_by,
        reduced_by=length.reduced_by,
        corners_mm=() if length.path is None else _corners(length.path.points()),
        counts=() if length.path is None else tuple(leg.leg is not Leg.CONDUCTOR for leg in length.path.legs),
    )


def _corners(points: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    return tuple((round(float(x), _PLACES), round(float(y), _PLACES)) for x, y in points)


def _board(bench: BenchEvidence, drawn: BoardEvidence, judged: Iterable[JudgedDistance]) -> DrawnBoard:
    ways = [inside_distance(one) for one in judged if one.found.board is drawn and not one.found.beside]
    gaps = gaps_beside(bench, drawn)
    file = drawn.entry.evidence
    return DrawnBoard(
        entry=drawn.entry.id,
        part=part_of(drawn.entry),
        file="" if file is None else file.file,
        sha256="" if file is None else file.sha256,
        drawn_from=drawn.entry.conditions.get("drawn from", ""),
        shapes=tuple(map(_shape, in_millimetres(drawn.board).features)),
        ways=tuple(sorted(ways, key=_worst_first)),
        calliper=gaps,
        undecided=as_sentences(drawing_questions(drawn.board, gaps)),
    )


def worst_outcome(outcomes: Iterable[Outcome]) -> Outcome | None:
    """Return the outcome that decides among several.

    Parameters
    ----------
    outcomes : iterable of Outcome
        Each within, beyond or undecided.

    Returns
    -------
    Outcome or None
        Beyond before undecided before within; None of none.

    Examples
    --------
    >>> worst_outcome([Outcome.WITHIN, Outcome.UNDECIDED])
    <Outcome.UNDECIDED: 'undecided'>
    """
    return min(outcomes, key=_WORST_FIRST.__getitem__, default=None)


def _worst_first(way: InsideDistance) -> tuple[int, int, float]:
    """Order ways by outcome, then by what they part from the mains, then by how much is left of what is asked for."""
    length = 0.0 if way.measured_mm is None else way.measured_mm.value
    return _WORST_FIRST[way.outcome], ACROSS.index(way.across), length / way.degrees[-1].required_mm


def _shape(feature: BoardFeature) -> DrawnShape:
    return DrawnShape(
        name=feature.name,
        role=feature.role,
        group=feature.group,
        outline_mm=_corners(feature.outline),
        openings_mm=tuple(map(_corners, feature.openings)),
    )

"""Distances in drawings of boards as the checks see them, with what a drawing cannot show."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import TypeVar

import shapely

from coldpin.checks.distance_demands import demands
from coldpin.checks.distance_evidence import (
    OTHER_FACE,
    FoundDistance,
    Length,
    once_by_calliper,
    sides_of,
)
from coldpin.checks.distance_voltage import voltage_between
from coldpin.checks.drawing_doubts import drawing_doubts, drawing_questions, why_no_way
from coldpin.checks.evidence import BenchEvidence, BoardEvidence
from coldpin.checks.readings import Side, mean, readings
from coldpin.errors import EntryError, InputError
from coldpin.insulation.calliper_bias import beside_calliper
from coldpin.insulation.calliper_gaps import judge_together, reconcile_gap
from coldpin.insulation.corner_scatter import in_millimetres
from coldpin.insulation.joint_bound import joint_factor
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.insulation.situation import propose_situation
from coldpin.insulation.surfaces import area_of
from coldpin.quantity import Quantity, format_figure
from coldpin.records.board import BoardFeature, BoardModel, Role
from coldpin.records.board_words import CALLIPER_GAP
from coldpin.records.calliper_gap import CalliperGap
from coldpin.records.distance import Distances, IsolationPath, Leg, MeasuredDistance, PathKind
from coldpin.records.distance_words import BRIDGES, across
from coldpin.records.entry import Entry
from coldpin.records.finding import Reach
from coldpin.records.nets import MAINS, group_of
from coldpin.standards.creepage import groove_width
from coldpin.standards.table import needed

T = TypeVar("T")

_KINDS = {
    "transformer": re.compile(r"transf|\bT\d", re.IGNORECASE),
    "optocoupler": re.compile(r"opto|photocoupl", re.IGNORECASE),
    "relay": re.compile(r"relay|\bK\d", re.IGNORECASE),
    "capacitor": re.compile(r"capacit|\bC\d", re.IGNORECASE),
}
"""How the name of a part tells its kind: the words themselves, and the letters of circuit diagrams."""

ANY_PART = "part"
"""What stands on conductors of both sides bridges them, whatever it is called."""


def drawn_distances(bench: BenchEvidence) -> tuple[FoundDistance, ...]:
    """Return the distances of all drawings, between all nets that something is asked of.

    Parameters
    ----------
    bench : BenchEvidence
        With drawings of boards.

    Returns
    -------
    tuple of FoundDistance
        In the order of the drawings.

    Raises
    ------
    EntryError
        A drawing cannot be measured in.
    CaseError
        The claimed voltage cannot be read.
    """
    return tuple(one for drawn in bench.boards for one in _of_drawing(bench, drawn))


def _of_drawing(bench: BenchEvidence, drawn: BoardEvidence) -> Iterator[FoundDistance]:
    for nets, sides in _in_it(drawn, lambda: pairs_of_nets(drawn.board)):
        yield from drawn_between(bench, drawn, nets, sides)


def drawn_between(
    bench: BenchEvidence, drawn: BoardEvidence, nets: tuple[str, str], sides: str
) -> tuple[FoundDistance, ...]:
    """Return the distances of one drawing between two nets: of the whole board, then under each part that bridges them.

    Parameters
    ----------
    bench : BenchEvidence
        With that drawing among its boards.
    drawn : BoardEvidence
        The drawing.
    nets : tuple of str
        Two nets or groups, as :func:`pairs_of_nets` gives them.
    sides : str
        Between what they lie, a word of the vocabulary.

    Returns
    -------
    tuple of FoundDistance
        Both kinds, as far as there is a way.

    Raises
    ------
    EntryError
        The drawing cannot be measured in.
    CaseError
        The claimed voltage cannot be read.
    """

    def find() -> tuple[FoundDistance, ...]:
        in_mm = in_millimetres(drawn.board)
        whole = _between(bench, drawn, in_mm, nets, sides, drawn.board, beside=())
        return (*whole, *_under_bridges(bench, drawn, in_mm, nets, sides))

    return _in_it(drawn, find)


def _in_it(drawn: BoardEvidence, find: Callable[[], T]) -> T:
    """Find something in a drawing; where it cannot be measured in, its entry is named."""
    try:
        return find()
    except EntryError:
        raise
    except InputError as error:
        raise EntryError.of(drawn.entry.id, f"the drawing cannot be measured in: {error}") from error


def pairs_of_nets(board: BoardModel) -> tuple[tuple[tuple[str, str], str], ...]:
    """Return the pairs of nets of a drawing that something is asked of, and between what each lies.

    All nets of the mains together face each other group; the poles face each other one by one.

    Parameters
    ----------
    board : BoardModel
        The drawing.

    Returns
    -------
    tuple of (tuple of str, str)
        Two nets or groups, and a word of the vocabulary.
    """
    nets = dict.fromkeys(feature.net for feature in board.of_role(Role.CONDUCTOR) if feature.net)
    groups = dict.fromkeys(map(group_of, nets))
    facing = [((MAINS, group), across(MAINS, group)) for group in groups] if MAINS in groups else []
    poles = [((one, other), across(one, other)) for one, other in combinations(nets, 2) if _is_mains(one, other)]
    return tuple((pair, sides) for pair, sides in (*facing, *poles) if sides)


def _is_mains(*nets: str) -> bool:
    return all(group_of(net) == MAINS for net in nets)


def _between(
    bench: BenchEvidence,
    drawn: BoardEvidence,
    in_mm: BoardModel,
    nets: tuple[str, str],
    sides: str,
    board: BoardModel,
    *,
    beside: tuple[str, ...],
    between: frozenset[str] = frozenset(),
) -> Iterator[FoundDistance]:
    """Yield both kinds between two nets, and of each the shortest way over a part that floats where it is another."""
    voltage = voltage_between(bench, nets)
    demanded = demands(bench, sides, working_voltage=voltage)
    measured = partial(measured_between, bench, drawn, nets, board, between)
    harshest = measured(demanded[-1].asked.groove_x_mm)
    for kind in PathKind:
        # without a surface from one to the other there is no creepage: the air between is the least it would have
        in_air = _of(harshest, kind) is None
        measured_as = PathKind.CLEARANCE if in_air else kind
        shortest = _of(harshest, measured_as)
        if shortest is None:
            continue
        questions = drawing_questions(drawn.board, gaps_beside(bench, drawn), (shortest.length_mm.value,))
        if in_air:
            questions = (*questions, why_no_way(in_mm, nets))
        row = demanded[-1].asked
        doubts = drawing_doubts(
            in_mm,
            nets,
            kind,
            needed_mm=row.clearance_mm if kind is PathKind.CLEARANCE else row.creepage_mm,
            groove_x_mm=row.groove_x_mm,
            book=bench.book,
            searched=_searched(bench, drawn, sides),
            over_picture=drawn.board.calibration is not None,
            picture_size_known=drawn.board.calibration is None or drawn.board.calibration.picture_size_px is not None,
        )
        if not beside:
            doubts += _shorter_by_calliper(
                bench, drawn, sides, {kind: shortest, PathKind.CLEARANCE: harshest.clearance}
            )
        base = FoundDistance(
            across=sides,
            kind=kind,
            entry=drawn.entry,
            length=partial(_length_by, measured, measured_as),
            reach=Reach.CONSTRUCTION,
            ends=(shortest.path.told,),
            beside=beside,
            at_least=in_air,
            doubts=doubts,
            questions=questions,
            remarks=(*harshest.remarks, *_unseen(harshest)),
            working_voltage_v=voltage,
            floats=_floats(board, shortest.path),
            board=drawn,
        )
        yield base
        floating = next((one for one in _next(harshest, kind) if _floats(board, one.path)), None)
        if not base.floats and floating is not None and not (beside or in_air):
            fixed = Length(quantity=floating.length_mm, path=floating.path)
            yield replace(base, length=partial(_whatever_x, fixed), ends=(floating.path.told,), floats=True)


def measured_between(
    bench: BenchEvidence,
    drawn: BoardEvidence,
    nets: tuple[str, str],
    board: BoardModel,
    between: frozenset[str],
    groove_x: float,
) -> Distances:
    """Return what lies between two nets of a drawing for one width X, with what the gaps by calliper leave of it.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence; the same is measured once.
    drawn : BoardEvidence
        The drawing.
    nets : tuple of str
        Two nets or groups.
    board : BoardModel
        Its shapes; fewer where only the conductors under a part are asked for.
    between : frozenset of str
        The names of these conductors, empty for all.
    groove_x : float
        The width X under which a groove is bridged. [mm]

    Returns
    -------
    Distances
        Both kinds, with the next ones.

    Raises
    ------
    EntryError
        A reading cannot be read.
    InputError
        The drawing cannot be measured in.
    """
    name = f"distances in {drawn.entry.id}, {nets}, {sorted(between)}, X {groove_x}"
    gaps = gaps_beside(bench, drawn)

    def make() -> Distances:
        return beside_calliper(measure_distances(board, nets, groove_x_mm=groove_x, book=bench.book), gaps)

    return bench.once(name, lambda: bench.kept("distances", (board, nets, groove_x, gaps), make))


def _of(found: Distances, kind: PathKind) -> MeasuredDistance | None:
    return found.clearance if kind is PathKind.CLEARANCE else found.creepage


def _next(found: Distances, kind: PathKind) -> tuple[MeasuredDistance, ...]:
    return found.next_clearance if kind is PathKind.CLEARANCE else found.next_creepage


def _length_by(measured: Callable[[float], Distances], kind: PathKind, groove_x: float) -> Length:
    """Return the length of a way where grooves narrower than X are bridged."""
    found = measured(groove_x)
    return _length(_of(found, kind), found, kind)


def _whatever_x(length: Length, _groove_x: float) -> Length:
    """Return a length that was measured for one X and stands for every other."""
    return length


def _length(measured: MeasuredDistance | None, found: Distances, kind: PathKind) -> Length:
    assert measured is not None, "a way that is there for one X is there for every other"
    larger = [one.length_mm for one in found.other_readings if one.path.kind is kind]
    return Length(
        quantity=measured.length_mm,
        larger=max(larger, key=lambda one: one.value, default=None),
        path=measured.path,
        dominated_by=measured.dominated_by,
        reduced_by=measured.reduced_by,
    )


def _floats(board: BoardModel, path: IsolationPath) -> bool:
    """Say whether a way crosses what belongs to no net; a conductor of another circuit on the way is none of these."""
    loose = {shape.name for shape in board.of_role(Role.FLOATING)}
    return any(leg.leg is Leg.CONDUCTOR and leg.passes in loose for leg in path.legs)


def _unseen(found: Distances) -> tuple[str, ...]:
    return (f"Not seen in the drawing: {', '.join(found.not_seen)}.",) if found.not_seen else ()


def gaps_beside(bench: BenchEvidence, drawn: BoardEvidence) -> tuple[CalliperGap, ...]:
    """Return the gaps by calliper that can be held against a drawing, with whether they agree.

    Sums over parts that float are left out, for they are no gap between two ends; so is what names no two ends that the
    drawing has, and what only bounds the gap.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    drawn : BoardEvidence
        The drawing.

    Returns
    -------
    tuple of CalliperGap
        One for each entry of the same part of the unit.

    Raises
    ------
    EntryError
        A reading cannot be read.
    """
    return bench.once(f"calliper beside {drawn.entry.id}", lambda: judge_together(tuple(_reconciled(bench, drawn))))


def _reconciled(bench: BenchEvidence, drawn: BoardEvidence) -> Iterator[CalliperGap]:
    degree = propose_situation(bench.book, bench.case.unit).pollution_degrees[0]
    groove_x = needed(groove_width(bench.book, degree), "nominal")
    for entry in bench.showing(CALLIPER_GAP):
        ends = entry.conditions.get("from", ""), entry.conditions.get("to", "")
        read = mean(readings(bench, entry))
        if (
            part_of(entry) != part_of(drawn.entry)
            or entry.conditions.get("further gaps")
            or read.side is not Side.VALUE
        ):
            continue
        kind = PathKind(entry.conditions.get("kind") or PathKind.CLEARANCE)
        with suppress(InputError):
            yield bench.kept(
                "gap by calliper beside a drawing",
                (drawn.board, read.quantity, ends, kind, groove_x, entry.id),
                partial(
                    reconcile_gap,
                    drawn.board,
                    read.quantity,
                    ends,
                    kind,
                    groove_x_mm=groove_x,
                    entry=entry.id,
                    book=bench.book,
                ),
            )


def part_of(entry: Entry) -> str:
    """Return which board or part of the unit an entry is of.

    Parameters
    ----------
    entry : Entry
        A drawing or a gap by calliper.

    Returns
    -------
    str
        In the tester's words, empty where there is one board.
    """
    return entry.conditions.get("part", "").strip()


def _shorter_by_calliper(
    bench: BenchEvidence, drawn: BoardEvidence, sides: str, ways: Mapping[PathKind, MeasuredDistance | None]
) -> tuple[str, ...]:
    """Name the gaps by calliper that are shorter than the shortest way of a drawing, whatever their ends.

    A straight gap that the drawing does not have lies at a place that it does not have, where the way along the surface
    may be shorter too: to doubt a creepage, the clearance stands among the ways. Where an accuracy is not known, less
    is shorter: it costs a doubt only. The gaps that are compared have one bound together.
    """
    beside = [
        (gap, way.length_mm)
        for gap in once_by_calliper(bench)
        if gap.across == sides and part_of(gap.entry) == part_of(drawn.entry)
        if not (gap.at_least or gap.over_range)
        if (way := ways.get(gap.kind)) is not None
    ]
    told: dict[str, None] = {}
    for gap, shortest in beside:
        read = gap.length(0.0).quantity
        room = math.hypot(_half(shortest), _half(read)) * joint_factor(len(beside))
        if read.value < shortest.value - room:
            told[f"a gap by calliper (entry {gap.entry.id}) is shorter, {format_figure(read)}"] = None
    return tuple(told)


def _half(quantity: Quantity) -> float:
    return 0.5 * (quantity.high - quantity.low) if quantity.low is not None and quantity.high is not None else 0.0


def _searched(bench: BenchEvidence, drawn: BoardEvidence, sides: str) -> set[str]:
    """Return where gaps by calliper of the same part were looked for across the same sides."""
    beside = (one for one in bench.showing(CALLIPER_GAP) if part_of(one) == part_of(drawn.entry))
    return {one.conditions.get("searched", "") for one in beside if sides_of(bench, one) == sides}


def _under_bridges(
    bench: BenchEvidence, drawn: BoardEvidence, in_mm: BoardModel, nets: tuple[str, str], sides: str
) -> Iterator[FoundDistance]:
    """Yield the distances between the conductors of both sides that a part stands on."""
    bridges = (*_bodies_over(in_mm, nets), *_named_by_calliper(bench, drawn, nets))
    for beside, kept in dict.fromkeys(bridges):
        alone = tuple(shape for shape in drawn.board.features if shape.role is not Role.CONDUCTOR or shape.name in kept)
        cut = replace(drawn.board, features=alone)
        yield from _between(bench, drawn, in_mm, nets, sides, cut, beside=beside, between=kept)


Bridge = tuple[tuple[str, ...], frozenset[str]]
"""The kind of a part and what it is called, and the names of the conductors that it stands on."""


def _bodies_over(in_mm: BoardModel, nets: tuple[str, str]) -> Iterator[Bridge]:
    """Yield the parts whose bodies stand on conductors of both sides."""
    for part in in_mm.of_role(Role.COMPONENT):
        kind, body = _kind_of(part), area_of(part)
        touched = [
            {shape.name for shape in in_mm.of_net(net) if shapely.intersects(body, area_of(shape))} for net in nets
        ]
        if all(touched):
            yield (kind, part.name), frozenset(set.union(*touched))


def _named_by_calliper(bench: BenchEvidence, drawn: BoardEvidence, nets: tuple[str, str]) -> Iterator[Bridge]:
    """Yield the parts between whose conductors, by their names in the drawing, a gap was read by calliper."""
    named = [{shape.name for shape in drawn.board.of_net(net)} for net in nets]
    for entry in bench.showing(CALLIPER_GAP):
        beside = entry.conditions.get("beside", "")
        ends = [entry.conditions.get(end, "") for end in ("from", "to")]
        faces = any(one in named[0] and other in named[1] for one, other in (ends, ends[::-1]))
        if beside in BRIDGES and faces and part_of(entry) == part_of(drawn.entry):
            yield (beside,), frozenset(ends)


def _kind_of(part: BoardFeature) -> str:
    said = f"{part.name} {part.told}"
    return next((kind for kind, pattern in _KINDS.items() if pattern.search(said)), ANY_PART)


def without_search_doubts(
    by_calliper: Iterable[FoundDistance], drawn: Iterable[FoundDistance]
) -> tuple[FoundDistance, ...]:
    """Return gaps by calliper; where a drawing shows all places on both faces, theirs need not have been searched.

    That a part was not looked under stays a doubt, and every doubt does where the drawing has one of its own.

    Parameters
    ----------
    by_calliper : iterable of FoundDistance
        Gaps by calliper.
    drawn : iterable of FoundDistance
        Distances in drawings.

    Returns
    -------
    tuple of FoundDistance
        The gaps.
    """
    covered = {
        (one.across, one.kind, part_of(one.entry)) for one in drawn if not (one.beside or one.doubts or one.questions)
    }
    return tuple(
        replace(one, doubts=tuple(doubt for doubt in one.doubts if doubt != OTHER_FACE))
        if (one.across, one.kind, part_of(one.entry)) in covered
        else one
        for one in by_calliper
    )

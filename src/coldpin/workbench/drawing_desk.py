"""A drawing while it is being made: what lies between its nets, by the same functions as in the report.

A case is opened once and drawings are looked at beside it, none of them filed. While a corner is dragged the ways are
found anew each time and their uncertainty comes from fewer draws; nothing is judged by that. When the drawing rests it
is judged as if it had been filed.
"""

from __future__ import annotations

import hashlib
import threading
from collections import OrderedDict
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.capture.board_file import BoardFile, parse_board
from coldpin.checks import BenchEvidence, BoardEvidence
from coldpin.checks.distance_demands import demands, taken_for_granted
from coldpin.checks.distance_drawings import gaps_beside, measured_between, pairs_of_nets, part_of
from coldpin.checks.distance_evidence import once_by_calliper
from coldpin.checks.distance_judging import JudgedDistance
from coldpin.checks.distance_voltage import voltage_between
from coldpin.checks.distances import judged_between
from coldpin.checks.drawing_doubts import as_sentences, drawing_questions
from coldpin.errors import EntryError, UnknownName
from coldpin.insulation.corner_scatter import Drawing
from coldpin.insulation.drawn_ways import as_drawn, band
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.records.board_words import BOARD_DRAWING
from coldpin.records.distance import Distances, IsolationPath, Leg, MeasuredDistance, PathKind
from coldpin.records.drawn_ways import AskedDistance, DrawingLook, DrawnBarrier, DrawnWay, PairOfNets
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.required_distances import RequiredDistances
from coldpin.workbench.inside_evidence import inside_distance, worst_outcome
from coldpin.workbench.opening import OpenedCase, is_decoded, open_to_assess

KEPT = 4
"""Ours: so many drawings are remembered with what was made of them, for the pairs of nets are asked for one by one."""

LIVE_DRAWS = 100
"""Ours: draws of every corner while one is dragged; the ends of an interval are then known to a quarter of u."""

LIVE_NEXT = 1
"""Ours: further ways of each kind while a corner is dragged."""

PLACES = 3
"""Ours: decimals of a place in a drawing, finer than anything is picked. [1]"""

UNFILED = "not filed"
"""Stands for the id of an entry while a drawing has none."""

PROVISIONAL = (
    f"Provisional, while the drawing moves: ± from {LIVE_DRAWS} draws, gaps by calliper left out, nothing judged. "
    "It is judged when the drawing rests."
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seen:
    """A drawing as the checks see it, with what there is to say of its file."""

    bench: BenchEvidence
    drawn: BoardEvidence
    read: BoardFile


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DrawingDesk:
    """A case in which drawings are looked at that are not filed.

    Parameters
    ----------
    opened : OpenedCase
        The case as it stood when it was opened.
    """

    opened: OpenedCase
    _lock: threading.Lock = field(init=False, repr=False, default_factory=threading.Lock)
    _seen: OrderedDict[tuple[str, str], Seen] = field(init=False, repr=False, default_factory=OrderedDict)
    _asked: dict[tuple[str, str], tuple[RequiredDistances, ...]] = field(init=False, repr=False, default_factory=dict)

    @classmethod
    def open(cls, folder: Path | str) -> DrawingDesk:
        """Open a case to look at drawings.

        Parameters
        ----------
        folder : Path or str
            The case.

        Returns
        -------
        DrawingDesk
            For this state of the case; what is recorded later needs another.

        Raises
        ------
        CaseError
            The case cannot be read.
        """
        return cls(opened=open_to_assess(folder))

    def see(self, data: bytes, *, part: str = "", where: str = "as it is drawn") -> Seen:
        """Read a drawing, and see it as the checks would if it had been filed.

        Parameters
        ----------
        data : bytes
            The drawing, GeoJSON in UTF-8.
        part : str
            Of which board it is.
        where : str
            What the drawing is called in messages.

        Returns
        -------
        Seen
            Asked for again with the same bytes, it is the same.

        Raises
        ------
        CaptureError
            It is no drawing, or draws what cannot be.
        """
        key = hashlib.sha256(data).hexdigest(), part
        with self._lock:
            if key in self._seen:
                self._seen.move_to_end(key)
                return self._seen[key]
        seen = self._as_evidence(parse_board(data, where=where), part)
        with self._lock:
            self._seen[key] = seen
            while len(self._seen) > KEPT:
                self._seen.popitem(last=False)
        return seen

    def _as_evidence(self, read: BoardFile, part: str) -> Seen:
        opened = self.opened
        before = [one for one in opened.usable if one.shows == BOARD_DRAWING and part_of(one) == part]
        drawn = BoardEvidence(entry=before[-1] if before else _unfiled(part), board=read.board)
        bench = BenchEvidence(
            case=opened.description,
            edition=opened.edition,
            book=opened.book,
            entries=(*(one for one in opened.usable if not is_decoded(one)), drawn.entry),
            instruments=opened.bench.instruments,
            boards=(drawn,),
            keep=opened.keep,
        )
        return Seen(bench=bench, drawn=drawn, read=read)

    def look(self, data: bytes, *, part: str = "") -> DrawingLook:
        """Say between which nets of a drawing something is asked, and how it agrees with gaps by calliper.

        Parameters
        ----------
        data : bytes
            The drawing.
        part : str
            Of which board it is.

        Returns
        -------
        DrawingLook
            As if it had been filed.

        Raises
        ------
        CaptureError
            It is no drawing, or draws what cannot be.
        InputError
            Its scale cannot be fitted.
        """
        seen = self.see(data, part=part)
        Drawing.of(seen.drawn.board)  # a scale that cannot be fitted is told here
        spared = _spared(seen.bench)
        gaps = gaps_beside(spared, seen.drawn)
        return DrawingLook(
            schema="coldpin.drawing_look/1",
            pairs=tuple(PairOfNets(nets=nets, across=sides) for nets, sides in pairs_of_nets(seen.drawn.board)),
            calliper=gaps,
            undecided=as_sentences(drawing_questions(seen.drawn.board, gaps)),
            remarks=seen.read.remarks,
        )

    def follow(self, data: bytes, nets: tuple[str, str], *, part: str = "") -> DrawnBarrier:
        """Find the ways between two nets while a corner is dragged: provisional, and nothing judged.

        Parameters
        ----------
        data : bytes
            The drawing.
        nets : tuple of str
            Two nets or groups, one of the pairs that :meth:`look` gives.
        part : str
            Of which board it is.

        Returns
        -------
        DrawnBarrier
            The shortest way of each kind, and the next.

        Raises
        ------
        CaptureError
            It is no drawing, or draws what cannot be.
        UnknownName
            It has no such pair of nets.
        InputError
            It cannot be measured in.
        """
        seen = self._as_evidence(parse_board(data, where="as it is drawn"), part)
        sides = _sides(seen, nets)
        demanded = self._demands(seen.bench, sides, nets)
        groove_x = demanded[-1].asked.groove_x_mm
        found = measure_distances(
            seen.drawn.board,
            nets,
            groove_x_mm=groove_x,
            next_count=LIVE_NEXT,
            book=seen.bench.book,
            draws=LIVE_DRAWS,
        )
        return DrawnBarrier(
            schema="coldpin.drawn_barrier/1",
            nets=nets,
            across=sides,
            groove_x_mm=groove_x,
            ways=tuple(_in_order(Drawing.of(seen.drawn.board), found)),
            asked=_asked(demanded),
            conditions=(),
            provisional=PROVISIONAL,
            remarks=found.remarks,
        )

    def _demands(self, bench: BenchEvidence, sides: str, nets: tuple[str, str]) -> tuple[RequiredDistances, ...]:
        """Return what is asked for between two nets, which does not hang on where a corner lies."""
        if nets not in self._asked:
            self._asked[nets] = demands(_spared(bench), sides, working_voltage=voltage_between(bench, nets))
        return self._asked[nets]

    def judge(self, data: bytes, nets: tuple[str, str], *, part: str = "") -> DrawnBarrier:
        """Judge what lies between two nets of a drawing, as the report would if it had been filed.

        Parameters
        ----------
        data : bytes
            The drawing.
        nets : tuple of str
            Two nets or groups, one of the pairs that :meth:`look` gives.
        part : str
            Of which board it is.

        Returns
        -------
        DrawnBarrier
            With every way that the report judges, and the next ones.

        Raises
        ------
        CaptureError
            It is no drawing, or draws what cannot be.
        UnknownName
            It has no such pair of nets.
        InputError
            It cannot be measured in.
        """
        seen = self.see(data, part=part)
        sides = _sides(seen, nets)
        bench, drawn = _spared(seen.bench), seen.drawn
        judged = judged_between(bench, drawn, nets, sides)
        demanded = demands(bench, sides, working_voltage=voltage_between(bench, nets))
        groove_x = demanded[-1].asked.groove_x_mm
        found = measured_between(bench, drawn, nets, drawn.board, frozenset(), groove_x)
        drawing = Drawing.of(drawn.board)
        return DrawnBarrier(
            schema="coldpin.drawn_barrier/1",
            nets=nets,
            across=sides,
            groove_x_mm=groove_x,
            ways=(*_in_order(drawing, found), *_under_parts(drawing, judged)),
            asked=_asked(demanded),
            conditions=(*_conditions(demanded), *taken_for_granted(bench, demanded[-1])),
            outcome=worst_outcome(one.finding.outcome for one in judged),
            judged=tuple(map(inside_distance, judged)),
            undecided=as_sentences(drawing_questions(drawn.board, gaps_beside(bench, drawn))),
            remarks=found.remarks,
        )


def _unfiled(part: str) -> Entry:
    conditions = {"part": part} if part else {}
    now = "1970-01-01T00:00:00+00:00"
    return Entry(
        id=UNFILED,
        kind=EntryKind.EVIDENCE,
        shows=BOARD_DRAWING,
        made=now,
        recorded=now,
        who="",
        conditions=conditions,
    )


def _spared(bench: BenchEvidence) -> BenchEvidence:
    """Return the evidence without the entries that cannot be used; the assessment tells of these."""
    return bench.once("without what cannot be used", lambda: _without_unusable(bench))


def _without_unusable(bench: BenchEvidence) -> BenchEvidence:
    (drawn,) = bench.boards
    while True:
        try:
            once_by_calliper(bench)
            gaps_beside(bench, drawn)
            for nets, sides in pairs_of_nets(drawn.board):
                demands(bench, sides, working_voltage=voltage_between(bench, nets))
            return bench
        except EntryError as error:
            if error.entry not in {entry.id for entry in bench.entries} or error.entry == drawn.entry.id:
                raise
            bench = bench.without(error.entry)


def _sides(seen: Seen, nets: tuple[str, str]) -> str:
    pairs = dict(pairs_of_nets(seen.drawn.board))
    if nets not in pairs:
        raise UnknownName.among("pair of nets", " | ".join(nets), [" | ".join(pair) for pair in pairs])
    return pairs[nets]


def _asked(demanded: tuple[RequiredDistances, ...]) -> tuple[AskedDistance, ...]:
    return tuple(
        AskedDistance(
            kind=kind,
            insulation=told.insulation,
            pollution_degree=told.situation.pollution_degree,
            required_mm=told.clearance_mm if kind is PathKind.CLEARANCE else told.creepage_mm,
            basic_mm=told.basic.clearance_mm if kind is PathKind.CLEARANCE else told.basic.creepage_mm,
        )
        for kind in PathKind
        for told in demanded
    )


def _conditions(demanded: tuple[RequiredDistances, ...]) -> Iterator[str]:
    """Say from what the required distances follow."""
    told = demanded[-1]
    situation = told.situation
    degrees = " and ".join(str(one.situation.pollution_degree) for one in demanded)
    group = "" if situation.material_group is not None else ", the material not being known"
    yield (
        f"{told.insulation.value.capitalize()} insulation, {situation.nominal_voltage_v:g} V, overvoltage category "
        f"{situation.overvoltage_category}, pollution degree {degrees}, material group {told.material_group}{group}."
    )
    if situation.working_voltage_v is not None:
        yield f"Working voltage across it: {situation.working_voltage_v:g} V r.m.s."
    yield f"Grooves narrower than {told.asked.groove_x_mm:.3g} mm are bridged."


def _in_order(drawing: Drawing, found: Distances) -> Iterator[DrawnWay]:
    """Yield the shortest way of each kind, then those that come next."""
    kinds = ((found.clearance, found.next_clearance), (found.creepage, found.next_creepage))
    for shortest, following in kinds:
        every = (*(() if shortest is None else (shortest,)), *following)
        for rank, one in enumerate(every, start=1):
            yield _way(drawing, one, one.path, rank)


def _under_parts(drawing: Drawing, judged: tuple[JudgedDistance, ...]) -> Iterator[DrawnWay]:
    for one in judged:
        if not one.found.beside:
            continue
        length = one.found.length(one.demanded[-1].asked.groove_x_mm)
        if length.path is None:
            continue
        measured = MeasuredDistance(
            path=length.path,
            length_mm=length.quantity,
            dominated_by=length.dominated_by,
            reduced_by=length.reduced_by,
        )
        yield replace(_way(drawing, measured, length.path, 1), beside=one.found.beside)


def _way(drawing: Drawing, measured: MeasuredDistance, path: IsolationPath, rank: int) -> DrawnWay:
    corners = path.points()
    return DrawnWay(
        kind=path.kind,
        rank=rank,
        length_mm=measured.length_mm,
        between=path.between,
        told=path.told,
        path=_placed(drawing, corners),
        counts=tuple(leg.leg is not Leg.CONDUCTOR for leg in path.legs),
        band=tuple(_placed(drawing, rim) for rim in band(corners, measured.length_mm)),
        dominated_by=measured.dominated_by,
        reduced_by=measured.reduced_by,
    )


def _placed(drawing: Drawing, corners_mm: NDArray[np.float64]) -> tuple[tuple[float, float], ...]:
    places = as_drawn(drawing, corners_mm)
    return tuple((round(float(x), PLACES), round(float(y), PLACES)) for x, y in places)

"""A quick look at the drawing of a board: what lies between two of its nets, with nothing written anywhere."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from coldpin.checks.drawing_doubts import as_sentences, drawing_doubts, drawing_questions
from coldpin.errors import InputError, UnknownName
from coldpin.insulation.calliper_bias import beside_calliper
from coldpin.insulation.calliper_gaps import judge_together, reconcile_gap
from coldpin.insulation.corner_scatter import in_millimetres
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.insulation.placing import place_distance, placements_told
from coldpin.insulation.required_telling import weaker_than_asked
from coldpin.quantity import parse_quantity
from coldpin.records.assessment import Problem
from coldpin.records.board import BoardModel
from coldpin.records.board_distances import BoardDistances, DistancePath
from coldpin.records.calliper_gap import CalliperGap
from coldpin.records.distance import Distances, MeasuredDistance, PathKind
from coldpin.records.distance_words import across
from coldpin.records.finding import Outcome
from coldpin.records.required_distances import DistancePlacement, DistanceRow, RequiredDistances
from coldpin.standards.book import Book, load_book
from coldpin.standards.creepage import groove_width, groove_x
from coldpin.standards.table import needed
from coldpin.workbench.board_source import DrawingSource, gap_by_hand, open_drawing
from coldpin.workbench.required_distances import UNKNOWN, tell_required_distances

NEXT = 3
"""Ours: how many further paths of each kind are told unless more are asked for."""

MOST_NEXT = 50
"""Ours: the most that may be asked for."""


SEA_LEVEL = "0 m"


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """For which the distances are asked: texts as given; all but the degree may be left out."""

    voltage: str = ""
    overvoltage_category: str = ""
    material_group: str = ""
    insulation: str = ""
    between: str = ""
    altitude: str = ""
    unit: str = ""

    @property
    def others(self) -> dict[str, str]:
        """What was given beside the voltage, by name."""
        given = {
            "overvoltage_category": self.overvoltage_category,
            "material_group": self.material_group,
            "insulation": self.insulation,
            "between": self.between,
            "altitude": self.altitude,
            "unit": self.unit,
        }
        return {name: text for name, text in given.items() if text}


def measure_board(
    path: Path | str,
    nets: tuple[str, str],
    *,
    pollution_degree: int,
    asked: Asked | None = None,
    part: str = "",
    calliper: Sequence[str] = (),
    groove: str = "",
    pick_uncertainty: str = "",
    next_count: int = NEXT,
    book: Book | None = None,
) -> BoardDistances:
    """Measure clearance and creepage between two nets of a drawing, and place them beside what is asked for.

    Of a case the newest drawing is measured, and the gaps recorded by calliper for the same part stand beside it.

    Parameters
    ----------
    path : Path or str
        The drawing, a GeoJSON file, or the folder of a case.
    nets : tuple of str
        A net ("mains L") or a group of nets ("mains") at each end.
    pollution_degree : int
        1 to 3: says how wide a groove must be to count.
    asked : Asked, optional
        Where the insulation stands, for the required distances; none are told where it has no voltage.
    part : str
        Which board of a case, where it has several.
    calliper : sequence of str
        Gaps read by calliper on the same board: "R5 | relay pin 3 = 4.97 mm ± 0.03 mm".
    groove : str
        The width X by hand: "1.0 mm"; it goes before everything else.
    pick_uncertainty : str
        Standard uncertainty of each corner drawn, for a drawing in millimetres that does not say it: "0.03 mm".
    next_count : int
        How many further paths of each kind.
    book : Book, optional
        The constants; ours where it is left out.

    Returns
    -------
    BoardDistances
        Both distances with paths, the next ones, and where they fall.

    Raises
    ------
    CaptureError
        The drawing cannot be read, or draws what cannot be.
    CaseError
        The case cannot be read, or has no such drawing.
    UnknownName
        The drawing has no such net or group; all are listed.
    QuantityTextError
        A value cannot be read.
    UnitError
        A unit is unknown or of another kind.
    OutsideRange
        A value is one that cannot be.
    InputError
        Something is given that does not go with the rest.
    """
    asked = asked or Asked()
    source = open_drawing(Path(path), part, book or load_book())
    constants = source.book
    board = _picked(source.read.board, pick_uncertainty)
    if not 0 <= next_count <= MOST_NEXT:
        raise InputError(f"{next_count} further paths are asked for: give 0 to {MOST_NEXT}")
    required = _required(asked, pollution_degree, constants)
    measured, groove_from, told = _measured(board, nets, pollution_degree, required, groove, next_count, constants)
    gaps, unused = _gaps(board, source, calliper, measured.groove_x_mm)
    measured = beside_calliper(measured, gaps)
    lengths = [distance.length_mm.value for _, distance in _by_kind(measured)]
    undecided = as_sentences(drawing_questions(board, gaps, lengths))
    undecided = undecided or _too_narrow(groove, measured, pollution_degree, required, constants)
    rows = _beside_rows(board, measured, required, gaps, constants)
    placements = _placements(rows, required)
    disputed = _disputed(rows, placements)
    sides = across(*nets)
    searched = {where for between, where in source.searched if sides and between == sides}
    doubts = _doubts(board, measured, required, constants, searched)
    told += weaker_than_asked(constants, required) if required is not None else ()
    told += [gap.told for gap in gaps]
    placed = _placed(measured, rows, placements, disputed, pollution_degree)
    told += [undecided] if undecided else [*_so_far_as_drawn(doubts), *placed]
    clearance, creepage = _path(measured.clearance), _path(measured.creepage)
    worst = creepage or clearance
    return BoardDistances(
        schema="coldpin.distances/1",
        board=source.name,
        sha256=source.sha256,
        nets=nets,
        groove_x_mm=measured.groove_x_mm,
        groove_x_from=groove_from,
        clearance_mm=clearance.length_mm if clearance else None,
        creepage_mm=creepage.length_mm if creepage else None,
        path=worst.path if worst else (),
        clearance=clearance,
        creepage=creepage,
        next=_paths((*measured.next_creepage, *measured.next_clearance)),
        other_readings=_paths(measured.other_readings),
        required=required,
        placements=tuple(
            replace(placed, outcome=Outcome.UNDECIDED)
            if undecided or placed in disputed or (placed.outcome is Outcome.WITHIN and doubts.get(placed.kind))
            else placed
            for placed in placements
        ),
        calliper=gaps,
        not_seen=measured.not_seen,
        statements=tuple(told),
        remarks=(*source.read.remarks, *measured.remarks),
        problems=(*source.problems, *unused),
    )


def _gaps(
    board: BoardModel, source: DrawingSource, by_hand: Sequence[str], groove_x_mm: float
) -> tuple[tuple[CalliperGap, ...], tuple[Problem, ...]]:
    """Return the gaps by calliper beside a drawing, and which of the case's have no ends in it."""
    found: list[CalliperGap] = []
    problems: list[Problem] = []
    for gap in (*source.gaps, *map(gap_by_hand, by_hand)):
        try:
            found.append(
                reconcile_gap(
                    board,
                    gap.reading,
                    gap.ends,
                    gap.kind,
                    groove_x_mm=groove_x_mm,
                    over_parts=gap.over_parts,
                    entry=gap.entry,
                    book=source.book,
                )
            )
        except UnknownName as error:
            if not gap.entry:
                raise
            problems.append(Problem(where=f"entry {gap.entry}", what=str(error)))
    return judge_together(found), tuple(problems)


def _doubts(
    board: BoardModel, measured: Distances, required: RequiredDistances | None, book: Book, searched: Collection[str]
) -> dict[PathKind, tuple[str, ...]]:
    """Return why each kind of distance may be shorter than the drawing shows."""
    in_mm = in_millimetres(board)
    found = {}
    for kind, distance in ((PathKind.CLEARANCE, measured.clearance), (PathKind.CREEPAGE, measured.creepage)):
        if distance is None:
            continue
        asked = None if required is None else required.asked
        by_row = None if asked is None else asked.clearance_mm if kind is PathKind.CLEARANCE else asked.creepage_mm
        found[kind] = drawing_doubts(
            in_mm,
            measured.nets,
            kind,
            needed_mm=distance.length_mm.value if by_row is None else by_row,
            groove_x_mm=measured.groove_x_mm,
            book=book,
            searched=searched,
            over_picture=board.calibration is not None,
            picture_size_known=board.calibration is None or board.calibration.picture_size_px is not None,
        )
    return found


def _so_far_as_drawn(doubts: dict[PathKind, tuple[str, ...]]) -> list[str]:
    every = dict.fromkeys(doubt for of_kind in doubts.values() for doubt in of_kind)
    return [f"So far as drawn, and no further: {'; '.join(every)}. A shorter way may be there."] if every else []


def _picked(board: BoardModel, pick_uncertainty: str) -> BoardModel:
    if not pick_uncertainty:
        return board
    if board.calibration is not None:
        raise InputError("the drawing is in pixels: its picking uncertainty stands in its scale, as pick_u_px")
    picked = _millimetres(pick_uncertainty, "picking uncertainty")
    if board.pick_u_mm is not None and board.pick_u_mm != picked:
        raise InputError(f"the drawing says that it was picked within {board.pick_u_mm:g} mm: correct it there")
    return replace(board, pick_u_mm=picked)


def _millimetres(text: str, what: str) -> float:
    read = parse_quantity(text, "mm", id=what, label=what)
    if not read.value > 0.0:
        raise InputError(f"{what} {text!r}: it must be above 0 mm")
    return read.value


def _required(asked: Asked, degree: int, book: Book) -> RequiredDistances | None:
    others = asked.others
    if asked.voltage:
        return tell_required_distances(
            voltage=asked.voltage,
            pollution_degree=degree,
            book=book,
            overvoltage_category=asked.overvoltage_category,
            material_group=asked.material_group or UNKNOWN,
            insulation=asked.insulation,
            between=asked.between,
            altitude=asked.altitude or SEA_LEVEL,
            unit=asked.unit,
        )
    if others:
        raise InputError(
            f"{next(iter(others)).replace('_', ' ')} is given and no voltage: required distances need both"
        )
    return None


def _measured(
    board: BoardModel,
    nets: tuple[str, str],
    degree: int,
    required: RequiredDistances | None,
    groove: str,
    next_count: int,
    book: Book,
) -> tuple[Distances, str, list[str]]:
    """Measure with the width X that goes with the clearance asked for, else with that of the clearance found."""

    def with_x(width: float) -> Distances:
        return measure_distances(board, nets, groove_x_mm=width, next_count=next_count, book=book)

    if groove:
        return with_x(_millimetres(groove, "groove width X")), "given by hand", []
    if required is not None:
        said = f"pollution degree {degree} and the {required.clearance_mm:g} mm of clearance asked for"
        return with_x(required.groove_x_mm), said, []
    full = needed(groove_width(book, degree), "nominal")
    measured = with_x(full)
    found = measured.clearance
    reduced = full if found is None else groove_x(book, degree, found.length_mm.value)
    if found is None or reduced >= full:
        return measured, f"pollution degree {degree}", []
    said = f"pollution degree {degree} and a third of the {found.length_mm.value:.3g} mm of clearance found"
    again = with_x(reduced)
    whole = "no creepage" if measured.creepage is None else f"a creepage of {measured.creepage.length_mm.value:.4g} mm"
    note = (
        "X is reduced to a third of the clearance, as it may be below 3 mm. The clearance is that found, for none was "
        f"asked for; without the reduction X is {full:g} mm and gives {whole}."
    )
    return again, said, [note]


def _too_narrow(groove: str, measured: Distances, degree: int, required: RequiredDistances | None, book: Book) -> str:
    """Say that X was given narrower than the texts have it: grooves that are bridged then lengthen the creepage."""
    least = needed(groove_width(book, degree), "nominal") if required is None else required.groove_x_mm
    if not groove or measured.groove_x_mm >= least:
        return ""
    return (
        f"The groove width X of {measured.groove_x_mm:g} mm given by hand is below the {least:.3g} mm of pollution "
        f"degree {degree}: grooves between the two are walked that should be bridged, and the creepage may be too "
        "long. Nothing is placed by it."
    )


def _beside_rows(
    board: BoardModel,
    measured: Distances,
    required: RequiredDistances | None,
    gaps: tuple[CalliperGap, ...],
    book: Book,
) -> tuple[tuple[DistanceRow, Distances], ...]:
    """Return both rows with what stands beside each: a row that bridges wider grooves is measured for anew."""
    if required is None:
        return ()

    def beside(row: DistanceRow) -> Distances:
        if row.groove_x_mm <= measured.groove_x_mm:
            return measured
        again = measure_distances(board, measured.nets, groove_x_mm=row.groove_x_mm, next_count=0, book=book)
        return beside_calliper(again, gaps)

    return tuple((row, beside(row)) for row in (required.basic, required.reinforced))


def _placements(
    rows: tuple[tuple[DistanceRow, Distances], ...], required: RequiredDistances | None
) -> tuple[DistancePlacement, ...]:
    """Place both distances beside both rows."""
    return tuple(
        place_distance(distance.length_mm, row, kind, asked=required is not None and row is required.asked)
        for kind in PathKind
        for row, found in rows
        for distance in [_of_kind(found, kind)]
        if distance is not None
    )


def _disputed(
    rows: tuple[tuple[DistanceRow, Distances], ...], placements: tuple[DistancePlacement, ...]
) -> tuple[DistancePlacement, ...]:
    """Return the placements that come out otherwise by another reading of the rules."""
    beside = {row.insulation: (row, found) for row, found in rows}

    def is_disputed(placed: DistancePlacement) -> bool:
        row, found = beside[placed.insulation]
        others = (other.length_mm for other in found.other_readings if other.path.kind is placed.kind)
        return any(place_distance(other, row, placed.kind).outcome is not placed.outcome for other in others)

    return tuple(filter(is_disputed, placements))


def _of_kind(measured: Distances, kind: PathKind) -> MeasuredDistance | None:
    return measured.clearance if kind is PathKind.CLEARANCE else measured.creepage


def _by_kind(measured: Distances) -> list[tuple[PathKind, MeasuredDistance]]:
    found = ((kind, _of_kind(measured, kind)) for kind in PathKind)
    return [(kind, distance) for kind, distance in found if distance is not None]


def _placed(
    measured: Distances,
    rows: tuple[tuple[DistanceRow, Distances], ...],
    placements: tuple[DistancePlacement, ...],
    disputed: tuple[DistancePlacement, ...],
    degree: int,
) -> list[str]:
    told: list[str] = []
    for found in dict.fromkeys(found for _, found in rows):
        kinds = {row.insulation: row for row, beside in rows if beside is found}
        if found is not measured:
            row = next(iter(kinds.values()))
            told.append(
                f"Beside {row.insulation} insulation grooves narrower than {row.groove_x_mm:.3g} mm are bridged."
            )
        for kind, distance in _by_kind(found):
            clear = tuple(
                placed
                for placed in placements
                if placed.kind is kind and placed.insulation in kinds and placed not in disputed
            )
            told += placements_told(distance.length_mm, clear, degree=degree)
    told += [
        f"Beside the {placed.required_mm:.1f} mm of {placed.insulation} insulation the {placed.kind.value} is "
        "undecided: the readings of the rules on parts that float come out differently."
        for placed in disputed
    ]
    return told


def _paths(distances: Iterable[MeasuredDistance]) -> tuple[DistancePath, ...]:
    return tuple(path for distance in distances if (path := _path(distance)) is not None)


def _path(distance: MeasuredDistance | None) -> DistancePath | None:
    if distance is None:
        return None
    path = distance.path
    corners = [(float(x), float(y)) for x, y in path.points()]
    return DistancePath(
        kind=path.kind,
        length_mm=distance.length_mm,
        nets=path.nets,
        between=path.between,
        told=path.told,
        reading=path.reading,
        path=tuple(corners),
        legs=path.legs,
        dominated_by=distance.dominated_by,
        reduced_by=distance.reduced_by,
    )

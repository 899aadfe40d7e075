"""Distances inside as the checks see them: gaps read by calliper, with what each can show and what it cannot."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from coldpin.checks.distance_voltage import voltage_between
from coldpin.checks.evidence import BenchEvidence, BoardEvidence
from coldpin.checks.readings import Measured, Side, condition, lowest, mean, readings
from coldpin.errors import EntryError
from coldpin.quantity import Quantity, propagate
from coldpin.records.board_words import CALLIPER_GAP
from coldpin.records.distance import IsolationPath, PathKind
from coldpin.records.distance_words import (
    BOTH_FACES,
    BRIDGES,
    FLOATING_PARTS,
    LAYOUT,
    MAINS_SURFACE,
    OVER_FLAT,
    UNDER_PARTS,
    across,
)
from coldpin.records.entry import Entry
from coldpin.records.finding import Reach
from coldpin.records.required_distances import MaterialGroup
from coldpin.standards.table import needed

LONGEST_GAP_MM = 50.0
"""Ours: a gap inside a lead or wall unit that reads more is asked about, for it is likely in another unit. [mm]"""

OTHER_FACE = "the other face was not looked at"
UNDER_IT = "the space under the part was not looked at"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Length:
    """How long a way is for one groove width X.

    ``quantity`` is the smaller of both readings of the rule on parts that float, ``larger`` the other where they
    differ. ``path`` is the way in a drawing. [mm]
    """

    quantity: Quantity
    larger: Quantity | None = None
    path: IsolationPath | None = None
    dominated_by: str = ""
    reduced_by: str = ""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class FoundDistance:
    """One clearance or creepage that was found, by calliper or in a drawing.

    ``across`` is a word of the vocabulary; ``ends`` name what it lies between; ``length`` gives the way for a groove
    width X [mm]. ``at_least`` is true where the truth may be longer (the straight gap, for a creepage), ``at_most``
    where it may be shorter (the way along a surface, for a clearance). ``doubts`` are why it cannot show that the
    distance is kept, ``questions`` why it decides nothing. ``beside`` are the kinds of part that bridge it. ``floats``
    is true where the way crosses a part of no circuit. ``group`` is that of the surface as stated, ``group_shown``
    whether it is said by what it is known. ``board`` is the drawing it was found in, None for a gap by
    calliper.
    """

    across: str
    kind: PathKind
    entry: Entry
    length: Callable[[float], Length]
    reach: Reach
    ends: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    at_least: bool = False
    at_most: bool = False
    over_range: str = ""
    shortest: Callable[[float], Quantity] | None = None
    doubts: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()
    remarks: tuple[str, ...] = ()
    group: MaterialGroup | None = None
    group_shown: bool = False
    working_voltage_v: float | None = None
    floats: bool = False
    board: BoardEvidence | None = None


def calliper_distances(bench: BenchEvidence) -> tuple[FoundDistance, ...]:
    """Return what the gaps read by calliper say of clearance and creepage, oldest entry first.

    A straight gap is a clearance, and a creepage is never shorter; the way along the surface is a creepage, and a
    clearance is never longer.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of FoundDistance
        Two for each entry that says between what its gap lies.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read, or is no length of a gap.
    """
    found = ((entry, sides_of(bench, entry)) for entry in bench.showing(CALLIPER_GAP))
    return tuple(_of_kind(bench, entry, sides, kind) for entry, sides in found if sides for kind in PathKind)


def once_by_calliper(bench: BenchEvidence) -> tuple[FoundDistance, ...]:
    """Return what :func:`calliper_distances` does, made once for everybody.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of FoundDistance
        The same.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    """
    return bench.once("gaps by calliper", lambda: calliper_distances(bench))


def sides_of(bench: BenchEvidence, entry: Entry) -> str:
    """Return between what a gap by calliper lies.

    Parameters
    ----------
    bench : BenchEvidence
        With the drawings, in which an end that is a shape has its net.
    entry : Entry
        A gap by calliper.

    Returns
    -------
    str
        A word of the vocabulary: the one stated, else what its ends say; empty where they say none that is asked about.

    Raises
    ------
    EntryError
        What is stated and what the ends say are not the same.
    """
    stated = entry.conditions.get("across", "")
    ends = [_net_of(bench, entry, entry.conditions.get(end, "")) for end in ("from", "to")]
    told = across(ends[0], ends[1])
    if stated and told and stated != told:
        raise EntryError.of(
            entry.id, f"it states {stated!r}, but its ends, {ends[0]!r} and {ends[1]!r}, are {told!r}: correct one"
        )
    return stated or told


def _net_of(bench: BenchEvidence, entry: Entry, end: str) -> str:
    """Return the net of an end that is a shape of the drawing of its board; anything else is a net already."""
    part = entry.conditions.get("part", "")
    drawn = (one.board for one in bench.boards if one.entry.conditions.get("part", "") == part)
    nets = {shape.net for board in drawn for shape in board.features if shape.name == end and shape.net}
    return nets.pop() if len(nets) == 1 else end


def _of_kind(bench: BenchEvidence, entry: Entry, sides: str, kind: PathKind) -> FoundDistance:
    found = readings(bench, entry)
    for one in found:
        if one.quantity.value <= 0.0 and one.side is not Side.AT_MOST:
            raise EntryError.of(
                entry.id, f"reading {one.text!r}: a gap is above 0 mm; what touches is a joint: correct the entry"
            )
    told, first = mean(found), lowest(found)
    further = further_gaps(bench, entry)
    walked = entry.conditions.get("kind") == PathKind.CREEPAGE.value
    is_flat = entry.conditions.get("over") == OVER_FLAT
    beside = entry.conditions.get("beside", "")
    return FoundDistance(
        across=sides,
        kind=kind,
        entry=entry,
        ends=tuple(end for end in (entry.conditions.get("from", ""), entry.conditions.get("to", "")) if end),
        length=lambda x: summed(told.quantity, further, x),
        shortest=lambda x: summed(first.quantity, further, x).quantity,
        reach=Reach.CONSTRUCTION if entry.conditions.get("made by") == LAYOUT else Reach.SPECIMEN,
        beside=(beside,) if beside else (),
        at_least=kind is PathKind.CREEPAGE and not (walked or is_flat),
        at_most=kind is PathKind.CLEARANCE and walked and not is_flat,
        over_range=told.text.lstrip(">≥ ") if told.side is Side.AT_LEAST else "",
        doubts=_doubts(bench, entry, sides, beside),
        questions=_questions(found),
        remarks=_remarks(sides, further),
        group=_group(entry),
        group_shown=bool(entry.conditions.get("group shown by")),
        working_voltage_v=_working_voltage(bench, entry),
        floats=bool(further) or beside in FLOATING_PARTS,
    )


def _group(entry: Entry) -> MaterialGroup | None:
    stated = entry.conditions.get("material group", "")
    return MaterialGroup(stated) if stated else None


def _working_voltage(bench: BenchEvidence, entry: Entry) -> float | None:
    stated = condition(entry, "working voltage", "V")
    if stated is None:
        one, other = (_net_of(bench, entry, entry.conditions.get(end, "")) for end in ("from", "to"))
        return voltage_between(bench, (one, other))
    if stated.value <= 0.0:
        raise EntryError.of(entry.id, f"working voltage {entry.conditions['working voltage']!r}: it must be above 0 V")
    return stated.value


def further_gaps(bench: BenchEvidence, entry: Entry) -> tuple[Quantity, ...]:
    """Return the further gaps of a way that leads over parts which belong to no circuit.

    Parameters
    ----------
    bench : BenchEvidence
        Where the instrument is looked up.
    entry : Entry
        A gap by calliper.

    Returns
    -------
    tuple of Quantity
        Without the first, which is the reading itself. [mm]

    Raises
    ------
    EntryError
        One cannot be read or is no length.
    """
    texts = tuple(text.strip() for text in entry.conditions.get("further gaps", "").split(",") if text.strip())
    if not texts:
        return ()
    found = readings(bench, replace(entry, readings=texts))
    for one in found:
        if one.side is not Side.VALUE or one.quantity.value <= 0.0:
            raise EntryError.of(entry.id, f"further gap {one.text!r}: write what the calliper shows, above 0 mm")
    return tuple(one.quantity for one in found)


def summed(first: Quantity, further: tuple[Quantity, ...], groove_x: float) -> Length:
    """Return the length of a way over parts that float, by both readings of the rule.

    By one reading each gap counts; by the other a gap narrower than X beside such a part counts nothing.

    Parameters
    ----------
    first : Quantity
        The first gap. [mm]
    further : tuple of Quantity
        The others. [mm]
    groove_x : float
        X. [mm]

    Returns
    -------
    Length
        The smaller sum, and the larger where they differ.

    Examples
    --------
    >>> gaps = [Quantity(value, 0.0, "mm") for value in (2.4, 3.0, 0.6)]
    >>> way = summed(gaps[0], (gaps[1], gaps[2]), 1.0)
    >>> way.quantity.value, way.larger.value
    (5.4, 6.0)
    """
    if not further:
        return Length(quantity=first)
    gaps = (first, *further)
    wide = tuple(gap for gap in gaps if _surely(gap) >= groove_x)
    whole = _sum(gaps)
    if len(wide) == len(gaps):
        return Length(quantity=whole)
    return Length(quantity=_sum(wide), larger=whole)


def _surely(gap: Quantity) -> float:
    """Return what a gap has at least: one that may be narrower than X is taken as such."""
    return gap.value if gap.low is None else gap.low


def _sum(gaps: tuple[Quantity, ...]) -> Quantity:
    if not gaps:
        return Quantity(0.0, 0.0, "mm")
    inputs = {f"gap_{number}": gap for number, gap in enumerate(gaps, start=1)}
    return propagate(lambda **each: sum(each.values()), inputs, "mm", monte_carlo=False)


def _doubts(bench: BenchEvidence, entry: Entry, sides: str, beside: str) -> tuple[str, ...]:
    if sides == MAINS_SURFACE:
        return _pressed(bench, entry)
    searched = entry.conditions.get("searched", "")
    if searched == UNDER_PARTS:
        return ()
    if beside in BRIDGES:
        return (UNDER_IT,)
    return () if searched == BOTH_FACES else (OTHER_FACE,)


def _pressed(bench: BenchEvidence, entry: Entry) -> tuple[str, ...]:
    asked = needed(bench.book.limit("measuring-force.enclosure"), "nominal")
    force = condition(entry, "force", "N")
    if force is None:
        return (f"with which force the housing was pressed meanwhile is not stated (as known: {asked:g} N)",)
    return () if force.value >= asked else (f"the housing was pressed with less than {asked:g} N",)


def _questions(found: tuple[Measured, ...]) -> tuple[str, ...]:
    return too_long(max(one.quantity.value for one in found))


def too_long(longest: float) -> tuple[str, ...]:
    """Ask for the unit of a gap that is longer than gaps inside are.

    Parameters
    ----------
    longest : float
        The gap, read or drawn. [mm]

    Returns
    -------
    tuple of str
        As it stands inside a sentence; none of a gap of usual length.
    """
    if longest <= LONGEST_GAP_MM:
        return ()
    return (f"a gap of {longest:.4g} mm is unlikely inside a lead or wall unit: look at its unit",)


def _remarks(sides: str, further: tuple[Quantity, ...]) -> tuple[str, ...]:
    told = []
    if further:
        told.append("The sum of the gaps of one way: what conducts between them counts nothing.")
    if sides != MAINS_SURFACE:
        told.append("Inner layers of the board, and the inside of transformers and optocouplers, were not seen.")
    return tuple(told)

"""Gaps read by calliper beside the drawing they were read on: neither takes the other's place."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from coldpin.errors import UnknownName
from coldpin.insulation.gap_direction import LEAST_ANGLE_DEG, gap_direction, told_direction, widest_angle
from coldpin.insulation.joint_bound import joint_factor
from coldpin.insulation.path_uncertainty import measure_distances
from coldpin.insulation.surfaces import conducts
from coldpin.quantity import Quantity, format_figure
from coldpin.records.board import BoardModel, Role
from coldpin.records.calliper_gap import Agreement, CalliperGap
from coldpin.records.distance import PathKind
from coldpin.records.nets import stands_for
from coldpin.standards.book import Book

_END = "calliper-end"
"""What the ends of a gap are called while it is measured; no net of a drawing begins so."""

LEAST_GAPS = 3
"""Ours: gaps by calliper, each between other ends, that must agree with a drawing over a picture before it decides:
two that run across each other show its scale both ways, the third that neither was a slip."""

VAGUE_MM = 0.1
"""Ours: a gap read less surely than this, and than the drawing, shows nothing of its scale. Half of 95 %. [mm]"""


def reconcile_gap(
    board: BoardModel,
    reading: Quantity,
    ends: tuple[str, str],
    kind: PathKind,
    *,
    groove_x_mm: float,
    over_parts: bool = False,
    entry: str = "",
    book: Book | None = None,
) -> CalliperGap:
    """Hold a gap read by calliper against the same gap of a drawing.

    A straight gap is measured between the two ends alone, whatever lies between them; the way along the surface as all
    creepages are. They agree where the difference is within its 95 % interval. The sum of the gaps of a way over parts
    that float is held against the shortest such way: where it is more, it may have been another way, and nothing can
    be told.

    Parameters
    ----------
    board : BoardModel
        The drawing.
    reading : Quantity
        What the calliper showed. [mm]
    ends : tuple of str
        A net, a group or the name of a shape at each end.
    kind : PathKind
        Clearance for a straight gap, creepage for the way along the surface.
    groove_x_mm : float
        The width X under which a groove is crossed. [mm]
    over_parts : bool
        Whether the reading is the sum of the gaps of a straight way over parts that float.
    entry : str
        Id of the entry that recorded it.
    book : Book, optional
        The constants; ours where it is left out.

    Returns
    -------
    CalliperGap
        Reading, drawing and difference.

    Raises
    ------
    UnknownName
        The drawing has no such net, group or shape (all are listed), or both ends have a shape in common.
    InputError
        The calibration of the drawing cannot be fitted.

    Examples
    --------
    >>> import numpy as np
    >>> from coldpin.records.board import BoardFeature
    >>> def pad(name, net, x):
    ...     outline = np.array([[x, 0.0], [x + 1.0, 0.0], [x + 1.0, 1.0], [x, 1.0]])
    ...     return BoardFeature(name=name, role=Role.CONDUCTOR, net=net, outline=outline)
    >>> board = BoardModel(features=(pad("R5", "mains L", 0.0), pad("J1", "pilot", 6.0)), pick_u_mm=0.02)
    >>> told = reconcile_gap(
    ...     board, Quantity(5.03, 0.02, "mm"), ("R5", "pilot"), PathKind.CLEARANCE, groove_x_mm=1.0
    ... )
    >>> told.agreement.value, round(told.difference_mm.value, 3)
    ('agrees', 0.03)
    """
    measured = measure_distances(
        _between(board, ends, alone=kind is PathKind.CLEARANCE and not over_parts),
        (f"{_END} 1", f"{_END} 2"),
        # by a width of zero each gap beside a part that floats counts, as it does in a sum
        groove_x_mm=0.0 if over_parts else groove_x_mm,
        next_count=0,
        book=book,
    )
    found = measured.clearance if kind is PathKind.CLEARANCE else measured.creepage
    drawn = found.length_mm if found is not None else None
    difference, agreement = _compared(reading, drawn)
    if over_parts and agreement is Agreement.DIFFERS and difference is not None and difference.value > 0.0:
        agreement = Agreement.CANNOT_TELL
    return CalliperGap(
        entry=entry,
        ends=ends,
        kind=kind,
        reading_mm=reading,
        drawn_mm=drawn,
        difference_mm=difference,
        agreement=agreement,
        told=_told(ends, reading, drawn, agreement, difference),
        direction_deg=gap_direction(board, found.path) if found is not None else None,
    )


def judge_together(gaps: Sequence[CalliperGap]) -> tuple[CalliperGap, ...]:
    r"""Return the gaps of a board, differing only where they do so as one among all that were compared.

    .. math:: P(|d_i| \le k_n U_i \text{ for all } i) \ge \prod_i P(|d_i| \le k_n U_i) = 0.95

    Each interval of 95 % is missed by one reading in twenty, so that of five gaps of a sound drawing one or more would
    differ in a quarter of all cases. With the bound of each at 0.95 to the power 1/n all n agree in at least 95 % of
    sound drawings, whatever their errors have in common.

    Parameters
    ----------
    gaps : sequence of CalliperGap
        All that were held against one drawing, each by itself.

    Returns
    -------
    tuple of CalliperGap
        In the same order.

    Examples
    --------
    >>> def gap(end, read):
    ...     reading, drawn = Quantity(read, 0.02, "mm"), Quantity(5.0, 0.02, "mm")
    ...     difference, agreement = _compared(reading, drawn)
    ...     return CalliperGap(
    ...         entry="", ends=("mains", end), kind=PathKind.CLEARANCE, reading_mm=reading, drawn_mm=drawn,
    ...         difference_mm=difference, agreement=agreement, told="",
    ...     )
    >>> gaps = [gap("R1", 5.07), gap("R2", 5.02), gap("R3", 4.97), gap("R4", 5.20)]
    >>> [one.agreement.value for one in gaps]
    ['differs', 'agrees', 'agrees', 'differs']
    >>> [one.agreement.value for one in judge_together(gaps)]
    ['agrees', 'agrees', 'agrees', 'differs']

    Sources
    -------
    `joint_factor`.
    """
    compared = sum(gap.difference_mm is not None and gap.difference_mm.low is not None for gap in gaps)
    return tuple(_among(gap, compared) for gap in gaps)


def _among(gap: CalliperGap, count: int) -> CalliperGap:
    """Return a gap that differs by itself, agreeing where it does not among so many."""
    if gap.agreement is not Agreement.DIFFERS or gap.drawn_mm is None:
        return gap
    off = gap.reading_mm.value - gap.drawn_mm.value
    below, above = _room(gap.reading_mm, gap.drawn_mm, count)
    if not -above <= off <= below:
        return gap
    told = (
        f"{_beside(gap.ends, gap.reading_mm, gap.drawn_mm)}: they differ by more than both allow a single gap, and "
        f"not by more than one of {count} may by chance: they agree."
    )
    return replace(gap, agreement=Agreement.AGREES, told=told)


def _between(board: BoardModel, ends: tuple[str, str], *, alone: bool) -> BoardModel:
    """Return the drawing with the two ends as nets of their own; alone, with nothing else that conducts."""
    one, other = (_shapes(board, end) for end in ends)
    if both := one & other:
        raise UnknownName(f"{min(both)!r} is at both ends of the gap ({ends[0]!r}, {ends[1]!r}): name two ends")
    nets = dict.fromkeys(one, f"{_END} 1") | dict.fromkeys(other, f"{_END} 2")
    kept = [
        replace(feature, net=nets[feature.name], role=Role.CONDUCTOR if feature.role is Role.FLOATING else feature.role)
        if feature.name in nets
        else feature
        for feature in board.features
        if feature.name in nets or not alone or not conducts(feature)
    ]
    return replace(board, features=tuple(kept))


def _shapes(board: BoardModel, end: str) -> frozenset[str]:
    """Return the names of the conducting shapes that an end stands for."""
    metal = [feature for feature in board.features if conducts(feature)]
    found = [feature for feature in metal if feature.name == end] or [
        feature for feature in metal if stands_for(end, feature.net)
    ]
    if not found:
        known = {name for feature in metal for name in (feature.name, feature.net, feature.group) if name}
        raise UnknownName.among("end of a gap", end, known)
    return frozenset(feature.name for feature in found)


def _compared(reading: Quantity, drawn: Quantity | None) -> tuple[Quantity | None, Agreement]:
    """Return the difference of the two values that are printed, with the interval that both leave it."""
    if drawn is None:
        return None, Agreement.CANNOT_TELL
    off = reading.value - drawn.value
    if reading.u is None or drawn.u is None:
        unknown = next(one.why for one in (reading, drawn) if one.u is None)
        return Quantity(off, None, "mm", why=unknown), Agreement.CANNOT_TELL
    below, above = _room(reading, drawn, 1)
    difference = Quantity(off, math.hypot(reading.u, drawn.u), "mm", low=off - below, high=off + above)
    return difference, Agreement.AGREES if -above <= off <= below else Agreement.DIFFERS


def _room(reading: Quantity, drawn: Quantity, count: int) -> tuple[float, float]:
    """Return how far a difference reaches below and above its value, as one of so many at 95 % together. [mm]"""
    ends = [one for given in (reading, drawn) for one in (given.low, given.high)]
    assert all(end is not None for end in ends)
    read_low, read_high, drawn_low, drawn_high = (float(end or 0.0) for end in ends)
    read, there = joint_factor(count, reading.dof), joint_factor(count, drawn.dof)
    below = math.hypot(read * (reading.value - read_low), there * (drawn_high - drawn.value))
    above = math.hypot(read * (read_high - reading.value), there * (drawn.value - drawn_low))
    return below, above


def _told(
    ends: tuple[str, str], reading: Quantity, drawn: Quantity | None, agreement: Agreement, difference: Quantity | None
) -> str:
    if drawn is None:
        return f"{_read(ends, reading)}; the drawing has no such way."
    beside = _beside(ends, reading, drawn)
    match agreement:
        case Agreement.AGREES:
            return f"{beside}: they agree."
        case Agreement.DIFFERS:
            return f"{beside}: they differ by more than both allow; see which is wrong before either is used."
    if difference is None or difference.low is None:
        return f"{beside}: whether they agree cannot be told, for an uncertainty is not known."
    return f"{beside}: the calliper may have gone another way over parts that float."


def _read(ends: tuple[str, str], reading: Quantity) -> str:
    return f"Between {ends[0]} and {ends[1]} the calliper read {format_figure(reading)}"


def _beside(ends: tuple[str, str], reading: Quantity, drawn: Quantity) -> str:
    return f"{_read(ends, reading)}, the drawing has {format_figure(drawn)}"


def shows_scale(gap: CalliperGap) -> bool:
    """Say whether a reading is sure enough to show the scale of a drawing: a vague one agrees with anything.

    Parameters
    ----------
    gap : CalliperGap
        Reading and drawing.

    Returns
    -------
    bool
        Whether it is no vaguer than the drawing, or than a calliper held by hand.
    """
    read, drawn = gap.reading_mm.expanded, None if gap.drawn_mm is None else gap.drawn_mm.expanded
    return read is not None and read <= max(VAGUE_MM, drawn or 0.0)


def why_undecided(board: BoardModel, gaps: Sequence[CalliperGap]) -> str:
    """Say why a drawing decides nothing, with the gaps that were read beside it.

    Parameters
    ----------
    board : BoardModel
        The drawing.
    gaps : sequence of CalliperGap
        The gaps read by calliper on the same board.

    Returns
    -------
    str
        Empty where the drawing may decide.

    Examples
    --------
    >>> why_undecided(BoardModel(features=()), ())
    ''
    """
    if any(gap.agreement is Agreement.DIFFERS for gap in gaps):
        return (
            "A gap by calliper differs from the drawing: the drawing decides nothing until it is known which is wrong."
        )
    if board.calibration is None:
        return ""
    agreeing = [gap for gap in gaps if gap.agreement is Agreement.AGREES and shows_scale(gap)]
    between = {frozenset(gap.ends) for gap in agreeing}
    if len(between) < LEAST_GAPS:
        return (
            f"The drawing was made over a picture: alone it decides nothing until {LEAST_GAPS} gaps between other ends "
            f"each, two of them at least {LEAST_ANGLE_DEG:g}° apart, known to {VAGUE_MM:g} mm or as well as it was "
            f"drawn and read by calliper on the same board, agree with it ({len(between)} so far)."
        )
    directions = [gap.direction_deg for gap in agreeing if gap.direction_deg is not None]
    return "" if widest_angle(directions) >= LEAST_ANGLE_DEG else _missing(len(between), directions)


def _missing(count: int, directions: Sequence[float]) -> str:
    """Say which direction the gaps by calliper leave open."""
    begun = (
        f"The drawing was made over a picture: alone it decides nothing, for the {count} gaps by calliper that agree"
    )
    if not directions:
        return f"{begun} with it have no direction in it: read two that run straight, across each other."
    return (
        f"{begun} with it run about {told_direction(directions)} in the picture, within "
        f"{math.ceil(widest_angle(directions))}° of each other, and it may be stretched or tilted across them: read "
        f"one that runs {told_direction(directions, across=True)}, at least {LEAST_ANGLE_DEG:g}° from one of these."
    )

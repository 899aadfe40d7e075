"""What a drawing of a board cannot show: an edge not drawn, the other face, copper under bodies, an unknown lens."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

import shapely

from coldpin.checks.distance_evidence import OTHER_FACE, too_long
from coldpin.insulation.calliper_gaps import shows_scale, why_undecided
from coldpin.insulation.distances import find_distances
from coldpin.insulation.surfaces import area_of
from coldpin.records.board import BoardModel, Face, Role, View
from coldpin.records.board_questions import net_questions, proposal_questions, size_questions
from coldpin.records.calliper_gap import Agreement, CalliperGap
from coldpin.records.distance import IsolationPath, Leg, PathKind
from coldpin.records.distance_words import BOTH_FACES, UNDER_PARTS
from coldpin.records.nets import SURFACES
from coldpin.standards.book import Book

LENS = "the size of its picture is not known, so that what the lens bends is in no uncertainty"

NO_OUTLINE = (
    "no outline of the board is drawn, and a way over its edge, to the other face or to what it is mounted on, would "
    "not be seen: draw it, roughly where it lies far off"
)

_STANDS_UP = re.compile(
    r"\b(?:pins?|terminals?|screws?|studs?|posts?|tabs?|blades?|spades?|lugs?|legs?|wires?|bus ?bars?|headers?)\b",
    re.IGNORECASE,
)
"""What a conductor is called that stands above the face of a board."""

_NEAR_MM = 1e-3
"""Ours: a way that comes this near to a body touches it. [mm]"""


def drawing_doubts(
    in_mm: BoardModel,
    nets: tuple[str, str],
    kind: PathKind,
    *,
    needed_mm: float,
    groove_x_mm: float,
    book: Book,
    searched: Collection[str] = (),
    picture_size_known: bool = True,
    over_picture: bool = False,
) -> tuple[str, ...]:
    """Return why a distance in a drawing may be shorter than it shows.

    Parameters
    ----------
    in_mm : BoardModel
        The drawing. [mm]
    nets : tuple of str
        A net or a group at each end.
    kind : PathKind
        Clearance or creepage.
    needed_mm : float
        What is asked for: copper that may be hidden counts where it could leave less. [mm]
    groove_x_mm : float
        The width X. [mm]
    book : Book
        The constants.
    searched : collection of str
        Where somebody looked for shorter gaps, in words of the vocabulary.
    picture_size_known : bool
        False where it was drawn over a picture whose size is not stated.
    over_picture : bool
        True where it was drawn over a picture, which shows the top of what stands up aside of its foot.

    Returns
    -------
    tuple of str
        Each as it stands inside a sentence.

    Raises
    ------
    InputError
        The drawing cannot be measured in.
    """
    doubts = [*([] if picture_size_known else [LENS]), *net_questions(in_mm)]
    if in_mm.view is View.SECTION:
        return tuple(doubts)
    if not in_mm.of_role(Role.BOARD):
        doubts.append(NO_OUTLINE)
    upright = standing_up(in_mm, nets) if over_picture else ()
    if upright:
        doubts.append(
            f"how high {', '.join(upright)} stands is not said, and a picture shows its top aside of its foot: say "
            "height_mm, 0 where the copper at the foot was drawn"
        )
    if aside := _off_board(in_mm, nets):
        doubts.append(f"{', '.join(aside)} {_lie(aside)} off the board as drawn: look whether its outline is whole")
    below = any(shape.face is Face.BOTTOM for shape in in_mm.features)
    if not below and not {BOTH_FACES, UNDER_PARTS} & set(searched):
        doubts.append(OTHER_FACE)
    if UNDER_PARTS not in searched:
        hiding = hiding_bodies(in_mm, nets, kind, needed_mm=needed_mm, groove_x_mm=groove_x_mm, book=book)
        if hiding:
            doubts.append(f"the space under {', '.join(hiding)} was not looked at")
    return tuple(doubts)


def standing_up(board: BoardModel, nets: tuple[str, str]) -> tuple[str, ...]:
    """Return the conductors that by their names stand above the face, and of which no height is said.

    Parameters
    ----------
    board : BoardModel
        The drawing.
    nets : tuple of str
        A net or a group at each end.

    Returns
    -------
    tuple of str
        Their names.
    """
    ends = dict.fromkeys(shape for net in nets for shape in board.of_net(net))
    named = (one for one in ends if one.height_mm is None and _STANDS_UP.search(f"{one.name} {one.told}"))
    return tuple(one.name for one in named)


def drawing_questions(
    board: BoardModel, gaps: Sequence[CalliperGap], lengths_mm: Iterable[float] = ()
) -> tuple[str, ...]:
    """Return why a drawing decides nothing at all.

    A gap by calliper that agrees with it, and is not vague, answers whether it is in millimetres. Shapes that a program
    proposed and nobody confirmed come first: whatever else is right, what was measured is not known to be there.

    Parameters
    ----------
    board : BoardModel
        The drawing.
    gaps : sequence of CalliperGap
        The gaps read by calliper on the same board.
    lengths_mm : iterable of float
        What was measured in it. [mm]

    Returns
    -------
    tuple of str
        Each as it stands inside a sentence.
    """
    undecided = why_undecided(board, gaps)
    asked = (undecided[:1].lower() + undecided[1:].rstrip("."),) if undecided else ()
    asked = (*proposal_questions(board), *asked)
    if any(gap.agreement is Agreement.AGREES and shows_scale(gap) for gap in gaps):
        return asked
    return (*asked, *size_questions(board), *too_long(max(lengths_mm, default=0.0)))


def as_sentences(reasons: Iterable[str]) -> str:
    """Return reasons that stand inside a sentence as sentences.

    Parameters
    ----------
    reasons : iterable of str
        Each without a full stop.

    Returns
    -------
    str
        One after the other.

    Examples
    --------
    >>> as_sentences(["the drawing spans 1772 mm"])
    'The drawing spans 1772 mm.'
    """
    return " ".join(f"{why[:1].upper()}{why[1:]}." for why in reasons)


def why_no_way(in_mm: BoardModel, nets: tuple[str, str]) -> str:
    """Say why no surface leads from one net to another.

    Parameters
    ----------
    in_mm : BoardModel
        The drawing. [mm]
    nets : tuple of str
        A net or a group at each end.

    Returns
    -------
    str
        As it stands inside a sentence.
    """
    aside = _off_board(in_mm, nets, surfaces=True)
    if aside:
        off = f"{', '.join(aside)} {_lie(aside)} off the board as drawn"
        return f"{off}, and no surface leads there: look whether its outline is whole"
    return "no surface leads from one to the other as drawn: look whether anything joins the two parts of the board"


def _off_board(in_mm: BoardModel, nets: tuple[str, str], *, surfaces: bool = False) -> tuple[str, ...]:
    """Return the conductors of two nets that lie wholly beside every board; what a hand can touch does so by nature."""
    outlines = in_mm.of_role(Role.BOARD)
    if not outlines or in_mm.view is View.SECTION:
        return ()
    solid = shapely.union_all([area_of(outline) for outline in outlines])
    ends = (*in_mm.of_net(nets[0]), *in_mm.of_net(nets[1]))
    return tuple(
        end.name for end in ends if (surfaces or end.group not in SURFACES) and not solid.intersects(area_of(end))
    )


def _lie(names: Sequence[str]) -> str:
    return "lies" if len(names) == 1 else "lie"


def hiding_bodies(
    in_mm: BoardModel,
    nets: tuple[str, str],
    kind: PathKind,
    *,
    needed_mm: float,
    groove_x_mm: float,
    book: Book,
) -> tuple[str, ...]:
    """Return the parts under which copper could leave less than is asked for, one or several in a row.

    Every body is taken as if all the board under it were copper of no circuit.

    Parameters
    ----------
    in_mm : BoardModel
        The drawing. [mm]
    nets : tuple of str
        A net or a group at each end.
    kind : PathKind
        Clearance or creepage.
    needed_mm : float
        What is asked for. [mm]
    groove_x_mm : float
        The width X. [mm]
    book : Book
        The constants.

    Returns
    -------
    tuple of str
        Their names; none where even so enough is left.

    Raises
    ------
    InputError
        The drawing cannot be measured in.
    """
    bodies = in_mm.of_role(Role.COMPONENT)
    if not bodies:
        return ()
    features = tuple(
        replace(shape, role=Role.FLOATING) if shape.role is Role.COMPONENT else shape for shape in in_mm.features
    )
    found = find_distances(replace(in_mm, features=features), nets, groove_x_mm=groove_x_mm, next_count=0, book=book)
    path = found.clearance if kind is PathKind.CLEARANCE else found.creepage
    if path is None or path.length_mm >= needed_mm:
        return ()
    names = {body.name for body in bodies}
    crossed = dict.fromkeys(leg.passes for leg in path.legs if leg.leg is Leg.CONDUCTOR and leg.passes in names)
    return tuple(crossed) or tuple(body.name for body in bodies if _touches(path, area_of(body)))


def _touches(path: IsolationPath, body: shapely.Polygon) -> bool:
    points = path.points()
    way = shapely.LineString(points) if len(points) > 1 else shapely.MultiPoint(points)
    return bool(shapely.distance(way, body) < _NEAR_MM) if len(points) else True

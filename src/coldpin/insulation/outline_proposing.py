"""An outline on a picture from a point inside it, or from corners drawn by hand: a proposal, with how well it is known.

A region grown from a point stops at the first change of colour; at a slot that is the foot of its wall as often as its
rim. So the edges of the picture are looked at beside every proposal: either its sides are laid to them, or its corners
are known no better than these lie from them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.insulation.edge_snapping import REACH_PX, snap_edges
from coldpin.insulation.region_growing import COARSE_U_PX, TOLERANCE, grow_region
from coldpin.records.outline_proposal import OutlineProposal

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposingChoices:
    """How an outline is looked for: ``tolerance`` of colour in L*a*b* [1], ``reach`` of edges beside it [px].

    With ``snap`` its sides are laid to the edges found; ``filled`` keeps no opening, such as print on copper makes.
    """

    snap: bool = False
    filled: bool = False
    tolerance: float = TOLERANCE
    reach: float = REACH_PX


def propose_outline(picture: NDArray[np.uint8], points_px: Array, choices: ProposingChoices) -> OutlineProposal:
    """Propose an outline from one point inside it, or from its corners as drawn.

    Parameters
    ----------
    picture : NDArray[np.uint8]
        Array of shape (height, width, 3): red, green, blue.
    points_px : NDArray[np.float64]
        Array of shape (1, 2), a point inside, or of shape (n, 2), the corners in order. [px]
    choices : ProposingChoices
        How it is looked for.

    Returns
    -------
    OutlineProposal
        To be looked at, with what is odd about it.

    Raises
    ------
    InputError
        Two points are given, a point lies outside the picture, corners are given that are not to be laid to edges or
        make no polygon, or nothing hangs together at the point.
    MissingExtra
        The library that looks at pictures is not installed.
    """
    if len(points_px) == 1:
        x, y = (float(value) for value in points_px[0])
        grown = grow_region(picture, (x, y), tolerance=choices.tolerance)
        if choices.filled:
            grown = replace(grown, openings_px=(), openings_u_px=())
        return _rounded(_beside_edges(picture, grown, choices))
    if len(points_px) < 3:
        raise InputError("two points make no outline: give one inside it, or three corners and more")
    _require_inside(picture, points_px)
    if not choices.snap:
        raise InputError("corners drawn by hand are an outline already: say --snap to lay its sides to the edges")
    if not shapely.Polygon(points_px).is_valid:
        raise InputError("the corners make an outline that crosses itself: give them in the order round the shape")
    laid = _rounded(snap_edges(picture, points_px, reach=choices.reach))
    if not _is_sound(laid):
        raise InputError(
            f"{laid.made_by}, the outline would cross itself: give corners nearer to the edges, or a smaller reach"
        )
    return replace(laid, made_by=f"corners drawn by hand, {laid.made_by}")


def _beside_edges(picture: NDArray[np.uint8], grown: OutlineProposal, choices: ProposingChoices) -> OutlineProposal:
    """Return an outline that was grown, laid to the edges or known as well as it lies by them."""
    rings = list(zip((grown.outline_px, *grown.openings_px), (grown.corner_u_px, *grown.openings_u_px), strict=True))
    outline, *openings = (snap_edges(picture, ring, reach=choices.reach, drawn_u_px=u) for ring, u in rings)
    laid = replace(
        outline,
        openings_px=tuple(opening.outline_px for opening in openings),
        openings_u_px=tuple(opening.corner_u_px for opening in openings),
        made_by=f"{grown.made_by}, {outline.made_by}",
        remarks=(*outline.remarks[:1], *grown.remarks[1:], *outline.remarks[1:], *_of_openings(openings)),
    )
    if choices.snap and _is_sound(laid):
        return laid
    us = [
        np.hypot(found.corner_u_px, np.hypot(*(found.outline_px - ring).T))
        for found, (ring, _) in zip((outline, *openings), rings, strict=True)
    ]
    crossing = ("laid to the edges it would cross itself: left as it was grown",) if choices.snap else ()
    return replace(
        grown,
        corner_u_px=us[0],
        openings_u_px=tuple(us[1:]),
        remarks=(*grown.remarks, *crossing, *_in_doubt(us)),
    )


def _in_doubt(us: list[Array]) -> tuple[str, ...]:
    worst = max(float(u.max()) for u in us)
    if worst <= COARSE_DOUBT * COARSE_U_PX:
        return ()
    return (f"the edges of the picture lie elsewhere, or several do: its corners are known within {worst:.1f} px only",)


PLACES = 2
"""Ours: a corner is kept to so many places of a pixel, finer than any edge is known. [1]"""

COARSE_DOUBT = 1.5
"""Ours: a find that is known less well than this, in what a sharp one is known to, is remarked on. [1]"""


def _of_openings(openings: list[OutlineProposal]) -> list[str]:
    return [f"opening {number}: {said}" for number, one in enumerate(openings, start=1) for said in one.remarks[1:]]


def _rounded(proposal: OutlineProposal) -> OutlineProposal:
    return replace(
        proposal,
        outline_px=proposal.outline_px.round(PLACES),
        openings_px=tuple(ring.round(PLACES) for ring in proposal.openings_px),
    )


def _is_sound(proposal: OutlineProposal) -> bool:
    return bool(shapely.Polygon(proposal.outline_px, proposal.openings_px).is_valid)


def _require_inside(picture: NDArray[np.uint8], points_px: Array) -> None:
    height, width = picture.shape[:2]
    for x, y in points_px:
        if not (0.0 <= x <= width - 1.0 and 0.0 <= y <= height - 1.0):
            raise InputError(
                f"point ({x:g}, {y:g}) lies outside the picture of {width} × {height} pixels: give one inside"
            )

"""Shapes that cannot lie where they are drawn: two nets in one place, copper where the board is not."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from coldpin.capture.board_feature import KINDS, describe
from coldpin.capture.board_place import Place
from coldpin.records.board import BoardFeature, Role

TOUCHING = 1e-3
"""Ours: what overlaps nowhere deeper than a thousandth of the unit touches; corners snapped by hand or by rounding."""

_BATCH = 256
"""Shapes looked at in one go, so that a drawing in which all overlap fills no memory."""

_INERT = (Role.SLOT, Role.BARRIER, Role.COMPONENT)
"""What may lie in one place with its like."""

_METAL = (Role.CONDUCTOR, Role.FLOATING)


def refuse_overlaps(features: Sequence[BoardFeature], places: Sequence[Place]) -> None:
    """Refuse shapes that contradict each other on a face they share.

    Shapes of one net may overlap, for they are one piece of metal; so may slots, which are cut one after the other,
    and whatever stands on the board.

    Parameters
    ----------
    features : sequence of BoardFeature
        The shapes.
    places : sequence of Place
        Where each is in the drawing.

    Raises
    ------
    CaptureError
        Two nets touch, a floating part touches what conducts, a slot cuts through copper, or boards overlap.
    """
    polygons = np.array([shapely.Polygon(feature.outline, feature.openings) for feature in features])
    tree = shapely.STRtree(polygons)
    net_of = {net: number for number, net in enumerate(sorted({feature.net for feature in features if feature.net}))}
    net = np.array([net_of.get(feature.net, -1) for feature in features])
    inert = np.array([feature.role in _INERT and not feature.plated for feature in features])
    for start in range(0, len(features), _BATCH):
        later, first = tree.query(polygons[start : start + _BATCH], predicate="intersects")
        later += start
        # what is of one net may meet, and so may what is milled or stands on the board: millions of pairs, perhaps
        asked = (first < later) & ~((net[first] >= 0) & (net[first] == net[later])) & ~(inert[first] & inert[later])
        for other, one in sorted(zip(later[asked].tolist(), first[asked].tolist(), strict=True)):
            said = _contradiction(features[one], features[other], polygons[one], polygons[other])
            if said:
                shared = shapely.intersection(polygons[one], polygons[other]).representative_point()
                whom = f"feature {places[one].number} ({describe(features[one])})"
                raise places[other].near(shared.x, shared.y).error(said.format(whom))


def _contradiction(one: BoardFeature, other: BoardFeature, its: shapely.Polygon, others: shapely.Polygon) -> str:
    """Return what is said of two shapes that meet; empty where they may."""
    if one.face is not None and other.face is not None and one.face is not other.face:
        return ""
    if _is_metal(one) and _is_metal(other):
        return _of_metals(one, other)
    roles = {one.role, other.role}
    if roles == {Role.BOARD} and _overlap(its, others):
        return "it overlaps {}: draw one board, or boards that lie apart"
    if Role.SLOT in roles and roles & set(_METAL) and _overlap(its, others):
        metal, slot = (one, other) if other.role is Role.SLOT else (other, one)
        if not slot.plated and not metal.height_mm:
            return (
                "it overlaps {}, and there is no copper where a slot is: draw the edge of the copper anew, give the "
                f"{KINDS[metal.role]} its height_mm if it stands above the slot, or say that the slot is plated"
            )
    return ""


def _is_metal(feature: BoardFeature) -> bool:
    return feature.role in _METAL or feature.plated


def _of_metals(one: BoardFeature, other: BoardFeature) -> str:
    if one.net and other.net:
        if one.net == other.net:
            return ""
        return (
            "it touches {}, of another net: two nets in one place are a short circuit; draw their edges apart, or give "
            "them one net"
        )
    if one.net or other.net:
        return "it touches {}: what touches a net is on it and does not float; give both that net, or draw them apart"
    if one.role is other.role is Role.FLOATING:
        return "it touches {}: floating parts that touch are one; draw them as one shape, or apart"
    return ""


def _overlap(one: shapely.Polygon, other: shapely.Polygon) -> bool:
    """Say whether two shapes overlap by more than a sliver: its depth is about area over half its length."""
    shared = shapely.intersection(one, other)
    return bool(shared.area > TOUCHING * 0.5 * shared.length)

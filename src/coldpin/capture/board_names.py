"""Names in a drawing that would be taken for something else: a shape called like a net, a net spelled in two ways."""

from __future__ import annotations

from collections.abc import Sequence

from coldpin.capture.board_place import Place
from coldpin.records.board import BoardFeature, Role
from coldpin.records.nets import GROUPS, one_spelling


def refuse_names(features: Sequence[BoardFeature], places: Sequence[Place]) -> None:
    """Refuse names by which a gap, or a net that is asked for, would be taken for another.

    Parameters
    ----------
    features : sequence of BoardFeature
        The shapes.
    places : sequence of Place
        Where each is in the drawing.

    Raises
    ------
    CaptureError
        One net is spelled in two ways, or what conducts is called like a net or group that it does not belong to.
    """
    first: dict[str, tuple[BoardFeature, Place]] = {}
    grouped: dict[str, Place] = {}
    for feature, place in zip(features, places, strict=True):
        if not feature.net:
            continue
        known, at = first.setdefault(one_spelling(feature.net), (feature, place))
        grouped.setdefault(feature.group, place)
        if known.net != feature.net:
            raise place.error(
                f"feature {at.number} has the net {known.net!r}: one net is spelled in two ways; write it alike in both"
            )
    for feature, place in zip(features, places, strict=True):
        if feature.role not in (Role.CONDUCTOR, Role.FLOATING) and not feature.plated:
            continue
        called = one_spelling(feature.name)
        if called in (one_spelling(feature.net), feature.group):
            continue
        other = first[called][1] if called in first else grouped.get(called)
        if other is None and called not in GROUPS:
            continue
        whose = "a group of nets" if other is None else f"the net or group of feature {other.number}"
        raise place.error(
            f"it is called {feature.name!r}, which is {whose}: a gap measured there would be taken for another; give "
            "it a name of its own"
        )

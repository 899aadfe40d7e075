"""How currents, temperatures and lengths that were asked for, and the places of a lead, are said on a page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from coldpin.copper.lead_heat import PLACES
from coldpin.quantity import format_figures
from coldpin.records.current_map import HeatedPlace, Place
from coldpin.records.current_path import PathPart, PathRole
from coldpin.report.numbers import measured
from coldpin.standards.wording import number_text

ROLES = {PathRole.CARRIES: "may carry", PathRole.CLAIMS: "claims", PathRole.ASKS: "asks for"}


def heated_place(place: Place) -> str:
    """Return how a place of a lead is called.

    Parameters
    ----------
    place : Place
        The place.

    Returns
    -------
    str
        In words.

    Examples
    --------
    >>> heated_place(Place.ACCESSORY)
    'plug or coupler'
    """
    return PLACES[Place(place)]


def reached_at(one: HeatedPlace) -> str:
    """Return the current that brings the limit of a place.

    Parameters
    ----------
    one : HeatedPlace
        The place.

    Returns
    -------
    str
        With the ends of its band; or that the air alone brings it, or that no current looked at does.
    """
    if one.middle_a is None or one.low_a is None:
        return "no current looked at"
    if one.middle_a <= 0.0:
        return "the air alone"
    high = "" if one.high_a is None else f" to {one.high_a:.1f} A"
    return f"{one.middle_a:.1f} A ({one.low_a:.1f} A{high})"


def rated(part: PathPart) -> str:
    """Return the current of a part of the way.

    Parameters
    ----------
    part : PathPart
        The part.

    Returns
    -------
    str
        With its uncertainty where it was measured: a rating or a claim is a number on paper.
    """
    current = part.current_a
    return measured(current) if current.u != 0.0 else number_text(current.value, current.unit)


def _in(unit: str) -> Callable[[float], str]:
    def said(value: float) -> str:
        return format_figures(value, unit)

    return said


def _plain(value: float) -> str:
    return f"{value:.4g}"


HEAT: Mapping[str, Callable[..., Any]] = {
    "heated_place": heated_place,
    "reached_at": reached_at,
    "rated": rated,
    "path_role": lambda role: ROLES[PathRole(role)],
    "amperes": _in("A"),
    "degrees": _in("°C"),
    "metres": _in("m"),
    "plain": _plain,
}
"""The filters of the pages about cable and heat."""

"""A plug, pin or connector beside its cable: what its own warmth says of its contacts, and how far it is felt."""

from __future__ import annotations

import math

from coldpin.checks.cable_build import CableBuild, cable_build
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heating_evidence import HeatedInUse
from coldpin.checks.offered_current import largest_offer
from coldpin.copper.air_film import ON_A_SURFACE, arrange, film_interval
from coldpin.copper.hot_joint import FAR_ENOUGH, HotJoint, hot_joint
from coldpin.copper.joints import of_joint
from coldpin.copper.temperature_rise import METAL_ABOVE
from coldpin.quantity import Quantity, format_quantity, format_value, propagate, rectangular
from coldpin.standards.accessories import cable_end, copper_conducts
from coldpin.standards.book import Book

SAME = 0.02
"""Ours: two tests are at one current where their currents differ by no more than this share."""

BODY_GIVES_OFF = (0.05, 0.33)
"""Ours: heat that a plug or connector gives off, and its pins into what they are put in, for each kelvin of its rise:
60 cm² to 120 cm² of surface at 8 W/(m²·K) to 14 W/(m²·K), and up to 0.1 W/K through pins that are up to 1.6 times as
warm. [W/K]"""

SQUARE_MILLIMETRE = 1e-6
"""Square metres in one square millimetre."""


def beside_cable(bench: BenchEvidence, heated: HeatedInUse, sheath: tuple[HeatedInUse, ...]) -> tuple[str, ...]:
    """Say how much warmer than its cable a part became, what resistance and heat that is, and how far it is felt.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence, with the print of the cable.
    heated : HeatedInUse
        A plug, pin or connector.
    sheath : tuple of HeatedInUse
        The heating tests of the sheath: that of the same log counts, else one at the same current.

    Returns
    -------
    tuple of str
        One sentence or more.

    Raises
    ------
    EntryError
        The diameter of the cable cannot be read.
    CaseError
        A claim cannot be read.
    """
    cable = _of_same_test(heated, sheath)
    if cable is None:
        return (
            "How warm the cable itself became was not read: a hot cable warms its plug too.",
            reach_of_hot_end(bench.book),
        )
    apart, doubt = heated.rise.value - cable.rise.value, _doubt_of(heated.rise, cable.rise)
    more = apart > 0.0
    cause = "its own contacts heat it" if more else "the cable, not the contacts, heats it"
    if abs(apart) <= doubt:
        cause = "the readings do not tell which heats the other"
    said = (
        f"The {heated.part} rose by {format_value(round(abs(apart), 1), 'K')} {'more' if more else 'less'} than the "
        f"sheath in mid-cable: {cause}."
    )
    if not more or abs(apart) <= doubt:
        return (said,)
    build = cable_build(bench)
    if build is None:
        return (said, reach_of_hot_end(bench.book))
    return (said, _told(heated, joint_of(bench, heated, cable, build), build))


def joint_of(bench: BenchEvidence, heated: HeatedInUse, cable: HeatedInUse, build: CableBuild) -> HotJoint:
    """Return what the warmth of a part over its cable says of its contacts.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    heated : HeatedInUse
        The plug, pin or connector.
    cable : HeatedInUse
        The sheath, far from it, at the same current.
    build : CableBuild
        How the cable is built.

    Returns
    -------
    HotJoint
        At the largest current that is offered, else the claimed one, else that of the test. Joint and conductors may
        be warmer than what was read outside, as `METAL_ABOVE` says; both widen the result.
    """
    offer = largest_offer(bench)
    asked = offer[0] if offer is not None else heated.use.rated_current or heated.current
    low, high = METAL_ABOVE
    middle, half = 0.5 * (low + high), 0.5 * (high - low)
    local = propagate(
        _local_rise,
        {
            "part": heated.rise,
            "sheath": cable.rise,
            "joint_above": rectangular(middle, half, "1", id="joint above", label="joint warmer than its outside"),
            "metal_above": rectangular(middle, half, "1", id="metal above", label="metal warmer than the sheath"),
        },
        "K",
    )
    air = heated.in_test_air.value
    film = film_interval(
        arrange(bench.book, ON_A_SURFACE), diameter=build.diameter.value, surface=air + cable.rise.value, ambient=air
    )
    outer = rectangular(
        0.5 * float(film.low + film.high),
        0.5 * float(film.high - film.low),
        "W/(m²·K)",
        id="cable film",
        label="film of air around the cable",
    )
    least, most = BODY_GIVES_OFF
    return hot_joint(
        rise=heated.rise,
        local_rise=local,
        current=heated.current,
        offer=Quantity(asked.value, 0.0, "A"),
        surface=rectangular(
            0.5 * (least + most), 0.5 * (most - least), "W/K", id="body", label="heat off plug or connector"
        ),
        copper_area=Quantity(build.loaded * build.size_mm2 * SQUARE_MILLIMETRE, 0.0, "m²"),
        thermal_resistance=propagate(
            _to_air, {"inner": build.inner, "diameter": build.diameter, "outer": outer}, "K·m/W"
        ),
        conductivity=copper_conducts(bench.book),
    )


def _of_same_test(heated: HeatedInUse, sheath: tuple[HeatedInUse, ...]) -> HeatedInUse | None:
    same = [one for one in sheath if one.entry.id == heated.entry.id] or [
        one for one in sheath if abs(one.current.value - heated.current.value) <= SAME * heated.current.value
    ]
    return same[0] if same else None


def _local_rise(*, part: float, sheath: float, joint_above: float, metal_above: float) -> float:
    """Return the rise of the joint over the conductors far away. [K]"""
    return part * (1.0 + joint_above) - sheath * (1.0 + metal_above)


def _to_air(*, inner: float, diameter: float, outer: float) -> float:
    """Return the thermal resistance from conductor to air of a metre of cable. [K·m/W]"""
    return inner + 1.0 / (math.pi * diameter * outer)


def _told(heated: HeatedInUse, joint: HotJoint, build: CableBuild) -> str:
    warms = (
        f"it warms {format_quantity(joint.length)} of a cable of {build.loaded} × {build.size_mm2:g} mm² to 1/e of its "
        f"own rise, so a sensor of the sheath sits {joint.sensor_from:.2f} m from it or further"
    )
    if heated.told is not None and heated.told.open_above:
        return f"What its contacts resist does not follow before the end is known; {warms}."
    asked = format_value(float(f"{joint.offer.value:.3g}"), "A")
    return (
        f"All its contacts together resist about {format_quantity(of_joint(joint.resistance))} and make some "
        f"{format_quantity(joint.heat_at_offer)} at {asked}, by what such a part usually gives off; {warms}."
    )


def reach_of_hot_end(book: Book) -> str:
    """Say how far a hot end is felt in common cables, where nothing is known of this one.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    str
        One sentence.

    Raises
    ------
    InputError
        An own value of the case leaves an end out.
    """
    end = cable_end(book)
    return (
        f"A hot end warms {1e3 * end.shortest:.0f} mm to {1e3 * end.longest:.0f} mm of a common cable to 1/e of its "
        f"own rise: a sensor of the sheath sits {FAR_ENOUGH * end.longest:.2f} m from it or further."
    )


def _doubt_of(one: Quantity, other: Quantity) -> float:
    """Return the expanded uncertainty of a difference of two rises, infinite where an accuracy is not stated. [K]"""
    if one.expanded is None or other.expanded is None:
        return math.inf
    return math.hypot(one.expanded, other.expanded)

"""The map of current and ambient of the lead of a case: what its readings, its marks and usual layers make of it."""

from __future__ import annotations

import math
from dataclasses import replace

from coldpin.checks.cable_build import cable_build
from coldpin.checks.cable_rating import UNTOLD, kind_of_cable
from coldpin.checks.conductor_evidence import INSIDE, conductor_reading, tapped_entries
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heating_evidence import ACCESSORIES, HeatedInUse, heated_parts, rise_limit
from coldpin.checks.marked_size import marked_size
from coldpin.checks.offered_current import largest_offer
from coldpin.checks.readings import claimed
from coldpin.copper.air_film import ON_A_SURFACE, arrange
from coldpin.copper.current_map import AccessoryRise, charted, current_map
from coldpin.copper.heating_limits import GRASPED
from coldpin.copper.resistance import FOUR_WIRE
from coldpin.copper.steady import HeatedCable
from coldpin.copper.temperature_rise import BODIES
from coldpin.quantity import Quantity, format_quantity, propagate
from coldpin.records.conductor_words import LINES
from coldpin.records.current_map import CurrentChart, MappedLead
from coldpin.records.finding import Limit
from coldpin.records.heating import HeatedPart
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed

PER_METRE = 1e-3
"""Ω/m in one Ω/km."""


def lead_map(bench: BenchEvidence) -> CurrentChart | None:
    """Return the map of the lead, lying on a surface.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.

    Returns
    -------
    CurrentChart or None
        None where no line or neutral conductor was read with four wires inside its joints, or every such reading is
        asked about, where no size is marked, or no current is known.

    Raises
    ------
    EntryError
        A reading cannot be read.
    CaseError
        A claim cannot be read.
    """
    entries = [
        entry
        for entry in tapped_entries(bench)
        if entry.conditions["conductor"] in (*LINES, "N")
        and (entry.conditions.get("taps") or INSIDE) == INSIDE
        and (entry.conditions.get("method") or FOUR_WIRE) == FOUR_WIRE
    ]
    rated, offer = claimed(bench, "rated_current", "A"), largest_offer(bench)
    if not entries or marked_size(bench) is None or (rated is None and offer is None):
        return None
    readings = [(conductor_reading(bench, entry), entry.id) for entry in entries]
    told = [(reading.resistance_20c_ohm_per_km, entry) for reading, entry in readings if not reading.questions]
    build = cable_build(bench)
    if not told or build is None:
        return None
    resistance, read_in = max(told, key=lambda one: one[0].value)
    kind, plug, body = kind_of_cable(bench), hottest_accessory(bench), hottest_body(bench)
    cable = HeatedCable(
        diameter=build.diameter,
        inner=build.inner,
        resistance=propagate(_per_metre, {"resistance": resistance}, "Ω/m"),
        coefficient=temperature_coefficient(bench.book),
        cores=build.loaded,
    )
    metal_limit, touch_limit = insulation_temperature(bench.book, kind.insulation), touch_temperature(bench.book)
    found = current_map(
        cable,
        arrange(bench.book, ON_A_SURFACE),
        metal_limit=metal_limit,
        touch_limit=touch_limit,
        offered=None if offer is None else float(f"{offer[0].value:.3g}"),
        rated=rated,
        max_ambient=claimed(bench, "max_ambient", "°C"),
        accessory=None if plug is None else plug[0],
        body=None if body is None else body[0],
        words=(
            f"{build.cores} cores of {build.size_mm2:g} mm² as marked, {format_quantity(resistance)} at 20 °C as read; "
            f"{1e3 * build.diameter.value:.1f} mm across"
            + (" as measured, layers as usual" if build.measured else " and layers as usual, not measured")
            + ("" if resistance.u is not None else "; the bands leave out the resistance, whose accuracy is not stated")
            + ("; no type is printed, so the least insulation counts" if kind is UNTOLD else "")
        ),
    )
    lead = MappedLead(
        diameter_m=_bare(cable.diameter),
        inner_km_per_w=_bare(cable.inner),
        resistance_ohm_per_m=_bare(cable.resistance),
        coefficient=cable.coefficient,
        cores=cable.cores,
        metal_limit=metal_limit,
        touch_limit=touch_limit,
        accessory=None if plug is None else plug[0],
        body=None if body is None else body[0],
    )
    others = (*build.measured, *(one[1] for one in (offer, plug, body) if one is not None))
    return replace(charted(found), entries=tuple(dict.fromkeys((read_in, *others))), lead=lead)


def _bare(quantity: Quantity) -> Quantity:
    """Return a quantity as its record on disk tells it, so that what is asked of it later is answered alike."""
    return replace(quantity, components=(), quantiles=())


def hottest_accessory(bench: BenchEvidence) -> tuple[AccessoryRise, str] | None:
    """Return the plug, pin or connector whose limit comes first, with the entry of its heating test.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of AccessoryRise and str, or None
        None where none was heated, or none comes to an end that nothing is asked about. The one whose rise over the
        square of its current is the largest part of its limit; its rise as fitted, the limit as published.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        The claimed current cannot be read.
    """
    found = _settled(bench, *ACCESSORIES)
    told = [(_risen(bench, heated, rise_limit(bench, heated.part)), heated.entry.id) for heated in found]
    return max(told, key=lambda one: _nearness(one[0]), default=None)


def hottest_body(bench: BenchEvidence) -> tuple[AccessoryRise, str] | None:
    """Return the plug or connector whose body is the warmest in a hand, with the entry of its heating test.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of AccessoryRise and str, or None
        With the temperature that a grasped body may have as its limit; None as of :func:`hottest_accessory`. Pins are
        reached by no hand.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        The claimed current cannot be read.
    """
    limit = touch_temperature(bench.book, GRASPED)
    told = [(_risen(bench, heated, limit), heated.entry.id) for heated in _settled(bench, *BODIES)]
    return max(told, key=lambda one: _nearness(one[0]), default=None)


def _settled(bench: BenchEvidence, *parts: HeatedPart) -> tuple[HeatedInUse, ...]:
    """Return the heating tests of parts that come to an end that nothing is asked about."""
    return tuple(
        heated
        for heated in heated_parts(bench, *parts)
        if heated.rise.value > 0.0 and not (heated.told is not None and heated.told.open_above)
        if not heated.doubts and not heated.unsettled
    )


def _risen(bench: BenchEvidence, heated: HeatedInUse, limit: Limit) -> AccessoryRise:
    span = bench.book.limit("film.rise-exponent")
    return AccessoryRise(
        rise=heated.rise.value,
        current=heated.current.value,
        ambient=heated.in_test_air.value,
        limit=limit,
        exponent=(needed(span, "minimum"), needed(span, "maximum")),
        rise_u=_at_that_current(heated.rise, heated.current),
        part=heated.part.value,
    )


def _at_that_current(rise: Quantity, current: Quantity) -> float | None:
    """Return the standard uncertainty of a rise taken to be that at exactly the current read: it goes as its square."""
    if rise.u is None or current.u is None:
        return None
    return math.hypot(rise.u, 2.0 * rise.value * current.u / current.value)


def _nearness(one: AccessoryRise) -> float:
    return one.rise / (one.current**2 * needed(one.limit, "maximum"))


def _per_metre(*, resistance: float) -> float:
    return PER_METRE * resistance

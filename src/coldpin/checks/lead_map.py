"""The map of current and ambient of the lead of a case: what its readings, its marks and usual layers make of it."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cable_rating import UNTOLD, kind_of_cable
from coldpin.checks.conductor_evidence import INSIDE, conductor_reading, tapped_entries
from coldpin.checks.evidence import BenchEvidence, claimed
from coldpin.checks.marked_size import marked_size
from coldpin.checks.offered_current import largest_offer
from coldpin.copper.air_film import ON_A_SURFACE, arrange
from coldpin.copper.current_map import charted, current_map
from coldpin.copper.layers import MOST_CORES
from coldpin.copper.steady import HeatedCable
from coldpin.copper.usual_build import assumed_diameter, assumed_inner, usual_layers
from coldpin.quantity import format_quantity, propagate
from coldpin.records.conductor_words import LINES
from coldpin.records.current_map import CurrentChart
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature
from coldpin.standards.conductors import temperature_coefficient

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
        None where no line or neutral conductor was read inside its joints, no size is marked, or no current is known.

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
        if entry.conditions["conductor"] in (*LINES, "N") and (entry.conditions.get("taps") or INSIDE) == INSIDE
    ]
    marked, rated, offer = marked_size(bench), claimed(bench, "rated_current", "A"), largest_offer(bench)
    if not entries or marked is None or (rated is None and offer is None):
        return None
    told = [(conductor_reading(bench, entry).resistance_20c_ohm_per_km, entry.id) for entry in entries]
    resistance, read_in = max(told, key=lambda one: one[0].value)
    kind, phases = kind_of_cable(bench), bench.case.unit.phases
    loaded = 2 if phases == 1 else 3
    cores = loaded + 1 if phases == 1 else MOST_CORES
    diameter = assumed_diameter(bench.book, marked.size_mm2)
    layers = usual_layers(
        bench.book,
        kind=kind.build,
        cross_section_mm2=marked.size_mm2,
        cores=cores,
        loaded_cores=loaded,
        diameter=diameter.value,
    )
    cable = HeatedCable(
        diameter=diameter,
        inner=assumed_inner(layers),
        resistance=propagate(_per_metre, {"resistance": resistance}, "Ω/m"),
        coefficient=temperature_coefficient(bench.book),
        cores=loaded,
    )
    found = current_map(
        cable,
        arrange(bench.book, ON_A_SURFACE),
        metal_limit=insulation_temperature(bench.book, kind.insulation),
        touch_limit=touch_temperature(bench.book),
        offered=None if offer is None else float(f"{offer[0].value:.3g}"),
        rated=rated,
        max_ambient=claimed(bench, "max_ambient", "°C"),
        words=(
            f"{cores} cores of {marked.size_mm2:g} mm² as marked, {format_quantity(resistance)} at 20 °C as read; "
            f"{1e3 * diameter.value:.1f} mm across and layers as usual, not measured"
            + ("; no type is printed, so the least insulation counts" if kind is UNTOLD else "")
        ),
    )
    return replace(charted(found), entries=(read_in, *(() if offer is None else (offer[1],))))


def _per_metre(*, resistance: float) -> float:
    return PER_METRE * resistance

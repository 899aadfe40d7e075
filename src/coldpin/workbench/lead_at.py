"""What the lead of a case does at another current, in other air, at another length; nothing is written.

Asked are the readings of the case as assessed: nothing is read again, so that an answer comes at once.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from coldpin.copper.air_film import ARRANGEMENTS, ON_A_SURFACE, arrange
from coldpin.copper.current_map import charted, current_map
from coldpin.copper.drop_formulas import HOTTEST
from coldpin.copper.fault import fault_of_lead
from coldpin.copper.lead_heat import lead_heat
from coldpin.copper.steady import HeatedCable
from coldpin.copper.supposed_warmth import supposed_temperature
from coldpin.copper.voltage_drop import along, drop_of_way
from coldpin.copper.voltage_drop_telling import OF_EVERY_DROP
from coldpin.errors import InputError, OutsideRange, UnknownName
from coldpin.quantity import Component, Quantity, parse_quantity
from coldpin.records.assessment import Assessment, Problem
from coldpin.records.current_map import CurrentChart, LeadHeat, Place
from coldpin.records.fault import Core, EndToEnd, EndToEndCore, FaultWithstand
from coldpin.records.finding import Outcome
from coldpin.records.lead_at import LeadAt
from coldpin.records.lead_way import BEYOND_TAPS
from coldpin.records.voltage_drop import VoltageDrop
from coldpin.report.heating_lines import tested_points
from coldpin.standards.accessories import hottest_air
from coldpin.standards.book import Book, load_book
from coldpin.workbench.drafting import assessment_of

LARGEST_CURRENT = 1000.0
"""Ours: nobody asks more of a lead; a larger number is a slip. [A]"""

LONGEST = 1000.0
"""Ours: no lead is longer; a larger number is a slip. [m]"""

NO_MAP = (
    "How warm it becomes is not reckoned: that takes a line or neutral conductor read with four wires inside its "
    "joints, the marked size, and a current."
)
NO_DROP = "The drop is not reckoned: that takes the line conductor, read from end to end."
NO_FAULT = "Faults are not reckoned: that takes line or earth conductor, and the device before the socket or the plug."
LAID = "Map and temperatures hold for a lead that lies {lies} along its whole length; where covered it is warmer."
SAME_CABLE = (
    "At another length the same cable is taken, which only a look at it shows. Joints that were told apart count once, "
    "joints read with the cable grow with it."
)
BY_TABLE = (
    "How warm the conductors are is not known: the drop is for {warm:g} °C, the temperature of the printed table."
)

_BARE = re.compile(r"[-+−]?[\d.,]+(?:[eE][-+]?\d+)?")
"""A number by itself, to which the unit that is asked for belongs."""


def lead_of_case_at(
    folder: Path | str,
    *,
    current: str = "",
    ambient: str = "",
    length: str = "",
    lies: str = "",
    progress: Callable[[float], None] | None = None,
) -> tuple[LeadAt, tuple[Problem, ...]]:
    """Return what the lead of a case does at another current, in other air, at another length.

    Parameters
    ----------
    folder : Path or str
        The case.
    current : str
        In each loaded core, such as "20 A"; the largest offered or marked where left out.
    ambient : str
        The air, such as "40 °C"; the hottest it is meant for where left out.
    length : str
        Of the cable, such as "10 m"; its own where left out.
    lies : str
        How: "on a surface", which is taken where left out, "free air", "bundled", "coiled", "on a drum".
    progress : callable, optional
        Told the fraction of the assessment done; what it raises stops the work.

    Returns
    -------
    tuple
        The answer, and what of the case could not be used.

    Raises
    ------
    CaseError
        The case itself cannot be read.
    InputError
        What is asked cannot be read, or no current is known and none is given.
    UnknownName
        No lead lies like that.
    """
    assessment = assessment_of(folder, progress=progress)
    told = lead_at(assessment, current=current, ambient=ambient, length=length, lies=lies)
    return told, assessment.problems


def lead_at(
    assessment: Assessment, *, current: str = "", ambient: str = "", length: str = "", lies: str = ""
) -> LeadAt:
    """Return what the lead of an assessment does at another current, in other air, at another length.

    Parameters
    ----------
    assessment : Assessment
        The case as assessed.
    current, ambient, length, lies : str
        As in :func:`lead_of_case_at`; a number without a unit is in amperes, degrees Celsius, metres.

    Returns
    -------
    LeadAt
        Temperatures and the limit that binds, the voltage drop, what a fault does.

    Raises
    ------
    InputError
        What is asked cannot be read, or no current is known and none is given.
    UnknownName
        No lead lies like that.
    """
    book = load_book().with_own(assessment.case.constants)
    cable = assessment.cable
    amperes = _asked(current, "A", "current", most=LARGEST_CURRENT)
    air = _asked(ambient, "°C", "ambient")
    metres = _asked(length, "m", "length", most=LONGEST)
    if lies and lies not in ARRANGEMENTS:
        raise UnknownName.among("arrangement", lies, ARRANGEMENTS)
    how = lies or ON_A_SURFACE
    used = amperes if amperes is not None else _own_current(assessment)
    hottest = air if air is not None else _own_air(assessment, book)
    own_length = None if cable.end_to_end is None else cable.end_to_end.length_m
    long = own_length if metres is None or own_length is None else metres
    heat = None if cable.heat is None or cable.heat.lead is None else _heat(cable.heat, how, used, hottest, book)
    drop, drop_why, drop_said = _drop(cable.end_to_end, heat, used, long, book)
    faults = _faults(cable.end_to_end, long, book)
    remarks = (
        *(() if heat is None else (LAID.format(lies=how),)),
        *drop_said,
        *(() if long is None or long == own_length else (SAME_CABLE,)),
    )
    return LeadAt(
        schema="coldpin.lead_at/1",
        title=assessment.title,
        current_a=used,
        ambient_c=hottest,
        lies=how,
        length_m=long,
        as_it_is=amperes is None and air is None and metres is None and not lies,
        heat=heat,
        heat_why="" if heat is not None else NO_MAP,
        drop=drop,
        drop_why=drop_why,
        faults=faults,
        faults_why="" if faults else NO_FAULT,
        remarks=remarks,
    )


def lead_map_lying(assessment: Assessment, lies: str = "") -> CurrentChart:
    """Return the map of current and ambient of the lead of an assessment, lying otherwise than it was drawn for.

    Parameters
    ----------
    assessment : Assessment
        The case as assessed.
    lies : str
        As in :func:`lead_of_case_at`.

    Returns
    -------
    CurrentChart
        The map.

    Raises
    ------
    InputError
        Too little is known of the lead to draw a map.
    UnknownName
        No lead lies like that.
    """
    drawn = assessment.cable.heat
    if drawn is None or drawn.lead is None:
        raise InputError(NO_MAP)
    lead = drawn.lead
    drawn = replace(drawn, tested=tested_points(assessment.cable.heating))
    if not lies or lies == drawn.arrangement:
        return drawn
    book = load_book().with_own(assessment.case.constants)
    made = current_map(
        HeatedCable(
            diameter=lead.diameter_m,
            inner=lead.inner_km_per_w,
            resistance=lead.resistance_ohm_per_m,
            coefficient=lead.coefficient,
            cores=lead.cores,
        ),
        arrange(book, lies),
        metal_limit=lead.metal_limit,
        touch_limit=lead.touch_limit,
        offered=drawn.offered,
        rated=drawn.rated,
        max_ambient=drawn.max_ambient,
        tested=drawn.tested,
        accessory=lead.accessory,
        body=lead.body,
        words=drawn.cable,
    )
    return replace(charted(made), entries=drawn.entries, lead=lead)


def _asked(text: str, unit: str, what: str, *, most: float = math.inf) -> float | None:
    """Return what was asked for, None where nothing was."""
    if not text.strip():
        return None
    written = f"{text.strip()} {unit}" if _BARE.fullmatch(text.strip()) else text
    value = parse_quantity(written, unit, id=what, label=what).value
    if unit != "°C" and not 0.0 < value <= most:
        raise OutsideRange(f"{what} {text!r}: it must be above 0 {unit} and at most {most:g} {unit}")
    return value


def _own_current(assessment: Assessment) -> float:
    """Return the largest current that is offered, marked or claimed."""
    drawn, path = assessment.cable.heat, assessment.cable.path
    known = [] if drawn is None else [one for one in (drawn.offered, drawn.rated) if one is not None]
    if not known and path is not None:
        known = [part.current_a.value for part in path.parts if part.role != "carries"]
    if not known:
        raise InputError("no current is offered, marked or claimed: give the current, such as '16 A'")
    return max(known)


def _own_air(assessment: Assessment, book: Book) -> float:
    drawn = assessment.cable.heat
    if drawn is not None and drawn.max_ambient is not None:
        return drawn.max_ambient
    return hottest_air(book)


def _heat(drawn: CurrentChart, lies: str, current: float, ambient: float, book: Book) -> LeadHeat:
    assert drawn.lead is not None, "asked only where the lead of the map is known"
    return lead_heat(drawn.lead, arrange(book, lies), current=current, ambient=ambient)


def _drop(
    ends: EndToEnd | None, heat: LeadHeat | None, current: float, length: float | None, book: Book
) -> tuple[VoltageDrop | None, str, tuple[str, ...]]:
    """Return the drop with the metal as warm as it becomes; why there is none; what was taken for granted."""
    if ends is None or ends.way is None or length is None:
        return None, NO_DROP, ()
    metal = None if heat is None else next(one.temperature_c for one in heat.places if one.place is Place.METAL)
    if heat is not None and metal is None:
        return None, "The drop is not reckoned: the metal comes to no end temperature.", ()
    warm = supposed_temperature(book)
    if metal is not None and metal.value > HOTTEST:
        return None, f"The drop is not reckoned: the metal would pass {HOTTEST:g} °C.", ()
    try:
        told = _as_found(ends, current, length, warm if metal is None else None) or drop_of_way(
            ends.way,
            ends.phases,
            ends.marked_mm2,
            current,
            book,
            length=length,
            # nearly all of its uncertainty is the film's, which the resistance knows nothing of
            conductor_temperature=warm if metal is None else replace(metal, components=(), quantiles=()),
        )
    except OutsideRange as error:
        return None, f"The drop is not reckoned: {error}.", ()
    said = (
        *((BY_TABLE.format(warm=warm),) if metal is None else ()),
        *told.remarks[OF_EVERY_DROP:],
        *ends.way.doubts,
    )
    if told.outcome is Outcome.WITHIN and ends.way.doubts:
        told = replace(told, outcome=Outcome.UNDECIDED, probability=None)
    return told, "", said


def _as_found(ends: EndToEnd, current: float, length: float, warm: float | None) -> VoltageDrop | None:
    """Return the drop as its finding has it, where that is what is asked."""
    drop = ends.drop
    if drop is None or ends.way is None:
        return None
    same = (drop.current_a.value, drop.conductor_temperature_c, ends.way.length_m) == (current, warm, length)
    return drop if same else None


def _long(core: EndToEndCore, length: float, own: float) -> Quantity:
    """Return a conductor from end to end at a length; as read where that is its own."""
    whole = core.core.resistance_20
    assert whole is not None, "a conductor that was read has its resistance"
    if length == own:
        return whole
    return along(core.per_metre_20, length, core.joints_20)


def _at_length(core: EndToEndCore, resistance: Quantity, *, own: bool) -> Core:
    """Return a conductor as the formulas of a fault take it; at another length its joints alone are not counted."""
    if own:
        return replace(core.core, resistance_20=resistance)
    not_counted = tuple(what for what in core.core.not_counted if what != BEYOND_TAPS)
    return replace(core.core, resistance_20=resistance, not_counted=not_counted, allowed_20=core.allowed_joints_20)


def _faults(ends: EndToEnd | None, length: float | None, book: Book) -> tuple[FaultWithstand, ...]:
    if ends is None or length is None:
        return ()
    read = [core for core in (ends.line, ends.earth) if core is not None]
    doubted = any(core.doubts for core in (*read, *(() if ends.neutral is None else (ends.neutral,))))
    if length == ends.length_m and len(ends.faults) == len(ends.feeds):
        return tuple(_unless_doubted(one) if doubted else one for one in ends.faults)
    all_read = [*read, *(() if ends.neutral is None else (ends.neutral,))]
    long = [_long(core, length, ends.length_m) for core in all_read]
    least = min(one.dof for one in long)
    own = length == ends.length_m
    every = [_at_length(core, _together(one, least), own=own) for core, one in zip(all_read, long, strict=True)]
    cores, neutral = every[: len(read)], every[-1] if ends.neutral is not None else None
    found = [
        fault_of_lead(cores, known.feed, book, insulation=ends.insulation, neutral=neutral, phases=ends.phases)
        for known in ends.feeds
    ]
    return tuple(_unless_doubted(one) if doubted else one for one in found)


def _together(resistance: Quantity, dof: float) -> Quantity:
    """Return a conductor's resistance as one error with that of the others.

    They were read with one meter and one tape, and the record keeps no budget: taken to err together, which is the
    careful side of a loop.
    """
    if resistance.u is None:
        return resistance
    part = Component(id="conductors as read", label="conductors as read", contribution=resistance.u, dof=dof)
    return replace(resistance, dof=dof, components=(part,), quantiles=())


def _unless_doubted(told: FaultWithstand) -> FaultWithstand:
    return replace(told, outcome=Outcome.UNDECIDED) if told.outcome is Outcome.WITHIN else told


__all__ = ["lead_at", "lead_map_lying", "lead_of_case_at"]

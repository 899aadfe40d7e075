"""Injury scenarios of a case: what the body's current says joined to what was found."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from coldpin.conclusion.scenario_judging import judge_specimen
from coldpin.conclusion.scenarios import Known, check_estimate, check_own_severity, known, set_scenarios
from coldpin.errors import InputError
from coldpin.protection.body_telling import body_current
from coldpin.records.assessment import Problem
from coldpin.records.case import Build, Cable, CaseDescription
from coldpin.records.finding import Finding
from coldpin.records.function import ProtectiveFunction
from coldpin.records.person import Wetness
from coldpin.records.scenario import (
    Circumstances,
    InjuryScenario,
    OwnEstimate,
    OwnSeverity,
    ShockZones,
    SpecimenRisk,
    Weather,
)
from coldpin.standards.book import Book
from coldpin.standards.table import needed
from coldpin.workbench.shock_evidence import trip_time

PATH = "hand-to-feet"
"""The way of a shock at a connector, a car or a housing: from the hand that touches to the ground."""

REMEMBERED = 32
"""Books whose shocks are kept at most; it bounds memory, it judges nothing."""

SKIN = {Weather.DRY: Wetness.DRY, Weather.WET: Wetness.FRESH_WATER}


@lru_cache(maxsize=REMEMBERED)
def shock_zones(book: Book, weather: Weather, trips_in: float | None = None) -> ShockZones:
    """Return in which zones a mains shock lies, cut off by a device that works and lasting.

    Parameters
    ----------
    book : Book
        The constants.
    weather : Weather
        Dry or wet skin.
    trips_in : float, optional
        Time after which the unit's own protection was measured to switch off, the longest with its uncertainty. [s]

    Returns
    -------
    ShockZones
        The zones, with what they were computed from. Before the socket a device acts as its row asks.

    Raises
    ------
    InputError
        An own constant leaves out a number.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> shock_zones(load_book(), Weather.DRY).lasting
    'AC-4.3'
    >>> shock_zones(load_book(), Weather.DRY, 0.0344).own
    'AC-3'

    Sources
    -------
    ``body.*``, ``residual-current.general.5x``, ``injury.mains-voltage``.
    """
    voltage = needed(book.limit("injury.mains-voltage"), "nominal")
    soon = needed(book.limit("residual-current.general.5x"), "maximum")
    cut = body_current(book, voltage=voltage, path=PATH, wetness=SKIN[weather], time=soon)
    lasting = body_current(book, voltage=voltage, path=PATH, wetness=SKIN[weather])
    said, own = [], ""
    if trips_in is not None:
        own = body_current(book, voltage=voltage, path=PATH, wetness=SKIN[weather], time=trips_in).zone.value
        said.append(f"zone {own} where the unit cuts it off, as measured within {1e3 * trips_in:.3g} ms at the slowest")
    said += [
        f"zone {cut.zone.value} where a device before the socket cuts it off within the {1e3 * soon:g} ms of its row",
        f"zone {lasting.zone.value} where nothing cuts it off",
    ]
    return ShockZones(
        own=own,
        cut=cut.zone.value,
        lasting=lasting.zone.value,
        because=(
            f"{weather.value.capitalize()} skin, {voltage:g} V from a hand to the feet, the {cut.percentile:g} % of "
            f"people with the least impedance: about {_round(cut.current_ma)} mA, {', '.join(said)}."
        ),
    )


def zones_of(
    book: Book, functions: Iterable[ProtectiveFunction], findings: Iterable[Finding]
) -> dict[Weather, ShockZones]:
    """Return the zones of a shock with a specimen, its own protection taken as it was measured.

    Parameters
    ----------
    book : Book
        The constants.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.

    Returns
    -------
    dict
        For dry and wet skin.

    Raises
    ------
    InputError
        An own constant leaves out a number.
    """
    trips_in = trip_time({one.id: one for one in findings}, {one.id: one.protecting for one in functions})
    return {weather: shock_zones(book, weather, trips_in) for weather in Weather}


def _round(milliamps: float) -> str:
    return f"{float(f'{milliamps:.2g}'):.0f}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Injuries:
    """What could happen: scenarios worst first, the specimen's risk, and what could not be used for it."""

    scenarios: tuple[InjuryScenario, ...]
    risk: SpecimenRisk
    problems: tuple[Problem, ...]


def injury_scenarios(
    description: CaseDescription,
    book: Book,
    functions: Iterable[ProtectiveFunction],
    findings: Iterable[Finding],
    *,
    circumstances: Circumstances | None = None,
) -> Injuries:
    """Judge the injury scenarios of a case under stated circumstances.

    Parameters
    ----------
    description : CaseDescription
        Class of unit, and the case's own estimates.
    book : Book
        The constants, with the case's own.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.
    circumstances : Circumstances, optional
        Place, weather, person and supply; where left out a household outdoors with nothing known of its supply.

    Returns
    -------
    Injuries
        Scenarios, risk, and own estimates that could not be used.

    Raises
    ------
    InputError
        An own constant leaves out a number that is needed.
    """
    judged, found = tuple(functions), tuple(findings)
    zones = zones_of(book, judged, found)
    own, problems = usable_estimates(description)
    severities, unusable = usable_severities(description)
    sets = set_scenarios(
        book,
        known_of(description, judged, found),
        zones=zones,
        circumstances=circumstances,
        own=own,
        severities=severities,
    )
    scenarios, risk = judge_specimen(book, sets, functions=judged, findings=found, zones=zones.values())
    return Injuries(scenarios=scenarios, risk=risk, problems=(*problems, *unusable))


def known_of(
    description: CaseDescription, functions: Iterable[ProtectiveFunction], findings: Iterable[Finding]
) -> Known:
    """Return what the scenarios of a case are set by.

    Parameters
    ----------
    description : CaseDescription
        Class of unit.
    functions : iterable of ProtectiveFunction
        As judged.
    findings : iterable of Finding
        All findings.

    Returns
    -------
    Known
        Functions and findings by id, and the class of unit.
    """
    return known(
        functions,
        findings,
        without_pilot=description.unit.charging_mode == 1,
        fixed=description.unit.build is Build.FIXED,
        outlet=description.unit.cable is Cable.DETACHABLE,
    )


def usable_estimates(description: CaseDescription) -> tuple[tuple[OwnEstimate, ...], tuple[Problem, ...]]:
    """Part the case's own estimates into those that can be used and what is wrong with the others.

    Parameters
    ----------
    description : CaseDescription
        The case.

    Returns
    -------
    tuple
        Usable estimates, and one problem for each other one.
    """
    usable: list[OwnEstimate] = []
    problems: list[Problem] = []
    for estimate in description.estimates:
        try:
            check_estimate(estimate)
        except InputError as error:
            problems.append(Problem(where="case.toml, [[estimates]]", what=str(error)))
        else:
            usable.append(estimate)
    return tuple(usable), tuple(problems)


def usable_severities(description: CaseDescription) -> tuple[tuple[OwnSeverity, ...], tuple[Problem, ...]]:
    """Part the case's own severities into those that can be used and what is wrong with the others.

    Parameters
    ----------
    description : CaseDescription
        The case.

    Returns
    -------
    tuple
        Usable severities, and one problem for each other one.
    """
    usable: list[OwnSeverity] = []
    problems: list[Problem] = []
    for severity in description.severities:
        told = ""
        try:
            check_own_severity(severity)
        except InputError as error:
            told = str(error)
        if any(one.scenario == severity.scenario for one in usable):
            told = f"case.toml, [[severities]] {severity.scenario}: given twice, the first is used: keep one of them"
        if told:
            problems.append(Problem(where="case.toml, [[severities]]", what=told))
        else:
            usable.append(severity)
    return tuple(usable), tuple(problems)

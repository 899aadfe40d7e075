"""What limits the current under a condition of use: every part of the way at that ambient, coiling and time, by name.

Nothing is judged here. Each bound is taken at the careful end of what is known; the least of them is the largest
current that may flow there.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coldpin.checks.cable_rating import kind_of_cable
from coldpin.checks.carrying_size import carrying_size
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.heating_evidence import ACCESSORIES, HeatedInUse, heated_parts, temperature_limit
from coldpin.checks.lead_way import lead_way
from coldpin.checks.offered_current import declared_limit, largest_offer, with_duty_tolerance
from coldpin.checks.readings import claimed
from coldpin.checks.supply_path import marked_mm2
from coldpin.copper.cable_rating import rows_at
from coldpin.copper.current_path import LOADED_CORES
from coldpin.copper.rated import scaled_rise
from coldpin.copper.voltage_drop import drop_of_way
from coldpin.quantity import format_figure, format_quantity, format_value
from coldpin.records.case import Build
from coldpin.records.finding import Limit
from coldpin.records.heating import HeatedPart
from coldpin.records.scenario import Circuit
from coldpin.records.use import Coiled, CurrentBound, CurrentKind, Use
from coldpin.standards.book import Book
from coldpin.standards.cable_heating import coil_factor
from coldpin.standards.cable_ratings import all_cable_ratings, insulation_temperature, row_text
from coldpin.standards.connections import coupler, plug, plug_practice
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.protective_device import find_device
from coldpin.standards.table import needed
from coldpin.standards.uses import long_hours, national_rules

HEATED = (HeatedPart.SHEATH, *ACCESSORIES)
"""Parts of the lead whose heating test says how much they bear."""

AT_MOST_TIMES = 3.0
"""Ours: how far above the current of a test its bearable one is looked for; beyond that a test says nothing. [1]"""

TRIED = 601
"""Ours: currents tried up to there, in steps of half a per cent of the test's: finer than its reading."""


def use_bounds(bench: BenchEvidence, use: Use) -> tuple[CurrentBound, ...]:
    """Return everything that limits the current under a condition of use.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    use : Use
        Supply, ambient, coiling, hours and country.

    Returns
    -------
    tuple of CurrentBound
        Least first; what is not known is not there.

    Raises
    ------
    EntryError
        A reading cannot be read.
    CaseError
        A claim cannot be read.
    UnknownName
        The plug is not in the table.
    """
    everywhere = bench.once("bounds of the current everywhere", lambda: (*_drop(bench), *_offer(bench)))
    found = (*_supply(bench, use), *_parts(bench, use), *_cable(bench, use), *_heated(bench, use), *everywhere)
    return tuple(sorted(found, key=lambda bound: bound.current_a))


def _offer(bench: BenchEvidence) -> Iterator[CurrentBound]:
    """Yield what the unit tells the car, with how far it may lie above a rating and be as it should."""
    offer = largest_offer(bench)
    if offer is None:
        return
    current, entry = offer
    widened = with_duty_tolerance(bench, declared_limit("offer", current.value, "measured"))
    yield CurrentBound(
        kind=CurrentKind.OFFER,
        name="what the unit offers the car",
        current_a=current.value,
        because=f"the largest current that a capture offers, {format_quantity(current)}",
        entries=(entry,),
        allowed_a=needed(widened, "maximum") - current.value,
    )


def _supply(bench: BenchEvidence, use: Use) -> Iterator[CurrentBound]:
    """Yield what circuit, device and the country's rules for circuits let flow."""
    rating, whose = use.supply_a, "as stated"
    if rating is None and use.circumstances.circuit is Circuit.OWN and bench.case.unit.build is Build.FIXED:
        rating, whose = claimed(bench, "rated_current", "A"), "taken to be made for the unit"
    if rating is not None:
        yield CurrentBound(
            kind=CurrentKind.CIRCUIT,
            name="the circuit",
            current_a=rating,
            because=f"rated for {format_value(rating, 'A')}, {whose}",
        )
    if use.device:
        device = find_device(use.device)
        yield CurrentBound(
            kind=CurrentKind.DEVICE,
            name=f"the device before the socket ({device.name})",
            current_a=device.rating_a,
            because=f"rated for {format_value(device.rating_a, 'A')}",
        )
        rating = device.rating_a if rating is None else min(rating, device.rating_a)
    word = bench.claim("plug")
    own = "" if not word else plug(bench.book, word).id.removeprefix("plug.")
    for rule in national_rules(bench.book, use.country):
        if rule.sockets and own not in rule.sockets:
            continue
        if rule.limit.unit == "A":
            yield _by_rule(needed(rule.limit, "maximum"), rule.says, rule.limit)
        elif rule.limit.unit == "%" and rating is not None:
            yield _by_rule(0.01 * needed(rule.limit, "maximum") * rating, rule.says, rule.limit)


def _by_rule(current: float, says: str, limit: Limit) -> CurrentBound:
    return CurrentBound(
        kind=CurrentKind.RULE,
        name=f"a rule of the country ({limit.title})",
        current_a=current,
        because=says,
        limit=limit,
    )


def _parts(bench: BenchEvidence, use: Use) -> Iterator[CurrentBound]:
    """Yield what plug, practice, coupler and plate let flow."""
    word = bench.claim("plug")
    if word and bench.case.unit.build is Build.PORTABLE:
        yield _by_limit(CurrentKind.PLUG, "the plug", plug(bench.book, word), "its rating")
        if use.hours is None or use.hours > needed(long_hours(bench.book), "maximum"):
            yield from _practice(bench.book, word, use.country)
    yield _by_limit(
        CurrentKind.COUPLER, "the vehicle coupler", coupler(bench.book, bench.case.unit.connector), "its rating"
    )
    plate = claimed(bench, "rated_current", "A")
    if plate is not None:
        yield CurrentBound(
            kind=CurrentKind.PLATE,
            name="the lead's own rating",
            current_a=plate,
            because=f"{format_value(plate, 'A')} on plate, papers or listing",
        )


def _practice(book: Book, word: str, country: str) -> Iterator[CurrentBound]:
    """Yield the least that a country lets such a plug carry for hours; of any country known, where none is named."""
    practices = plug_practice(book, word, country)
    where = f"in {country}" if country else "in any country known to us, as none is named"
    if not practices:
        practices = plug_practice(book, word)
        where = f"in any country known to us; none is known of {country}: ask the local codes"
    if practices:
        least = min(practices, key=lambda one: needed(one, "maximum"))
        yield _by_limit(CurrentKind.PRACTICE, "the practice for such a plug for hours", least, f"the least {where}")


def _by_limit(kind: CurrentKind, name: str, limit: Limit, what: str) -> CurrentBound:
    return CurrentBound(
        kind=kind, name=name, current_a=needed(limit, "maximum"), because=f"{what}: {limit.title}", limit=limit
    )


def _cable(bench: BenchEvidence, use: Use) -> Iterator[CurrentBound]:
    """Yield the lowest printed rating of the cable's size at the ambient, coiled where it may be."""
    size = bench.once("size of the cable for conditions of use", lambda: carrying_size(bench))
    if size is None or size.size_mm2 is None:
        return
    kind, ambient = kind_of_cable(bench), _ambient(bench, use)
    rows = rows_at(
        bench.book,
        cross_section_mm2=size.size_mm2,
        loaded_cores=LOADED_CORES.get(bench.case.unit.phases, LOADED_CORES[1]),
        ambient=ambient,
        metal=needed(insulation_temperature(bench.book, kind.insulation), "maximum"),
        families=kind.families,
    )
    if not rows:
        return
    laid, factor = rows[0].current, _coil(bench, use)
    how = "laid out" if factor == 1.0 else f"coiled, which leaves {factor:g} of the current"
    yield CurrentBound(
        kind=CurrentKind.CABLE,
        name=f"the cable of {size.size_mm2:g} mm²",
        current_a=laid * factor,
        because=f"{row_text(rows[0].row.limit)}, in air of {format_value(ambient, '°C')}, {how}. {size.why}",
        limit=rows[0].row.limit,
        entries=size.entries,
        if_laid_out=None if factor == 1.0 else laid,
    )


def _ambient(bench: BenchEvidence, use: Use) -> float:
    """Return the warmest air; that which the tables of cables are made for where nobody says it. [°C]"""
    return all_cable_ratings(bench.book)[0].ambient if use.ambient is None else use.ambient


def _coil(bench: BenchEvidence, use: Use) -> float:
    return 1.0 if use.coiled is Coiled.NO else needed(coil_factor(bench.book), "minimum")


def heated_once(bench: BenchEvidence) -> tuple[HeatedInUse, ...]:
    """Return the parts of heating tests whose end is known, found once for all conditions of use.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    tuple of HeatedInUse
        Those nothing is asked about.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        The claimed current cannot be read.
    """
    return bench.once(
        "heated parts for conditions of use",
        lambda: tuple(
            heated
            for heated in heated_parts(bench, *HEATED)
            if heated.rise.value > 0.0
            and not (heated.told is not None and heated.told.open_above)
            and not heated.doubts
            and not heated.unsettled
        ),
    )


def _heated(bench: BenchEvidence, use: Use) -> Iterator[CurrentBound]:
    """Yield the current at which each heated part would reach its limit at the ambient."""
    factor, ambient = _coil(bench, use), _ambient(bench, use)
    for heated in heated_once(bench):
        limit = temperature_limit(bench, heated.part, ambient)
        if limit is None:
            continue
        most = needed(limit, "maximum")
        laid = _bearable(bench, heated, most - ambient, ambient)
        if laid is None:
            continue
        coiled = factor if heated.part is HeatedPart.SHEATH else 1.0
        how = (
            ""
            if coiled == 1.0
            else f"; that is {format_value(float(f'{laid:.3g}'), 'A')} laid out, and coiled {coiled:g} of it"
        )
        yield CurrentBound(
            kind=CurrentKind.HEATING,
            name=f"the {heated.part.value}, by its heating test",
            current_a=laid * coiled,
            because=f"it rose by {format_figure(heated.rise)} at {format_figure(heated.current)}; with more than this "
            f"it may pass {format_value(most, limit.unit)} in air of {format_value(ambient, '°C')}{how}",
            limit=limit,
            entries=(heated.entry.id,),
            if_laid_out=None if coiled == 1.0 else laid,
        )


def _bearable(bench: BenchEvidence, heated: HeatedInUse, may_rise: float, ambient: float) -> float | None:
    """Return the largest current with which the rise stays below a bound, at the careful end of rise and exponent."""
    if may_rise <= 0.0:
        return 0.0
    span = bench.book.limit("film.rise-exponent")
    tried = np.linspace(0.0, AT_MOST_TIMES * heated.current.value, TRIED)[1:]
    low, high = (
        np.asarray(
            scaled_rise(
                rise=heated.rise.value if heated.rise.high is None else heated.rise.high,
                current=heated.current.value,
                rated_current=tried,
                ambient=heated.in_test_air.value,
                max_ambient=ambient,
                metal_above=0.0,
                exponent=exponent,
                coefficient=temperature_coefficient(bench.book),
            )
        )
        for exponent in (needed(span, "minimum"), needed(span, "maximum"))
    )
    below = tried[np.maximum(low, high) <= may_rise]
    return None if below.size == tried.size else float(below.max(initial=0.0))


def _drop(bench: BenchEvidence) -> Iterator[CurrentBound]:
    """Yield the current with which the lead alone takes all that an installation may."""
    way = lead_way(bench)
    if way is None or way.doubts:
        return
    told = drop_of_way(way, bench.case.unit.phases, marked_mm2(bench), 1.0, bench.book)
    most = told.lead_percent.value if told.lead_percent.high is None else told.lead_percent.high
    yield CurrentBound(
        kind=CurrentKind.DROP,
        name="the voltage drop",
        current_a=needed(told.limit, "maximum") / most,
        because=f"with this the lead alone takes the {needed(told.limit, 'maximum'):g} % that a whole installation may",
        limit=told.limit,
        entries=way.entries,
    )

"""A stand-in for the vehicle on the bench: which stock resistors make each state and each case at an edge."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.pilot import vehicle_simulator_words as words
from coldpin.pilot.circuit import REFERENCE_TEMPERATURE, diode_drop, level, parallel
from coldpin.pilot.resistor_networks import Combination, heat_in, nearest_combination, value_of, with_tolerance_of
from coldpin.pilot.vehicle_side import quantity_of
from coldpin.quantity import Quantity, propagate
from coldpin.records.finding import Limit
from coldpin.records.vehicle_simulator import Arrangement, DiodeSwitch, Heat, Network, Position, VehicleSimulator
from coldpin.standards.book import Book
from coldpin.standards.editions import Edition, edition_title
from coldpin.standards.parts import diode_behaviour, film_tolerance, preferred_numbers, stock_ratings
from coldpin.standards.pilot import Generator, generator
from coldpin.standards.table import needed
from coldpin.standards.vehicle import BoundaryLoads, VehicleParts, boundary_loads, vehicle_parts
from coldpin.standards.wording import number_text

Numbers = NDArray[np.float64]

DERATING = 2.0
"""Ours: a resistor is bought for at least so many times the power it takes: it stays cool and keeps its value."""

LEVEL_DRAWS = 20_000
"""Ours: draws for the interval of a level: its ends to some hundredths of u, where a hundredth of a volt is printed."""

METER_CURRENT = 1e-3
"""Ours: the current at which a meter's diode range is taken to work. [A] Meters differ; it tells what to expect."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Wanted:
    """A network to be made: its name, what it stands for, and on which side of it to stay."""

    name: str
    ohm: float
    limit: Limit
    at_least: bool = False
    at_most: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Bench:
    """What the positions are worked out from."""

    made: Mapping[str, tuple[Combination, Quantity]]
    generator: Generator
    parts: VehicleParts
    tolerance: float


def plan_vehicle_simulator(
    book: Book, edition: Edition, *, series: str = "E24", cautions: tuple[str, ...] = ()
) -> VehicleSimulator:
    """Return a vehicle simulator: its parts, positions with levels and heat, proof before use, order of switching.

    Parameters
    ----------
    book : Book
        The constants.
    edition : Edition
        Whose generator the levels are for.
    series : str
        "E24" or "E96": which resistors are at hand.
    cautions : tuple of str
        What stands before everything else.

    Returns
    -------
    VehicleSimulator
        The whole of it.

    Raises
    ------
    UnknownName
        There is no such series.
    InputError
        An own value of the case leaves a part without one of its numbers.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> plan = plan_vehicle_simulator(load_book(), Edition.IEC_3, series="E96")
    >>> plan.networks[0].name, plan.networks[0].resistors_ohm, plan.networks[0].rating_w
    ('R2', (2740.0,), (0.25,))

    Sources
    -------
    ``pilot.vehicle.*``, ``pilot.recognise.*``, ``pilot.short-test``, ``resistor.*``, ``diode.*``.
    """
    numbers = preferred_numbers(book, series)
    tolerance, parts = film_tolerance(book), vehicle_parts(book)
    percent = needed(tolerance, "maximum")
    loads = boundary_loads(book)
    wanted = _wanted(parts, loads)
    made = {
        one.name: nearest_combination(one.ohm, numbers.decade, at_least=one.at_least, at_most=one.at_most)
        for one in wanted
    }
    bench = _Bench(
        made={name: (found, with_tolerance_of(found, percent, name)) for name, found in made.items()},
        generator=generator(book, edition),
        parts=parts,
        tolerance=percent,
    )
    opening, short = book.limit("timing.open-on-unplug"), book.limit("timing.open-on-short")
    positions = tuple(_positions(bench, loads, opening, short))
    networks = tuple(_network(one, bench, positions, stock_ratings(book)) for one in wanted)
    recovery = book.limit("pilot.vehicle.diode-recovery")
    limits = [*(one.limit for one in wanted), parts.drop, recovery, numbers.limit, tolerance, opening, short]
    limits += [bench.generator.high_open, bench.generator.low_open, bench.generator.source_resistance]
    return VehicleSimulator(
        schema="coldpin.vehicle_simulator/1",
        edition=edition.value,
        edition_title=edition_title(edition),
        series=numbers.series,
        tolerance_percent=percent,
        derating=DERATING,
        wiring=(words.WIRING.format(percent=number_text(needed(loads.hysteresis, "maximum"), "%")), words.BUILD),
        cautions=cautions,
        never_bare=words.NEVER_BARE,
        networks=networks,
        diode=_diode(bench, recovery),
        positions=positions,
        proof=_proof(book, parts),
        order=words.ORDER,
        remarks=_remarks(bench, edition),
        limits=tuple({limit.id: limit for limit in limits}.values()),
    )


def _wanted(parts: VehicleParts, loads: BoundaryLoads) -> list[_Wanted]:
    """Return every network: of the states, at the edges of what must be recognised, and around each state."""
    found = [
        _Wanted(name="R2", ohm=needed(parts.r2, "nominal"), limit=parts.r2),
        _Wanted(name="R3 C", ohm=needed(parts.r3_c, "nominal"), limit=parts.r3_c),
        _Wanted(name="R3 D", ohm=needed(parts.r3_d, "nominal"), limit=parts.r3_d),
    ]
    for name, limit in (("R2", loads.r2), ("R3 C", loads.r3_c), ("R3 D", loads.r3_d)):
        found.append(_Wanted(name=f"{name} low", ohm=needed(limit, "minimum"), limit=limit, at_least=True))
        found.append(_Wanted(name=f"{name} high", ohm=needed(limit, "maximum"), limit=limit, at_most=True))
    found.append(_Wanted(name="short", ohm=needed(loads.short, "nominal"), limit=loads.short))
    r2 = needed(parts.r2, "nominal")
    for name, limit in (("R2", parts.r2), ("R3 C", parts.r3_c), ("R3 D", parts.r3_d)):
        nominal = needed(limit, "nominal")
        for sign, percent in (("−", loads.hysteresis.minimum), ("+", loads.hysteresis.maximum)):
            change = 1.0 + (percent or 0.0) / 100.0
            # the load as a whole is changed; R2 stays, so that R3 takes all of it
            ohm = nominal * change if name == "R2" else _beside(change * parallel(r2, nominal), r2)
            found.append(_Wanted(name=f"{name} {sign}", ohm=ohm, limit=loads.hysteresis))
    return found


def _beside(whole: float, known: float) -> float:
    """Return the resistance that makes a whole with a known one side by side."""
    return 1.0 / (1.0 / whole - 1.0 / known)


def _positions(bench: _Bench, loads: BoundaryLoads, opening: Limit, short: Limit) -> list[Position]:
    nominal: dict[str, tuple[str, ...]] = {"A": (), "B": ("R2",), "C": ("R2", "R3 C"), "D": ("R2", "R3 D")}
    found = [_position(bench, state, state, behind, words.STATE_ASKS[state]) for state, behind in nominal.items()]
    for state in ("B", "C", "D"):
        for end in ("low", "high"):
            behind = tuple(f"{name} {end}" for name in nominal[state])
            found.append(_position(bench, f"{state} {end}", state, behind, words.TAKEN.format(state=state)))
    for state in ("B", "C", "D"):
        asks = words.HYSTERESIS_ASKS.format(state=state)
        for sign, percent in (("−", loads.hysteresis.minimum), ("+", loads.hysteresis.maximum)):
            *kept, changed = nominal[state]
            name = f"{state} {sign} {number_text(abs(percent or 0.0), loads.hysteresis.unit)}"
            found.append(_position(bench, name, state, (*kept, f"{changed} {sign}"), asks))
    bridged, left_open = DiodeSwitch.SHORTED, DiodeSwitch.OPEN
    for state in ("B", "C"):
        name, asks = f"{state}, diode bridged", words.NO_DIODE_ASKS
        found.append(_position(bench, name, state, nominal[state], asks, diode=bridged))
    asks = words.OPEN_DIODE_ASKS.format(limit=_seconds(opening))
    found.append(_position(bench, "C, diode open", "A", nominal["C"], asks, diode=left_open))
    asks = words.SHORT_ASKS.format(limit=_seconds(short))
    name = f"C, {number_text(needed(loads.short, 'nominal'), loads.short.unit)} across"
    found.append(_position(bench, name, "E", nominal["C"], asks, across=("short",)))
    found.append(_position(bench, "short behind diode", "E", (), words.BEHIND_ASKS, shorted_behind=True))
    return found


def _seconds(limit: Limit) -> str:
    return number_text(needed(limit, "maximum"), limit.unit)


def _position(
    bench: _Bench,
    name: str,
    state: str,
    behind: tuple[str, ...],
    asks: str,
    *,
    across: tuple[str, ...] = (),
    diode: DiodeSwitch = DiodeSwitch.IN,
    shorted_behind: bool = False,
) -> Position:
    meter = _meter(bench, (*behind, *across) if diode is not DiodeSwitch.OPEN else (), shorted_behind)
    levels = [
        _level(bench, rail, behind=behind, across=across, diode=diode, shorted_behind=shorted_behind)
        for rail in (bench.generator.high_open, bench.generator.low_open)
    ]
    return Position(
        name=name,
        state=state,
        behind=behind,
        across=across,
        shorted_behind=shorted_behind,
        diode=diode,
        high_v=levels[0],
        low_v=levels[1],
        meter_low_ohm=meter[0],
        meter_high_ohm=meter[1],
        heat=_heat(bench, behind, across, diode),
        asks=asks,
    )


def _meter(bench: _Bench, names: Sequence[str], shorted_behind: bool) -> tuple[float | None, float | None]:
    """Return what a meter may read with the diode bridged: every resistor at the same end of its tolerance."""
    if shorted_behind:
        return 0.0, 0.0
    if not names:
        return None, None
    whole = 1.0 / sum(1.0 / bench.made[name][0].nominal for name in names)
    part = bench.tolerance / 100.0
    return whole * (1.0 - part), whole * (1.0 + part)


def _level(
    bench: _Bench,
    rail: Limit,
    *,
    behind: Sequence[str],
    across: Sequence[str],
    diode: DiodeSwitch,
    shorted_behind: bool,
) -> Quantity:
    """Return the level at a nominal generator with what resistors and diode may be off."""
    voltage = needed(rail, "nominal")
    source = needed(bench.generator.source_resistance, "nominal")
    through = behind if diode is DiodeSwitch.IN else ()
    straight = (*across, *behind) if diode is DiodeSwitch.SHORTED else across
    if not straight and (voltage < 0.0 or not (through or shorted_behind)):
        return Quantity(voltage, 0.0, "V", why="the nominal rail itself: nothing loads it")
    resistors = {f"r{place}": bench.made[name][1] for place, name in enumerate((*through, *straight))}

    def settled(drop: Numbers, **loads: Numbers) -> Numbers:
        members = list(loads.values())
        inner = 0.0 * drop if shorted_behind else _side_by_side(members[: len(through)], drop)
        bridge = _side_by_side(members[len(through) :], drop)
        return level(
            rail=voltage + 0.0 * drop, source_resistance=source + 0.0 * drop, behind=inner, drop=drop, across=bridge
        )

    conducting = voltage > 0.0 and (through or shorted_behind)
    drop = quantity_of(bench.parts.drop, bench.parts.drop.id) if conducting else needed(bench.parts.drop, "nominal")
    return propagate(settled, {"drop": drop, **resistors}, "V", draws=LEVEL_DRAWS)


def _side_by_side(members: Sequence[Numbers], like: Numbers) -> Numbers:
    """Return resistances side by side; infinite where there is none."""
    conductance = sum((1.0 / member for member in members), 0.0 * like)
    # what is open has no conductance, and no reciprocal that could be divided
    return np.divide(1.0, conductance, out=np.full_like(conductance, np.inf, dtype=np.float64), where=conductance > 0.0)


def _heat(bench: _Bench, behind: Sequence[str], across: Sequence[str], diode: DiodeSwitch) -> tuple[Heat, ...]:
    """Return what the resistors take at the highest rail through the lowest source, through a diode of least drop."""
    rail = needed(bench.generator.high_open, "maximum")
    source = needed(bench.generator.source_resistance, "minimum")
    least_drop = needed(bench.parts.drop, "minimum") if diode is DiodeSwitch.IN else 0.0
    through = () if diode is DiodeSwitch.OPEN else behind
    nominal = {name: bench.made[name][0].nominal for name in (*through, *across)}
    inner = value_of(Arrangement.PARALLEL, [nominal[name] for name in through]) if through else math.inf
    bridge = value_of(Arrangement.PARALLEL, [nominal[name] for name in across]) if across else math.inf
    pilot = float(level(rail=rail, source_resistance=source, behind=inner, drop=least_drop, across=bridge))
    voltage = {**dict.fromkeys(through, max(pilot - least_drop, 0.0)), **dict.fromkeys(across, pilot)}
    return tuple(
        Heat(network=name, resistors_w=heat_in(bench.made[name][0], voltage[name])) for name in (*through, *across)
    )


def _network(one: _Wanted, bench: _Bench, positions: Sequence[Position], ratings: Sequence[float]) -> Network:
    combination, resistance = bench.made[one.name]
    taken = [heat.resistors_w for position in positions for heat in position.heat if heat.network == one.name]
    heat = tuple(max(each) for each in zip(*taken, strict=True))
    return Network(
        name=one.name,
        wanted_ohm=one.ohm,
        arrangement=combination.arrangement,
        resistors_ohm=combination.resistors,
        resistance=resistance,
        deviation_percent=100.0 * (combination.nominal / one.ohm - 1.0),
        limit=one.limit,
        heat_w=heat,
        rating_w=tuple(_rating(power, ratings) for power in heat),
    )


def _rating(power: float, ratings: Sequence[float]) -> float:
    """Return the smallest rating on sale that has the factor in hand; the factored power itself where none has."""
    return next((rating for rating in ratings if rating >= DERATING * power), DERATING * power)


def _diode(bench: _Bench, recovery: Limit) -> tuple[str, ...]:
    rail, source = bench.generator.high_open, bench.generator.source_resistance
    drop = bench.parts.drop
    inner = needed(drop, "nominal")
    r2 = needed(bench.parts.r2, "nominal")
    currents = [
        1e3 * (needed(rail, "nominal") - inner) / (needed(source, "nominal") + load)
        for load in (r2, parallel(r2, needed(bench.parts.r3_d, "nominal")))
    ]
    worst = 1e3 * needed(rail, "maximum") / needed(source, "minimum")
    reverse = DERATING * abs(needed(bench.generator.low_open, "minimum"))
    return (
        words.DIODE,
        words.DIODE_FIGURES.format(
            least=needed(drop, "minimum"),
            most=needed(drop, "maximum"),
            low=currents[0],
            high=currents[1],
            forward=DERATING * worst,
            reverse=reverse,
            recovery=number_text(needed(recovery, "maximum"), recovery.unit),
            standing=recovery.standing,
        ),
    )


def _proof(book: Book, parts: VehicleParts) -> tuple[str, ...]:
    drop = diode_drop(
        current=METER_CURRENT,
        temperature=REFERENCE_TEMPERATURE,
        nominal=needed(parts.drop, "nominal"),
        behaviour=diode_behaviour(book),
    )
    return (words.PROOF_RESISTANCE, words.PROOF_DIODE.format(drop=drop), words.PROOF_POWER)


def _remarks(bench: _Bench, edition: Edition) -> tuple[str, ...]:
    rail, source = bench.generator.high_open, bench.generator.source_resistance
    said = [
        words.FROM_INSIDE,
        words.PARTS_FOR_PILOT.format(
            rail=number_text(needed(rail, "maximum"), "V"),
            source=number_text(needed(source, "minimum"), "Ω"),
            factor=DERATING,
        ),
    ]
    if edition is not Edition.IEC_3:
        said.append(words.ONE_EDITION.format(edition=edition_title(edition)))
    return tuple(said)

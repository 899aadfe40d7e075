"""What was recorded of heating tests, as the checks see it: parts with their temperature in use."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from coldpin.checks.cable_rating import kind_of_cable
from coldpin.checks.check import Need
from coldpin.checks.evidence import BenchEvidence, LogEvidence
from coldpin.checks.offered_current import largest_offer
from coldpin.checks.readings import Side, claimed, condition, mean, readings
from coldpin.copper.conductor_log import resistance_error, resistances_of, temperature_by_resistance
from coldpin.copper.heating_limits import limit_for
from coldpin.copper.heating_log import AskedUse, HeatingTest
from coldpin.copper.heating_telling import questions_of_end
from coldpin.copper.hot_metal import QUICK_FALL, at_switch_off, metal_temperature_under_load
from coldpin.copper.stops_told import with_stops
from coldpin.copper.temperature_rise import AIR_NOT_TOLD, rise_in_use, rise_of_log
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Component, Quantity, format_value, parse_quantity, propagate
from coldpin.records.case import Build
from coldpin.records.entry import Entry
from coldpin.records.finding import Limit
from coldpin.records.heating import HeatedPart, TemperatureRise
from coldpin.records.heating_words import PARTS
from coldpin.records.log import Log, LogChannel, LogQuantity
from coldpin.standards.accessories import COUPLER, accessory_of_plug, accessory_rise, hottest_air, steady_below
from coldpin.standards.accuracy import AccuracyStatement, parse_accuracy
from coldpin.standards.metals import temperature_coefficient
from coldpin.standards.table import needed

LOG, END, HOT = "heating log", "end temperature", "hot conductor resistance"
AFTER = "conductor resistance after switch-off"

ACCESSORIES = (HeatedPart.PLUG, HeatedPart.PIN, HeatedPart.CONNECTOR)
"""Parts with a published rise over the air."""

LOG_NEED, END_NEED = Need(shows=LOG), Need(shows=END)
HOT_NEED, AFTER_NEED = Need(shows=HOT), Need(shows=AFTER)

COLD, COLD_AT, METER = "cold resistance", "cold temperature", "resistance meter"
"""Conditions of a log that holds a conductor's resistance."""

CONDUCTOR_LOG_NEED = Need(shows=LOG, stated=(COLD,))


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatedInUse:
    """One part as heated in one test.

    ``rise`` in the end over the air of the test [K], ``current`` of the test [A], ``in_test_air`` the air of the test
    [°C], ``in_use`` the temperature at rated current in the hottest air [°C], None where none follows. ``told`` is the
    reading of the log, None where the end was read by hand. With ``doubts`` nothing is decided by it; with
    ``unsettled`` it is but a lower end, for that reason.
    """

    entry: Entry
    part: HeatedPart
    rise: Quantity
    current: Quantity
    in_test_air: Quantity
    in_use: Quantity | None
    use: AskedUse
    told: TemperatureRise | None
    remarks: tuple[str, ...]
    doubts: tuple[str, ...] = ()
    unsettled: str = ""


def heated_parts(bench: BenchEvidence, *parts: HeatedPart) -> tuple[HeatedInUse, ...]:
    """Return the parts that heating tests were made of, from logs and from readings in the end.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    *parts : HeatedPart
        Which parts are wanted.

    Returns
    -------
    tuple of HeatedInUse
        In the order of the entries, logs first.

    Raises
    ------
    EntryError
        A log, reading or condition cannot be used.
    CaseError
        The claimed current cannot be read.
    """
    found: list[HeatedInUse] = []
    for filed in bench.logs:
        if filed.entry.shows == LOG:
            found += [
                bench.once(
                    f"heated part, {filed.entry.id}, {part.value}, {channel.name}",
                    partial(_of_log, bench, filed, part, channel),
                )
                for part in parts
                for channel in _of_part(filed, part)
            ]
    for entry in bench.showing(END):
        if entry.conditions.get("part") in parts:
            found.append(_of_readings(bench, entry, HeatedPart(entry.conditions["part"])))
    return tuple(found)


def _of_part(filed: LogEvidence, part: HeatedPart) -> tuple[LogChannel, ...]:
    """Return the columns of a part: temperatures, of the conductor the resistance where the cold one is stated."""
    if part is not HeatedPart.CONDUCTOR:
        return _columns(filed.entry, filed.log, part.value, part.value)
    if not filed.entry.conditions.get(COLD):
        return ()
    found, wanted = resistances_of(filed.log), filed.entry.conditions.get(part.value, "")
    chosen = tuple(one for one in found if not wanted or one.name.casefold() == wanted.casefold())
    if not chosen:
        names = ", ".join(repr(one.name) for one in found) or "none"
        which = f"{wanted!r} " if wanted else ""
        raise EntryError.of(
            filed.entry.id,
            f"the log has no column {which}with a resistance (it has: {names}), and a cold one is stated",
        )
    return chosen


def use_of(bench: BenchEvidence, entry: Entry, part: HeatedPart) -> AskedUse:
    """Return what a heated part is judged for: the largest current claimed or offered, the hottest air, the limit.

    The air is the hottest of what the test names, what the papers claim, and what the table has for both.

    Parameters
    ----------
    bench : BenchEvidence
        With claims and constants.
    entry : Entry
        The test, which may name the hottest air.
    part : HeatedPart
        The part.

    Returns
    -------
    AskedUse
        Without current and limit where no current is claimed or offered.

    Raises
    ------
    EntryError
        The hottest air cannot be read.
    CaseError
        The claimed current cannot be read.
    """
    offer, told = largest_offer(bench), condition(entry, "hottest air", "°C")
    amperes = [
        claimed(bench, "rated_current", "A"),
        claimed(bench, "declared_current", "A"),
        None if offer is None else float(f"{offer[0].value:.3g}"),
    ]
    airs = [None if told is None else told.value, claimed(bench, "max_ambient", "°C"), hottest_air(bench.book)]
    most, hottest = (max((one for one in given if one is not None), default=None) for given in (amperes, airs))
    assert hottest is not None, "the table has one"
    return AskedUse(
        rated_current=None if most is None else Quantity(most, 0.0, "A"),
        max_ambient=Quantity(hottest, 0.0, "°C"),
        limit=None if most is None else temperature_limit(bench, part, hottest),
    )


def hot_conductor(bench: BenchEvidence, entry: Entry) -> HeatedInUse:
    """Return a conductor's temperature from its resistance hot and cold.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    entry : Entry
        Readings of the resistance under load, or after switching off with their times; the cold one is a condition.

    Returns
    -------
    HeatedInUse
        The conductor.

    Raises
    ------
    EntryError
        A reading or condition cannot be read, or is missing.
    CaseError
        The claimed current cannot be read.
    """
    cold = _with_accuracy(bench, entry, needed_condition(entry, COLD, "Ω"), "resistance")
    at = _with_accuracy(bench, entry, needed_condition(entry, COLD_AT, "°C"), "temperature")
    try:
        hot, told = (_read(bench, entry), ()) if entry.shows == HOT else _led_back(bench, entry, cold)
        temperature = metal_temperature_under_load(
            hot=hot, cold=cold, cold_temperature=at, coefficient=temperature_coefficient(bench.book)
        )
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    found = _in_use(bench, entry, HeatedPart.CONDUCTOR, temperature)
    return replace(found, remarks=(*told, *found.remarks))


def _led_back(bench: BenchEvidence, entry: Entry, cold: Quantity) -> tuple[Quantity, tuple[str, ...]]:
    """Return the resistance at the moment of switching off, from readings while the metal cooled."""
    found = readings(bench, entry)
    if any(one.side is not Side.VALUE for one in found):
        raise EntryError.of(entry.id, "a reading after switching off is only a bound: leave it out, with its time")
    texts = [part.strip() for part in re.split("[,;]", entry.conditions.get("times", "")) if part.strip()]
    if not texts:
        raise EntryError.of(entry.id, "condition 'times' is missing: state it, as '10 s, 20 s, 30 s, 60 s'")
    times = [parse_quantity(text, "s").value for text in texts]
    led = at_switch_off(times, [one.quantity for one in found], cold=cold)
    said = (
        f"Led back over {times[0]:g} s to the moment of switching off from {len(times)} readings; the metal cools with "
        f"a time constant of {led.time_constant.value:.0f} s, and its first quick fall, up to {QUICK_FALL[1]:.0%} of "
        "its rise, is allowed for."
    )
    return led.resistance, (said, *led.remarks)


def rise_limit(bench: BenchEvidence, part: HeatedPart) -> Limit:
    """Return the published rise of a plug, its pins or a connector over the air.

    Parameters
    ----------
    bench : BenchEvidence
        With the claimed plug.
    part : HeatedPart
        One of ``ACCESSORIES``.

    Returns
    -------
    Limit
        Its largest rise. [K]
    """
    return accessory_rise(bench.book, _kind(bench, part))


def _kind(bench: BenchEvidence, part: HeatedPart) -> str:
    """Return whose rise limits a part; a fixed unit has no pins but those of its connector."""
    of_coupler = part is HeatedPart.CONNECTOR or bench.case.unit.build is Build.FIXED
    return COUPLER if of_coupler else accessory_of_plug(bench.case.claims.plug)


def temperature_limit(bench: BenchEvidence, part: HeatedPart, hottest: float) -> Limit | None:
    """Return the highest temperature of a part in an air: the lower of what a hand and an accessory bear.

    Parameters
    ----------
    bench : BenchEvidence
        With the claimed plug.
    part : HeatedPart
        The part.
    hottest : float
        The air. [°C]

    Returns
    -------
    Limit or None
        In °C; None where none is published.
    """
    return limit_for(part, bench.book, accessory=_kind(bench, part), ambient=hottest)


def _read(bench: BenchEvidence, entry: Entry) -> Quantity:
    measured = mean(readings(bench, entry))
    if measured.side is not Side.VALUE:
        raise EntryError.of(entry.id, "the meter was beyond its range: read again in another range")
    return measured.quantity


def needed_condition(entry: Entry, name: str, unit: str) -> Quantity:
    """Return a condition that an entry must state.

    Parameters
    ----------
    entry : Entry
        The entry.
    name : str
        The condition.
    unit : str
        In which it is wanted.

    Returns
    -------
    Quantity
        The condition.

    Raises
    ------
    EntryError
        It is missing or cannot be read.
    """
    found = condition(entry, name, unit)
    if found is None:
        raise EntryError.of(entry.id, f"condition '{name}' is missing: correct the entry")
    return found


def air_of(entry: Entry) -> Quantity:
    """Return the air around a test: the condition, else the entry's ambient.

    Parameters
    ----------
    entry : Entry
        The entry.

    Returns
    -------
    Quantity
        The air. [°C]

    Raises
    ------
    EntryError
        Neither is there, or it cannot be read.
    """
    found = condition(entry, "air", "°C")
    if found is not None:
        return found
    if not entry.ambient:
        raise EntryError.of(entry.id, "neither the condition 'air' nor the entry's ambient is there: correct the entry")
    try:
        return parse_quantity(entry.ambient, "°C")
    except InputError as error:
        raise EntryError.of(entry.id, f"ambient {entry.ambient!r}: {error}") from error


def _of_readings(bench: BenchEvidence, entry: Entry, part: HeatedPart) -> HeatedInUse:
    return _in_use(bench, entry, part, _read(bench, entry))


def _in_use(bench: BenchEvidence, entry: Entry, part: HeatedPart, temperature: Quantity) -> HeatedInUse:
    air, current = air_of(entry), needed_condition(entry, "current", "A")
    rise = propagate(lambda temperature, air: temperature - air, {"temperature": temperature, "air": air}, "K")
    use = use_of(bench, entry, part)
    in_use, told = rise_in_use(use, rise, current, air, bench.book, part=part)
    return HeatedInUse(
        entry=entry,
        part=part,
        rise=rise,
        current=current,
        in_test_air=air,
        in_use=None if use.rated_current is None else in_use,
        use=use,
        told=None,
        remarks=told,
        doubts=questions_of_end(part, temperature=temperature.value, air=air.value, current=current.value),
        unsettled=_unsettled(bench, entry),
    )


def _unsettled(bench: BenchEvidence, entry: Entry) -> str:
    """Say why a reading is not known to be that of the end; empty where it hardly changed any more."""
    changing = condition(entry, "change", "K/h")
    if changing is None:
        return "it was not written down by how much the temperature still changed"
    steady = needed(steady_below(bench.book), "maximum")
    if abs(changing.value) + (changing.expanded or 0.0) <= steady:
        return ""
    return (
        f"it still changed by {format_value(changing.value, 'K/h')}, and counts as steady below "
        f"{format_value(steady, 'K/h')}"
    )


def _of_log(bench: BenchEvidence, filed: LogEvidence, part: HeatedPart, channel: LogChannel) -> HeatedInUse:
    entry, log = filed.entry, filed.log
    air = entry.conditions.get("air", "")
    rooms = _columns(entry, log, "air", *AIR_WORDS)
    around: LogChannel | Quantity | None = rooms[0] if len(rooms) == 1 else None
    if around is None and air:
        around = condition(entry, "air", "°C")
    elif around is None and entry.ambient:
        around = air_of(entry)
    start = condition(entry, "start", "s")
    by_resistance = part is HeatedPart.CONDUCTOR
    read, error = _by_resistance(bench, entry, channel) if by_resistance else (channel, None)
    test = HeatingTest(
        part=part,
        time_s=log.time_s,
        channel=read,
        by_resistance=by_resistance,
        resistance_error=error,
        ambient=around,
        current=condition(entry, "current", "A"),
        logged=log.channel(LogQuantity.CURRENT),
        start_s=None if start is None else start.value,
        accuracy=_accuracy(bench, entry),
        arrangement=entry.conditions.get("arrangement", ""),
    )
    use = use_of(bench, entry, part)
    try:
        told = bench.kept("temperature rise", (test, use), lambda: rise_of_log(test, use, bench.book))
        insulation = kind_of_cable(bench).insulation
        told = with_stops(told, test, bench.book, accessory=rise_limit(bench, part), insulation=insulation)
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    return HeatedInUse(
        entry=entry,
        part=part,
        rise=told.end_rise_k,
        current=told.current_a,
        in_test_air=told.ambient_c,
        in_use=None if use.rated_current is None else told.at_rated_c,
        use=use,
        told=told,
        remarks=(*told.remarks, *(_unstated(entry) if by_resistance and error is None else ())),
        doubts=(*told.questions, *((AIR_NOT_TOLD,) if around is None else ())),
    )


def _by_resistance(bench: BenchEvidence, entry: Entry, channel: LogChannel) -> tuple[LogChannel, Component | None]:
    """Return a conductor's temperature row by row, and what its meter and the cold reading err by."""
    cold, at = needed_condition(entry, COLD, "Ω"), needed_condition(entry, COLD_AT, "°C")
    coefficient = temperature_coefficient(bench.book)
    meter = _stated(bench, entry, entry.conditions.get(METER) or entry.instrument, "resistance")
    try:
        told = temperature_by_resistance(channel, cold=cold, cold_temperature=at, coefficient=coefficient)
        error = resistance_error(
            channel,
            cold=cold,
            cold_temperature=at,
            meter=meter,
            thermometer=_accuracy(bench, entry),
            coefficient=coefficient,
        )
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    return told, error


def _unstated(entry: Entry) -> tuple[str, ...]:
    """Ask for the accuracy without which a conductor's temperature decides nothing."""
    meter = entry.conditions.get(METER) or entry.instrument
    named = f"of {meter!r}" if meter else "of the meter, named by the condition 'resistance meter'"
    asked = "what accuracy has the resistance that was logged?"
    return (f"{asked} State it on the shelf, {named}, as 'resistance', and give the cold temperature with its ±",)


AIR_WORDS = ("ambient", "air", "room")
"""Ours: words in the name of a column that say that it holds the air."""


def _columns(entry: Entry, log: Log, named_by: str, *words: str) -> tuple[LogChannel, ...]:
    """Return the columns of a part: the one that a condition names, else all that are called after it."""
    wanted = entry.conditions.get(named_by, "")
    temperatures = log.all_of(LogQuantity.TEMPERATURE)
    if wanted:
        for channel in temperatures:
            if channel.name.casefold() == wanted.casefold():
                return (channel,)
        if named_by in PARTS:
            names = ", ".join(repr(channel.name) for channel in temperatures)
            raise EntryError.of(entry.id, f"the log has no column {wanted!r} with a temperature (it has: {names})")
        return ()
    taken = {entry.conditions.get(name, "").casefold() for name in (*PARTS, "air")}
    return tuple(
        one
        for one in temperatures
        if one.name.casefold() not in taken and named_after(one.name) in words and np.isfinite(one.values).any()
    )


def named_after(name: str) -> str:
    """Return the word that a column is called after: "Sheath near plug" is of the sheath, the word that comes first.

    Parameters
    ----------
    name : str
        Of the column.

    Returns
    -------
    str
        A part, or a word for the air; empty where its name says neither.

    Examples
    --------
    >>> named_after("Sheath near plug"), named_after("T room"), named_after("T1")
    ('sheath', 'room', '')
    """
    text = name.casefold()
    begins = [
        (found.start(), word) for word in (*PARTS, *AIR_WORDS) if (found := re.search(rf"(?<![a-z]){word}", text))
    ]
    within = [(text.find(word), word) for word in PARTS if word in text]
    return min(begins or within, default=(0, ""))[1]


def _accuracy(bench: BenchEvidence, entry: Entry) -> AccuracyStatement | None:
    return _stated(bench, entry, entry.instrument, "temperature")


def _stated(bench: BenchEvidence, entry: Entry, named: str, measures: str) -> AccuracyStatement | None:
    """Return what the shelf states of an instrument, None where it states nothing."""
    instrument = bench.instruments.get(named)
    statement = "" if instrument is None else instrument.statements.get(measures, "")
    if not statement:
        return None
    try:
        return parse_accuracy(statement, bench.book)
    except InputError as error:
        raise EntryError.of(entry.id, f"instrument {named!r}: {error}") from error


def _with_accuracy(bench: BenchEvidence, entry: Entry, told: Quantity, measures: str) -> Quantity:
    """Return a condition that was read with the entry's own instrument, with its accuracy where none is written."""
    statement = None if told.u is not None else _stated(bench, entry, entry.instrument, measures)
    if statement is None:
        return told
    exact = Quantity(told.value, 0.0, told.unit)
    return statement.apply(exact, id=f"{entry.id}: cold {measures}", label=f"{entry.instrument}, cold {measures}")

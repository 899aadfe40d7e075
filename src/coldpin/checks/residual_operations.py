"""The operations of tests with residual currents, as they were written down."""

from __future__ import annotations

from collections.abc import Iterator

from coldpin.checks.delays import COIL
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.readings import Measured, Side, condition, readings
from coldpin.checks.supply import closed_first
from coldpin.errors import EntryError, InputError
from coldpin.protection.residual_load import half_waves
from coldpin.quantity import Quantity, format_value, parse_quantity, propagate, rectangular
from coldpin.records.entry import Entry
from coldpin.records.residual_words import TRIP_CURRENT, TRIP_TIME
from coldpin.records.trip_test import ResidualKind, TripOperation
from coldpin.standards.accuracy import parse_accuracy

SOURCE = "residual current"
"""What an instrument's statement says of the current it puts on."""


def trip_operations(bench: BenchEvidence, kind: ResidualKind) -> tuple[TripOperation, ...]:
    """Collect what was done with one form of residual current: on the closed unit on its mains where there is any.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    kind : ResidualKind
        The form.

    Returns
    -------
    tuple of TripOperation
        Times, then rises, then what captures show, each in the order of the entries.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read, or one that is needed is missing.
    """
    captured = {residual.entry.id: residual.reading for residual in bench.residuals}
    shown = [residual.entry for residual in bench.residuals if any(o.kind is kind for o in residual.reading.operations)]
    entries = [*bench.operations(TRIP_TIME[kind]), *bench.operations(TRIP_CURRENT[kind]), *shown]
    found: list[TripOperation] = []
    for entry in closed_first(bench, entries):
        if entry.id in captured:
            found += [operation for operation in captured[entry.id].operations if operation.kind is kind]
        else:
            found += _timed(bench, entry, kind) if entry.shows == TRIP_TIME[kind] else _risen(bench, entry, kind)
    return tuple(found)


def _timed(bench: BenchEvidence, entry: Entry, kind: ResidualKind) -> Iterator[TripOperation]:
    current = _current(bench, entry, kind)
    for read in readings(bench, entry):
        yield TripOperation(
            kind=kind,
            current_ma=current,
            time_s=_value(read),
            tripped=read.side is not Side.AT_LEAST,
            way=_way(entry),
            angle_deg=_angle(entry),
            entry=entry.id,
            at_coil=entry.conditions.get("seen at") == COIL,
        )


def _risen(bench: BenchEvidence, entry: Entry, kind: ResidualKind) -> Iterator[TripOperation]:
    rate = condition(entry, "rate", "mA/s")
    if rate is None:
        raise EntryError.of(entry.id, "the rate is missing: state 'rate', as '0.5 mA/s'; the result depends on it")
    if not rate.value > 0.0:
        raise EntryError.of(entry.id, f"the rate is {format_value(rate.value, 'mA/s')}: a rise has one above zero")
    dwell = condition(entry, "dwell", "s")
    for read in readings(bench, entry):
        yield TripOperation(
            kind=kind,
            current_ma=_value(read),
            time_s=Quantity(read.quantity.value / rate.value, None, "s", why="by the rate"),
            tripped=read.side is not Side.AT_LEAST,
            way=_way(entry),
            angle_deg=_angle(entry),
            rate_ma_s=rate.value,
            dwell_s=0.0 if dwell is None else dwell.value,
            entry=entry.id,
            at_coil=entry.conditions.get("seen at") == COIL,
        )


def _value(read: Measured) -> Quantity:
    """Return a reading as it counts: one below its instrument's range lies anywhere from zero on."""
    if read.side is not Side.AT_MOST:
        return read.quantity
    half = 0.5 * read.quantity.value
    return rectangular(half, half, read.quantity.unit, id=f"{read.entry.id}:below", label="below the range")


def _way(entry: Entry) -> str:
    return entry.conditions.get("start") or entry.conditions.get("polarity") or ""


def _angle(entry: Entry) -> float:
    return float(entry.conditions.get("cut", "0°").removesuffix("°"))


def _current(bench: BenchEvidence, entry: Entry, kind: ResidualKind) -> Quantity:
    """Return what flowed: as stated, by the instrument's statement where it has one, or by box and voltage. [mA]"""
    stated = condition(entry, "current", "mA")
    current = _by_box(entry, kind) if stated is None else _by_source(bench, entry, stated)
    if not current.value > 0.0:
        raise EntryError.of(entry.id, f"the residual current is {format_value(current.value, 'mA')}: state it anew")
    return current


def _by_source(bench: BenchEvidence, entry: Entry, stated: Quantity) -> Quantity:
    instrument = bench.instruments.get(entry.instrument)
    if stated.u is not None or instrument is None or not instrument.statements.get(SOURCE):
        return stated
    exact = Quantity(stated.value, 0.0, stated.unit)
    try:
        accuracy = parse_accuracy(instrument.statements[SOURCE])
        return accuracy.apply(exact, id=f"{entry.instrument}:{SOURCE}", label=f"{instrument.name}, {SOURCE}")
    except InputError as error:
        raise EntryError.of(entry.id, f"{SOURCE} by {entry.instrument!r}: {error}") from error


def _by_box(entry: Entry, kind: ResidualKind) -> Quantity:
    """Return what box and voltage drive; behind the diode of half waves only a part of it. [mA]"""
    box, volts = condition(entry, "resistor", "Ω"), condition(entry, "voltage", "V")
    if volts is None and entry.supply_voltage and kind is not ResidualKind.SMOOTH:
        volts = parse_quantity(entry.supply_voltage, "V")
    if box is None or volts is None:
        raise EntryError.of(entry.id, "the residual current is missing: state 'current', or 'resistor' and 'voltage'")
    if not box.value > 0.0:
        raise EntryError.of(entry.id, f"the box has {format_value(box.value, 'Ω')}: state what was measured")
    part = half_waves(_angle(entry)) if kind is ResidualKind.PULSATING else 1.0
    if box.u is None or volts.u is None:
        value = _through_box(volts=volts.value, box=box.value, part=part)
        return Quantity(value, None, "mA", why="resistor or voltage without its limits")
    return propagate(_through_box, {"volts": volts, "box": box, "part": part}, "mA")


def _through_box(*, volts: float, box: float, part: float) -> float:
    return 1000 * part * volts / box

"""What readings, conditions and claims come to: quantities, with the accuracy of the instrument they were read from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from coldpin.checks.evidence import BenchEvidence
from coldpin.errors import CaseError, EntryError, InputError
from coldpin.quantity import (
    AtLeast,
    AtMost,
    Quantity,
    add_components,
    from_readings,
    parse_quantity,
    parse_reading,
    propagate,
    rectangular,
    step_written,
)
from coldpin.records.entry import Entry
from coldpin.records.instrument import Instrument
from coldpin.records.measured import ALSO_NAMED
from coldpin.records.vocabulary import showing
from coldpin.standards.accuracy import parse_accuracy


def condition(entry: Entry, name: str, unit: str) -> Quantity | None:
    """Return a condition of an entry as a quantity.

    Parameters
    ----------
    entry : Entry
        The entry.
    name : str
        The condition.
    unit : str
        The unit it is wanted in.

    Returns
    -------
    Quantity or None
        None where it is not stated; without an uncertainty where none is written.

    Raises
    ------
    EntryError
        It cannot be read.
    """
    text = entry.conditions.get(name, "")
    if not text:
        return None
    try:
        return parse_quantity(text, unit)
    except InputError as error:
        raise EntryError.of(entry.id, f"condition '{name}' = {text!r}: {error}") from error


class Side(StrEnum):
    """On which side of a reading the value lies: an over-range meter only says "more than"."""

    VALUE = "value"
    AT_LEAST = "at least"
    AT_MOST = "at most"


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One reading of an entry; where the meter was beyond its range, ``quantity`` is the edge it named."""

    entry: Entry
    text: str
    quantity: Quantity
    side: Side = Side.VALUE


def readings(bench: BenchEvidence, entry: Entry) -> tuple[Measured, ...]:
    """Return the readings of an entry as quantities, with the accuracy of its instrument where they state none.

    A reading is no surer than half of the last digit written, whatever its instrument could do: that is added where
    the instrument's statement holds no step as coarse. Cursors and counters show more digits than a person writes.

    Parameters
    ----------
    bench : BenchEvidence
        Where the instruments are looked up.
    entry : Entry
        A reading, with one text per repeat.

    Returns
    -------
    tuple of Measured
        One per text, in the unit of the vocabulary.

    Raises
    ------
    EntryError
        A text cannot be read, a resistance or a capacitance is surely below zero, or the instrument is not on the
        shelf or states its accuracy in words that cannot be read.

    Sources
    -------
    JCGM 100:2008 F.2.2.1, the resolution of an indication (standing: memory).
    """
    unit = showing(entry.shows).unit
    found = []
    for text in entry.readings:
        try:
            read = parse_reading(text, unit)
        except InputError as error:
            raise EntryError.of(entry.id, f"reading {text!r}: {error}") from error
        match read:
            case AtLeast():
                quantity, side = read.edge, Side.AT_LEAST
            case AtMost():
                quantity, side = read.edge, Side.AT_MOST
            case _:
                quantity, side = read, Side.VALUE
        step = step_written(text, unit) if side is Side.VALUE else 0.0
        try:
            quantity = _with_accuracy(bench, entry, quantity, step)
        except EntryError:
            raise
        except InputError as error:
            raise EntryError.of(entry.id, f"reading {text!r} by {entry.instrument!r}: {error}") from error
        if unit in NEVER_BELOW_ZERO and quantity.high is not None and quantity.high < 0.0:
            raise EntryError.of(
                entry.id,
                f"reading {text!r}: a value in {unit} is not below 0: look at its sign, the leads and the zero, "
                "and correct the entry",
            )
        found.append(Measured(entry=entry, text=text, quantity=quantity, side=side))
    return tuple(found)


def stated_accuracy(instrument: Instrument, measures: str) -> str:
    """Return what a shelf states of an instrument's accuracy for a thing, as it is written.

    Parameters
    ----------
    instrument : Instrument
        Of the shelf.
    measures : str
        The thing, as the vocabulary names it: "voltage", "resistance".

    Returns
    -------
    str
        Empty where nothing is stated.
    """
    return instrument.statements.get(measures) or instrument.statements.get(ALSO_NAMED.get(measures, ""), "")


def lacks_accuracy(entry: Entry, instruments: Mapping[str, Instrument]) -> str:
    """Say which accuracy is wanting where an entry is read as it stands, so that it is told while it is recorded.

    Parameters
    ----------
    entry : Entry
        As recorded.
    instruments : mapping
        Those of the shelf, by name.

    Returns
    -------
    str
        What to write; empty where every reading has an uncertainty, tells only a side, or measures nothing by an
        instrument.
    """
    known = showing(entry.shows)
    read = [parse_reading(text, known.unit) for text in entry.readings]
    if not known.measures or all(isinstance(one, AtLeast | AtMost) or one.u is not None for one in read):
        return ""
    wanted = f'{{ {_key(known.measures)} = "…" }}'
    if not entry.instrument:
        return (
            "no accuracy is known of what was read, so that it may decide nothing: name the instrument (--instrument), "
            f"whose statements in shelf.toml say it: {wanted}"
        )
    instrument = instruments.get(entry.instrument)
    if instrument is None or stated_accuracy(instrument, known.measures):
        return ""
    held = ", ".join(sorted(instrument.statements)) or "nothing"
    return (
        f"shelf.toml states of {entry.instrument!r} the accuracy of {held}, and not of {known.measures}, so that the "
        f"reading may decide nothing: add to its statements {wanted}"
    )


def _key(name: str) -> str:
    return f'"{name}"' if " " in name else name


def _with_accuracy(bench: BenchEvidence, entry: Entry, read: Quantity, step: float) -> Quantity:
    if read.u is not None or not entry.instrument:
        return read
    if entry.instrument not in bench.instruments:
        known = ", ".join(sorted(bench.instruments)) or "none"
        raise EntryError.of(
            entry.id,
            f"instrument {entry.instrument!r} is not on the shelf (known: {known}); "
            "add it to shelf.toml or correct the entry",
        )
    instrument = bench.instruments[entry.instrument]
    measures = showing(entry.shows).measures
    statement = stated_accuracy(instrument, measures)
    if not statement:
        return read
    exact = replace(read, u=0.0, low=None, high=None, why="")
    try:
        accuracy = parse_accuracy(statement)
    except InputError as error:
        told = f"shelf.toml, instrument {entry.instrument!r}, accuracy of {measures}: {error}"
        raise EntryError.of(entry.id, told) from error
    label = f"{instrument.name}, {measures}"
    shown = accuracy.apply(exact, id=f"{entry.instrument}:{measures}", label=label)
    held = accuracy.resolution(read.unit)
    if step <= held or math.isclose(step, held):
        return shown
    rounding = rectangular(
        0.0,
        0.5 * step,
        read.unit,
        id=f"{entry.id}: last digit of {read.value:.12g} {read.unit}",
        label=f"{label}: half of the last digit written",
    )
    return add_components(shown, rounding.components)


def beside_gain(bench: BenchEvidence, entry: Entry) -> float:
    """Return what of an instrument's limits a difference of two of its readings does not free of.

    Parameters
    ----------
    bench : BenchEvidence
        Where the instruments are looked up.
    entry : Entry
        An entry whose readings :func:`readings` can read.

    Returns
    -------
    float
        Half-width, in the unit of the vocabulary; 0 where the readings state their own accuracy or no instrument does.
    """
    known = showing(entry.shows)
    instrument = bench.instruments.get(entry.instrument)
    statement = "" if instrument is None else stated_accuracy(instrument, known.measures)
    if not statement or any(parse_quantity(text, known.unit).u is not None for text in entry.readings):
        return 0.0
    return parse_accuracy(statement).beside_gain(known.unit)


def mean(found: tuple[Measured, ...]) -> Measured:
    """Return the mean of repeated readings of a thing that is never negative, as of a resistance.

    Scatter is type A, the instrument's share is carried once.

    Parameters
    ----------
    found : tuple of Measured
        Repeats of one thing, at least one; the unit of the result is theirs.

    Returns
    -------
    Measured
        The mean. Where the instrument's accuracy is not known its uncertainty is not known either; where all repeats
        are equal the instrument's resolution, which its accuracy holds, stands in the place of the scatter. Where the
        meter was beyond its range at the top for one of them, the lowest, on the side "at least"; where it was at the
        bottom, anything from zero to the highest.

    Raises
    ------
    EntryError
        One reading is beyond the range at the top and another at the bottom.

    Sources
    -------
    JCGM 100:2008 4.2 and 5.2.2 note (standing: memory).
    """
    sides = {measured.side for measured in found}
    if sides >= {Side.AT_LEAST, Side.AT_MOST}:
        texts = ", ".join(measured.text for measured in found)
        raise EntryError.of(
            found[0].entry.id,
            f"the readings {texts} cannot be of one thing: correct the entry, or make one for each",
        )
    if Side.AT_LEAST in sides:
        return replace(lowest(found), side=Side.AT_LEAST)
    if Side.AT_MOST in sides:
        most = highest(found)
        half = 0.5 * most.quantity.value
        low = rectangular(half, half, most.quantity.unit, id=f"{most.entry.id}:below", label="below the meter's range")
        return replace(most, quantity=low, side=Side.VALUE)
    return replace(found[0], quantity=_mean_value(found))


def _mean_value(found: tuple[Measured, ...]) -> Quantity:
    quantities = [measured.quantity for measured in found]
    if len(quantities) == 1:
        return quantities[0]
    centre = sum(quantity.value for quantity in quantities) / len(quantities)
    widest = max(quantities, key=lambda quantity: quantity.u or 0.0)
    if any(quantity.u is None for quantity in quantities):
        return Quantity(centre, None, widest.unit, why="accuracy of the instrument not known")
    scatter = from_readings(
        [quantity.value for quantity in quantities],
        widest.unit,
        id=f"{found[0].entry.id}:scatter",
        label="scatter of the repeats",
    )
    if scatter.u is None:
        return replace(widest, value=centre, low=None, high=None)
    return add_components(scatter, widest.components)


NEVER_BELOW_ZERO = ("Ω", "F")
"""Units of what is never below zero: a reading surely below is a slip; a meter's zero may lie a little below."""


def highest(found: tuple[Measured, ...]) -> Measured:
    """Return the reading that is farthest from zero, without its sign.

    A minus says which way round the leads, the clamp or the half-wave were: −90 V are as live as 90 V.

    Parameters
    ----------
    found : tuple of Measured
        Readings of one thing, at least one.

    Returns
    -------
    Measured
        The largest, not below zero.
    """
    farthest = max(found, key=lambda measured: abs(measured.quantity.value))
    read = farthest.quantity
    if read.value >= 0.0:
        return farthest
    return replace(farthest, quantity=propagate(_turned, {"read": read}, read.unit, monte_carlo=False))


def _turned(*, read: float) -> float:
    return -read


def lowest(found: tuple[Measured, ...]) -> Measured:
    """Return the reading with the smallest value.

    Parameters
    ----------
    found : tuple of Measured
        Readings of one thing, at least one.

    Returns
    -------
    Measured
        The smallest.
    """
    return min(found, key=lambda measured: measured.quantity.value)


def claimed(bench: BenchEvidence, name: str, unit: str) -> float | None:
    """Return a claim of the case as a number, or None where nothing is claimed.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    name : str
        The claim's key in ``case.toml``.
    unit : str
        The unit it is wanted in.

    Returns
    -------
    float or None
        The number, in the middle where a range is claimed.

    Raises
    ------
    CaseError
        The claim is written in a way that cannot be read.
    """
    found = claimed_quantity(bench, name, unit)
    return None if found is None else found.value


def claimed_quantity(bench: BenchEvidence, name: str, unit: str) -> Quantity | None:
    """Return a claim of the case as it is written, or None where nothing is claimed.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    name : str
        The claim's key in ``case.toml``.
    unit : str
        The unit it is wanted in.

    Returns
    -------
    Quantity or None
        The claim, with its width where a range is claimed.

    Raises
    ------
    CaseError
        The claim is written in a way that cannot be read.
    """
    text = bench.claim(name)
    if not text:
        return None
    try:
        return parse_quantity(text, unit)
    except InputError as error:
        raise CaseError(f"case.toml, claims.{name} = {text!r}: {error}") from error

"""Readings that are hardly so are questioned when they are said back: a remark, never a refusal or a correction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from coldpin.checks import BenchEvidence
from coldpin.checks.readings import Measured, Side, stated_accuracy
from coldpin.checks.readings import readings as read_entry
from coldpin.errors import InputError
from coldpin.quantity import AtLeast, AtMost, Quantity, format_value, parse_quantity, parse_reading
from coldpin.records.entry import Entry
from coldpin.records.plausible import CONDITIONS, Plausible
from coldpin.records.showing import Showing
from coldpin.records.vocabulary import showing
from coldpin.standards.accuracy import parse_accuracy
from coldpin.standards.book import load_book
from coldpin.workbench.opening import edition_for
from coldpin.workbench.shelving import Bench

Read = Quantity | AtLeast | AtMost
"""What a text may be read as."""


def questions(bench: Bench, entry: Entry) -> tuple[str, ...]:
    """Question what an entry says that is hardly so, its readings with the accuracy of their instrument.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entry : Entry
        As it would be written, or as it was.

    Returns
    -------
    tuple of str
        One remark for each text that lies outside what is usual; what cannot be read is none.
    """
    return questions_of_each(bench, (entry,))[entry.id]


def questions_of_each(bench: Bench, entries: Sequence[Entry]) -> dict[str, tuple[str, ...]]:
    """Question what entries say that is hardly so, as :func:`questions` does; the case is read once.

    Parameters
    ----------
    bench : Bench
        The case with its shelf.
    entries : sequence of Entry
        Any of the case.

    Returns
    -------
    dict of str to tuple of str
        By the id of the entry; empty for most.
    """
    seen = _seen(bench)
    return {entry.id: _of_entry(bench, seen, entry) for entry in entries}


def _of_entry(bench: Bench, seen: BenchEvidence | None, entry: Entry) -> tuple[str, ...]:
    around = {"supply voltage": entry.supply_voltage, "ambient": entry.ambient, "humidity": entry.humidity}
    if entry.withdraws:
        return ()
    known, stated = showing(entry.shows), {**entry.conditions, **around}
    return (*_asked(known, entry.readings, _read(seen, entry), stated), *_beyond_range(bench, entry, known))


def _beyond_range(bench: Bench, entry: Entry, known: Showing) -> tuple[str, ...]:
    """Question each reading beyond the range for which the accuracy of its instrument is stated."""
    instrument = bench.instruments.get(entry.instrument)
    statement = "" if instrument is None or not known.measures else stated_accuracy(instrument, known.measures)
    if not statement or not entry.readings:
        return ()
    told = []
    try:
        accuracy = parse_accuracy(statement)
        for number, text in enumerate(entry.readings, start=1):
            read = parse_reading(text, known.unit)
            if isinstance(read, Quantity) and read.u is None:
                told += [
                    f"reading {number}, {text!r}, is beyond {span}, the range for which the accuracy of "
                    f"{entry.instrument!r} is stated: was it another range, or another instrument? It is kept as "
                    "written, with a ± that its maker does not promise there"
                    for span in accuracy.beyond(read.value, known.unit)
                ]
    except InputError:
        return tuple(told)
    return tuple(told)


def questions_typed(known: Showing, readings: Sequence[str], around: Mapping[str, str]) -> tuple[str, ...]:
    """Question what is typed that is hardly so, before it is an entry: each text by itself, without its instrument.

    Parameters
    ----------
    known : Showing
        The word it is typed for.
    readings : sequence of str
        As typed.
    around : mapping of str to str
        Conditions, supply voltage, ambient and humidity, by their names.

    Returns
    -------
    tuple of str
        One remark for each text that lies outside what is usual.
    """
    return _asked(known, readings, [_plainly(text, known.unit) for text in readings], around)


def _asked(
    known: Showing, texts: Sequence[str], reads: Sequence[Read | None], around: Mapping[str, str]
) -> tuple[str, ...]:
    told = [
        doubt(f"reading {number}", text, read, known.plausible)
        for number, (text, read) in enumerate(zip(texts, reads, strict=True), start=1)
        if read is not None and known.plausible is not None
    ]
    told += [stated_doubt(name, text) for name, text in around.items() if name not in known.allowed]
    return tuple(filter(None, told))


def doubt(what: str, text: str, read: Read, usual: Plausible) -> str:
    """Question a reading of which nothing that it may mean is usual.

    Its own uncertainty counts: −1 mΩ ± 2 mΩ may be nought. An edge is questioned only where it lies on the far side:
    "more than" a large resistance is how a meter shows an open circuit.

    Parameters
    ----------
    what : str
        Which text it is: "reading 2".
    text : str
        As written.
    read : Quantity or AtLeast or AtMost
        What was read, in the unit of ``usual``.
    usual : Plausible
        Where it usually lies.

    Returns
    -------
    str
        Empty where nothing is to be asked.

    Examples
    --------
    >>> from coldpin.records.plausible import EARTH
    >>> doubt("reading 1", "5100 Ω", parse_reading("5100 Ω"), EARTH)[:69]
    "reading 1, '5100 Ω', is above 100 Ω; an earth through a lead has from"
    >>> doubt("reading 1", "-1 mΩ ± 2 mΩ", parse_reading("-1 mΩ ± 2 mΩ", "Ω"), EARTH)
    ''
    """
    quantity = read if isinstance(read, Quantity) else read.edge
    low = quantity.value if quantity.low is None else quantity.low
    high = quantity.value if quantity.high is None else quantity.high
    bound, side = None, ""
    if usual.low is not None and high < usual.low and not isinstance(read, AtMost):
        bound, side = usual.low, "below"
    elif usual.high is not None and low > usual.high and not isinstance(read, AtLeast):
        bound, side = usual.high, "above"
    if bound is None:
        return ""
    edge = format_value(bound, "" if usual.unit == "1" else usual.unit)
    return f"{what}, {text!r}, is {side} {edge}; {usual.because}: are value, sign and unit right? It is kept as written"


def stated_doubt(name: str, text: str) -> str:
    """Question what is stated around a reading.

    Parameters
    ----------
    name : str
        Of the condition.
    text : str
        As written.

    Returns
    -------
    str
        Empty where nothing is to be asked, or it cannot be read as what is usual there.

    Examples
    --------
    >>> stated_doubt("humidity", "155 %")[:37]
    "humidity, '155 %', is above 100 %; re"
    >>> stated_doubt("ambient", "in the shade")
    ''
    """
    usual = CONDITIONS.get(name)
    if usual is None or not text:
        return ""
    try:
        return doubt(name, text, parse_quantity(text, usual.unit), usual)
    except InputError:
        return ""


def _seen(bench: Bench) -> BenchEvidence | None:
    """Return the case as its checks see it, without entries; None where ``case.toml`` cannot be read."""
    try:
        description = bench.case.description()
        return BenchEvidence(
            case=description,
            edition=edition_for(description),
            book=load_book().with_own(description.constants),
            entries=(),
            instruments=bench.instruments,
        )
    except InputError:
        return None


def _read(seen: BenchEvidence | None, entry: Entry) -> tuple[Read | None, ...]:
    """Return what each text of an entry means, with the accuracy of its instrument where that can be read."""
    unit = showing(entry.shows).unit
    if seen is None or not entry.readings or not unit:
        return tuple(_plainly(text, unit) for text in entry.readings)
    try:
        return tuple(_sided(one) for one in read_entry(seen, entry))
    except InputError:
        return tuple(_plainly(text, unit) for text in entry.readings)


def _sided(one: Measured) -> Read:
    match one.side:
        case Side.AT_LEAST:
            return AtLeast(one.quantity)
        case Side.AT_MOST:
            return AtMost(one.quantity)
        case _:
            return one.quantity


def _plainly(text: str, unit: str) -> Read | None:
    try:
        return parse_reading(text, unit)
    except InputError:
        return None

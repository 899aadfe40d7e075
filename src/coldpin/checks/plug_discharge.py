"""How long the pins of the plug stay charged: read after withdrawals, or reckoned from resistance and capacitance."""

from __future__ import annotations

import math
from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS, LIVE_CAUTIONS, STAYS_CHARGED
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, told_time, worst_entry
from coldpin.checks.readings import Measured, Side, condition, highest, mean, readings
from coldpin.errors import EntryError, InputError, OutsideRange
from coldpin.insulation.capacitor_discharge import bound_at, peak_met
from coldpin.insulation.discharge_telling import FASTER, plug_discharge, read_without_probe
from coldpin.insulation.touch_telling import marked_capacitance, marked_resistance
from coldpin.quantity import Quantity, decide, format_figure, format_value, propagate
from coldpin.records.case import Build, UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.insulation_words import LEFT_ON_PLUG, PIN_CAPACITANCE, PIN_RESISTANCE
from coldpin.standards.book import Book
from coldpin.standards.capacitor_discharge import charged_limit
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import highest_voltage, supply_voltage
from coldpin.standards.wording import limit_value

CHECK_ID = "plug-discharge"
FUNCTION = "touch-protection"
LIMIT = "residual-voltage.dc"
TIME = "residual-voltage.plug.machine"
SMALL = "residual-voltage.plug.appliance"
TITLE = "Voltage left on the plug"


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge what was read after withdrawals, and what resistance and capacitance between the pins make of it.

    Where nobody drew the plug live, what is reckoned stands in its place.

    Parameters
    ----------
    bench : BenchEvidence
        With voltages after withdrawals, or with resistance and capacitance between the pins.

    Returns
    -------
    tuple of Finding
        One or two findings.

    Raises
    ------
    EntryError
        A reading cannot be read, or does not say when it was taken.
    InputError
        An own value of the case leaves a limit without its number.
    """
    found = []
    if bench.showing(LEFT_ON_PLUG):
        found.append(worst_entry(_judge_one(bench, entry) for entry in bench.showing(LEFT_ON_PLUG)))
    if bench.showing(PIN_CAPACITANCE):
        reckoned = _reckoned(bench)
        found.append(reckoned if found else replace(reckoned, id=f"{CHECK_ID}.left"))
    return tuple(found)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    limit = bench.book.limit(LIMIT)
    asked_after = bench.book.row(TIME).number("time")
    after = condition(entry, "after", "s")
    if after is None or not after.value > 0.0:
        raise EntryError.of(entry.id, "the time since withdrawal is missing: state 'after', as '1.00 s ± 0.02 s'")
    shown = readings(bench, entry)
    read = highest(shown)
    if read.side is Side.AT_LEAST:
        raise EntryError.of(entry.id, f"reading {read.text!r} is only a bound: read it in a range that shows it")
    voltage, doubts = _probed(bench, entry, read, after)
    finding = judged(
        Finding(
            id=f"{CHECK_ID}.left",
            check=CHECK_ID,
            title=TITLE,
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=(FUNCTION,),
            evidence=(entry.id,),
            worst_of=len(shown),
            remarks=_beside(bench.book),
        ),
        voltage,
        limit,
    )
    finding = placed(f"The largest voltage on the plug {told_time(after.value)} after withdrawal", finding)
    if finding.outcome not in (Outcome.WITHIN, Outcome.BEYOND):
        return finding
    if after.low is None or after.high is None:
        said = f"{finding.statement} How well that time is known is not stated, so it decides nothing."
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    if finding.outcome is Outcome.BEYOND:
        least = _taken_to(bench.book, voltage, min(after.low, asked_after), asked_after)
        if Outcome(decide(least, maximum=limit.maximum).outcome) is Outcome.BEYOND:
            return finding
        said = f"{finding.statement} At {told_time(asked_after)} it may have fallen to {format_figure(least)}."
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    most = _taken_to(bench.book, voltage, max(after.high, asked_after), asked_after)
    worst, scale = _worst_moment(bench.book, entry, most, len(shown))
    doubts += scale
    if Outcome(decide(worst, maximum=limit.maximum).outcome) is not Outcome.WITHIN:
        doubts.append(
            f"of {len(shown)} withdrawals at random moments of the mains the best met {peak_met(len(shown)):.0%} of "
            f"its peak at least, so that up to {format_figure(worst)} may be left {told_time(asked_after)} after"
        )
    if doubts:
        said = f"{finding.statement} It cannot be called within: {'; '.join(doubts)}."
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    return finding


def _probed(bench: BenchEvidence, entry: Entry, read: Measured, after: Quantity) -> tuple[Quantity, list[str]]:
    """Return the voltage without the probe's share, and why it is doubted."""
    probe = condition(entry, "probe", "Ω")
    if probe is None:
        return read.quantity, ["with what input resistance it was read is not stated, and a meter empties the plug too"]
    stated = condition(entry, "capacitance", "F")
    capacitance = _capacitance(bench) if stated is None else marked_capacitance(stated, bench.book)
    if capacitance is None:
        return read.quantity, ["the probe empties the plug too, and by how much is not known without the capacitance"]
    try:
        corrected = read_without_probe(
            read.quantity,
            time=_exact(after),
            probe=marked_resistance(probe, bench.book, part="at the input of the probe"),
            capacitance=capacitance,
        )
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    return corrected, []


def _capacitance(bench: BenchEvidence) -> Quantity | None:
    entries = bench.showing(PIN_CAPACITANCE)
    found = [mean(readings(bench, entry)) for entry in entries]
    values = [one.quantity for one in found if one.side is Side.VALUE]
    return min(values, key=lambda one: one.value) if values else None


def _exact(given: Quantity) -> Quantity:
    """Return a condition as it is written: where its accuracy is not stated a doubt says so."""
    return given if given.u is not None else replace(given, u=0.0, low=None, high=None, why="")


def _taken_to(book: Book, voltage: Quantity, time: float, at: float) -> Quantity:
    """Return the voltage at another time, the most or the least that it can have been. [V]"""
    if time == at or not voltage.value > 0.0:
        return voltage
    start = math.sqrt(2.0) * highest_voltage(book, supply_voltage(book))
    factor = bound_at(reading=voltage.value, start=start, time=time, at=at) / voltage.value
    inputs: dict[str, Quantity | float] = {"read": voltage, "factor": factor}
    return propagate(_times, inputs, "V", monte_carlo=False)


def _worst_moment(book: Book, entry: Entry, voltage: Quantity, withdrawals: int) -> tuple[Quantity, list[str]]:
    """Return what would be left after the worst moment at the highest voltage, and why that is doubted. [V]"""
    volts = condition(entry, "voltage", "V")
    share = 1.0 / peak_met(withdrawals)
    if volts is None or not volts.value > 0.0:
        inputs: dict[str, Quantity | float] = {"read": voltage, "factor": share}
        return propagate(_times, inputs, "V", monte_carlo=False), ["the voltage of the supply is not stated"]
    doubts = [] if volts.u is not None else ["how well the voltage of the supply is known is not stated"]
    most = share * highest_voltage(book, supply_voltage(book))
    inputs = {"read": voltage, "most": most, "volts": _exact(volts)}
    return propagate(_scaled, inputs, "V", monte_carlo=False), doubts


def _scaled(*, read: float, most: float, volts: float) -> float:
    return read * most / volts


def _times(*, read: float, factor: float) -> float:
    return read * factor


def _beside(book: Book) -> tuple[str, ...]:
    return tuple(
        f"Another text: {limit_value(limit)}, {limit.title} ({limit.source}, standing: {limit.standing})."
        for limit in (book.limit(SMALL), book.limit("discharge.time-constant.plug"))
    )


def _reckoned(bench: BenchEvidence) -> Finding:
    """Reckon what is left from the dead readings: the largest capacitance with the largest resistance."""
    book = bench.book
    caps = [(entry, mean(readings(bench, entry))) for entry in bench.showing(PIN_CAPACITANCE)]
    entry, capacitance = max(caps, key=lambda pair: pair[1].quantity.value)
    if capacitance.side is Side.AT_LEAST:
        raise EntryError.of(entry.id, f"reading {capacitance.text!r} is only a bound: read it in another range")
    if capacitance.quantity.value < 0.0:
        raise EntryError.of(entry.id, f"reading {capacitance.text!r}: a capacitance is not below 0: zero the meter")
    small = 1e-6 * book.row(SMALL).number("above_uf")
    ohms = [(one, mean(readings(bench, one))) for one in bench.showing(PIN_RESISTANCE)]
    evidence = (*(pair[0].id for pair in caps), *(pair[0].id for pair in ohms))
    empty = Finding(
        id=f"{CHECK_ID}.reckoned",
        check=CHECK_ID,
        title=f"{TITLE}, from what lies between its pins",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.CONSTRUCTION,
        functions=(FUNCTION,),
        evidence=evidence,
        worst_of=len(caps) + len(ohms),
        remarks=_beside(book),
        reckoned=True,
    )
    if capacitance.quantity.value <= 0.0 or (capacitance.quantity.high or capacitance.quantity.value) <= small:
        return _small(book, empty, capacitance)
    farads = format_value(capacitance.quantity.value, "F")
    if not ohms:
        said = f"{farads} lie between the pins; without the resistance there, how fast they empty is not known."
        return replace(empty, statement=said)
    resistor, resistance = max(ohms, key=lambda pair: pair[1].quantity.value)
    if resistance.side is Side.AT_MOST:
        raise EntryError.of(resistor.id, f"reading {resistance.text!r}: the pins are joined: read it anew")
    try:
        told = plug_discharge(
            capacitance.quantity,
            book,
            highest=highest_voltage(book, supply_voltage(book)),
            resistance=resistance.quantity,
        )
    except OutsideRange as error:
        raise EntryError.of(resistor.id, str(error)) from error
    placement = next(one for one in told.placements if one.limit.id == TIME)
    assert placement.left_v is not None, "with a resistance the voltage is known"
    finding = placed(
        f"With {farads} and {format_value(resistance.quantity.value, 'Ω')} between the pins, drawn at its worst "
        f"moment, what is left {told_time(placement.time_s)} after",
        judged(empty, placement.left_v, _limit(book)),
    )
    if resistance.side is Side.AT_LEAST and finding.outcome is not Outcome.BEYOND:
        said = f"{finding.statement} The meter only said more than {format_value(resistance.quantity.value, 'Ω')}."
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    if finding.outcome is Outcome.BEYOND:
        return replace(finding, outcome=Outcome.UNDECIDED, statement=f"{finding.statement} {FASTER}")
    return finding


def _limit(book: Book) -> Limit:
    return book.limit(LIMIT)


def _small(book: Book, empty: Finding, capacitance: Measured) -> Finding:
    """Place so small a capacitance by what may be stored in it, whatever empties it."""
    shown = capacitance.text.lstrip("<≤ ")
    try:
        limit = charged_limit(book, max(capacitance.quantity.high or capacitance.quantity.value, 0.0), 1)
    except OutsideRange:
        if capacitance.quantity.u is None:
            said = f"The meter shows {shown} between the pins, but its accuracy there is not known."
            return replace(empty, statement=said)
        said = f"With {shown} between the pins there is nothing that could stay charged."
        return replace(empty, statement=said, outcome=Outcome.WITHIN, answer="nothing to charge")
    peak = math.sqrt(2.0) * highest_voltage(book, supply_voltage(book))
    known = f"{limit_value(limit)}, {limit.source}, standing: {limit.standing}"
    if peak <= needed(limit, "maximum") and capacitance.quantity.u is not None:
        known = f"{limit.source}, standing: {limit.standing}"
        said = (
            f"{shown} between the pins may stay charged to the peak of the mains by the table as known ({known}): the "
            "charge is too small for a limit of voltage."
        )
        return replace(empty, statement=said, outcome=Outcome.WITHIN, answer="too small to matter")
    said = (
        f"{shown} between the pins is less than two texts ask anything of; a third lets it stay charged to less than "
        f"the peak of the mains ({known}) after a time: how fast it empties must be read."
    )
    return replace(empty, statement=said)


def _with_plug(unit: UnitClass) -> str:
    return "a fixed unit has no plug on the supply side" if unit.build is Build.FIXED else ""


CHECK = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Is what stays on the pins of the plug gone in a second after it was drawn?",
    needs=(),
    any_of=(Need(shows=LEFT_ON_PLUG), Need(shows=PIN_CAPACITANCE)),
    bench=Procedure(
        level=Level.LIVE,
        instrument="multimeter that reads capacitance; for the live test a probe of 100 MΩ and a scope",
        minutes=15,
        cautions=(*DEAD_CAUTIONS, *LIVE_CAUTIONS, STAYS_CHARGED),
        steps=(
            (
                "Dead first: read resistance and capacitance between the plug's line and neutral pin; these tell what "
                "is left without any live work, and `coldpin plug-discharge` reckons it."
            ),
            (
                "Only where this leaves it open: plug in with the probe on a rated tap box, draw the plug, read the "
                "voltage one second later; ten times, for each meets another moment of the mains."
            ),
            "Write down time, the probe's input resistance, the capacitance, the voltage of the supply.",
            "Discharge the pins through a resistor and see them dead before they are touched.",
        ),
        hold_points=("Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",),
        repeats=10,
        transfers="What is reckoned from parts holds for any unit built with them.",
    ),
    limits=(LIMIT, TIME, SMALL, "discharge.", "charged."),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.98, within_if_not=0.2),),
    applies=_with_plug,
)

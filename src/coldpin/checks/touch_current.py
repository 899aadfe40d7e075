"""The current that reaches a hand: read with the earth open and at the housing, or reckoned from what was found."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS, EARTH_OPENED, LIVE_CAUTIONS, NO_CLIP, OPENED_BOARD
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst, worst_entry
from coldpin.checks.readings import Measured, Side, condition, highest, mean, readings
from coldpin.errors import EntryError, InputError
from coldpin.insulation.touch_telling import touch_current_of_capacitors, touch_current_of_resistors
from coldpin.quantity import Quantity, format_value, in_unit, propagate
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.insulation_words import BOTH_WAYS, CHAIN, EARTH_PIN, HOUSING, OPEN, TO_EARTH, TOUCH_CURRENT
from coldpin.records.touch_current import TouchCurrent
from coldpin.standards.book import Book
from coldpin.standards.touch_current import HOUSING as HOUSING_LIMIT
from coldpin.standards.touch_current import METAL
from coldpin.standards.voltage_drop import highest_voltage, supply_frequency, supply_voltage

CHECK_ID = "touch-current"
FUNCTION = "touch-protection"

WHERE = {EARTH_PIN: ("metal", METAL), HOUSING: ("housing", HOUSING_LIMIT)}
TITLES = {
    "metal": "Touch current of the vehicle's body, earth open",
    "housing": "Touch current of the housing",
    "reckoned": "Touch current from the capacitors found, earth open",
}
FELT = "A current under a limit may still be felt, and one that startles can hurt by what follows."


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge what was read at the earth pin and at the housing, and what the capacitors found would drive.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the touch current, or a capacitor from the mains to earth.

    Returns
    -------
    tuple of Finding
        One for each place that was read, and one for the capacitors.

    Raises
    ------
    EntryError
        A reading cannot be read, or does not say where it was taken.
    InputError
        An own value of the case leaves a limit without its number.
    """
    found = []
    entries = bench.showing(TOUCH_CURRENT)
    for entry in entries:
        if entry.conditions.get("at", "") not in WHERE:
            raise EntryError.of(entry.id, "the place is missing: state 'at', as 'earth pin' or 'housing'")
    for at in WHERE:
        there = [entry for entry in entries if entry.conditions["at"] == at]
        if there:
            ways = {way for entry in there for way in [entry.conditions.get("polarity", "")]}
            both = BOTH_WAYS in ways or len(ways - {""}) > 1
            found.append(worst_entry(_judge_one(bench, entry, both=both) for entry in there))
    if bench.showing(TO_EARTH):
        found.append(_reckoned(bench))
    return tuple(found)


def _judge_one(bench: BenchEvidence, entry: Entry, *, both: bool) -> Finding:
    name, limit_id = WHERE[entry.conditions["at"]]
    shown = readings(bench, entry)
    read = highest(shown)
    limit = bench.book.limit(limit_id)
    if read.side is Side.AT_LEAST:
        raise EntryError.of(entry.id, f"reading {read.text!r} is only a bound: read it in a range that shows it")
    scaled, why_not = _at_highest(bench.book, entry, read)
    finding = judged(
        Finding(
            id=f"{CHECK_ID}.{name}",
            check=CHECK_ID,
            title=TITLES[name],
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=(FUNCTION,),
            evidence=(entry.id,),
            worst_of=len(shown),
            remarks=(FELT, *_presumed(limit)),
        ),
        scaled,
        limit,
    )
    finding = placed(f"{TITLES[name]}, at the highest voltage of the supply,", finding)
    doubts = [*why_not, *_doubts(entry, read, both=both)]
    if finding.outcome is Outcome.WITHIN and doubts:
        said = f"{finding.statement} It cannot be called within: {'; '.join(doubts)}."
        finding = replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    return finding


def _presumed(limit: Limit) -> tuple[str, ...]:
    return (limit.note,) if limit.note else ()


def _doubts(entry: Entry, read: Measured, *, both: bool) -> list[str]:
    doubts = []
    if entry.conditions["at"] == EARTH_PIN and entry.conditions.get("earth") != OPEN:
        doubts.append("the earth was not open, so it carried what a hand would have")
    if not entry.conditions.get("network"):
        doubts.append("through what network it was read is not stated")
    if not both:
        doubts.append("it was not read with the plug put in both ways")
    if read.side is Side.AT_MOST:
        doubts.append("the meter was below its range")
    return doubts


def _at_highest(book: Book, entry: Entry, read: Measured) -> tuple[Quantity, list[str]]:
    """Return the current at the highest voltage of the supply [mA], and why that is doubted."""
    volts = condition(entry, "voltage", "V")
    current = in_unit(read.quantity, "mA")
    most = highest_voltage(book, supply_voltage(book))
    if volts is None:
        return current, ["the voltage of the supply is not stated"]
    if not volts.value > 0.0:
        raise EntryError.of(entry.id, f"the voltage of the supply is {format_value(volts.value, 'V')}: state it anew")
    if volts.u is None:
        return current, ["how well the voltage of the supply is known is not stated"]
    inputs: dict[str, Quantity | float] = {"current": current, "volts": volts, "most": most}
    return propagate(_scaled, inputs, "mA"), []


def _scaled(*, current: float, volts: float, most: float) -> float:
    return current * most / volts


def _reckoned(bench: BenchEvidence) -> Finding:
    """Place what the capacitors found would drive; those at one pole are added."""
    entries = bench.showing(TO_EARTH)
    poles: dict[str, Quantity] = {}
    for entry in entries:
        pole = entry.conditions.get("pole", "")
        if not pole:
            raise EntryError.of(entry.id, "the pole is missing: state 'pole', as 'L' or 'N'")
        read = mean(readings(bench, entry))
        if read.side is not Side.VALUE or not read.quantity.value > 0.0:
            raise EntryError.of(entry.id, f"reading {read.text!r} is no capacitance: state what was read or is marked")
        poles[pole] = _added(poles[pole], read.quantity) if pole in poles else read.quantity
    told = _touch(bench.book, poles, entries[0])
    all_found = all(entry.conditions.get("all found") == "yes" for entry in entries)
    finding = _placed(told, f"{CHECK_ID}.reckoned", TITLES["reckoned"], bench.book.limit(METAL))
    finding = replace(
        finding,
        evidence=tuple(entry.id for entry in entries),
        remarks=(*told.remarks, *_presumed(bench.book.limit(METAL))),
    )
    if finding.outcome is Outcome.WITHIN and not all_found:
        said = f"{finding.statement} Whether there are more of them is not stated, so it shows nothing."
        finding = replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    return finding


def _touch(book: Book, poles: dict[str, Quantity], entry: Entry) -> TouchCurrent:
    nominal = supply_voltage(book)
    try:
        return touch_current_of_capacitors(
            poles,
            book,
            voltage=nominal,
            highest=highest_voltage(book, nominal),
            frequency=supply_frequency(book),
        )
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error


def _added(first: Quantity, second: Quantity) -> Quantity:
    return propagate(_plus, {"first": first, "second": second}, "F", monte_carlo=False)


def _plus(*, first: float, second: float) -> float:
    return first + second


def _placed(told: TouchCurrent, name: str, title: str, limit: Limit) -> Finding:
    finding = judged(
        Finding(
            id=name,
            check=name.partition(".")[0],
            title=title,
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.CONSTRUCTION,
            functions=(FUNCTION,),
            reckoned=True,
        ),
        told.worst.at_highest_ma,
        limit,
    )
    return placed(f"{title} ({told.worst.told}, {told.highest_v:g} V),", finding)


CHECK = Check(
    id=CHECK_ID,
    title="Touch current",
    question="When the earth is lost, what current reaches a hand on the vehicle, and on the housing at any time?",
    needs=(),
    any_of=(Need(shows=TOUCH_CURRENT), Need(shows=TO_EARTH)),
    bench=Procedure(
        level=Level.LIVE,
        instrument=(
            "touch current meter, or a network for a person (IEC 60990) with a true r.m.s. voltmeter; box that opens "
            "the earth"
        ),
        minutes=20,
        cautions=(*LIVE_CAUTIONS, EARTH_OPENED, NO_CLIP),
        steps=(
            (
                "Dead first: on an opened specimen write down each capacitor from the mains to earth, pilot or low "
                "voltage; what they drive is reckoned, and may spare the live test."
            ),
            "Meter or network from the connector's earth pin to the earth of the supply; then open the earth.",
            "Read with nothing connected and in state C, the plug put in either way; note the largest.",
            "Close the earth. Metal foil on the housing, the meter from foil to earth: read again in the same states.",
            "Write down the voltage of the supply. Switch off, unplug, prove dead.",
        ),
        hold_points=(
            "Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",
            "What the capacitors found would drive, where the specimen was opened, lies under the limit.",
        ),
        stop_values=("More than 10 mA, or a residual-current device that acts: stop, switch off, note it.",),
        repeats=1,
        transfers="What is reckoned from parts holds for any unit built with them; a reading for this specimen.",
    ),
    limits=(METAL, HOUSING_LIMIT, "touch-current.capacitor-tolerance"),
    run=run,
    bears=(Bearing(function=FUNCTION, within_if_works=0.97, within_if_not=0.3),),
    applies=always,
)


def run_impedance(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge each chain of resistors from the mains to what can be touched: the worst is told.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one chain.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    EntryError
        A part cannot be read, or is none.
    InputError
        An own value of the case leaves a limit without its number.
    """
    entries = bench.showing(CHAIN)
    finding = worst([_judge_chain(bench, entry) for entry in entries])
    return (replace(finding, evidence=tuple(dict.fromkeys((*finding.evidence, *(entry.id for entry in entries))))),)


def _judge_chain(bench: BenchEvidence, entry: Entry) -> Finding:
    nominal = supply_voltage(bench.book)
    shown = readings(bench, entry)
    if any(one.side is Side.AT_MOST for one in shown):
        raise EntryError.of(entry.id, "a part below the meter's range is no part of a chain: write what was read")
    try:
        told = touch_current_of_resistors(
            [one.quantity for one in shown], bench.book, voltage=nominal, highest=highest_voltage(bench.book, nominal)
        )
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    placement = told.placements[0]
    to = entry.conditions.get("to") or "what can be touched"
    title = f"Current through the resistors from mains to {to}"
    finding = replace(
        _placed(told, f"{IMPEDANCE_ID}.current", title, placement.limit),
        functions=(FUNCTION, "pilot-separation"),
        evidence=(entry.id,),
        remarks=(FELT, *told.remarks),
    )
    if placement.outcome is Outcome.BEYOND and finding.outcome is not Outcome.BEYOND:
        said = f"A single resistor leads from mains to {to}: with it shorted the mains is there. {told.remarks[0]}"
        return replace(finding, outcome=Outcome.BEYOND, statement=said, probability=None, quantity=None, budget=())
    bounds = any(one.side is Side.AT_LEAST for one in shown)
    if bounds and finding.outcome is not Outcome.WITHIN:
        said = f"{finding.statement} The meter was beyond its range, so the current may be less."
        return replace(finding, outcome=Outcome.UNDECIDED, statement=said)
    return finding


IMPEDANCE_ID = "protective-impedance"

IMPEDANCE_CHECK = Check(
    id=IMPEDANCE_ID,
    title="Resistors from mains to touch",
    question="Where resistors lead from the mains to pilot, earth or a button: are there two, each enough alone?",
    needs=(Need(shows=CHAIN),),
    bench=Procedure(
        level=Level.DESTRUCTIVE,
        instrument="multimeter with stated accuracy; the opened board",
        minutes=20,
        cautions=(*DEAD_CAUTIONS, OPENED_BOARD),
        steps=(
            "Follow every resistor joined to a pole of the mains to its end: pilot, earth, low voltage or a button.",
            "Read each part of such a chain with one end free, and write down where it leads.",
        ),
        repeats=1,
        transfers="Holds for any unit built with this board.",
    ),
    limits=("protective-impedance.ac", "protective-impedance.parts"),
    run=run_impedance,
    bears=(
        Bearing(function=FUNCTION, within_if_works=0.97, within_if_not=0.5),
        Bearing(function="pilot-separation", within_if_works=0.97, within_if_not=0.5),
    ),
    applies=always,
)

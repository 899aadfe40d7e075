"""Are the connector's pins live when nobody asked: nothing connected, not ready, or no vehicle at all."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always, with_pilot
from coldpin.checks.evidence import BenchEvidence, highest, lowest, readings
from coldpin.checks.judging import judged, placed
from coldpin.errors import CaseError, InputError
from coldpin.quantity import Quantity, format_quantity, parse_quantity, propagate
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach


@dataclass(frozen=True, slots=True, kw_only=True)
class _Situation:
    word: str
    name: str
    title: str
    subject: str
    functions: tuple[str, ...]
    decisive: bool
    live: str


NOTHING = _Situation(
    word="output with nothing connected",
    name="uncoupled",
    title="Voltage with nothing connected",
    subject="With nothing connected, the largest voltage at the connector's pins",
    functions=("supply-switching",),
    decisive=True,
    live="The connector's pins are live with nothing connected: whoever touches them touches the mains.",
)
NOT_READY = _Situation(
    word="output in state B",
    name="state-b",
    title="Voltage in state B",
    subject="With a vehicle connected that asks for nothing, the voltage at the connector's pins",
    functions=("supply-switching",),
    decisive=False,
    live="The pins are live although the vehicle does not ask for power.",
)
ASKED = "output in state C"

NO_DIODE = _Situation(
    word="output with the diode shorted",
    name="diode-shorted",
    title="Voltage with the vehicle's diode shorted",
    subject="With the vehicle simulator's diode shorted, the voltage at the connector's pins",
    functions=("vehicle-recognition",),
    decisive=False,
    live="The unit switched on for a plain resistor, without the vehicle's diode.",
)


def _at_mains(bench: BenchEvidence, entry: Entry, quantity: Quantity) -> Quantity:
    """Scale a reading taken at extra-low voltage to what it would be on the mains the specimen is made for."""
    rated, applied = bench.claim("rated_voltage") or "230 V", entry.supply_voltage
    if not applied:
        raise CaseError(f"entry {entry.id}: taken at extra-low voltage, but the supply voltage is not recorded: add it")
    try:
        factor = parse_quantity(rated, "V").value / parse_quantity(applied, "V").value
    except (InputError, ZeroDivisionError) as error:
        raise CaseError(f"entry {entry.id}, supply voltage {applied!r}: {error}") from error
    return propagate(lambda reading: factor * reading, {"reading": quantity}, quantity.unit)


def _said_of_scaled(entry: Entry, read: Quantity, finding: Finding, sentence: str) -> str:
    """Tell the number that was read beside the one reckoned from it: nobody read the second."""
    assert finding.quantity is not None, "a scaled reading is a quantity"
    read_there = f"{format_quantity(read)} on an extra-low voltage supply of {entry.supply_voltage}, on the mains "
    return sentence.replace(
        f" is {format_quantity(finding.quantity)}",
        f" is {read_there}{format_quantity(finding.quantity)} as reckoned",
        1,
    )


def _judge(bench: BenchEvidence, entry: Entry, situation: _Situation, check: str) -> Finding:
    found = readings(bench, entry)
    chosen = highest(found)
    low_supply = entry.conditions.get("supply") == "extra-low voltage"
    quantity = _at_mains(bench, entry, chosen.quantity) if low_supply else chosen.quantity
    limit = bench.book.limit("touch.ac")
    finding = judged(
        Finding(
            id=f"{check}.{situation.name}",
            check=check,
            title=situation.title,
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=situation.functions,
            evidence=(entry.id,),
            worst_of=len(found),
        ),
        quantity,
        limit,
    )
    if finding.outcome is Outcome.BEYOND:
        plain = placed(situation.subject, finding)
        said = _said_of_scaled(entry, chosen.quantity, finding, plain.statement) if low_supply else plain.statement
        return replace(
            plain,
            statement=f"{situation.live} {said}",
            plain=situation.live,
            answer="yes",
            absence=True,
            decisive=situation.decisive,
            reach=_reach(bench, situation),
        )
    if low_supply and finding.outcome is Outcome.WITHIN:
        return replace(
            finding,
            outcome=Outcome.UNDECIDED,
            answer="cannot tell",
            statement=(
                f"{situation.subject} stayed low on an extra-low voltage supply, on which a unit with contacts "
                "cannot close them: this does not show that they stay open on the mains."
            ),
        )
    answer = {Outcome.WITHIN: "no", Outcome.UNDECIDED: "cannot tell"}[finding.outcome]
    return replace(placed(situation.subject, finding), answer=answer)


def _reach(bench: BenchEvidence, situation: _Situation) -> Reach:
    """Live pins hold by construction where the wiring map traced every pole straight through."""
    if situation is not NOTHING:
        return Reach.SPECIMEN
    from coldpin.checks import wiring

    if not bench.matching(wiring.NEED):
        return Reach.SPECIMEN
    switched = next(finding for finding in wiring.run(bench) if finding.id == "wiring.switched")
    return switched.reach if switched.outcome is Outcome.BEYOND else Reach.SPECIMEN


def run_uncoupled(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the voltage at the pins with nothing connected and, where they were read, in states B and C.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one reading with nothing connected.

    Returns
    -------
    tuple of Finding
        One to three findings.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    findings = []
    for situation in (NOTHING, NOT_READY):
        entries = bench.showing(situation.word)
        if entries:
            findings.append(_judge(bench, entries[-1], situation, "live-pins"))
    energised = judge_energised(bench)
    return (*findings, energised) if energised else tuple(findings)


def judge_energised(bench: BenchEvidence) -> Finding | None:
    """Judge whether the unit does switch on for a vehicle that asks: else a dead unit would pass for a careful one.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    Finding or None
        None where the output in state C was not read.

    Raises
    ------
    CaseError
        A reading cannot be read.
    """
    entries = bench.showing(ASKED)
    if not entries:
        return None
    found = readings(bench, entries[-1])
    touch = bench.book.limit("touch.ac")
    limit = replace(
        touch, title="above this the output counts as switched on", minimum=touch.maximum, nominal=None, maximum=None
    )
    finding = judged(
        Finding(
            id="live-pins.state-c",
            check="live-pins",
            title="Voltage in state C",
            statement="",
            outcome=Outcome.UNDECIDED,
            reach=Reach.SPECIMEN,
            functions=("supply-switching", "vehicle-recognition"),
            evidence=(entries[-1].id,),
            worst_of=len(found),
            remarks=("The positive control: a unit that never switches on would pass every test for staying off.",),
        ),
        lowest(found).quantity,
        limit,
    )
    answer = {Outcome.WITHIN: "yes", Outcome.BEYOND: "no", Outcome.UNDECIDED: "cannot tell"}[finding.outcome]
    return replace(
        placed("With a vehicle that asks for power, the voltage at the connector's pins", finding), answer=answer
    )


def judge_diode_shorted(bench: BenchEvidence) -> Finding | None:
    """Judge the voltage at the pins while the vehicle simulator's diode is shorted, where it was read.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.

    Returns
    -------
    Finding or None
        None where it was not read.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    entries = bench.showing(NO_DIODE.word)
    return _judge(bench, entries[-1], NO_DIODE, "pilot-diode") if entries else None


_ANY: Mapping[str, tuple[str, ...]] = {}

CHECK = Check(
    id="live-pins",
    title="Pins live with nothing connected",
    question="Is there a voltage at the connector's pins while nothing is connected, or before a vehicle asks?",
    needs=(Need(shows=NOTHING.word, conditions=_ANY),),
    bench=Procedure(
        level=Level.LIVE,
        instrument=(
            "two-pole voltage tester or multimeter with a low-impedance input, of the right category, probes shrouded"
        ),
        minutes=5,
        cautions=LIVE_CAUTIONS,
        steps=(
            (
                "First on an extra-low voltage supply, the connector fixed in an insulating holder: a lead without "
                "contacts shows here, and the mains would add nothing but danger."
            ),
            (
                "On the mains only where nothing was seen, or where the number itself is wanted; the connector stays "
                "in its holder. Plug in with nothing connected and wait ten seconds."
            ),
            "Read line to neutral, line to earth, neutral to earth at the connector; write down the largest.",
            (
                "Where a voltage is read, read it again through the low-impedance input and write that down: a meter "
                "of 10 MΩ also shows what couples across open contacts."
            ),
            "With the vehicle simulator in state B, read again; then in state C, where the contacts must close.",
            "Switch off, unplug, prove dead.",
        ),
        hold_points=("Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",),
        stop_values=(
            "A voltage with nothing connected that stays under the low-impedance input: stop, this concludes alone.",
        ),
        repeats=1,
        transfers="A voltage seen at extra-low voltage transfers to the mains; its absence does not.",
    ),
    limits=("touch.ac",),
    run=run_uncoupled,
    bears=(Bearing(function="supply-switching", within_if_works=0.995, within_if_not=0.1),),
    applies=always,
)

DIODE_NEED = Need(shows=NO_DIODE.word)

__all__ = ["CHECK", "DIODE_NEED", "judge_diode_shorted", "run_uncoupled", "with_pilot"]

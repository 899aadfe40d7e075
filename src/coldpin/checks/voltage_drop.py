"""What the lead takes from the voltage at its rated current, and what is left at the car."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.conductor_evidence import CONDUCTOR_NEEDS
from coldpin.checks.evidence import BenchEvidence, claimed, condition, mean, readings
from coldpin.checks.judging import budget_lines, judged
from coldpin.checks.supply_path import lead_core, marked_mm2, source_of, unloaded_voltage
from coldpin.copper.fault_withstand import LINE
from coldpin.copper.voltage_drop import said, voltage_drop
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, propagate
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.voltage_drop import VoltageDrop
from coldpin.standards.voltage_drop import cord_temperature, drop_limit, supply_voltage

CHECK_ID = "voltage-drop"
READ = "voltage drop of the lead"
RATED = Need(claim="rated_current")


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the drop at the rated current against the limit of a whole installation, and tell what the car has.

    Parameters
    ----------
    bench : BenchEvidence
        With the rated current, and a resistance of the line conductor or a drop that was read.

    Returns
    -------
    tuple of Finding
        The lead alone; and the voltage at the car where something is known of the supply.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        A claim cannot be read.
    """
    rated = claimed(bench, "rated_current", "A")
    assert rated is not None, "the check needs the rated current"
    found = []
    core = lead_core(bench, LINE)
    if core is not None:
        source = source_of(bench)
        told = voltage_drop(
            core.resistance_20,
            current=Quantity(rated, 0.0, "A"),
            conductor_temperature=cord_temperature(bench.book),
            book=bench.book,
            phases=bench.case.unit.phases,
            nominal_mm2=marked_mm2(bench),
            source=None if source is None else source[0],
            unloaded=unloaded_voltage(bench),
        )
        found.append(_of_lead(told, core.entry.id, core.remarks))
        if source is not None:
            found.append(_at_vehicle(told, (core.entry.id, *source[1])))
    read = bench.showing(READ)
    if read and not found:
        found.append(_as_read(bench, read[-1], rated))
    return tuple(found)


def _bare(name: str, title: str, *entries: str) -> Finding:
    return Finding(
        id=f"{CHECK_ID}.{name}",
        check=CHECK_ID,
        title=title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        evidence=entries,
    )


def _of_lead(told: VoltageDrop, entry: str, remarks: tuple[str, ...]) -> Finding:
    finding = judged(_bare("lead", "Voltage drop of the lead alone", entry), told.lead_percent, told.limit)
    return replace(finding, statement=told.statements[0], remarks=(*remarks, *told.remarks[:2]))


def _at_vehicle(told: VoltageDrop, entries: tuple[str, ...]) -> Finding:
    car = told.vehicle
    assert car is not None, "told only where something is known of the supply"
    least = replace(
        car.tolerance,
        title="lowest voltage that the supply itself may have",
        unit="V",
        minimum=car.least_v,
        nominal=None,
        maximum=None,
    )
    return replace(
        _bare("vehicle", "Voltage at the car", *entries),
        statement=told.statements[1],
        quantity=car.at_vehicle_v,
        limit=least,
        outcome=car.outcome,
        probability=car.probability,
        budget=budget_lines(car.at_vehicle_v),
        remarks=(
            OF_THIS_BENCH,
            *car.source.remarks,
        ),
    )


OF_THIS_BENCH = (
    "It is the supply of this bench: on another the car has another voltage. The voltage is limited where the "
    "installation is connected, and not at the car."
)


def _as_read(bench: BenchEvidence, entry: Entry, rated: float) -> Finding:
    """Judge a drop that was read with a current, taken up to the rated current."""
    current = condition(entry, "current", "A")
    if current is None:
        raise EntryError.of(entry.id, "the current is missing: state 'current', as '16.0 A ± 0.1 A'")
    if current.value <= 0.0:
        raise EntryError.of(entry.id, f"condition 'current' = {current.value:g} A: it must be above 0 A")
    drop = mean(readings(bench, entry)).quantity
    given: dict[str, Quantity | float] = {
        "drop": drop,
        "current": current,
        "rated": rated,
        "nominal": supply_voltage(bench.book),
    }
    try:
        percent = propagate(_scaled, given, "%")
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    limit = drop_limit(bench.book)
    finding = judged(_bare("lead", "Voltage drop of the lead alone", entry.id), percent, limit)
    return replace(finding, statement=_read_statement(finding, limit, rated), remarks=_warm(entry))


def _scaled(*, drop: float, current: float, rated: float, nominal: float) -> float:
    return 100.0 * drop / current * rated / nominal


def _read_statement(finding: Finding, limit: Limit, rated: float) -> str:
    assert finding.quantity is not None, "judged findings have a quantity"
    where = {
        Outcome.WITHIN: "less than",
        Outcome.BEYOND: "more than",
    }.get(finding.outcome, "too close to say, or not known well enough, beside")
    return (
        f"As read, taken up to {rated:g} A, the lead takes {said(finding.quantity)} of the nominal voltage: {where} "
        f"the {limit.maximum:g} % that a whole installation may take."
    )


def _warm(entry: Entry) -> tuple[str, ...]:
    told = entry.conditions.get("conductor temperature", "")
    if told:
        return (f"Read with the conductors at {told}; at the rated current they are warmer and take more.",)
    return ("How warm the conductors were is not stated; at the rated current they are warmer and take more.",)


CHECK = Check(
    id=CHECK_ID,
    title="Voltage drop",
    question="How much of the voltage does the lead take at its rated current, and what is left for wiring and car?",
    needs=(RATED,),
    any_of=(*CONDUCTOR_NEEDS, Need(shows=READ)),
    bench=Procedure(
        level=Level.DEAD,
        instrument="as for the size of the conductors; for the supply a voltmeter, a load of known current or a logger",
        minutes=5,
        cautions=DEAD_CAUTIONS,
        steps=(
            (
                "Read the line conductor from end to end as for the size of the conductors, at the pins if they can be "
                "reached: then the joints are in it, as they are in use."
            ),
            (
                "For the whole path, record the voltage at the socket without and with a load of known current, in "
                "turn, three times; or log voltage and current there for some days."
            ),
        ),
        hold_points=("No load on a lead whose earth is open or whose plug or joints were seen to be hot.",),
        transfers="Holds for this lead; the supply is that of the bench.",
    ),
    limits=("drop-limit.public.other", "supply.tolerance", "supply.voltage"),
    run=run,
    bears=(),
    applies=always,
)

"""What the lead takes from the voltage at its rated current, and what is left at the car."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Check, Level, Need, Procedure, always
from coldpin.checks.conductor_evidence import CONDUCTOR_NEEDS
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import budget_lines, judged, worst_entry
from coldpin.checks.lead_way import lead_way
from coldpin.checks.readings import Side, claimed, condition, mean, readings
from coldpin.checks.supply_path import marked_mm2, sources_of, unloaded_voltages, within_unless
from coldpin.copper.drop_formulas import check_conductor_temperature, drop_at
from coldpin.copper.supposed_warmth import (
    COOLEST_IN_USE,
    Open,
    less_if_cool,
    more_if_hot,
    supposed_temperature,
    undone_by,
)
from coldpin.copper.voltage_drop import drop_of_way
from coldpin.copper.voltage_drop_telling import questions
from coldpin.errors import EntryError, InputError
from coldpin.quantity import Quantity, format_figure, propagate
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.lead_way import LeadWay
from coldpin.records.voltage_drop import VoltageDrop
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import drop_limit, supply_voltage

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
        The lead alone, by the worst of conductor and drops; and the voltage at the car where something is known of the
        supply, by the worst of what is.

    Raises
    ------
    EntryError
        A reading or a condition cannot be read.
    CaseError
        A claim cannot be read.
    """
    rated = claimed(bench, "rated_current", "A")
    assert rated is not None, "the check needs the rated current"
    way = lead_way(bench)
    of_lead = [_as_read(bench, entry, rated) for entry in bench.showing(READ)]
    at_car = []
    if way is not None:
        alone = drop_of_way(way, bench.case.unit.phases, marked_mm2(bench), rated, bench.book)
        of_lead.insert(0, _of_lead(alone, way))
        for source, entries in sources_of(bench):
            for unloaded, read_in in unloaded_voltages(bench) or ((None, ""),):
                told = drop_of_way(
                    way, bench.case.unit.phases, marked_mm2(bench), rated, bench.book, source=source, unloaded=unloaded
                )
                names = (*way.entries, *((read_in,) if read_in else ()), *entries)
                at_car.append(within_unless(_at_vehicle(told, tuple(dict.fromkeys(names)), alone), way.doubts))
    return tuple(worst_entry(each) for each in (of_lead, at_car) if each)


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


def _of_lead(told: VoltageDrop, way: LeadWay) -> Finding:
    finding = judged(_bare("lead", "Voltage drop of the lead alone", *way.entries), told.lead_percent, told.limit)
    placed = replace(
        finding,
        statement=told.statements[0],
        outcome=told.outcome,
        probability=told.probability,
        remarks=tuple(dict.fromkeys((*told.questions, *told.remarks))),
    )
    return within_unless(placed, way.doubts)


def _at_vehicle(told: VoltageDrop, entries: tuple[str, ...], alone: VoltageDrop) -> Finding:
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
        remarks=tuple(
            dict.fromkeys(
                (
                    *(question for question in told.questions if question not in alone.questions),
                    OF_THIS_BENCH,
                    *(remark for remark in told.remarks if remark not in alone.remarks),
                )
            )
        ),
    )


OF_THIS_BENCH = (
    "It is the supply of this bench: on another the car has another voltage. The voltage is limited where the "
    "installation is connected, and not at the car."
)


def _as_read(bench: BenchEvidence, entry: Entry, rated: float) -> Finding:
    """Judge a drop that was read with a current, taken up to the rated current and to conductors warm in use."""
    current = condition(entry, "current", "A")
    if current is None:
        raise EntryError.of(entry.id, "the current is missing: state 'current', as '16.0 A ± 0.1 A'")
    if current.value <= 0.0:
        raise EntryError.of(entry.id, f"condition 'current' = {current.value:g} A: it must be above 0 A")
    warm, warmth = supposed_temperature(bench.book), condition(entry, "conductor temperature", "°C")
    drop = _drop_of(bench, entry)
    limit = drop_limit(bench.book)
    bare = _bare("lead", "Voltage drop of the lead alone", entry.id)
    try:
        found = _percent(bench, drop, current, rated)
        if warmth is not None:
            check_conductor_temperature(warmth.value)
        if warmth is not None and warmth.value < warm:
            found = drop_at(found, warmth, warm, bench.book)
    except InputError as error:
        raise EntryError.of(entry.id, str(error)) from error
    finding = judged(bare, found, limit)
    each = 0.5 / current.value
    core = Quantity(drop.value * each, None if drop.u is None else drop.u * each, "Ω")
    asked = questions(core, current, found)
    if asked:
        finding = replace(finding, outcome=Outcome.UNDECIDED, probability=None, remarks=(*finding.remarks, *asked))
    if warmth is None:
        finding = within_unless(finding, (NOT_WARM.format(warm=warm),))
    elif warmth.value < warm and not asked:
        finding = _as_warm_as_it_may_be(finding, warmth.value, warm, bench)
    return replace(
        finding,
        statement=_read_statement(finding, limit, rated, asked=bool(asked)),
        remarks=_warm(warmth, warm, finding),
    )


def _drop_of(bench: BenchEvidence, entry: Entry) -> Quantity:
    """Return a drop as read, which lies above zero."""
    read = mean(readings(bench, entry))
    if read.side is not Side.VALUE:
        raise EntryError.of(entry.id, f"reading {read.text!r} is only a bound: write what the meter shows")
    if read.quantity.value <= 0.0:
        raise EntryError.of(
            entry.id, f"reading {read.text!r}: a drop must be above 0 V; are the two clips changed over?"
        )
    return read.quantity


def _as_warm_as_it_may_be(finding: Finding, read_at: float, warm: float, bench: BenchEvidence) -> Finding:
    """Leave open what hotter or cooler conductors than supposed would undo; none in use is cooler than it was read."""
    assert finding.quantity is not None, "judged findings have a quantity"
    assert finding.limit is not None, "and a limit"
    more, less = more_if_hot(warm, bench.book), less_if_cool(warm, bench.book, coolest=max(COOLEST_IN_USE, read_at))
    undone = undone_by(finding.quantity, needed(finding.limit, "maximum"), warmer=more, cooler=less)
    if undone is Open.NOTHING:
        return finding
    why = IF_HOTTER.format(percent=100.0 * more) if undone is Open.HIGHER else IF_COOLER.format(percent=100.0 * less)
    return replace(finding, outcome=Outcome.UNDECIDED, probability=None, remarks=(*finding.remarks, why))


def _percent(bench: BenchEvidence, drop: Quantity, current: Quantity, rated: float) -> Quantity:
    given: dict[str, Quantity | float] = {
        "drop": drop,
        "current": current,
        "rated": rated,
        "nominal": supply_voltage(bench.book),
    }
    return propagate(_scaled, given, "%")


def _scaled(*, drop: float, current: float, rated: float, nominal: float) -> float:
    return 100.0 * drop / current * rated / nominal


def _read_statement(finding: Finding, limit: Limit, rated: float, *, asked: bool) -> str:
    assert finding.quantity is not None, "judged findings have a quantity"
    where = {
        Outcome.WITHIN: "less than",
        Outcome.BEYOND: "more than",
    }.get(finding.outcome, "too close to say, or not known well enough, beside")
    if asked:
        where = "nothing is placed while a value is in question, beside"
    return (
        f"By the drop as read, taken up to {rated:g} A, the lead takes {format_figure(finding.quantity)} of the "
        f"nominal voltage: {where} the {limit.maximum:g} % that a whole installation may take."
    )


def _warm(warmth: Quantity | None, warm: float, finding: Finding) -> tuple[str, ...]:
    if warmth is None:
        return finding.remarks or (NOT_WARM.format(warm=warm),)
    if warmth.value < warm:
        return (f"Read with the conductors at {warmth.value:g} °C and taken up to {warm:g} °C.", *finding.remarks)
    return (f"Read with the conductors at {warmth.value:g} °C.", *finding.remarks)


IF_HOTTER = "Nobody measured how warm they are in use: the hottest that tables know take {percent:.0f} % of it more."

IF_COOLER = "Nobody measured how warm they are in use: hardly warmer than a room they take {percent:.0f} % of it less."

NOT_WARM = (
    "How warm the conductors were is not stated; at the rated current they may reach {warm:g} °C and take more: it is "
    "a lower end."
)

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
                "Read line and neutral from end to end as for the size of the conductors, at the pins if they can be "
                "reached: then the joints are in it, as they are in use."
            ),
            (
                "Where only a part of the cable lies between the taps, state the length of the whole cable with the "
                "earth resistance: the drop is taken up to it. What was not read is named and allowed for."
            ),
            (
                "For the whole path, record the voltage at the socket without and with a load of known current, in "
                "turn, three times; or log voltage and current there for some days."
            ),
        ),
        hold_points=("No load on a lead whose earth is open or whose plug or joints were seen to be hot.",),
        transfers="Holds for this lead; the supply is that of the bench.",
    ),
    limits=("drop-limit.public.other", "supply.tolerance", "supply.voltage", "joint.contact"),
    run=run,
    bears=(),
    applies=always,
)

"""Electric strength: whether insulation held its test voltage, by somebody trained and with the right tester."""

from __future__ import annotations

import math
from dataclasses import replace

from coldpin.checks.cautions import COMPETENT, DEAD_CAUTIONS, HIGH_TEST, STAYS_CHARGED
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.distance_demands import THREE_LINES
from coldpin.checks.distance_voltage import is_between_lines, rated_voltage
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, told_time, worst_entry
from coldpin.checks.readings import condition
from coldpin.errors import EntryError
from coldpin.insulation.dimensioning import line_to_neutral
from coldpin.quantity import Quantity, format_value
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.records.insulation_words import (
    ARRESTER,
    DIRECT,
    LIMITED,
    RESISTORS,
    STRENGTH,
    STRENGTH_EARTH,
    STRENGTH_PILOT,
    STRENGTH_SURFACE,
    STRESSED,
    VARISTOR,
    Y_CAPACITOR,
)
from coldpin.records.plan import Stage
from coldpin.records.required_distances import SupplySystem
from coldpin.standards.electric_strength import StrengthTest, strength_test
from coldpin.standards.table import needed

CHECK_ID = "electric-strength"
NAMES = {STRENGTH_PILOT: "pilot", STRENGTH_SURFACE: "housing", STRENGTH_EARTH: "earth"}
FUNCTIONS = {STRENGTH_PILOT: ("pilot-separation",), STRENGTH_SURFACE: ("touch-protection",), STRENGTH_EARTH: ()}
LIMITS_IT = (VARISTOR, ARRESTER, RESISTORS)


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge each insulation that was tested; a test without the right tester is not accepted.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one answer.

    Returns
    -------
    tuple of Finding
        One for each insulation.

    Raises
    ------
    CaseError
        The claimed voltage cannot be read.
    EntryError
        An entry does not say between what it was tested, or a condition cannot be read.
    InputError
        An own value of the case leaves a number out.
    OutsideRange
        The claimed voltage is above the tables.
    """
    entries = bench.showing(STRENGTH)
    for entry in entries:
        if entry.conditions.get("between", "") not in STRESSED:
            raise EntryError.of(entry.id, f"between what is missing: state 'between', as '{STRENGTH_PILOT}'")
    found = []
    for between in STRESSED:
        there = [entry for entry in entries if entry.conditions["between"] == between]
        if there:
            found.append(worst_entry(_judge_one(bench, entry) for entry in there))
    return tuple(found)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    between = entry.conditions["between"]
    test = strength_test(bench.book, reinforced=between != STRENGTH_EARTH, nominal=_from_line_to_neutral(bench))
    limit = test.direct if entry.conditions.get("kind") == DIRECT else test.alternating
    finding = Finding(
        id=f"{CHECK_ID}.{NAMES[between]}",
        check=CHECK_ID,
        title=f"Electric strength, {between}",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=FUNCTIONS[between],
        answer=entry.answer,
        limit=limit,
        evidence=(entry.id,),
        remarks=tuple(filter(None, (test.trap,))),
    )
    if entry.conditions.get("tester") != LIMITED:
        said = "The tester is not stated to limit its current and to be interlocked: such a test is not accepted."
        return replace(finding, outcome=Outcome.NOT_TESTED, statement=said)
    volts = condition(entry, "test voltage", "V")
    told = "at a voltage that is not stated" if volts is None else f"{format_value(volts.value, 'V')}"
    beside = f"asked for is {as_known(limit)}"
    if entry.answer == "yes":
        doubts = _doubts(entry, volts, test, limit)
        if doubts:
            said = f"The insulation from {between} held {told}, which shows little: {'; '.join(doubts)}; {beside}."
            return replace(finding, statement=said)
        said = f"The insulation from {between} held {told} for {told_time(test.duration)} and more; {beside}."
        return replace(finding, outcome=Outcome.WITHIN, statement=said)
    if entry.answer == "no":
        return _gave_way(finding, entry, volts, test, f"The insulation from {between} gave way: {told}; {beside}.")
    return replace(finding, statement="Whoever tested it could not tell whether it held.")


def _from_line_to_neutral(bench: BenchEvidence) -> float:
    """Return the highest voltage to neutral that is claimed, no less than that of the supply. [V]"""
    rated = rated_voltage(bench)
    of_lines = bench.case.unit.phases == THREE_LINES and is_between_lines(bench, rated)
    return line_to_neutral(rated, SupplySystem.THREE_PHASE if of_lines else SupplySystem.LINE_TO_NEUTRAL)


def _doubts(entry: Entry, volts: Quantity | None, test: StrengthTest, limit: Limit) -> list[str]:
    doubts = []
    seconds = condition(entry, "duration", "s")
    if not entry.conditions.get("kind"):
        doubts.append("whether the voltage was alternating or direct is not stated")
    if volts is None or volts.value < needed(limit, "minimum"):
        doubts.append("the voltage was not the full one")
    if seconds is None or seconds.value < test.duration:
        doubts.append(f"it was not held for {told_time(test.duration)}")
    return doubts


def _gave_way(finding: Finding, entry: Entry, volts: Quantity | None, test: StrengthTest, said: str) -> Finding:
    """Tell a breakdown; what a part in the path does by design, or a higher voltage than asked, is none of it."""
    path = entry.conditions.get("in the path", "")
    limit = finding.limit
    assert limit is not None, "a strength test has a voltage"
    if path in LIMITS_IT:
        return replace(
            finding, statement=f"{said} A {path.removesuffix('s')} in the path conducts by design: take it out."
        )
    if not path:
        return replace(finding, statement=f"{said} Whether a varistor or an arrester lay in the path is not stated.")
    if path == Y_CAPACITOR and entry.conditions.get("kind") != DIRECT:
        return replace(finding, statement=f"{said} A Y capacitor in the path may have tripped the tester: use d.c.")
    if volts is None or volts.value > needed(limit, "minimum") or not entry.conditions.get("kind"):
        return replace(finding, statement=f"{said} That it would have given way at the voltage asked for is not shown.")
    held = test.gap_holds * (math.sqrt(2.0) if entry.conditions["kind"] == DIRECT else 1.0)
    if volts.value > held:
        return replace(finding, statement=f"{said} {test.trap}", remarks=())
    return replace(finding, outcome=Outcome.BEYOND, statement=said)


CHECK = Check(
    id=CHECK_ID,
    title="Electric strength",
    question="Did somebody trained, with the right tester, see the insulation hold its test voltage?",
    needs=(Need(shows=STRENGTH),),
    bench=Procedure(
        level=Level.DESTRUCTIVE,
        stage=Stage.DESTRUCTIVE,
        instrument="electric strength tester that limits its current and is interlocked with a cover",
        minutes=30,
        cautions=(COMPETENT, *DEAD_CAUTIONS, HIGH_TEST, STAYS_CHARGED),
        steps=(
            "Last of all tests, on a specimen that will never charge again. No vehicle, no simulator, no scope.",
            (
                "Take varistors and arresters out of the path. Where a Y capacitor stays, use a direct voltage of the "
                "same peak: an alternating one drives milliamperes through it and trips the tester."
            ),
            "All power pins of plug and connector joined, against pilot and earth joined, or against foil on the box.",
            "Raise the voltage in some ten seconds, hold it for a minute, lower it; let the tester discharge it.",
            "Read the insulation resistance again at 500 V.",
        ),
        hold_points=(
            "Without such a tester and training: not tested.",
            "Insulation resistance was read and is within its limit.",
        ),
        stop_values=("The tester trips, or anything is heard or seen: stop, discharge, note voltage and current.",),
        repeats=1,
        transfers="Holds for this specimen.",
    ),
    limits=("electric-strength.duration", "temporary-overvoltage."),
    run=run,
    bears=(
        Bearing(function="pilot-separation", within_if_works=0.97, within_if_not=0.5),
        Bearing(function="touch-protection", within_if_works=0.97, within_if_not=0.5),
    ),
    applies=always,
)

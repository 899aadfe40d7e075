"""Resistance of the protective conductor from plug to connector."""

from __future__ import annotations

import math
from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.checks.marked_size import marked_size
from coldpin.checks.readings import Side, claimed, condition, highest, mean, readings
from coldpin.errors import EntryError
from coldpin.quantity import Quantity, format_value
from coldpin.records.case import Build
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach
from coldpin.standards.conductors import resistance_limit
from coldpin.standards.table import needed

NEED = Need(shows="earth resistance")
JUMPED = "One of the repeats is told: a joint that lets go as the cable is moved is not averaged away."


def limit_for_cord(bench: BenchEvidence, entry: Entry) -> Limit:
    """Return the largest resistance for the cable: the published one of thin cords, else reckoned from the conductor.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants and the claims of the case.
    entry : Entry
        The reading; its condition "length" [m] may be absent, then it counts as a short thin cord.

    Returns
    -------
    Limit
        In ohm.

    Raises
    ------
    EntryError
        The length cannot be read.
    CaseError
        The claimed size cannot be read.
    """
    length, marked = condition(entry, "length", "m"), marked_size(bench)
    if length is None:
        return bench.book.limit("earth.in-service")
    if not length.value > 0.0:
        raise EntryError.of(entry.id, f"the length of the cable is {length.value:g} m; it must be above 0")
    if marked is not None and marked.size_mm2 > bench.book.row("earth.in-service").number("cross_section"):
        return _reckoned(bench, length.value, marked.size_mm2)
    return _published(bench, length.value)


def _published(bench: BenchEvidence, length: float) -> Limit:
    """Return the limit of a thin cord, with the published allowance for a longer one."""
    short = bench.book.limit("earth.in-service")
    extra = bench.book.limit("earth.in-service.extra")
    ceiling = bench.book.limit("earth.in-service.ceiling")
    free_length = bench.book.row("earth.in-service").number("length")
    step = bench.book.row("earth.in-service.extra").number("length_step")
    steps = max(0, math.ceil((length - free_length) / step))
    if not steps:
        return short
    most, each = needed(short, "maximum"), needed(extra, "maximum")
    return replace(
        short,
        maximum=min(most + steps * each, needed(ceiling, "maximum")),
        note=f"{most:g} Ω and {steps} times {each:g} Ω for {length:g} m of cable",
    )


def _reckoned(bench: BenchEvidence, length: float, size_mm2: float) -> Limit:
    """Return what the conductor of a thicker cord may have at 20 °C, tinned or not, and what is allowed beside it."""
    conductor = resistance_limit(bench.book, coating="tinned", cross_section_mm2=size_mm2)
    beside = bench.book.limit("earth.routine.without-cord")
    along = needed(conductor, "maximum") * length / 1000.0
    return replace(
        bench.book.limit("earth.in-service"),
        title=f"protective conductor of {length:g} m and {size_mm2:g} mm², reckoned from the conductor",
        source=f"{beside.source} and {conductor.source}",
        place=f"{beside.place}: the cord's own resistance on top",
        standing=beside.standing,
        read_in=(*beside.read_in, *conductor.read_in),
        maximum=round(along + needed(beside, "maximum"), 4),
        note=(
            f"{length:g} m of {needed(conductor, 'maximum'):g} Ω/km make {along:.4f} Ω, and "
            f"{needed(beside, 'maximum'):g} {beside.unit} are allowed for all that is not the cord. The limit of thin "
            "cords would hide a bad conductor."
        ),
        other="",
    )


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the mean of the repeats of each entry, or one of them that is beyond: the worst entry is told.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one reading of the earth resistance.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    EntryError
        A reading or the length cannot be read.
    """
    return (worst_entry(_judge_one(bench, entry) for entry in bench.matching(NEED)),)


def _judge_one(bench: BenchEvidence, entry: Entry) -> Finding:
    found = readings(bench, entry)
    bare = Finding(
        id="earth-resistance.value",
        check="earth-resistance",
        title="Resistance of the protective conductor",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=("protective-earth",),
        evidence=(entry.id,),
    )
    limit = limit_for_cord(bench, entry)
    if any(measured.side is Side.AT_LEAST for measured in found):
        return _beyond_range(bench, bare, mean(found).quantity, limit)
    remarks = (
        *(("The value is the mean of the repeats; all are in the entry.",) if len(found) > 1 else ()),
        *_of_thin_cords(bench, entry),
    )
    finding = judged(replace(bare, remarks=remarks, worst_of=1), mean(found).quantity, limit)
    if finding.outcome is not Outcome.BEYOND and len(found) > 1:
        alone = judged(replace(bare, remarks=(JUMPED,), worst_of=len(found)), highest(found).quantity, limit)
        finding = alone if alone.outcome is Outcome.BEYOND else finding
    return placed("The resistance of the protective conductor", finding)


def _beyond_range(bench: BenchEvidence, bare: Finding, edge: Quantity, limit: Limit) -> Finding:
    """Judge a meter that was beyond its range: open above what any cord may have, else as far as the range tells."""
    ceiling = needed(bench.book.limit("earth.in-service.ceiling"), "maximum")
    if edge.value >= ceiling:
        return replace(
            bare,
            statement="The meter was beyond its range: the earth is open or nearly so.",
            outcome=Outcome.BEYOND,
            answer="no",
            absence=True,
            decisive=True,
        )
    said = f"The meter was beyond its range of {format_value(edge.value, 'Ω')}"
    if edge.value > needed(limit, "maximum"):
        said = f"{said}, more than {format_value(needed(limit, 'maximum'), 'Ω')}: read it again in a wider range."
        return replace(bare, statement=said, outcome=Outcome.BEYOND, answer="no", limit=limit)
    return replace(bare, statement=f"{said}: that decides nothing, read it again in a wider one.", limit=limit)


def _of_thin_cords(bench: BenchEvidence, entry: Entry) -> tuple[str, ...]:
    """Say where the limit of thin cords was used and the cable may be none."""
    row = bench.book.row("earth.in-service")
    size, current = row.number("cross_section"), row.number("current")
    marked, rated = marked_size(bench), claimed(bench, "rated_current", "A")
    if marked is not None:
        if marked.size_mm2 <= size or condition(entry, "length", "m") is not None:
            return ()
        return (
            "The limit is that of a thin cord: state the length of the cable, and it is reckoned from the conductor.",
        )
    if bench.case.unit.build is not Build.FIXED and (rated is None or rated <= current):
        return ()
    said = (
        f"This limit is that of a cord of up to {size:g} mm² or {current:g} A; a thicker conductor has less, and a bad "
        "joint in it may hide below this limit. State the cross-section, and the limit is reckoned from it."
    )
    return (said,)


CHECK = Check(
    id="earth-resistance",
    title="Earth resistance",
    question="Is the protective conductor from plug to connector low enough in resistance?",
    needs=(NEED,),
    bench=Procedure(
        level=Level.DEAD,
        instrument="milliohm meter, four-wire; or a multimeter with its leads measured and taken off",
        minutes=5,
        cautions=DEAD_CAUTIONS,
        steps=(
            (
                "Clamp the current leads on the plug's earth pin and the connector's earth pin, the voltage leads "
                "inside of them."
            ),
            "Read three times, moving the cable at both entries between the readings; note the test current.",
            "Write down the length of the cable and the cross-section printed on it: a thick one may have less.",
        ),
        hold_points=("No power if the earth is open or the reading jumps when the cable is moved.",),
        repeats=3,
        transfers="Holds for this specimen as it is.",
    ),
    limits=(
        "earth.in-service",
        "earth.in-service.extra",
        "earth.in-service.ceiling",
        "earth.routine.without-cord",
        "conductor.class-5.tinned",
    ),
    run=run,
    bears=(Bearing(function="protective-earth", within_if_works=0.98, within_if_not=0.1),),
    applies=always,
)

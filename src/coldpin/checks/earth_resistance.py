"""Resistance of the protective conductor from plug to connector."""

from __future__ import annotations

import math
from dataclasses import replace

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, always
from coldpin.checks.evidence import BenchEvidence, Side, mean, readings
from coldpin.checks.judging import judged, placed, worst_entry
from coldpin.errors import EntryError, InputError
from coldpin.quantity import parse_quantity
from coldpin.records.case import Build
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Limit, Outcome, Reach

NEED = Need(shows="earth resistance")


def limit_for_length(bench: BenchEvidence, entry: Entry) -> Limit:
    """Return the largest resistance for the length of the cable, with the published allowance for a longer one.

    Parameters
    ----------
    bench : BenchEvidence
        With the book of constants.
    entry : Entry
        The reading; its condition "length" [m] may be absent, then no allowance is made.

    Returns
    -------
    Limit
        In ohm.

    Raises
    ------
    EntryError
        The length cannot be read.
    """
    short = bench.book.limit("earth.in-service")
    extra = bench.book.limit("earth.in-service.extra")
    ceiling = bench.book.limit("earth.in-service.ceiling")
    text = entry.conditions.get("length", "")
    if not text:
        return short
    try:
        length = parse_quantity(text, "m").value
    except InputError as error:
        raise EntryError.of(entry.id, f"condition 'length' = {text!r}: {error}") from error
    free_length = bench.book.row("earth.in-service").number("length")
    step = bench.book.row("earth.in-service.extra").number("length_step")
    assert short.maximum is not None
    assert extra.maximum is not None
    assert ceiling.maximum is not None
    steps = max(0, math.ceil((length - free_length) / step))
    if not steps:
        return short
    return replace(
        short,
        maximum=min(short.maximum + steps * extra.maximum, ceiling.maximum),
        note=f"{short.maximum:g} Ω and {steps} times {extra.maximum:g} Ω for {length:g} m of cable",
    )


def run(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the mean of the repeats of each entry against the limit for its length: the worst entry is told.

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
    if any(measured.side is Side.AT_LEAST for measured in found):
        return replace(
            bare,
            statement="The meter was beyond its range: the earth is open or nearly so.",
            outcome=Outcome.BEYOND,
            answer="no",
            absence=True,
            decisive=True,
        )
    limit = limit_for_length(bench, entry)
    remarks = (
        *(("The value is the mean of the repeats; all are in the entry.",) if len(found) > 1 else ()),
        *((_OF_PORTABLE,) if bench.case.unit.build is Build.FIXED else ()),
    )
    finding = judged(replace(bare, remarks=remarks, worst_of=1), mean(found).quantity, limit)
    return placed("The resistance of the protective conductor", finding)


_OF_PORTABLE = (
    "This limit is that of portable equipment with a thin cord; the conductor of a fixed unit is thicker, and a bad "
    "joint in it may hide below this limit. Compare with the resistance of the conductor itself."
)

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
            "Write down the length of the cable.",
        ),
        hold_points=("No power if the earth is open or the reading jumps when the cable is moved.",),
        repeats=3,
        transfers="Holds for this specimen as it is.",
    ),
    limits=("earth.in-service", "earth.in-service.extra", "earth.in-service.ceiling"),
    run=run,
    bears=(Bearing(function="protective-earth", within_if_works=0.98, within_if_not=0.1),),
    applies=always,
)

"""Coding of the cable: the current its resistor stands for, against what is offered and what is printed on it."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import replace
from itertools import chain

from coldpin.checks.cautions import DEAD_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, judged, worst_entry
from coldpin.checks.offered_current import declared_limit, place_offer
from coldpin.checks.readings import Side, mean, readings
from coldpin.pilot.proximity import read_proximity, told_as
from coldpin.records.case import UnitClass
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.proximity import ProximityMeaning, ProximityReading


def run_coding(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Read the cable's coding and place the offer against it; of several readings the worst is told.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the coding resistance; a decoded capture makes the second finding.

    Returns
    -------
    tuple of Finding
        The coding, and the offer against it where both are known.

    Raises
    ------
    CaseError
        A reading cannot be read.
    """
    judged_each = [_judge_coding(bench, entry) for entry in bench.matching(CODING)]
    by_id: defaultdict[str, list[Finding]] = defaultdict(list)
    for finding in chain.from_iterable(judged_each):
        by_id[finding.id].append(finding)
    return tuple(worst_entry(findings) for findings in by_id.values())


def _judge_coding(bench: BenchEvidence, entry: Entry) -> tuple[Finding, ...]:
    told = told_coding(bench, entry)
    resistance = told.resistance
    zone = told.zones[0]
    bare = Finding(
        id="coding.band",
        check="coding",
        title="Coding of the cable",
        statement=told.statement,
        outcome=Outcome.BEYOND,
        reach=Reach.SPECIMEN,
        functions=("current-offer",),
        quantity=None if told.at_least else resistance,
        evidence=(entry.id,),
        remarks=_older_reading(told),
    )
    if told.at_least or zone.band is None or zone.coded_current_a is None:
        undecided = told.meaning is ProximityMeaning.UNDECIDED
        return (replace(bare, outcome=Outcome.UNDECIDED if undecided else Outcome.BEYOND),)
    finding = judged(bare, resistance, zone.band)
    if not bench.captures:
        return (finding,)
    return (finding, _against_coding(bench, told, entry.id))


def told_coding(bench: BenchEvidence, entry: Entry) -> ProximityReading:
    """Read what the coding says, on whichever side of a reading it lies.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    entry : Entry
        A reading of the coding resistance.

    Returns
    -------
    ProximityReading
        What it stands for.

    Raises
    ------
    EntryError
        A reading cannot be read.
    """
    measured, unit = mean(readings(bench, entry)), bench.case.unit
    return read_proximity(
        measured.quantity,
        bench.book,
        connector=unit.connector,
        phases=unit.phases,
        at_least=measured.side is Side.AT_LEAST,
    )


def _against_coding(bench: BenchEvidence, told: ProximityReading, entry: str) -> Finding:
    """Place the offer against every current that the coding may stand for."""
    coded = sorted(
        (zone for zone in told.zones if zone.coded_current_a is not None), key=lambda zone: zone.coded_current_a or 0.0
    )
    offers = []
    for zone in coded:
        limit = replace(
            zone.band or zone.limits[0],
            title="current of the coding",
            unit="A",
            minimum=None,
            nominal=None,
            maximum=zone.coded_current_a,
        )
        offer = place_offer(bench, "coding", "Offer against the coding", limit, entry)
        offers.append(replace(offer, id="coding.offer"))
    if len({offer.outcome for offer in offers}) == 1:
        return offers[0]
    between = " or ".join(told_as(zone) for zone in coded)
    statement = f"The coding may stand for {between}: what is offered is above one of them and not above the other."
    return replace(offers[0], outcome=Outcome.UNDECIDED, statement=statement)


def _older_reading(told: ProximityReading) -> tuple[str, ...]:
    """Say what an older text makes of a resistance where it differs."""
    if told.other is None or told.other.agrees or told.meaning is ProximityMeaning.UNDECIDED:
        return ()
    by_older = " or ".join(told_as(zone) for zone in told.other.zones)
    return (f"By the older edges of {told.other.zones[0].limits[0].source} it stands for {by_older}.",)


def _coded(unit: UnitClass) -> str:
    if "1" in unit.connector:
        return "a type 1 connector carries no coding of the current"
    return with_pilot(unit)


CODING = Need(shows="coding resistance")

PRINTED = re.compile(r"(?<![\w.,])(\d+(?:[.,]\d+)?)\s*A\b")
"""A current as a cable's print has it: "16 A", "32A"."""


def run_print(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Place the current of the coding against the one printed on the cable; of several readings the worst is told.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the coding resistance and the cable's print.

    Returns
    -------
    tuple of Finding
        One finding, undecided where the coding cannot be told; none where the print names no current.

    Raises
    ------
    CaseError
        A reading cannot be read.
    """
    named = PRINTED.search(bench.claim("cable_print"))
    if named is None:
        return ()
    most = float(named[1].replace(",", "."))
    return (worst_entry(_judge_print(bench, entry, most) for entry in bench.matching(CODING)),)


def _judge_print(bench: BenchEvidence, entry: Entry, most: float) -> Finding:
    told = told_coding(bench, entry)
    coded = told.zones[0].coded_current_a
    bare = Finding(
        id="coding-print.current",
        check="coding-print",
        title="Coding against the cable's print",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(),
        answer="cannot tell",
        evidence=(entry.id,),
    )
    if coded is None or told.meaning is ProximityMeaning.UNDECIDED:
        return replace(bare, statement=f"Which current the coding stands for cannot be told: {told.statement}")
    limit = declared_limit("current printed on the cable", most, "the print on the cable")
    over = coded > most
    said = f"The coding stands for {coded:g} A; {as_known(limit)} is the cable's own print."
    return replace(
        bare,
        functions=("current-offer",),
        limit=limit,
        outcome=Outcome.BEYOND if over else Outcome.WITHIN,
        answer=f"{coded:g} A coded",
        statement=f"{said} A vehicle may draw more than the cable is made for." if over else said,
    )


CODED = Check(
    id="coding",
    title="Coding of the cable",
    question="Which current does the cable's coding resistor stand for, and is more offered?",
    needs=(CODING,),
    bench=Procedure(
        level=Level.DEAD,
        instrument="multimeter, resistance range",
        minutes=3,
        cautions=DEAD_CAUTIONS,
        steps=(
            (
                "With everything unplugged, measure from the proximity pin to earth: in the connector of an attached "
                "cable, in the plug of a loose one."
            ),
            "Write down three readings.",
        ),
        repeats=3,
        transfers="Holds for this specimen.",
    ),
    limits=("coding",),
    run=run_coding,
    bears=(Bearing(function="current-offer", within_if_works=0.98, within_if_not=0.7),),
    applies=_coded,
)
CODING_PRINT = replace(
    CODED,
    id="coding-print",
    title="Coding against the cable's print",
    question="Does the coding stand for more current than the cable's own print names?",
    needs=(CODING, Need(claim="cable_print")),
    run=run_print,
    bears=(Bearing(function="current-offer", within_if_works=0.98, within_if_not=0.8),),
)

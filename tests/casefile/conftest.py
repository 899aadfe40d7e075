"""A bench at Brackwater Boatyard: a case for one of the three donated leads, and entries to put into it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from coldpin.casefile import Case, create_case, new_entry
from coldpin.quantity import Quantity
from coldpin.records.assessment import Assessment, Basis, Conclusion, NotTested, Sentence
from coldpin.records.case import (
    CASE_FORMAT,
    Build,
    Cable,
    CaseDescription,
    Claims,
    Electronics,
    Specimen,
    UnitClass,
)
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding, Limit, Outcome, Reach, Standing
from coldpin.records.function import FunctionState, ProtectiveFunction

NOW = datetime(2026, 3, 14, 9, 5, 1, 250_000, tzinfo=UTC)


@pytest.fixture
def now() -> datetime:
    return NOW


@pytest.fixture
def description() -> CaseDescription:
    return CaseDescription(
        format=CASE_FORMAT,
        title="Skerrow 16",
        specimen=Specimen(make="Skerrow", model="16", seller="quayside stall"),
        unit=UnitClass(charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED, electronics=Electronics.IN_CABLE),
        claims=Claims(plug="schuko", rated_current="16 A", words=("waterproof",)),
        tester="boatyard volunteers",
    )


@pytest.fixture
def case(tmp_path: Path, description: CaseDescription) -> Case:
    return create_case(tmp_path / "skerrow-16", description)


@pytest.fixture
def make() -> Callable[..., Entry]:
    """Make an earth resistance reading, or whatever the keywords say instead."""

    def entry(*readings: str, **other: Any) -> Entry:
        given: dict[str, Any] = {"kind": EntryKind.READING, "shows": "earth resistance", "who": "Ada", "made": NOW}
        given |= {"recorded": NOW, "readings": readings} | other
        return new_entry(given.pop("kind"), given.pop("shows"), given.pop("who"), given.pop("made"), **given)

    return entry


@pytest.fixture
def correct(make: Callable[..., Entry]) -> Callable[..., Entry]:
    """Make a correction of an entry."""

    def entry(replaced: Entry, *readings: str, **other: Any) -> Entry:
        given = {"kind": EntryKind.CORRECTION, "replaces": replaced.id, "reason": "misread the scale"}
        return make(*readings, **(given | other))

    return entry


@pytest.fixture
def assessment(description: CaseDescription) -> Assessment:
    return Assessment(
        schema="coldpin.assessment/1",
        program_version="0.1.0",
        title="Skerrow 16",
        assessed_on="2026-03-14",
        case=description,
        edition="iec-3",
        conclusion=Conclusion(
            headline=Sentence(text="Nothing was found against it in these tests.", basis=Basis.INFERRED),
            may_say=(Sentence(text="The earth conductor was measured.", basis=Basis.MEASURED, findings=("earth",)),),
            may_not_say=("That it was tested on a vehicle.",),
            decisive=(),
            done_well=(),
        ),
        functions=(
            ProtectiveFunction(
                id="earth continuity",
                title="Earth continuity",
                question="Does a fault current find its way?",
                state=FunctionState.SHOWN,
                reach=Reach.SPECIMEN,
                findings=("earth",),
                because="The resistance is low.",
            ),
        ),
        findings=(
            Finding(
                id="earth",
                check="earth resistance",
                title="Resistance of the earth conductor",
                statement="The earth conductor was measured at 0.123 Ω.",
                outcome=Outcome.WITHIN,
                reach=Reach.SPECIMEN,
                functions=("earth continuity",),
                quantity=Quantity(0.123, 0.002, "Ω"),
                limit=Limit(
                    id="earth", title="limit", unit="Ω", maximum=0.5, source="the tester", standing=Standing.MEMORY
                ),
            ),
        ),
        not_tested=(NotTested(check="offer", title="Offer against plug", why="no capture", needs=("pilot capture",)),),
        pilot=(),
        entries=(),
        instruments=(),
        methods=(),
        limits=(),
        scenarios=(),
        conditions_of_use=(),
        cautions=(),
        limits_of_the_work=(),
        problems=(),
    )

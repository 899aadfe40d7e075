"""Specimens of one model for the tests: assessments made by hand from findings, without a bench."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from coldpin.conclusion import conclude, judge_functions
from coldpin.conclusion.together import CaseAssessed, Stated, conclude_specimens
from coldpin.conclusion.use_telling import UNADVISED
from coldpin.records.assessment import Assessment
from coldpin.records.case import CASE_FORMAT, CaseDescription, Claims, Specimen, UnitClass
from coldpin.records.claim import ClaimState, JudgedClaim
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding
from coldpin.records.instrument import Instrument
from coldpin.records.together import Together
from coldpin.records.use import UseAnswer, UseJudgement
from coldpin.standards.book import load_book
from tests.checks.bench import PORTABLE


def assessed(
    name: str,
    findings: Iterable[Finding] = (),
    *,
    make: str = "Pellwick",
    model: str = "20",
    serial: str = "",
    batch: str = "",
    seller: str = "",
    bought: str = "",
    claims: Claims = Claims(rated_current="20 A", rated_voltage="230 V"),  # noqa: B008 - a frozen record
    unit: UnitClass = PORTABLE,
    answers: dict[str, UseAnswer] | None = None,
    said: dict[str, ClaimState] | None = None,
    entries: Sequence[Entry] = (),
    instruments: Sequence[Instrument] = (),
) -> CaseAssessed:
    """One specimen in a case of its own, with functions and conclusion as they follow from its findings."""
    found = tuple(findings)
    case = CaseDescription(
        format=CASE_FORMAT,
        title=f"{make} {model}",
        specimen=Specimen(make=make, model=model, serial=serial, batch=batch, seller=seller),
        unit=unit,
        claims=claims,
    )
    functions = judge_functions(unit, found)
    purchase = Entry(
        id=f"{name}-purchase",
        kind=EntryKind.OBSERVATION,
        shows="purchase",
        made=f"{bought}T12:00:00+00:00",
        recorded=f"{bought}T12:00:00+00:00",
        who="Ines",
    )
    return CaseAssessed(
        name=name,
        assessment=Assessment(
            schema="coldpin.assessment/1",
            program_version="0",
            title=case.title,
            assessed_on="2026-06-01",
            case=case,
            edition="iec-3",
            conclusion=conclude(case, found, functions, ()),
            functions=functions,
            findings=found,
            not_tested=(),
            pilot=(),
            entries=(*((purchase,) if bought else ()), *entries),
            instruments=tuple((one.name, one) for one in instruments),
            methods=(),
            limits=(),
            scenarios=(),
            conditions_of_use=tuple(
                UseJudgement(
                    name=use,
                    answer=answer,
                    because=f"Because of {name}.",
                    largest_current_a=None if answer in UNADVISED else 10.0,
                    bound_a=10.0,
                )
                for use, answer in (answers or {}).items()
            ),
            cautions=(),
            limits_of_the_work=(),
            problems=(),
            claims=tuple(
                JudgedClaim(id=f"c{n}", title="Claim", said=words, where="", state=state, because=f"As {name} shows.")
                for n, (words, state) in enumerate((said or {}).items())
            ),
        ),
    )


def together(*cases: CaseAssessed, **stated: str) -> Together:
    """Conclude them together."""
    return conclude_specimens(cases, load_book(), program_version="0", stated=Stated(**stated))


def renamed(case: CaseAssessed, name: str) -> CaseAssessed:
    """The same specimen under another name, with entries of its own."""
    entries = tuple(replace(entry, id=f"{name}-{entry.id}") for entry in case.assessment.entries)
    return CaseAssessed(name=name, assessment=replace(case.assessment, entries=entries))

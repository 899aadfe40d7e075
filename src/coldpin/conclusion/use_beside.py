"""Findings on which no function hangs, such as a loose cord: what they say of a use."""

from __future__ import annotations

from collections.abc import Iterable

from coldpin.conclusion.statement import beside_functions
from coldpin.conclusion.use_grounds import Taken, UseGrounds
from coldpin.records.finding import Finding, Outcome
from coldpin.records.use import UseAnswer, UseReason
from coldpin.standards.findings_in_use import FindingInUse

NOT_PLACED = "Where that matters in use is not known to us."


def beside(grounds: UseGrounds, taken: Taken) -> Iterable[UseReason]:
    """Say which findings without a function speak against a use or leave it open.

    Parameters
    ----------
    grounds : UseGrounds
        What every use of the specimen is judged by.
    taken : Taken
        The use, with measures.

    Yields
    ------
    UseReason
        One for each finding that is beyond and bears there. One that the table does not name, as of a check from
        elsewhere, leaves every use open.
    """
    rows = {row.of: row for row in grounds.beside}
    for finding in grounds.findings:
        if finding.outcome is not Outcome.BEYOND or not finding.transfers:
            continue
        row = rows.get(finding.id, None if finding.functions else rows.get(finding.check))
        if row is None:
            if beside_functions(finding) and not finding.decisive:
                yield _reason(finding, UseAnswer.CANNOT_JUDGE, NOT_PLACED)
        elif row.answer is not None and _bears(row, grounds, taken):
            yield _reason(finding, row.answer, row.says, row.limit.id)


def _bears(row: FindingInUse, grounds: UseGrounds, taken: Taken) -> bool:
    if row.settled_by and all(map(grounds.shown, row.settled_by)):
        return False
    return not row.when or any(map(taken.hold, row.when))


def _reason(finding: Finding, answer: UseAnswer, says: str, *rows: str) -> UseReason:
    return UseReason(
        text=f"{finding.plain or finding.statement} {says}", answer=answer, findings=(finding.id,), limits=rows
    )

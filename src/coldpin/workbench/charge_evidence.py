"""The charges of a case as its logs show them, gathered for the report.

The checks judge what is asked of a charge; here the same readings are told whole, each with what its figure shows.
"""

from __future__ import annotations

from collections.abc import Sequence

from coldpin.checks import BenchEvidence
from coldpin.checks.charging_logs import Charge, charges
from coldpin.records.charge import ChargeEvidence
from coldpin.session.trace import trace_of
from coldpin.workbench.cable_evidence import usable
from coldpin.workbench.log_evidence import FiledLog


def charge_evidence(bench: BenchEvidence, logs: Sequence[FiledLog]) -> tuple[ChargeEvidence, ...]:
    """Return the charges of a case.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    logs : sequence of FiledLog
        Its logs.

    Returns
    -------
    tuple of ChargeEvidence
        In the order in which they were filed; one that cannot be used was told by its check.
    """
    filed = {log.evidence.entry.id: log for log in logs}
    return tuple(_told(charge, filed[charge.entry.id]) for charge in usable(bench, charges))


def _told(charge: Charge, log: FiledLog) -> ChargeEvidence:
    evidence = charge.entry.evidence
    assert evidence is not None, "a log that was read names its file"
    return ChargeEvidence(
        entry=charge.entry.id,
        file=evidence.file,
        sha256=evidence.sha256,
        conditions=tuple(sorted(charge.entry.conditions.items())),
        dialect=log.dialect,
        reading=charge.reading,
        trace=trace_of(log.evidence.log),
        remarks=tuple(dict.fromkeys((*log.evidence.log.remarks, *charge.remarks))),
    )

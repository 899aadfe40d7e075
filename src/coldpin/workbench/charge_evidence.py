"""The charges of a case as its logs show them, gathered for the report.

The checks judge what is asked of a charge; here the same readings are told whole, each with what its figure shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from coldpin.checks import BenchEvidence
from coldpin.checks.charging_logs import Charge, charges
from coldpin.checks.standby_power import WORD as STANDBY
from coldpin.checks.standby_power import standby_told
from coldpin.records.charge import ChargeEvidence, StandbyEvidence
from coldpin.records.entry import Entry
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


def standby_evidence(bench: BenchEvidence) -> tuple[StandbyEvidence, ...]:
    """Return what the idle unit of a case drew, entry by entry.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.

    Returns
    -------
    tuple of StandbyEvidence
        In the order of their entries; one that is refused was told by its check.
    """
    return tuple(one for entry in bench.showing(STANDBY) for one in usable(bench, partial(_idle, entry)))


def _idle(entry: Entry, bench: BenchEvidence) -> tuple[StandbyEvidence, ...]:
    if entry not in bench.entries:
        return ()
    meter = bench.instruments.get(entry.instrument)
    return (
        StandbyEvidence(
            entry=entry.id,
            instrument=entry.instrument,
            accuracy="" if meter is None else meter.statements.get("power", ""),
            from_power=entry.conditions.get("accuracy from power", ""),
            from_power_factor=entry.conditions.get("accuracy from power factor", ""),
            reading=standby_told(bench, entry),
        ),
    )


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

"""What the readings of a case say of its cable, gathered for the report.

The checks judge; here the same records are asked for whole, so that the report can show more than the worst of them.
An entry that cannot be used was told by its check and is left out here.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TypeVar

from coldpin.checks import BenchEvidence
from coldpin.checks.conductor_evidence import INSIDE, PINS, as_tapped, conductor_reading, tapped_entries
from coldpin.checks.conductor_joints import joints_taken_apart
from coldpin.checks.conductor_metal import cores_told
from coldpin.checks.current_path import path_of
from coldpin.checks.heating_evidence import ACCESSORIES, HeatedInUse, heated_parts
from coldpin.checks.hot_plug import beside_cable
from coldpin.checks.lead_map import lead_map
from coldpin.checks.supply_path import end_to_end
from coldpin.errors import EntryError, InputError
from coldpin.records.cable import CableEvidence, ConductorEvidence, CoreEvidence, HeatingEvidence, JointsEvidence
from coldpin.records.current_map import CurrentChart
from coldpin.records.current_path import CurrentPath
from coldpin.records.fault import EndToEnd
from coldpin.records.heating import HeatedPart
from coldpin.workbench.log_evidence import FiledLog

Found = TypeVar("Found")


def cable_evidence(bench: BenchEvidence, logs: Sequence[FiledLog] = ()) -> CableEvidence:
    """Return what was found out about the cable of a lead.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence of the case.
    logs : sequence of FiledLog
        Its logs with how they were read.

    Returns
    -------
    CableEvidence
        Empty where nothing was recorded of it.
    """
    return CableEvidence(
        conductors=_conductors(bench),
        joints=usable(bench, _joints),
        cores=usable(bench, _cores),
        heating=usable(bench, lambda spared: _heated(spared, logs)),
        path=next(iter(usable(bench, _path)), None),
        heat=next(iter(usable(bench, _heat)), None),
        end_to_end=next(iter(usable(bench, _end_to_end)), None),
    )


def usable(bench: BenchEvidence, make: Callable[[BenchEvidence], tuple[Found, ...]]) -> tuple[Found, ...]:
    """Return what a part of the evidence gives, without the entries that cannot be used.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    make : callable
        From evidence to what is wanted.

    Returns
    -------
    tuple
        Nothing where it cannot be had for a reason that lies in no entry.
    """
    while True:
        try:
            return make(bench)
        except EntryError as error:
            if error.entry not in {entry.id for entry in bench.entries}:
                return ()
            bench = bench.without(error.entry)
        except InputError:
            return ()


def _conductors(bench: BenchEvidence) -> tuple[ConductorEvidence, ...]:
    found = []
    for entry in tapped_entries(bench):
        taps = entry.conditions.get("taps") or INSIDE
        if taps not in (INSIDE, PINS):
            continue
        try:
            reading = as_tapped(entry, conductor_reading(bench, entry))
        except InputError:
            continue
        found.append(
            ConductorEvidence(entry=entry.id, conductor=entry.conditions["conductor"], taps=taps, reading=reading)
        )
    return tuple(found)


def _heat(bench: BenchEvidence) -> tuple[CurrentChart, ...]:
    found = lead_map(bench)
    return () if found is None else (found,)


def _end_to_end(bench: BenchEvidence) -> tuple[EndToEnd, ...]:
    found = end_to_end(bench)
    return () if found is None else (found,)


def _cores(bench: BenchEvidence) -> tuple[CoreEvidence, ...]:
    found = []
    for core in cores_told(bench):
        size = core.estimate.size
        limit = None if size is None else bench.book.limit(size.limit)
        found.append(CoreEvidence(entries=core.entries, conductor=core.conductor, estimate=core.estimate, limit=limit))
    return tuple(found)


def _heated(bench: BenchEvidence, logs: Sequence[FiledLog]) -> tuple[HeatingEvidence, ...]:
    dialects = {log.evidence.entry.id: log for log in logs}
    every = heated_parts(bench, *HeatedPart)
    sheath = tuple(one for one in every if one.part is HeatedPart.SHEATH)
    found = []
    for heated in every:
        evidence = heated.entry.evidence
        if heated.told is None or evidence is None:
            continue
        log = dialects.get(heated.entry.id)
        found.append(
            HeatingEvidence(
                entry=heated.entry.id,
                file=evidence.file,
                sha256=evidence.sha256,
                conditions=tuple(sorted(heated.entry.conditions.items())),
                dialect=() if log is None else log.dialect,
                rise=heated.told,
                remarks=(*(() if log is None else log.evidence.log.remarks), *_of_joint(bench, heated, sheath)),
            )
        )
    return tuple(found)


def _of_joint(bench: BenchEvidence, heated: HeatedInUse, sheath: tuple[HeatedInUse, ...]) -> tuple[str, ...]:
    return beside_cable(bench, heated, sheath) if heated.part in ACCESSORIES else ()


def _path(bench: BenchEvidence) -> tuple[CurrentPath, ...]:
    path = path_of(bench)
    return () if path is None else (path,)


def _joints(bench: BenchEvidence) -> tuple[JointsEvidence, ...]:
    return tuple(
        JointsEvidence(
            entries=tuple(tapped.entry.id for tapped in joined.found), conductor=joined.conductor, apart=joined.apart
        )
        for joined in joints_taken_apart(bench)
    )

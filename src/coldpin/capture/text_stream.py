"""A text capture of any length: read once to hold every row against its plan, then as often as it is wanted.

Only the time column is kept meanwhile, since every row must be held against equal steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from coldpin.capture.level import LOOKED_AT, scale_step
from coldpin.capture.number import grammar_of
from coldpin.capture.plan import Plan, naming
from coldpin.capture.record import Request
from coldpin.capture.source import CaptureFile
from coldpin.capture.table import TableReader
from coldpin.capture.text_plan import by_plan, form_of, in_base, settled_dialect, timing_of
from coldpin.capture.volts import Volts, VoltsSource, without_infinite


@dataclass(slots=True, kw_only=True, eq=False)
class TextSource(VoltsSource):
    """A text whose rows are read again for every pass; the file is open only meanwhile."""

    path: Path
    plan: Plan

    def _fill(self, first: int, into: Volts) -> None:
        last = first + into.size
        for place, pilot, _ in self._parts():
            low, high = max(first, place), min(last, place + pilot.size)
            if low < high:
                into[low - first : high - first] = pilot[low - place : high - place]
            if high == last:
                break

    def _batches(self) -> Iterator[tuple[Volts, Volts | None]]:
        for _, pilot, output in self._parts():
            yield pilot, output

    def _parts(self) -> Iterator[tuple[int, Volts, Volts | None]]:
        """Yield place, pilot and output of each batch. [V]"""
        done = 0
        with CaptureFile(self.path) as file, naming(file):
            reader = _reader(file, self.plan)
            for place, columns, _ in reader.parts():
                pilot, output = _volts(self.plan, columns)
                done += pilot.size
                yield place, without_infinite(pilot), None if output is None else without_infinite(output)
            if done != self.samples:
                raise file.error(
                    f"it has {done} rows of samples now, {self.samples} were there before: wait until its writer has "
                    "finished, and open it again"
                )


def open_text(path: Path, request: Request) -> TextSource:
    """Open a text capture after holding every row of it against its plan.

    Parameters
    ----------
    path : Path
        The file.
    request : Request
        A dialect, choices by hand, a dialect remembered.

    Returns
    -------
    TextSource
        The capture on disk.

    Raises
    ------
    CaptureError
        The file cannot be read; the message says where, why and what to do.
    """
    with CaptureFile(path) as file:
        return by_plan(file, request, lambda plan: _open(path, file, plan))


def _reader(file: CaptureFile, plan: Plan) -> TableReader:
    return TableReader(file, form_of(plan), grammar_of(plan.dialect), quick=True)


def _open(path: Path, file: CaptureFile, plan: Plan) -> TextSource:
    with naming(file):
        time, seen = plan.columns.time, _Seen(plan=plan)
        table = _reader(file, plan).read(None, () if time is None else (time,), seen.look)
        if not table.row_count:
            raise file.error("it holds no rows of samples: export the capture again")
        timing = timing_of(file, plan, table)
        if not seen.voltage:
            raise file.error(
                f"column {plan.dialect.voltage!r} holds no voltage at all, only marks: export the capture again"
            )
    return TextSource(
        path=path,
        plan=plan,
        samples=table.row_count,
        sample_interval=timing.step,
        start=timing.start,
        dialect=settled_dialect(plan, timing),
        resolution=scale_step(np.concatenate(seen.some)),
        remarks=(*plan.remarks, *table.remarks, *timing.remarks),
    )


@dataclass(slots=True, kw_only=True)
class _Seen:
    """Some samples of all batches, ever further apart the longer the capture is, and whether any holds a voltage."""

    plan: Plan
    some: list[Volts] = field(default_factory=list)
    voltage: bool = False
    apart: int = 1

    def look(self, columns: list[Volts]) -> None:
        pilot = without_infinite(_volts(self.plan, columns)[0])
        self.voltage = self.voltage or bool(np.isfinite(pilot).any())
        self.some.append(pilot[:: self.apart])
        if sum(part.size for part in self.some) > 2 * LOOKED_AT:
            self.some = [np.concatenate(self.some)[::2].copy()]
            self.apart *= 2


def _volts(plan: Plan, columns: list[Volts]) -> tuple[Volts, Volts | None]:
    """Return pilot and output of a batch. [V]"""
    dialect, wanted = plan.dialect, form_of(plan).wanted
    pilot = in_base(columns[wanted.index(plan.columns.voltage)].copy(), dialect.units[dialect.voltage], dialect.scale)
    if plan.columns.output is None:
        return pilot, None
    output = columns[wanted.index(plan.columns.output)].copy()
    return pilot, in_base(output, dialect.units[dialect.output], dialect.output_scale)

"""The oscillator: how fast it runs, and whether it rests while nothing is connected."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.check import Bearing, Check, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.pilot_runs import (
    NEED,
    OSCILLATING,
    PILOT_BENCH,
    bare,
    nothing_seen,
    runs,
    stated,
    worst_level,
)
from coldpin.checks.supply import BOARD, LOW
from coldpin.records.finding import Finding
from coldpin.standards.pilot import generator


def run_frequency(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the oscillator's frequency, the worst run.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, undecided where no oscillation was seen.
    """
    limit = generator(bench.book, bench.edition).frequency
    found = [
        (bare("pilot-frequency", "value", "Frequency", "pilot-signal", seen), stated(bench, seen, frequency, "time"))
        for seen in runs(bench, OSCILLATING)
        if (frequency := seen.run.frequency_hz) is not None
    ]
    if not found:
        return (nothing_seen(bench, "pilot-frequency", "value", "Frequency", "pilot-signal"),)
    (finding,) = worst_level("The pilot's frequency", found, limit)
    narrow = bench.book.limit("pilot.frequency.iec-2")
    assert finding.quantity is not None
    inside = finding.quantity.probability_within(narrow.minimum, narrow.maximum)
    outside = inside is not None and inside < 0.5
    remark = f"Outside the narrower {narrow.minimum:g} Hz to {narrow.maximum:g} Hz of {narrow.source}."
    return (replace(finding, remarks=(remark,)) if outside else finding,)


FREQUENCY = Check(
    id="pilot-frequency",
    title="Pilot frequency",
    question="Does the oscillator run at its frequency?",
    needs=(NEED,),
    bench=PILOT_BENCH,
    limits=("pilot.frequency",),
    run=run_frequency,
    bears=(Bearing(function="pilot-signal", within_if_works=0.99, within_if_not=0.8),),
    figures=("state ribbon", "clean cycle"),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_pilot,
)

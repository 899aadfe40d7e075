"""Rise and fall of the pilot with the supplied cable, in every state in which a vehicle loads it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from coldpin.checks.check import Bearing, Check, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import as_known, judged, placed, told_time, worst
from coldpin.checks.pilot_runs import NEED, PILOT_BENCH, Seen, bare, nothing_seen, runs, stated
from coldpin.quantity import Quantity, propagate
from coldpin.records.finding import Finding, Limit, Outcome
from coldpin.records.pilot import State
from coldpin.standards.editions import Edition, edition_title

CHECK_ID = "pilot-edges"
LOADED = (("b", State.B2), ("c", State.C2), ("d", State.D2))
MICROSECONDS = 1e6


def run_edges(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge rise and fall in B, C and D, the worst run of each.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        Two for each state seen; an edge that the capture cannot resolve is within where the resolution itself is. What
        a capture is too coarse to tell is left out where a finer one tells it.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    findings = []
    for letter, state in LOADED:
        for way in ("rise", "fall"):
            limit = bench.book.limit(f"pilot.{way}.{letter.upper()}.iec-3")
            subject = f"The pilot's {way} time in state {letter.upper()}"
            judged_runs: list[_Judged] = []
            for seen in runs(bench, (state,)):
                title = f"{way.capitalize()} in {letter.upper()}"
                finding = replace(bare(CHECK_ID, f"{way}-{letter}", title, SIGNAL, seen), remarks=_edition(bench))
                edge = seen.run.rise_s if way == "rise" else seen.run.fall_s
                if edge is not None:
                    judged_runs.append(_Judged(seen, _resolved(bench, seen, finding, edge, limit, subject)))
                elif seen.run.edges_below_s is not None:
                    below = stated(bench, seen, Quantity(seen.run.edges_below_s, 0.0, "s"), "time")
                    judged_runs.append(_Judged(seen, _unresolved(finding, below, limit, subject)))
            findings += [_worst_told(judged_runs)] if judged_runs else []
    return tuple(findings) or (nothing_seen(bench, CHECK_ID, "edges", "Edges of the pilot", SIGNAL),)


SIGNAL = "pilot-signal"


ONE_EDITION = "The limits of the edges are those of IEC 61851-1:2017; none under load are known for {edition}."


def _edition(bench: BenchEvidence) -> tuple[str, ...]:
    if bench.edition is Edition.IEC_3:
        return ()
    return (ONE_EDITION.format(edition=edition_title(bench.edition)),)


@dataclass(frozen=True, slots=True)
class _Judged:
    """A finding on one run, and the run."""

    seen: Seen
    finding: Finding

    @property
    def interval(self) -> float:
        """Time between samples of the capture. [s]"""
        return self.seen.capture.reading.source.sample_interval_s

    @property
    def told(self) -> bool:
        """Whether the capture tells on which side of the limit the edge is."""
        return self.finding.outcome is not Outcome.UNDECIDED


def _worst_told(judged_runs: list[_Judged]) -> Finding:
    """Return the worst of the runs, those left out that only a finer capture can tell, where there is one that does."""
    finest = min((one.interval for one in judged_runs if one.told), default=None)
    if finest is None:
        return worst(one.finding for one in judged_runs)
    kept = [one for one in judged_runs if one.told or one.interval <= finest]
    finding = worst(one.finding for one in kept)
    if len(kept) == len(judged_runs):
        return finding
    out = sorted({one.interval for one in judged_runs if one not in kept})
    said = f"Left out, as a capture of {told_time(finest)} a sample tells more: those of "
    return replace(finding, remarks=(*finding.remarks, f"{said}{', '.join(map(told_time, out))} a sample."))


def _resolved(
    bench: BenchEvidence, seen: Seen, finding: Finding, edge: Quantity, limit: Limit, subject: str
) -> Finding:
    told = propagate(lambda seconds: MICROSECONDS * seconds, {"seconds": stated(bench, seen, edge, "time")}, "µs")
    return placed(subject, judged(finding, told, limit))


def _unresolved(finding: Finding, below: Quantity, limit: Limit, subject: str) -> Finding:
    """Judge an edge of which only is known that it is shorter than the capture can tell, if its clock is stated."""
    assert limit.maximum is not None, "an edge has a longest time"
    short = MICROSECONDS * below.value <= limit.maximum
    inside = short and below.u is not None
    said = f"{subject} is shorter than {told_time(below.value)}, which is what this capture can resolve"
    coarse = below.why if short else f"too coarse for {as_known(limit)}: capture faster"
    tail = f"within {as_known(limit)}" if inside else coarse
    return replace(
        finding,
        limit=limit,
        outcome=Outcome.WITHIN if inside else Outcome.UNDECIDED,
        answer=f"less than {told_time(below.value)}",
        statement=f"{said}: {tail}.",
    )


CHECK = Check(
    id=CHECK_ID,
    title="Edges of the pilot",
    question="Do the pilot's edges rise and fall fast enough with the supplied cable?",
    needs=(NEED,),
    bench=replace(
        PILOT_BENCH,
        steps=(
            *PILOT_BENCH.steps,
            (
                "For the edges capture at a million samples a second or more, through a ten-to-one probe: the "
                "capacitance of "
                "a plain cable to the scope is as large as that of the lead."
            ),
        ),
        transfers="Edges follow the supplied cable, the probe and the rails: they hold for the closed unit only.",
    ),
    limits=("pilot.rise", "pilot.fall"),
    run=run_edges,
    bears=(Bearing(function="pilot-signal", within_if_works=0.97, within_if_not=0.8),),
    transfer=Transfer(why="edges follow the rails, the cable and the probe"),
    applies=with_pilot,
)

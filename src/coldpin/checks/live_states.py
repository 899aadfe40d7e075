"""The output beside the pilot: is it live in a state in which it must be dead?"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from coldpin.checks.check import Bearing, Check, Need, with_pilot
from coldpin.checks.delays import COIL_ONLY, doubt_of, seen_at_coil
from coldpin.checks.evidence import BenchEvidence, PilotCapture
from coldpin.checks.judging import worst
from coldpin.checks.pilot_runs import Seen, bare, captures_for
from coldpin.checks.switching_bench import TIMES, timing_bench
from coldpin.pilot.switching import PASSAGE
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import OutputReading, Run, State
from coldpin.standards.table import needed

CHECK_ID = "live-states"
NEED = Need(shows="pilot capture", with_output=True)


@dataclass(frozen=True, slots=True)
class _Dead:
    name: str
    states: tuple[State, ...]
    said: str
    limit: str

    def longest(self, bench: BenchEvidence) -> float:
        """How long an opening may take on entering it: an output live for less may still be opening. [s]"""
        return needed(bench.book.limit(self.limit), "maximum")


ASKS = (State.C2, State.D2)

DEAD = (
    _Dead("a", (State.A1, State.A2), "A, with no vehicle", "timing.open-on-unplug"),
    _Dead("b", (State.B1, State.B2), "B, where the vehicle asks for nothing", "timing.open-on-S2"),
    _Dead("c1", (State.C1,), "C with the oscillator off, where nothing is offered", "timing.close-after-C2"),
    _Dead("e", (State.E,), "E, the pilot shorted", "timing.open-on-short"),
    _Dead("f", (State.F,), "F, where the unit says it is not available", "timing.open-on-short"),
)


def run_states(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the output in each state seen in which it must be dead; that it opens late is another check's matter.

    Parameters
    ----------
    bench : BenchEvidence
        With captures of pilot and output.

    Returns
    -------
    tuple of Finding
        One for each such state seen.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    findings = []
    for dead in DEAD:
        longest = dead.longest(bench)
        found = [_judge(bench, seen, dead, longest) for seen in _stays(bench, dead.states)]
        judged = [stay for stay in found if stay is not None]
        # a stay that shows nothing does not stand against one that tells; one that seems live does
        telling = [stay for stay in judged if stay.live or stay.finding.outcome is not Outcome.UNDECIDED]
        findings += [worst(stay.finding for stay in telling or judged)] if judged else []
    return tuple(findings)


@dataclass(frozen=True, slots=True)
class _Stay:
    """What a stay says, and whether the output was live in it or seems to have been."""

    finding: Finding
    live: bool


def _stays(bench: BenchEvidence, states: tuple[State, ...]) -> Iterator[Seen]:
    """Yield every stay in one of the states, runs that follow one another as one; passages are left out."""
    for capture in captures_for(bench, NEED):
        if capture.reading.output is None:
            continue
        stay: Run | None = None
        for run in (*capture.reading.runs, None):
            if run is not None and run.state in states:
                stay = run if stay is None else replace(stay, end_s=run.end_s)
            elif stay is not None:
                if stay.end_s - stay.start_s >= PASSAGE:
                    yield Seen(capture, stay)
                stay = None


def _judge(bench: BenchEvidence, seen: Seen, dead: _Dead, longest: float) -> _Stay | None:
    finding = bare(CHECK_ID, dead.name, f"Output in state {dead.name.upper()}", "supply-switching", seen)
    output = seen.capture.reading.output
    assert output is not None, "only stays with the output beside them are judged"
    stayed = seen.run.end_s - seen.run.start_s
    began, through = _live_in(output, seen.run)
    late = through and _opened_unasked(seen)
    live = began or (through and not late and dead.name != "c1" and stayed > longest)
    if doubts := _doubts(bench, seen.capture):
        said = (
            f"Whether the output was live in state {dead.said}, cannot be told{', though it seems so' if live else ''}."
        )
        return _Stay(replace(finding, answer="cannot tell", statement=said, remarks=doubts), live)
    if live:
        said = f"The output was live in state {dead.said}."
        return _Stay(replace(finding, outcome=Outcome.BEYOND, answer="yes", statement=said), live)
    if through or (stayed <= longest and not _opened_in(output, seen.run)):
        # too short a stay to tell an output that stays as it is from one that takes its time; or one that opened late
        return None
    said = f"For {stayed:.3g} s in state {dead.said}, the output was dead, or went dead and stayed so."
    return _Stay(replace(finding, outcome=Outcome.WITHIN, answer="no", statement=said), live)


def _live_in(output: OutputReading, run: Run) -> tuple[bool, bool]:
    """Say whether the output became live in a stay, and whether it was live through all of it."""
    began = through = False
    for stretch in output.live:
        made, ended = stretch.first_contact_s, stretch.opened_s
        began = began or (made is not None and run.start_s < made[0] and made[1] < run.end_s)
        before = made is None or made[0] <= run.start_s
        through = through or (before and (ended is None or ended[0] >= run.end_s))
    return began, through


def _opened_in(output: OutputReading, run: Run) -> bool:
    """Say whether the output was seen to go dead in a stay."""
    ends = (stretch.opened_s for stretch in output.live if stretch.opened_s is not None)
    return any(run.start_s <= end[0] and end[1] <= run.end_s for end in ends)


def _opened_unasked(seen: Seen) -> bool:
    """Say whether an output that was live all through a stay went dead before a vehicle asked again: it opened late."""
    output = seen.capture.reading.output
    assert output is not None, "only stays with the output beside them are judged"
    ends = [stretch.opened_s[0] for stretch in output.live if stretch.opened_s is not None]
    opened = min((end for end in ends if end >= seen.run.end_s), default=None)
    asked = [run.start_s for run in seen.capture.reading.runs if run.state in ASKS and run.start_s >= seen.run.end_s]
    return opened is not None and opened < min(asked, default=math.inf)


def _doubts(bench: BenchEvidence, capture: PilotCapture) -> tuple[str, ...]:
    coil = (COIL_ONLY,) if seen_at_coil(capture) else ()
    doubt = doubt_of(bench, capture)
    return (*coil, *((f"In doubt: {doubt}.",) if doubt else ()))


CHECK = Check(
    id=CHECK_ID,
    title="Output in states in which it must be dead",
    question="Is the output dead in A, B, E and F, and in C while nothing is offered?",
    needs=(NEED,),
    bench=timing_bench(
        "Capture pilot and output from before the supply is switched on: nothing connected, B, C, B, nothing "
        "connected; then once with the pilot shorted, and once while the unit is in fault."
    ),
    limits=("pilot.state", "timing.open-on-S2", "timing.open-on-unplug", "timing.open-on-short"),
    run=run_states,
    bears=(Bearing(function="supply-switching", within_if_works=0.98, within_if_not=0.1),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)

"""The offer over time: steady at one setting, and changed no faster than a vehicle can follow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from coldpin.checks.cautions import LIVE_CAUTIONS, SCOPE_EARTH
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, with_pilot
from coldpin.checks.duty import TRANSFER
from coldpin.checks.evidence import BenchEvidence, PilotCapture
from coldpin.checks.judging import judged, placed, worst, worst_entry
from coldpin.checks.pilot_runs import NEED, OSCILLATING, PILOT_BENCH, Seen, bare, captures_for, nothing_seen, runs
from coldpin.checks.pilot_runs import STEADY as STEADY_EVENTS
from coldpin.checks.readings import readings
from coldpin.checks.supply import closed_first
from coldpin.pilot.offer_steps import LEAST_STEP
from coldpin.quantity import Quantity, propagate, rectangular
from coldpin.records.entry import Entry
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.pilot import Run
from coldpin.standards.pilot import generator

CHECK_ID = "offer-steady"
TITLE = "Offer steady over time"


def run_steady(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge how far the duty cycle moves between runs at one setting.

    Parameters
    ----------
    bench : BenchEvidence
        With decoded captures.

    Returns
    -------
    tuple of Finding
        One finding, on the two runs that lie furthest apart; undecided where only one run was seen.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    by_setting: dict[str, list[tuple[Seen, Quantity]]] = {}
    for seen in runs(bench, OSCILLATING):
        if (duty := seen.run.duty_percent) is not None:
            by_setting.setdefault(seen.capture.condition("setting"), []).append((seen, duty))
    spans = [(_apart(found), found) for found in by_setting.values() if len(found) > 1]
    if not spans:
        return (nothing_seen(bench, CHECK_ID, "span", TITLE, "current-offer"),)
    span, found = max(spans, key=lambda pair: pair[0].value)
    tolerance = generator(bench.book, bench.edition).duty_tolerance
    limit = replace(tolerance, title="change of the duty cycle at one setting", unit="%", minimum=None, nominal=None)
    seen = found[0][0]
    finding = replace(
        bare(CHECK_ID, "span", TITLE, "current-offer", seen),
        levels=tuple(one.levels for one, _ in found),
        evidence=tuple(dict.fromkeys(one.capture.entry.id for one, _ in found)),
        remarks=("The limit is that of the duty cycle itself: no text known to us limits how far it may wander.",),
    )
    return (placed("The change of the duty cycle between its runs at one setting", judged(finding, span, limit)),)


def _apart(found: list[tuple[Seen, Quantity]]) -> Quantity:
    low = min(found, key=lambda pair: pair[1].value)[1]
    high = max(found, key=lambda pair: pair[1].value)[1]
    return propagate(lambda least, most: most - least, {"least": low, "most": high}, "%")


INTERVAL = "interval between changes of the offer"
CHANGING = Need(
    shows="pilot capture", conditions={"diode": ("present", ""), "event": (*STEADY_EVENTS, "change of setting")}
)

PLACED = 2e-3
"""Ours: a change of the offer is placed within two cycles of where it is. [s]"""


def run_interval(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the shortest time between two changes of the duty cycle, from readings and from captures.

    Parameters
    ----------
    bench : BenchEvidence
        With readings of the interval, or captures in which the offer changes twice.

    Returns
    -------
    tuple of Finding
        One finding; none where no two changes were seen.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    captured = captures_for(bench, CHANGING)
    serving = (*bench.showing(INTERVAL), *(capture.entry for capture in captured))
    kept = {entry.id for entry in closed_first(bench, serving)}
    found = [_judge_interval(bench, entry) for entry in bench.showing(INTERVAL) if entry.id in kept]
    for capture in captured:
        if capture.entry.id in kept:
            found += _captured_intervals(bench, capture)
    if not found:
        return ()
    return (placed("The shortest time between two changes of the offer", worst_entry(found)),)


def _captured_intervals(bench: BenchEvidence, capture: PilotCapture) -> list[Finding]:
    times = changes_of_offer(capture.reading.runs)
    limit = bench.book.limit("timing.offer-interval")
    judged_ones = []
    for earlier, later in pairwise(times):
        apart = rectangular(
            later - earlier, PLACED, "s", id=f"{capture.entry.id}:{later}", label="place of the changes"
        )
        judged_ones.append(judged(_bare_interval(capture.entry), apart, limit))
    return [worst(judged_ones)] if judged_ones else []


def changes_of_offer(runs: Sequence[Run]) -> tuple[float, ...]:
    """Return when the offer changed while the oscillator went on.

    Parameters
    ----------
    runs : sequence of Run
        The runs of a capture.

    Returns
    -------
    tuple of float
        In order. [s]
    """
    return tuple(
        later.start_s
        for earlier, later in pairwise(runs)
        if earlier.duty_percent is not None
        and later.duty_percent is not None
        and abs(later.duty_percent.value - earlier.duty_percent.value) > LEAST_STEP
    )


def _judge_interval(bench: BenchEvidence, entry: Entry) -> Finding:
    limit = bench.book.limit("timing.offer-interval")
    return worst(judged(_bare_interval(entry), one.quantity, limit) for one in readings(bench, entry))


def _bare_interval(entry: Entry) -> Finding:
    return Finding(
        id="offer-interval.time",
        check="offer-interval",
        title="Time between changes of the offer",
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=("current-setting",),
        evidence=(entry.id,),
    )


STEADY = Check(
    id=CHECK_ID,
    title=TITLE,
    question="Does the unit keep its offer steady at one setting, warm as cold?",
    needs=(NEED,),
    bench=replace(
        PILOT_BENCH,
        steps=(*PILOT_BENCH.steps, "Capture again after a quarter of an hour, and at the end of a charge, warm."),
        minutes=30,
    ),
    limits=("pilot.duty-tolerance",),
    run=run_steady,
    bears=(Bearing(function="current-offer", within_if_works=0.97, within_if_not=0.7),),
    figures=("state ribbon",),
    transfer=TRANSFER,
    applies=with_pilot,
)
CHANGES = Check(
    id="offer-interval",
    title="Time between changes of the offer",
    question="Does the unit give a vehicle time to follow before it changes its offer again?",
    needs=(),
    any_of=(Need(shows=INTERVAL), CHANGING),
    bench=Procedure(
        level=Level.LIVE,
        instrument="oscilloscope with stated accuracy, earthed, or a logger of the duty cycle; vehicle simulator",
        minutes=10,
        cautions=(*LIVE_CAUTIONS, SCOPE_EARTH),
        steps=(
            "With the simulator in B, change the setting twice as fast as the unit lets you; watch the duty cycle.",
            (
                "Write down the time between the two changes of the duty cycle on the pilot, not of the button. "
                "Three times."
            ),
            "Or capture the pilot all the while, as 'change of setting': the intervals are read from the capture.",
        ),
        hold_points=("The earth is proved, and nothing is live with nothing connected.",),
        repeats=3,
        transfers="Times of the controller measured on the opened board from an isolated bench supply transfer.",
    ),
    limits=("timing.offer-interval",),
    run=run_interval,
    bears=(Bearing(function="current-setting", within_if_works=0.95, within_if_not=0.6),),
    transfer=TRANSFER,
    applies=with_pilot,
)

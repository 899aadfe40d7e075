"""The vehicle's diode: whether the low level shows it, and whether the unit switches on without it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from coldpin.checks.answers import NOT_A_DUTY
from coldpin.checks.check import Bearing, Check, Need, Transfer, with_pilot
from coldpin.checks.delays import Timed, doubt_of, judge_following
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.judging import worst, worst_entry
from coldpin.checks.output import NO_DIODE, judge_situation
from coldpin.checks.pilot_levels import FOLLOWS_SUPPLY
from coldpin.checks.pilot_runs import NEED, PILOT_BENCH, STEADY, Seen, bare, nothing_seen, runs
from coldpin.checks.supply import LOW, closed_first
from coldpin.checks.switching import needs_of
from coldpin.checks.switching_bench import TIMES, timing_bench
from coldpin.records.finding import Finding, Outcome
from coldpin.records.pilot import Diode, State, Switching, SwitchingEvent
from coldpin.standards.table import needed


def run_diode(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge whether the low level shows the diode.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one decoded capture with the diode present.

    Returns
    -------
    tuple of Finding
        One finding, the worst run.
    """
    check, title = "pilot-diode", "Diode seen in the low level"
    outcomes = {Diode.PRESENT: Outcome.WITHIN, Diode.ABSENT: Outcome.BEYOND, Diode.UNKNOWN: Outcome.UNDECIDED}
    sentences = {
        Diode.PRESENT: (
            "Loaded by the vehicle simulator, the pilot stays low on its negative half: the diode can be seen."
        ),
        Diode.ABSENT: (
            "The negative half sinks with the load although the simulator has its diode: the signal has no negative "
            "supply of its own, or the simulator is wired wrongly."
        ),
        Diode.UNKNOWN: "The low level lies between that with a diode and that without: the diode cannot be told.",
    }
    seen_runs = [
        replace(
            bare(check, "sign", title, "pilot-signal", seen),
            quantity=seen.run.low_v,
            outcome=outcomes[seen.run.diode],
            answer=str(seen.run.diode),
            statement=sentences[seen.run.diode],
        )
        for seen in runs(bench, (State.B2, State.C2, State.D2))
    ]
    findings = [worst(seen_runs)] if seen_runs else [nothing_seen(bench, check, "sign", title, "pilot-signal")]
    return tuple(findings)


WITHOUT_DIODE = Need(
    shows="pilot capture", conditions={"diode": ("shorted", "absent"), "event": STEADY}, with_output=True
)


def run_before_closing(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the output while a vehicle asks whose diode is shorted: a unit that looks for it stays off.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading of the output with the diode shorted, or a capture of it.

    Returns
    -------
    tuple of Finding
        One finding, the worst of readings and captures; what a capture leaves open does not stand against a reading.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read, or a capture names another that is not there.
    """
    reading = judge_situation(bench, NO_DIODE, BEFORE)
    found = [*((reading,) if reading else ()), *_before_closing_captured(bench)]
    by_id = {entry.id: entry for entry in bench.entries}
    kept = closed_first(bench, (by_id[finding.evidence[0]] for finding in found))
    judged = [finding for finding in found if by_id[finding.evidence[0]] in kept]
    told = [finding for finding in judged if finding.outcome is not Outcome.UNDECIDED]
    return (worst_entry(told or judged),) if judged else ()


BEFORE = "diode-before-closing"
ASKING = (State.C2, State.D2)


def _before_closing_captured(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the requests without a diode in captures: closed for one is enough; else the longest decides.

    What was filed as shorted is not taken on trust: only runs whose low level shows no diode count.
    """
    filed = [seen for seen in runs(bench, ASKING, need=WITHOUT_DIODE) if seen.capture.reading.output is not None]
    if not filed:
        return ()
    asked = [seen for seen in filed if seen.run.diode is Diode.ABSENT]
    longest = max(asked or filed, key=_length)
    finding = bare(BEFORE, "output", NO_DIODE.title, "vehicle-recognition", longest)
    if not asked:
        said = "In the captures filed with a diode shorted or absent the low level does not show that it is."
        return (replace(finding, answer="cannot tell", statement=said),)
    doubts = {seen.capture.entry.id: doubt_of(bench, seen.capture) for seen in asked}
    closed = [(seen, event) for seen in asked for event in _closed_without(seen)]
    sure = [seen for seen, event in closed if event.outcome == Outcome.BEYOND and not doubts[seen.capture.entry.id]]
    if sure:
        said = f"{NO_DIODE.live} The capture shows the output live while the low level showed no diode."
        finding = bare(BEFORE, "output", NO_DIODE.title, "vehicle-recognition", sure[0])
        return (replace(finding, outcome=Outcome.BEYOND, answer="yes", absence=True, statement=said),)
    if closed:
        said = "The output seems live while the low level shows no diode, but what the second channel saw is in doubt."
        return (replace(finding, answer="cannot tell", statement=said, remarks=_in_doubt(doubts.values())),)
    seen_off = [seen for seen in asked if not doubts[seen.capture.entry.id]]
    if not seen_off:
        said = "A vehicle asked that showed no diode; whether the output stayed off cannot be told."
        return (replace(finding, answer="cannot tell", statement=said, remarks=_in_doubt(doubts.values())),)
    longest = max(seen_off, key=_length)
    finding, watched = bare(BEFORE, "output", NO_DIODE.title, "vehicle-recognition", longest), _length(longest)
    if watched >= needed(bench.book.limit("timing.close-after-C2"), "maximum"):
        said = f"For {watched:.3g} s a vehicle asked that showed no diode, and the output stayed off."
        return (replace(finding, outcome=Outcome.WITHIN, answer="no", statement=said),)
    said = f"The output stayed off while a vehicle asked that showed no diode, but that was for {watched:.3g} s only."
    return (replace(finding, answer="cannot tell", statement=said),)


def _length(seen: Seen) -> float:
    return seen.run.end_s - seen.run.start_s


def _closed_without(seen: Seen) -> Iterator[SwitchingEvent]:
    """Yield the events that say: switched on without a diode, and in this run."""
    for event in seen.capture.reading.switching:
        inside = any(seen.run.start_s <= at <= seen.run.end_s for at in event.at_s)
        if event.event is Switching.LIVE_WITHOUT_DIODE and inside:
            yield event


def _in_doubt(doubts: Iterable[str]) -> tuple[str, ...]:
    return tuple(f"In doubt: {doubt}." for doubt in dict.fromkeys(doubts) if doubt)


SHORTED_BENCH = replace(
    PILOT_BENCH,
    steps=(
        *PILOT_BENCH.steps,
        (
            "Then, with the unit off, set the vehicle simulator to C with its diode shorted and a two-pole tester at "
            "the power pins, nothing else. Switch on, wait ten seconds, read, switch off."
        ),
        "Set the simulator to C with its diode and read again: a unit that never switches on shows nothing.",
    ),
    stop_values=("Mains at the power pins with the diode shorted: switch off, the question is answered.",),
)

LOSS = Timed(
    check="diode-loss",
    name="opening",
    title="Diode lost while charging",
    subject="The longest time from the loss of the diode to a dead output",
    functions=("diode-monitoring",),
    word="opening time after loss of the diode",
    events=(Switching.OPENS_ON_DIODE_LOSS,),
    done=("loss of the diode",),
)


def run_loss(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the output goes dead when the vehicle's diode is lost while charging; no text known limits it.

    Parameters
    ----------
    bench : BenchEvidence
        With a capture or a time.

    Returns
    -------
    tuple of Finding
        One finding, or none.

    Raises
    ------
    CaseError
        A reading or a supply voltage cannot be read.
    """
    found = judge_following(
        bench,
        LOSS,
        bench.book.limit("timing.open-on-short"),
        has="The unit watches the diode while it charges and switches off when it is lost.",
        has_not="The unit does not watch the diode while it charges.",
    )
    return tuple(replace(finding, duty=False, remarks=(*finding.remarks, NOT_A_DUTY)) for finding in found)


DIODE = Check(
    id="pilot-diode",
    title="Diode in the low level",
    question="Can the vehicle's diode be seen in the low level?",
    needs=(NEED,),
    bench=PILOT_BENCH,
    limits=("pilot.window.low",),
    run=run_diode,
    bears=(Bearing(function="pilot-signal", within_if_works=0.98, within_if_not=0.6),),
    figures=("state ribbon", "clean cycle"),
    transfer=Transfer(why=FOLLOWS_SUPPLY),
    applies=with_pilot,
)
BEFORE_CLOSING = Check(
    id="diode-before-closing",
    title="Diode looked for before closing",
    question="Does the unit stay off for a plain resistor, without the vehicle's diode?",
    needs=(),
    any_of=(Need(shows=NO_DIODE.word), WITHOUT_DIODE),
    bench=SHORTED_BENCH,
    limits=("touch.ac", "timing.diode-check", "timing.close-after-C2"),
    run=run_before_closing,
    bears=(Bearing(function="vehicle-recognition", within_if_works=0.98, within_if_not=0.1),),
    transfer=Transfer(beyond=(LOW,), why="a unit that cannot close its contacts there stays off whatever it thinks"),
    applies=with_pilot,
)
LOST = Check(
    id=LOSS.check,
    title=LOSS.title,
    question="Does the unit go on watching for the diode while it charges?",
    needs=(),
    any_of=needs_of(LOSS),
    bench=timing_bench(
        "With the simulator in C and the output live, bridge its diode by the enclosed switch; time until the "
        "output is dead, or watch for ten seconds.",
        stop=("The output stays live ten seconds after the diode was bridged: switch off, the question is answered.",),
    ),
    limits=("timing.open-on-short", "pilot.no-diode"),
    run=run_loss,
    bears=(Bearing(function="diode-monitoring", within_if_works=0.97, within_if_not=0.05),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)

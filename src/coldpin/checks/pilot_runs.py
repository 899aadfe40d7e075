"""The runs of the pilot that checks look at, and how a figure of one becomes a finding."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator
from dataclasses import dataclass

from coldpin.checks.cautions import LIVE_CAUTIONS, SCOPE_EARTH
from coldpin.checks.check import Level, Need, Procedure
from coldpin.checks.evidence import BenchEvidence, PilotCapture, serves
from coldpin.checks.judging import judged, placed, worst
from coldpin.checks.supply import closed_first
from coldpin.quantity import Quantity
from coldpin.records.finding import Finding, Limit, Outcome, PilotLevels, Reach
from coldpin.records.pilot import Run, State

STEADY = ("", "states")
"""Events of a capture in which the unit is only asked through its states: nothing is broken or shorted meanwhile."""

NEED = Need(shows="pilot capture", conditions={"diode": ("present", ""), "event": STEADY, "boundary": ("",)})

PILOT_BENCH = Procedure(
    level=Level.LIVE,
    instrument="oscilloscope with stated accuracy, earthed; vehicle simulator in an insulating box",
    minutes=15,
    cautions=(*LIVE_CAUTIONS, SCOPE_EARTH),
    steps=(
        (
            "Connect the vehicle simulator; probe on pilot, clip on the connector's earth. Put the whole pilot, some "
            "−13 V to 13 V, on the screen."
        ),
        (
            "Capture at 250 thousand samples a second or more: nothing connected, then B, C, B, nothing, half a "
            "second each."
        ),
        "Save the capture as text and file it with its conditions: load, diode, setting, volts over the full screen.",
    ),
    hold_points=("The earth is proved, and nothing is live with nothing connected.",),
    repeats=1,
    transfers=(
        "Frequency and duty measured on the opened board from an isolated bench supply transfer; levels only "
        "where the board's own converter makes them, for they follow the supply. Levels at the end of the closed "
        "unit's cable are those the car sees."
    ),
)


@dataclass(frozen=True, slots=True)
class Seen:
    """A run of the pilot and the capture it is in."""

    capture: PilotCapture
    run: Run

    @property
    def levels(self) -> PilotLevels:
        """The run as a finding names it."""
        return PilotLevels(
            evidence=self.capture.entry.id, state=self.run.state, start_s=self.run.start_s, end_s=self.run.end_s
        )


def captures_for(bench: BenchEvidence, need: Need = NEED) -> tuple[PilotCapture, ...]:
    """Return the decoded captures that serve a need: those of the closed unit on its mains where there are any.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    need : Need
        The conditions they must have been taken under.

    Returns
    -------
    tuple of PilotCapture
        In the order they were filed.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    serving = [capture for capture in bench.captures if serves(capture.entry, need)]
    kept = {entry.id for entry in closed_first(bench, (capture.entry for capture in serving))}
    return tuple(capture for capture in serving if capture.entry.id in kept)


def runs(bench: BenchEvidence, states: Iterable[State] | None = None, *, need: Need = NEED) -> Iterator[Seen]:
    """Go through the runs of the captures that serve a need, without those of a few cycles where longer ones are.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    states : iterable of State or None
        The states wanted; None for all.
    need : Need
        The conditions under which the captures must have been taken.

    Yields
    ------
    Seen
        A run with its capture.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    wanted = None if states is None else set(states)
    yield from without_scraps(
        Seen(capture, run)
        for capture in captures_for(bench, need)
        for run in capture.reading.runs
        if wanted is None or run.state in wanted
    )


FEW_CYCLES = 20
"""Ours: a run of fewer cycles of the oscillator is a scrap, left where a signal wavers at the edge of a window or a
contact bounces. [1] A tenth of what the shortest toggle that the standards name has."""


def _by_setting(seen: Seen) -> Hashable:
    return seen.run.state, seen.capture.condition("setting")


def without_scraps(seen: Iterable[Seen], alike: Callable[[Seen], Hashable] = _by_setting) -> tuple[Seen, ...]:
    """Leave out runs of a few cycles where longer ones of the same kind were seen: these judge, not scraps beside them.

    Parameters
    ----------
    seen : iterable of Seen
        Runs.
    alike : callable
        Names the kind of a run; by itself its state, and the setting of its capture.

    Returns
    -------
    tuple of Seen
        Those left, in the same order. A kind of which nothing longer was seen is whole.
    """
    every = tuple(seen)
    long = {alike(one) for one in every if not _scrap(one.run)}
    return tuple(one for one in every if not _scrap(one.run) or alike(one) not in long)


def _scrap(run: Run) -> bool:
    # a steady level has no cycles, and tells as much in a moment
    return 0 < run.cycles < FEW_CYCLES


UNSTATED = "the accuracy of the instrument is not stated: name it in the entry, and its accuracy in shelf.toml"

OSCILLATING = (State.A2, State.B2, State.C2, State.D2)


def bare(check: str, name: str, title: str, function: str, seen: Seen) -> Finding:
    """Return a finding on a run of which nothing is said yet.

    Parameters
    ----------
    check : str
        Id of the check.
    name : str
        What the finding is called within the check.
    title : str
        Its title.
    function : str
        The protective function it bears on.
    seen : Seen
        The run.

    Returns
    -------
    Finding
        Undecided, without a statement.
    """
    return Finding(
        id=f"{check}.{name}",
        check=check,
        title=title,
        statement="",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(function,),
        evidence=(seen.capture.entry.id,),
        levels=(seen.levels,),
    )


def stated(bench: BenchEvidence, seen: Seen, quantity: Quantity, measures: str) -> Quantity:
    """Take a figure of an instrument that states no accuracy for what it is: not for a perfect one.

    Parameters
    ----------
    bench : BenchEvidence
        With the instruments.
    seen : Seen
        The run the figure is of.
    quantity : Quantity
        The figure.
    measures : str
        The accuracy statement that applies, as "voltage".

    Returns
    -------
    Quantity
        As given where the accuracy is stated, else without an uncertainty.
    """
    instrument = bench.instruments.get(seen.capture.entry.instrument)
    if instrument is not None and instrument.statements.get(measures):
        return quantity
    return Quantity(quantity.value, None, quantity.unit, why=UNSTATED)


def worst_level(subject: str, found: list[tuple[Finding, Quantity]], limit: Limit) -> list[Finding]:
    """Judge figures of one thing against its limit and keep the worst.

    Parameters
    ----------
    subject : str
        What was measured, as the beginning of a sentence.
    found : list of tuple
        Bare findings with their figures, in the unit of the limit.
    limit : Limit
        The limit.

    Returns
    -------
    list of Finding
        The worst with its statement; empty where nothing was found.
    """
    return [placed(subject, worst(judged(finding, quantity, limit) for finding, quantity in found))] if found else []


def nothing_seen(
    bench: BenchEvidence, check: str, name: str, title: str, function: str, *, need: Need = NEED
) -> Finding:
    """Return the finding of a check whose captures hold nothing to look at.

    Parameters
    ----------
    bench : BenchEvidence
        The evidence.
    check : str
        Id of the check.
    name : str
        What the finding is called within the check.
    title : str
        Its title.
    function : str
        The protective function it bears on.
    need : Need
        The need that the captures met.

    Returns
    -------
    Finding
        Undecided.
    """
    entry = bench.matching(need)[-1]
    return Finding(
        id=f"{check}.{name}",
        check=check,
        title=title,
        statement="The captures show no stretch in which this could be read.",
        outcome=Outcome.UNDECIDED,
        reach=Reach.SPECIMEN,
        functions=(function,),
        answer="cannot tell",
        evidence=(entry.id,),
    )

"""The supply interrupted and returning: pins that stay dead uncoupled, and what a vehicle that asks then gets."""

from __future__ import annotations

from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, Transfer, always, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.output import Situation, judge_situation
from coldpin.checks.supply import LOW
from coldpin.checks.told import judge_told
from coldpin.records.finding import Finding

UNCOUPLED = Situation(
    word="output when the supply returns",
    name="uncoupled",
    title="Voltage when the supply returns, nothing connected",
    subject="When the supply returned with nothing connected, the largest voltage at the connector's pins",
    functions=("restart", "supply-switching"),
    decisive=True,
    several=True,
    live="When the supply returns the pins are live with nothing connected, if only for a moment.",
)
AGAIN = "output in state C after the supply returned"


def run_return(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the voltage at the uncoupled pins from the moment the supply returns.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading.

    Returns
    -------
    tuple of Finding
        One finding; a voltage there concludes alone.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    finding = judge_situation(bench, UNCOUPLED, "supply-return")
    assert finding is not None, "the check needs the reading"
    return (finding,)


def run_restart(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the unit goes on by itself after an interruption while a vehicle asks; neither is wrong.

    Parameters
    ----------
    bench : BenchEvidence
        With a reading.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    return (
        judge_told(
            bench,
            AGAIN,
            check="restart",
            name="by-itself",
            title="Restart after an interruption",
            functions=("restart",),
            live="After an interruption of its supply the unit went on by itself, the vehicle still asking.",
            dead="After an interruption of its supply the unit stayed off, the vehicle still asking, until asked anew.",
        ),
    )


UNCOUPLED_CHECK = Check(
    id="supply-return",
    title="Supply returning, nothing connected",
    question="Do the uncoupled pins stay dead when an interrupted supply returns, also if it was charging before?",
    needs=(Need(shows=UNCOUPLED.word),),
    bench=Procedure(
        level=Level.LIVE,
        instrument=(
            "two-pole voltage tester with a low-impedance input and the reading held at its largest, or an "
            "oscilloscope "
            "through an isolated voltage sensor"
        ),
        minutes=10,
        cautions=LIVE_CAUTIONS,
        steps=(
            (
                "The connector in its insulating holder, nothing connected: switch the supply off for ten "
                "seconds and on again; read the largest voltage at the power pins in the first ten seconds."
            ),
            (
                "Then, charging the simulator in C, switch the supply off and see the output dead; take the simulator "
                "away, put the connector back into its insulating holder, hands off, and switch on: the unit must "
                "have forgotten that it was charging. Read again."
            ),
            "Once more with an interruption of a second, which a unit may sleep through.",
        ),
        hold_points=("Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",),
        stop_values=("A voltage at the uncoupled pins under a low-impedance input: stop, this concludes alone.",),
        repeats=3,
        transfers="A voltage seen at extra-low voltage transfers to the mains; its absence does not.",
    ),
    limits=("touch.ac",),
    run=run_return,
    bears=(
        Bearing(function="supply-switching", within_if_works=0.995, within_if_not=0.3),
        Bearing(function="restart", within_if_works=0.99, within_if_not=0.1),
    ),
    transfer=Transfer(beyond=(LOW,), why="contacts need the mains to close"),
    applies=always,
)
RESTART = Check(
    id="restart",
    title="Restart after an interruption",
    question="Does the unit go on by itself when its supply returns and the vehicle still asks?",
    needs=(Need(shows=AGAIN),),
    bench=Procedure(
        level=Level.LIVE,
        instrument="two-pole voltage tester with a low-impedance input; vehicle simulator in an insulating box",
        minutes=5,
        cautions=LIVE_CAUTIONS,
        steps=(
            (
                "Charging the simulator in C, switch the supply off for ten seconds and on again, the simulator "
                "staying in C."
            ),
            "Wait a minute, for some units wait on purpose; read the voltage at the power pins.",
        ),
        hold_points=("The uncoupled pins stay dead when the supply returns.",),
        repeats=1,
        after=("supply-return.uncoupled",),
        transfers="What the controller does at extra-low voltage is what it does on the mains, where it closes at all.",
    ),
    limits=("touch.ac",),
    run=run_restart,
    bears=(),
    transfer=Transfer(why="contacts need the mains to close"),
    applies=with_pilot,
)

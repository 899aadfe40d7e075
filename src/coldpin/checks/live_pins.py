"""Are the connector's pins live when nobody asked: nothing connected, not ready, or no vehicle at all."""

from __future__ import annotations

from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, Transfer, always
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.live_threshold import Duty
from coldpin.checks.output import NOT_READY, NOTHING, judge_energised, judge_situation
from coldpin.checks.supply import LOW
from coldpin.records.finding import Finding, Outcome, Reach
from coldpin.records.plan import Stage

ASKED = "output in state C"


def _reach(bench: BenchEvidence) -> Reach:
    """Live pins hold by construction where the wiring map traced every pole straight through."""
    from coldpin.checks import wiring

    if not bench.matching(wiring.NEED):
        return Reach.SPECIMEN
    switched = next(finding for finding in wiring.run(bench) if finding.id == "wiring.switched")
    return switched.reach if switched.outcome is Outcome.BEYOND else Reach.SPECIMEN


def run_uncoupled(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Judge the voltage at the pins with nothing connected and, where they were read, in states B and C.

    Parameters
    ----------
    bench : BenchEvidence
        With at least one reading with nothing connected.

    Returns
    -------
    tuple of Finding
        One to three findings.

    Raises
    ------
    CaseError
        A reading or the supply voltage cannot be read.
    """
    found = (
        judge_situation(bench, NOTHING, "live-pins", reach=_reach(bench)),
        judge_situation(bench, NOT_READY, "live-pins"),
        judge_energised(
            bench, ASKED, POSITIVE, "With a vehicle that asks for power, the voltage at the connector's pins", CLOSING
        ),
    )
    return tuple(finding for finding in found if finding is not None)


CLOSING = Duty(asked="the contactor closes for a vehicle in C2", limit="timing.close-after-C2")
POSITIVE = Finding(
    id="live-pins.state-c",
    check="live-pins",
    title="Voltage in state C",
    statement="",
    outcome=Outcome.UNDECIDED,
    reach=Reach.SPECIMEN,
    functions=("supply-switching", "vehicle-recognition"),
    remarks=("The positive control: a unit that never switches on would pass every test for staying off.",),
)

CHECK = Check(
    id="live-pins",
    title="Pins live with nothing connected",
    question="Is there a voltage at the connector's pins while nothing is connected, or before a vehicle asks?",
    needs=(Need(shows=NOTHING.word),),
    also=(Need(shows=NOT_READY.word), Need(shows=ASKED)),
    bench=Procedure(
        level=Level.LIVE,
        instrument=(
            "two-pole voltage tester or multimeter with a low-impedance input, of the right category, probes shrouded"
        ),
        minutes=5,
        cautions=LIVE_CAUTIONS,
        steps=(
            (
                "First on an extra-low voltage supply, the connector fixed in an insulating holder: a lead without "
                "contacts shows here, and the mains would add nothing but danger."
            ),
            (
                "On the mains only where nothing was seen, or where the number itself is wanted; the connector stays "
                "in its holder. Plug in with nothing connected and wait ten seconds."
            ),
            "Read line to neutral, line to earth, neutral to earth at the connector; write down the largest.",
            (
                "Where a voltage is read, read it again through the low-impedance input and write that down: a meter "
                "of 10 MΩ also shows what couples across open contacts."
            ),
            "With the vehicle simulator in state B, read again; then in state C, where the contacts must close.",
            "Switch off, unplug, prove dead.",
        ),
        hold_points=("Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",),
        stop_values=(
            "A voltage with nothing connected that stays under the low-impedance input: stop, this concludes alone.",
        ),
        repeats=1,
        stage=Stage.MAINS,
        transfers="A voltage seen at extra-low voltage transfers to the mains; its absence does not.",
    ),
    limits=("touch.ac", "pilot.state.B", "timing.close-after-C2"),
    run=run_uncoupled,
    bears=(Bearing(function="supply-switching", within_if_works=0.995, within_if_not=0.1),),
    transfer=Transfer(beyond=(LOW,), why="contacts need the mains to close"),
    applies=always,
)

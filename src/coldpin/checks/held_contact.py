"""A contact that stays closed: whether the unit notices it."""

from __future__ import annotations

from coldpin.checks.answers import Asked, judge_answer
from coldpin.checks.cautions import LIVE_CAUTIONS, PROVE_DEAD
from coldpin.checks.check import Bearing, Check, Level, Need, Procedure, Transfer, with_pilot
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.supply import LOW
from coldpin.records.finding import Finding
from coldpin.records.plan import Stage

WELDED = Asked(
    check="held-contact",
    name="refusal",
    title="Welded contact noticed",
    function="contact-monitoring",
    word="refusal with a contact held closed",
    yes="With one pole of its contacts bridged the unit refuses to go on and says so: it looks for a welded contact.",
    no=(
        "With one pole of its contacts bridged the unit goes on as if nothing were: it does not look for a welded "
        "contact."
    ),
)


def run_held(bench: BenchEvidence) -> tuple[Finding, ...]:
    """Say whether the unit notices a contact that stays closed: good practice, not a duty.

    Parameters
    ----------
    bench : BenchEvidence
        With the answer of a test.

    Returns
    -------
    tuple of Finding
        One finding.

    Raises
    ------
    CaseError
        A supply voltage cannot be read.
    """
    return (judge_answer(bench, WELDED),)


CHECK = Check(
    id=WELDED.check,
    title="Welded contact",
    question="Does the unit notice a contact that stays closed, and refuse?",
    needs=(Need(shows=WELDED.word),),
    bench=Procedure(
        level=Level.LIVE,
        stage=Stage.OPENED,
        instrument="vehicle simulator in an insulating box; insulated bridge with a fuse; two-pole voltage tester",
        minutes=20,
        cautions=(*LIVE_CAUTIONS, PROVE_DEAD),
        steps=(
            (
                "Unplugged and proved dead, open the unit and bridge the contact of one pole, fused and "
                "insulated; at extra-low voltage the unit may stay open, on the mains it may not."
            ),
            (
                "First at extra-low voltage, where the contacts' own supply allows it; on the mains only where that "
                "shows nothing, and only with the unit fully closed, every screw in and no part bare. A unit that "
                "cannot be closed over the bridge is tried at extra-low voltage only."
            ),
            (
                "Switch on, set the simulator to B, then to C and back to B. Watch lamps, display and pilot for a "
                "refusal."
            ),
            (
                "Answer yes where it refuses to close or to close again and says so. Take the bridge out; prove dead "
                "first."
            ),
        ),
        hold_points=(
            (
                "With the bridge in, one pole of the connector is live as soon as there is supply: it stays in its "
                "holder."
            ),
        ),
        stop_values=(
            "Any voltage on a pole that is not bridged while the simulator does not ask: switch off at the supply.",
        ),
        repeats=1,
        transfers=(
            "A refusal at extra-low voltage transfers; that none came there does not, for it may look at the mains."
        ),
    ),
    limits=(),
    run=run_held,
    bears=(Bearing(function="contact-monitoring", within_if_works=0.95, within_if_not=0.05),),
    transfer=Transfer(within=(LOW,), why="what looks for a welded contact may need the mains to see it"),
    applies=with_pilot,
)

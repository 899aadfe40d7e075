"""The lock of a socket-outlet: whether it lets the plug go after the vehicle has left."""

from __future__ import annotations

from coldpin.checks.cautions import DRAWN_DEAD
from coldpin.checks.check import Check, Need, Transfer
from coldpin.checks.delays import Timed
from coldpin.checks.supply import BOARD, LOW
from coldpin.checks.switching import timed_run
from coldpin.checks.switching_bench import timing_bench
from coldpin.records.case import Build, Cable, UnitClass

TIME = Timed(
    check="socket-release",
    name="time",
    title="Release of the plug",
    subject="The longest time from the vehicle's leaving to the release of the plug",
    functions=(),
    word="socket release time",
    opening=False,
)


def with_socket(unit: UnitClass) -> str:
    """Say whether a unit has a socket-outlet whose lock could hold a plug.

    Parameters
    ----------
    unit : UnitClass
        The class of the specimen.

    Returns
    -------
    str
        Empty where it applies, else why not.
    """
    if unit.cable is Cable.ATTACHED:
        return "the vehicle cable is attached, there is no socket-outlet to let go of it"
    return "" if unit.build is Build.FIXED else "a portable unit has no socket-outlet with a lock"


CHECK = Check(
    id=TIME.check,
    title="Plug released",
    question="Does the socket-outlet let the plug go in time after the vehicle has left?",
    needs=(Need(shows=TIME.word),),
    bench=timing_bench(
        "With a coded cable in the socket-outlet and the simulator at its end in C, open the pilot by the simulator's "
        "enclosed switch; time until the lock lets go, seen at its bolt or its motor, heard, or told by the unit's "
        "lamp. Nobody pulls at the plug to find out. A unit whose user started the lock need not let go.",
        after=("See the output dead, then draw the plug once to confirm that it is free.",),
        stop=("The lock lets go while the output is live: hands off, switch off at the supply, note it.",),
        cautions=(DRAWN_DEAD,),
    ),
    limits=("timing.unlock-on-A",),
    run=timed_run(TIME, "timing.unlock-on-A"),
    bears=(),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_socket,
)

"""The offer withdrawn while the vehicle still draws: the contacts wait, so that they part without load."""

from __future__ import annotations

from coldpin.checks.check import Bearing, Check, Transfer, with_pilot
from coldpin.checks.delays import Timed
from coldpin.checks.supply import BOARD, LOW
from coldpin.checks.switching import needs_of, timed_run
from coldpin.checks.switching_bench import timing_bench
from coldpin.records.pilot import Switching

TIME = Timed(
    check="offer-withdrawal",
    name="time",
    title="Waiting before opening under load",
    subject="The shortest time from the withdrawal of the offer to a dead output",
    functions=("orderly-stop",),
    word="opening time after withdrawal of the offer",
    events=(Switching.OPENS_ON_OSCILLATOR_OFF,),
    done=("withdrawal of the offer",),
    opening=False,
)

CHECK = Check(
    id=TIME.check,
    title="Offer withdrawn",
    question="Does the unit give the vehicle time to stop drawing before it parts its contacts?",
    needs=(),
    any_of=needs_of(TIME),
    bench=timing_bench(
        "With the simulator in C and the output live, stop the unit by its button, clock or app; the simulator stays "
        "in "
        "C, as a vehicle does that is slow. Time from the stop of the oscillator until the output is dead, or watch "
        "for "
        "ten seconds.",
        minutes=15,
    ),
    limits=("timing.open-under-load", "timing.withdraw-then-open"),
    run=timed_run(TIME, "timing.open-under-load", "timing.withdraw-then-open.sae"),
    bears=(Bearing(function="orderly-stop", within_if_works=0.95, within_if_not=0.2),),
    figures=("switching timeline",),
    transfer=Transfer(within=(LOW, BOARD), beyond=(LOW, BOARD)),
    applies=with_pilot,
)

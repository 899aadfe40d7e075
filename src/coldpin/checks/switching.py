"""Closing and opening times: the output follows the vehicle's request, its end, and its leaving."""

from __future__ import annotations

from collections.abc import Callable

from coldpin.checks.check import Bearing, Check, Need, with_pilot
from coldpin.checks.delays import Timed, judge_delays
from coldpin.checks.evidence import BenchEvidence
from coldpin.checks.switching_bench import TIMES, timing_bench
from coldpin.records.finding import Finding, Limit
from coldpin.records.pilot import Switching
from coldpin.standards.editions import Edition

RUN = Callable[[BenchEvidence], tuple[Finding, ...]]

CLOSING_TIME = Timed(
    check="closing",
    name="time",
    title="Closing time",
    subject="The longest time from the vehicle's request to a live output",
    functions=("supply-switching",),
    word="closing time after B to C",
    events=(Switching.CLOSES_IN_C,),
    done=("states", "plugged in asking"),
    opening=False,
)
OPENING_TIME = Timed(
    check="opening",
    name="time",
    title="Opening time when the vehicle stops asking",
    subject="The longest time from the end of the request to a dead output",
    functions=("timely-opening",),
    word="opening time after C to B",
    events=(Switching.OPENS_ON_B,),
    done=("states",),
)
UNPLUGGED_TIME = Timed(
    check="opening-unplugged",
    name="time",
    title="Opening time when unplugged",
    subject="The longest time from the loss of the vehicle to a dead output",
    functions=("timely-opening",),
    word="opening time after unplugging",
    events=(Switching.OPENS_ON_A,),
    done=("states", "unplugging"),
)


def limit_for(bench: BenchEvidence, name: str, own: str = "") -> Limit:
    """Return a time limit in the edition of the case.

    Parameters
    ----------
    bench : BenchEvidence
        With the book and the edition.
    name : str
        Id of the constant of IEC 61851-1.
    own : str
        Id of the constant of SAE J1772; empty where none is known, then the other serves.

    Returns
    -------
    Limit
        In seconds.
    """
    return bench.book.limit(own if own and bench.edition is Edition.SAE else name)


def needs_of(timed: Timed) -> tuple[Need, ...]:
    """Return what may serve a timed operation: any one of them.

    Parameters
    ----------
    timed : Timed
        What is timed.

    Returns
    -------
    tuple of Need
        The reading, and a capture with the output beside it.
    """
    steady = ("", "states") if "states" in timed.done else ()
    named = tuple(event for event in timed.done if event != "states")
    return (
        Need(shows=timed.word),
        Need(shows="pilot capture", conditions={"event": (*steady, *named)}, with_output=True),
    )


def timed_run(timed: Timed, name: str, own: str = "") -> RUN:
    """Return the function of a check that places a timed operation against one limit.

    Parameters
    ----------
    timed : Timed
        What is timed.
    name : str
        Id of the limit.
    own : str
        Id of the limit of SAE J1772, where one is known.

    Returns
    -------
    callable
        From evidence to one finding, or none.
    """

    def run(bench: BenchEvidence) -> tuple[Finding, ...]:
        return judge_delays(bench, timed, limit_for(bench, name, own))

    return run


CLOSING = Check(
    id=CLOSING_TIME.check,
    title=CLOSING_TIME.title,
    question="Does the unit close for a vehicle that asks, in the time a vehicle waits?",
    needs=(),
    any_of=needs_of(CLOSING_TIME),
    bench=timing_bench("With the simulator in B and a current offered, switch it to C; time until the output is live."),
    limits=("timing.close-after-C2",),
    run=timed_run(CLOSING_TIME, "timing.close-after-C2", "timing.close-after-C2.sae"),
    bears=(Bearing(function="supply-switching", within_if_works=0.97, within_if_not=0.6),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)
OPENING = Check(
    id=OPENING_TIME.check,
    title=OPENING_TIME.title,
    question="Does the output go dead in time when the vehicle stops asking?",
    needs=(),
    any_of=needs_of(OPENING_TIME),
    bench=timing_bench(
        "With the simulator in C and the output live, under a resistive load where there is one, switch it back "
        "to B; time until the output is dead. Measure at the output, not at the coil: the time counts to open "
        "contacts.",
        before=(
            (
                "A load is rated for the current and the voltage, earthed where its body is metal, enclosed, and wired "
                "with the supply off; it stands clear, for it gets hot, and is not touched until it is cold."
            ),
        ),
    ),
    limits=("timing.open-on-S2",),
    run=timed_run(OPENING_TIME, "timing.open-on-S2", "timing.open-on-S2.sae"),
    bears=(Bearing(function="timely-opening", within_if_works=0.97, within_if_not=0.2),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)
UNPLUGGED = Check(
    id=UNPLUGGED_TIME.check,
    title=UNPLUGGED_TIME.title,
    question="Does the output go dead in time when the connector leaves the vehicle while charging?",
    needs=(),
    any_of=needs_of(UNPLUGGED_TIME),
    bench=timing_bench(
        "With the simulator in C and the output live, open the pilot by the simulator's enclosed switch, the "
        "connector staying where it is; time until the output is dead. Nothing is pulled by hand under load.",
        stop=("The output stays live with the pilot open: switch off, its pins would be live in a hand.",),
    ),
    limits=("timing.open-on-unplug",),
    run=timed_run(UNPLUGGED_TIME, "timing.open-on-unplug", "timing.open-on-unplug.sae"),
    bears=(Bearing(function="timely-opening", within_if_works=0.97, within_if_not=0.2),),
    figures=("switching timeline",),
    transfer=TIMES,
    applies=with_pilot,
)

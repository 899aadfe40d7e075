"""How the switching of the output is brought about and timed at the bench: what the checks of it share."""

from __future__ import annotations

from dataclasses import replace

from coldpin.checks.cautions import LIVE_CAUTIONS, SCOPE_EARTH
from coldpin.checks.check import Level, Procedure, Transfer
from coldpin.checks.supply import BOARD, LOW
from coldpin.pilot.operations import FEWEST_OPERATIONS

SENSOR = (
    "The output is seen through an isolated voltage sensor or a rated differential probe, never by a scope's own probe."
)

SWITCHING_BENCH = Procedure(
    level=Level.LIVE,
    instrument=(
        "oscilloscope with stated accuracy, earthed, second channel through an isolated sensor of stated delay; "
        "vehicle "
        "simulator in an insulating box; or, for times of seconds, a stopwatch of stated accuracy"
    ),
    minutes=10,
    cautions=(*LIVE_CAUTIONS, SCOPE_EARTH, SENSOR),
    steps=(),
    hold_points=(
        (
            "The earth is proved, nothing is live with nothing connected, and the output goes dead when the vehicle "
            "simulator stops asking."
        ),
    ),
    stop_values=("The output stays live after the vehicle simulator stopped asking: switch off at the supply.",),
    repeats=FEWEST_OPERATIONS,
    after=("live-pins.state-b",),
    transfers=(
        "On the opened board, fed by an isolated bench supply, the relay's coil shows what the controller does: that "
        "it "
        "does not react there transfers, that the contacts open in time does not, for they were not seen."
    ),
)

TIMES = Transfer(beyond=(LOW, BOARD), why="the contacts of the closed unit on its mains were not seen to move")
"""A controller that does not react does not react on the mains either; one that does has not moved contacts yet."""

FILE = (
    "File the capture with the condition 'event', or write down one time for each operation; '> 10 s' where the "
    "output did not follow."
)


def timing_bench(
    *steps: str,
    before: tuple[str, ...] = (),
    after: tuple[str, ...] = (),
    stop: tuple[str, ...] = (),
    cautions: tuple[str, ...] = (),
    minutes: int = 10,
) -> Procedure:
    """Return the procedure of a timed operation.

    Parameters
    ----------
    *steps : str
        What is one operation.
    before, after : tuple of str
        What is done once before the first operation, and after every one of them before it is repeated.
    stop : tuple of str
        Further stop values.
    cautions : tuple of str
        Further cautions, which stand before the steps.
    minutes : int
        How long it takes. [min]

    Returns
    -------
    Procedure
        With what all of them share.
    """
    return replace(
        SWITCHING_BENCH,
        steps=(*before, *steps, *after, f"Repeat {FEWEST_OPERATIONS} times or more: the worst counts.", FILE),
        stop_values=(*SWITCHING_BENCH.stop_values, *stop),
        cautions=(*SWITCHING_BENCH.cautions, *cautions),
        minutes=minutes,
    )

"""What couples across open contacts, told from mains that the contacts switch."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from coldpin.pilot.changes import PilotRun
from coldpin.records.pilot import Bracket, LiveStretch, OutputKind, OutputReading, State

ASKING = (State.C2, State.D2)
AFTER = (State.B1, State.B2)

UNTOLD = (
    "the second channel was never seen to follow a vehicle that asked or stopped asking, and shows no more than what "
    "may couple across open contacts: state how it scales, or capture once with the output switched on"
)
"""Why small mains is neither live nor dead."""


def with_coupling(output: OutputReading, runs: Sequence[PilotRun], *, touch: float) -> OutputReading:
    """Put an output in doubt that shows no more mains than what couples across open contacts, and never was switched.

    A sensor of unknown ratio shows live contacts as a few volts, and so does a probe at open contacts. What closes
    while a vehicle asks, or opens once it stops asking, is switched: what couples comes and goes with the supply, with
    the lead that is moved or with the vehicle that is plugged in, but not with that.

    Parameters
    ----------
    output : OutputReading
        As the second channel alone was read.
    runs : sequence of PilotRun
        The runs of the pilot.
    touch : float
        R.m.s. voltage above which mains as read is live whatever else is seen. [V]

    Returns
    -------
    OutputReading
        The same, with a doubt where it cannot be told.

    Examples
    --------
    >>> always = LiveStretch(first_contact_s=None, closed_s=None, first_break_s=None, opened_s=None)
    >>> small = OutputReading(kind=OutputKind.MAINS, stated=True, live=(always,), amplitude_v=1.4)
    >>> with_coupling(small, (), touch=50.0).doubt == UNTOLD
    True
    >>> with_coupling(replace(small, amplitude_v=325.0), (), touch=50.0).doubt
    ''
    """
    if output.doubt or output.kind is not OutputKind.MAINS or output.amplitude_v >= math.sqrt(2.0) * touch:
        return output
    if any(_switched(stretch, runs) for stretch in output.live):
        return output
    return replace(output, doubt=UNTOLD)


def _switched(stretch: LiveStretch, runs: Sequence[PilotRun]) -> bool:
    """Say whether a stretch surely began while a vehicle asked, or surely ended while it asked or rested in B after."""
    asked = [run for run in runs if run.state in ASKING]
    stopped = [run for before, run in pairwise(runs) if before.state in ASKING and run.state in AFTER]
    return any(_lies_in(stretch.first_contact_s, run) for run in asked) or any(
        _lies_in(stretch.opened_s, run) for run in (*asked, *stopped)
    )


def _lies_in(moment: Bracket | None, run: PilotRun) -> bool:
    first = run.start_s if run.began is None else run.began[0]
    return moment is not None and first <= moment[0] and moment[1] <= run.end_s

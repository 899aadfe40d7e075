"""The diode on the vehicle side, told by the low level while the oscillator runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from coldpin.errors import InputError
from coldpin.pilot.levels import may_be_clipped
from coldpin.pilot.states import Windows
from coldpin.quantity import Quantity
from coldpin.records.finding import Limit
from coldpin.records.pilot import Diode, Run, State
from coldpin.standards.pilot import Generator

LOADED = (State.B2, State.C2, State.D2)
"""States in which a vehicle loads the pilot and the oscillator runs: only there can the diode be seen."""


ZERO_ERROR = 0.1
"""Ours: an instrument of which nothing is stated may show 0 V wrong by this much. [V]"""


SURE_MOVE = 4.0
"""Ours: two loads tell a diode where without one the low level would move by so many times what it is unsure by. [1]"""

MOVE_TOLERANCE = 0.1
"""Ours: a low level has not moved, or has moved as without a diode, within this part of that movement. [1]"""


def mirror_ratios(generator: Generator) -> tuple[float, float]:
    """Return how much the low level without a diode can differ from the high one turned over.

    Without a diode the same resistors divide both rails, so low / -high is the ratio of the two open-circuit rails;
    their tolerances bound it.

    Parameters
    ----------
    generator : Generator
        The rails as allowed.

    Returns
    -------
    tuple of float
        The smallest and the largest ratio. [1]

    Raises
    ------
    InputError
        An own value of the case leaves a rail without an edge.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.editions import Edition
    >>> from coldpin.standards.pilot import generator
    >>> [round(ratio, 3) for ratio in mirror_ratios(generator(load_book(), Edition.IEC_3))]
    [0.905, 1.105]
    """
    high_least, high_most = _span(generator.high_open)
    low_least, low_most = _span(generator.low_open)
    return -low_most / high_most, -low_least / high_least


def _span(limit: Limit) -> tuple[float, float]:
    if limit.minimum is None or limit.maximum is None:
        raise InputError(
            f"constant {limit.id!r} ({limit.source}) needs both edges, by which a missing diode is told: give both"
        )
    return limit.minimum, limit.maximum


def read_diode(
    state: State, high: Quantity | None, low: Quantity | None, *, windows: Windows, generator: Generator
) -> Diode:
    """Say whether there is a diode on the vehicle side.

    It is there when the low level stays at the rail, and absent when the low level is the high one turned over, within
    the tolerance of the rails and the uncertainty of the levels, and surely not at the rail. Between the two (a weak
    negative rail, a leaking diode), and where the pilot is not loaded by a vehicle, it is unknown; other loads in the
    same capture may tell then (:func:`compare_loads`). Where the instrument may have clipped the low level nothing is
    told.

    Parameters
    ----------
    state : State
        The state of the run.
    high : Quantity or None
        Its high level. [V]
    low : Quantity or None
        Its low level. [V]
    windows : Windows
        The windows of the edition.
    generator : Generator
        The generator of the edition.

    Returns
    -------
    Diode
        Present, absent or unknown.

    Examples
    --------
    >>> from coldpin.pilot.states import windows_of
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.editions import Edition
    >>> from coldpin.standards.pilot import generator
    >>> book, edition = load_book(), Edition.IEC_3
    >>> known = {"windows": windows_of(book, edition), "generator": generator(book, edition)}
    >>> high, lows = Quantity(8.9, 0.05, "V"), [Quantity(level, 0.05, "V") for level in (-12.1, -8.8, -10.7)]
    >>> [read_diode(State.B2, high, low, **known).value for low in lows]
    ['present', 'absent', 'unknown']

    Sources
    -------
    ``pilot.window.low`` is the diode check; without a diode the resistors of the vehicle load the low rail too.
    """
    if state not in LOADED or high is None or low is None or may_be_clipped(low):
        return Diode.UNKNOWN
    window = windows.low_of(state.value[0])
    if window.holds(low.value):
        return Diode.PRESENT
    least, most = mirror_ratios(generator)
    unsure = _unsure(low) + most * _unsure(high)
    mirrored = least * high.value - unsure <= -low.value <= most * high.value + unsure
    return Diode.ABSENT if mirrored and low.value - _unsure(low) > window.maximum else Diode.UNKNOWN


def compare_loads(runs: Sequence[Run]) -> tuple[Run, ...]:
    """Settle by other loads in the same capture whether there is a diode, where a run alone does not tell for sure.

    With a diode the low level is that of the rail whatever the load; without one it moves with the load as the high
    level does. So a negative rail too weak for the window still shows a diode, where the low level of B2 is that of A2
    or of C2, though alone it may look like the high one turned over (−10 V beside 9 V). What does neither (a leaking
    diode, rails that moved in between) stays as it was, and what two comparisons tell differently is unknown.

    .. math:: U_{low,j} - U_{low,i} = U_{low,i} (U_{high,j} / U_{high,i} - 1)

    without a diode, and 0 with one.

    Parameters
    ----------
    runs : sequence of Run
        The runs of one capture.

    Returns
    -------
    tuple of Run
        The same; a diode that the rail alone showed stays present.
    """
    # of each state the run with most cycles stands for all, so that many runs take no longer than once through them
    longest: dict[State, Run] = {}
    for run in runs:
        if run.state.oscillating and (run.state not in longest or run.cycles > longest[run.state].cycles):
            longest[run.state] = run
    settled = []
    for run in runs:
        diode = run.diode
        if run.state in LOADED and diode is not Diode.PRESENT:
            others = (other for state, other in longest.items() if state is not run.state)
            told = {found for other in others if (found := _compared(run, other)) is not Diode.UNKNOWN}
            diode = told.pop() if len(told) == 1 else Diode.UNKNOWN if told else diode
        settled.append(replace(run, diode=diode))
    return tuple(settled)


def unknown_because(run: Run, runs: Sequence[Run]) -> str:
    """Say why a loaded run with both levels leaves open whether there is a diode.

    Parameters
    ----------
    run : Run
        The run.
    runs : sequence of Run
        All runs of its capture.

    Returns
    -------
    str
        The reason and what would tell; empty where the diode is told, or nothing is to be seen of it.
    """
    if run.state not in LOADED or run.diode is not Diode.UNKNOWN or run.high_v is None or run.low_v is None:
        return ""
    if may_be_clipped(run.low_v):
        return "the instrument may have clipped the low level: repeat the capture on a larger range"
    others = [other for other in runs if other.state.oscillating and other.state is not run.state]
    if not others:
        return (
            "the low level is neither that of the rail nor the high one turned over, and this capture holds no other "
            "load to compare it with: capture A with the oscillator running, or another state, too"
        )
    return "the low level neither stands still nor moves as without a diode when the load changes"


def _compared(run: Run, other: Run) -> Diode:
    high, low, reference_high, reference_low = run.high_v, run.low_v, other.high_v, other.low_v
    if high is None or low is None or reference_high is None or reference_low is None or reference_high.value <= 0.0:
        return Diode.UNKNOWN
    if may_be_clipped(low) or may_be_clipped(reference_low):
        # where the instrument ends every low level stands alike
        return Diode.UNKNOWN
    expected = reference_low.value * (high.value / reference_high.value - 1.0)
    # an error of zero is the same in both
    unsure = (low.expanded or ZERO_ERROR) + (reference_low.expanded or ZERO_ERROR)
    if abs(expected) < SURE_MOVE * unsure:
        return Diode.UNKNOWN
    part, tolerance = (low.value - reference_low.value) / expected, MOVE_TOLERANCE + unsure / abs(expected)
    if abs(part) <= tolerance:
        return Diode.PRESENT
    return Diode.ABSENT if abs(part - 1.0) <= tolerance else Diode.UNKNOWN


def _unsure(level: Quantity) -> float:
    return max(ZERO_ERROR, level.expanded or 0.0)

"""What is drawn beside a wave: states without gap, events in order, a small ribbon that leaves nothing out."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.quantity import Quantity
from coldpin.records.pilot import (
    Diode,
    Glitch,
    Glitches,
    OutputKind,
    OutputReading,
    PilotReading,
    Run,
    Source,
    State,
    Switching,
    SwitchingEvent,
)
from coldpin.workbench.wave_marks import beats_of, events_of, meaning_of, pilot_told, small_ribbon, states_of


def run(state: State, start: float, end: float, frequency: float | None = None) -> Run:
    """A run without figures, but perhaps a frequency."""
    return Run(
        state=state,
        start_s=start,
        end_s=end,
        cycles=0,
        high_v=None,
        low_v=None,
        frequency_hz=None if frequency is None else Quantity(frequency, 1.0, "Hz"),
        duty_percent=None,
        offered_current_a=None,
        diode=Diode.UNKNOWN,
    )


def reading(*runs: Run, **more: object) -> PilotReading:
    """A reading of these runs."""
    end = max(one.end_s for one in runs)
    source = Source(samples=round(end * 1e6), sample_interval_s=1e-6, duration_s=end)
    return PilotReading(schema="coldpin.pilot/1", source=source, runs=runs, **more)  # type: ignore[arg-type]  # whatever fields a test names


@st.composite
def any_runs(draw: st.DrawFn) -> tuple[Run, ...]:
    """Runs without gap, of any states and lengths."""
    lengths = draw(st.lists(st.floats(1e-4, 100.0), min_size=1, max_size=40))
    states = draw(st.lists(st.sampled_from(State), min_size=len(lengths), max_size=len(lengths)))
    ends = [sum(lengths[: place + 1]) for place in range(len(lengths))]
    return tuple(run(*one) for one in zip(states, [0.0, *ends[:-1]], ends, strict=True))


@given(any_runs())
def test_states_stand_without_gap_and_neighbours_differ(runs: tuple[Run, ...]) -> None:
    """From the first sample to the last; each moment keeps the state that its run has."""
    states = states_of(reading(*runs))
    assert states[0].stretch.from_s == runs[0].start_s
    assert states[-1].stretch.to_s == runs[-1].end_s
    for before, after in pairwise(states):
        assert before.stretch.to_s == after.stretch.from_s
        assert before.state is not after.state
    for one in runs:
        middle = 0.5 * (one.start_s + one.end_s)
        (there,) = [state for state in states if state.stretch.from_s <= middle < state.stretch.to_s]
        assert there.state is one.state


@given(any_runs())
def test_a_small_ribbon_fills_its_width(runs: tuple[Run, ...]) -> None:
    """No gap and no overlap, however short a run is; neighbours differ."""
    pieces = small_ribbon(reading(*runs))
    assert pieces[0].left_percent == 0.0
    for before, after in pairwise(pieces):
        assert before.left_percent + before.width_percent == pytest.approx(after.left_percent)
        assert before.state is not after.state
    assert pieces[-1].left_percent + pieces[-1].width_percent == pytest.approx(100.0)
    assert {piece.state for piece in pieces} <= {one.state for one in runs}


def test_what_happened_stands_in_order_of_time() -> None:
    """Changes of state, operations with their delays, glitches with what they last."""
    closes = SwitchingEvent(
        event=Switching.CLOSES_IN_C,
        state_from=State.B2,
        state_to=State.C2,
        delay_s=Quantity(0.12, 0.001, "s"),
        limit_s=3.0,
        limit_kind="max",
        outcome="within",
        operations=1,
        delays_s=(Quantity(0.12, 0.001, "s"),),
        at_s=(1.0,),
    )
    live = SwitchingEvent(
        event=Switching.LIVE_IN_B,
        state_from=State.B2,
        state_to=State.B2,
        delay_s=None,
        limit_s=None,
        limit_kind=None,
        outcome="beyond",
        operations=1,
        at_s=(0.5,),
    )
    glitch = Glitch(start_s=0.2, width_s=4e-6, state=State.B2, peak_v=-3.04)
    told = reading(
        run(State.B2, 0.0, 1.0),
        run(State.C2, 1.0, 2.0),
        switching=(closes, live),
        glitches=Glitches(count=3, longest=(glitch,)),
    )
    events = events_of(told)

    assert [(event.kind, event.at_s) for event in events] == [
        ("glitch", 0.2),
        ("switching", 0.5),
        ("state", 1.0),
        ("switching", 1.0),
    ]
    assert [event.words for event in events] == [
        "glitch in B2 to −3.04 V",
        "output live though not asked (B)",
        "B2 to C2",
        "output closes when asked (C), after 0.1200 s ± 0.0020 s",
    ]
    assert events[0].lasts_s == 4e-6
    assert pilot_told(told) == ("B2, C2, over 2 s", ("2 operations of the output", "3 glitches"))


@pytest.mark.hand("1 / 990 Hz = 1.0101 ms")
def test_what_repeats_is_known_by_its_longest_cycle() -> None:
    """The slowest oscillation of all runs, and the mains where the output shows it; else the nominal one."""
    runs = (run(State.B2, 0.0, 1.0, 1000.0), run(State.C2, 1.0, 2.0, 990.0))
    output = OutputReading(kind=OutputKind.MAINS, stated=True, live=(), amplitude_v=325.0)
    assert beats_of(reading(*runs)) == pytest.approx((1.0101e-3,), rel=1e-4)
    assert beats_of(reading(*runs, output=output)) == pytest.approx((1.0101e-3, 20e-3), rel=1e-4)
    assert beats_of(reading(run(State.A1, 0.0, 1.0))) == beats_of(None) == (1e-3,)


def test_many_states_are_not_all_named() -> None:
    """How many more there are is said; each state has its meaning."""
    runs = tuple(run(State.B2 if place % 2 else State.C2, float(place), place + 1.0) for place in range(20))
    assert pilot_told(reading(*runs))[0].endswith("and 8 more, over 20 s")
    assert all(meaning_of(state) for state in State)

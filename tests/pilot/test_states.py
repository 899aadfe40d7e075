"""States by their windows, runs of states, and the diode."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.pilot.cycles import SteadyTable, decode
from coldpin.pilot.diode import mirror_ratios, read_diode
from coldpin.pilot.plateaus import find_levels
from coldpin.pilot.scale import Scale, scale_of
from coldpin.pilot.states import (
    NO_WORD,
    STATES,
    Pieces,
    classify,
    classify_blocks,
    classify_cycles,
    find_runs,
    windows_of,
)
from coldpin.quantity import Quantity
from coldpin.records.case import OwnConstant
from coldpin.records.pilot import Diode, State
from coldpin.standards import Edition, generator, load_book

from .rc_circuit import BEHIND_DIODE, LOADS, SHORT, Load, Stage, Unit, sample_times, waveform

BOOK = load_book()
WINDOWS = windows_of(BOOK, Edition.IEC_3)
GENERATOR = generator(BOOK, Edition.IEC_3)
MICROSECOND = 1e-6
QUIET = Scale(interval=MICROSECOND, noise=0.0, step=0.0, hysteresis=0.2, spread=0.1)
BEYOND = 1e-9
EDGES = [("A", 11.0, 13.0), ("B", 8.0, 10.0), ("C", 5.0, 7.0), ("D", 2.0, 4.0)]
UNDEFINED = State.UNDEFINED


def cycle_state(high: float, low: float = -12.0) -> State:
    """The state of one cycle."""
    return STATES[int(classify_cycles(np.array([high]), np.array([low]), WINDOWS)[0])]


def block_state(voltage: NDArray[np.float64]) -> State:
    """The state of one block."""
    first, stop = np.array([0]), np.array([voltage.size])
    levels = find_levels(voltage, None if np.isfinite(voltage).all() else np.isfinite(voltage), first, stop, QUIET)
    table = SteadyTable(first=first, stop=stop, levels=levels, settled=np.array([True]))
    return STATES[int(classify_blocks(table, WINDOWS)[0])]


def read_states(
    stages: list[Stage], *, interval: float = MICROSECOND, noise: float = 0.03, unit: Unit | None = None
) -> list[tuple[str, float, float]]:
    """States with their beginning and end as read from the circuit solved by hand. [s]"""
    samples = round(sum(stage.duration for stage in stages) / interval)
    clean = waveform(stages, unit or Unit(), sample_times(samples, interval), phase=0.61)
    voltage = clean + np.random.default_rng(7).normal(0.0, noise, samples)
    decoded = decode(voltage, scale_of(voltage, interval))
    runs = find_runs(classify(decoded, WINDOWS), interval)
    return [(run.state.value, run.first * interval, run.stop * interval) for run in runs]


@pytest.mark.published(
    "IEC 61851-1 Table A.3 / A.4: each state within 1 V of 12, 9, 6, 3 V, as restated in public texts"
)
@pytest.mark.parametrize(("letter", "low", "high"), EDGES)
def test_every_edge_of_the_state_windows(letter: str, low: float, high: float) -> None:
    """On the edge and inside it is the state, just outside it is undefined, oscillating or not."""
    for level, inside in ((low, True), (high, True), (low - BEYOND, False), (high + BEYOND, False)):
        assert cycle_state(level).value == (f"{letter}2" if inside else "undefined")
        assert block_state(np.full(100, level)).value == (f"{letter}1" if inside else "undefined")


@pytest.mark.published("IEC 61851-1:2017 Table A.4: E within 1 V of 0 V, as restated in a public text; F memory")
@pytest.mark.parametrize(
    ("level", "state"),
    [
        (-1.0, "E"),
        (1.0, "E"),
        (-1.0 - BEYOND, "undefined"),
        (1.0 + BEYOND, "undefined"),
        (-13.0, "F"),
        (-12.0, "F"),
        (-11.0, "F"),
        (-13.0 - BEYOND, "undefined"),
        (-11.0 + BEYOND, "undefined"),
    ],
)
def test_steady_levels_of_e_and_f(level: float, state: str) -> None:
    """A steady level near 0 V is E, near -12 V it is F."""
    assert block_state(np.full(100, level)).value == state


@pytest.mark.published("bench remark in a public text: short behind the diode leaves +0.7 V and -12 V and is E")
@pytest.mark.parametrize(("high", "low"), [(0.7, -12.0), (0.82, -0.89), (0.25, -12.0)])
def test_a_shorted_pilot_is_e_while_it_oscillates(high: float, low: float) -> None:
    """A pilot shorted directly or behind a diode is E, whether its cycles cross the hysteresis or not."""
    assert cycle_state(high, low) is State.E
    assert block_state(np.tile(np.repeat([low, high], [70, 30]), 10)) is State.E


@pytest.mark.parametrize("high", [9.0, 6.0, 3.0, 0.7])
def test_a_reversed_probe_is_no_state(high: float) -> None:
    """+12 V with a low level that mirrors a loaded state is what a reversed probe shows, not state A."""
    assert cycle_state(12.0, -high) is UNDEFINED
    assert cycle_state(12.0, -10.7) is State.A2


def test_a_pilot_that_never_goes_negative_is_undefined() -> None:
    """An oscillator without a negative rail makes no cycles and no state."""
    assert block_state(np.tile(np.repeat([0.0, 9.0], [70, 30]), 10)) is UNDEFINED


def test_what_is_missing_is_undefined() -> None:
    """A block of which no sample is there shows no state."""
    assert block_state(np.full(100, np.nan)) is UNDEFINED
    assert classify_cycles(np.array([np.nan]), np.array([-12.0]), WINDOWS).tolist() == [NO_WORD]


@pytest.mark.hand("a sequence of loads and duty cycles as set, each state beginning within two periods of its cause")
def test_a_whole_charge() -> None:
    """Every state from A1 to F comes out in order, and passages between them are no states."""
    stages = [
        Stage(duration=0.05, load=LOADS["A"]),
        Stage(duration=0.03, load=LOADS["B"]),
        Stage(duration=0.06, load=LOADS["B"], duty=26.67),
        Stage(duration=0.0801, load=LOADS["C"], duty=26.67),
        Stage(duration=0.05, load=LOADS["D"], duty=26.67),
        Stage(duration=0.03, load=SHORT, duty=26.67),
        Stage(duration=0.0203, load=LOADS["C"], duty=26.67),
        Stage(duration=0.03, load=LOADS["C"]),
        Stage(duration=0.03, load=LOADS["D"]),
        Stage(duration=0.03, load=BEHIND_DIODE, duty=50.0),
        Stage(duration=0.03, load=SHORT),
        Stage(duration=0.05, load=LOADS["A"], duty=26.67),
        Stage(duration=0.05, load=LOADS["A"], duty=0.0),
    ]
    found = read_states(stages)
    starts = np.cumsum([0.0] + [stage.duration for stage in stages])

    states = ["A1", "B1", "B2", "C2", "D2", "E", "C2", "C1", "D1", "E", "A2", "F"]
    assert [state for state, _, _ in found] == states
    causes = np.delete(starts, [10, 13])
    assert [start for _, start, _ in found] == pytest.approx(causes.tolist(), abs=2e-3)
    assert [end for _, _, end in found[:-1]] == [start for _, start, _ in found[1:]]


@pytest.mark.published("a short B-C-B of 0.2 s to 0.4 s is a wake-up signal and must be seen")
@pytest.mark.parametrize("interval", [MICROSECOND, 1.0 / 48000.0])
@pytest.mark.parametrize("duty", [26.67, 100.0])
def test_a_wake_up_toggle_survives(interval: float, duty: float) -> None:
    """B-C-B of 0.2 s is three runs, at 1 MS/s and at 48 kS/s, oscillating or not."""
    stages = [Stage(duration=time, load=LOADS[load], duty=duty) for time, load in ((0.1, "B"), (0.2, "C"), (0.1, "B"))]
    found = read_states(stages, interval=interval)

    kind = 1 if duty == 100.0 else 2
    assert [state for state, _, _ in found] == [f"B{kind}", f"C{kind}", f"B{kind}"]
    assert found[1][2] - found[1][1] == pytest.approx(0.2, abs=2e-3)


def test_a_bouncing_contact_is_no_state() -> None:
    """Bounces of 1 ms about a change of state do not make runs of their own."""
    stages = [Stage(duration=0.05, load=LOADS["B"], duty=50.0)]
    stages += [Stage(duration=0.001, load=LOADS[load], duty=50.0) for load in "CBCB"]
    stages += [Stage(duration=0.05, load=LOADS["C"], duty=50.0)]

    assert [state for state, _, _ in read_states(stages)] == ["B2", "C2"]


def test_states_that_change_faster_than_a_run_are_undefined() -> None:
    """Where two states take turns every 2 ms for long, neither holds."""
    stages = [Stage(duration=0.05, load=LOADS["B"])]
    stages += [Stage(duration=0.002, load=LOADS[load]) for load in "CB" * 15]
    stages += [Stage(duration=0.05, load=LOADS["C"])]

    assert [state for state, _, _ in read_states(stages)] == ["B1", "undefined", "C1"]


def test_a_state_that_holds_most_of_the_time_stands() -> None:
    """Where one state is interrupted again and again for a short time, it is the state of the stretch."""
    stages = [Stage(duration=time, load=LOADS[load]) for time, load in ((0.004, "B"), (0.001, "C")) * 12]

    assert [state for state, _, _ in read_states(stages)] == ["B1"]


@pytest.mark.parametrize("milliseconds", [0.3, 2.4, 4.0])
@pytest.mark.parametrize("duty", [100.0, 40.0])
def test_short_captures_still_have_a_state(milliseconds: float, duty: float) -> None:
    """A capture of a few cycles, or of a part of one, is read as far as it goes."""
    found = read_states([Stage(duration=milliseconds / 1000.0, load=LOADS["B"], duty=duty)])

    whole = duty == 100.0 or milliseconds > 2.0
    assert [state for state, _, _ in found] == (["B1" if duty == 100.0 else "B2"] if whole else ["undefined"])


def test_no_pieces_no_runs() -> None:
    """Nothing makes nothing."""
    none = np.empty(0, np.int64)

    assert find_runs(Pieces(first=none, stop=none, code=none, cycle=none, block=none), MICROSECOND) == ()


@given(st.lists(st.tuples(st.integers(0, len(STATES) - 1), st.integers(1, 40)), min_size=1, max_size=30))
def test_runs_cover_and_differ(script: list[tuple[int, int]]) -> None:
    """Runs follow each other without gap, neighbours differ, and none but those of a tiny capture is too short."""
    code = np.concatenate([np.full(length, word) for word, length in script]) - 1
    bound = np.arange(code.size + 1) * 1000
    rows = np.arange(code.size)
    pieces = Pieces(first=bound[:-1], stop=bound[1:], code=code, cycle=rows, block=rows)
    runs = find_runs(pieces, MICROSECOND)

    assert (runs[0].first, runs[-1].stop) == (0, bound[-1])
    for run, following in pairwise(runs):
        assert run.stop == following.first
        assert run.stop_piece == following.first_piece
        assert run.state is not following.state
    # a run of 5 ms or more in one state is never lost
    for word in set((code[code != NO_WORD]).tolist()):
        for stretch in np.split(rows, np.flatnonzero(np.diff(code)) + 1):
            if code[stretch[0]] == word and stretch.size >= 5:
                middle = bound[stretch[0]] + 500
                assert any(run.first <= middle < run.stop and run.state is STATES[word] for run in runs)


RAIL = Quantity(-12.0, 0.02, "V")
NO_DIODE = [
    (State.B2, 8.98, (-9.38, -8.79, -8.22)),
    (State.C2, 6.0, (-6.09, -5.62, -5.17)),
    (State.D2, 2.93, (-2.61, -2.37, -2.14)),
]


@pytest.mark.published(
    "low levels with a shorted diode, computed from the tolerances of generator and resistors (memory)"
)
@pytest.mark.parametrize(("state", "high", "lows"), NO_DIODE)
def test_a_shorted_diode_at_the_corners(state: State, high: float, lows: tuple[float, float, float]) -> None:
    """At nominal level and at both corners of the tolerances the missing diode is seen; at the rail it is there."""
    mirrored = [Quantity(-low, 0.03, "V") for low in lows]
    for level, low in zip(mirrored, lows, strict=True):
        found = read_diode(state, level, Quantity(low, 0.03, "V"), windows=WINDOWS, generator=GENERATOR)
        assert found is Diode.ABSENT
    present = read_diode(state, Quantity(high, 0.03, "V"), RAIL, windows=WINDOWS, generator=GENERATOR)
    assert present is Diode.PRESENT


@pytest.mark.published("a low level of -10.7 V on a home-built unit with a weak negative rail: the diode was there")
@pytest.mark.parametrize("u", [0.02, 0.6])
def test_a_weak_rail_is_not_taken_for_a_missing_diode(u: float) -> None:
    """Between the mirror and the rail nothing is said, however unsure the levels are."""
    weak = read_diode(State.B2, Quantity(8.9, u, "V"), Quantity(-10.7, u, "V"), windows=WINDOWS, generator=GENERATOR)

    assert weak is Diode.UNKNOWN


@pytest.mark.parametrize("state", [State.A2, State.B1, State.E, State.F, UNDEFINED])
def test_the_diode_is_seen_only_in_b2_c2_d2(state: State) -> None:
    """Elsewhere, or with a level missing, it is unknown."""
    level = Quantity(9.0, 0.02, "V")

    assert read_diode(state, level, RAIL, windows=WINDOWS, generator=GENERATOR) is Diode.UNKNOWN
    assert read_diode(State.B2, level, None, windows=WINDOWS, generator=GENERATOR) is Diode.UNKNOWN
    assert read_diode(State.B2, None, RAIL, windows=WINDOWS, generator=GENERATOR) is Diode.UNKNOWN


@pytest.mark.hand("rails of 11.4 V to 12.6 V: ratios 11.4 / 12.6 and 12.6 / 11.4")
@pytest.mark.parametrize("edition", list(Edition))
def test_the_mirror_follows_the_rails(edition: Edition) -> None:
    """How unlike the two levels may be comes from the generator's limits."""
    assert mirror_ratios(generator(BOOK, edition)) == pytest.approx((11.4 / 12.6, 12.6 / 11.4))


def test_a_rail_without_an_edge_is_an_error() -> None:
    """An own value that leaves the rail open cannot tell a missing diode, and the message says what to give."""
    own = OwnConstant(id="pilot.low-open.iec-3", maximum=-11.4, source="a test", standing="common practice")
    book = BOOK.with_own([own])

    with pytest.raises(InputError, match=r"'pilot\.low-open\.iec-3' \(a test\) needs both edges"):
        mirror_ratios(generator(book, Edition.IEC_3))


def test_an_own_window_is_used() -> None:
    """A window the case replaces tells the state."""
    own = OwnConstant(
        id="pilot.window.B.high.iec-3", minimum=8.0, maximum=10.5, source="a test", standing="common practice"
    )
    windows = windows_of(BOOK.with_own([own]), Edition.IEC_3)

    assert STATES[classify_cycles(np.array([10.4]), np.array([-12.0]), windows)[0]] is State.B2


def test_the_loads_of_this_file_are_those_of_the_states() -> None:
    """The circuit solved by hand knows a load for each letter, and none for the open pilot."""
    assert LOADS["A"] == Load()

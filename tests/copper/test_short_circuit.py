"""A short circuit of line and neutral at the far end: least current, device, conductor, and what leaves it open."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.copper.fault import BETWEEN_LINES, fault_of_lead
from coldpin.copper.fault_withstand import LINE, NEUTRAL
from coldpin.copper.short_circuit import NO_LINE, NO_LOOP, OF_THREE_PHASES, short_circuit, short_circuit_statement
from coldpin.quantity import Quantity
from coldpin.records.fault import Core, FaultWithstand, Feed, ShortCircuit
from coldpin.records.finding import Outcome, Standing
from coldpin.standards.book import load_book
from coldpin.standards.disconnection import opening
from coldpin.standards.protective_device import find_device

BOOK = load_book()
OHM_PER_METRE = 0.0133
"""The most that class 5 lets 1.5 mm² have, at 20 °C."""


def core(name: str, ohms: float, *, area: float = 1.5, allowed: float = 0.0) -> Core:
    """A conductor in PVC whose resistance is known all but exactly."""
    return Core(
        conductor=name,
        area=Quantity(area, 1e-4, "mm²"),
        area_from="the marked size",
        resistance_20=Quantity(ohms, 1e-5, "Ω"),
        not_counted=("a joint",) if allowed else (),
        allowed_20=allowed,
    )


def feed(device: str, *loops: float, u: float | None = 0.005, seen: bool = True, capacity: float | None = None) -> Feed:
    """A device with loops of line and neutral."""
    return Feed(
        device=find_device(device),
        capacity=capacity or 6000.0,
        class_seen=capacity is not None,
        neutral=tuple(Quantity(loop, u, "Ω") for loop in loops),
        seen=seen,
    )


def told_of(
    before: Feed, *, ohms: float = 5 * OHM_PER_METRE, area: float = 1.5, allowed: float = 0.0, read: bool = True
) -> ShortCircuit:
    """A lead of 5 m of 1.5 mm², its neutral as the line."""
    neutral = core(NEUTRAL, ohms, area=area) if read else None
    told, why = short_circuit(
        [core(LINE, ohms, area=area, allowed=allowed)],
        before,
        BOOK,
        conductor_temperature=70.0,
        insulation="PVC 70",
        neutral=neutral,
    )
    assert told is not None, why
    return told


@pytest.mark.hand(
    "t = (k S/I)² of IEC 60364-4-43 434.5.2: 0.70 Ω + 2 · 0.0665 Ω · (1 + 0.00393 · 50) = 0.85914 Ω; "
    "0.95 · 230 V / 0.85914 Ω = 254.33 A; (115 · 1.5)² / 254.33² = 29756 / 64682 = 0.4600 s; a B16 acts from 80 A on"
)
def test_the_least_current_of_five_metres_is_off_long_before_it_does_harm() -> None:
    """Loop with the lead warm, current with the supply low, and how long the conductor bears it."""
    told = told_of(feed("B16", 0.70))

    assert told.total_ohm.value == pytest.approx(0.85914, abs=2e-5)
    assert told.prospective_current_a.value == pytest.approx(230.0 / 0.85914, rel=1e-4)
    assert told.least_current_a.value == pytest.approx(254.33, abs=0.01)
    assert told.bears_s.value == pytest.approx(0.4600, abs=1e-4)
    assert told.bears_s.u is not None
    assert (told.acts_from_a, told.outcome, told.settles) == (80.0, Outcome.WITHIN, "")
    assert told.acts_within is not None
    assert (told.acts_within.maximum, told.acts_within.standing) == (0.1, Standing.MEMORY)
    assert "a B16 acts within 0.1 s from 80 A on." in short_circuit_statement(told, feed("B16", 0.70))


@pytest.mark.hand(
    "1.30 Ω + 0.15914 Ω: 218.5 V / 1.45914 Ω = 149.7 A, below the 160 A of a C16; 29756 / 149.7² = 1.33 s"
)
def test_a_current_too_small_to_act_at_once_is_left_open() -> None:
    """No curve is made up: what it must keep is told; where the socket alone is too weak the lead is not blamed."""
    told, alone = told_of(feed("C16", 1.30)), told_of(feed("C16", 1.50))
    said = short_circuit_statement(told, feed("C16", 1.30))

    assert (told.outcome, told.probability) == (Outcome.UNDECIDED, None)
    assert "less than the 160 A from which a C16 acts within 0.1 s" in said
    assert "its maker's curve must show less than 1.3 s at that current." in said
    assert "nothing of the lead" not in said
    assert "says nothing of the lead" in alone.settles


@pytest.mark.published(
    "loops for 0.4 s of 2.3 Ω (plug fuse 13 A, read) and 2.43 Ω (gG 16 A, memory), BS 7671, Cmin 0.95"
)
@pytest.mark.parametrize(
    ("device", "current", "seconds"),
    [("BS 1362 13 A", 218.5 / 2.3, 0.4), ("gG 16", 218.5 / 2.43, 0.4), ("D16", 320.0, 0.1), ("gG 63", None, None)],
)
def test_of_a_curve_only_what_the_tables_hold_is_used(
    device: str, current: float | None, seconds: float | None
) -> None:
    """One point of a fuse, the upper end of a circuit-breaker's band, nothing of what no table has."""
    points = opening(BOOK, find_device(device))

    assert [one.within.maximum for one in points] == ([] if seconds is None else [seconds])
    assert [one.current for one in points] == pytest.approx([] if current is None else [current])


@pytest.mark.hand("gG 16 A, 0.70 Ω: 254 A, borne for 0.46 s, off within 0.4 s; 0.40 Ω: 391 A, 0.19 s; a joint of 3 Ω")
@pytest.mark.parametrize(
    ("before", "more", "outcome", "says"),
    [
        (feed("gG 16", 0.70), {}, Outcome.WITHIN, ""),
        (feed("gG 16", 0.40), {}, Outcome.UNDECIDED, "how much sooner is in no table"),
        (feed("gG 63", 0.40), {}, Outcome.UNDECIDED, "when a gG 63 A opens is in no table known to us"),
        (feed("B16", 0.70, seen=False), {}, Outcome.UNDECIDED, "nobody saw that a B16"),
        (feed("B16", 0.70, u=None), {}, Outcome.UNDECIDED, "not known well enough"),
        (feed("B16", 2.57), {}, Outcome.UNDECIDED, "too close to the 80 A"),
        (feed("B16", 0.70), {"allowed": 3.0}, Outcome.UNDECIDED, "allowed for what is not counted"),
        (feed("B16", 0.70, 2.9), {}, Outcome.UNDECIDED, "less than the 80 A"),
        (feed("B16", 0.15), {}, Outcome.UNDECIDED, "how much sooner"),
        (feed("B16", 0.15, capacity=3000.0), {}, Outcome.WITHIN, ""),
        (feed("B16", 0.15, capacity=6000.0), {}, Outcome.UNDECIDED, "how much sooner"),
        (feed("B16", 0.60), {"read": False}, Outcome.WITHIN, ""),
        (feed("B16", 0.45), {"read": False}, Outcome.UNDECIDED, "may be half as thick"),
    ],
)
def test_what_leaves_it_open(before: Feed, more: dict[str, float], outcome: Outcome, says: str) -> None:
    """A device, a loop, a class or a neutral that is not known; of several loops the worst counts."""
    told = told_of(before, **more)  # type: ignore[arg-type]  # arguments by name

    assert told.outcome is outcome
    assert says in told.settles
    assert bool(told.settles) is (outcome is Outcome.UNDECIDED)


def both(before: Feed, *, phases: int = 1, ohms: float | None = 0.0665) -> FaultWithstand:
    """Line and earth of 2.5 mm², which bear what the class of a B16 lets through."""
    cores = [core(name, ohms or 1.0, area=2.5) for name in ("line", "earth")]
    if ohms is None:
        cores = cores[1:]
    return fault_of_lead(cores, before, BOOK, insulation="PVC 70", phases=phases)


def test_what_is_not_reckoned_is_said_and_counts_as_not_tested() -> None:
    """Without the loop of line and neutral, or without the line; and it stands among the statements."""
    without, no_line = both(feed("B16", capacity=6000.0)), both(feed("B16", 0.7), ohms=None)

    assert (without.short, without.short_why) == (None, NO_LOOP)
    assert (no_line.short, no_line.short_why) == (None, NO_LINE)
    assert NO_LOOP in without.statements


def test_with_three_phases_the_lines_bound_the_largest_current_and_not_the_least() -> None:
    """Of the line the class alone bounds it next to the plug; at the far end line and neutral draw least."""
    before = replace(feed("B16", 0.7, capacity=6000.0), supply=Quantity(0.8, 0.005, "Ω"))
    one, three = (both(before, phases=phases) for phases in (1, 3))

    assert [told.conductors[0].let_through.used_a2s for told in (one, three)] == [
        pytest.approx((253.0 / 0.69) ** 2 * 0.1, rel=0.01),
        35000.0,
    ]
    assert BETWEEN_LINES in three.remarks
    assert one.short is not None
    assert three.short is not None
    assert OF_THREE_PHASES in three.short.remarks
    assert OF_THREE_PHASES not in one.short.remarks
    assert three.short.least_current_a.value == one.short.least_current_a.value


@given(line=st.floats(0.01, 3.0), neutral=st.floats(0.16, 10.0))
def test_two_lines_draw_more_than_line_and_neutral(line: float, neutral: float) -> None:
    """As long as the neutral has a sixth of the line's impedance: why the least is that of line and neutral."""
    assert math.sqrt(3.0) * 230.0 / (2.0 * line) >= 230.0 / (line + neutral * line)


@given(
    loop=st.floats(0.05, 3.0),
    length=st.floats(2.0, 30.0),
    more=st.floats(1.01, 4.0),
    device=st.sampled_from(["B16", "C16", "gG 16", "BS 1362 13 A"]),
)
def test_a_longer_lead_never_lowers_the_time_nor_raises_the_current(
    loop: float, length: float, more: float, device: str
) -> None:
    """Nor does the device act where it did not with the shorter one."""
    short, long = (told_of(feed(device, loop), ohms=factor * length * OHM_PER_METRE) for factor in (1.0, more))

    assert long.least_current_a.value < short.least_current_a.value
    assert long.bears_s.value > short.bears_s.value
    assert not ("how much sooner" in long.settles and "less than the" in short.settles)
    if long.outcome is Outcome.WITHIN:
        assert short.outcome is Outcome.WITHIN or "how much sooner" in short.settles


@given(
    loop=st.floats(0.05, 3.0),
    length=st.floats(2.0, 30.0),
    more=st.floats(1.01, 4.0),
    device=st.sampled_from(["B16", "C16", "gG 16", "BS 1362 13 A"]),
)
def test_a_thicker_conductor_never_worsens(loop: float, length: float, more: float, device: str) -> None:
    """More flows, and it is borne longer all the same."""
    thin, thick = (
        told_of(feed(device, loop), ohms=length * OHM_PER_METRE / factor, area=1.5 * factor) for factor in (1.0, more)
    )

    assert thick.least_current_a.value > thin.least_current_a.value
    assert thick.bears_s.value > thin.bears_s.value
    if thin.outcome is Outcome.WITHIN:
        assert thick.outcome is Outcome.WITHIN

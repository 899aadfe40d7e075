"""Operations of a residual-current device against its rows: what shows something, what does not, and the worst."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldpin.pilot import operations as pilot_operations
from coldpin.protection.trip_test import (
    FEWEST_OPERATIONS,
    UNSTATED_CURRENT,
    UNSTATED_WATCH,
    bounds_ma,
    judge_trips,
    never_acted,
)
from coldpin.quantity import Quantity, parse_quantity
from coldpin.records.finding import Outcome
from coldpin.records.trip_test import ResidualKind, TripOperation, TripPlacement, TripTest
from coldpin.standards.book import load_book
from coldpin.standards.residual_current import find_residual_device

BOOK = load_book()
GENERAL = find_residual_device(rated="30 mA", kind="A", direct="6 mA")
AC, PULSED, DC = ResidualKind.ALTERNATING, ResidualKind.PULSATING, ResidualKind.SMOOTH
BOTH = {AC: ("0°", "180°"), PULSED: ("positive", "negative"), DC: ("positive", "negative")}


def done(
    current: str, time: str, *, kind: ResidualKind = AC, way: str = "", tripped: bool = True, **more: float
) -> TripOperation:
    """One operation, as it would be written down."""
    return TripOperation(
        kind=kind,
        current_ma=parse_quantity(current, "mA"),
        time_s=parse_quantity(time, "s"),
        way=way or BOTH[kind][0],
        tripped=tripped,
        **more,  # type: ignore[arg-type]  # fields by name
    )


def six(
    current: str, time: str, *, kind: ResidualKind = AC, tripped: bool = True, **more: float
) -> list[TripOperation]:
    """Three operations each way."""
    return [done(current, time, kind=kind, way=way, tripped=tripped, **more) for way in BOTH[kind] * 3]


def judged(operations: Sequence[TripOperation], kind: ResidualKind = AC, device=GENERAL) -> dict[str, TripPlacement]:  # type: ignore[no-untyped-def]  # a device by what is said of it
    """Placements by the names of their rows."""
    test = judge_trips(operations, device, kind, BOOK)
    return {placed.row.name: placed for placed in test.placements}


def outcomes(operations: Sequence[TripOperation], kind: ResidualKind = AC, device=GENERAL) -> dict[str, str]:  # type: ignore[no-untyped-def]  # a device by what is said of it
    """Outcomes by the names of their rows."""
    return {name: placed.outcome.value for name, placed in judged(operations, kind, device).items()}


SOUND = (
    *six("14.5 mA ± 0.4 mA", "2.0 s ± 0.01 s", tripped=False),
    *six("31.5 mA ± 1.5 mA", "40 ms ± 1 ms"),
    *six("63 mA ± 3 mA", "25 ms ± 1 ms"),
    *six("157 mA ± 7 mA", "20 ms ± 1 ms"),
)


@pytest.mark.hand("0.3 s, 0.15 s, 0.04 s at 30, 60, 150 mA, none at 15 mA")
def test_a_sound_device_keeps_every_row() -> None:
    """All six of each current in time, and none at half."""
    assert outcomes(SOUND) == dict.fromkeys(("held", "threshold", "raised", "high"), "within")


@pytest.mark.hand("one of six at 60 mA takes 0.2 s, where 0.15 s are allowed")
def test_one_late_operation_is_enough() -> None:
    """The worst decides, and is told; another row is not touched."""
    late = [*SOUND, done("63 mA ± 3 mA", "0.20 s ± 0.001 s")]
    placed = judged(late)

    assert placed["raised"].outcome is Outcome.BEYOND
    assert placed["raised"].measured is not None
    assert placed["raised"].measured.value == 0.20
    assert placed["threshold"].outcome is Outcome.WITHIN
    assert "63.0 mA" in placed["raised"].statement
    assert "fails" not in placed["raised"].statement


@pytest.mark.hand("five are asked, and both starting phases")
def test_too_few_operations_show_nothing_within() -> None:
    """Four are too few; five from one phase leave the other open."""
    four = [done("31 mA ± 0.5 mA", "40 ms ± 1 ms", way=way) for way in ("0°", "180°") * 2]
    one_way = [done("31 mA ± 0.5 mA", "40 ms ± 1 ms") for _ in range(5)]

    assert judged(four)["threshold"].wanting == ("4 operations were done, where at least 5 are wanted",)
    assert judged(one_way)["threshold"].wanting == ("none is stated for the starting phase 180°",)
    assert outcomes(four) == outcomes(one_way) == {"threshold": "undecided"}


@pytest.mark.hand("a current surely at or above its row shows late, one at most a tenth above it shows in time")
@pytest.mark.parametrize(
    ("current", "time", "outcome"),
    [
        ("29 mA ± 0.5 mA", "0.4 s ± 0.001 s", "undecided"),
        ("30.6 mA ± 0.5 mA", "0.4 s ± 0.001 s", "beyond"),
        ("29 mA ± 0.5 mA", "0.04 s ± 0.001 s", "within"),
        ("32 mA ± 2 mA", "0.04 s ± 0.001 s", "undecided"),
        ("30 mA", "0.04 s ± 0.001 s", "undecided"),
    ],
)
def test_a_test_current_has_a_side(current: str, time: str, outcome: str) -> None:
    """Too little makes late no fault, too much makes in time no merit, and an unstated one may be either."""
    assert outcomes(six(current, time))["threshold"] == outcome


@pytest.mark.published("type S: 130 to 500 ms at IΔn, 50 to 150 ms at five times IΔn (trade article, building.co.uk)")
def test_a_delayed_device_is_early_only_at_a_current_of_its_row_or_less() -> None:
    """80 ms at five times is what it is asked for, and no fault at once; at 29 mA it waited too little."""
    delayed = find_residual_device(rated="30 mA", selective=True)

    assert outcomes(six("157 mA ± 7 mA", "80 ms ± 1 ms"), device=delayed) == {"high": "within"}
    early = judged(six("29 mA ± 0.5 mA", "80 ms ± 1 ms"), device=delayed)
    assert early["threshold"].outcome is Outcome.BEYOND
    unsure = judged(six("31 mA ± 0.5 mA", "80 ms ± 1 ms"), device=delayed)["threshold"]
    assert (unsure.outcome, "More than 30 mA may have flowed" in unsure.statement) == (Outcome.UNDECIDED, True)
    assert outcomes(six("40 mA ± 1 mA", "0.6 s ± 0.001 s"), device=delayed) == {"threshold": "beyond"}


@pytest.mark.hand("twice as much as 30 mA for 0.4 s: late at once, and it acted")
def test_a_row_broken_by_another_current_does_not_say_that_it_never_acted() -> None:
    """Only a device that held whatever was put on never acted."""
    late = judged([done("62 mA ± 1 mA", "0.4 s ± 0.001 s")])["threshold"]

    assert (late.outcome, late.never, late.operations) == (Outcome.BEYOND, False, 0)
    assert judged(six("62 mA ± 1 mA", "2 s ± 0.01 s", tripped=False))["threshold"].never


@pytest.mark.hand("who counts two seconds waited at least one, which is more than 0.3 s; of twelve, six, less than ten")
def test_a_device_that_does_nothing_is_late_whoever_counted() -> None:
    """The time that nobody clocked is off by a half at most; what it does not reach stays open."""
    assert UNSTATED_WATCH == 0.5
    nothing = judged(six("31 mA ± 0.5 mA", "2 s", tripped=False))["threshold"]
    assert (nothing.outcome, nothing.never, nothing.probability) == (Outcome.BEYOND, True, None)
    assert outcomes(six("31 mA ± 0.5 mA", "0.5 s", tripped=False)) == {"threshold": "undecided"}
    assert outcomes(six("6.2 mA ± 0.1 mA", "12 s", kind=DC, tripped=False), DC) == {"threshold": "undecided"}
    assert outcomes(six("6.2 mA ± 0.1 mA", "25 s", kind=DC, tripped=False), DC) == {"threshold": "beyond"}


@pytest.mark.hand("a coil that lets go is no contact that has parted")
def test_what_was_seen_at_the_coil_is_never_within() -> None:
    """Neither a time nor the current of a rise; and at a current nobody stated, holding shows nothing there either."""
    assert outcomes(six("31 mA ± 0.5 mA", "25 ms ± 1 ms", at_coil=True)) == {"threshold": "undecided"}
    rise = judged(six("24 mA ± 0.5 mA", "1 s", rate_ma_s=0.5, at_coil=True))["rise"]
    assert (rise.outcome, "the contacts may lag or weld" in rise.statement) == (Outcome.UNDECIDED, True)
    assert outcomes(six("14 mA", "2 s ± 0.01 s", tripped=False, at_coil=True)) == {"held": "undecided"}


@pytest.mark.hand("raised to 20 mA and stopped there, where 30 mA must trip it")
def test_a_rise_that_was_stopped_says_so() -> None:
    """It shows nothing, and why."""
    rise = judged(six("20 mA ± 0.2 mA", "40 s", tripped=False, rate_ma_s=0.5))["rise"]

    assert (rise.outcome, "not raised to 30 mA" in rise.statement) == (Outcome.UNDECIDED, True)


@pytest.mark.hand("150 mA for two seconds with no action: 0.3 s are over at 30 mA, 0.15 s at 60 mA, 0.04 s at 150 mA")
def test_no_action_at_a_large_current_breaks_the_rows_below() -> None:
    """Whoever does not act at five times does not act in time at once or twice either; 250 mA is still open to it."""
    placed = judged(six("157 mA ± 5 mA", "2 s ± 0.01 s", tripped=False))

    assert {name: one.outcome.value for name, one in placed.items()} == {
        "threshold": "beyond",
        "raised": "beyond",
        "high": "undecided",
    }
    assert "250 mA may take the place of this row" in placed["high"].statement
    assert placed["high"].never


@pytest.mark.published("footnote to table 1 of IEC 61008-1: 250 mA in place of five times IΔn for 30 mA and less")
def test_late_at_five_times_may_be_kept_at_250_ma() -> None:
    """60 ms at 150 mA and 35 ms at 250 mA keep the row; 60 ms at both break it."""
    late = six("157 mA ± 5 mA", "60 ms ± 1 ms")

    assert outcomes(late) == {"high": "undecided"}
    assert outcomes([*late, *six("260 mA ± 8 mA", "35 ms ± 1 ms")]) == {"high": "within"}
    assert outcomes([*late, *six("260 mA ± 8 mA", "60 ms ± 1 ms")]) == {"high": "beyond"}
    hundred = find_residual_device(rated="100 mA")
    assert outcomes(six("520 mA ± 15 mA", "60 ms ± 1 ms"), device=hundred)["high"] == "beyond"


@pytest.mark.hand("acting at 14.5 mA, where up to 15 mA must be held")
def test_acting_at_half_is_beyond() -> None:
    """A nuisance is a fault too; acting at a current that may be above half is none."""
    assert outcomes([done("14.5 mA ± 0.3 mA", "0.1 s ± 0.001 s")])["held"] == "beyond"
    assert outcomes([done("15.2 mA ± 0.5 mA", "0.1 s ± 0.001 s")])["held"] == "undecided"
    short = six("14.5 mA ± 0.3 mA", "0.2 s ± 0.001 s", tripped=False)
    assert "left on for less than 1.0 s" in judged(short)["held"].statement


@pytest.mark.published("IEC 62955: ten seconds are allowed at 6 mA; a test that waits one second shows nothing")
def test_six_milliamperes_may_take_ten_seconds() -> None:
    """No action in one second is undecided, in twelve beyond, and eight seconds are in time."""
    assert outcomes(six("6.2 mA ± 0.1 mA", "1 s ± 0.01 s", kind=DC, tripped=False), DC) == {"threshold": "undecided"}
    assert outcomes(six("6.2 mA ± 0.1 mA", "12 s ± 0.1 s", kind=DC, tripped=False), DC) == {"threshold": "beyond"}
    assert outcomes(six("6.2 mA ± 0.1 mA", "8 s ± 0.1 s", kind=DC), DC) == {"threshold": "within"}


@pytest.mark.hand("at 1 mA/s 8 mA are reached two seconds after 6 mA, and at 0.1 mA/s twenty seconds after")
@pytest.mark.parametrize(
    ("current", "rate", "dwell", "outcome"),
    [
        ("5.0 mA ± 0.1 mA", 0.1, 0.0, "within"),
        ("8.0 mA ± 0.1 mA", 1.0, 0.0, "undecided"),
        ("8.0 mA ± 0.1 mA", 0.1, 0.0, "beyond"),
        ("8.0 mA ± 0.1 mA", 0.1, 12.0, "undecided"),
        ("2.0 mA ± 0.1 mA", 0.1, 0.0, "beyond"),
        ("5.95 mA ± 0.1 mA", 0.1, 0.0, "undecided"),
    ],
)
def test_a_rise_is_judged_by_how_long_its_current_had_flowed(
    current: str, rate: float, dwell: float, outcome: str
) -> None:
    """A fast rise reads too high and shows nothing; a slow one shows beyond; below 3 mA it acts for nothing."""
    rises = six(current, "1 s", kind=DC, rate_ma_s=rate, dwell_s=dwell)
    placed = judged(rises, DC)["rise"]

    assert placed.outcome.value == outcome
    assert f"{rate:g}"[:3] in placed.statement


@pytest.mark.hand("a rise to 33 mA at 0.5 mA/s with no action had 6 mA flowing for 54 s")
def test_a_rise_without_action_is_beyond() -> None:
    """It is told that it had not acted, and by which row it should have."""
    placed = judged(six("33 mA ± 0.2 mA", "66 s", kind=DC, tripped=False, rate_ma_s=0.5), DC)["rise"]

    assert placed.outcome is Outcome.BEYOND
    assert "had not acted at 33.00 mA" in placed.statement


@pytest.mark.published("type A: half waves cut at 135° may trip it from 0.11 IΔn on, whole ones from 0.35 IΔn")
def test_half_waves_are_judged_by_their_angle() -> None:
    """5 mA trips a sound device of 30 mA at 135°, and is far too little with whole half waves."""
    assert outcomes(six("5 mA ± 0.1 mA", "1 s", kind=PULSED, rate_ma_s=0.5, angle_deg=135.0), PULSED) == {
        "rise-135": "within"
    }
    assert outcomes(six("5 mA ± 0.1 mA", "1 s", kind=PULSED, rate_ma_s=0.5), PULSED) == {"rise": "beyond"}


@pytest.mark.published("UL 943: at 60 mA no more than 0.208 s, at 20 mA 1 s, at 264 mA 25 ms")
def test_the_inverse_curve_is_judged_at_the_current_that_flowed() -> None:
    """In time by the most that may have flowed, late by the least; between the two undecided."""
    american = find_residual_device(kind="CCID20")
    slow = six("60 mA ± 1 mA", "0.22 s ± 0.001 s")

    assert outcomes(six("60 mA ± 1 mA", "0.19 s ± 0.001 s"), device=american) == {"raised": "within"}
    assert outcomes(slow, device=american) == {"raised": "beyond"}
    assert outcomes(six("60 mA ± 6 mA", "0.208 s ± 0.001 s"), device=american) == {"raised": "undecided"}
    assert outcomes(six("21 mA ± 0.5 mA", "0.85 s ± 0.01 s"), device=american)["threshold"] == "within"


@pytest.mark.published(
    "UL 2231: a CCID20 need not act below 20 mA, though the curve of class A begins at 6 mA (memory)"
)
def test_a_device_of_20_ma_owes_nothing_below_its_threshold() -> None:
    """No action in two seconds at 19 mA decides nothing; at 21 mA it does."""
    american = find_residual_device(kind="CCID20")

    assert outcomes(six("19 mA ± 0.5 mA", "2 s ± 0.01 s", tripped=False), device=american) == {"threshold": "undecided"}
    assert outcomes(six("21 mA ± 0.5 mA", "2 s ± 0.01 s", tripped=False), device=american) == {"threshold": "beyond"}


@pytest.mark.hand("a device of type AC need not see half waves")
def test_what_need_not_be_seen_is_told_and_not_judged() -> None:
    """No placement, and a remark."""
    test = judge_trips(
        six("44 mA ± 2 mA", "2 s ± 0.01 s", kind=PULSED, tripped=False), find_residual_device(kind="AC"), PULSED, BOOK
    )

    assert test.placements == ()
    assert "need not see pulsating direct current" in test.remarks[0]


def dead(*ways: str, current: str = "62 mA ± 1 mA") -> TripTest:
    """A test in which nothing acted."""
    none = [done(current, "5 s ± 0.1 s", kind=DC, way=way, tripped=False) for way in ways]
    return judge_trips(none, GENERAL, DC, BOOK)


@pytest.mark.hand("ten times the threshold, both ways, and no action")
def test_a_function_that_was_provoked_and_did_not_show_is_absent() -> None:
    """Both ways and far above the threshold; one way, or just above it, shows no absence."""
    assert never_acted(dead("positive", "negative"))
    assert not never_acted(dead("positive"))
    assert not never_acted(dead("positive", "negative", current="6.2 mA ± 0.1 mA"))


@pytest.mark.hand("the same choice stands in both subjects")
def test_as_many_operations_are_asked_as_of_any_switching() -> None:
    """One number for the bench."""
    assert FEWEST_OPERATIONS == pilot_operations.FEWEST_OPERATIONS


@pytest.mark.hand("24 mA to 36 mA")
def test_an_unstated_current_is_not_taken_as_perfect() -> None:
    """A fifth to either side."""
    assert bounds_ma(Quantity(30.0, None, "mA", why="not stated")) == (24.0, 36.0)
    assert UNSTATED_CURRENT == 0.2


TIMES = st.floats(0.005, 1.0)


@given(times=st.lists(TIMES, min_size=6, max_size=9), more=TIMES)
def test_another_operation_never_makes_a_row_better(times: list[float], more: float) -> None:
    """A slower one may break a row that was kept, none mends one that was broken."""
    rank = [Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN]

    def placed(listed: list[float]) -> Outcome:
        ways = ("0°", "180°")
        listed_done = [
            done("31 mA ± 0.5 mA", f"{time:.6f} s ± 0.0001 s", way=ways[at % 2]) for at, time in enumerate(listed)
        ]
        return judged(listed_done)["threshold"].outcome

    assert rank.index(placed([*times, more])) <= rank.index(placed(times))


@given(current=st.floats(20.0, 200.0), time=st.floats(0.005, 1.0), slower=st.floats(1.0, 3.0))
def test_slower_is_never_better(current: float, time: float, slower: float) -> None:
    """At any current: the outcome of each row falls or stays when every time grows."""
    rank = [Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN]

    def at(seconds: float) -> dict[str, Outcome]:
        test = six(f"{current:.3f} mA ± 0.1 mA", f"{seconds:.6f} s ± 0.0001 s")
        return {name: placed.outcome for name, placed in judged(test).items()}

    fast, slow = at(time), at(time * slower)
    for name, outcome in fast.items():
        assert rank.index(slow[name]) <= rank.index(outcome)

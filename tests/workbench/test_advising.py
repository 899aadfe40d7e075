"""The advice on a case, and the proof of the planner on virtual specimens with hidden faults."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldpin.checks.detection import load_detection
from coldpin.conclusion.safety_order import BEFORE_MAINS
from coldpin.errors import UnknownName
from coldpin.records.plan import Stage
from coldpin.workbench import next_test, record
from tests.workbench.quay import make_case, make_shelf
from tools.planner_trial import (
    VirtualSpecimen,
    by_advice,
    by_list,
    draw_specimen,
    hidden_faults,
    minutes_until_right,
    rightly,
)

LIVE = (Stage.MAINS, Stage.SIMULATOR, Stage.CAR)


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case with nothing recorded."""
    return make_case(make_shelf(tmp_path / "shelf"))


def specimens(count: int) -> list[VirtualSpecimen]:
    """Specimens with hidden faults: a function first, then a fault that takes it, so that none weighs by its faults."""
    rng = np.random.default_rng(20261126)
    functions, faults = load_detection().functions, hidden_faults()
    lost = sorted({name for fault in faults for name in functions[fault]})
    drawn: list[VirtualSpecimen] = []
    while len(drawn) < count:
        function = lost[int(rng.integers(len(lost)))]
        among = [fault for fault in faults if function in functions[fault]]
        specimen = draw_specimen(rng, among[int(rng.integers(len(among)))])
        if rightly(specimen) is not None:
            drawn.append(specimen)
    return drawn


def test_the_advice_reaches_the_right_conclusion_in_fewer_minutes(
    proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Hidden faults, answers drawn from the measured table: advice takes fewer minutes than the list."""
    advised = listed = worse = 0
    drawn = specimens(200 if proving else 20)
    for specimen in drawn:
        right = rightly(specimen)
        assert right is not None
        by_next, by_order = by_advice(specimen), by_list(specimen)
        minutes, others = minutes_until_right(by_next, right), minutes_until_right(by_order, right)

        assert minutes is not None, f"{specimen.fault}: never found"
        assert others is not None
        done: set[str] = set()
        for option in by_next.order:
            assert not option.live or set(BEFORE_MAINS) <= done, f"{specimen.fault}: {option.test} comes too early"
            done |= set(option.answers)
        advised, listed, worse = advised + minutes, listed + others, worse + (minutes > others)

    measured("bench minutes to the right conclusion, by advice over in list order", advised / listed, "1", "< 1")
    measured("virtual specimens with a hidden fault", len(drawn), "1", "200 in prove")
    measured("of these sooner in list order", worse, "1", "told")
    assert advised < listed


def test_pins_live_through_take_five_minutes() -> None:
    """A lead without contacts is advised against by the first test, and no other is worth it."""
    bench = by_advice(draw_specimen(np.random.default_rng(1), "pins always live"))

    assert [option.test for option in bench.order] == ["live-pins-low"]
    assert bench.minutes == 5


def test_a_new_case_begins_with_the_pins_at_extra_low_voltage(case: Path) -> None:
    """Five minutes, no mains; every test with the mains is held."""
    told = next_test(case)

    assert told.next is not None
    assert (told.next.test, told.next.minutes) == ("live-pins-low", 5)
    assert all(one.stage not in LIVE for one in told.after_it)


@pytest.mark.parametrize("read", ["0.1 V", "23.9 V"])
def test_the_advice_follows_each_entry(case: Path, read: str) -> None:
    """Nothing seen at extra-low voltage: on to dead work. The feed seen at the pins: no test is worth it."""
    low = {"supply": "extra-low voltage", "input": "low impedance"}
    record(
        case,
        shows="output with nothing connected",
        who="Ines",
        readings=(read,),
        conditions=low,
        instrument="meter",
        supply_voltage="24 V ± 0.5 V",
    )

    told = next_test(case)

    if read == "0.1 V":
        assert told.next is not None
        assert told.next.stage is Stage.DEAD
        assert "live-pins-low" not in {told.next.test, *(one.test for one in told.after_it)}
    else:
        assert not told.worth_it
        assert "concludes alone ('Voltage with nothing connected')" in told.because


def test_an_unknown_test_is_refused_with_the_known_ones(case: Path) -> None:
    """``--without`` takes tests and checks."""
    with pytest.raises(UnknownName, match="unknown test or check 'pilot-level'"):
        next_test(case, without=("pilot-level",))

    told = next_test(case, without=("live-pins-low", "pilot-duty"))
    assert told.next is not None
    assert told.next.test != "live-pins-low"

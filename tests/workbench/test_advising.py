"""The advice on a case, and the proof of the planner on virtual specimens with hidden faults."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from coldpin.casefile import open_shelf
from coldpin.checks.detection import SOUND, load_detection
from coldpin.conclusion.safety_order import BEFORE_MAINS
from coldpin.errors import UnknownName
from coldpin.records.finding import Outcome
from coldpin.records.instrument import Instrument
from coldpin.records.plan import Stage
from coldpin.workbench import next_test, record
from coldpin.workbench.bench_plan import plan_bench
from tests.checks.bench import pairs
from tests.workbench.quay import make_case, make_shelf
from tools.planner_trial import (
    VirtualSpecimen,
    by_advice,
    by_list,
    by_shortest,
    draw_specimen,
    everything,
    hidden_faults,
    minutes_until_right,
    rightly,
    truth_of,
)

LIVE = (Stage.MAINS, Stage.SIMULATOR, Stage.CAR)


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case with nothing recorded."""
    return make_case(make_shelf(tmp_path / "shelf"))


def specimens(count: int) -> tuple[list[VirtualSpecimen], int]:
    """Specimens with hidden faults, and how many were set aside because all checks together do not find the fault.

    A function first, then a fault that takes it, so that none weighs by its number of faults.
    """
    rng = np.random.default_rng(20261126)
    functions, faults = load_detection().functions, hidden_faults()
    lost = sorted({name for fault in faults for name in functions[fault]})
    drawn: list[VirtualSpecimen] = []
    missed = 0
    while len(drawn) < count:
        function = lost[int(rng.integers(len(lost)))]
        among = [fault for fault in faults if function in functions[fault]]
        specimen = draw_specimen(rng, among[int(rng.integers(len(among)))])
        if rightly(specimen) is None:
            missed += 1
        else:
            drawn.append(specimen)
    return drawn, missed


def told_of(specimen: VirtualSpecimen) -> tuple[str, tuple[tuple[str, Outcome], ...]]:
    """What tells a specimen from another: two alike take the same course, and are gone through once."""
    return specimen.fault, tuple(sorted(specimen.outcomes.items()))


def test_the_advice_reaches_the_right_conclusion_in_fewer_minutes(
    proving: bool, measured: Callable[[str, float, str, str], None]
) -> None:
    """Hidden faults, answers drawn from the measured table: fewer minutes than by the list, or the shortest first."""
    drawn, missed = specimens(200 if proving else 20)
    courses: dict[object, tuple[int, int, int]] = {}
    for specimen in drawn:
        if told_of(specimen) in courses:
            continue
        right = rightly(specimen)
        assert right is not None
        by_next = by_advice(specimen, until=right)
        ways = (by_next, by_list(specimen, until=right), by_shortest(specimen, until=right))
        advised, listed, shortest = (minutes_until_right(bench, right) for bench in ways)

        assert advised is not None, f"{specimen.fault}: never found"
        assert listed is not None, f"{specimen.fault}: never found in list order"
        assert shortest is not None, f"{specimen.fault}: never found by the shortest first"
        courses[told_of(specimen)] = (advised, listed, shortest)
        done: set[str] = set()
        for option in by_next.order:
            assert not option.live or set(BEFORE_MAINS) <= done, f"{specimen.fault}: {option.test} comes too early"
            done |= set(option.answers)

    minutes = np.array([courses[told_of(specimen)] for specimen in drawn])
    by_next_all, by_list_all, by_shortest_all = minutes.sum(axis=0)
    measured(
        "bench minutes to the right conclusion, by advice over in list order", by_next_all / by_list_all, "1", "< 1"
    )
    measured(
        "bench minutes to the right conclusion, by advice over shortest first",
        by_next_all / by_shortest_all,
        "1",
        "< 1",
    )
    measured("median of the bench minutes to the right conclusion by advice", np.median(minutes[:, 0]), "min", "told")
    measured("virtual specimens with a hidden fault", len(drawn), "1", "200 in prove")
    measured("of these sooner in list order", int(np.sum(minutes[:, 1] < minutes[:, 0])), "1", "told")
    measured("set aside: all checks together do not find the fault", missed, "1", "told")
    assert by_next_all < by_list_all
    assert by_next_all < by_shortest_all


def test_what_the_checks_say_together_is_the_truth_of_the_fault() -> None:
    """For each hidden fault: the findings of the trial come to where the truth, written by hand, puts the sentence."""
    rng = np.random.default_rng(3)
    for fault in hidden_faults():
        specimen = draw_specimen(rng, fault)

        assert everything(specimen).sentence == truth_of(specimen), fault


def test_a_sound_specimen_is_never_spoken_against_and_the_advice_ends(
    measured: Callable[[str, float, str, str], None],
) -> None:
    """Without a fault nothing is found, and at some time no test is worth it, sooner than the list ends."""
    sound = draw_specimen(np.random.default_rng(5), SOUND)

    bench, whole = by_advice(sound), by_list(sound)

    assert truth_of(sound) == 0
    assert {state.sentence for _, state in bench.course} == {0}
    assert bench.minutes < whole.minutes
    measured("bench minutes of a sound specimen until no test is worth it", bench.minutes, "min", "told")
    measured("bench minutes of the whole list", whole.minutes, "min", "told")


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


def test_a_first_reading_without_an_accuracy_is_asked_for_again(case: Path) -> None:
    """No instrument beside the entry: the first question stays first, and the advice says what is missing."""
    low = {"supply": "extra-low voltage", "input": "low impedance"}
    record(
        case,
        shows="output with nothing connected",
        who="Ines",
        readings=("0.1 V",),
        conditions=low,
        supply_voltage="24 V ± 0.5 V",
    )

    told = next_test(case)

    assert told.next is not None
    assert told.next.test == "live-pins-low"
    assert "without the instrument's accuracy" in told.because


def test_an_unknown_test_is_refused_with_the_known_ones(case: Path) -> None:
    """``--without`` takes tests and checks."""
    with pytest.raises(UnknownName, match="unknown test or check 'pilot-level'"):
        next_test(case, without=("pilot-level",))

    told = next_test(case, without=("live-pins-low", "pilot-duty"))
    assert told.next is not None
    assert told.next.test != "live-pins-low"


def test_a_plan_without_a_hold_point_stays_with_dead_work(case: Path) -> None:
    """The earth resistance left out: no live step and nothing opened in the whole plan, and its end says why."""
    plan = plan_bench(case, without=("earth-resistance",))

    assert {one.stage for one in plan.tests} <= {Stage.DEAD, Stage.EXTRA_LOW_VOLTAGE}
    assert "'Earth resistance' was left out" in plan.because


def test_the_earth_at_ten_amperes_is_read_after_the_plain_reading_and_before_the_mains(case: Path) -> None:
    """It is work on a dead lead."""
    names = [one.test for one in plan_bench(case).tests]

    assert names.index("earth-resistance") < names.index("earth-continuity") < names.index("live-pins")


def sound_and_dead(case: Path) -> None:
    """What a sound lead reads at every dead hold point, with instruments of stated accuracy."""
    record(case, shows="wiring map", who="Ines", pairs=pairs())
    length = {"length": "5 m", "test current": "10 A"}
    record(case, shows="earth resistance", who="Ines", readings=("61 mΩ",) * 3, instrument="meter", conditions=length)
    for word in ("mains to pilot insulation", "mains to housing insulation"):
        conditions = {"test voltage": "500 V", "in the path": "nothing"}
        record(case, shows=word, who="Ines", readings=("> 200 MΩ",), instrument="tester", conditions=conditions)


def test_a_sound_lead_reaches_the_mains(tmp_path: Path) -> None:
    """From an empty shelf: the dead hold points by the advice, each once, then the first test with the mains."""
    shelf = make_shelf(tmp_path / "shelf")
    tester = Instrument(
        name="tester", kind="insulation tester", statements={"insulation": "5 % + 2 digits, resolution 1 MΩ"}
    )
    open_shelf(shelf).add_instrument("tester", tester)
    case = make_case(shelf)
    low = {"supply": "extra-low voltage", "input": "low impedance"}
    nothing = "output with nothing connected"
    record(
        case, shows=nothing, who="Ines", readings=("0.1 V",), conditions=low, instrument="meter", supply_voltage="24 V"
    )
    advised = next_test(case)
    assert {name.split(".")[0] for name in BEFORE_MAINS} <= {
        one.test for one in (*filter(None, (advised.next,)), *advised.after_it)
    }

    sound_and_dead(case)

    told = next_test(case)
    assert told.next is not None
    holds = {"wiring", "earth-resistance", "pilot-insulation", "housing-insulation"}
    other = {one.test for one in (told.next, *told.after_it) if one.stage not in LIVE}
    assert not holds & other
    told = next_test(case, without=(*other, "earth-continuity"))
    assert told.next is not None
    assert (told.next.test, told.next.stage) == ("live-pins", Stage.MAINS)

"""The plan at the bench: what is recorded ticks itself, hold points wait for findings, ticks are somebody's."""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from coldpin.casefile import Case
from coldpin.errors import CaseError, UnknownName
from coldpin.records.tick import BenchProgress, LineKind, TestAtBench, TestState
from coldpin.web.standing import mark_of
from coldpin.workbench import correct, record
from coldpin.workbench.drafting import assessment_of, case_key
from coldpin.workbench.ticking import NOT_ASSESSED, TICK_FIRST, BenchDay, bench_day, bench_progress, line_id, tick
from tests.checks.bench import pairs
from tests.workbench.quay import at, make_case, make_shelf


@pytest.fixture
def case(tmp_path: Path) -> Path:
    """A case with nothing recorded."""
    return make_case(make_shelf(tmp_path / "shelf"))


def planned(case: Path) -> BenchDay:
    """Its plan as it stands."""
    return bench_day(assessment_of(case), folder=case.name)


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> BenchDay:
    """The plan of a case with nothing recorded, made once."""
    return planned(make_case(make_shelf(tmp_path_factory.mktemp("bench") / "shelf")))


def standing(case: Path, day: BenchDay, *, fresh: bool = True) -> BenchProgress:
    """How it stands now."""
    return bench_progress(case, day, fresh=fresh)


def one_of(progress: BenchProgress, name: str) -> TestAtBench:
    """One test of it."""
    return next(one for one in progress.tests if one.test.test == name)


def ids(test: TestAtBench, kind: LineKind) -> list[str]:
    """The lines of a kind."""
    return [line.id for line in test.lines if line.kind is kind]


def test_a_line_is_ticked_once_by_somebody_and_taken_back(case: Path, empty: BenchDay) -> None:
    """Whoever ticks first is named; to tick once more, or to take back what was not ticked, writes nothing."""
    line = ids(one_of(standing(case, empty), "live-pins-low"), LineKind.STEP)[0]
    first = tick(case, standing(case, empty), line, who="Ines", now=at(0))
    again = tick(case, standing(case, empty), line, who="Marta", now=at(1))
    assert again == first
    assert len(Case(case).ticks().ticks) == 1
    held = one_of(standing(case, empty), "live-pins-low").lines[0].tick
    assert held is not None
    assert (held.who, held.recorded) == ("Ines", "2026-05-02T09:00:00.000+00:00")

    tick(case, standing(case, empty), line, who="Marta", now=at(2), taken_back=True)
    assert one_of(standing(case, empty), "live-pins-low").lines[0].tick is None
    tick(case, standing(case, empty), line, who="Marta", now=at(3), taken_back=True)
    assert [(one.who, one.taken_back) for one in Case(case).ticks().ticks] == [("Ines", False), ("Marta", True)]


def test_the_first_open_line_is_marked_and_goes_on_with_each_tick(case: Path, empty: BenchDay) -> None:
    """Exactly one line or box of the plan is next, until a box is."""
    for _ in range(3):
        progress = standing(case, empty)
        (line,) = (line for test in progress.tests for line in test.lines if line.next)
        assert line.tick is None
        tick(case, progress, line.id, who="Ines")
    progress = standing(case, empty)
    assert [line.id for test in progress.tests for line in test.lines if line.next] == []
    assert [box.box.shows for test in progress.tests for box in test.boxes if box.next] == [
        "output with nothing connected"
    ]


def test_hold_points_come_before_the_steps_of_their_test(case: Path, empty: BenchDay) -> None:
    """A step cannot be ticked, nor a box opened, until each hold point is; untouched, nothing is written."""
    wiring = one_of(standing(case, empty), "wiring")
    step = ids(wiring, LineKind.STEP)[0]
    with pytest.raises(CaseError, match=f"Dead wiring map: this waits, {TICK_FIRST}; nothing was ticked"):
        tick(case, standing(case, empty), step, who="Ines")
    assert {box.waits_for for box in wiring.boxes} == {TICK_FIRST}
    for hold in ids(wiring, LineKind.HOLD):
        tick(case, standing(case, empty), hold, who="Ines")
    tick(case, standing(case, empty), step, who="Ines")
    assert [box.waits_for for box in one_of(standing(case, empty), "wiring").boxes] == [""]


def test_no_tick_opens_work_with_the_mains(case: Path, empty: BenchDay) -> None:
    """It waits for findings: every line of every live test of a new case, and the reason names them."""
    progress = standing(case, empty)
    live = [test for test in progress.tests if test.test.live]
    assert len(live) > 5
    for test in live:
        assert test.state is TestState.WAITS
        assert all(line.waits_for for line in test.lines)
        assert all(box.waits_for for box in test.boxes)
    before = one_of(progress, "live-pins")
    wanted = (
        "the earth resistance",
        "the insulation from mains to pilot",
        "the insulation from mains to foil on the housing",
    )
    assert before.waits_for == (", ".join(("it waits for the dead wiring map", *wanted)),)
    with pytest.raises(CaseError, match="it waits for the dead wiring map"):
        tick(case, progress, ids(before, LineKind.HOLD)[0], who="Ines")


def recorded_before_mains(case: Path, ohms: Iterable[str] = ("52 mΩ", "53 mΩ", "52 mΩ")) -> None:
    """Everything that must be as it should be before the mains is put on."""
    record(case, shows="wiring map", who="Ines", pairs=pairs(), made=at(0), now=at(1))
    record(case, shows="earth resistance", who="Ines", readings=tuple(ohms), instrument="meter", made=at(2), now=at(3))
    for minute, word in enumerate(("mains to pilot insulation", "mains to housing insulation"), start=4):
        conditions = {"test voltage": "500 V"}
        readings = ("480 MΩ ± 20 MΩ",)
        record(case, shows=word, who="Ines", readings=readings, conditions=conditions, made=at(minute), now=at(minute))


def test_what_is_recorded_opens_what_waited_and_a_withdrawal_closes_it(case: Path) -> None:
    """The first live test opens when the last dead finding is there, and waits again when one is taken back."""
    recorded_before_mains(case)
    day = planned(case)
    opened = one_of(standing(case, day), "live-pins")
    assert (opened.state, opened.waits_for) == (TestState.OPEN, ())
    assert "wiring" in [done.test for done in standing(case, day).done]
    hold = ids(opened, LineKind.HOLD)[0]
    tick(case, standing(case, day), hold, who="Ines", now=at(10))

    # what was recorded since may forbid power: until it is assessed, live work waits
    waiting = one_of(standing(case, day, fresh=False), "live-pins")
    assert waiting.waits_for == (NOT_ASSESSED,)
    with pytest.raises(CaseError, match=NOT_ASSESSED):
        tick(case, standing(case, day, fresh=False), ids(opened, LineKind.STEP)[0], who="Ines")

    entry = next(one for one in Case(case).entries().entries if one.shows == "wiring map")
    correct(case, entry.id, who="Ines", reason="wrong lead", withdraw=True, now=at(20))
    after = planned(case)
    assert one_of(standing(case, after), "live-pins").waits_for == ("it waits for the dead wiring map",)
    assert one_of(standing(case, after), "wiring").state is TestState.OPEN


def test_a_box_ticks_itself_and_withdrawn_evidence_takes_the_ticks_with_it(case: Path, empty: BenchDay) -> None:
    """Recorded: the box names entry, person and time, at once. Withdrawn: box and ticks are open again."""
    for kind in (LineKind.HOLD, LineKind.STEP):
        for line in ids(one_of(standing(case, empty), "wiring"), kind):
            tick(case, standing(case, empty), line, who="Ines", now=at(0))
    entry = record(case, shows="wiring map", who="Marta", pairs=pairs(), made=at(1), now=at(2))
    wiring = one_of(standing(case, empty, fresh=False), "wiring")
    assert wiring.state is TestState.RECORDED
    (box,) = wiring.boxes
    assert [(one.entry, one.who) for one in box.entries] == [(entry.id, "Marta")]
    assert box.ticked

    correct(case, entry.id, who="Marta", reason="wrong lead", withdraw=True, now=at(3))
    wiring = one_of(standing(case, empty, fresh=False), "wiring")
    assert wiring.state is TestState.OPEN
    assert not wiring.boxes[0].ticked
    assert [line.tick for line in wiring.lines] == [None] * len(wiring.lines)
    tick(case, standing(case, empty, fresh=False), ids(wiring, LineKind.HOLD)[0], who="Ines", now=at(4))
    assert one_of(standing(case, empty, fresh=False), "wiring").lines[0].tick is not None


def test_each_conductor_has_its_own_box(case: Path, empty: BenchDay) -> None:
    """What is recorded of one ticks that one and leaves the others open."""
    record(
        case,
        shows="conductor resistance four-wire",
        who="Ines",
        readings=("35 mΩ ± 1 mΩ",),
        conditions={"conductor": "N", "length": "5 m", "temperature": "22 °C ± 1 °C", "taps": "inside"},
        made=at(0),
        now=at(0),
    )
    boxes = one_of(standing(case, empty, fresh=False), "conductor-resistance").boxes
    assert [(box.box.conditions["conductor"], box.ticked) for box in boxes] == [
        ("L", False),
        ("N", True),
        ("PE", False),
    ]


def test_ticks_are_no_evidence(case: Path, empty: BenchDay) -> None:
    """Neither the assessment nor its mark knows of them."""
    before = (case_key(Case(case), "record"), mark_of(case))
    line = ids(one_of(standing(case, empty), "live-pins-low"), LineKind.STEP)[0]
    tick(case, standing(case, empty), line, who="Ines")
    assert (case_key(Case(case), "record"), mark_of(case)) == before


def test_a_line_that_is_not_in_the_plan_is_not_ticked(case: Path, empty: BenchDay) -> None:
    """Another version's words, or nothing at all."""
    for line in ("wiring.step.000000000000", "", "../../etc", "x" * 5000):
        with pytest.raises(UnknownName, match="the plan has no line"):
            tick(case, standing(case, empty), line, who="Ines")
    assert not (case / "ticks").exists()


def test_many_tick_at_once_and_none_is_lost(case: Path, empty: BenchDay) -> None:
    """Each line by itself: the disk holds what was acknowledged."""
    lines = [line.id for test in standing(case, empty).tests for line in test.lines if not line.waits_for][:24]
    with ThreadPoolExecutor(max_workers=8) as people:
        list(people.map(lambda line: tick(case, standing(case, empty), line, who="Ines"), lines))
    ticked = {line.id for test in standing(case, empty).tests for line in test.lines if line.tick}
    assert ticked == set(lines)


def test_lines_are_named_by_their_words(empty: BenchDay) -> None:
    """No two lines of the plan have one name, and words tell them apart."""
    progress = bench_names(empty)
    assert len(progress) == len(set(progress))
    assert line_id("wiring", LineKind.STEP, "a") != line_id("wiring", LineKind.STEP, "b")


def bench_names(day: BenchDay) -> list[str]:
    """The names of all lines of a plan."""
    return [
        line_id(test.test, kind, words)
        for test in day.plan.tests
        for kind, lines in ((LineKind.HOLD, test.hold_points), (LineKind.STEP, test.steps))
        for words in lines
    ]

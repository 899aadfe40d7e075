"""The plan of the bench: its order, its boxes typed straight back, its sheet."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest

from coldpin.cli.commands import cli
from coldpin.conclusion.safety_order import BEFORE_MAINS, COMES_FIRST
from coldpin.errors import CaseError
from coldpin.records.plan import BenchPlan, Stage, WriteBox
from coldpin.records.vocabulary import VOCABULARY
from coldpin.report.bench_sheet import build_bench_sheet
from coldpin.report.document import Callout, CalloutKind, Listing, lines_of, text_of
from coldpin.workbench import record
from coldpin.workbench.bench_plan import plan_bench, write_bench_sheet
from tests.workbench.quay import make_case, make_shelf

LIVE = (Stage.MAINS, Stage.SIMULATOR, Stage.CAR)
TYPED_AT_LEAST = 15
TYPED = ("readings", "answer", "pairs", "note")


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A case with nothing recorded."""
    return make_case(make_shelf(tmp_path_factory.mktemp("quay") / "shelf"))


@pytest.fixture(scope="module")
def plan(case: Path) -> BenchPlan:
    """Its plan."""
    return plan_bench(case)


def test_the_plan_begins_with_the_first_question_and_keeps_the_safety_order(plan: BenchPlan) -> None:
    """Five minutes to the first answer; no test with the mains before the dead ones; what destroys comes last."""
    assert (plan.tests[0].test, plan.tests[0].until_minutes) == ("live-pins-low", 5)
    stages = [test.stage for test in plan.tests]
    for place, stage in enumerate(stages):
        assert not set(stages[place + 1 :]) & set(COMES_FIRST[stage]), f"{plan.tests[place].test} comes too early"
    names = [test.test for test in plan.tests]
    first_live = next(place for place, stage in enumerate(stages) if stage in LIVE)
    assert {name.split(".")[0] for name in BEFORE_MAINS} <= set(names[:first_live])
    assert stages[-1] is Stage.DESTRUCTIVE
    assert plan.minutes == sum(test.minutes for test in plan.tests) == plan.tests[-1].until_minutes
    assert plan.because == "No test is worth it: none that is left would change what may be said."


def test_every_live_test_has_cautions_hold_points_and_simulator_values(plan: BenchPlan) -> None:
    """Cautions and hold points of every test with the mains; a setting of the simulator where one is used."""
    for test in plan.tests:
        assert test.cautions
        if test.stage in LIVE:
            assert test.hold_points
        assert bool(test.simulator) is (test.stage is Stage.SIMULATOR or test.test == "live-pins")
    settings = next(test for test in plan.tests if test.test == "live-pins").simulator
    assert [(one.position, one.high_v) for one in settings] == [("A", "12.00"), ("B", "8.98"), ("C", "5.99")]


def test_each_test_has_something_to_write_in_or_a_claim_to_copy(plan: BenchPlan) -> None:
    """No test of the plan leaves its answer nowhere to go."""
    for test in plan.tests:
        assert test.boxes or any("case.toml" in step for step in test.steps), test.test


def filled(box: WriteBox) -> list[str]:
    """The line with its boxes filled in, as a person would, what may be left out left out."""
    line = re.sub(r"\[[^]]*\]", "", box.line)
    line = line.replace("____ V ± ____ V", "24 V ± 0.5 V")
    line = re.sub(r'"____ ([^" ]+)"', r'"1 \1"', line).replace('"____"', '"1"', 1 if box.unit in ("", "1") else 0)
    for name, allowed in VOCABULARY[box.shows].allowed.items():
        line = line.replace(f"{name}=____", f"{name}={allowed[0]}")
    line = line.replace("length=____", "length=5 m")
    line = re.sub(r"( > [A-Z0-9]+)=____", r"\1=open", line).replace("--answer ____", "--answer yes")
    line = line.replace("=____", "=1")
    return shlex.split(line)


def test_every_line_types_straight_back(
    plan: BenchPlan, case: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The line of each box, filled in, is taken by the command line and writes an entry that shows what it says."""
    written, refused = 0, []
    boxes = [box for test in plan.tests for box in test.boxes if box.recorded_as in TYPED]
    for number, box in enumerate(boxes):
        words = filled(box)
        assert words[0] == "coldpin"
        assert words[2] == str(case)
        assert "____" not in " ".join(words), box.line
        fresh = make_case(make_shelf(tmp_path / f"shelf-{number}"))
        try:
            cli.main([words[1], str(fresh), *words[3:]], standalone_mode=False)
        except CaseError as error:
            # what it refuses to do without stands in the line, to be filled in
            refused.append((box.line, str(error)))
            continue
        entry = capsys.readouterr().out.strip()
        assert any(entry in path.name for path in (fresh / "entries").iterdir()), box.line
        written += 1
    assert written >= TYPED_AT_LEAST
    for line, message in refused:
        assert any(name in message for name in re.findall(r'--condition "([^=]+)=____', line)), f"{line}: {message}"


def test_what_may_be_left_out_is_a_condition_that_the_word_has(plan: BenchPlan) -> None:
    """Every condition of every line is one of the vocabulary's; files are filed by ``add``."""
    for box in (box for test in plan.tests for box in test.boxes):
        named = set(re.findall(r'--condition "([^=]+)=', box.line))
        assert named <= set(VOCABULARY[box.shows].conditions)
        assert box.line.startswith(
            "coldpin add" if box.recorded_as in ("capture", "log", "board") else "coldpin record"
        )


def test_the_time_that_there_is_bounds_the_plan(case: Path) -> None:
    """Tests that do not fit are counted."""
    short = plan_bench(case, minutes=20)

    assert short.minutes <= 20
    assert short.left_out > 0
    assert "more tests are worth doing" in " ".join(
        text_of(line) for b in build_bench_sheet(short).blocks for line in lines_of(b)
    )


def test_an_entry_makes_the_plan_another(case: Path) -> None:
    """The earth open: no test with the mains in the plan, and the sheet says so first."""
    other = make_case(make_shelf(case.parent.parent / "other"))
    record(other, shows="earth resistance", who="Ines", readings=("> 20 MΩ",), conditions={"length": "5 m"})

    plan = plan_bench(other)

    assert plan.tests == ()
    assert plan.stopped
    assert "concludes alone" in plan.because


def test_on_the_sheet_cautions_come_before_the_steps(plan: BenchPlan, tmp_path: Path) -> None:
    """Of each test; and the PDF is written, without a remark of the typesetter."""
    blocks = build_bench_sheet(plan).blocks
    seen_caution = False
    for block in blocks:
        if isinstance(block, Callout) and block.kind is CalloutKind.CAUTION:
            seen_caution = True
        if isinstance(block, Listing) and block.ordered:
            assert seen_caution
            seen_caution = False
    sheet = write_bench_sheet(plan_bench(Path(plan.folder), minutes=30), tmp_path / "sheet.pdf")
    assert sheet.read_bytes().startswith(b"%PDF")
    said = " ".join(text_of(line) for block in blocks for line in lines_of(block))
    assert "A tick is a reminder, not an interlock" in said

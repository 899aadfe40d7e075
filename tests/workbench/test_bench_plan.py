"""The plan of the bench: its order, its boxes typed straight back, its sheet."""

from __future__ import annotations

import re
import shlex
import shutil
import subprocess
import tomllib
from dataclasses import asdict, replace
from pathlib import Path

import pytest

from coldpin.casefile import open_case
from coldpin.checks.bench_tests import find_test
from coldpin.cli.commands import cli
from coldpin.conclusion.safety_order import BEFORE_MAINS, COMES_FIRST
from coldpin.errors import ColdpinError
from coldpin.records.case import Build, Cable, Claims, Electronics
from coldpin.records.plan import BenchPlan, Place, Stage, WriteBox, place_of
from coldpin.records.vocabulary import VOCABULARY
from coldpin.report.bench_sheet import TICK, build_bench_sheet
from coldpin.report.document import Callout, CalloutKind, Heading, Listing, lines_of, text_of
from coldpin.report.pdf import set_in_type
from coldpin.workbench import new_case, record
from coldpin.workbench.bench_boxes import NEVER_WITHOUT, never_without
from coldpin.workbench.bench_plan import plan_bench, write_bench_sheet
from tests.pdf_reading import page_texts
from tests.workbench.quay import at, make_case, make_shelf

LIVE = (Stage.MAINS, Stage.SIMULATOR, Stage.CAR)
WITHOUT_SIMULATOR = ("plug-discharge", "standby-power")
SET_IN_TYPE = 20
TYPED_AT_LEAST = 15
WRITTEN = {
    "after": "1.0 s",
    "air": "21 °C ± 1 °C",
    "cold resistance": "40 mΩ ± 1 mΩ",
    "cold temperature": "20 °C ± 1 °C",
    "current": "30 mA",
    "length": "5 m",
    "temperature": "22 °C ± 1 °C",
}
"""What stands in the boxes of conditions that are not ticked."""
TYPED = ("readings", "answer", "pairs", "note")


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A case with nothing recorded."""
    return make_case(make_shelf(tmp_path_factory.mktemp("quay") / "shelf"))


@pytest.fixture(scope="module")
def plan(case: Path) -> BenchPlan:
    """Its plan."""
    return plan_bench(case)


@pytest.fixture(scope="module")
def wall_plan(tmp_path_factory: pytest.TempPathFactory) -> BenchPlan:
    """The plan of a wall unit with a socket and three phases, of which nothing is recorded."""
    folder = make_shelf(tmp_path_factory.mktemp("wall") / "shelf") / "wall-unit"
    new_case(
        folder,
        make="Dunmarr",
        model="wall",
        charging_mode=3,
        build=Build.FIXED,
        cable=Cable.DETACHABLE,
        electronics=Electronics.IN_WALL_UNIT,
        phases=3,
    )
    return plan_bench(folder)


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
        used = (test.stage is Stage.SIMULATOR and test.test not in WITHOUT_SIMULATOR) or test.test == "live-pins"
        assert bool(test.simulator) is used, test.test
    settings = next(test for test in plan.tests if test.test == "live-pins").simulator
    assert [(one.position, one.high_v, one.meter) for one in settings] == [
        ("A", "12.00", "open"),
        ("B", "8.98 ± 0.05", "2712 to 2766"),
        ("C", "5.99 ± 0.08", "872.8 to 890.4"),
    ]
    assert settings[2].resistors == "R2 2739 Ω ± 26 Ω, R3 C 1300 Ω ± 12 Ω"


def test_each_test_has_something_to_write_in_or_a_claim_to_copy(plan: BenchPlan) -> None:
    """No test of the plan leaves its answer nowhere to go."""
    for test in plan.tests:
        assert test.boxes or not any(check.needs or check.any_of for check in find_test(test.test).checks), test.test


def filled(box: WriteBox) -> list[str]:
    """The line with its boxes filled in, as a person would, what may be left out left out."""
    line = re.sub(r"\[[^]]*\]", "", box.line)
    line = line.replace("____ V ± ____ V", "24 V ± 0.5 V").replace('--who "____"', '--who "Ines"')
    line = re.sub(r'"____ ([^" ]+)"', r'"1 \1"', line).replace('"____"', '"1"', 1 if box.unit in ("", "1") else 0)
    for name, allowed in VOCABULARY[box.shows].allowed.items():
        line = line.replace(f"{name}=____", f"{name}={allowed[0]}")
    for name, value in WRITTEN.items():
        line = line.replace(f'"{name}=____"', f'"{name}={value}"')
    line = re.sub(r"( > [A-Z0-9]+)=____", r"\1=open", line).replace("--answer ____", "--answer yes")
    line = line.replace("=____", "=1")
    return shlex.split(line)


def test_every_line_types_straight_back(
    plan: BenchPlan, wall_plan: BenchPlan, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """The line of each box, filled in, is taken by the command line and writes an entry that shows what it says."""
    refused: list[str] = []
    for planned in (plan, wall_plan):
        fresh = tmp_path / Path(planned.folder).name
        shutil.copytree(Path(planned.folder).parent, tmp_path, dirs_exist_ok=True)
        boxes = {box.line: box for test in planned.tests for box in test.boxes if box.recorded_as in TYPED}
        for box in boxes.values():
            words = filled(box)
            assert words[0] == "coldpin"
            assert words[2] == planned.folder
            assert "____" not in " ".join(words), box.line
            try:
                cli.main([words[1], str(fresh), *words[3:]], standalone_mode=False)
            except ColdpinError as error:
                refused.append(f"{' '.join(words)}: {error}")
                continue
            entry = capsys.readouterr().out.strip()
            assert any(entry in path.name for path in (fresh / "entries").iterdir()), box.line
        assert len(list((fresh / "entries").iterdir())) >= TYPED_AT_LEAST
    assert refused == []


def test_what_goes_into_the_case_is_a_claim_of_it(plan: BenchPlan, wall_plan: BenchPlan, tmp_path: Path) -> None:
    """The lines for ``case.toml``, filled in and set under its claims, are read as a case."""
    for planned in (plan, wall_plan):
        boxes = [box for test in planned.tests for box in test.boxes if box.recorded_as == "claim"]
        assert boxes
        lines = {line for box in boxes for line in box.line.splitlines()}
        written = tomllib.loads("\n".join(sorted(lines)).replace("____", "1 A"))
        assert Claims(**written)
        assert all(isinstance(value, str) for value in asdict(Claims(**written)).values() if value)


def test_every_blank_of_a_line_has_its_place_on_the_sheet(plan: BenchPlan, wall_plan: BenchPlan) -> None:
    """What is filled into a line is written in a box, ticked, or said once for all at the head of the sheet: who."""
    for box in (box for test in (*plan.tests, *wall_plan.tests) for box in test.boxes):
        places = box.blanks * (box.recorded_as != "answer") + len(box.rows) + len(box.choices) + len(box.fields)
        assert box.line.count("____") == places + box.line.count('--who "____"'), box.line


def test_what_may_be_left_out_is_a_condition_that_the_word_has(plan: BenchPlan) -> None:
    """Every condition of every line is one of the vocabulary's; files are filed by ``add``."""
    for box in (box for test in plan.tests for box in test.boxes if box.shows):
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
    """Of each test; beside each with the mains stands what a tick is; and the PDF is written."""
    blocks = build_bench_sheet(plan).blocks
    seen_caution = False
    for block in blocks:
        if isinstance(block, Callout) and block.kind is CalloutKind.CAUTION:
            seen_caution = True
        if isinstance(block, Listing) and block.ordered:
            assert seen_caution
            seen_caution = False
    reminded = [block for block in blocks if isinstance(block, Callout) and block.ticks and block.below]
    assert len(reminded) == sum(test.live for test in plan.tests)
    assert {text_of(block.below) for block in reminded} == {TICK}
    sheet = write_bench_sheet(replace(plan, tests=plan.tests[:2]), tmp_path / "sheet.pdf")
    assert sheet.read_bytes().startswith(b"%PDF")


def test_a_test_stays_on_one_page_or_begins_one(plan: BenchPlan) -> None:
    """On paper each test has its cautions, hold points and steps on the page of its heading; pages are numbered."""
    pdf, remarks = set_in_type(build_bench_sheet(replace(plan, tests=plan.tests[:SET_IN_TYPE])))
    pages = [" ".join(text.split()) for text in page_texts(pdf)]
    assert remarks == ()
    for number, page in enumerate(pages, 1):
        assert f"{number} of {len(pages)}" in page
        assert "Bench plan: Skerrow 16" in page
    for test in plan.tests[:SET_IN_TYPE]:
        heading = f"{test.number} {test.title} {test.stage}, {test.minutes} min"
        page = next(page for page in pages if heading in page)
        after = page[page.index(heading) :]
        so_far = " ".join(pages[: pages.index(page) + 1])
        for text in (*test.cautions, *test.hold_points, *test.steps):
            begins = " ".join(text.split()[:4])
            repeated = re.search(r"As in test \d+, steps \d+ to \d+, word for word", after)
            by_number = text in test.steps and repeated is not None
            by_number = by_number or (text in test.cautions and "Read again at the head of" in after)
            assert begins in (so_far if by_number else after), f"{test.test}: {text}"
        if test.stage in LIVE:
            assert "Read again at the head of 'With the mains': cautions 1 to" in after


def test_nothing_is_lost_where_cautions_and_steps_are_named_by_number(plan: BenchPlan, wall_plan: BenchPlan) -> None:
    """Each number leads to the very words: those of cautions at the head of the place, those of steps in a test."""
    for told in (plan, wall_plan):
        blocks = build_bench_sheet(told).blocks
        numbered = next(block for block in blocks if isinstance(block, Callout) and block.title.startswith("numbered"))
        common = dict(text_of(line).split(". ", 1) for line in numbered.items)
        shown = [block for block in blocks if isinstance(block, Callout) and block.title == "before the first step"]
        steps = [block for block in blocks if isinstance(block, Listing) and block.ordered]
        assert len(shown) == len(steps) == len(told.tests)
        for test, callout, listing in zip(told.tests, shown, steps, strict=True):
            first, *own = (text_of(line) for line in callout.items)
            assert first.startswith("Read again") is (test.live and place_of(test.stage) is Place.MAINS)
            if first.startswith("Read again"):
                named = {common[str(number)] for number in numbers(first.partition(": cautions ")[2])}
            else:
                named = {first}
            assert named | set(own) == set(test.cautions)
            spelled: list[str] = []
            for line in map(text_of, listing.items):
                found = re.fullmatch(r"As in test (\d+), steps (\d+) to (\d+), word for word\.", line)
                if found:
                    number, begin, end = map(int, found.groups())
                    assert number < test.number
                    spelled += [text_of(line) for line in steps[number - 1].items[begin - 1 : end]]
                else:
                    spelled.append(line)
            assert tuple(spelled) == test.steps


def numbers(said: str) -> list[int]:
    """The numbers of a text such as '1 to 3, 5 and 7.'."""
    runs = re.findall(r"(\d+)(?: to (\d+))?", said)
    return [number for begin, end in runs for number in range(int(begin), int(end or begin) + 1)]


def test_each_place_has_its_heading_above_its_first_test(plan: BenchPlan) -> None:
    """No heading stands alone: each is followed by the heading of a test, with numbered cautions at most between."""
    headings = [block for block in build_bench_sheet(plan).blocks if isinstance(block, Heading) and block.level > 1]

    places = [place for place, block in enumerate(headings) if block.level == 2]
    assert [headings[place].text for place in places] == [place.value for place in Place]
    assert all(headings[place + 1].level == 3 for place in places)


def test_a_plan_may_end_where_the_mains_comes_next(case: Path, plan: BenchPlan) -> None:
    """``--stage``: the tests without the mains, in the order of the whole plan; the others are counted."""
    short = plan_bench(case, one_place=True)

    dead = [test.test for test in plan.tests[: len(short.tests)]]
    assert [test.test for test in short.tests] == dead
    assert {place_of(test.stage) for test in short.tests} == {Place.DEAD}
    assert place_of(plan.tests[len(short.tests)].stage) is Place.MAINS
    assert short.left_out == len(plan.tests) - len(short.tests)


def test_a_plan_says_from_what_record_it_was_made(plan: BenchPlan, case: Path) -> None:
    """By which version, from how many entries, which is the last."""
    other = make_case(make_shelf(case.parent.parent / "made-from"))
    entry = record(other, shows="earth resistance", who="Ines", readings=("61 mΩ",), instrument="meter")

    assert plan.notes[0].endswith("from a record without entries.")
    assert plan_bench(other, minutes=1).notes[0].endswith(f"from 1 entry, the last of them {entry.id}.")
    assert plan.conclusion_now.endswith("[observed]")


def test_no_condition_is_asked_for_that_a_word_does_not_have() -> None:
    """What an entry is refused without, by our table, is a condition of its word."""
    for word, names in NEVER_WITHOUT.items():
        assert set(names) <= set(VOCABULARY[word].conditions), word


def test_what_a_box_is_refused_without_is_told_apart_from_what_may_be_left_out(plan: BenchPlan) -> None:
    """The supply at extra-low voltage, the length of a conductor; not the instrument, nor what stands in brackets."""
    boxes = {(box.shows, box.conditions.get("supply")): box for planned in plan.tests for box in planned.boxes}
    assert never_without(boxes["output with nothing connected", "extra-low voltage"]) == ("supply voltage",)
    assert never_without(boxes["output with nothing connected", "mains"]) == ()
    assert never_without(boxes["conductor resistance four-wire", None]) == ("length", "temperature")
    assert never_without(boxes["earth resistance", None]) == ("length",)


@pytest.mark.parametrize("who", ["Ines", "O'Hara & sons", 'Ines "the meter" $(echo mains) `x` \\ !'])
def test_a_line_hands_on_a_name_and_nothing_else(tmp_path: Path, who: str) -> None:
    """Whatever a shell would read into the name of the tester, the command gets the name."""
    case = make_case(make_shelf(tmp_path))
    held = open_case(case)
    held.edit("tester", held.description().tester or None, who, who="Ines", now=at(1))
    boxes = [box for planned in plan_bench(case, minutes=20).tests for box in planned.boxes]
    lines = [box.line for box in boxes if box.recorded_as != "claim"]
    assert lines
    for line in lines:
        typed = shlex.split(line)
        assert typed[typed.index("--who") + 1] == who
        told = subprocess.run(["bash", "-c", f"printf '%s\\0' {line}"], capture_output=True, text=True, check=True)
        assert told.stdout.split("\0")[:-1] == typed

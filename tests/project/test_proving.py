"""The tools of the tests themselves: what is missing is said, what was proved is not proved twice, figures arrive."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tools.measured_page import HEAD, Commit, with_section
from tools.prove import proved_section

CONFTEST = Path(__file__).resolve().parent.parent / "conftest.py"
EXAMPLE = """
def test_needs_a_program(ngspice): pass
def test_needs_data(open_data): pass
def test_plain(proving, measured):
    measured("share of captures covered", 0.953, "1", "0.95 by an exact binomial band")
def test_plain_too(): assert True
"""


@pytest.fixture
def example(tmp_path: Path) -> Path:
    """A small project of four tests under our conftest."""
    shutil.copy(CONFTEST, tmp_path / "conftest.py")
    (tmp_path / "test_example.py").write_text(EXAMPLE, encoding="utf-8")
    return tmp_path


def run(folder: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run the example's tests in their own process; no reference program and no open data is to be found there."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("COLDPIN_", "PYTEST_"))}
    clean |= {"PATH": "", "COLDPIN_OPEN_DATA": str(folder / "nowhere"), **environment}
    command = [sys.executable, "-m", "pytest", "-p", "no:cacheprovider", "--rootdir", str(folder), str(folder)]
    return subprocess.run(command, cwd=folder, env=clean, capture_output=True, text=True, check=False)


def test_what_is_missing_is_said_last_and_by_name(example: Path) -> None:
    """The block about what was left out stands right above pytest's closing line and names tests and remedy."""
    done = run(example)
    lines = done.stdout.splitlines()

    assert done.returncode == 0
    assert lines[-1].strip("= ").startswith("2 passed, 2 skipped")
    block = lines[next(n for n, line in enumerate(lines) if "NOT EVERYTHING WAS TESTED" in line) :]
    assert "Missing on this machine: ngspice, chromium, open data" in block[1]
    assert any("reference program ngspice (make system-deps" in line and "1 test not run" in line for line in block)
    assert any("COLDPIN_OPEN_DATA" in line for line in block)
    assert "    test_example.py::test_needs_a_program" in block
    assert "    test_example.py::test_needs_data" in block


def test_where_references_are_required_a_missing_program_fails(example: Path) -> None:
    """A build machine that lost a reference program is red; open data may still be absent."""
    done = run(example, COLDPIN_REQUIRE_REFERENCES="1")

    assert done.returncode == 1
    assert "the reference program ngspice is missing and this run requires it: make system-deps" in done.stdout
    closing = done.stdout.splitlines()[-1]
    assert "2 passed, 1 skipped" in closing
    assert "1 error" in closing


def test_what_was_proved_is_not_run_again(example: Path) -> None:
    """Tests are left out by their whole node id: one whose name only begins alike still runs."""
    listing = example / "proved.txt"
    listing.write_text("test_example.py::test_plain\n", encoding="utf-8")
    done = run(example, COLDPIN_PROVED=str(listing), COLDPIN_PROVE="1")

    assert "full sizes (make prove)" in done.stdout
    assert "1 passed, 2 skipped, 1 deselected" in done.stdout.splitlines()[-1]


def test_a_measured_figure_is_appended_to_the_file_named(example: Path) -> None:
    """One JSON object a line, with the test that measured it."""
    target = example / "figures.jsonl"
    run(example, COLDPIN_MEASURED=str(target))

    assert [json.loads(line) for line in target.read_text(encoding="utf-8").splitlines()] == [
        {
            "test": "test_example.py::test_plain",
            "name": "share of captures covered",
            "value": 0.953,
            "unit": "1",
            "goal": "0.95 by an exact binomial band",
        }
    ]


STAMPS_EXAMPLE = """
import sys
from pathlib import Path
import pytest
from tools.prove import Stamps
stamps = Stamps(Path("stamps"))
code = pytest.main(["-p", "no:cacheprovider", "-n", "2", "test_example.py"], plugins=[stamps])
print([(stamp["node"], stamp["figures"][0]["value"] if stamp["figures"] else None) for stamp in stamps.read()])
print(sorted(stamps.left_out))
"""


def test_only_what_passed_is_stamped_with_its_figures(example: Path) -> None:
    """Under two workers: passed tests leave a stamp with what they measured, failed ones and skipped ones do not."""
    with (example / "test_example.py").open("a", encoding="utf-8") as more:
        more.write("def test_wrong(): assert 1 == 2\n")
    project = Path(__file__).resolve().parent.parent.parent
    environment = {"PATH": "", "PYTHONPATH": str(project), "COLDPIN_OPEN_DATA": str(example / "nowhere")}
    command = [sys.executable, "-c", STAMPS_EXAMPLE]
    done = subprocess.run(command, cwd=example, env=environment, capture_output=True, text=True, check=True)

    stamped, left_out = done.stdout.splitlines()[-2:]
    assert stamped == "[('test_example.py::test_plain', 0.953), ('test_example.py::test_plain_too', None)]"
    assert left_out == "['test_example.py::test_needs_a_program', 'test_example.py::test_needs_data']"


def test_the_page_of_figures_keeps_the_other_section() -> None:
    """Proving does not wipe what the speed measurement wrote."""
    page = with_section("", "Speed", "fast\n")
    page = with_section(page, "Proved", "first\n")
    page = with_section(page, "Proved", "second\n")

    assert page == HEAD + "\n## Proved\n\nsecond\n\n## Speed\n\nfast\n"


def test_the_section_says_what_was_left_out_and_what_was_not_committed() -> None:
    """A page made with changes beside the commit says so, and each figure stands beside its goal."""
    figure = {"name": "duty", "value": 0.08123, "unit": "point", "goal": "≤ 0.1"}
    stamps = [{"node": "tests/pilot/test_duty.py::test_duty[a|b]", "seconds": 1.0, "figures": [figure]}]
    commit = Commit(hash="0123456789abcdef", date="2026-11-25", changed="diff")
    text = proved_section(commit, stamps, {"tests/test_x.py::test_y": "LEFT OUT, missing here: open data"})

    assert (
        "Commit `0123456789ab` of 2026-11-25, **with changes that were not committed**. Tests passed at full size: 1."
        in text
    )
    assert "| duty | 0.08123 | point | ≤ 0.1 | `tests/pilot/test_duty.py` |" in text
    assert "- `tests/test_x.py::test_y`: LEFT OUT, missing here: open data" in text

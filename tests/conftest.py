"""What every test may ask for, and the loud word at the end about what could not be tested here.

Environment
-----------
COLDPIN_PROVE=1
    Full sizes (``make prove``) in place of the small ones of ``make test``.
COLDPIN_MEASURED=FILE
    Each figure given to the fixture ``measured`` is appended to this file, one JSON object a line.
COLDPIN_PROVED=FILE
    Node ids, one a line, that have been proved already and are left out of this run.
COLDPIN_REQUIRE_REFERENCES=1
    A missing reference program fails the tests that need it; without it they are skipped, loudly.
COLDPIN_OPEN_DATA=FOLDER
    Where the open data lies; without it ``../shared/data`` beside the project.
"""

from __future__ import annotations

import gc
import json
import os
import shutil
from collections import defaultdict
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import NoReturn

import hypothesis
import pytest
from filelock import FileLock
from playwright.sync_api import Browser, sync_playwright

PROJECT = Path(__file__).resolve().parent.parent
PROVING = os.environ.get("COLDPIN_PROVE") == "1"
PROGRAMS = {
    "ngspice": ("COLDPIN_NGSPICE", ("ngspice",)),
    "chromium": ("COLDPIN_CHROMIUM", ("chromium", "chromium-browser")),
}
LEFT_OUT = "LEFT OUT, missing here: "
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
"""What keeps the browser from asking anybody for anything by itself; and the root of a container may start it."""

os.environ.setdefault("MPLBACKEND", "Agg")
# as the command line has it: many threads on small matrices wait for each other
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# Derandomized where it must not surprise (every change is tested against the same examples); when proving, new
# examples are drawn each time, and what fails is printed as a blob that brings it back.
hypothesis.settings.register_profile("test", max_examples=60, deadline=None, derandomize=True, database=None)
hypothesis.settings.register_profile("prove", max_examples=2000, deadline=None, print_blob=True)
hypothesis.settings.load_profile("prove" if PROVING else "test")


@pytest.fixture(scope="session")
def proving() -> bool:
    """Whether this run uses full sizes: ``sizes = 2000 if proving else 300``."""
    return PROVING


@pytest.fixture
def measured(request: pytest.FixtureRequest) -> Callable[[str, float, str, str], None]:
    """A function (name, value, unit, goal) that puts a figure into the table of ``docs/measured.md``."""

    def note(name: str, value: float, unit: str, goal: str) -> None:
        figure = {"test": request.node.nodeid, "name": name, "value": float(value), "unit": unit, "goal": goal}
        request.node.user_properties.append(("measured", figure))
        if target := os.environ.get("COLDPIN_MEASURED"):
            with Path(target).open("a", encoding="utf-8") as lines:
                lines.write(json.dumps(figure, ensure_ascii=False) + "\n")

    return note


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, Callable[[Path], object]], Path]:
    """A function (name, make) that returns a folder filled once for all workers, by the first of them that asks.

    What is made there is for looking at; who changes it works on a copy.
    """
    common = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        common = common.parent

    def get(name: str, make: Callable[[Path], object]) -> Path:
        folder, filled = common / f"once-{name}", common / f"once-{name}.filled"
        with FileLock(common / f"once-{name}.lock"):
            if not filled.exists():
                shutil.rmtree(folder, ignore_errors=True)
                folder.mkdir()
                make(folder)
                filled.touch()
        return folder

    return get


def find_program(name: str) -> str | None:
    """Return the path of a reference program, or None where it is not installed."""
    variable, commands = PROGRAMS[name]
    candidates = [os.environ[variable]] if os.environ.get(variable) else list(commands)
    return next((found for command in candidates if (found := shutil.which(command))), None)


def find_open_data() -> Path | None:
    """Return the folder of open data, or None where it is not there."""
    folder = Path(os.environ.get("COLDPIN_OPEN_DATA") or PROJECT.parent / "shared" / "data")
    return folder if folder.is_dir() else None


def _leave_out(what: str, remedy: str) -> NoReturn:
    pytest.skip(f"{LEFT_OUT}{what} ({remedy})")


def _program(name: str) -> str:
    found = find_program(name)
    if found is None:
        remedy = f"make system-deps, or name it in {PROGRAMS[name][0]}"
        if os.environ.get("COLDPIN_REQUIRE_REFERENCES") == "1":
            pytest.fail(f"the reference program {name} is missing and this run requires it: {remedy}", pytrace=False)
        _leave_out(f"reference program {name}", remedy)
    return found


@pytest.fixture(scope="session")
def ngspice() -> str:
    """The circuit simulator's executable; without it the test is left out, loudly."""
    return _program("ngspice")


@pytest.fixture(scope="session")
def chromium() -> str:
    """The browser's executable; without it the test is left out, loudly."""
    return _program("chromium")


@pytest.fixture(scope="session")
def browser(chromium: str) -> Iterator[Browser]:
    """One browser for all tests of a process: its driver can be started only once in it."""
    with sync_playwright() as play:
        opened = play.chromium.launch(executable_path=chromium, args=list(QUIET))
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def open_data() -> Path:
    """The folder of open data, read in place; without it the test is left out, loudly."""
    found = find_open_data()
    if found is None:
        _leave_out("open data", "lay it at ../shared/data, or name its folder in COLDPIN_OPEN_DATA")
    return found


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, object, object]:
    """Seek no garbage while thousands of tests are collected, which all stay, nor later among what was collected."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.enable()
        gc.freeze()


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark tests by what they need, and leave out what has been proved already."""
    for item in items:
        for name in ("ngspice", "chromium", "open_data"):
            if name in getattr(item, "fixturenames", ()):
                item.add_marker(f"needs_{name}")
    if listing := os.environ.get("COLDPIN_PROVED"):
        proved = set(Path(listing).read_text(encoding="utf-8").splitlines())
        config.hook.pytest_deselected(items=[item for item in items if item.nodeid in proved])
        items[:] = [item for item in items if item.nodeid not in proved]


def pytest_runtest_setup(item: pytest.Item) -> None:
    """Hold a test that only carries the mark to the same rule as one that asks for the fixture."""
    for name in PROGRAMS:
        if item.get_closest_marker(f"needs_{name}"):
            _program(name)


def pytest_report_header() -> str:
    """Say which sizes are run."""
    return "coldpin: full sizes (make prove)" if PROVING else "coldpin: small sizes (full ones: make prove)"


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> Generator[None]:
    """Say last, where it cannot be missed, which reference is missing and what that left out."""
    yield
    by_reason: dict[str, list[str]] = defaultdict(list)
    for report in terminalreporter.stats.get("skipped", []):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else str(report.longrepr)
        by_reason[reason.removeprefix("Skipped: ")].append(report.nodeid)
    missing = [name for name in PROGRAMS if find_program(name) is None]
    missing += [] if find_open_data() else ["open data"]
    write = terminalreporter.write_line
    if not missing and not by_reason:
        write("Nothing was left out: ngspice, chromium and the open data are here.", green=True)
        return
    terminalreporter.write_sep("!", "NOT EVERYTHING WAS TESTED", red=True, bold=True)
    if missing:
        write(f"Missing on this machine: {', '.join(missing)}", red=True, bold=True)
    for reason, nodes in sorted(by_reason.items()):
        write(f"{reason}: {len(nodes)} test{'s' * (len(nodes) > 1)} not run", red=True)
        for node in sorted(nodes):
            write(f"    {node}")

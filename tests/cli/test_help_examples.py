"""Every command's help has an example, and the examples run, in the order in which a person would use them."""

from __future__ import annotations

import json
import math
import os
import re
import shlex
import shutil
import signal
import socket
import subprocess
import sys
import time
import urllib.error
import urllib.request
from pathlib import Path

import click
import pytest
from PIL import Image

from coldpin.cli import main
from coldpin.cli.commands import cli
from coldpin.records.case import Build, Cable, Claims
from coldpin.workbench import new_case
from tests.installed import DEMO, Elsewhere, copy_of_demo
from tests.insulation.virtual_camera import Camera, photograph_card
from tests.workbench.quay import make_case, make_shelf

ORDER = (
    "new",
    "demo",
    "add",
    "record",
    "correct",
    "assess",
    "next",
    "plan",
    "publish",
    "compare",
    "together",
    "corrections",
    "notification",
    "readings",
    "bundle",
    "check-bundle",
    "pilot",
    "proximity",
    "conductor",
    "voltage-drop",
    "fault-withstand",
    "session",
    "standby",
    "temperature-rise",
    "vehicle-simulator",
    "scale-card",
    "required-distances",
    "touch-current",
    "plug-discharge",
    "trip-test",
    "risk",
    "uses",
    "lead-at",
    "body-current",
    "mains-on-pilot",
    "distances",
    "photo",
    "outline",
    "sources",
    "words",
    "entries",
    "checks",
)
"""In this order one example finds what another left; ``serve``, which does not end by itself, has a test of its own."""
CHARGE = "time (s),current (A),voltage (V)\n" + "".join(
    f"{second},{16.0 if 30 <= second < 150 else 0.0:.2f},230.1\n" for second in range(180)
)
"""A log of a charge of two minutes."""
HEATING = "time (s),current (A),sheath (°C),ambient (°C)\n" + "".join(
    f"{second},{16.0 if second >= 60 else 0.0:.1f},"
    f"{21.0 + 14.0 * (1.0 - math.exp(-max(second - 60, 0) / 400.0)):.2f},21.0\n"
    for second in range(0, 1800, 10)
)
"""A log of a lead heated for half an hour."""
BOARD = json.dumps(
    {
        "type": "FeatureCollection",
        "scale": {"unit": "mm", "pick_u_mm": 0.03},
        "features": [
            {
                "type": "Feature",
                "properties": {"role": "conductor", "net": net},
                "geometry": {
                    "type": "Polygon",
                    "coordinates": [[[left, 0.0], [left + 2.0, 0.0], [left + 2.0, 2.0], [left, 0.0]]],
                },
            }
            for net, left in (("mains L", 0.0), ("pilot", 6.4))
        ],
    }
)
"""A drawing of a pad on mains and a pad on the pilot."""
ENTRY_IN_EXAMPLE = re.compile(r"\b\d{8}T\d{4}\S*")


def example(name: str) -> str:
    """Return the example in a command's help, as one line."""
    command = cli.commands[name]
    found = re.search(r"Example: (?P<line>.*)", " ".join(str(command.help).split()))
    assert found is not None, f"coldpin {name} --help has no example"
    return found["line"].strip()


def test_every_command_has_an_example_that_is_run_here() -> None:
    """A new command must be put into the order above."""
    assert isinstance(cli, click.Group)
    assert set(cli.commands) == {*ORDER, "serve"}
    for name in cli.commands:
        assert example(name).startswith(f"coldpin {name}")


def in_process(line: str, capsys: pytest.CaptureFixture[str]) -> tuple[int, str, str]:
    """Run a command here; return how it ended and what it printed."""
    code = main(shlex.split(line)[1:])
    printed = capsys.readouterr()
    return code, printed.out, printed.err


def made_before(elsewhere: Elsewhere, folder: Path) -> tuple[int, str, str]:
    """Lay the demo there; return how the command ended that made it, and what it printed."""
    copy_of_demo(elsewhere, folder)
    return elsewhere.code, elsewhere.out, elsewhere.err


def test_the_examples_run_one_after_another(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], elsewhere: Elsewhere
) -> None:
    """From an empty folder: each example ends well, prints its result to stdout, and only a capture's name is given.

    The demo is the one that the installed wheel made, for all tests once, by this very example.
    """
    monkeypatch.chdir(tmp_path)
    entry = ""
    for name in ORDER:
        line = ENTRY_IN_EXAMPLE.sub(entry, example(name)) if name == "correct" else example(name)
        if name == "add":
            (capture,) = Path("demo-shelf/pellwick-20/evidence").glob("pellwick_board-*.csv")
            shutil.copy(capture, "steps.csv")
        if name == "session":
            Path("charge.csv").write_text(CHARGE, encoding="utf-8")
        if name == "together":
            second = Claims(rated_current="20 A", rated_voltage="230 V")
            new_case(
                Path("pellwick-20-second"),
                make="Pellwick",
                model="20",
                charging_mode=2,
                build=Build.PORTABLE,
                cable=Cable.ATTACHED,
                claims=second,
            )
        if name == "distances":
            Path("board.geojson").write_text(BOARD, encoding="utf-8")
        if name == "photo":
            camera = Camera(size=(1400, 1100), focal_px=3200.0)
            Image.fromarray(photograph_card(camera, at=(25.0, 0.0))).save("board.jpg", quality=92)
        if name == "temperature-rise":
            Path("heating.csv").write_text(HEATING, encoding="utf-8")
        code, out, err = in_process(line, capsys) if line != DEMO else made_before(elsewhere, tmp_path)

        assert code == 0, f"{line}\n{err}"
        assert out.strip(), line
        if name == "record":
            entry = out.strip()
    assert example("demo") == DEMO


def free_port() -> int:
    """Return a port of this machine that nothing listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def fetch(address: str, listening: subprocess.Popen[str]) -> int:
    """Return the status of a page of a program that is still starting; it has three minutes."""
    until = time.monotonic() + 180.0
    while time.monotonic() < until and listening.poll() is None:
        try:
            with urllib.request.urlopen(address, timeout=30.0) as answer:
                return int(answer.status)
        except (urllib.error.URLError, TimeoutError):
            time.sleep(0.05)
    return 0


def test_the_example_of_the_page_serves_until_it_is_interrupted(tmp_path: Path) -> None:
    """`serve` says where it listens, on this machine alone, and Ctrl-C ends it without a trace of an error."""
    make_case(make_shelf(tmp_path / "demo-shelf"))
    port = free_port()
    command = [str(Path(sys.executable).parent / "coldpin"), *shlex.split(example("serve"))[1:], "--port", str(port)]
    with subprocess.Popen(
        command, cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env=os.environ
    ) as listening:
        try:
            status = fetch(f"http://127.0.0.1:{port}/", listening)
            listening.send_signal(signal.SIGINT)
            said, _ = listening.communicate(timeout=60.0)
        finally:
            listening.kill()

    assert status == 200, said
    assert f"http://127.0.0.1:{port}" in said
    assert "Traceback" not in said
    assert listening.returncode in (0, 130)

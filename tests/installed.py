"""The project as a stranger has it: the wheel installed elsewhere, and the demo made with it, once for all tests."""

from __future__ import annotations

import json
import os
import shlex
import shutil
import subprocess
import sys
import sysconfig
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parent.parent
DEMO = "coldpin demo demo-shelf"
"""The command with which more than one document begins; it makes the same shelf each time."""
SEEN = {"COLUMNS": "100", "NO_COLOR": "1", "TERM": "dumb"}
"""The screen for which the documents show what is printed."""
LAUNCHER = """#!/bin/sh
exec '{python}' -I -X utf8 -c '
import sys
from importlib.metadata import distribution
(command,) = distribution("coldpin").entry_points.select(group="console_scripts", name="coldpin")
sys.argv[0] = "coldpin"
sys.exit(command.load()())
' "$@"
"""
"""What an installer writes as the command ``coldpin``; nothing of the present Python is let in but the libraries."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """A fresh environment that holds the wheel, and what came of the demo there.

    Parameters
    ----------
    environment : Path
        The environment.
    folder : Path
        Where the demo was made, as ``demo-shelf``.
    code : int
        With what the command ended.
    out, err : str
        What it printed.
    """

    environment: Path
    folder: Path
    code: int
    out: str
    err: str

    @property
    def shelf(self) -> Path:
        """The shelf of the demo; it is shared by all tests, and whoever changes it works on a copy."""
        return self.folder / "demo-shelf"


def install(environment: Path) -> None:
    """Make an environment with the wheel; the libraries come from the present one, the project does not."""
    wheels = environment.parent / "wheels"
    build = [sys.executable, "-m", "flit_core.wheel", "--outdir", str(wheels), str(PROJECT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = wheels.glob("coldpin-*.whl")
    subprocess.run([sys.executable, "-m", "venv", "--without-pip", str(environment)], check=True)
    paths = sysconfig.get_paths(vars={"base": str(environment), "platbase": str(environment)}, scheme="venv")
    packages = Path(paths["purelib"])
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(packages)
    command = environment / "bin" / "coldpin"
    command.write_text(LAUNCHER.format(python=environment / "bin" / "python"), encoding="utf-8")
    command.chmod(0o755)
    # A plain path line is added behind the environment's own folder, and .pth files found there (such as the one of an
    # editable install of this checkout) are not followed.
    (packages / "libraries.pth").write_text(sysconfig.get_paths()["purelib"] + "\n", encoding="utf-8")


def run(environment: Path, folder: Path, *command: str, merged: bool = False) -> subprocess.CompletedProcess[str]:
    """Run a command where the environment's come first, without anything of the present one but the libraries."""
    around = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "COLDPIN"))}
    return subprocess.run(
        command,
        cwd=folder,
        env=around | SEEN | {"PATH": f"{environment / 'bin'}{os.pathsep}{os.environ.get('PATH', '')}"},
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT if merged else subprocess.PIPE,
        encoding="utf-8",
        check=False,
    )


def make_demo_elsewhere(place: Path) -> None:
    """Install the wheel, make the demo with it as a reader does, and write down what it printed."""
    environment, folder = place / "environment", place / "reader"
    install(environment)
    folder.mkdir()
    done = run(environment, folder, *shlex.split(DEMO))
    said = {"code": done.returncode, "out": done.stdout, "err": done.stderr}
    (place / "demo.json").write_text(json.dumps(said), encoding="utf-8")


def demo_elsewhere(made_once: Callable[[str, Callable[[Path], object]], Path]) -> Elsewhere:
    """Return the environment and its demo, made now where no worker has made it yet."""
    place = made_once("elsewhere", make_demo_elsewhere)
    said = json.loads((place / "demo.json").read_text(encoding="utf-8"))
    return Elsewhere(environment=place / "environment", folder=place / "reader", **said)


def copy_of_demo(elsewhere: Elsewhere, folder: Path) -> None:
    """Lay a copy of the demo's shelf into a folder, as if the command had been run there."""
    assert elsewhere.code == 0, elsewhere.err
    shutil.copytree(elsewhere.shelf, folder / elsewhere.shelf.name)


@pytest.fixture(scope="session")
def elsewhere(made_once: Callable[[str, Callable[[Path], object]], Path]) -> Elsewhere:
    """A fresh environment that holds the wheel, and what came of the demo there; whose tests want it, takes it in."""
    return demo_elsewhere(made_once)

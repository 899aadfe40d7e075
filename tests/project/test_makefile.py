"""What a bare machine lacks is said in one line, and what is there already is left alone."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

PROJECT = Path(__file__).resolve().parent.parent.parent
OLD_PYTHON = """#!/bin/sh
case "$*" in *version_info*) exit 1;; *) echo 3.9.2;; esac
"""
WITHOUT = """#!/bin/sh
case "$*" in *"import {module}"*) exit 1;; *) exec {python} "$@";; esac
"""


def make(folder: Path, *arguments: str) -> subprocess.CompletedProcess[str]:
    """Run make in a folder that holds the Makefile and the locks and nothing else."""
    for name in ("Makefile", "requirements.lock", "requirements-dev.lock", "pyproject.toml"):
        shutil.copy(PROJECT / name, folder)
    # These tests may themselves be run by make, whose variables would make the inner one speak differently.
    clean = {name: value for name, value in os.environ.items() if name not in ("MAKEFLAGS", "MAKELEVEL", "MFLAGS")}
    return subprocess.run(["make", *arguments], cwd=folder, env=clean, capture_output=True, text=True, check=False)


@pytest.mark.parametrize(
    ("script", "said"),
    [
        ("", "coldpin needs python3, 3.11 or newer: install it, or name one: make PYTHON=/path/to/python"),
        (
            OLD_PYTHON,
            "coldpin needs Python 3.11 or newer and {python} is 3.9.2: name a newer one: make PYTHON=python3.12",
        ),
        (
            WITHOUT.format(module="venv", python=sys.executable),
            "the venv module of {python} is missing: install it (Debian: apt-get install python3-venv)",
        ),
        (
            WITHOUT.format(module="pip", python=sys.executable),
            "pip 22.3 or newer for {python} is missing: install it (Debian: apt-get install python3-pip)",
        ),
    ],
    ids=["no python", "old python", "no venv", "no pip"],
)
def test_what_is_missing_is_one_line(tmp_path: Path, script: str, said: str) -> None:
    """Nothing is made, and the line says what to install."""
    python = tmp_path / "other-python"
    if script:
        python.write_text(script, encoding="utf-8")
        python.chmod(0o755)
    done = make(tmp_path, "setup", f"PYTHON={python}")

    ours = [line for line in done.stderr.splitlines() if not line.startswith("make:")]
    assert done.returncode == 2
    assert ours == [said.format(python=python)]
    assert not (tmp_path / ".venv").exists()


def test_make_alone_lists_what_there_is(tmp_path: Path) -> None:
    """Every target that a person may want is listed with what it does."""
    listed = [line.split()[1] for line in make(tmp_path).stdout.splitlines() if line.startswith("make ")]

    assert listed == ["demo", "test", "prove", "bench", "docs", "picture", "page-pictures", "system-deps", "setup"]

"""The house stands as drawn: types and import contracts hold, no package stands outside, the drawing agrees."""

from __future__ import annotations

import re
import subprocess
import sys
import tomllib
from pathlib import Path

PROJECT = Path(__file__).resolve().parent.parent.parent
SOURCE = PROJECT / "src" / "coldpin"
CONTRACTS = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
GROUND = {"__init__", "__main__"}


def floors() -> list[list[str]]:
    """Return the floors of the layers contract, highest first."""
    layers: list[str] = next(contract["layers"] for contract in CONTRACTS if contract["type"] == "layers")
    return [[room.strip(" ()") for room in layer.split("|")] for layer in layers]


def test_types_hold() -> None:
    """mypy, strict, finds nothing in the program, its tests and its tools; here it runs beside the other tests."""
    command = [sys.executable, "-m", "mypy", "--no-error-summary"]
    done = subprocess.run(command, cwd=PROJECT, capture_output=True, text=True, check=False)

    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_import_contracts_hold() -> None:
    """Imports point one way; import-linter reads every module and finds no way round."""
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"]
    done = subprocess.run([*command, "--no-cache"], cwd=PROJECT, capture_output=True, text=True, check=False)

    assert done.returncode == 0, done.stdout
    assert f"{len(CONTRACTS)} kept, 0 broken" in done.stdout


def test_every_package_has_its_place_in_a_contract() -> None:
    """A new package cannot stand outside the rules: it is on a floor, or a contract of its own binds it."""
    placed = {room for floor in floors() for room in floor}
    for contract in CONTRACTS:
        if contract["type"] == "forbidden":
            placed |= {module.removeprefix("coldpin.") for module in contract["source_modules"]}
    packages = {path.parent.name for path in SOURCE.glob("*/*.py")} | {path.stem for path in SOURCE.glob("*.py")}

    assert packages - placed - GROUND == set()


def test_no_contract_has_an_exception() -> None:
    """A rule with a list of exceptions is another rule."""
    assert [contract["name"] for contract in CONTRACTS if contract.get("ignore_imports")] == []


def test_the_drawing_of_the_floors_agrees_with_the_contract() -> None:
    """docs/architecture.md draws the floors from the roof down; the contract says the same."""
    text = (PROJECT / "docs" / "architecture.md").read_text(encoding="utf-8")
    block = re.search(r"<!-- floors -->\n```text\n(.*?)```", text, flags=re.DOTALL)
    assert block is not None
    rooms = [line.split("  ")[0] for line in block[1].splitlines()]
    drawn = [re.findall(r"\b[a-z]+\b", room) for room in rooms if room.strip()]

    assert drawn == floors()

"""The help that lists the commands."""

from __future__ import annotations

import subprocess
import sys

import pytest

from coldpin.cli import main
from coldpin.cli.commands import SECTIONS, cli
from coldpin.errors import LONG_LIST, NEAREST_NAMED, UnknownName


def test_every_command_stands_once_in_the_list(capsys: pytest.CaptureFixture[str]) -> None:
    """Each has its section, and its first sentence is not cut."""
    listed = [command.name for commands in SECTIONS.values() for command in commands]
    assert len(set(listed)) == len(listed)
    assert set(listed) == set(cli.commands)

    main(["--help"])

    said = capsys.readouterr().out
    assert all(f"\n{title}:\n" in said for title in SECTIONS)
    assert "..." not in said.split("Begin:", 1)[1]
    places = [said.index(f"\n  {name} ") for name in listed]
    assert places == sorted(places)


def test_help_waits_for_nothing_that_it_does_not_need() -> None:
    """No library that a command computes, reads or draws with is loaded before one runs."""
    heavy = ("numpy", "scipy", "pydantic", "polars", "GTC", "matplotlib", "jinja2", "shapely", "importlib.metadata")
    program = f"import sys, coldpin.cli.commands; print([name for name in {heavy!r} if name in sys.modules])"
    run = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"


def test_of_a_long_list_the_nearest_words_are_named() -> None:
    """A short list is told whole, and a long one where nothing in it is like the word given."""
    many = [f"mains {number}" for number in range(LONG_LIST)] + ["earth resistance"]
    message = str(UnknownName.among("word", "earth resistence", many))
    assert message == f"unknown word 'earth resistence'; did you mean 'earth resistance'? {len(many)} are known"
    near = str(UnknownName.among("word", "mains 3x", many))
    assert near.split("Others like it: ")[1].split(".")[0].count("mains") == NEAREST_NAMED - 1
    assert "Known: " in str(UnknownName.among("word", "earth resistence", many[-9:]))
    assert str(UnknownName.among("word", "zzz", many)).count("mains") == LONG_LIST

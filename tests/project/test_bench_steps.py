"""The steps of a tutorial on the page: read line by line, refused where a line says something else."""

from __future__ import annotations

import pytest

from tools.bench_steps import steps_of


def text(*lines: str) -> str:
    """A tutorial with one block."""
    return "\n".join(("# Title", "", "```bench", *lines, "```", ""))


@pytest.mark.parametrize(
    ("line", "read"),
    [
        ('press "Make the case"', ("press", "Make the case", "", "")),
        ('write "0.11 Ω" into "Reading 1"', ("write", "0.11 Ω", "Reading 1", "")),
        ('choose "attached" for "Cable" in "New case"', ("choose", "attached", "Cable", "New case")),
        ('give "steps.csv" to "From this device"', ("give", "steps.csv", "From this device", "")),
        ('see "Earth through the lead: shown"', ("see", "Earth through the lead: shown", "", "")),
        ("wait until it is assessed", ("wait", "", "", "")),
        ("picture earth-resistance", ("picture", "earth-resistance", "", "")),
    ],
)
def test_a_step_is_one_line(line: str, read: tuple[str, ...]) -> None:
    """A verb, what with, where."""
    (step,) = steps_of(text(line))
    assert (step.verb, step.first, step.second, step.part) == read
    assert step.line == 4


@pytest.mark.parametrize("line", ["click here", 'press "A" and "B"', 'write "x"  into "y"', ""])
def test_a_line_that_says_something_else_is_refused(line: str) -> None:
    """With its place, so that a typing error is no step left out."""
    with pytest.raises(ValueError, match="line 5: this step is not understood"):
        steps_of(text('press "A"', line))

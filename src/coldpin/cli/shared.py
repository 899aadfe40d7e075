"""What several commands share: options, and what was given and could not be used."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from coldpin.records.assessment import Problem

NOT_ALL_USED = 3

who_option = click.option("--who", required=True, help="who did it")
made_option = click.option("--made", default=None, help="when, as 2026-05-02T14:30+01:00; now where left out")
made_of_file_option = click.option(
    "--made",
    default=None,
    help="when, as 2026-05-02T14:30+01:00; where left out, a log's first stamp says it, else it is now",
)
json_option = click.option("--json", "as_json", is_flag=True, help="print the record as JSON")
condition_option = click.option(
    "--condition",
    "conditions",
    multiple=True,
    metavar="NAME=VALUE",
    help="a condition of the vocabulary; may be repeated",
)
surroundings = (
    click.option("--instrument", default="", help="its name in shelf.toml, the file beside the case"),
    click.option("--supply-voltage", default="", help="such as '231 V'"),
    click.option("--ambient", default="", help="such as '19 °C'"),
    click.option("--humidity", default="", help="such as '55 %'"),
    click.option("--note", default="", help="anything else"),
    click.option("--private", is_flag=True, help="keep this entry out of what is published"),
)


@contextmanager
def progress_line(what: str) -> Iterator[Callable[[float], None] | None]:
    """Show how far long work is in one line of the standard error, where a person watches it.

    Parameters
    ----------
    what : str
        What is done.

    Yields
    ------
    callable or None
        Is told the part done, 0 to 1; None where nobody watches.
    """
    if not sys.stderr.isatty():
        yield None
        return
    shown = ""

    def tell(part: float) -> None:
        nonlocal shown
        if (line := f"{what} {part:4.0%}") != shown:
            click.echo(f"\r{line}", err=True, nl=False)
            shown = line

    try:
        yield tell
    finally:
        click.echo("\r" + " " * len(shown) + "\r", err=True, nl=False)


def with_surroundings(command: Any) -> Any:
    """Add the options that say with what and under which conditions something was done.

    Parameters
    ----------
    command : callable
        A command with a parameter of each name.

    Returns
    -------
    callable
        The same command.
    """
    for option in reversed(surroundings):
        command = option(command)
    return command


def tell_problems(problems: tuple[Problem, ...]) -> int:
    """Say on stderr what was given and could not be used.

    Parameters
    ----------
    problems : tuple of Problem
        What could not be used, and why.

    Returns
    -------
    int
        The exit code: 3 where there is any, else 0.
    """
    for problem in problems:
        click.echo(f"could not be used: {problem.where}: {problem.what}", err=True)
    return NOT_ALL_USED if problems else 0

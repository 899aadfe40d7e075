"""Options that several commands share, and how their texts become values."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import click

from coldpin.records.file_words import Sort
from coldpin.records.form_field import FormField
from coldpin.workbench.reading_options import READ_BY, SEVERAL

Command = TypeVar("Command", bound=Callable[..., Any])

KINDS = {"channels": int, "segment": int, "skip_rows": int, "scale": float, "output_scale": float}
"""What an option's text becomes; any other stays a text."""


def _option(field: FormField, *, of: str = "") -> Callable[[Command], Command]:
    """Return the option that a field of the page's form is at the command line."""
    flag, kind = f"--{field.name.replace('_', '-')}", KINDS.get(field.name, str)
    several = field.name in SEVERAL
    more = f": {', '.join(field.allowed)}" if field.allowed else f", such as '{field.example}'" if field.example else ""
    text = f"{of}{field.meaning}{more}" + ("; may be repeated" if several else "")
    return click.option(flag, field.name, type=kind, default=None, multiple=several, help=text)


def log_options(command: Command) -> Command:
    """Add the options that say how a log is to be read.

    Parameters
    ----------
    command : callable
        A command with a parameter of each name.

    Returns
    -------
    callable
        The same command.
    """
    for field in reversed(READ_BY[Sort.LOG]):
        command = _option(field)(command)
    return command


def log_options_alone(command: Command) -> Command:
    """Add the options for logs that a capture does not have, to a command that takes both.

    Parameters
    ----------
    command : callable
        A command with the options of a capture.

    Returns
    -------
    callable
        The same command.
    """
    shared = {field.name for field in READ_BY[Sort.CAPTURE]}
    for field in reversed(READ_BY[Sort.LOG]):
        if field.name not in shared:
            command = _option(field, of="log: ")(command)
    return command


def log_choices(given: dict[str, Any]) -> dict[str, str | float | int | tuple[str, ...]]:
    """Return the choices about a log that were made by hand.

    Parameters
    ----------
    given : dict
        All parameters of the command.

    Returns
    -------
    dict
        Those of a log that are neither None nor empty.
    """
    names = [field.name for field in READ_BY[Sort.LOG]]
    return {name: given[name] for name in names if given.get(name) not in (None, ())}


def capture_options(command: Command) -> Command:
    """Add the options that say how a capture is to be read.

    Parameters
    ----------
    command : callable
        A command with a parameter of each name.

    Returns
    -------
    callable
        The same command.
    """
    for field in reversed(READ_BY[Sort.CAPTURE]):
        command = _option(field)(command)
    return command


def capture_choices(given: dict[str, Any]) -> dict[str, str | float | int]:
    """Return the choices that were made by hand.

    Parameters
    ----------
    given : dict
        All parameters of the command.

    Returns
    -------
    dict
        Those of a capture that are not None.
    """
    names = [field.name for field in READ_BY[Sort.CAPTURE]]
    return {name: given[name] for name in names if given.get(name) is not None}


def pairs_of(texts: Iterable[str], what: str, form: str = "name=value") -> dict[str, str]:
    """Split texts at their first equals sign.

    Parameters
    ----------
    texts : iterable of str
        Such as "load=steps".
    what : str
        What they are, for the message.
    form : str
        How one is written, for the message.

    Returns
    -------
    dict
        Left side to right side, without blanks around.

    Raises
    ------
    click.BadParameter
        A text has no equals sign, or two texts have the same left side.

    Examples
    --------
    >>> pairs_of(["L > L1=joined"], "pair")
    {'L > L1': 'joined'}
    """
    found: dict[str, str] = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign:
            raise click.BadParameter(f"{what} {text!r} has no '=': write {form}")
        if name.strip() in found:
            raise click.BadParameter(f"{what} {name.strip()!r} is given twice: keep one")
        found[name.strip()] = value.strip()
    return found

"""Options that several commands share, and how their texts become values."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import click

Command = TypeVar("Command", bound=Callable[..., Any])

CAPTURE_OPTIONS: tuple[tuple[str, str, Any, str], ...] = (
    ("--format", "format", str, "what a file without header holds, such as 'raw int16'"),
    ("--time", "time", str, "column with the time: its name, or its number from 1"),
    ("--voltage", "voltage", str, "column or channel with the pilot's voltage"),
    ("--output", "output", str, "column or channel with the output's voltage, if there is one"),
    ("--channels", "channels", int, "channels side by side in a raw file"),
    ("--segment", "segment", int, "which stretch of equal steps, in a record with several rates"),
    ("--separator", "separator", str, "what stands between columns: comma, semicolon, tab, space"),
    ("--decimal", "decimal", str, "decimal sign: point or comma"),
    ("--encoding", "encoding", str, "encoding of the text, such as utf-8"),
    ("--skip-rows", "skip_rows", int, "rows to leave out before the header"),
    ("--unit", "unit", str, "unit of the voltage, where the file does not say"),
    ("--step", "step", str, "time between samples, such as '4 µs'"),
    ("--rate", "rate", str, "samples a second, such as '250 kHz'"),
    (
        "--scale",
        "scale",
        float,
        "factor on the voltage (probe, divider); for WAV and raw integers, volts at full scale",
    ),
    ("--output-scale", "output_scale", float, "the same for the output"),
)


LOG_OPTIONS: tuple[tuple[str, str, Any, bool, str], ...] = (
    ("--column", "column", str, True, "what a column holds, such as power=3:kW or 'temperature=Plug'; may be repeated"),
    ("--time", "time", str, False, "column with the time, and its unit where it is a count, such as 1:min"),
    ("--date", "date", str, False, "column with the date, where the time of day has one of its own"),
    ("--date-order", "date_order", str, False, "order of the dates: ymd, dmy or mdy"),
    ("--clock-step", "clock_step", str, True, "line=time by which the clock was put forward, such as '1204=1 h'"),
    ("--missing", "missing", str, True, "what marks a missing value, beside the usual; may be repeated"),
    ("--separator", "separator", str, False, "what stands between columns: comma, semicolon, tab, space"),
    ("--decimal", "decimal", str, False, "decimal sign: point or comma"),
    ("--encoding", "encoding", str, False, "encoding of the text, such as utf-8"),
    ("--skip-rows", "skip_rows", int, False, "rows to leave out before the header"),
    ("--step", "step", str, False, "time between rows, where no column has the time, such as '1 min'"),
)


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
    for flag, name, kind, repeated, text in reversed(LOG_OPTIONS):
        command = click.option(flag, name, type=kind, default=None, multiple=repeated, help=text)(command)
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
    shared = {name for _, name, _, _ in CAPTURE_OPTIONS}
    for flag, name, kind, repeated, text in reversed(LOG_OPTIONS):
        if name not in shared:
            command = click.option(flag, name, type=kind, default=None, multiple=repeated, help=f"log: {text}")(command)
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
    names = [name for _, name, _, _, _ in LOG_OPTIONS]
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
    for flag, name, kind, text in reversed(CAPTURE_OPTIONS):
        command = click.option(flag, name, type=kind, default=None, help=text)(command)
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
    names = [name for _, name, _, _ in CAPTURE_OPTIONS]
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

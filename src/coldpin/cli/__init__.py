"""The command line: parse, one call of the workbench, print. Results to stdout, remarks to stderr."""

from __future__ import annotations

import gc
import os
import re
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import click

DONE = 0
OUR_FAULT = 1
WRONG_INPUT = 2
NOT_ALL_USED = 3
INTERRUPTED = 130

LOOKED_THROUGH_EVERY = 50_000
"""Ours: so many new objects are made before the collector looks for rings among them. Records hold no rings, and a
report makes millions of them: at the usual 700 looking takes a twentieth of the time."""

_LIKE_A_NUMBER = re.compile(r"-[0-9.,]")


def main(arguments: Sequence[str] | None = None, *, alone: bool = True) -> int:
    """Run one command and return its exit code.

    Parameters
    ----------
    arguments : sequence of str, optional
        What follows the program's name; that of the process where left out.
    alone : bool
        False to let a command start a second process that helps it.

    Returns
    -------
    int
        0 done, 2 wrong input, 3 done but something given could not be used, 1 our fault, 130 interrupted.
    """
    import click

    from coldpin.cli.commands import cli
    from coldpin.errors import ColdpinError, Interrupted

    try:
        result = cli.main(
            args=None if arguments is None else list(arguments), prog_name="coldpin", standalone_mode=False, obj=alone
        )
    except (KeyboardInterrupt, click.Abort, Interrupted):
        print("interrupted; what was acknowledged before is kept", file=sys.stderr)
        return INTERRUPTED
    except click.ClickException as error:
        print(_told(error), file=sys.stderr)
        return WRONG_INPUT
    except ColdpinError as error:
        print(f"coldpin: {error}", file=sys.stderr)
        return WRONG_INPUT
    return result if isinstance(result, int) else DONE


def _told(error: click.ClickException) -> str:
    """Say what is wrong with what was typed, and where to read on."""
    import click

    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        return error.format_message()
    told = f"coldpin: {' '.join(error.format_message().split())}"
    told += "" if told.endswith((".", "?")) else "."
    if isinstance(error, click.NoSuchOption) and _LIKE_A_NUMBER.match(error.option_name):
        return f"{told} {_below_zero(error)}"
    if isinstance(error, click.UsageError) and error.ctx is not None:
        return f"{told} See: {error.ctx.command_path} --help"
    return told


def _below_zero(error: click.NoSuchOption) -> str:
    """Say how a value below zero is typed, where the command takes one at all."""
    context = error.ctx
    path, name = (context.command_path, context.info_name) if context is not None else ("coldpin record", "record")
    if name not in _TAKE_READINGS:
        return f"A value below zero is not read here. See: {path} --help"
    return f"A reading below zero goes last, behind --: {path} ... -- '-0.01 Ω'; a time is not negative"


_TAKE_READINGS = ("record", "correct")


def run() -> None:
    """Run the command of this process and leave with its exit code."""
    # our matrices are small: several threads on one of them wait for each other most of the time
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    gc.set_threshold(LOOKED_THROUGH_EVERY)
    sys.exit(main(alone=False))

"""What the commands print for a person: tables to standard output, how a file was read to standard error."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from coldpin.quantity import Quantity
    from coldpin.records.assessment import Assessment
    from coldpin.records.dialect import Dialect
    from coldpin.records.pilot import PilotReading

TABLE_WIDTH = 160
"""A table that goes into a file or a pipe has no terminal to fit into. [characters]"""


def _console() -> Console:
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else TABLE_WIDTH)


def show_assessment(assessment: Assessment) -> None:
    """Print the headline and the function table of an assessment.

    Parameters
    ----------
    assessment : Assessment
        The record.
    """
    from rich.table import Table

    console = _console()
    console.print(f"[bold]{assessment.title}[/bold]", highlight=False)
    console.print(assessment.conclusion.headline.text, markup=False, highlight=False)
    table = Table(box=None, pad_edge=False)
    for heading in ("Function", "State", "Because"):
        table.add_column(heading, overflow="fold")
    for function in assessment.functions:
        table.add_row(function.title, function.state.value.replace("_", " "), function.because)
    console.print(table, markup=False)


def show_reading(reading: PilotReading) -> None:
    """Print the runs of a pilot reading as a table.

    Parameters
    ----------
    reading : PilotReading
        The reading.
    """
    from rich.table import Table

    from coldpin.quantity import format_quantity

    table = Table(box=None, pad_edge=False)
    for heading in ("State", "From", "To", "High", "Low", "Frequency", "Duty", "Offer", "Diode"):
        table.add_column(heading)

    def said(quantity: Quantity | None) -> str:
        return format_quantity(quantity) if quantity is not None else "-"

    for run in reading.runs:
        offer = run.offered_current_a
        told = "-" if offer is None else said(offer.current) if offer.meaning == "current" else offer.meaning.value
        table.add_row(
            run.state.value,
            f"{run.start_s:.4f} s",
            f"{run.end_s:.4f} s",
            said(run.high_v),
            said(run.low_v),
            said(run.frequency_hz),
            said(run.duty_percent),
            told,
            run.diode.value,
        )
    _console().print(table, markup=False)


def show_dialect(dialect: Dialect, remarks: tuple[str, ...]) -> None:
    """Print on standard error how a capture was read.

    Parameters
    ----------
    dialect : Dialect
        How.
    remarks : tuple of str
        What had to be left out or taken for granted.
    """
    shown = {
        "separator": repr(dialect.delimiter),
        "decimal": repr(dialect.decimal_char),
        "encoding": dialect.encoding,
        "header rows": dialect.header_row_count,
        "rows skipped": dialect.skip_rows,
        "time": dialect.time or "-",
        "voltage": dialect.voltage,
        "output": dialect.output or "-",
        "step": f"{dialect.step:g} s" if dialect.step else "from the time column",
    }
    click.echo("read as: " + ", ".join(f"{name} {value}" for name, value in shown.items()), err=True)
    for remark in remarks:
        click.echo(f"remark: {remark}", err=True)

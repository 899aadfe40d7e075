"""Cases side by side, on the screen."""

from __future__ import annotations

import click
from rich.console import Console
from rich.table import Table

from coldpin.records.comparison import Comparison

_BESIDE = 6
"""Cases that stand beside each other; more are told in further tables."""


def show_comparison(comparison: Comparison) -> None:
    """Print a comparison.

    Parameters
    ----------
    comparison : Comparison
        The cases.
    """
    click.echo(f"{comparison.title}: {len(comparison.cases)} compared")
    for case in comparison.cases:
        click.echo(f"  {case.title}: {case.headline.text} [{case.headline.basis}]")
    for start in range(0, len(comparison.cases), _BESIDE):
        group = comparison.cases[start : start + _BESIDE]
        table = Table("function", *(case.title for case in group), box=None)
        for row in comparison.functions:
            states = row.states[start : start + _BESIDE]
            table.add_row(row.title, *("–" if state is None else state.replace("_", " ") for state in states))
        Console().print(table)

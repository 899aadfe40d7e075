"""What the command about conditions of use prints for a person."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from coldpin.cli.tables import show_rows

if TYPE_CHECKING:
    from coldpin.records.use import CaseUses


def show_uses(told: CaseUses) -> None:
    """Print the conditions of use of a case, then the reasons of each.

    Parameters
    ----------
    told : CaseUses
        The record.
    """
    from coldpin.conclusion.use_telling import current_told
    from coldpin.records.assessment import Basis

    show_rows(
        ("Where and how", "Answer", "Largest current", "By"),
        [(use.name, use.answer.value, current_told(use), use.limited_by) for use in told.uses],
    )
    for use in told.uses:
        click.echo("")
        click.echo(f"{use.name}: {use.answer.value}")
        click.echo(f"  {use.because} [{Basis.INFERRED}]")
        if use.would_have:
            click.echo(f"  A unit fit for this would have: {'; '.join(use.would_have)}.")
        if use.local_codes:
            click.echo(f"  {use.local_codes}")

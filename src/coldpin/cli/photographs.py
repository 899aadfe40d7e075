"""The commands about photographs of boards."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option


@click.command("scale-card")
@click.option(
    "--card", type=click.Choice(["A", "B"], case_sensitive=False), default="A", show_default=True, help="which"
)
@click.option(
    "--pdf", "sheet", type=click.Path(path_type=Path, dir_okay=False), default=None, help="write both, to print and cut"
)
@json_option
def scale_card(card: str, sheet: Path | None, as_json: bool) -> int:
    """Make the card to lay beside a board when it is photographed: layout, and how to print, check and lay it.

    Example: coldpin scale-card --pdf scale-card.pdf
    """
    from coldpin.cli.photograph_tables import show_scale_card
    from coldpin.records.plain import to_json
    from coldpin.workbench.scale_cards import plan_scale_card, write_card_sheet

    plan = plan_scale_card(card)
    if as_json:
        click.echo(to_json(plan), nl=False)
    else:
        show_scale_card(plan)
    if sheet is not None:
        click.echo(f"sheet: {write_card_sheet(sheet)}", err=True)
    return 0

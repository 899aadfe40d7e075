"""The command that drafts notices and letters."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--to", "to", type=click.Choice(["authority", "marketplace", "seller"]), required=True, help="to whom")
@click.option("--name", default="", help="name of who sends it; kept nowhere")
@click.option("--contact", default="", help="how they are reached; kept nowhere")
@click.option("--country", default="", help="their country, for an authority")
@click.option("--report", default="", help="address at which the report can be read")
@json_option
def notification(case: Path, to: str, name: str, contact: str, country: str, report: str, as_json: bool) -> int:
    """Draft a notice to an authority or a marketplace, or a letter to the seller. Nothing is sent.

    What the record does not hold is told as missing. The statement of good faith is for you to sign.

    Example: coldpin notification shelf/skerrow-16 --to seller --name "Ines"
    """
    from coldpin.records.notice import Addressee, Sender
    from coldpin.records.plain import to_json
    from coldpin.workbench.notices import notification as draft

    made = draft(case, Addressee(to), Sender(name=name, contact=contact, country=country, report=report))
    click.echo(to_json(made) if as_json else made.text, nl=False)
    for line in made.missing:
        click.echo(f"missing: {line}", err=True)
    return 0

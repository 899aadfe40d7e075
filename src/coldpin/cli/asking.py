"""The command that asks the lead of a case what it would do otherwise, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from coldpin.cli.shared import json_option, tell_problems

if TYPE_CHECKING:
    from coldpin.records.lead_at import LeadAt


@click.command("lead-at")
@click.argument("case", type=click.Path(path_type=Path))
@click.option(
    "--current", default="", help="in each loaded core, such as '20 A'; the largest offered or marked if left out"
)
@click.option("--ambient", default="", help="such as '40 °C'; the hottest it is meant for where left out")
@click.option("--length", default="", help="such as '10 m'; its own where left out")
@click.option(
    "--lies",
    type=click.Choice(["free air", "on a surface", "bundled", "coiled", "on a drum"]),
    default="on a surface",
    show_default=True,
    help="how it lies",
)
@json_option
def lead_at(case: Path, current: str, ambient: str, length: str, lies: str, as_json: bool) -> int:
    """Say what the lead of a CASE does at another current, in other air, at another length: heat, voltage, faults.

    Reckoned from what was read of it; nothing of this was tried.

    Example: coldpin lead-at demo-shelf/skerrow-16 --current "20 A" --ambient "35 °C" --lies coiled
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.lead_at import lead_of_case_at

    told, problems = lead_of_case_at(case, current=current, ambient=ambient, length=length, lies=lies)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        _show(told)
    return tell_problems(problems)


def _show(told: LeadAt) -> None:
    """Print heat, voltage and faults, and what was taken for granted."""
    if told.heat is None:
        click.echo(told.heat_why)
    else:
        click.echo(told.heat.statement)
    for statement in (told.drop_why,) if told.drop is None else told.drop.statements:
        click.echo(statement)
    for statement in [said for fault in told.faults for said in fault.statements] or [told.faults_why]:
        click.echo(statement)
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)

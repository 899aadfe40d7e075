"""The commands that give a case out: notices and letters, readings, the list of corrections."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, tell_problems


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


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("-o", "--output", type=click.Path(path_type=Path), default=None, help="a file instead of the output")
@json_option
def readings(case: Path, output: Path | None, as_json: bool) -> int:
    """Give out all readings of a case as CSV, units in the heading, one row for each; private ones are left out.

    Example: coldpin readings shelf/skerrow-16
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.readings import MARK, all_readings, readings_table

    out = all_readings(case)
    text = to_json(out.readings) if as_json else readings_table(out.readings)
    if output is None:
        click.echo(text.replace("\r\n", "\n"), nl=False)
    else:
        output.write_bytes((text if as_json else f"{MARK}{text}").encode())
        click.echo(str(output))
    return tell_problems(out.problems)


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@json_option
def corrections(case: Path, as_json: bool) -> int:
    """List the published issues of a case and what each changed, newest first.

    Example: coldpin corrections shelf/skerrow-16
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.readings import public_corrections

    held = public_corrections(case)
    if as_json:
        click.echo(to_json(held), nl=False)
        return 0
    for issue in held.issues:
        click.echo(f"issue {issue.number}, {issue.issued_on}")
        for line in issue.changes:
            click.echo(f"    {line}")
    if not held.issues:
        click.echo("nothing was published yet")
    return 0

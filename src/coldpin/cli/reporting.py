"""The commands that make reports and show them: assess, publish, demo, serve."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, tell_problems
from coldpin.cli.tables import show_assessment

PORT = 8610
"""Where the page listens: free of the ports that are usually taken."""


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--fresh", is_flag=True, help="compute everything anew, and take nothing from the case's cache")
@json_option
@click.pass_obj
def assess(alone: bool, case: Path, fresh: bool, as_json: bool) -> int:
    """Assess a case, say what may be said of it, and write its draft report.

    Example: coldpin assess demo-shelf/skerrow-16
    """
    from coldpin.workbench.ahead import second_process

    with second_process(case, wanted=not (alone or fresh)) as second:
        from coldpin.records.plain import to_json
        from coldpin.workbench import write_report

        # the conclusion is told before its report is drawn and typeset, which takes longer
        told = (lambda _: None) if as_json else show_assessment
        written = write_report(case, fresh=fresh, second=second, told=told)
    if as_json:
        click.echo(to_json(written.assessment), nl=False)
    else:
        click.echo("")
        for path in (written.page, written.sheet, written.record, *written.summary):
            click.echo(str(path))
    return tell_problems(written.assessment.problems)


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--date", "on", default=None, help="date of the issue, as 2026-05-30; today where left out")
def publish(case: Path, on: str | None) -> int:
    """Freeze the report as a numbered issue, with what changed since the last.

    Photographs are published without place, time and device. Texts that private.toml names are withheld.

    Example: coldpin publish shelf/skerrow-16 --date 2026-05-30
    """
    from coldpin.workbench.publishing import publish as freeze

    issue = freeze(case, on=on)
    for line in issue.changes:
        click.echo(f"changed: {line}", err=True)
    for remark in issue.remarks:
        click.echo(f"remark: {remark}", err=True)
    click.echo(str(issue.folder))
    return tell_problems(issue.problems)


@click.command()
@click.argument("folder", type=click.Path(path_type=Path), default=Path("demo-shelf"))
def demo(folder: Path) -> int:
    """Make the shelf of Brackwater Boatyard: three donated leads, all invented, and their reports.

    Example: coldpin demo demo-shelf
    """
    from coldpin.workbench.demo import make_demo

    result = make_demo(folder)
    code = 0
    for written in result.written:
        show_assessment(written.assessment)
        click.echo(f"  page  {written.page}")
        click.echo(f"  PDF   {written.sheet}")
        click.echo("")
        code = max(code, tell_problems(written.assessment.problems))
    return code


@click.command()
@click.argument("shelf", type=click.Path(path_type=Path), default=Path())
@click.option("--port", type=int, default=PORT, show_default=True, help="where to listen")
@click.option(
    "--host",
    default="127.0.0.1",
    show_default=True,
    help="the address to listen at; at another than this machine's own a token is asked for",
)
@click.option("--token", default="", help="the token to ask for; one is made where it is needed and left out")
def serve(shelf: Path, port: int, host: str, token: str) -> int:
    """Show a shelf in the browser, and work on it there: on this machine alone unless told otherwise. Ends with Ctrl-C.

    Example: coldpin serve demo-shelf
    """
    from coldpin.web import serve as listen

    def listening(address: str) -> None:
        whom = (
            "whoever has this address can read and change the shelf"
            if "token=" in address
            else "this machine alone can reach it"
        )
        click.echo(f"listening at {address} until Ctrl-C; {whom}", err=True)

    listen(shelf, port=port, host=host, token=token, listening=listening)
    return 0

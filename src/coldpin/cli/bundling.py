"""The commands that pack a case to be handed on, and check what somebody else packed."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import NOT_ALL_USED, json_option, progress_line, tell_problems


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--to", "target", type=click.Path(path_type=Path), default=None, help="file to write; CASE.zip here")
@click.option("--private", is_flag=True, help="pack everything, private entries and comments too")
@click.option("--date", "on", default=None, help="day it is made, as 2026-05-30; today where left out")
@json_option
def bundle(case: Path, target: Path | None, private: bool, on: str | None, as_json: bool) -> int:
    """Pack a case with record, evidence and report, so that others can compute it again.

    The file is a zipped bag (RFC 8493). Nothing private goes into it unless asked for: texts that private.toml names
    are withheld, pictures are packed as their pixels alone, and what cannot be looked into is left out.

    Example: coldpin bundle demo-shelf/skerrow-16 --to skerrow.zip
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.bundling import bundle as pack_case

    with progress_line("packing") as progress:
        made = pack_case(case, target, private=private, on=on, progress=progress)
    for said, lines in (
        ("withheld", made.about.withheld),
        ("changed", made.about.changed),
        ("left out", made.about.left_out),
        ("remark", made.remarks),
    ):
        for line in lines:
            click.echo(f"{said}: {line}", err=True)
    click.echo(to_json(made.about) if as_json else str(made.path), nl=not as_json)
    return tell_problems(made.assessment.problems)


@click.command("check-bundle")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
def check_bundle(file: Path, as_json: bool) -> int:
    """Check a bundle against its manifests and compute its record again.

    Example: coldpin check-bundle skerrow.zip
    """
    from coldpin.cli.bundle_table import show_check
    from coldpin.records.plain import to_json
    from coldpin.workbench.bundling import check_bundle as check

    with progress_line("computing again") as progress:
        checked = check(file, progress=progress)
    if as_json:
        click.echo(to_json(checked), nl=False)
    else:
        show_check(checked)
    code = tell_problems(checked.problems)
    return NOT_ALL_USED if checked.differences else code

"""The command that proposes outlines on a photograph."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option

_FILE = click.Path(path_type=Path, dir_okay=False)


@click.command()
@click.argument("picture", type=_FILE)
@click.option(
    "--at",
    multiple=True,
    required=True,
    metavar="'X,Y = WHAT'",
    help="a point inside it, or its corners; a role or a net, then a name: '412,300 = slot, slot 2'; may be repeated",
)
@click.option(
    "--show", type=_FILE, required=True, help="write the picture to look at: the outlines over the photograph"
)
@click.option("--snap", is_flag=True, help="lay the sides to the edges of the picture nearby")
@click.option(
    "--filled", is_flag=True, help="keep no openings, such as print on copper makes; boards and slots have none"
)
@click.option("--tolerance", type=float, default=None, help="how unlike the colour may be, in L*a*b*; usual is 12")
@click.option(
    "--reach", type=float, default=None, help="how far from a side edges are looked for, in pixels; usual is 6"
)
@click.option("--face", type=click.Choice(["top", "bottom"]), default=None, help="which one the photograph shows")
@click.option("--features", type=_FILE, default=None, help="write them as features of GeoJSON")
@click.option("--add-to", type=_FILE, default=None, help="add them to a board's drawing over this photograph")
@json_option
def outline(
    picture: Path,
    at: tuple[str, ...],
    show: Path,
    snap: bool,
    filled: bool,
    tolerance: float | None,
    reach: float | None,
    face: str | None,
    features: Path | None,
    add_to: Path | None,
    as_json: bool,
) -> int:
    """Propose outlines on a photograph of a board, grown from a point or drawn by hand and laid to edges.

    A proposal is to be looked at: the picture shows it from near by. Its feature is marked as proposed, and a drawing
    with such a feature decides nothing until the mark is taken out. Pixels count from the middle of the upper left one.

    Example: coldpin outline board.jpg --at "320,300 = floating, pad 7" --snap --show outline.png
    --features pads.geojson
    """
    from coldpin.cli.photograph_tables import show_outlines
    from coldpin.insulation.outline_proposing import ProposingChoices
    from coldpin.records.board import Face
    from coldpin.records.plain import to_json
    from coldpin.workbench.outlines import OutlineFiles, propose_outlines

    said = {"tolerance": tolerance, "reach": reach}
    told = propose_outlines(
        picture,
        at,
        OutlineFiles(show=show, features=features, add_to=add_to),
        choices=ProposingChoices(
            snap=snap, filled=filled, **{name: value for name, value in said.items() if value is not None}
        ),
        face=Face(face) if face else None,
    )
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_outlines(told)
    click.echo(f"not confirmed: {told.confirm}", err=True)
    click.echo(f"picture to look at: {told.shown}", err=True)
    return 0

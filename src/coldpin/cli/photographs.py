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


@click.command()
@click.argument("picture", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--bar-along", default="", help="the card's long bar by calliper, such as '89.94 mm ± 0.03 mm'")
@click.option("--bar-across", default="", help="the card's short bar by calliper")
@click.option("--face-above", default="", help="how far the face to be measured lies above the card, such as '1.6 mm'")
@click.option("--lens", default="", help="height of the lens above the card, where it was measured, such as '300 mm'")
@click.option(
    "--pick-u", type=float, default=None, help="how well corners are picked, as standard uncertainty in pixels"
)
@click.option(
    "--gap", "gaps", multiple=True, metavar="'X,Y X,Y = 6.40 mm'", help="by calliper, to check; may be repeated"
)
@click.option("--pitch", default="", metavar="'X,Y X,Y = 22.86 mm'", help="without card: such as a row of pins")
@click.option(
    "--rectangle",
    default="",
    metavar="'X,Y X,Y X,Y X,Y = 50 mm x 30 mm'",
    help="without card: a rectangle, clockwise as seen",
)
@click.option("--at", default="", help="time code of a still, where the picture is a video, such as 00:01:23.4")
@click.option(
    "--still",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    help="write the still as PNG, to draw on it",
)
@json_option
def photo(
    picture: Path,
    bar_along: str,
    bar_across: str,
    face_above: str,
    lens: str,
    pick_u: float | None,
    gaps: tuple[str, ...],
    pitch: str,
    rectangle: str,
    at: str,
    still: Path | None,
    as_json: bool,
) -> int:
    """Make a photograph of a board ready to measure in: its scale, tilt, lens and blur, and what heights do to it.

    Pixels count from the middle of the upper left one, x to the right and y down. With --json the member scale is what
    a board's file (GeoJSON) takes as it is.

    Example: coldpin photo board.jpg --bar-along "89.94 mm ± 0.03 mm" --bar-across "59.97 mm ± 0.03 mm" --pick-u 1
    """
    from coldpin.cli.photograph_tables import show_photo
    from coldpin.records.plain import to_json
    from coldpin.workbench.photographs import PhotoChoices, look_at_photo

    choices = PhotoChoices(
        at=at,
        still=still,
        bar_along=bar_along,
        bar_across=bar_across,
        face_above=face_above,
        camera_height=lens,
        pitch=pitch,
        rectangle=rectangle,
        gaps=gaps,
        pick_u_px=pick_u,
    )
    reading = look_at_photo(picture, choices)
    for remark in reading.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(reading), nl=False)
    else:
        show_photo(reading)
    return 0

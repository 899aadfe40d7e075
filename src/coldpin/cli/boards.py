"""The command about drawings of boards, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from coldpin.cli.shared import json_option, tell_problems

if TYPE_CHECKING:
    from coldpin.records.board_distances import BoardDistances

DEGREES = ("1", "2", "3")


def _degrees(_context: click.Context, _option: click.Parameter, given: tuple[str, ...]) -> tuple[int, ...]:
    """Take "2,3", or the option twice."""
    texts = [text.strip() for one in given for text in one.split(",")]
    for text in texts:
        if text not in DEGREES:
            raise click.BadParameter(f"{text!r} is no pollution degree: give one of 1, 2, 3, or several, such as 2,3")
    return tuple(int(text) for text in dict.fromkeys(texts))


@click.command()
@click.argument("board", type=click.Path(path_type=Path))
@click.option("--from", "from_net", required=True, help="one end: a net ('mains L') or a group of nets ('mains')")
@click.option("--to", "to_net", required=True, help="the other end")
@click.option(
    "--pollution-degree",
    "pollution_degrees",
    metavar="[1|2|3]",
    multiple=True,
    required=True,
    callback=_degrees,
    help="says how wide a groove must be to count; 2,3 outdoors, unless sealing is proved: both are told",
)
@click.option("--part", default="", help="which board of a case, where it has several")
@click.option(
    "--calliper",
    multiple=True,
    metavar="'A | B = READING'",
    help="a gap read on the same board, such as 'R5 | J1 pin 3 = 4.97 mm ± 0.03 mm'; may be repeated",
)
@click.option("--voltage", default="", help="nominal, such as '230 V': places the distances beside what is asked for")
@click.option("--overvoltage-category", type=click.Choice(["I", "II", "III", "IV"]), default=None)
@click.option("--unit", type=click.Choice(["portable", "fixed"]), default=None, help="proposes the category")
@click.option(
    "--material-group",
    type=click.Choice(["I", "II", "IIIa", "IIIb", "unknown"]),
    default=None,
    help="of the surface; an ordinary board is IIIa",
)
@click.option("--insulation", type=click.Choice(["functional", "basic", "supplementary", "reinforced"]), default=None)
@click.option(
    "--between",
    type=click.Choice(
        ["mains-pilot", "mains-low-voltage", "mains-touchable", "mains-earth", "line-neutral", "behind-fuse"]
    ),
    default=None,
    help="what it parts: tells which insulation is asked for",
)
@click.option("--altitude", default="", help="above the sea, such as '1200 m'")
@click.option("--groove-x", default="", help="the width below which a groove is bridged, by hand, such as '1.0 mm'")
@click.option("--pick-uncertainty", default="", help="standard, of each corner drawn in millimetres, such as '0.03 mm'")
@click.option(
    "--next", "next_count", type=int, default=3, show_default=True, help="how many further paths of each kind"
)
@json_option
def distances(
    board: Path,
    from_net: str,
    to_net: str,
    pollution_degrees: tuple[int, ...],
    part: str,
    calliper: tuple[str, ...],
    voltage: str,
    overvoltage_category: str | None,
    unit: str | None,
    material_group: str | None,
    insulation: str | None,
    between: str | None,
    altitude: str,
    groove_x: str,
    pick_uncertainty: str,
    next_count: int,
    as_json: bool,
) -> int:
    """Measure the clearance and the creepage between two nets of a board's drawing, and say which way each goes.

    BOARD is a drawing in GeoJSON, polygons with the properties role and net and a member scale; or the folder of a
    case, whose newest drawing is then measured, with the gaps recorded by calliper beside it.

    With several pollution degrees each is told by itself, and --json prints them as coldpin.distances_by_degree/1.

    Example: coldpin distances board.geojson --from mains --to pilot --pollution-degree 2 --voltage "230 V"
    --overvoltage-category II --material-group IIIa
    """
    from coldpin.cli.boards_table import show_by_degree, show_distances
    from coldpin.records.plain import to_json
    from coldpin.workbench.board_degrees import measure_board_by_degree
    from coldpin.workbench.boards import Asked

    told = measure_board_by_degree(
        board,
        (from_net, to_net),
        pollution_degrees=pollution_degrees,
        asked=Asked(
            voltage=voltage,
            overvoltage_category=overvoltage_category or "",
            material_group=material_group or "",
            insulation=insulation or "",
            between=between or "",
            altitude=altitude,
            unit=unit or "",
        ),
        part=part,
        calliper=calliper,
        groove=groove_x,
        pick_uncertainty=pick_uncertainty,
        next_count=next_count,
    )
    first, *further = [one.distances for one in told.by_degree]
    for remark in dict.fromkeys(remark for one in (first, *further) for remark in _remarks(one)):
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told if further else first), nl=False)
    elif further:
        show_by_degree(told)
    else:
        show_distances(first)
    return tell_problems(first.problems)


def _remarks(told: BoardDistances) -> tuple[str, ...]:
    if told.clearance_mm is None or told.clearance_mm.u is not None:
        return told.remarks
    return (*told.remarks, f"the uncertainty is not known: {told.clearance_mm.why}")

"""The command about drawings of boards, with nothing written."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, tell_problems


@click.command()
@click.argument("board", type=click.Path(path_type=Path))
@click.option("--from", "from_net", required=True, help="one end: a net ('mains L') or a group of nets ('mains')")
@click.option("--to", "to_net", required=True, help="the other end")
@click.option(
    "--pollution-degree",
    type=click.Choice(["1", "2", "3"]),
    required=True,
    help="says how wide a groove must be to count; 3 outdoors, unless sealing is proved",
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
    pollution_degree: str,
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

    Example: coldpin distances board.geojson --from mains --to pilot --pollution-degree 2 --voltage "230 V"
    --overvoltage-category II --material-group IIIa
    """
    from coldpin.cli.boards_table import show_distances
    from coldpin.records.plain import to_json
    from coldpin.workbench.boards import Asked, measure_board

    told = measure_board(
        board,
        (from_net, to_net),
        pollution_degree=int(pollution_degree),
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
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if told.clearance_mm is not None and told.clearance_mm.u is None:
        click.echo(f"remark: the uncertainty is not known: {told.clearance_mm.why}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_distances(told)
    return tell_problems(told.problems)

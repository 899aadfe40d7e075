"""The command about required distances, with nothing written."""

from __future__ import annotations

import click

from coldpin.cli.shared import json_option


@click.command("required-distances")
@click.option("--voltage", required=True, help="nominal, r.m.s., such as '230 V'; a bare number is in V")
@click.option(
    "--system",
    type=click.Choice(["line to neutral", "three-phase", "split-phase", "unearthed", "corner-earthed"]),
    default="line to neutral",
    show_default=True,
    help="what the nominal voltage is measured between",
)
@click.option("--overvoltage-category", type=click.Choice(["I", "II", "III", "IV"]), default=None)
@click.option("--pollution-degree", type=click.Choice(["1", "2", "3"]), default=None)
@click.option("--unit", type=click.Choice(["portable", "fixed"]), default=None, help="proposes category and degree")
@click.option("--place", type=click.Choice(["indoors", "industrial", "outdoors"]), default=None, help="of its use")
@click.option("--sealing-proved", is_flag=True, help="a test shows that the housing keeps water and dirt out")
@click.option(
    "--material-group",
    type=click.Choice(["I", "II", "IIIa", "IIIb", "unknown"]),
    default="unknown",
    show_default=True,
    help="of the surface; an ordinary board is IIIa",
)
@click.option("--insulation", type=click.Choice(["functional", "basic", "supplementary", "reinforced"]), default=None)
@click.option(
    "--between",
    type=click.Choice(
        ["mains-pilot", "mains-low-voltage", "mains-touchable", "mains-earth", "line-neutral", "behind-fuse"]
    ),
    default=None,
    help="what it parts: tells which insulation is asked for, and why",
)
@click.option("--altitude", default="0 m", show_default=True, help="a bare number is in m")
@click.option("--working-voltage", default="", help="across the insulation, r.m.s., where it was found out")
@click.option("--working-peak", default="", help="the peak that recurs there, where it was found out")
@click.option("--printed-wiring", is_flag=True, help="use the columns for copper on a board")
@click.option("--reading", default="", help="a distance that was measured, such as '4.4 mm ± 0.1 mm'")
@click.option("--of", "reading_of", type=click.Choice(["clearance", "creepage"]), default=None, help="both if left out")
@click.option("--accuracy", default="", help="of the calliper, such as '0.03 mm, resolution 0.01 mm'")
@json_option
def required_distances(
    voltage: str,
    system: str,
    overvoltage_category: str | None,
    pollution_degree: str | None,
    unit: str | None,
    place: str | None,
    sealing_proved: bool,
    material_group: str,
    insulation: str | None,
    between: str | None,
    altitude: str,
    working_voltage: str,
    working_peak: str,
    printed_wiring: bool,
    reading: str,
    reading_of: str | None,
    accuracy: str,
    as_json: bool,
) -> int:
    """Say which clearance and creepage are asked for between two circuits, by which rows, and what other texts say.

    Give category and pollution degree, or the unit and its place, by which they are proposed.

    Example: coldpin required-distances --voltage "230 V" --unit portable --place outdoors --material-group IIIa
    --between mains-pilot --reading "4.4 mm ± 0.1 mm"
    """
    from coldpin.cli.required_table import show_required
    from coldpin.records.plain import to_json
    from coldpin.workbench.required_distances import tell_required_distances

    told = tell_required_distances(
        voltage=voltage,
        system=system,
        overvoltage_category=overvoltage_category or "",
        pollution_degree=int(pollution_degree) if pollution_degree else None,
        unit=unit or "",
        place=place or "",
        sealing_proved=sealing_proved,
        material_group=material_group,
        insulation=insulation or "",
        between=between or "",
        altitude=altitude,
        working_voltage=working_voltage,
        working_peak=working_peak,
        printed_wiring=printed_wiring,
        reading=reading,
        reading_of=reading_of or "",
        accuracy=accuracy,
    )
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if told.reading is not None and told.reading.u is None:
        click.echo("remark: how accurate the reading is is not known: say --accuracy, or ± behind it", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_required(told)
    return 0

"""The commands about what a voltage does to a person, with nothing written."""

from __future__ import annotations

import click

from coldpin.cli.shared import json_option
from coldpin.records.person import DEFAULT_PERCENTILE, Wetness


@click.command("body-current")
@click.option("--voltage", required=True, help="that drives, r.m.s. or d.c., such as '230 V'; a bare number is in V")
@click.option("--path", default="hand-to-feet", show_default=True, help="through the body; an unknown one lists them")
@click.option("--time", default="", help="after which it is shown to be broken; nothing is shown where left out")
@click.option(
    "--percentile",
    type=float,
    default=DEFAULT_PERCENTILE,
    show_default=True,
    help="of people who have no more impedance",
)
@click.option("--skin", type=click.Choice([one.value for one in Wetness]), default="dry", show_default=True)
@click.option("--dc", "direct", is_flag=True, help="direct in place of alternating current")
@click.option("--series", default="", help="resistance before the person, such as '1 kΩ'")
@json_option
def body_current(
    voltage: str, path: str, time: str, percentile: float, skin: str, direct: bool, series: str, as_json: bool
) -> int:
    """Say what current a voltage drives through a person, and in which zone of effect it lies when it is broken.

    Nothing here is a threshold under which nobody is hurt.

    Example: coldpin body-current --voltage 230 --path hand-to-feet --time "0.3 s" --percentile 50
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.body import tell_body_current

    told = tell_body_current(
        voltage=voltage, path=path, percentile=percentile, time=time, skin=skin, direct=direct, series=series
    )
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
        return 0
    from coldpin.cli.shock_table import show_body_current

    show_body_current(told)
    return 0


@click.command("mains-on-pilot")
@click.option("--voltage", default="", help="of the line to earth, such as '230 V'; the nominal one where left out")
@click.option("--bridge", default="", help="resistance of the fault itself, such as '10 kΩ'; none where left out")
@click.option("--state", type=click.Choice(["B", "C", "D"]), default="C", show_default=True, help="of the car")
@click.option("--earth", default="", help="of the earth through the lead; the most allowed in service where left out")
@click.option("--time", default="", help="after which the current is shown to be broken; nothing is where left out")
@click.option("--path", default="hand-to-feet", show_default=True, help="through the person")
@click.option("--skin", type=click.Choice([one.value for one in Wetness]), default="dry", show_default=True)
@json_option
def mains_on_pilot(
    voltage: str, bridge: str, state: str, earth: str, time: str, path: str, skin: str, as_json: bool
) -> int:
    """Say what a car's input and a person see when a fault puts the mains on the pilot.

    Reckoned, never tried: nobody puts mains on a pilot to see what happens.

    Example: coldpin mains-on-pilot --voltage "230 V" --state B
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.body import tell_mains_on_pilot

    told = tell_mains_on_pilot(
        voltage=voltage, bridge=bridge, state=state, earth=earth, time=time, path=path, skin=skin
    )
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
        return 0
    from coldpin.cli.shock_table import show_sources

    for statement in told.statements:
        click.echo(statement)
    show_sources(told.limits)
    return 0

"""The commands about parts that one holds in the hand, with nothing written but a sheet that was asked for."""

from __future__ import annotations

import click

from coldpin.cli.shared import json_option


@click.command()
@click.argument("reading")
@click.option("--type", "kind", type=click.Choice(["1", "2"]), default="2", show_default=True, help="of the connector")
@click.option("--accuracy", default="", help="of the meter, such as '0.8 % + 2 digits, resolution 1 Ω'")
@click.option("--phases", type=click.Choice(["1", "3"]), default="3", show_default=True, help="of the cable")
@json_option
def proximity(reading: str, kind: str, accuracy: str, phases: str, as_json: bool) -> int:
    """Say which current a cable's proximity resistor stands for, or what a type 1 connector's latch tells.

    Measure from the proximity contact to earth with everything unplugged.

    Example: coldpin proximity "223 Ω" --accuracy "0.8 % + 2 digits, resolution 1 Ω"
    """
    from coldpin.cli.tables import show_proximity
    from coldpin.records.plain import to_json
    from coldpin.workbench.coding import look_at_proximity

    told = look_at_proximity(reading, connector=f"type {kind}", phases=int(phases), accuracy=accuracy)
    if told.resistance.u is None and not told.at_least:
        click.echo("remark: the meter's accuracy is not known: say --accuracy", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_proximity(told)
    return 0

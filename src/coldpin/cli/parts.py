"""The commands about parts that one holds in the hand, with nothing written but a sheet that was asked for."""

from __future__ import annotations

from pathlib import Path

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


@click.command("vehicle-simulator")
@click.option(
    "--edition",
    type=click.Choice(["iec-2", "iec-3", "sae"]),
    default="iec-3",
    show_default=True,
    help="text whose generator the levels are for",
)
@click.option(
    "--series",
    type=click.Choice(["E24", "E96"], case_sensitive=False),
    default="E24",
    show_default=True,
    help="which resistors are at hand",
)
@click.option(
    "--pdf", "sheet", type=click.Path(path_type=Path, dir_okay=False), default=None, help="write it as a sheet"
)
@json_option
def vehicle_simulator(edition: str, series: str, sheet: Path | None, as_json: bool) -> int:
    """Plan a stand-in for the vehicle: which resistors make each state, and how to build, prove and switch it.

    Example: coldpin vehicle-simulator --series E96 --pdf vehicle-simulator.pdf
    """
    from coldpin.cli.tables import show_simulator
    from coldpin.records.plain import to_json
    from coldpin.standards.editions import Edition
    from coldpin.workbench.simulator_plan import plan_vehicle_simulator, write_simulator_sheet

    plan = plan_vehicle_simulator(edition=Edition(edition), series=series)
    if as_json:
        click.echo(to_json(plan), nl=False)
    else:
        show_simulator(plan)
    if sheet is not None:
        click.echo(f"sheet: {write_simulator_sheet(plan, sheet)}", err=True)
    return 0

"""The commands about the copper of a cable, with nothing written."""

from __future__ import annotations

import click

from coldpin.cli.shared import json_option


@click.command()
@click.option("--resistance", default="", help="between the taps, such as '52.0 mΩ ± 0.3 mΩ'")
@click.option("--drop", default="", help="voltage between the taps instead, such as '370.2 mV'; with --current")
@click.option("--drop-reversed", default="", help="the same with the current reversed, which cancels thermal voltages")
@click.option("--current", default="", help="through the conductor, such as '10.00 A ± 0.02 A'")
@click.option("--length", required=True, help="of cable between the taps, such as '5.00 m ± 5 mm'")
@click.option("--at", required=True, help="temperature of the metal, such as '25 °C ± 1 °C'")
@click.option("--nominal", default="", help="marked size, such as '2.5 mm2'")
@click.option(
    "--class",
    "conductor_class",
    type=click.Choice(["1", "2", "5", "6"]),
    default="5",
    show_default=True,
    help="of IEC 60228: solid, stranded, flexible, extra-flexible",
)
@click.option("--coating", type=click.Choice(["plain", "tinned"]), default=None, help="of the wires; both if left out")
@click.option(
    "--cores-in-series",
    type=click.Choice(["1", "2"]),
    default=None,
    help="one core, or two joined at the far end; one is taken where it is left out",
)
@click.option("--since", default="", help="from switching the current on to reading, such as '5 s'")
@click.option(
    "--method",
    type=click.Choice(["four-wire", "two-wire", "continuity meter"]),
    default="four-wire",
    show_default=True,
    help="how it was read; only the first tells a size",
)
@click.option("--accuracy", default="", help="of the meter, such as '0.3 % + 2 digits, resolution 0.1 mΩ'")
@click.option("--mass", default="", help="of the bare wires of one core, for each metre, such as '22 g/m ± 0.2 g/m'")
@click.option("--strands", default="", help="number and diameter of the wires, such as '50 x 0.25 mm'")
@click.option(
    "--magnet", type=click.Choice(["yes", "no", "cannot tell"]), default=None, help="whether it sticks to them"
)
@click.option(
    "--cut",
    type=click.Choice(
        [
            "red throughout",
            "red core with white skin",
            "white core with red skin",
            "white throughout",
            "cannot tell",
        ]
    ),
    default=None,
    help="how a fresh cut of the wires looks under a lens",
)
@click.option("--outline", is_flag=True, help="with --json: print the curve of each metal over the area too")
@json_option
def conductor(
    resistance: str,
    drop: str,
    drop_reversed: str,
    current: str,
    length: str,
    at: str,
    nominal: str,
    conductor_class: str,
    coating: str | None,
    cores_in_series: str | None,
    since: str,
    method: str,
    accuracy: str,
    mass: str,
    strands: str,
    magnet: str | None,
    cut: str | None,
    outline: bool,
    as_json: bool,
) -> int:
    """Say what a conductor has in ohms for each kilometre at 20 °C, whether that is its marked size, and of what metal.

    Everything dead and unplugged. Tap the voltage on the conductor, inside of the clips that bring the current.

    Example: coldpin conductor --resistance "52.0 mΩ ± 0.3 mΩ" --length "5.00 m" --at "25 °C" --nominal "2.5 mm2"
    --mass "9.4 g/m"
    """
    from coldpin.cli.conductor_table import show_conductor
    from coldpin.records.plain import to_json
    from coldpin.workbench.conductor import look_at_conductor

    told = look_at_conductor(
        resistance=resistance,
        drop=drop,
        drop_reversed=drop_reversed,
        current=current,
        length=length,
        at=at,
        nominal=nominal,
        conductor_class=int(conductor_class),
        coating=coating or "",
        cores_in_series=int(cores_in_series) if cores_in_series else None,
        since=since,
        method=method,
        accuracy=accuracy,
        mass=mass,
        strands=strands,
        magnet=magnet or "",
        cut=cut or "",
        outline=outline,
    )
    if told.resistance_20c_ohm_per_km.u is None and method == "four-wire" and not told.questions:
        click.echo("remark: how accurate the reading is is not known: say --accuracy, or ± behind each value", err=True)
    for question in told.questions:
        click.echo(f"question: {question}", err=True)
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_conductor(told)
    return 0

"""The command about a heating log, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldpin.cli.options import log_choices, log_options
from coldpin.cli.shared import json_option

if TYPE_CHECKING:
    from coldpin.records.heating import TemperatureRise


@click.command("temperature-rise")
@click.argument("log", type=click.Path(path_type=Path, dir_okay=False))
@click.option("--current", default="", help="of the test, such as '16 A ± 0.1 A'; the log's column where left out")
@click.option("--rated-current", default="", help="at which the temperature is asked for, such as '32 A'")
@click.option("--max-ambient", default="", help="hottest air it is used in, such as '40 °C'")
@click.option(
    "--sensor",
    type=click.Choice(["sheath", "plug", "connector", "pin", "conductor"]),
    default="sheath",
    show_default=True,
    help="what was measured; a conductor by its resistance, logged as such or as voltage and current",
)
@click.option("--ambient", default="", help="'21 °C ± 0.5 °C', or the name of a column with it")
@click.option("--start", default="", help="when the current came, from the first row, such as '60 s'")
@click.option("--limit", default="", help="highest temperature, such as '60 °C', in the place of the published one")
@click.option(
    "--accessory",
    type=click.Choice(["household", "13 A", "industrial", "coupler"]),
    default="household",
    show_default=True,
    help="kind of plug or coupler, for its published rise",
)
@click.option(
    "--insulation",
    type=click.Choice(["pvc", "rubber", "charging"]),
    default="pvc",
    show_default=True,
    help="of the cores, for a conductor",
)
@click.option("--arrangement", default="", help="how the cable lay: free, on a floor, coiled; kept in the record")
@click.option("--accuracy", default="", help="such as 'type K class 1; ± 0.5 °C; current=1 %'")
@click.option("--cold-resistance", default="", help="of the conductor before the current, with --sensor conductor")
@click.option("--cold-temperature", default="", help="of the conductor then")
@click.option("--resistance-accuracy", default="", help="of the resistance meter, such as '0.1 %; ± 0.02 mΩ'")
@log_options
@json_option
def temperature_rise(
    log: Path,
    current: str,
    rated_current: str,
    max_ambient: str,
    sensor: str,
    ambient: str,
    start: str,
    limit: str,
    accessory: str,
    insulation: str,
    arrangement: str,
    accuracy: str,
    cold_resistance: str,
    cold_temperature: str,
    resistance_accuracy: str,
    as_json: bool,
    **read: Any,
) -> int:
    """Say from a heating log where a part comes in the end, also where the test was stopped early.

    Heat the lead with an isolated source of extra-low voltage, line and neutral joined at the far end: no thermometer
    with a logger that is not isolated belongs on a live part.

    Example: coldpin temperature-rise heating.csv --current "16 A ± 0.1 A" --rated-current "20 A" --max-ambient "40 °C"
    --accuracy "type K class 1; ± 0.5 °C"
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.heating import look_at_heating

    told = look_at_heating(
        log,
        current=current,
        rated_current=rated_current,
        max_ambient=max_ambient,
        part=sensor,
        ambient=ambient,
        start=start,
        limit=limit,
        accessory=accessory,
        insulation=insulation,
        arrangement=arrangement,
        accuracy=accuracy,
        cold_resistance=cold_resistance,
        cold_temperature=cold_temperature,
        resistance_accuracy=resistance_accuracy,
        choices=log_choices(read),
    )
    for question in told.questions:
        click.echo(f"question: {question}", err=True)
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if not accuracy:
        click.echo("remark: the thermometers' accuracy is not known: say --accuracy", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        _show(told)
    return 0


def _show(told: TemperatureRise) -> None:
    from coldpin.cli.tables import show_rows
    from coldpin.report.heating_lines import heating_lines

    click.echo(told.statement)
    show_rows(("", ""), heating_lines(told))

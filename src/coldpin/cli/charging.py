"""The commands about a charge and an idle unit, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from coldpin.cli.options import log_choices, log_options
from coldpin.cli.shared import json_option, progress_line


@click.command()
@click.argument("log", type=click.Path(path_type=Path))
@log_options
@click.option("--voltage", default="", help="of the supply, for a log without one, such as '230 V ± 5 V'")
@click.option("--offer", default="", help="current offered at the beginning, such as '16 A ± 0.2 A'")
@click.option(
    "--accuracy",
    multiple=True,
    help="of the meter, such as 'power=1 % + 2 W' or, for all it logs, '1 %'; may be repeated",
)
@click.option(
    "--marks",
    multiple=True,
    metavar="TIME=EVENT|FILE",
    help="event such as '905 s ± 1 s @watch=unlock', or a file with one in each line; may be repeated",
)
@click.option(
    "--offset",
    "offsets",
    multiple=True,
    help="what to add to another clock, such as 'watch=12 s ± 1 s'; may be repeated",
)
@click.option("--price", default="", help="of energy, such as '0.35 EUR/kWh'")
@click.option("--gap", default="", help="time without a row from which on it is a gap, such as '5 min'")
@json_option
def session(
    log: Path,
    voltage: str,
    offer: str,
    accuracy: tuple[str, ...],
    marks: tuple[str, ...],
    offsets: tuple[str, ...],
    price: str,
    gap: str,
    as_json: bool,
    **given: Any,
) -> int:
    """Say what a log of power or current shows of a charge: phases, energy, outages, and what followed what.

    An unlock or a stop is not visible in such a log: mark it, with the time by the log's clock or, with @, by another
    that marked "breaker off" or "breaker on" too. Columns named L1, L2, L3 are the lines of one supply: their power is
    summed, and the largest of the currents is read. Without a current, power is divided by voltage and power factor.

    Example: coldpin session charge.csv --accuracy "1 % + 0.02 A" --offer "16 A ± 0.2 A" --json
    """
    from coldpin.cli.session_table import show_session, tell_unstated
    from coldpin.records.plain import to_json
    from coldpin.workbench.charging import look_at_session

    with progress_line(f"reading {log.name}") as progress:
        look = look_at_session(
            log,
            choices=log_choices(given),
            voltage=voltage,
            offer=offer,
            accuracy=accuracy,
            marks=marks,
            offsets=offsets,
            price=price,
            gap=gap,
            progress=progress,
        )
    for remark in look.reading.remarks:
        click.echo(f"remark: {remark}", err=True)
    tell_unstated(look.reading)
    if as_json:
        click.echo(to_json(look.reading), nl=False)
    else:
        show_session(look.reading)
    return 0


@click.command()
@click.option("--power", default="", help="as read off, such as '0.82 W'")
@click.option("--energy", default="", help="what an energy counter rose by, such as '0.06 kWh'; with --over")
@click.option("--over", default="", help="in how long, such as '72 h'")
@click.option("--log", type=click.Path(path_type=Path), default=None, help="a log of power that holds many ticks")
@log_options
@click.option("--power-factor", default="", help="of the load, such as '0.12'")
@click.option("--accuracy", default="", help="of the meter for a power, such as '1 % + 0.02 W'")
@click.option("--holds-from", default="", help="power from which on that accuracy is stated, such as '0.1 W'")
@click.option("--holds-from-power-factor", default="", help="and power factor, such as '0.1'")
@click.option("--price", default="", help="of energy, such as '0.35 EUR/kWh'")
@json_option
def standby(
    power: str,
    energy: str,
    over: str,
    log: Path | None,
    power_factor: str,
    accuracy: str,
    holds_from: str,
    holds_from_power_factor: str,
    price: str,
    as_json: bool,
    **given: Any,
) -> int:
    """Say what an idle unit draws, and what that comes to in a year.

    Refused where the meter is not known to measure so small a load: its accuracy must be stated for that power and
    power factor. A load that ticks is read from an energy counter or a long log.

    Example: coldpin standby --power "0.82 W" --power-factor 0.12 --accuracy "1 % + 0.005 W" --holds-from "0.1 W"
    --holds-from-power-factor 0.1 --price "0.35 EUR/kWh"
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.charging import look_at_standby

    told = look_at_standby(
        power=power,
        energy=energy,
        over=over,
        log=log,
        choices=log_choices(given),
        power_factor=power_factor,
        accuracy=accuracy,
        holds_from=holds_from,
        holds_from_power_factor=holds_from_power_factor,
        price=price,
    )
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        click.echo(told.statement)
    return 0

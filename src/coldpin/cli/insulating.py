"""The commands about what insulation leaves to a hand: touch current and charge, with nothing written."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from coldpin.cli.shared import json_option

if TYPE_CHECKING:
    from coldpin.records.plug_discharge import PlugDischarge
    from coldpin.records.touch_current import TouchCurrent


@click.command("touch-current")
@click.option(
    "--capacitance", default="", help="from each line to earth or to what is touched, such as '4.7 nF ± 20 %'"
)
@click.option("--neutral", default="", help="from neutral, where it is another; 'none' where there is none")
@click.option("--chain", default="", help="in place of capacitors: resistors in series, such as '1 MΩ; 1 MΩ'")
@click.option("--voltage", default="", help="of a line to earth, such as '230 V'; the nominal one where left out")
@click.option("--highest", default="", help="voltage of the supply; with its tolerance where left out")
@click.option("--frequency", default="50 Hz", show_default=True)
@click.option("--phases", type=click.Choice(["1", "3"]), default="1", show_default=True)
@json_option
def touch_current(
    capacitance: str,
    neutral: str,
    chain: str,
    voltage: str,
    highest: str,
    frequency: str,
    phases: str,
    as_json: bool,
) -> int:
    """Say what current capacitors to earth, or a chain of resistors, let reach a hand when the earth is lost.

    Example: coldpin touch-current --capacitance "4.7 nF ± 20 %"
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.electrical_insulation import tell_touch_current

    told = tell_touch_current(
        capacitance=capacitance,
        neutral=neutral,
        chain=chain,
        voltage=voltage,
        highest=highest,
        frequency=frequency,
        phases=int(phases),
    )
    if as_json:
        _tell_remarks(told)
        click.echo(to_json(told), nl=False)
    else:
        _show(told)
    return 0


@click.command("plug-discharge")
@click.option("--capacitance", required=True, help="between the pins of the plug, such as '470 nF ± 20 %'")
@click.option("--resistance", default="", help="of what empties it, such as '1 MΩ ± 5 %'; left out, its most is told")
@click.option("--voltage", default="", help="r.m.s. at which it is drawn; the highest of the supply where left out")
@click.option("--read", default="", help="a voltage that was read, to be freed from the probe, such as '28 V ± 1 V'")
@click.option("--after", default="1 s", show_default=True, help="when it was read, since the plug was drawn")
@click.option("--probe", default="", help="input resistance of the probe it was read with, such as '10 MΩ'")
@json_option
def plug_discharge(
    capacitance: str, resistance: str, voltage: str, read: str, after: str, probe: str, as_json: bool
) -> int:
    """Say how long the pins of a plug stay charged after it was drawn, and what each text lets stay.

    Example: coldpin plug-discharge --capacitance "470 nF ± 20 %" --resistance "1 MΩ ± 5 %"
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.electrical_insulation import tell_plug_discharge

    told = tell_plug_discharge(
        capacitance=capacitance, resistance=resistance, voltage=voltage, read=read, after=after, probe=probe
    )
    if as_json:
        _tell_remarks(told)
        click.echo(to_json(told), nl=False)
    else:
        _show(told)
    return 0


def _tell_remarks(told: TouchCurrent | PlugDischarge) -> None:
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)


def _show(told: TouchCurrent | PlugDischarge) -> None:
    """Print what was found, and where each limit is from."""
    from coldpin.standards.wording import limit_paragraph

    _tell_remarks(told)
    for statement in told.statements:
        click.echo(statement)
    for paragraph in dict.fromkeys(limit_paragraph(placement.limit) for placement in told.placements):
        click.echo(paragraph)

"""The commands about a lead between socket and car: voltage and faults, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldpin.cli.options import log_choices, log_options
from coldpin.cli.shared import json_option

if TYPE_CHECKING:
    from coldpin.records.voltage_drop import SourceImpedance

length_option = click.option("--length", default="", help="of the cable, such as '5.00 m'")
nominal_option = click.option("--nominal", default="", help="marked size, such as '2.5 mm2'")
at_option = click.option("--at", default="", help="temperature of the metal when it was read, such as '22 °C'")
hot_option = click.option(
    "--conductor-temperature", default="", help="of the conductors in use, such as '60 °C'; a table's where left out"
)
phases_option = click.option("--phases", type=click.Choice(["1", "3"]), default="1", show_default=True)


@click.command("voltage-drop")
@click.argument("log", type=click.Path(path_type=Path, dir_okay=False), required=False)
@click.option("--current", required=True, help="in each line, such as '16 A'")
@click.option("--resistance", default="", help="of one conductor from end to end, such as '40.1 mΩ ± 0.3 mΩ'")
@at_option
@click.option(
    "--cores-in-series",
    type=click.Choice(["1", "2"]),
    default="1",
    show_default=True,
    help="one core, or two joined at the far end",
)
@nominal_option
@length_option
@hot_option
@phases_option
@click.option("--power-factor", type=float, default=1.0, show_default=True, help="of a current that lags")
@click.option("--private-source", is_flag=True, help="the installation has a source of its own")
@click.option("--source-impedance", default="", help="of the supply at the socket, such as '0.25 Ω ± 0.04 Ω'")
@click.option("--unloaded", default="", help="voltage at the socket without load, such as '232.4 V ± 0.1 V'")
@click.option("--loaded", default="", help="voltage there with load; with --load-current it tells the impedance")
@click.option("--load-current", default="", help="current of that load, such as '16.0 A ± 0.1 A'")
@click.option("--accuracy", default="", help="of the meter that wrote the log, voltage; current, such as '0.5 %; 1 %'")
@click.option("--least-step", default="", help="smallest step of the log's current that counts, such as '8 A'")
@log_options
@json_option
def voltage_drop(
    log: Path | None,
    current: str,
    resistance: str,
    at: str,
    cores_in_series: str,
    nominal: str,
    length: str,
    conductor_temperature: str,
    phases: str,
    power_factor: float,
    private_source: bool,
    source_impedance: str,
    unloaded: str,
    loaded: str,
    load_current: str,
    accuracy: str,
    least_step: str,
    as_json: bool,
    **reading: Any,
) -> int:
    """Say what a lead takes from the voltage at a current, and what is left of the supply's tolerance at the car.

    LOG, if given, holds voltage and current at the socket: the steps of its loads tell the impedance of the supply.

    Example: coldpin voltage-drop --resistance "40.1 mΩ ± 0.3 mΩ" --at "22 °C" --current "16 A" --nominal "2.5 mm2"
    --length "5.00 m" --unloaded "232.4 V ± 0.1 V" --loaded "228.4 V ± 0.1 V" --load-current "16.0 A ± 0.1 A"
    """
    from coldpin.cli.lead_tables import show_voltage_drop
    from coldpin.records.plain import to_json
    from coldpin.workbench.lead_voltage import supply_from_log, supply_from_voltages, supply_stated, tell_voltage_drop

    ways = [bool(log), bool(source_impedance), bool(loaded)]
    if sum(ways) > 1:
        raise click.UsageError("the impedance of the supply is given in more than one way: keep one of them")
    source: SourceImpedance | None = None
    if log is not None:
        source = supply_from_log(log, accuracy=accuracy, least_step=least_step, choices=log_choices(reading))
    elif source_impedance:
        source = supply_stated(source_impedance)
    elif loaded:
        source = supply_from_voltages(unloaded, loaded, load_current)
    told = tell_voltage_drop(
        current=current,
        resistance=resistance,
        at=at,
        cores_in_series=int(cores_in_series),
        nominal=nominal,
        length=length,
        conductor_temperature=conductor_temperature,
        phases=int(phases),
        power_factor=power_factor,
        private_source=private_source,
        source=source,
        unloaded=unloaded,
    )
    for question in told.questions:
        click.echo(f"question: {question}", err=True)
    _tell_remarks(told.remarks)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_voltage_drop(told)
    return 0


@click.command("fault-withstand")
@click.option("--device", default="", help="before the socket, such as B16, C20, 'gG 16 A' or 'BS 1362 13 A'")
@click.option("--plug", default="", help="the plug in its place: the device that may stand before its socket is taken")
@click.option("--line", default="", help="resistance of the line conductor from end to end, such as '66.1 mΩ ± 0.4 mΩ'")
@click.option("--earth", default="", help="resistance of the earth conductor from end to end")
@click.option("--neutral", default="", help="resistance of the neutral; like the line where it is left out")
@at_option
@length_option
@click.option("--nominal", default="", help="marked size, such as '1.5 mm2'; stands in for what was not measured")
@click.option("--metal", default="copper", show_default=True, help="of conductors judged by their marked size")
@click.option("--insulation", default="", help="of the cores, such as 'PVC 70', 'XLPE', 'rubber 60'")
@click.option("--loop", default="", help="loop of line and earth read at the socket, such as '0.80 Ω ± 0.05 Ω'")
@click.option("--loop-neutral", default="", help="loop of line and neutral read there, such as '0.70 Ω ± 0.05 Ω'")
@click.option("--capacity", default="", help="short-circuit capacity of the device, such as '6000 A'")
@click.option(
    "--energy-class", type=click.Choice(["2", "3"]), default="3", show_default=True, help="the small figure below it"
)
@click.option("--residual", default="", help="of a residual-current device before the socket, such as '30 mA'")
@click.option(
    "--system",
    type=click.Choice(["TN", "TT"]),
    default="TN",
    show_default=True,
    help="how the earth reaches the source: by the network, or by an electrode",
)
@hot_option
@click.option("--cable-current", default="", help="what the cable may carry by your own source, such as '16 A'")
@phases_option
@json_option
def fault_withstand(
    device: str,
    plug: str,
    line: str,
    earth: str,
    neutral: str,
    at: str,
    length: str,
    nominal: str,
    metal: str,
    insulation: str,
    loop: str,
    loop_neutral: str,
    capacity: str,
    energy_class: str,
    residual: str,
    system: str,
    conductor_temperature: str,
    cable_current: str,
    phases: str,
    as_json: bool,
) -> int:
    """Say whether a lead's conductors bear a fault, and whether the device before the socket acts in time.

    A loop is read at a live socket: only by persons trained in live work, with a tester made for it.

    Example: coldpin fault-withstand --device B16 --line "66.1 mΩ ± 0.4 mΩ" --earth "67.0 mΩ ± 0.4 mΩ" --at "22 °C"
    --length "5.00 m ± 5 mm" --insulation "PVC 70" --loop "0.80 Ω ± 0.05 Ω" --cable-current "16 A"
    """
    from coldpin.cli.lead_tables import show_fault
    from coldpin.records.plain import to_json
    from coldpin.workbench.lead_fault import tell_fault_withstand

    told = tell_fault_withstand(
        device=device,
        plug=plug,
        line=line,
        earth=earth,
        neutral=neutral,
        at=at,
        length=length,
        nominal=nominal,
        metal=metal,
        insulation=insulation,
        loop=loop,
        loop_neutral=loop_neutral,
        capacity=capacity,
        energy_class=int(energy_class),
        residual=residual,
        system=system,
        conductor_temperature=conductor_temperature,
        cable_current=cable_current,
        phases=int(phases),
    )
    _tell_remarks((*told.remarks, *(() if told.short is None else told.short.remarks)))
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        show_fault(told)
    return 0


def _tell_remarks(remarks: tuple[str, ...]) -> None:
    for remark in remarks:
        click.echo(f"remark: {remark}", err=True)

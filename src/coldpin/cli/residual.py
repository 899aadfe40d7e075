"""The command about tests with residual currents, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldpin.cli.options import capture_choices, capture_options
from coldpin.cli.shared import json_option, progress_line

if TYPE_CHECKING:
    from coldpin.records.trip_test import TripTest


@click.command("trip-test")
@click.option(
    "--form",
    "form_",
    type=click.Choice(["alternating", "pulsating", "smooth"]),
    default="alternating",
    show_default=True,
    help="of the residual current",
)
@click.option("--rated", default="30 mA", show_default=True, help="rated residual operating current")
@click.option("--type", "kind", default="A", show_default=True, help="AC, A, F, B, 'class A', CCID5 or CCID20")
@click.option("--direct", default="", help="smooth direct current at which it says to act, such as '6 mA'")
@click.option("--in-cable", is_flag=True, help="an in-cable unit")
@click.option("--delayed", is_flag=True, help="type S")
@click.option("--current", default="", help="that flowed, with its limits, such as '31.5 mA ± 1.5 mA'")
@click.option(
    "--one-way", multiple=True, metavar="TIME", help="time to trip from 0°, or positive; '> 2 s' where it did not act"
)
@click.option("--other-way", multiple=True, metavar="TIME", help="the same from 180°, or negative")
@click.option("--accuracy", default="", help="of the clock, such as '1 % + 1 ms'")
@click.option("--supply", default="", help="voltage for which the resistor boxes are reckoned, such as '230 V'")
@click.option(
    "--capture",
    type=click.Path(path_type=Path),
    default=None,
    help="current and output against time, in place of times",
)
@click.option("--sensor", default="", help="volts per ampere of the capture's current, such as '10 Ω ± 1 %'")
@click.option("--recognise", is_flag=True, help="let the capture tell the form of each current")
@click.option("--vertical", default="", help="the scope's accuracy in volts, such as '3 % of full scale'")
@click.option("--timebase", default="", help="the scope's accuracy in time, such as '50 ppm'")
@click.option("--full-scale", default="", help="volts over the whole screen, such as '40 V'")
@click.option("--output-delay", default="", help="by how much the output's sensor shows late, such as '2 ms ± 1 ms'")
@capture_options
@json_option
def trip_test(
    form_: str,
    rated: str,
    kind: str,
    direct: str,
    in_cable: bool,
    delayed: bool,
    current: str,
    one_way: tuple[str, ...],
    other_way: tuple[str, ...],
    accuracy: str,
    supply: str,
    capture: Path | None,
    sensor: str,
    recognise: bool,
    vertical: str,
    timebase: str,
    full_scale: str,
    output_delay: str,
    as_json: bool,
    **given: Any,
) -> int:
    """Say what is asked of residual-current protection, which resistors test it, and how times to trip stand to it.

    Mains kills: read the checks 'residual-…' for arrangement and cautions before anything is connected.

    Example: coldpin trip-test --supply "230 V" --current "31.5 mA ± 1.5 mA" --one-way "24 ms" --other-way "> 2 s"
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench.residual import ResidualCaptureAsked, tell_trip_test

    asked = None
    if capture is not None:
        asked = ResidualCaptureAsked(
            path=capture,
            sensor=sensor,
            choices=capture_choices(given),
            form_stated=not recognise,
            vertical=vertical,
            timebase=timebase,
            full_scale=full_scale,
            output_delay=output_delay,
        )
    with progress_line("reading") as progress:
        told = tell_trip_test(
            form=form_,
            rated=rated,
            kind=kind,
            direct=direct,
            in_cable=in_cable,
            selective=delayed,
            current=current,
            one_way=one_way,
            other_way=other_way,
            accuracy=accuracy,
            supply=supply,
            capture=asked,
            progress=progress,
        )
    for remark in told.remarks:
        click.echo(f"remark: {remark}", err=True)
    if as_json:
        click.echo(to_json(told), nl=False)
    else:
        _show(told)
    return 0


def _show(told: TripTest) -> None:
    """Print what is asked with the boxes that drive it, and how what was done stands to it."""
    from coldpin.cli.tables import show_rows
    from coldpin.protection.trip_telling import asked_of
    from coldpin.standards.wording import limit_paragraph, number_text

    click.echo(f"Asked of a device of {told.device.name} with {told.kind.value} residual current:")
    if not told.rows:
        click.echo("nothing: such a device need not see it.")
    show_rows(("Current", "Asked"), [(row.title, asked_of(row)) for row in told.rows])
    if told.boxes:
        click.echo("\nBox from the output's line to the supply's neutral ahead of the specimen, fused and enclosed:")
        cells = [
            (
                number_text(box.current_ma, "mA"),
                f"{box.least_ohm:.0f} Ω to {box.most_ohm:.0f} Ω",
                f"{box.power_w:.1f} W",
                f"{box.rated_w:.0f} W",
            )
            for box in told.boxes
        ]
        show_rows(("Current", "Resistance", "Dissipates", "Rated for"), cells)
    click.echo("")
    for placed in told.placements:
        click.echo(placed.statement)
    for paragraph in dict.fromkeys(limit_paragraph(row.limit) for row in told.rows):
        click.echo(paragraph)

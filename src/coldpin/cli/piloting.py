"""The command that looks at the pilot, with nothing written."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from coldpin.cli.options import capture_choices, capture_options
from coldpin.cli.shared import json_option, progress_line
from coldpin.cli.tables import show_dialect, show_reading


@click.command()
@click.argument("file", type=click.Path(path_type=Path))
@capture_options
@click.option(
    "--edition",
    type=click.Choice(["iec-2", "iec-3", "sae"]),
    default=None,
    help="text whose windows it is judged by; iec-3 where left out",
)
@click.option("--vertical", default="", help="the scope's accuracy in volts, such as '3 % of full scale'")
@click.option("--timebase", default="", help="the scope's accuracy in time, such as '50 ppm'")
@click.option("--full-scale", default="", help="volts over the whole screen, such as '40 V'")
@click.option("--bandwidth", default="", help="of the scope, such as '20 MHz'; with it fast edges can be told")
@click.option(
    "--output-kind",
    type=click.Choice(["mains", "level", "coil"]),
    default=None,
    help="what the second channel sees; recognised where left out, but a relay's coil must be said",
)
@click.option("--output-delay", default="", help="by how much the output's sensor shows late, such as '2 ms ± 1 ms'")
@json_option
def pilot(
    file: Path,
    edition: str | None,
    vertical: str,
    timebase: str,
    full_scale: str,
    bandwidth: str,
    output_kind: str | None,
    output_delay: str,
    as_json: bool,
    **given: Any,
) -> int:
    """Look at a capture of the pilot; nothing is written.

    Example: coldpin pilot steps.csv --json
    """
    from coldpin.records.plain import to_json
    from coldpin.standards.editions import Edition, edition_title
    from coldpin.workbench.look import look_at_pilot

    judged_by = Edition(edition or Edition.IEC_3)
    with progress_line(f"reading {file.name}") as progress:
        look = look_at_pilot(
            file,
            choices=capture_choices(given),
            edition=judged_by,
            vertical=vertical,
            timebase=timebase,
            full_scale=full_scale,
            bandwidth=bandwidth,
            output_kind=output_kind or "",
            output_delay=output_delay,
            progress=progress,
        )
    show_dialect(look.dialect, look.remarks)
    if edition is None:
        click.echo(
            f"remark: windows and zones are those of {edition_title(judged_by)}; --edition names others", err=True
        )
    unstated = [option for option, text in (("--vertical", vertical), ("--timebase", timebase)) if not text]
    notes = list(look.hints)
    if unstated:
        notes.append(f"the scope's accuracy is not in ±: say {' and '.join(unstated)}")
    if as_json:
        for note in notes:
            click.echo(f"remark: {note}", err=True)
        click.echo(to_json(look.reading), nl=False)
    else:
        # beside the figures they speak of, wherever these are sent
        show_reading(look.reading, step=look.step_v, notes=tuple(notes))
    return 0

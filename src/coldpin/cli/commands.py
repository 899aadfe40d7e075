"""The commands, as they stand in the help. Each imports what it needs when it runs, so that help comes at once."""

from __future__ import annotations

import click

from coldpin import __version__
from coldpin.cli.boards import distances
from coldpin.cli.bundling import bundle, check_bundle
from coldpin.cli.charging import session, standby
from coldpin.cli.comparing import compare
from coldpin.cli.copper import conductor
from coldpin.cli.heating import temperature_rise
from coldpin.cli.insulating import plug_discharge, touch_current
from coldpin.cli.lead import fault_withstand, voltage_drop
from coldpin.cli.listing import checks, entries, sources, words
from coldpin.cli.next_test import next_, plan
from coldpin.cli.noticing import corrections, notification, readings
from coldpin.cli.outlining import outline
from coldpin.cli.parts import proximity, vehicle_simulator
from coldpin.cli.photographs import photo, scale_card
from coldpin.cli.piloting import pilot
from coldpin.cli.reporting import assess, demo, publish, serve
from coldpin.cli.required import required_distances
from coldpin.cli.residual import trip_test
from coldpin.cli.risk import risk
from coldpin.cli.shock import body_current, mains_on_pilot
from coldpin.cli.together import together
from coldpin.cli.uses import uses
from coldpin.cli.writing import add, correct, new, record

WIDEST_HELP = 110
"""Help wider than this is hard to read. [characters]"""

HELP = """The workbench of the person who tests charging leads.

Mains voltage kills. coldpin records and computes; it certifies nothing. Local codes and licensed practice come first.
"""


@click.group(help=HELP, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST_HELP})
@click.version_option(__version__, prog_name="coldpin")
def cli() -> None:
    """Stand above the commands."""


for command in (
    new,
    add,
    record,
    correct,
    words,
    entries,
    checks,
    assess,
    next_,
    plan,
    pilot,
    proximity,
    conductor,
    temperature_rise,
    voltage_drop,
    fault_withstand,
    session,
    standby,
    vehicle_simulator,
    scale_card,
    required_distances,
    touch_current,
    plug_discharge,
    trip_test,
    risk,
    uses,
    body_current,
    mains_on_pilot,
    distances,
    photo,
    outline,
    sources,
    demo,
    publish,
    compare,
    together,
    corrections,
    notification,
    readings,
    bundle,
    check_bundle,
    serve,
):
    cli.add_command(command)

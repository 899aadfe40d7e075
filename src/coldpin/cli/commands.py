"""The commands, as they stand in the help. Each imports what it needs when it runs, so that help comes at once."""

from __future__ import annotations

import click

from coldpin import __version__
from coldpin.cli.asking import lead_at
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

WHOLE = 1000
"""No first sentence of a command is longer: none is cut in the list. [characters]"""

HELP = """The workbench of the person who tests charging leads.

Mains voltage kills. coldpin records and computes; it certifies nothing. Local codes and licensed practice come first.
"""


SECTIONS: dict[str, tuple[click.Command, ...]] = {
    "Begin": (demo, new, checks, words, sources),
    "Keep what was measured and seen": (add, record, correct, entries),
    "What to test next": (next_, plan, vehicle_simulator, scale_card),
    "Conclude": (assess, uses, risk, lead_at, compare, together, serve),
    "Publish": (publish, corrections, notification, readings, bundle, check_bundle),
    "The pilot and the coding, without a case": (pilot, proximity),
    "Cable and charge, without a case": (
        conductor,
        temperature_rise,
        voltage_drop,
        fault_withstand,
        session,
        standby,
    ),
    "Inside, without a case": (required_distances, distances, photo, outline),
    "Protection of a person, without a case": (touch_current, plug_discharge, trip_test, body_current, mains_on_pilot),
}
"""The commands by what they are for, in the order in which a case needs them."""


class _Sections(click.Group):
    """A group whose help lists the commands by what they are for."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write each section with the first sentence of each command, whole."""
        del ctx
        widest = max(len(command.name or "") for commands in SECTIONS.values() for command in commands)
        for title, commands in SECTIONS.items():
            with formatter.section(title):
                rows = [((command.name or "").ljust(widest), command.get_short_help_str(WHOLE)) for command in commands]
                formatter.write_dl(rows)


@click.group(
    cls=_Sections, help=HELP, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST_HELP}
)
@click.version_option(__version__, prog_name="coldpin")
def cli() -> None:
    """Stand above the commands."""


for command in (command for commands in SECTIONS.values() for command in commands):
    cli.add_command(command)

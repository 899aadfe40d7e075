"""The commands. Each imports what it needs when it runs, so that help comes at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from coldpin import __version__
from coldpin.cli.options import capture_choices, capture_options, pairs_of
from coldpin.cli.tables import show_assessment, show_dialect, show_reading

if TYPE_CHECKING:
    from coldpin.records.assessment import Problem

NOT_ALL_USED = 3

WIDEST_HELP = 110
"""Help wider than this is hard to read. [characters]"""

PORT = 8610
"""Where the page listens: free of the ports that are usually taken."""

HELP = """The workbench of the person who tests charging leads.

Mains voltage kills. coldpin records and computes; it certifies nothing. Local codes and licensed practice come first.
"""

CLAIMS_ASKED = ("plug", "declared_current", "rated_current")
"""Claims without which checks of the offered current have nothing to compare with."""

who_option = click.option("--who", required=True, help="who did it")
made_option = click.option("--made", default=None, help="when, as 2026-05-02T14:30+01:00; now where left out")
json_option = click.option("--json", "as_json", is_flag=True, help="print the record as JSON")
condition_option = click.option(
    "--condition",
    "conditions",
    multiple=True,
    metavar="NAME=VALUE",
    help="a condition of the vocabulary; may be repeated",
)
surroundings = (
    click.option("--instrument", default="", help="its name in shelf.toml, the file beside the case"),
    click.option("--supply-voltage", default="", help="such as '231 V'"),
    click.option("--ambient", default="", help="such as '19 °C'"),
    click.option("--humidity", default="", help="such as '55 %'"),
    click.option("--note", default="", help="anything else"),
    click.option("--private", is_flag=True, help="keep this entry out of what is published"),
)


def with_surroundings(command: Any) -> Any:
    """Add the options that say with what and under which conditions something was done.

    Parameters
    ----------
    command : callable
        A command with a parameter of each name.

    Returns
    -------
    callable
        The same command.
    """
    for option in reversed(surroundings):
        command = option(command)
    return command


@click.group(help=HELP, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": WIDEST_HELP})
@click.version_option(__version__, prog_name="coldpin")
def cli() -> None:
    """Stand above the commands."""


def _not_there_yet(context: click.Context, parameter: click.Parameter, value: Path) -> Path:
    """Refuse a folder that exists before anything is asked for."""
    del context, parameter
    if value.exists():
        raise click.BadParameter(f"{value} exists: name a new folder, or write into the case with add and record")
    return value


@cli.command()
@click.argument("case", type=click.Path(path_type=Path), callback=_not_there_yet, is_eager=True)
@click.option("--make", prompt="Make, as marked", help="as marked on the specimen")
@click.option("--model", prompt="Model, as marked", help="as marked on the specimen")
@click.option(
    "--mode",
    type=click.Choice(["1", "2", "3"]),
    prompt="Charging mode (IEC 61851-1)",
    help="charging mode of IEC 61851-1",
)
@click.option(
    "--build", type=click.Choice(["portable", "fixed"]), prompt="Portable or fixed", help="carried or on the wall"
)
@click.option(
    "--cable",
    type=click.Choice(["attached", "detachable"]),
    prompt="Vehicle cable",
    help="part of it, or plugged into it",
)
@click.option(
    "--electronics",
    type=click.Choice(
        ["none", "in the plug", "in a box in the cable", "in the vehicle connector", "in the wall unit", "unknown"]
    ),
    prompt="Where the electronics sit",
    help="so far as can be told from outside",
)
@click.option("--phases", type=click.Choice(["1", "3"]), default="1", show_default=True, help="of the supply")
@click.option(
    "--connector",
    type=click.Choice(["type 1", "type 2"]),
    default="type 2",
    show_default=True,
    help="what goes into the car",
)
@click.option("--title", default="", help="of the case; make and model where left out")
@click.option("--tester", default="", help="who tests")
@click.option("--plug", default="", help="the plug, by the table: coldpin sources plug")
@click.option("--declared-current", default="", help="the setting under test, such as '16 A'")
@click.option("--rated-current", default="", help="on the plate, such as '16 A'")
@click.option("--rated-voltage", default="", help="on the plate, such as '230 V'")
def new(case: Path, mode: str, phases: str, make: str, model: str, **given: str) -> int:
    """Make the folder of a case. Make, model and class are asked for where they are not given.

    Example: coldpin new shelf/skerrow-16 --make Skerrow --model 16 --mode 2 --build portable --cable attached
    --electronics "in a box in the cable"
    """
    from coldpin.records.case import Claims
    from coldpin.workbench import new_case

    claims = Claims(
        plug=given["plug"],
        declared_current=given["declared_current"],
        rated_current=given["rated_current"],
        rated_voltage=given["rated_voltage"],
    )
    made = new_case(
        case,
        make=make,
        model=model,
        charging_mode=int(mode),
        build=given["build"],
        cable=given["cable"],
        electronics=given["electronics"],
        phases=int(phases),
        connector=given["connector"],
        title=given["title"],
        tester=given["tester"],
        claims=claims,
    )
    click.echo(f"{made.folder}: made; case.toml is yours to complete")
    left = [name for name in CLAIMS_ASKED if not given[name]]
    if left:
        click.echo(
            f"not given: {', '.join(left)}: write them under [claims] in case.toml; checks wait for them", err=True
        )
    click.echo(f"instruments and their accuracy go into {made.folder.parent / 'shelf.toml'}", err=True)
    return 0


@cli.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--shows", required=True, help="a word of the vocabulary: coldpin words")
@who_option
@made_option
@click.option("--address", default="", help="where it is to be seen, instead of a file or beside it")
@click.option("--time-code", default="", help="time in a video, such as 03:12")
@condition_option
@with_surroundings
@capture_options
def add(case: Path, file: Path | None, shows: str, who: str, made: str | None, **given: Any) -> int:
    """File a capture, photograph, video, document or listing.

    Example: coldpin add shelf/skerrow-16 steps.csv --shows "pilot capture" --who Ines --condition load=steps
    """
    from coldpin.workbench import add_evidence

    added = add_evidence(
        case,
        file,
        shows=shows,
        who=who,
        made=made,
        address=given["address"],
        time_code=given["time_code"],
        conditions=pairs_of(given["conditions"], "condition"),
        instrument=given["instrument"],
        supply_voltage=given["supply_voltage"],
        ambient=given["ambient"],
        humidity=given["humidity"],
        note=given["note"],
        private=given["private"],
        choices=capture_choices(given),
    )
    if added.dialect is not None:
        show_dialect(added.dialect, added.remarks)
    click.echo(added.entry.id)
    return 0


@cli.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("readings", nargs=-1)
@click.option("--shows", required=True, help="a word of the vocabulary: coldpin words")
@who_option
@made_option
@click.option("--answer", type=click.Choice(["yes", "no", "cannot tell"]), default=None, help="of a question")
@click.option(
    "--pair",
    "pairs",
    multiple=True,
    metavar="'PIN > PIN=FOUND'",
    help="of a wiring map: joined, open or a resistance; may be repeated",
)
@condition_option
@with_surroundings
def record(case: Path, readings: tuple[str, ...], shows: str, who: str, made: str | None, **given: Any) -> int:
    """Write down a reading, one text per repeat, or an observation.

    A reading is written as read, with its unit: "0,11 Ω", "110 mΩ", "> 200 MΩ". Words and their conditions: coldpin
    words.

    Example: coldpin record shelf/skerrow-16 "0.11 Ω" "0.12 Ω" --shows "earth resistance" --who Ines
    """
    from coldpin.workbench import record as write

    entry = write(
        case,
        shows=shows,
        who=who,
        made=made,
        readings=readings,
        answer=given["answer"] or "",
        pairs=pairs_of(given["pairs"], "pair"),
        conditions=pairs_of(given["conditions"], "condition"),
        instrument=given["instrument"],
        supply_voltage=given["supply_voltage"],
        ambient=given["ambient"],
        humidity=given["humidity"],
        note=given["note"],
        private=given["private"],
    )
    click.echo(entry.id)
    return 0


@cli.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("entry")
@click.argument("readings", nargs=-1)
@click.option("--reason", required=True, help="what was wrong")
@who_option
@click.option("--answer", type=click.Choice(["yes", "no", "cannot tell"]), default=None, help="of a question")
@click.option("--pair", "pairs", multiple=True, metavar="'PIN > PIN=FOUND'", help="laid over those of the entry")
@condition_option
@click.option("--instrument", default=None, help="its name in shelf.toml, the file beside the case")
@click.option("--note", default=None, help="anything else")
@click.option("--withdraw", is_flag=True, help="take the entry back and put nothing in its place")
def correct(case: Path, entry: str, readings: tuple[str, ...], reason: str, who: str, **given: Any) -> int:
    """Correct an entry by its id; the earlier one stays and can be seen.

    The id is what record and add printed; enough of it will do. It is the name of the file in the folder entries.

    Example: coldpin correct shelf/skerrow-16 20260502T1330 "0.12 Ω" --reason "digits swapped" --who Ines
    """
    from coldpin.workbench import correct as write

    correction = write(
        case,
        entry,
        who=who,
        reason=reason,
        readings=readings or None,
        answer=given["answer"],
        pairs=pairs_of(given["pairs"], "pair") or None,
        conditions=pairs_of(given["conditions"], "condition") or None,
        instrument=given["instrument"],
        note=given["note"],
        withdraw=given["withdraw"],
    )
    click.echo(correction.id)
    return 0


@cli.command()
def words() -> int:
    """List what an entry can show, and how it is recorded.

    Example: coldpin words
    """
    from coldpin.records.vocabulary import VOCABULARY

    for showing in VOCABULARY.values():
        click.echo(f"{showing.word} ({showing.recorded_as}{', ' + showing.unit if showing.unit else ''})")
        click.echo(f"    {showing.meaning}")
        for name, meaning in showing.conditions.items():
            click.echo(f"    {name}: {meaning}")
    return 0


@cli.command()
@click.argument("case", type=click.Path(path_type=Path))
@json_option
def entries(case: Path, as_json: bool) -> int:
    """List the entries of a case, oldest first; what was corrected stays and is marked.

    Example: coldpin entries demo-shelf/skerrow-16
    """
    from coldpin.cli.tables import show_entries
    from coldpin.records.entry import Entry
    from coldpin.records.plain import to_json
    from coldpin.workbench import list_entries

    held = list_entries(case)
    if as_json:
        click.echo(to_json(held.all, tuple[Entry, ...]), nl=False)
    else:
        show_entries(held)
    return _problems(held.problems)


@cli.command()
@click.argument("check", default="")
def checks(check: str) -> int:
    """List the checks in the order in which they may be done, or print how one is done, its cautions first.

    Example: coldpin checks live-pins
    """
    from coldpin.checks import all_checks, find_check
    from coldpin.cli.tables import show_check

    if check:
        show_check(find_check(check))
        return 0
    for one in all_checks():
        click.echo(f"{one.id} ({one.bench.level}, {one.bench.minutes} min): {one.title}")
    return 0


@cli.command()
@click.argument("case", type=click.Path(path_type=Path))
@json_option
def assess(case: Path, as_json: bool) -> int:
    """Assess a case and write its draft report.

    Example: coldpin assess demo-shelf/skerrow-16
    """
    from coldpin.records.plain import to_json
    from coldpin.workbench import write_report

    written = write_report(case)
    if as_json:
        click.echo(to_json(written.assessment), nl=False)
    else:
        show_assessment(written.assessment)
        click.echo("")
        for path in (written.page, written.sheet, written.record):
            click.echo(str(path))
    return _problems(written.assessment.problems)


def _problems(problems: tuple[Problem, ...]) -> int:
    for problem in problems:
        click.echo(f"could not be used: {problem.where}: {problem.what}", err=True)
    return NOT_ALL_USED if problems else 0


@cli.command()
@click.argument("file", type=click.Path(path_type=Path))
@capture_options
@click.option(
    "--edition",
    type=click.Choice(["iec-2", "iec-3", "sae"]),
    default="iec-3",
    show_default=True,
    help="text whose windows it is judged by",
)
@click.option("--vertical", default="", help="the scope's accuracy in volts, such as '3 % of full scale'")
@click.option("--timebase", default="", help="the scope's accuracy in time, such as '50 ppm'")
@click.option("--full-scale", default="", help="volts over the whole screen, such as '40 V'")
@json_option
def pilot(file: Path, edition: str, vertical: str, timebase: str, full_scale: str, as_json: bool, **given: Any) -> int:
    """Look at a capture of the pilot; nothing is written.

    Example: coldpin pilot steps.csv --json
    """
    from coldpin.records.plain import to_json
    from coldpin.standards.editions import Edition
    from coldpin.workbench.look import look_at_pilot

    look = look_at_pilot(
        file,
        choices=capture_choices(given),
        edition=Edition(edition),
        vertical=vertical,
        timebase=timebase,
        full_scale=full_scale,
    )
    show_dialect(look.dialect, look.remarks)
    unstated = [option for option, text in (("--vertical", vertical), ("--timebase", timebase)) if not text]
    if unstated:
        click.echo(f"remark: the scope's accuracy is not in ±: say {' and '.join(unstated)}", err=True)
    if as_json:
        click.echo(to_json(look.reading), nl=False)
    else:
        show_reading(look.reading)
    return 0


@cli.command()
@click.argument("word", default="")
@click.option("--case", "case", type=click.Path(path_type=Path), default=None, help="with the constants of a case")
@json_option
def sources(word: str, case: Path | None, as_json: bool) -> int:
    """List the constants that hold a word, with source and standing.

    Example: coldpin sources cee-7-4
    """
    from coldpin.records.finding import Limit
    from coldpin.records.plain import to_json
    from coldpin.standards.wording import limit_paragraph
    from coldpin.workbench.constants import find_sources

    found = find_sources(word, case=case)
    if as_json:
        click.echo(to_json(found, tuple[Limit, ...]), nl=False)
        return 0
    click.echo("\n\n".join(limit_paragraph(limit) for limit in found))
    return 0


@cli.command()
@click.argument("folder", type=click.Path(path_type=Path), default=Path("demo-shelf"))
def demo(folder: Path) -> int:
    """Make the shelf of Brackwater Boatyard: three donated leads, all invented, and their reports.

    Example: coldpin demo demo-shelf
    """
    from coldpin.workbench.demo import make_demo

    result = make_demo(folder)
    code = 0
    for written in result.written:
        show_assessment(written.assessment)
        click.echo(f"  page  {written.page}")
        click.echo(f"  PDF   {written.sheet}")
        click.echo("")
        code = max(code, _problems(written.assessment.problems))
    return code


@cli.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.option("--date", "on", default=None, help="date of the issue, as 2026-05-30; today where left out")
def publish(case: Path, on: str | None) -> int:
    """Freeze the report as a numbered issue, with what changed since the last.

    Example: coldpin publish shelf/skerrow-16 --date 2026-05-30
    """
    from coldpin.workbench.publishing import publish as freeze

    issue = freeze(case, on=on)
    for line in issue.changes:
        click.echo(f"changed: {line}", err=True)
    click.echo(str(issue.folder))
    return _problems(issue.problems)


@cli.command()
@click.argument("shelf", type=click.Path(path_type=Path), default=Path())
@click.option("--port", type=int, default=PORT, show_default=True, help="where to listen")
def serve(shelf: Path, port: int) -> int:
    """Show a shelf in the browser, on this machine alone, read-only. Ends with Ctrl-C.

    Example: coldpin serve demo-shelf
    """
    from coldpin.web import serve as listen

    def listening() -> None:
        click.echo(f"listening at http://127.0.0.1:{port} until Ctrl-C; this machine alone can reach it", err=True)

    listen(shelf, port=port, listening=listening)
    return 0

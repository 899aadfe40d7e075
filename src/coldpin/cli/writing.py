"""The commands that write into a case: new, add, record, correct."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from coldpin.cli.options import capture_choices, capture_options, log_choices, log_options_alone, pairs_of
from coldpin.cli.shared import (
    condition_option,
    made_of_file_option,
    made_option,
    tell_problems,
    who_option,
    with_surroundings,
)
from coldpin.cli.tables import show_dialect

FOUND_BETWEEN = "'PIN > PIN=FOUND', such as 'L > L1=open'"
"""How a joint of a wiring map is written."""


def _not_there_yet(context: click.Context, parameter: click.Parameter, value: Path) -> Path:
    """Refuse a folder that exists before anything is asked for."""
    del context, parameter
    if value.exists():
        raise click.BadParameter(f"{value} exists: name a new folder, or write into the case with add and record")
    return value


@click.command()
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
@click.option("--cable-print", default="", help="all that stands on the cable, such as 'EV-CABLE 3G2.5 450/750 V'")
@click.option("--cross-section", default="", help="of the power conductors as claimed, such as '2.5 mm²'")
@click.option("--country", default="", help="for whose sockets it is offered, by two letters, such as 'DK'")
def new(case: Path, mode: str, phases: str, make: str, model: str, **given: str) -> int:
    """Make the folder of a case. Make, model and kind are asked for where they are not given.

    Example: coldpin new shelf/skerrow-16 --make Skerrow --model 16 --mode 2 --build portable --cable attached
    --electronics "in a box in the cable"
    """
    from coldpin.records.case import Claims
    from coldpin.workbench.cases import CLAIMS_ASKED, new_case

    claims = Claims(
        plug=given["plug"],
        declared_current=given["declared_current"],
        rated_current=given["rated_current"],
        rated_voltage=given["rated_voltage"],
        cable_print=given["cable_print"],
        cross_section=given["cross_section"],
        country=given["country"].upper(),
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
    click.echo(f"{made.folder}: made; case.toml is yours to complete; what to test first: coldpin next {made.folder}")
    left = [name for name in CLAIMS_ASKED if not given[name]]
    if left:
        click.echo(
            f"not given: {', '.join(left)}: write them under [claims] in case.toml; checks wait for them", err=True
        )
    click.echo(f"instruments and their accuracy go into {made.folder.parent / 'shelf.toml'}", err=True)
    return 0


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("file", type=click.Path(path_type=Path), required=False)
@click.option("--shows", required=True, help="a word of the vocabulary: coldpin words")
@who_option
@made_of_file_option
@click.option("--address", default="", help="where it is to be seen, instead of a file or beside it")
@click.option("--time-code", default="", help="time in a video, such as 03:12")
@condition_option
@with_surroundings
@capture_options
@log_options_alone
def add(case: Path, file: Path | None, shows: str, who: str, made: str | None, **given: Any) -> int:
    """File a capture, log, board, photograph, video, document or listing.

    Example: coldpin add shelf/skerrow-16 steps.csv --shows "pilot capture" --who Ines --condition load=steps
    """
    from coldpin.workbench import add_evidence, entry_remarks, shelf_problems

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
        choices={**log_choices(given), **capture_choices(given)},
    )
    if added.dialect is not None:
        show_dialect(added.dialect, added.remarks)
    else:
        _tell_remarks(added.remarks)
    click.echo(added.entry.id)
    _tell_remarks(entry_remarks(case, added.entry))
    return tell_problems(shelf_problems(case))


def _tell_remarks(remarks: tuple[str, ...]) -> None:
    for remark in remarks:
        click.echo(f"remark: {remark}", err=True)


@click.command()
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
    from coldpin.workbench import entry_remarks, shelf_problems
    from coldpin.workbench import record as write

    entry = write(
        case,
        shows=shows,
        who=who,
        made=made,
        readings=readings,
        answer=given["answer"] or "",
        pairs=pairs_of(given["pairs"], "pair", FOUND_BETWEEN),
        conditions=pairs_of(given["conditions"], "condition"),
        instrument=given["instrument"],
        supply_voltage=given["supply_voltage"],
        ambient=given["ambient"],
        humidity=given["humidity"],
        note=given["note"],
        private=given["private"],
    )
    click.echo(entry.id)
    _tell_remarks(entry_remarks(case, entry))
    return tell_problems(shelf_problems(case))


@click.command()
@click.argument("case", type=click.Path(path_type=Path))
@click.argument("entry")
@click.argument("readings", nargs=-1)
@click.option("--reason", required=True, help="what was wrong")
@who_option
@click.option("--answer", type=click.Choice(["yes", "no", "cannot tell"]), default=None, help="of a question")
@click.option("--pair", "pairs", multiple=True, metavar="'PIN > PIN=FOUND'", help="laid over those of the entry")
@condition_option
@click.option("--instrument", default=None, help="its name in shelf.toml, the file beside the case")
@click.option("--made", default=None, help="when it was, as 2026-05-02T14:30+01:00, where that was wrong")
@click.option("--supply-voltage", default=None, metavar="TEXT", help="such as 231 V")
@click.option("--ambient", default=None, metavar="TEXT", help="such as 19 °C")
@click.option("--humidity", default=None, metavar="TEXT", help="such as 55 %")
@click.option("--note", default=None, help="anything else")
@click.option("--private", is_flag=True, help="keep it out of what is published, and the earlier entry with it")
@click.option("--withdraw", is_flag=True, help="take the entry back and put nothing in its place")
def correct(case: Path, entry: str, readings: tuple[str, ...], reason: str, who: str, **given: Any) -> int:
    """Correct an entry by its id; the earlier one stays and can be seen.

    What is not given is taken over from the entry; an empty text takes out what stood there. The id is what record and
    add printed; enough of it will do. It is the name of the file in the folder entries.

    Example: coldpin correct shelf/skerrow-16 20260502T1330 "0.12 Ω" --reason "digits swapped" --who Ines
    """
    from coldpin.workbench import correct as write
    from coldpin.workbench import entry_remarks, shelf_problems

    correction = write(
        case,
        entry,
        who=who,
        reason=reason,
        readings=readings or None,
        answer=given["answer"],
        pairs=pairs_of(given["pairs"], "pair", FOUND_BETWEEN) or None,
        conditions=pairs_of(given["conditions"], "condition") or None,
        instrument=given["instrument"],
        supply_voltage=given["supply_voltage"],
        ambient=given["ambient"],
        humidity=given["humidity"],
        note=given["note"],
        made=given["made"],
        private=given["private"],
        withdraw=given["withdraw"],
    )
    click.echo(correction.id)
    _tell_remarks(entry_remarks(case, correction))
    return tell_problems(shelf_problems(case))

"""The commands that list what there is: words, entries, checks, sources."""

from __future__ import annotations

from pathlib import Path

import click

from coldpin.cli.shared import json_option, tell_problems


@click.command()
@click.argument("part", default="")
def words(part: str) -> int:
    """List what an entry can show, and how it is recorded; with a PART those words that hold it, or tell of it.

    Example: coldpin words "trip time"
    """
    from coldpin.errors import UnknownName
    from coldpin.records.vocabulary import VOCABULARY

    sought = part.casefold()
    named = [one for one in VOCABULARY.values() if sought in one.word.casefold()]
    told = named or [one for one in VOCABULARY.values() if sought in one.meaning.casefold()]
    if not told:
        raise UnknownName.among("word of the vocabulary, or part of one:", part, VOCABULARY)
    for showing in told:
        click.echo(f"{showing.word} ({showing.recorded_as}{', ' + showing.unit if showing.unit else ''})")
        click.echo(f"    {showing.meaning}")
        for name, meaning in showing.conditions.items():
            click.echo(f"    {name}: {meaning}")
    return 0


@click.command()
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
    return tell_problems(held.problems)


@click.command()
@click.argument("check", default="")
def checks(check: str) -> int:
    """List the checks in the order in which they may be done, or print how one is done, its cautions first.

    Example: coldpin checks live-pins
    """
    from coldpin.checks import all_checks, find_check, method
    from coldpin.cli.tables import show_check
    from coldpin.standards.book import load_book

    if check:
        found = find_check(check)
        show_check(found, method(found, load_book()).stop_values)
        return 0
    for one in all_checks():
        click.echo(f"{one.id} ({one.bench.level}, {one.bench.minutes} min): {one.title}")
    return 0


@click.command()
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

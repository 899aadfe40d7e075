"""Several specimens of one model, on the screen."""

from __future__ import annotations

from collections.abc import Iterable

import click
from rich.console import Console
from rich.table import Table

from coldpin.records.assessment import Sentence
from coldpin.records.claim import ClaimState
from coldpin.records.together import Agreement, Together, ValueAgreement
from coldpin.report.together import VALUES_AGREED, agreed_finding, agreed_function, value_told

TOLD = (Agreement.DIFFERS, Agreement.BAD_IN_SOME)
"""How findings stand that are told on the screen; the rest is in the record and in the report."""


def show_together(together: Together) -> None:
    """Print a conclusion from several specimens.

    Parameters
    ----------
    together : Together
        The specimens laid together.
    """
    headline = together.conclusion.headline
    click.echo(f"{together.title}\n\n{headline.text} [{headline.basis}]\n")
    for one in together.specimens:
        alone, _, _ = one.headline.text.partition(". ")
        click.echo(f"specimen {one.number}, {one.case}: {alone.removesuffix('.')} [{one.headline.basis}]")
    _list("they differ", together.conclusion.differs)
    _print(
        ("use", "answer", "rests on specimen"),
        ((use.name, use.answer.value, _numbers(use.rests_on)) for use in together.uses),
    )
    _print(
        ("function", "together", *_heads(together)),
        (
            (
                row.title,
                agreed_function(row.agreement),
                *("–" if s is None else s.replace("_", " ") for s in row.states),
            )
            for row in together.functions
        ),
    )
    _print(
        ("finding that differs or is not tested on all", "together", *_heads(together)),
        (
            (row.title, agreed_finding(row.agreement), *(outcome.replace("_", " ") for outcome in row.outcomes))
            for row in together.findings
            if row.agreement in TOLD
        ),
    )
    _print(
        ("measured", "side by side", *_heads(together)),
        (
            (row.title, VALUES_AGREED[row.agreement], *(value_told(value) for value in row.values))
            for row in together.values
            if row.agreement is ValueAgreement.DIFFER
        ),
    )
    contradicted = (claim.sentence for claim in together.claims if claim.state is ClaimState.CONTRADICTED)
    _list("claims that are contradicted", contradicted)
    _list("of all units", together.conclusion.shares)
    click.echo("\nmay not be said:")
    for text in together.conclusion.may_not_say:
        click.echo(f"  {text}")
    _list("what would change this", together.conclusion.would_change)


def _heads(together: Together) -> tuple[str, ...]:
    return tuple(str(one.number) for one in together.specimens)


def _numbers(numbers: Iterable[int]) -> str:
    return ", ".join(map(str, numbers))


def _print(heads: Iterable[str], rows: Iterable[Iterable[str]]) -> None:
    table = Table(*heads, box=None)
    for row in rows:
        table.add_row(*row)
    if table.row_count:
        click.echo("")
        Console(markup=False, highlight=False).print(table)


def _list(head: str, sentences: Iterable[Sentence]) -> None:
    told = tuple(sentences)
    if told:
        click.echo(f"\n{head}:")
        for sentence in told:
            click.echo(f"  {sentence.text} [{sentence.basis}]")

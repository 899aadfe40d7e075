"""What the command about required distances prints for a person: the rows first, then steps, other texts, sources."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from coldpin.records.required_distances import DistanceRow, RequiredDistances


def show_required(told: RequiredDistances) -> None:
    """Print required distances.

    Parameters
    ----------
    told : RequiredDistances
        The record.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.insulation.required_telling import millimetres, rows_beside, sources_of_rows
    from coldpin.standards.wording import limit_paragraph, number_text

    chosen = "asked for" if told.kind_limit is not None or told.barrier is None else "given by hand"
    show_rows(
        ("Insulation", "Pollution degree", "Impulse", "Clearance", "Creepage", "X"),
        [
            (
                row.insulation.value + (f", {chosen}" if asked else ""),
                str(degree),
                number_text(row.rated_impulse_v, "V"),
                millimetres(row.clearance_mm),
                millimetres(row.creepage_mm),
                millimetres(row.groove_x_mm),
            )
            for degree, row, asked in rows_beside(told)
        ],
    )
    for statement in told.statements:
        click.echo(statement)
    click.echo("")
    _show_steps(told.asked)
    if told.others:
        click.echo("")
    for other in told.others:
        click.echo(
            f"Other text: {other.insulation} {other.kind} {millimetres(other.value_mm)} {other.why} "
            f"(used: {millimetres(other.used_mm)}; {', '.join(other.rows)})."
        )
    click.echo("")
    show_rows(
        ("Test voltage", "Insulation", "Form", "Rule"),
        [(number_text(test.value_v, "V"), test.insulation.value, test.form, test.rule) for test in told.test_voltages],
    )
    click.echo(
        "Test voltages are for a current-limited, interlocked tester and a person trained for it; else the insulation "
        "is not tested."
    )
    click.echo("")
    for limit in sources_of_rows(told):
        click.echo(limit_paragraph(limit))
    click.echo("Where the rest is from: `coldpin sources` and the id, or --json.")


def _show_steps(row: DistanceRow) -> None:
    from coldpin.insulation.required_telling import step_told

    for used in row.rows:
        click.echo(step_told(used))

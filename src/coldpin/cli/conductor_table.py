"""What the command about a conductor prints."""

from __future__ import annotations

import click

from coldpin.records.conductor import ConductorReading


def show_conductor(told: ConductorReading) -> None:
    """Print what a conductor's resistance says, its budget, and the limits it was placed against.

    Parameters
    ----------
    told : ConductorReading
        The reading.
    """
    from coldpin.quantity import format_quantity
    from coldpin.standards.wording import limit_paragraph

    click.echo(told.statement)
    click.echo(f"Worth {format_quantity(told.equivalent_area_mm2)} of annealed copper.")
    if told.nominal_mm2 is not None and told.least_area_mm2 is not None:
        click.echo(
            f"A mark of {told.nominal_mm2:g} mm² is a resistance, not an area: {told.least_area_mm2:.2f} mm² of "
            "annealed copper keep its limit."
        )
    if told.keeps_limit_of_mm2 is not None:
        click.echo(f"The largest listed size whose limit it keeps for sure is {told.keeps_limit_of_mm2:g} mm².")
    if told.budget:
        click.echo("\nWhat the uncertainty is made of")
        for line in told.budget:
            click.echo(f"{line.percent:6.2f} %  {line.label}")
        click.echo("")
    for placement in told.placements:
        click.echo(f"{placement.coating}: {placement.outcome.value}{_told_chance(placement.probability)}")
        click.echo(limit_paragraph(placement.limit))


def _told_chance(probability: float | None) -> str:
    return "" if probability is None else f", probability of keeping the limit {probability:.3f}"

"""What the command about a conductor prints."""

from __future__ import annotations

import click

from coldpin.records.conductor import ClassPlacement, ConductorReading
from coldpin.records.finding import BudgetLine
from coldpin.records.metal import MetalEstimate

MOST_SETTLING = 3
"""So many of the measurements that would settle the metal are printed."""

LEAST_PERCENT = 0.01
"""A share of the uncertainty below this is not printed. [%]"""


def show_conductor(told: ConductorReading) -> None:
    """Print what a conductor's resistance says, its metal, its budget, and the limits it was placed against.

    Parameters
    ----------
    told : ConductorReading
        The reading.
    """
    from coldpin.quantity import format_figure
    from coldpin.standards.wording import limit_paragraph

    click.echo(told.statement)
    area = told.equivalent_area_mm2
    if area.u is not None:
        click.echo(f"Worth {format_figure(area)} of annealed copper.")
    elif area.low is not None:
        click.echo(f"Worth {format_figure(area)} of annealed copper: {area.why}.")
    if told.nominal_mm2 is not None and told.least_area_mm2 is not None:
        click.echo(
            f"A mark of {told.nominal_mm2:g} mm² is a resistance, not an area: {told.least_area_mm2:.2f} mm² of "
            "annealed copper keep its limit."
        )
    if told.keeps_limit_of_mm2 is not None:
        click.echo(f"The largest listed size whose limit it keeps for sure is {told.keeps_limit_of_mm2:g} mm².")
    click.echo("\nMetal" + (f": {told.metal_why}" if told.metal_why else ""))
    if told.metal is not None:
        _show_metal(told.metal)
    _show_budget(told.budget)
    click.echo("")
    for placement in told.placements:
        click.echo(f"{placement.coating}: {placement.outcome.value}{_told_chance(placement)}")
        click.echo(limit_paragraph(placement.limit))


def _show_metal(metal: MetalEstimate) -> None:
    from coldpin.copper.metal_telling import answers_told

    click.echo(metal.statement)
    for remark in metal.remarks:
        click.echo(remark)
    for share in metal.metals:
        if share.probability is not None:
            click.echo(f"{100.0 * share.probability:6.2f} %  {share.metal.value.replace('_', ' ')}")
    for one in metal.evidence:
        if not one.used:
            click.echo(f"Not used: {one.kind.value}, {one.why}.")
    for told in answers_told(metal.priors):
        click.echo(told)
    for settling in metal.settle[:MOST_SETTLING]:
        click.echo(
            f"Would settle it: {settling.title}, {settling.minutes} min, "
            f"{100.0 * settling.probability_of_deciding:.0f} % of the time"
        )


def _show_budget(budget: tuple[BudgetLine, ...]) -> None:
    if not budget:
        return
    click.echo("\nWhat the uncertainty of the resistance is made of")
    for line in budget:
        if line.percent >= LEAST_PERCENT:
            click.echo(f"{line.percent:6.2f} %  {line.label}")


def _told_chance(placement: ClassPlacement) -> str:
    from coldpin.copper.metal_telling import percent
    from coldpin.report.numbers import likelihood

    if placement.probability is None:
        return ""
    return f", {likelihood(placement.limit)} {percent(placement.probability)}"

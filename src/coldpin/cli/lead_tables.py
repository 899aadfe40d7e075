"""What the commands about a lead print for a person: the answer first, then each limit with its source."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from coldpin.records.fault import FaultWithstand
    from coldpin.records.finding import Limit
    from coldpin.records.voltage_drop import VoltageDrop


def show_voltage_drop(told: VoltageDrop) -> None:
    """Print the drop of a lead, what is left, and the voltage at the car.

    Parameters
    ----------
    told : VoltageDrop
        The record.
    """
    from coldpin.quantity import format_figure, format_value

    for statement in told.statements:
        click.echo(statement)
    if not told.questions and told.left_percent.value > 0.0:
        click.echo(f"For the wiring before the socket {format_figure(told.left_percent)} are left.")
    limits = [told.limit]
    if told.tabulated is not None:
        printed = format_value(float(f"{told.tabulated.drop_v:.3g}"), "V")
        click.echo(
            f"The printed table gives {printed} for the marked size, its conductor at "
            f"{told.tabulated.conductor_temperature_c:g} °C."
        )
        limits.append(told.tabulated.limit)
    if told.vehicle is not None:
        source = told.vehicle.source
        click.echo(f"Impedance of the supply: {format_figure(source.resistance_ohm)}, from {source.method}.")
        if source.least_squares_ohm is not None and source.scatter_ohm is not None:
            fitted, scatter = (
                format_value(float(f"{ohm:.3g}"), "Ω") for ohm in (source.least_squares_ohm, source.scatter_ohm)
            )
            click.echo(f"Of {source.steps} steps: least squares {fitted}; a single step lies {scatter} off (median).")
        click.echo(f"Above the least that a supply may have: {format_figure(told.vehicle.left_v)}.")
        limits.append(told.vehicle.tolerance)
    _show_limits(limits)


def show_fault(told: FaultWithstand) -> None:
    """Print what a fault does to a lead.

    Parameters
    ----------
    told : FaultWithstand
        The record.
    """
    for statement in told.statements:
        click.echo(statement)
    for one in told.conductors:
        if one.least_area_mm2 is not None:
            click.echo(
                f"{one.conductor.capitalize()}: {one.least_area_mm2:.2f} mm² of {one.metal} would do "
                f"(insulation: {one.insulation})."
            )
    limits = [one.k for one in told.conductors]
    if told.let_through.limit is not None:
        limits.append(told.let_through.limit)
    if told.disconnection is not None:
        limits += [told.disconnection.within, told.disconnection.largest_loop, told.disconnection.without_factor]
    if told.short is not None:
        limits += told.short.limits
    if told.overload is not None:
        limits += [told.overload.cable, *told.overload.limits]
    _show_limits(limits)


def _show_limits(limits: Iterable[Limit]) -> None:
    from coldpin.standards.wording import limit_paragraph

    for paragraph in dict.fromkeys(map(limit_paragraph, limits)):
        click.echo(paragraph)

"""What the command about drawings of boards prints for a person: the two distances first, then ways and words."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from coldpin.records.board_distances import BoardDistances, DistancePath, DistancesByDegree
    from coldpin.records.required_distances import RequiredDistances


def show_by_degree(told: DistancesByDegree) -> None:
    """Print distances in several pollution degrees, one after the other.

    Parameters
    ----------
    told : DistancesByDegree
        The record.
    """
    for place, one in enumerate(told.by_degree):
        click.echo(("\n" if place else "") + f"Pollution degree {one.pollution_degree}:")
        show_distances(one.distances)


def show_distances(told: BoardDistances) -> None:
    """Print distances.

    Parameters
    ----------
    told : BoardDistances
        The record.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.quantity import format_figure

    shortest = [path for path in (told.clearance, told.creepage) if path is not None]
    show_rows(
        ("Distance", f"{told.nets[0]} to {told.nets[1]}", "Asked for", "Way"),
        [(path.kind.value, format_figure(path.length_mm), _asked(told.required, path), path.told) for path in shortest],
    )
    click.echo(f"Grooves narrower than {told.groove_x_mm:.4g} mm are bridged (X: {told.groove_x_from}).")
    for statement in told.statements:
        click.echo(statement)
    for path in shortest:
        if path.dominated_by and path.length_mm.u:
            reduced = f" Reduced by: {path.reduced_by}." if path.reduced_by else ""
            click.echo(f"Uncertainty of the {path.kind.value}: most of it from {path.dominated_by}.{reduced}")
    for path in told.other_readings:
        click.echo(
            f"By another reading ({path.reading}) the {path.kind.value} is {format_figure(path.length_mm)}: "
            f"{path.told}."
        )
    if told.next:
        click.echo("")
        show_rows(
            ("Next", "Length", "Way"),
            [(path.kind.value, format_figure(path.length_mm), path.told) for path in told.next],
        )
    if told.not_seen:
        click.echo("")
        click.echo("Not seen in this drawing: " + "; ".join(told.not_seen) + ".")


def _asked(required: RequiredDistances | None, path: DistancePath) -> str:
    from coldpin.insulation.required_telling import millimetres
    from coldpin.records.distance import PathKind

    if required is None:
        return "–"
    row = required.asked
    wanted = row.clearance_mm if path.kind is PathKind.CLEARANCE else row.creepage_mm
    by_hand = required.barrier is not None and required.kind_limit is None
    return f"{millimetres(wanted)} ({row.insulation.value}{', given by hand' if by_hand else ''})"

"""What the commands about photographs print for a person."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from coldpin.records.outline import OutlineReading
    from coldpin.records.photo import PhotoReading
    from coldpin.records.scale_card import ScaleCard


def show_scale_card(card: ScaleCard) -> None:
    """Print a scale card: cautions first, then what is on it and what to do with it.

    Parameters
    ----------
    card : ScaleCard
        The record.
    """
    for caution in card.cautions:
        click.echo(f"! Before the first step: {caution}")
    (left, low), (right, high) = card.card_mm
    click.echo(
        f"\nCard {card.name}, {right - left:g} mm × {high - low:g} mm: {card.columns} × {card.rows} squares of "
        f"{card.square_mm:g} mm, marks {card.markers[0].number} to {card.markers[-1].number} of {card.dictionary}"
    )
    for bar in card.bars:
        click.echo(f"Bar {bar.name}: drawn {bar.length_mm:g} mm; what the calliper reads is the scale")
    click.echo("")
    for number, step in enumerate(card.steps, start=1):
        click.echo(f"{number}. {step}")


def show_photo(reading: PhotoReading) -> None:
    """Print what a calibrated photograph says of itself.

    Parameters
    ----------
    reading : PhotoReading
        The record.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.report.photo_lines import gap_cells, photo_lines, raised_cells

    show_rows(("Photograph", reading.name), photo_lines(reading))
    click.echo("\nAbove the plane")
    show_rows(("Height", "A length reads longer by", "A point at the edge moves by"), map(raised_cells, reading.raised))
    if reading.gaps:
        click.echo("\nGaps")
        show_rows(("By calliper", "In the picture", "Agree"), map(gap_cells, reading.gaps))


def show_outlines(reading: OutlineReading) -> None:
    """Print what was proposed on a photograph, and under each what to look at.

    Parameters
    ----------
    reading : OutlineReading
        The record.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.report.photo_lines import outline_cells

    show_rows(("", "Proposed", "Corners", "Size", "Known within (u)"), map(outline_cells, reading.outlines))
    for one in reading.outlines:
        click.echo(f"\n{one.number}: {one.label}, {one.made_by}")
        for remark in one.remarks:
            click.echo(f"   {remark}")

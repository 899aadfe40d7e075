"""What the commands about photographs print for a person."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
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

"""What the commands about a person print: the answer first, then the curves, then each source once."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from coldpin.records.body_current import BodyCurrent
    from coldpin.records.finding import Limit


def show_body_current(told: BodyCurrent) -> None:
    """Print the current through a person, its zone, and how long it might flow below each curve.

    Parameters
    ----------
    told : BodyCurrent
        The record.
    """
    from coldpin.quantity import format_value

    for statement in told.statements:
        click.echo(statement)
    for curve in told.curves:
        at = format_value(float(f"{curve.current_ma:.3g}"), "mA")
        if curve.longest_s is None:
            below = "never reached by this current"
        elif curve.longest_s:
            below = f"reached by this current after {format_value(float(f'{curve.longest_s:.2g}'), 's')}"
        else:
            below = "reached by this current at once"
        click.echo(f"Curve {curve.name}: {at}, {below} (standing: {curve.standing}).")
    show_sources(told.limits)


def show_sources(limits: Iterable[Limit]) -> None:
    """Print where limits are from, each text and place once, with the values of other texts.

    Parameters
    ----------
    limits : iterable of Limit
        The limits.
    """
    told: dict[tuple[str, str], list[str]] = {}
    for limit in limits:
        place = ", ".join(part for part in (limit.source, limit.edition, limit.place) if part)
        told.setdefault((place, str(limit.standing)), []).append(limit.other)
    for (place, standing), others in told.items():
        other = "".join(f" Other value: {text}." for text in dict.fromkeys(filter(None, others)))
        click.echo(f"Source: {place} (standing: {standing}).{other}")

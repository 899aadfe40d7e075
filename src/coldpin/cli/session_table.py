"""What the command about a charge prints."""

from __future__ import annotations

import math

import click

from coldpin.records.session import SessionPhase, SessionReading
from coldpin.session.clocks import drift_told
from coldpin.session.meter import UNSTATED


def tell_unstated(told: SessionReading) -> None:
    """Say on stderr that the meter's accuracy is not known, where that is why nothing is sure.

    Parameters
    ----------
    told : SessionReading
        The reading.
    """
    asked = (told.energy_wh, *(phase.current_a for phase in told.phases if phase.rows))
    if told.energy_wh.u is None and any(quantity.why == UNSTATED for quantity in asked):
        click.echo("remark: the meter's accuracy is not known: say --accuracy", err=True)


def show_session(told: SessionReading) -> None:
    """Print the phases of a charge as a table, then its energy, what was not recorded, and what followed what.

    Parameters
    ----------
    told : SessionReading
        The reading.
    """
    from coldpin.cli.tables import show_rows
    from coldpin.report.numbers import measured, reckoned
    from coldpin.report.times import duration, elapsed_span

    rows = [
        (
            phase.kind.value,
            elapsed_span(phase.start_s, phase.end_s),
            duration(phase.duration_s),
            _known(phase.current_a.value, reckoned(phase.current_a)),
            _known(phase.power_w.value, reckoned(phase.power_w)),
            _factor(phase),
        )
        for phase in told.phases
    ]
    show_rows(("Phase", "From, to", "Lasts", "Current", "Power", "Power factor"), rows)
    most = f": {told.energy_wh.why}" if told.energy_wh.u is None and told.energy_wh.high is not None else ""
    whole = "Energy"
    if told.recorded_wh is not None:
        click.echo(f"Energy recorded: {reckoned(told.recorded_wh)}")
        whole = "With the middle of what may have gone by unrecorded"
    click.echo(f"{whole}: {reckoned(told.energy_wh)}{most}")
    if told.cost is not None:
        click.echo(f"Cost: {reckoned(told.cost)}")
    if told.counter is not None:
        click.echo(
            f"By the meter's own counter: {measured(told.counter.counter_wh)}; agrees over the recorded rows: "
            f"{told.counter.agrees}"
        )
    for gap in told.gaps:
        click.echo(
            f"Nothing recorded from {elapsed_span(gap.start_s, gap.end_s)}: {reckoned(gap.energy_wh)}, bounded by "
            f"{gap.bounded_by or 'nothing'}"
        )
    for outage in told.outages:
        click.echo(f"Supply lost from {elapsed_span(outage.start_s, outage.end_s)}, shown by {outage.shown_by}")
    for one in told.offer:
        click.echo(
            f"Phase {one.phase + 1} drew {reckoned(one.current_a)} of {reckoned(one.offer_a)} offered: {one.outcome}"
        )
    for clock in told.clocks:
        then = "" if clock.at_own_s is None else f" at {clock.at_own_s:.6g} s of its own, which {drift_told(clock)}"
        click.echo(f"The log's clock is {reckoned(clock.offset_s)} ahead of '{clock.clock}'{then}.")
    for name, own in _not_placed(told).items():
        click.echo(f"Not placed in the log, by the clock '{name}': {', '.join(own)}")
    for reaction in told.reactions:
        click.echo(reaction.statement)


def _not_placed(told: SessionReading) -> dict[str, list[str]]:
    """Return the marks that lie nobody knows where, by clock."""
    found: dict[str, list[str]] = {}
    for mark in told.marks:
        if mark.not_placed:
            found.setdefault(mark.clock, []).append(f"'{mark.kind.value}' at {mark.at_s.value:.6g} s of its own")
    return found


def _known(value: float, text: str) -> str:
    return "–" if math.isnan(value) else text


def _factor(phase: SessionPhase) -> str:
    from coldpin.report.numbers import reckoned

    return "–" if phase.power_factor is None else reckoned(phase.power_factor)

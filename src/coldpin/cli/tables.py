"""What the commands print for a person: tables to standard output, how a file was read to standard error."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from rich.console import Console

    from coldpin.checks import Check
    from coldpin.quantity import Quantity
    from coldpin.records.assessment import Assessment
    from coldpin.records.dialect import Dialect
    from coldpin.records.entry import Entry
    from coldpin.records.pilot import OutputReading, PilotReading
    from coldpin.records.proximity import ProximityReading
    from coldpin.records.vehicle_simulator import VehicleSimulator
    from coldpin.workbench.listing import EntryList

TABLE_WIDTH = 160
"""A table that goes into a file or a pipe has no terminal to fit into. [characters]"""


def _console() -> Console:
    from rich.console import Console

    return Console(width=None if sys.stdout.isatty() else TABLE_WIDTH)


def show_assessment(assessment: Assessment) -> None:
    """Print the headline and the function table of an assessment.

    Parameters
    ----------
    assessment : Assessment
        The record.
    """
    from rich.table import Table

    console, headline = _console(), assessment.conclusion.headline
    console.print(f"[bold]{assessment.title}[/bold]", highlight=False)
    console.print(f"{headline.text} [{headline.basis}]", markup=False, highlight=False)
    table = Table(box=None, pad_edge=False)
    for heading in ("Function", "State", "Because"):
        table.add_column(heading, overflow="fold")
    for function in assessment.functions:
        table.add_row(function.title, function.state.value.replace("_", " "), function.because)
    console.print(table, markup=False)


def show_entries(held: EntryList) -> None:
    """Print the entries of a case as a table.

    Parameters
    ----------
    held : EntryList
        All entries, and which of them hold.
    """
    from rich.table import Table

    table = Table(box=None, pad_edge=False)
    for heading in ("Entry", "Made", "Shows", "Content", "Holds"):
        table.add_column(heading, overflow="fold")
    for entry in held.all:
        holds = "yes" if entry.id in held.holding else "no"
        verb = "withdraws" if entry.withdraws else "replaces"
        reason = f", {verb} {entry.replaces}: {entry.reason}" if entry.replaces else ""
        made = entry.made[:16] + (f", by {entry.made_by}" if entry.made_by else "")
        table.add_row(entry.id, made, entry.shows, _content(entry), holds + reason)
    _console().print(table, markup=False)


def _content(entry: Entry) -> str:
    if entry.withdraws:
        return "withdrawn"
    if entry.pairs:
        joined = [pair for pair, found in entry.pairs.items() if found != "open"]
        return f"{len(entry.pairs)} pairs, not open: {', '.join(joined) or 'none'}"
    if entry.evidence is not None:
        return " with ".join(piece.file for piece in entry.evidence.files) or entry.evidence.address
    return "; ".join(entry.readings) or entry.answer or entry.note


def show_check(check: Check, stops: tuple[str, ...]) -> None:
    """Print how a check is done: cautions and hold points before the first step.

    Parameters
    ----------
    check : Check
        The check.
    stops : tuple of str
        When to stop, in words.
    """
    bench = check.bench
    click.echo(f"{check.title}: {check.question}")
    click.echo(f"{bench.level}, {bench.minutes} minutes, with {bench.instrument}")
    for heading, lines in (
        ("Before the first step", bench.cautions),
        ("Hold point", bench.hold_points),
        ("Stop", stops),
    ):
        for line in lines:
            click.echo(f"! {heading}: {line}")
    for number, step in enumerate(bench.steps, start=1):
        click.echo(f"{number}. {step}")
    for need in check.needs:
        click.echo(f"Needs {need.describe()}.")
    if bench.transfers:
        click.echo(f"Once opened: {bench.transfers}")


def show_reading(reading: PilotReading, *, step: float | None = None, notes: tuple[str, ...] = ()) -> None:
    """Print the runs of a pilot reading as a table.

    Parameters
    ----------
    reading : PilotReading
        The reading.
    step : float or None
        One step of its samples, below which no ± is printed. [V]
    notes : tuple of str
        What must be read with the table, printed under it.
    """
    from rich.table import Table

    from coldpin.pilot.diode import unknown_because
    from coldpin.quantity import format_in_steps, format_quantity

    table = Table(box=None, pad_edge=False)
    for heading in ("State", "From", "To", "High", "Low", "Frequency", "Duty", "Offer", "Diode"):
        table.add_column(heading)

    def said(quantity: Quantity | None) -> str:
        return format_quantity(quantity) if quantity is not None else "-"

    def level(quantity: Quantity | None) -> str:
        return format_in_steps(quantity, step) if quantity is not None else "-"

    for run in reading.runs:
        offer = run.offered_current_a
        told = "-" if offer is None else said(offer.current) if offer.meaning == "current" else offer.meaning.value
        table.add_row(
            run.state.value,
            f"{run.start_s:.4f} s",
            f"{run.end_s:.4f} s",
            level(run.high_v),
            level(run.low_v),
            said(run.frequency_hz),
            said(run.duty_percent),
            told,
            run.diode.value,
        )
    _console().print(table, markup=False)
    _tell("Note: ", notes)
    for line in dict.fromkeys(
        f"Diode unknown in {run.state.value}: {why}"
        for run in reading.runs
        if (why := unknown_because(run, reading.runs))
    ):
        click.echo(line)
    _show_edges(reading)
    _show_glitches(reading)
    if reading.output is not None:
        click.echo("")
        _show_switching(reading, reading.output)


def _show_glitches(reading: PilotReading) -> None:
    if not reading.glitches.count:
        return
    from coldpin.quantity import convert
    from coldpin.quantity.printing import MINUS

    longest = reading.glitches.longest[0]
    peak = f"{longest.peak_v:.1f}".replace("-", MINUS)
    click.echo(
        f"Glitches: {reading.glitches.count}; the longest, {convert(longest.width_s, 's', 'µs'):.3g} µs at "
        f"{longest.start_s:.6g} s in {longest.state.value}, reached {peak} V"
    )


def _show_edges(reading: PilotReading) -> None:
    from rich.table import Table

    from coldpin.quantity import convert, format_quantity

    def said(time: Quantity | None, below: float | None) -> str:
        if time is not None:
            return format_quantity(time)
        return "-" if below is None else f"below resolution (< {convert(below, 's', 'µs'):.3g} µs)"

    table = Table(box=None, pad_edge=False)
    for heading in ("Edges of", "From", "Rise, 10 % to 90 %", "Fall, 90 % to 10 %"):
        table.add_column(heading)
    for run in reading.runs:
        if run.rise_s is not None or run.fall_s is not None or run.edges_below_s is not None:
            rise, fall = (said(time, run.edges_below_s) for time in (run.rise_s, run.fall_s))
            table.add_row(run.state.value, f"{run.start_s:.4f} s", rise, fall)
    if table.row_count:
        _console().print(table, markup=False)


def _show_switching(reading: PilotReading, output: OutputReading) -> None:
    from rich.table import Table

    from coldpin.report.delays import (
        delay_limit_said,
        delay_said,
        height_said,
        limits_cited,
        operations_said,
        outcome_said,
    )
    from coldpin.standards.book import load_book

    known = "as stated" if output.stated else "recognised"
    click.echo(f"Output: {output.kind.value} ({known}), {height_said(output)}")
    if output.doubt:
        click.echo(f"  {output.doubt}")
    if not reading.switching:
        click.echo("  it did nothing that answers a change of the pilot")
        return
    table = Table(box=None, pad_edge=False)
    for heading in ("Switching", "Pilot", "Worst delay", "Limit", "Outcome", "All operations", "Why"):
        table.add_column(heading, overflow="fold")
    for event in reading.switching:
        table.add_row(
            event.event.value,
            f"{event.state_from.value} to {event.state_to.value}",
            delay_said(event.delay_s),
            delay_limit_said(event),
            outcome_said(event),
            operations_said(event),
            event.why,
        )
    _console().print(table, markup=False)
    _tell("Limit: ", limits_cited(reading.switching, load_book()))


def show_dialect(dialect: Dialect, remarks: tuple[str, ...]) -> None:
    """Print on standard error how a capture or a log was read.

    Parameters
    ----------
    dialect : Dialect
        How.
    remarks : tuple of str
        What had to be left out or taken for granted.
    """
    from coldpin.capture import dialect_lines
    from coldpin.capture.telling import TEXT_FORMAT

    if dialect.format != TEXT_FORMAT or dialect.log is not None:
        _read_as(dict(dialect_lines(dialect)), remarks)
        return
    shown = {
        "separator": repr(dialect.delimiter),
        "decimal": repr(dialect.decimal_char),
        "encoding": dialect.encoding,
        "header rows": dialect.header_row_count,
        "rows skipped": dialect.skip_rows,
        "time": dialect.time or "-",
        "voltage": dialect.voltage,
        "output": dialect.output or "-",
        "step": f"{dialect.step:g} s" if dialect.step else "from the time column",
    }
    _read_as(shown, remarks)


def _read_as(shown: Mapping[str, object], remarks: tuple[str, ...]) -> None:
    click.echo("read as: " + ", ".join(f"{name} {value}" for name, value in shown.items()), err=True)
    for remark in remarks:
        click.echo(f"remark: {remark}", err=True)


def show_proximity(told: ProximityReading) -> None:
    """Print what a proximity resistance stands for, by which range of which source, and what another text says.

    Parameters
    ----------
    told : ProximityReading
        The reading.
    """
    from coldpin.quantity import format_quantity
    from coldpin.standards.wording import limit_paragraph

    click.echo(told.statement)
    if told.vehicle_voltage_v is not None:
        click.echo(f"A vehicle sees {format_quantity(told.vehicle_voltage_v)} at its proximity contact.")
    for zone in told.zones:
        for limit in zone.limits:
            click.echo(limit_paragraph(limit))
    if told.other is not None and not told.other.agrees:
        from coldpin.pilot.proximity import told_as

        click.echo(f"Another text: {' or '.join(told_as(zone) for zone in told.other.zones)}.")
        for limit in {limit.id: limit for zone in told.other.zones for limit in zone.limits}.values():
            click.echo(limit_paragraph(limit))


def show_simulator(plan: VehicleSimulator) -> None:
    """Print a vehicle simulator: cautions first, then its parts, its positions, proof and order of switching.

    Parameters
    ----------
    plan : VehicleSimulator
        The record.
    """
    from coldpin.report.simulator_sheet import network_cells, position_cells, told_ratings, told_sources

    _tell("! Before the first step: ", plan.cautions)
    _tell("! Never leave bare: ", plan.never_bare)
    click.echo("")
    _tell("Wiring: ", plan.wiring)
    click.echo(f"\nResistors of the series {plan.series}, ±{plan.tolerance_percent:g} %, {told_ratings(plan)}")
    show_rows(("Part", "Wanted (Ω)", "Made of (Ω)", "Reads"), [network_cells(network) for network in plan.networks])
    click.echo(f"\nPositions, levels at a nominal generator ({plan.edition_title})")
    headings = (
        "Position",
        "Behind the diode",
        "Diode",
        "High (V)",
        "Low (V)",
        "Meter (Ω)",
        "Heat at most (mW)",
        "Asked",
    )
    show_rows(headings, [position_cells(position) for position in plan.positions])
    click.echo("")
    _tell("Diode: ", plan.diode)
    _tell("Proof before use: ", plan.proof)
    for number, line in enumerate(plan.order, start=1):
        click.echo(f"{number}. {line}")
    _tell("", (*plan.remarks, told_sources(plan.limits)))


def _tell(before: str, lines: Iterable[str]) -> None:
    for line in lines:
        click.echo(before + line)


def show_rows(headings: Iterable[str], rows: Iterable[Iterable[str]]) -> None:
    """Print rows under headings.

    Parameters
    ----------
    headings : iterable of str
        One for each column.
    rows : iterable of iterable of str
        Texts, as many as there are headings.
    """
    from rich.table import Table

    table = Table(box=None, pad_edge=False)
    for heading in headings:
        table.add_column(heading)
    for row in rows:
        table.add_row(*row)
    _console().print(table, markup=False)

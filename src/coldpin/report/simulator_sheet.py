"""The vehicle simulator as one sheet of paper for the bench: cautions first, then parts, positions, proof and order."""

from __future__ import annotations

from itertools import zip_longest

from coldpin.quantity import Quantity, format_quantity
from coldpin.quantity.printing import MINUS
from coldpin.records.finding import Limit, Standing
from coldpin.records.vehicle_simulator import Arrangement, DiodeSwitch, Network, Position, VehicleSimulator
from coldpin.report.document import (
    Block,
    Callout,
    CalloutKind,
    Column,
    Document,
    Face,
    Heading,
    Line,
    Listing,
    Paragraph,
    Role,
    Row,
    Table,
    Text,
)
from coldpin.standards.wording import number_text

TITLE = "Vehicle simulator for the pilot"

_JOINED = {Arrangement.SINGLE: "", Arrangement.SERIES: " + ", Arrangement.PARALLEL: " ∥ "}
_NETWORK_COLUMNS = (Column("Part", 1.3), Column("Wanted (Ω)", 1.2), Column("Made of (Ω)", 1.6), Column("Reads", 1.8))


def build_sheet(plan: VehicleSimulator) -> Document:
    """Return a vehicle simulator as a document of one printed page.

    Parameters
    ----------
    plan : VehicleSimulator
        The record.

    Returns
    -------
    Document
        What :func:`~coldpin.report.pdf.render_pdf` sets.
    """
    blocks: tuple[Block, ...] = (
        Heading(1, TITLE, "sheet"),
        Callout(CalloutKind.CAUTION, "Before the first step", _lines(plan.cautions)),
        Callout(CalloutKind.HOLD, "What never to leave bare", _lines(plan.never_bare)),
        Callout(CalloutKind.NOTE, "Wiring", _lines(plan.wiring)),
        _networks(plan),
        _positions(plan),
        Callout(CalloutKind.NOTE, "Diode", _lines(plan.diode)),
        Callout(CalloutKind.HOLD, "Proof by meter, before each use", _lines(plan.proof)),
        Paragraph((Text("Order of switching", Face.STRONG),), Role.QUIET),
        Listing(_lines(plan.order), ordered=True),
        Paragraph((Text(" ".join((*plan.remarks, told_sources(plan.limits)))),), Role.QUIET),
    )
    return Document(title=TITLE, status="", date="", running=TITLE, blocks=blocks, sheet=True)


def _lines(texts: tuple[str, ...]) -> tuple[Line, ...]:
    return tuple((Text(text),) for text in texts)


def _networks(plan: VehicleSimulator) -> Table:
    """Return the parts in two halves side by side, so that they take half the height."""
    half = (len(plan.networks) + 1) // 2
    nothing = ("",) * len(_NETWORK_COLUMNS)
    rows = [
        (*network_cells(left), *(network_cells(right) if right else nothing))
        for left, right in zip_longest(plan.networks[:half], plan.networks[half:])
        if left is not None
    ]
    return Table(
        caption=f"Resistors: metal film ±{plan.tolerance_percent:g} %, series {plan.series}, {told_ratings(plan)}",
        columns=_NETWORK_COLUMNS * 2,
        rows=tuple(Row(_lines(cells)) for cells in rows),
    )


def _positions(plan: VehicleSimulator) -> Table:
    columns = (
        Column("Position", 1.65),
        Column("Behind the diode", 1.9),
        Column("Diode", 0.8),
        Column("High (V)", 1.2),
        Column("Low (V)", 1.25),
        Column("Meter (Ω)", 1.45),
        Column("Heat at most (mW)", 2.0),
        Column("Asked of the unit", 2.4),
    )
    return Table(
        caption=f"Positions: levels at a nominal generator ({plan.edition_title}) ± 95 % of resistors and diode",
        columns=columns,
        rows=tuple(Row(_lines(position_cells(position))) for position in plan.positions),
    )


def told_ratings(plan: VehicleSimulator) -> str:
    """Return in words for how much power the resistors are bought.

    Parameters
    ----------
    plan : VehicleSimulator
        The record.

    Returns
    -------
    str
        One rating where all are alike, else the exceptions by name.
    """
    by_rating = {rating for network in plan.networks for rating in network.rating_w}
    least = min(by_rating)
    more = [
        f"{network.name} {number_text(max(network.rating_w), 'W')}"
        for network in plan.networks
        if max(network.rating_w) > least
    ]
    return f"{number_text(least, 'W')} or more" + (f"; {', '.join(more)}" if more else "")


def network_cells(network: Network) -> tuple[str, ...]:
    """Return what a table prints of a network.

    Parameters
    ----------
    network : Network
        The network.

    Returns
    -------
    tuple of str
        Name, resistance wanted, resistors, what it reads.
    """
    resistors = _JOINED[network.arrangement].join(f"{one:g}" for one in network.resistors_ohm)
    return (
        network.name,
        number_text(float(f"{network.wanted_ohm:.4g}"), ""),
        resistors,
        format_quantity(network.resistance),
    )


def position_cells(position: Position) -> tuple[str, ...]:
    """Return what a table prints of a position.

    Parameters
    ----------
    position : Position
        The position.

    Returns
    -------
    tuple of str
        Name, resistors, diode, high and low level, meter, heat, what is asked of the unit.
    """
    names = [*position.behind, *(f"{name} across" for name in position.across)]
    if position.shorted_behind:
        names.append("bridged")
    heat = "; ".join(" + ".join(f"{1e3 * one:.1f}" for one in heat.resistors_w) for heat in position.heat)
    return (
        position.name,
        ", ".join(names) or "nothing",
        {DiodeSwitch.SHORTED: "bridged"}.get(position.diode, position.diode.value),
        _volts(position.high_v),
        _volts(position.low_v),
        _ohms(position.meter_low_ohm, position.meter_high_ohm),
        heat or "none",
        position.asks,
    )


def _volts(level: Quantity) -> str:
    """Return a level to a hundredth, without its unit, which stands at the head of the column."""
    value = f"{level.value:.2f}".replace("-", MINUS)
    return f"{value} ± {level.expanded:.2f}" if level.u and level.expanded is not None else value


def _ohms(low: float | None, high: float | None) -> str:
    if low is None or high is None:
        return "open"
    if high == 0.0:
        return "0"
    return f"{float(f'{low:.4g}'):g} to {float(f'{high:.4g}'):g}"


def told_sources(limits: tuple[Limit, ...]) -> str:
    """Return in words how well the figures are known, and where to look them up.

    Parameters
    ----------
    limits : tuple of Limit
        The constants that were used.

    Returns
    -------
    str
        How many were read, and by name all that were not.
    """
    read = sum(limit.standing is Standing.READ for limit in limits)
    others = [f"{limit.id} ({limit.standing})" for limit in limits if limit.standing is not Standing.READ]
    told = f"Of {len(limits)} constants {read} were read in public texts"
    return f"{told}; not so: {', '.join(others)}. `coldpin sources` tells where each is from."

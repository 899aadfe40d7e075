"""How a test with residual currents is told: one sentence for each row, with what flowed and what was asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from coldpin.quantity import Quantity, format_figures, format_quantity, format_value
from coldpin.records.finding import Limit, Outcome
from coldpin.records.trip_test import ResidualKind, RowRole, TripOperation, TripRow
from coldpin.standards.wording import limit_value

NAMES = {
    ResidualKind.ALTERNATING: "alternating current",
    ResidualKind.PULSATING: "pulsating direct current",
    ResidualKind.SMOOTH: "smooth direct current",
}
"""Each form as a sentence names it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What one operation says of one row; ``measured`` is what its limit bounds, a time [s] or a current [mA]."""

    operation: TripOperation
    outcome: Outcome
    measured: Quantity
    limit: Limit
    probability: float | None = None
    why: str = ""


def tell_worst(
    row: TripRow, worst: Answer, at: Sequence[TripOperation], kind: ResidualKind, wanting: tuple[str, ...]
) -> str:
    """Tell the operation that decides on a row.

    Parameters
    ----------
    row : TripRow
        The row.
    worst : Answer
        What that operation says of it.
    at : sequence of TripOperation
        All operations at the row's current.
    kind : ResidualKind
        The form of residual current.
    wanting : tuple of str
        What is missing before "within" may be said.

    Returns
    -------
    str
        One sentence with its reasons behind it.
    """
    one = worst.operation
    flowed = (
        format_quantity(one.current_ma) if one.current_ma.u is not None else format_figures(one.current_ma.value, "mA")
    )
    way = f" ({one.way})" if one.way else ""
    never = False
    if row.role is RowRole.RISE:
        did = f"acted at {flowed}" if one.tripped else f"had not acted at {flowed}"
        said = f"While {NAMES[kind]}{way} rose at {rate_told(one)} it {did}"
    elif one.tripped:
        took = format_quantity(one.time_s) if one.time_s.u is not None else _plain(one.time_s.value)
        said = f"With {flowed} of {NAMES[kind]}{way} it acted after {took}"
    else:
        waited = f"it did not act within {_plain(one.time_s.value)}"
        if never := row.role is RowRole.TRIP and _never(one, at):
            waited = f"in {len(at)} of {len(at)} operations {waited}"
        said = f"With {flowed} of {NAMES[kind]}{way} {waited}"
    if one in at and len(at) > 1 and not never:
        said += f", {_among(row, one, at)}"
    placed = "undecided against" if worst.outcome is Outcome.UNDECIDED else worst.outcome.value
    because = "".join(f" {reason[:1].upper()}{reason[1:]}." for reason in (worst.why, *wanting) if reason)
    return f"{said}: {placed} {known_for(row, worst.limit)}.{because}"


def _never(one: TripOperation, at: Sequence[TripOperation]) -> bool:
    """Say whether it acted in none of several operations, each of which waited as long as the one that is told."""
    return (
        one in at and len(at) > 1 and all(not other.tripped and other.time_s.value >= one.time_s.value for other in at)
    )


def _among(row: TripRow, one: TripOperation, at: Sequence[TripOperation]) -> str:
    if row.role is RowRole.TRIP and not one.tripped:
        held = sum(not other.tripped for other in at)
        return f"as in {held} of {len(at)} operations"
    return f"the {'slowest' if row.role is RowRole.TRIP else 'worst'} of {len(at)}"


def known_for(row: TripRow, limit: Limit) -> str:
    """Return how the limit of a row is named in a sentence.

    Parameters
    ----------
    row : TripRow
        The row.
    limit : Limit
        Its limit, that of one operation where it follows the current.

    Returns
    -------
    str
        What is asked at which current, where it is from, and how well it is known.
    """
    told = f"{limit.source}, standing: {limit.standing}"
    if row.role is RowRole.HOLD:
        return f"what is asked as known (no action up to {format_value(row.current_ma, 'mA')}, {told})"
    if row.role is RowRole.RISE:
        return f"the limit as known ({limit_value(limit)}, {told})"
    at = "" if row.inverse else f" for {format_value(row.current_ma, 'mA')}"
    return f"the limit as known{at} ({_seconds(limit)}, {told})"


def asked_of(row: TripRow) -> str:
    """Tell what a row asks, without where it is from.

    Parameters
    ----------
    row : TripRow
        The row.

    Returns
    -------
    str
        Such as "acts within 0.3 s".
    """
    if row.role is RowRole.HOLD:
        return "does not act"
    if row.role is RowRole.RISE:
        return f"acts at {limit_value(row.limit)}"
    if row.limit.minimum is None:
        return f"acts within {_seconds(row.limit).removeprefix('at most ')}"
    return f"acts after {limit_value(row.limit)}"


def _seconds(limit: Limit) -> str:
    """Return a time limit in words; that of a curve to three figures."""
    if limit.maximum is None:
        return limit_value(limit)
    return limit_value(replace(limit, maximum=float(f"{limit.maximum:.3g}")))


def _plain(seconds: float) -> str:
    return format_value(float(f"{seconds:.3g}"), "s")


def rate_told(one: TripOperation) -> str:
    """Tell how fast a residual current rose.

    Parameters
    ----------
    one : TripOperation
        A rise.

    Returns
    -------
    str
        Rate, and for how long each step was held where it rose in steps.
    """
    assert one.rate_ma_s is not None, "only a rise has a rate"
    held = f", each step held for {format_value(one.dwell_s, 's')}" if one.dwell_s else ""
    return f"{format_value(one.rate_ma_s, 'mA/s')}{held}"

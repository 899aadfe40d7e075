"""The charges that were logged: what the car drew, when it changed, what followed what was done."""

from __future__ import annotations

import math
from collections.abc import Iterable

from coldpin.quantity.model import Quantity
from coldpin.quantity.printing import format_figures
from coldpin.records.charge import ChargeEvidence
from coldpin.records.session import (
    CounterComparison,
    LogGap,
    OfferComparison,
    SessionPhase,
    SessionReading,
    SupplyOutage,
)
from coldpin.report.document import (
    Align,
    Block,
    Break,
    Column,
    Definition,
    Definitions,
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
from coldpin.report.figures.session import session_timeline
from coldpin.report.index import Index
from coldpin.report.numbers import counted, found, measured, probability, reckoned
from coldpin.report.times import duration, elapsed_span, moment

_PLACED = {"within": "no more than", "beyond": "more than", "undecided": "undecided whether more than"}
_COUNTED = {"yes": "agrees with", "no": "disagrees with", "cannot tell": "cannot be held against"}


def charging(index: Index) -> tuple[Block, ...]:
    """Return the chapter on the charges that were logged.

    Parameters
    ----------
    index : Index
        The assessment with its look-ups.

    Returns
    -------
    tuple of Block
        Its blocks; none where no charge was logged.
    """
    if not index.charges:
        return ()
    blocks: list[Block] = [
        Heading(2, "Charging", index.anchors.fresh("charging")),
        Paragraph(
            (
                Text(
                    "What was drawn while a car charged, from the log of a meter. How a car behaves is seen on this "
                    "car; an unlocking leaves no trace in a log of power, so that it is told by who did it."
                ),
            )
        ),
    ]
    for charge in index.charges:
        blocks += _charge(index, charge)
    return tuple(blocks)


def _charge(index: Index, charge: ChargeEvidence) -> tuple[Block, ...]:
    reading = charge.reading
    anchor = index.anchors.place("charge", charge.entry) or index.anchors.fresh("charge-again")
    blocks: list[Block] = [
        Heading(3, f"Charge {charge.file or charge.entry}", anchor),
        session_timeline(reading, charge.trace, index.anchors, name=charge.file or charge.entry),
        _phases(reading.phases),
    ]
    why = _why_unsure(reading.phases)
    if why:
        blocks.append(Paragraph((Text(f"Without ±: {'; '.join(why)}."),), Role.QUIET))
    if reading.reactions:
        blocks.append(Listing(tuple((Text(reaction.statement),) for reaction in reading.reactions)))
    blocks.append(Definitions(tuple(_facts(index, charge))))
    remarks = tuple(dict.fromkeys((*reading.remarks, *charge.remarks)))
    if remarks:
        blocks.append(Listing(tuple((Text(remark),) for remark in remarks)))
    return tuple(blocks)


def _why_unsure(phases: tuple[SessionPhase, ...]) -> tuple[str, ...]:
    """Return why means that are there stand without an uncertainty, each reason once."""
    means = [mean for phase in phases for mean in (phase.current_a, phase.power_w, phase.power_factor)]
    unsure = [mean for mean in means if mean is not None and mean.u is None and not math.isnan(mean.value)]
    return tuple(dict.fromkeys(mean.why or "nobody stated it" for mean in unsure))


def _phases(phases: tuple[SessionPhase, ...]) -> Table:
    columns = (
        Column("Phase", 1.0),
        Column("When", 1.7),
        Column("Lasted", 0.9, Align.END),
        Column("Current", 1.4, Align.END),
        Column("Power", 1.6, Align.END),
        Column("Power factor", 1.2, Align.END),
    )
    rows = tuple(
        Row(
            (
                (Text(phase.kind.value, Face.STRONG),),
                (Text(elapsed_span(phase.start_s, phase.end_s)),),
                (Text(duration(phase.duration_s)),),
                (Text(_seen(phase.current_a)),),
                (Text(_seen(phase.power_w)),),
                (Text(_seen(phase.power_factor)),),
            )
        )
        for phase in phases
    )
    return Table("Phases of the charge: means over each, ± at 95 %; times from the first row", columns, rows)


def _seen(quantity: Quantity | None) -> str:
    """Return a mean, or a dash where there is none; without ± where it is not known, its bound where it has one."""
    if quantity is None or math.isnan(quantity.value):
        return "–"
    if quantity.u is None and (quantity.low is not None or quantity.high is not None):
        return found(quantity)
    return measured(quantity) if quantity.u else format_figures(quantity.value, quantity.unit)


def _facts(index: Index, charge: ChargeEvidence) -> Iterable[Definition]:
    reading, source = charge.reading, charge.reading.source
    if reading.recorded_wh is None:
        yield Definition("Energy", (Text(_seen(reading.energy_wh), Face.STRONG), *_cost(reading)))
    else:
        yield Definition("Energy recorded", (Text(_seen(reading.recorded_wh), Face.STRONG),))
        whole = (Text(_seen(reading.energy_wh)), *_cost(reading))
        yield Definition("With what may have gone by unrecorded", whole)
    if reading.counter is not None:
        yield Definition("The meter's counter", (Text(_counter(reading.counter)),))
    if reading.offer:
        yield Definition("Against the offer", _lines(_offered(one, reading) for one in reading.offer))
    if reading.outages:
        yield Definition("Supply lost", _lines(map(_outage, reading.outages)))
    elif source.voltage_logged:
        yield Definition("Supply lost", (Text("never while it was recorded"),))
    if reading.gaps:
        yield Definition("Not recorded", _lines(map(_gap, reading.gaps)))
    began = f", from {moment(source.began)} by the logger's clock" if source.began else ""
    rows = f"{counted(source.rows, 'row')}, usually every {duration(source.usual_interval_s)}{began}"
    yield Definition("Log", (Text(rows),))
    yield Definition("Evidence", (index.to_entry(charge.entry), Break(), Text(f"sha256 {charge.sha256}", Face.CODE)))
    if charge.conditions:
        conditions = "; ".join(f"{name}: {value}" for name, value in charge.conditions)
        yield Definition("Conditions", (Text(conditions),))
    if charge.dialect:
        read_as = " · ".join(f"{name} “{value}”" for name, value in charge.dialect)
        yield Definition("Read as", (Text(read_as),))


def _cost(reading: SessionReading) -> Line:
    return () if reading.cost is None else (Text(f", which cost {reckoned(reading.cost)}"),)


def _counter(counter: CounterComparison) -> str:
    return (
        f"{measured(counter.counter_wh)}, which {_COUNTED.get(counter.agrees, counter.agrees)} "
        f"{reckoned(counter.summed_wh)} summed from the rows (difference {reckoned(counter.difference_wh)})"
    )


def _offered(one: OfferComparison, reading: SessionReading) -> str:
    phase = reading.phases[one.phase]
    return (
        f"{phase.kind.value} from {elapsed_span(phase.start_s, phase.end_s)}: {_seen(one.current_a)}, "
        f"{_PLACED.get(one.outcome, one.outcome)} the {_seen(one.offer_a)} offered"
        + ("" if one.probability is None else f" (probability of no more: {probability(one.probability)})")
    )


def _outage(outage: SupplyOutage) -> str:
    lasted = duration(outage.end_s - outage.start_s)
    return f"{elapsed_span(outage.start_s, outage.end_s)}, {lasted}, shown by {outage.shown_by}"


def _gap(gap: LogGap) -> str:
    return f"{elapsed_span(gap.start_s, gap.end_s)}; energy in it {reckoned(gap.energy_wh)} ({gap.bounded_by})"


def _lines(texts: Iterable[str]) -> Line:
    return tuple(piece for text in texts for piece in (Text(text), Break()))[:-1]

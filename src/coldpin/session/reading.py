"""A log read whole: phases, energy, outages, gaps, what was offered, what followed what."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import takewhile

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import InputError
from coldpin.quantity import Component, Quantity, add_components, assemble, format_value
from coldpin.quantity.linear import components_of
from coldpin.records.log import Log, LogQuantity
from coldpin.records.session import (
    ClockOffset,
    EventMark,
    LogGap,
    PhaseKind,
    SessionPhase,
    SessionReading,
    SessionSource,
    SupplyOutage,
)
from coldpin.session.charge_log import LARGER, LOGGED, PRODUCT, SMALLER, ChargeLog, charge_log
from coldpin.session.clocks import Clocks, align_clocks, need_the_log
from coldpin.session.collector import collector_at_rest
from coldpin.session.energy import (
    SECONDS_PER_HOUR,
    Unrecorded,
    at_most_so_much,
    compare_counter,
    cost_of,
    counted_over_gap,
    gap_energy,
    summed_energy,
)
from coldpin.session.meter import UNSTATED, Meter, reading_of
from coldpin.session.offer import OFFER_MARKS, compare_with_offer, offers_over_time
from coldpin.session.phases import SHARE_OF_POWER, Course, Span, find_course, find_outages
from coldpin.session.reaction import reactions_to
from coldpin.session.row_means import RowMean, RowMeans, row_means

NOTHING = "nothing was recorded"
NO_POWER = "the log has no power, and no voltage is stated"
DRAWN = (PhaseKind.RAMP, PhaseKind.STEADY, PhaseKind.REDUCED, PhaseKind.VARYING)
CHANGING = (PhaseKind.RAMP, PhaseKind.VARYING)
FEW_GAPS = 20
"""Ours: more gaps than this stand in one line of a budget; so many rectangles together are as good as normal. [1]"""

LARGEST_CHARGE = 300e3
"""Ours: what was drawn without a pause is questioned from this on; the largest batteries of cars hold less. [Wh]"""

LONG_PAUSE = 3600.0
"""Ours: from so long a time without a draw on the reader is reminded that it may lie between two charges. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is known beside the log.

    ``voltage`` is the supply's, where it was not logged [V]; ``offer`` the current offered at the beginning [A];
    ``marks`` by whatever clocks, ``offsets`` what is known of these (a clock of which nothing is known is aligned by
    the first of its marks that the log shows too); ``price`` is for each kilowatt-hour, in ``currency``;
    ``gap_from_s`` the interval from which on it is a gap [s]; ``follow_s`` how long a car may take to follow an offer
    [s].
    """

    voltage: Quantity | None = None
    offer: Quantity | None = None
    marks: tuple[EventMark, ...] = ()
    offsets: tuple[ClockOffset, ...] = ()
    price: float | None = None
    currency: str = ""
    gap_from_s: float | None = None
    follow_s: float = 0.0
    meter: Meter = field(default_factory=Meter)


def read_session(log: Log, asked: Asked | None = None) -> SessionReading:
    """Read what a log of power or current shows of a charge.

    Parameters
    ----------
    log : Log
        With a column of power, of current, or both.
    asked : Asked, optional
        What is known beside it.

    Returns
    -------
    SessionReading
        Everything that can be said; where the meter's accuracy is not stated, values without uncertainty.

    Raises
    ------
    InputError
        The log has neither power nor current, or too few rows; or an offer, a gap or a voltage is stated that there
        cannot be. A clock that cannot be aligned refuses nothing: its marks are not placed.

    Examples
    --------
    >>> from coldpin.records.log import LogChannel
    >>> watts = LogChannel(name="P", quantity=LogQuantity.POWER, unit="W", values=np.full(3601, 3680.0))
    >>> told = read_session(Log(time_s=np.arange(3601.0), channels=(watts,)))
    >>> [(phase.kind.value, phase.end_s) for phase in told.phases], round(told.energy_wh.value, 6)
    ([('steady', 3600.0)], 3680.0)
    """
    with collector_at_rest():
        return _read(log, asked or Asked())


def _read(log: Log, known: Asked) -> SessionReading:
    _refuse_impossible(known)
    rows = charge_log(log, voltage=known.voltage)
    # what is implausible is told and decides nothing
    known = replace(known, meter=replace(known.meter, doubts=rows.doubts, summed=rows.summed))
    clocks = _clocks(rows, known)
    marks, placed = clocks.by_log(known.marks), clocks.surely(known.marks)
    course = find_course(rows, marks=placed, gap_from=known.gap_from_s)
    phases = _phases(rows, course, known.meter)
    outages = find_outages(course, placed)
    gaps, unrecorded = _gaps(rows, course, outages, known.meter)
    summed = summed_energy(rows, known.meter, unrecorded=unrecorded)
    energy = _with_gaps(summed, gaps)
    offers = offers_over_time(known.offer, marks, float(rows.time_s[-1]), follow_s=known.follow_s)
    return SessionReading(
        schema="coldpin.session/1",
        source=SessionSource(
            rows=int(rows.time_s.size),
            began=log.began,
            duration_s=float(rows.time_s[-1] - rows.time_s[0]),
            usual_interval_s=course.spacing.usual_s,
            gap_from_s=course.spacing.gap_from_s if math.isfinite(course.spacing.gap_from_s) else None,
            power_from=rows.power_from,
            current_from=rows.current_from,
            columns=rows.columns,
            clock_steps=tuple((float(log.time_s[step.row]), step.seconds) for step in log.clock_steps),
            voltage_logged=rows.voltage_v is not None,
        ),
        phases=phases,
        energy_wh=energy,
        outages=outages,
        gaps=gaps,
        recorded_wh=summed if gaps else None,
        counter=compare_counter(rows, known.meter, summed, unrecorded=unrecorded),
        offer=compare_with_offer(rows, phases, offers, known.meter, follow_s=known.follow_s),
        marks=marks,
        clocks=clocks.offsets,
        reactions=reactions_to(rows, phases, outages, marks, known.meter),
        cost=None if known.price is None else cost_of(energy, known.price, known.currency),
        remarks=(*rows.remarks, *clocks.remarks, *_remarks(rows, phases, gaps, marks)),
    )


def _refuse_impossible(known: Asked) -> None:
    """Refuse what can be said of no charge, before a row is read."""
    for offered in (known.offer, *(mark.offer_a for mark in known.marks)):
        if offered is not None and offered.value < 0.0:
            raise InputError(
                f"the offer is {format_value(offered.value, 'A')}: a unit offers nothing or more than that"
            )
    if known.gap_from_s is not None and not known.gap_from_s > 0.0:
        raise InputError(
            f"the gap is {format_value(known.gap_from_s, 's')}: say from which time without a row on it is one, such "
            "as '5 min'"
        )
    if known.voltage is not None and not known.voltage.value > 0.0:
        raise InputError(
            f"the voltage is {format_value(known.voltage.value, 'V')}: say that of the supply, such as '230 V ± 5 V'"
        )


def _clocks(rows: ChargeLog, known: Asked) -> Clocks:
    """Align the clocks of marks, by an offset as stated or an event that both saw."""
    if not need_the_log(known.marks, known.offsets):
        return Clocks(offsets=known.offsets)
    course = find_course(rows, gap_from=known.gap_from_s)
    phases = tuple(_bare_phase(span) for span in course.spans)
    return align_clocks(known.marks, known.offsets, phases, find_outages(course))


def _bare_phase(span: Span) -> SessionPhase:
    """Return a phase with its times alone, which is all that clocks are aligned by."""
    power, current = (Quantity(math.nan, None, unit, why="not asked") for unit in ("W", "A"))
    return _phase_of(span, power, current)


def _phase_of(span: Span, power: Quantity, current: Quantity, factor: Quantity | None = None) -> SessionPhase:
    return SessionPhase(
        kind=span.kind,
        start_s=span.start_s,
        end_s=span.end_s,
        start_bracket_s=span.start_bracket_s,
        end_bracket_s=span.end_bracket_s,
        rows=0 if span.is_gap else span.last - span.first + 1,
        power_w=power,
        current_a=current,
        power_factor=factor,
    )


class _RowsOfPhases:
    """What the rows of all phases come to, each column of a log gone through once and when first asked for."""

    def __init__(self, rows: ChargeLog, spans: Sequence[Span]) -> None:
        recorded = [place for place, span in enumerate(spans) if not span.is_gap]
        self._rows = rows
        self._order = {place: order for order, place in enumerate(recorded)}
        self._first = np.array([spans[place].first for place in recorded], np.intp)
        self._last = np.array([spans[place].last for place in recorded], np.intp)
        self._found: dict[LogQuantity, RowMeans] = {}

    def of(self, quantity: LogQuantity, place: int) -> RowMean:
        """Return what the rows of one phase come to in a column that the log has."""
        if quantity not in self._found:
            values = _column(self._rows, quantity)
            assert values is not None, "asked for where the log has it"
            self._found[quantity] = row_means(self._rows.time_s, values, self._first, self._last)
        return self._found[quantity].at(self._order[place])

    def rows_of(self, place: int) -> slice:
        """Return the rows of one phase."""
        order = self._order[place]
        return slice(int(self._first[order]), int(self._last[order]) + 1)


def _column(rows: ChargeLog, quantity: LogQuantity) -> NDArray[np.float64] | None:
    match quantity:
        case LogQuantity.POWER:
            return rows.power_w
        case LogQuantity.CURRENT:
            return rows.current_a
        case LogQuantity.VOLTAGE:
            return rows.voltage_v
        case _:
            return rows.power_factor


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """A phase that was recorded: ``level`` where its rows keep to a level."""

    rows: ChargeLog
    means: _RowsOfPhases
    meter: Meter
    place: int
    level: bool

    def reading(self, quantity: LogQuantity, *, level: bool = True) -> Quantity:
        """Return the mean of a column that was logged."""
        step = {
            LogQuantity.POWER: self.rows.power_step,
            LogQuantity.CURRENT: self.rows.current_step,
            LogQuantity.VOLTAGE: self.rows.voltage_step,
        }.get(quantity)
        label = f"phase {self.place + 1}, {quantity.value}"
        mean = self.means.of(quantity, self.place)
        return reading_of(mean, quantity, self.meter, step=step, label=label, level=level)

    def divided(self) -> tuple[float, bool]:
        """Return the least power factor by which a row's power was divided, 1 for none, and whether each row's was."""
        if self.rows.divisor is None:
            return 1.0, False
        found = self.rows.divisor[self.means.rows_of(self.place)]
        known = np.isfinite(found)
        return float(np.min(found[known], initial=1.0)), bool(np.all(known))

    def above_one_line(self) -> float:
        """Return by how much the largest of three lines at each row lies above the largest of their means. [A]

        Where lines carry alike their scatter makes the largest at each row larger than any of them.
        """
        if self.rows.line_a is None:
            return 0.0
        found = self.rows.line_a[:, self.means.rows_of(self.place)]
        return float(np.mean(np.max(found, axis=0)) - np.max(np.mean(found, axis=1)))

    def mean(self, quantity: LogQuantity) -> float:
        """Return the mean of a column over time, not a number where a row of it holds none."""
        return self.means.of(quantity, self.place).mean


def _phases(rows: ChargeLog, course: Course, meter: Meter) -> tuple[SessionPhase, ...]:
    means = _RowsOfPhases(rows, course.spans)
    return tuple(
        _gap_phase(span)
        if span.is_gap
        else _phase(span, _Place(rows=rows, means=means, meter=meter, place=place, level=span.kind not in CHANGING))
        for place, span in enumerate(course.spans)
    )


def _gap_phase(span: Span) -> SessionPhase:
    power, current = (Quantity(math.nan, None, unit, why=NOTHING) for unit in ("W", "A"))
    return _phase_of(span, power, current)


def _phase(span: Span, place: _Place) -> SessionPhase:
    power, current = _mean_power(place), _mean_current(place)
    factor = _power_factor(place, power, current) if place.level and span.kind in DRAWN else None
    return _phase_of(span, power, current, factor)


def _mean_power(place: _Place) -> Quantity:
    if place.rows.power_w is None:
        return Quantity(math.nan, None, "W", why=NO_POWER)
    if place.rows.power_from == LOGGED:
        return place.reading(LogQuantity.POWER, level=place.level)
    # power that was not logged is made of a current
    current = place.reading(LogQuantity.CURRENT, level=place.level)
    apparent = _combined(place.mean(LogQuantity.POWER), "W", current, _voltage(place))
    return at_most_so_much(apparent, SMALLER)


def _mean_current(place: _Place) -> Quantity:
    if place.rows.current_a is None:
        return Quantity(math.nan, None, "A", why="the log has no current, and no voltage is stated")
    if place.rows.current_from == LOGGED:
        return place.reading(LogQuantity.CURRENT, level=place.level)
    # a current that was not logged is made of a power
    power = place.reading(LogQuantity.POWER, level=place.level)
    amperes = place.mean(LogQuantity.CURRENT) - place.above_one_line()
    active = _combined(amperes, "A", power, _voltage(place))
    # without a voltage nothing is drawn, and no power factor makes something of it
    if active.value == 0.0:
        return active
    share, whole = place.divided()
    # no power factor is above 1: what is left of the current without it is the least
    least = None if active.low is None else share * active.low
    if not whole:
        return active if active.u is None else Quantity(active.value, None, "A", low=least, why=LARGER)
    current = _combined(active.value, "A", power, _voltage(place), place.reading(LogQuantity.POWER_FACTOR))
    return replace(current, low=least) if current.u is None and active.u is not None else current


def _voltage(place: _Place) -> Quantity:
    if place.rows.stated_voltage is not None:
        return place.rows.stated_voltage
    return place.reading(LogQuantity.VOLTAGE)


def _combined(value: float, unit: str, *factors: Quantity) -> Quantity:
    """Return a product or quotient at its value, with the relative uncertainties of its factors."""
    unknown = next((factor for factor in factors if factor.u is None), None)
    if unknown is not None:
        return Quantity(value, None, unit, why=unknown.why or UNSTATED)
    parts = [
        replace(part, contribution=part.contribution * abs(value / factor.value))
        for place, factor in enumerate(factors)
        if factor.value
        for part in components_of(factor, f"factor {place + 1}")
    ]
    return assemble(value, unit, parts)


def _power_factor(place: _Place, power: Quantity, current: Quantity) -> Quantity | None:
    """Return the power factor as logged, or active power over voltage times current where all three were logged.

    Where both can be had, the one whose uncertainty is known.
    """
    rows = place.rows
    logged = None
    if rows.power_factor is not None and math.isfinite(place.mean(LogQuantity.POWER_FACTOR)):
        logged = place.reading(LogQuantity.POWER_FACTOR)
        if logged.u is not None:
            return logged
    if rows.lines > 1 or rows.power_from != LOGGED or rows.current_from != LOGGED or rows.voltage_v is None:
        return logged
    if not math.isfinite(place.mean(LogQuantity.VOLTAGE)):
        return logged
    volts = place.reading(LogQuantity.VOLTAGE)
    apparent = current.value * volts.value
    if apparent <= 0.0 or (logged is not None and any(mean.u is None for mean in (power, current, volts))):
        return logged
    return _combined(power.value / apparent, "1", power, current, volts)


def _gaps(
    rows: ChargeLog, course: Course, outages: Sequence[SupplyOutage], meter: Meter
) -> tuple[tuple[LogGap, ...], tuple[Unrecorded, ...]]:
    """Bound the energy of each time without rows: by the meter's counter where it ran on, else by the most drawn."""
    holes = [span for span in course.spans if span.is_gap]
    by_time = sorted(outages, key=lambda outage: outage.start_s)
    ends = [outage.end_bracket_s[1] for outage in by_time]
    unrecorded = tuple(
        Unrecorded(first=span.first, lost_s=_surely_lost(span, by_time[bisect_left(ends, span.start_s) :]))
        for span in holes
    )
    power = rows.power_w
    most = 0.0 if power is None else float(np.max(power))
    by_most = f"nothing to {format_value(float(f'{most:.4g}'), 'W')}, the most in the log"
    found = []
    for span, hole in zip(holes, unrecorded, strict=True):
        energy, by = counted_over_gap(rows, meter, hole), "the meter's counter"
        if energy is None and power is None:
            energy, by = Quantity(math.nan, None, "Wh", why=NO_POWER), ""
        elif energy is None and power is not None:
            energy, by = gap_energy(rows.time_s, power, hole, most=most), by_most
        assert energy is not None, "one of the three is there"
        found.append(LogGap(start_s=span.start_s, end_s=span.end_s, energy_wh=energy, bounded_by=by))
    return tuple(found), unrecorded


def _surely_lost(span: Span, outages: Sequence[SupplyOutage]) -> float:
    """Return for how much of a gap the supply was lost whatever the brackets of the loss, in order, hold. [s]"""
    meanwhile = takewhile(lambda outage: outage.start_s < span.end_s, outages)
    return math.fsum(
        max(0.0, min(outage.end_bracket_s[0], span.end_s) - max(outage.start_bracket_s[1], span.start_s))
        for outage in meanwhile
    )


def _with_gaps(summed: Quantity, gaps: tuple[LogGap, ...]) -> Quantity:
    """Add what went by in the gaps to what was summed over rows."""
    if not gaps or math.isnan(summed.value):
        return summed
    total = summed.value + math.fsum(gap.energy_wh.value for gap in gaps)
    if summed.u is None:
        most = [summed.high, *(gap.energy_wh.high for gap in gaps)]
        known = [edge for edge in most if edge is not None]
        high = math.fsum(known) if len(known) == len(most) else None
        return Quantity(total, None, "Wh", high=high, why=summed.why)
    return add_components(replace(summed, value=total, low=None, high=None), _together(gaps))


def _together(gaps: tuple[LogGap, ...]) -> list[Component]:
    """Gather the components of many gaps: one for each that several share, one for all that belong to one gap only."""
    parts = [part for gap in gaps for part in gap.energy_wh.components]
    if len(gaps) <= FEW_GAPS:
        return parts
    by_id: dict[str, list[Component]] = {}
    for part in parts:
        by_id.setdefault(part.id, []).append(part)
    shared = [
        replace(same[0], contribution=math.fsum(part.contribution for part in same))
        for same in by_id.values()
        if len(same) > 1
    ]
    alone = math.hypot(*(same[0].contribution for same in by_id.values() if len(same) == 1))
    label = f"nothing recorded, {len(gaps)} times"
    return [*shared, Component(id=f"gaps: {len(gaps)}", label=label, contribution=alone)] if alone > 0.0 else shared


def _most_of_one_charge(phases: tuple[SessionPhase, ...]) -> float:
    """Return the most that was drawn without a pause. [Wh]"""
    most = so_far = 0.0
    for phase in phases:
        drawn = phase.power_w.value * phase.duration_s / SECONDS_PER_HOUR if phase.kind in DRAWN else math.nan
        so_far = 0.0 if math.isnan(drawn) else so_far + drawn
        most = max(most, so_far)
    return most


def _by_clock(mark: EventMark) -> str:
    return f" by the clock '{mark.clock}'" if mark.not_placed else ""


def _remarks(
    rows: ChargeLog, phases: tuple[SessionPhase, ...], gaps: tuple[LogGap, ...], marks: Sequence[EventMark]
) -> list[str]:
    said = [
        f"'{mark.kind.value}' at {mark.at_s.value:.6g} s{_by_clock(mark)} names no new current: what is drawn from "
        "then on is held against no offer"
        for mark in marks
        if mark.kind in OFFER_MARKS and mark.offer_a is None
    ]
    if gaps:
        long = format_value(math.fsum(gap.end_s - gap.start_s for gap in gaps), "s")
        often = "once" if len(gaps) == 1 else f"in all ({len(gaps)} times)"
        said.append(
            f"nothing was recorded for {long} {often}: the energy meanwhile is bounded, not known, and stands in the "
            "uncertainty"
        )
    if any(phase.kind is PhaseKind.PAUSED and phase.duration_s > LONG_PAUSE for phase in phases):
        said.append(
            "whether a long time without a draw is a pause of one charge or lies between two cannot be seen in such a "
            "log: only the last is called ended, or one in which 'plug pulled' is marked"
        )
    most = _most_of_one_charge(phases)
    if most > LARGEST_CHARGE:
        said.append(
            f"without a pause {format_value(float(f'{most:.3g}'), 'Wh')} were drawn: no car holds so much; is the "
            "column of time, or that of power, in another unit? Nothing was changed"
        )
    if rows.voltage_v is None:
        said.append(
            "no voltage was logged: a loss of the supply shows here only where a breaker was marked, for a gap in the "
            "log is none by itself"
        )
    if all(phase.kind not in DRAWN for phase in phases):
        said.append("nothing was drawn in this log: no charge is in it")
    if not rows.by_current:
        said.append(
            f"phases are found on the power alone, which follows the mains: changes by less than "
            f"{100.0 * SHARE_OF_POWER:.0f} % are not told apart"
        )
    if rows.by_current and rows.power_from == PRODUCT and rows.stated_voltage is not None:
        said.append("the voltage is as stated, the same at every row")
    return said

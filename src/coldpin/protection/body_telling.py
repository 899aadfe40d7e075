"""The current through a person at one voltage, told with every factor and curve that it rests on."""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass, replace

from coldpin.errors import OutsideRange
from coldpin.protection.body_current import body_impedance, curve_current, longest_below, touch_voltage, zone_place
from coldpin.quantity import format_value
from coldpin.records.body_current import AtHeartFactor, AtPercentile, BodyCurrent, CurveAt, Kind, Zone, ZoneLimits
from coldpin.records.finding import Limit, Standing
from coldpin.records.person import DEFAULT_PERCENTILE, Wetness
from coldpin.standards.body_current import (
    ZONES,
    BodyPath,
    ImpedanceTable,
    ZoneCurve,
    find_path,
    heart_factors,
    impedance_table,
    path_factor,
    superseded_table,
    zone_curves,
    zone_effect,
)
from coldpin.standards.book import Book
from coldpin.standards.table import needed

SKIN = {Wetness.DRY: "dry skin", Wetness.FRESH_WATER: "wet skin", Wetness.SALT_WATER: "skin wet with salt water"}
DRIER: Mapping[Wetness, tuple[Wetness, ...]] = {
    Wetness.DRY: (),
    Wetness.FRESH_WATER: (Wetness.DRY,),
    Wetness.SALT_WATER: (Wetness.FRESH_WATER, Wetness.DRY),
}
"""Ours: water never keeps current off. Carried on below 5 %, the table of salt water, whose columns lie close together,
would have more impedance than dry skin: then the drier table is taken."""
_WEAKEST = (Standing.JUDGEMENT, Standing.COMMON_PRACTICE, Standing.MEMORY, Standing.READ, Standing.STANDARD)


def body_current(
    book: Book,
    *,
    voltage: float,
    path: str = "hand-to-feet",
    percentile: float = DEFAULT_PERCENTILE,
    wetness: Wetness = Wetness.DRY,
    kind: Kind = Kind.AC,
    time: float | None = None,
    series: float = 0.0,
) -> BodyCurrent:
    """Return the current through a person and the zone it lies in when it is broken.

    Parameters
    ----------
    book : Book
        The constants.
    voltage : float
        That drives, r.m.s. or d.c. [V]
    path : str
        Way through the body, by its name.
    percentile : float
        Per cent of people who have no more impedance than is taken. [%]
    wetness : Wetness
        Of the skin.
    kind : Kind
        a.c. or d.c.
    time : float, optional
        After which it is shown to be broken; where left out nothing is, and the end of the curves is read. [s]
    series : float
        Resistance before the person. [Ω]

    Returns
    -------
    BodyCurrent
        With what else was published, and what the answer hangs on.

    Raises
    ------
    UnknownName
        There is no such path.
    OutsideRange
        A voltage, time, resistance or percentile is one that cannot be.
    InputError
        An own value of the case leaves a number out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = body_current(load_book(), voltage=230.0, percentile=50.0, time=0.3)
    >>> round(told.impedance_ohm), round(told.current_ma), told.zone.value
    (913, 252, 'AC-4.1')
    >>> body_current(load_book(), voltage=230.0, percentile=50.0).zone.value
    'AC-4.3'

    Sources
    -------
    ``body.*``.
    """
    if not voltage > 0.0 or math.isinf(voltage):
        raise OutsideRange(f"the voltage is {voltage:g} V: it must be above 0 V")
    if time is not None and not time > 0.0:
        raise OutsideRange(
            f"the current is broken after {time:g} s: give a time above 0 s, or none where none is shown"
        )
    way = find_path(path)
    table, curves = impedance_table(book, kind=kind, wetness=wetness), zone_curves(book, kind)
    limit, factors = path_factor(book, way), heart_factors(book, way)
    met = _Met(
        voltage=voltage,
        series=series,
        part=limit.nominal if limit.nominal is not None else needed(limit, "minimum"),
        tables=tuple(impedance_table(book, kind=kind, wetness=one) for one in (wetness, *DRIER[wetness])),
        kind=kind,
        curves=curves,
        read_at=max(curve.durations[-1] for curve in curves) if time is None else time,
        largest=max(needed(factor, "nominal") for factor in factors),
    )
    judged = met.by(percentile)
    read = tuple(_curve_at(curve, met.read_at, judged.reference_current_ma) for curve in curves)
    by_name = {one.name: one.current_ma for one in read}
    found = BodyCurrent(
        schema="coldpin.body_current/1",
        voltage_v=voltage,
        series_ohm=series,
        touch_voltage_v=judged.touch_voltage_v,
        kind=kind,
        path=way.name,
        wetness=wetness,
        percentile=percentile,
        time_s=time,
        read_at_s=met.read_at,
        path_factor=met.part,
        impedance_ohm=judged.impedance_ohm,
        current_ma=judged.current_ma,
        reference_current_ma=judged.reference_current_ma,
        zone=judged.zone,
        effect=zone_effect(book, judged.zone.value),
        limits_ma=ZoneLimits(**{name: by_name.get(name) for name in ("b", "c1", "c2", "c3")}),
        curves=read,
        by_percentile=tuple(met.by(one) for one in sorted({*table.percentiles, percentile})),
        by_heart_factor=tuple(met.at_heart(factor, judged.current_ma) for factor in factors),
        superseded_ohm=_superseded(book, met, judged) if kind is Kind.AC and wetness is Wetness.DRY else None,
        statements=(),
        limits=_limits(table, curves, judged.touch_voltage_v, met.read_at, (limit, *factors)),
    )
    return _told(found, way, table)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Met:
    """What drives a current through a person, and by what it is read.

    ``voltage`` drives [V] through ``series`` [Ω] and a path that has ``part`` of the impedance hand to hand [1], by the
    one of ``tables`` that lets most through; ``largest`` is the largest of its heart-current factors [1], ``read_at``
    where the curves are read. [s]
    """

    voltage: float
    series: float
    part: float
    tables: tuple[ImpedanceTable, ...]
    kind: Kind
    curves: tuple[ZoneCurve, ...]
    read_at: float
    largest: float

    def by(self, percentile: float) -> AtPercentile:
        """Return what one part of the population meets. [%]"""
        return max((self._by(percentile, table) for table in self.tables), key=lambda one: one.current_ma)

    def _by(self, percentile: float, table: ImpedanceTable) -> AtPercentile:
        touch = float(
            touch_voltage(voltage=self.voltage, series=self.series, part=self.part, percentile=percentile, table=table)
        )
        impedance = self.part * float(body_impedance(voltage=touch, percentile=percentile, table=table))
        current = 1e3 * touch / impedance
        return AtPercentile(
            percentile=percentile,
            touch_voltage_v=touch,
            impedance_ohm=impedance,
            current_ma=current,
            reference_current_ma=self.largest * current,
            zone=self._zone(self.largest * current),
        )

    def at_heart(self, factor: Limit, current: float) -> AtHeartFactor:
        """Return what a heart-current factor makes of a current. [mA]"""
        times = needed(factor, "nominal")
        return AtHeartFactor(
            factor=times, limit=factor, reference_current_ma=times * current, zone=self._zone(times * current)
        )

    def _zone(self, current: float) -> Zone:
        return Zone(ZONES[self.kind][int(zone_place(self.curves, current=current, duration=self.read_at))])


def _superseded(book: Book, met: _Met, judged: AtPercentile) -> float:
    """Return the impedance that an older edition has for the same person at the same touch voltage. [Ω]"""
    older = superseded_table(book)
    impedance = body_impedance(voltage=judged.touch_voltage_v, percentile=judged.percentile, table=older)
    return met.part * float(impedance)


def _near(points: tuple[float, ...], at: float) -> tuple[int, ...]:
    """Return the places of the points that a value is read between; one where it is met, or lies beyond the ends."""
    after = bisect_left(points, at)
    if after == len(points):
        return (after - 1,)
    if after == 0 or math.isclose(points[after], at):
        return (after,)
    return (after - 1, after)


def _curve_at(curve: ZoneCurve, duration: float, current: float) -> CurveAt:
    near = [curve.limits[place] for place in _near(curve.durations, duration)]
    longest = longest_below(curve, current)
    return CurveAt(
        name=curve.name,
        current_ma=float(curve_current(curve, duration)),
        standing=min((limit.standing for limit in near), key=_WEAKEST.index),
        points=tuple(limit.id for limit in near),
        longest_s=None if math.isinf(longest) else longest,
    )


def _limits(
    table: ImpedanceTable,
    curves: tuple[ZoneCurve, ...],
    voltage: float,
    duration: float,
    further: tuple[Limit, ...],
) -> tuple[Limit, ...]:
    rows = _near(table.voltages, voltage)
    cells = [column[place] for column in table.limits for place in rows]
    points = [curve.limits[place] for curve in curves for place in _near(curve.durations, duration)]
    return (*cells, *further, *points)


def _told(found: BodyCurrent, way: BodyPath, table: ImpedanceTable) -> BodyCurrent:
    return replace(found, statements=_statements(found, way), remarks=_remarks(found, table))


def _milliamps(value: float) -> str:
    return format_value(float(f"{value:.3g}"), "mA")


def _ohms(value: float) -> str:
    return format_value(float(f"{value:.3g}"), "Ω")


def _statements(found: BodyCurrent, way: BodyPath) -> tuple[str, ...]:
    kind = "a.c." if found.kind is Kind.AC else "d.c."
    behind = f" behind {_ohms(found.series_ohm)}" if found.series_ohm else ""
    first = (
        f"{found.voltage_v:g} V {kind}{behind} {way.told}, {SKIN[found.wetness]}: {found.percentile:g} % of people "
        f"have no more than {_ohms(found.impedance_ohm)}, and {_milliamps(found.current_ma)} flow."
    )
    largest = max(found.by_heart_factor, key=lambda one: one.factor)
    factor = largest.factor
    heart = (
        f"To the heart that is as {_milliamps(found.reference_current_ma)} from the left hand to the feet, "
        f"by {factor:g} ({largest.limit.title})."
    )
    others = [one for one in found.by_heart_factor if one.factor != factor]
    if others:
        heart = (
            heart.removesuffix(".")
            + "; "
            + "; ".join(
                f"by {one.factor:g} ({one.limit.title}) {_milliamps(one.reference_current_ma)}, zone {one.zone.value}"
                for one in others
            )
            + "."
        )
    when = (
        "Nothing is shown to break it"
        if found.time_s is None
        else f"Broken after {format_value(float(f'{found.time_s:.3g}'), 's')}"
    )
    zone = f"{when}: zone {found.zone.value}, {found.effect}."
    beside = [
        f"{one.percentile:g} % {_ohms(one.impedance_ohm)}, {_milliamps(one.current_ma)}, zone {one.zone.value}"
        for one in found.by_percentile
        if one.percentile != found.percentile
    ]
    return first, heart, zone, f"Beside it: {'; '.join(beside)}."


LARGE = "The impedance is that of a large contact; a smaller one lets less through."


def _remarks(found: BodyCurrent, table: ImpedanceTable) -> tuple[str, ...]:
    remarks = [LARGE]
    lowest, highest = table.voltages[0], table.voltages[-1]
    if found.touch_voltage_v < lowest:
        remarks.append(f"The table begins at {lowest:g} V: below, its first row is taken, and less flows than is told.")
    if found.touch_voltage_v > highest:
        remarks.append(f"The table ends at {highest:g} V: its last row is taken.")
    if not table.percentiles[0] <= found.percentile <= table.percentiles[-1]:
        remarks.append(
            "The percentile lies beyond the printed columns: it is carried on by our rule, and nobody printed it."
        )
    if found.kind is Kind.DC:
        remarks.append(
            "The curves of d.c. are for a current that rises through the body, feet positive, and are weakly known."
        )
        if found.path == "hand-to-hand":
            remarks.append(
                "By d.c. from hand to hand, fibrillation is held to be unlikely (memory); the curves are used anyway."
            )
        if found.wetness is not Wetness.DRY:
            remarks.append("No table of d.c. for wet skin is known to us: that of a.c. is taken, which is no higher.")
    if found.superseded_ohm is not None and not math.isclose(found.superseded_ohm, found.impedance_ohm, rel_tol=0.01):
        remarks.append(f"An older edition, still copied, has {_ohms(found.superseded_ohm)} here; it is not used.")
    weak = {
        one.name for one in found.curves if one.standing is not Standing.READ and one.standing is not Standing.STANDARD
    }
    if found.limits_ma.c2 is not None and found.limits_ma.c3 is not None and found.limits_ma.c3 < found.limits_ma.c2:
        remarks.append("Curve c3, which is only drawn, comes out below c2 here, which cannot be: c2 is what is known.")
    if found.zone in (Zone.AC_4_2, Zone.AC_4_3) and "c3" in weak:
        remarks.append(
            "Zones AC-4.2 and AC-4.3 are parted by a curve that is only drawn: which of both it is decides nothing."
        )
    return tuple(remarks)

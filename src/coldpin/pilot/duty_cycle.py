"""Duty cycle and current: what a supply unit says, and what a vehicle hears."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.quantity.linear import assemble, components_of
from coldpin.quantity.model import COVERAGE, SQRT3, Quantity, Shape
from coldpin.records.pilot import Meaning, OfferedCurrent
from coldpin.standards.pilot import DutySegment, DutyZone

QUANTILES = 2001
"""Ours: a duty cycle whose interval reaches into another zone is carried over in so many equally likely values."""


def duty_for_current(current: float, segments: Sequence[DutySegment]) -> float:
    r"""Return the duty cycle by which a supply unit offers a current.

    .. math:: D = m I + c

    Parameters
    ----------
    current : float
        The current I to be offered, per phase. [A]
    segments : sequence of DutySegment
        The lines of the table of the supply side.

    Returns
    -------
    float
        The duty cycle D. [%]

    Raises
    ------
    OutsideRange
        No duty cycle stands for this current.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.pilot import duty_segments
    >>> round(duty_for_current(16.0, duty_segments(load_book())), 2)
    26.67

    Sources
    -------
    IEC 61851-1:2010 Table A.5, IEC 61851-1:2017 Table A.7, as in ``duty_segments``.
    """
    for place, segment in enumerate(segments):
        duty = segment.duty(current)
        # where a later line starts at a duty cycle of an earlier one, a vehicle reads the earlier one
        taken = any(earlier.duty(earlier.low) <= duty <= earlier.duty(earlier.high) for earlier in segments[:place])
        if segment.low <= current <= segment.high and not taken:
            return duty
    known = ", ".join(f"{segment.low:g} A to {segment.high:g} A" for segment in segments)
    raise OutsideRange(
        f"no duty cycle stands for {current:g} A; the table of the supply side ({segments[0].limit.source}) has lines "
        f"for {known}, and a vehicle must not read one line as another: offer the next lower current, or none"
    )


def zone_of(duty: float, zones: Sequence[DutyZone]) -> DutyZone:
    """Return the zone of the vehicle's table a duty cycle lies in.

    Parameters
    ----------
    duty : float
        The duty cycle. [%]
    zones : sequence of DutyZone
        The table of the vehicle side.

    Returns
    -------
    DutyZone
        The zone.

    Raises
    ------
    OutsideRange
        The duty cycle is none, or lies in a gap of the table.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.editions import Edition
    >>> from coldpin.standards.pilot import duty_zones
    >>> zones = duty_zones(load_book(), Edition.IEC_3)
    >>> [zone_of(duty, zones).meaning.value for duty in (2.9, 3.0, 7.0, 8.0, 85.0)]
    ['forbidden', 'digital', 'digital', 'current', 'current']
    """
    for zone in zones:
        if zone.holds(duty):
            return zone
    raise OutsideRange(
        f"duty cycle is {duty:g} %; the zones of the vehicle's table cover {zones[0].low:g} % to {zones[-1].high:g} %"
    )


def offered_current(duty: Quantity, zones: Sequence[DutyZone]) -> OfferedCurrent:
    r"""Return the current a vehicle reads from a duty cycle, and what the duty cycle means to it.

    .. math:: I = a D + b

    The meaning is that of the zone the measured duty cycle lies in; outside the zones for currents the vehicle may
    draw 0 A. While the 95 % interval of the duty cycle stays in that zone the uncertainty is abs(a) times that of the
    duty cycle. Where it reaches over an edge, every duty cycle it may be is read by its own zone: the interval of the
    current is then that of these readings (it may hold 0 A), its uncertainty their root mean square distance from the
    value, and ``why`` gives the probability of each meaning.

    Parameters
    ----------
    duty : Quantity
        The duty cycle. [%]
    zones : sequence of DutyZone
        The table of the vehicle side.

    Returns
    -------
    OfferedCurrent
        The current [A] and its meaning.

    Raises
    ------
    OutsideRange
        The duty cycle is not between 0 % and 100 %.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.editions import Edition
    >>> from coldpin.standards.pilot import duty_zones
    >>> zones = duty_zones(load_book(), Edition.IEC_3)
    >>> offer = offered_current(Quantity(26.7, 0.1, "%"), zones)
    >>> round(offer.current.value, 2), round(offer.current.u, 2), offer.meaning.value
    (16.02, 0.06, 'current')
    >>> near = offered_current(Quantity(8.1, 0.1, "%"), zones)
    >>> near.meaning.value, near.current.low, near.current.why
    ('current', 0.0, 'the duty cycle may lie in another zone: current 84.2 %, forbidden 15.8 %')

    Sources
    -------
    IEC 61851-1:2010 Table A.6, IEC 61851-1:2017 Table A.8, SAE J1772, as in ``duty_zones``.
    """
    zone = zone_of(duty.value, zones)
    value, meaning = zone.current(duty.value), zone.meaning
    if duty.u is None or duty.low is None or duty.high is None:
        why = f"uncertainty of the duty cycle not known: {duty.why or 'not stated'}"
        return OfferedCurrent(current=Quantity(value, None, "A", why=why), meaning=meaning)
    if zone.holds(duty.low) and zone.holds(duty.high):
        return OfferedCurrent(current=_scaled(duty, zone.slope, value), meaning=meaning)
    return OfferedCurrent(current=_across_zones(duty, value, zones), meaning=meaning)


def _scaled(duty: Quantity, slope: float, value: float) -> Quantity:
    if slope == 0.0:
        return Quantity(value, 0.0, "A", why=duty.why)
    parts = [replace(part, contribution=slope * part.contribution) for part in components_of(duty, "duty cycle")]
    plain = assemble(value, "A", parts, why=duty.why)
    assert duty.low is not None
    assert duty.high is not None
    ends = sorted((value + slope * (duty.low - duty.value), value + slope * (duty.high - duty.value)))
    return replace(plain, dof=duty.dof, low=ends[0], high=ends[1])


def _across_zones(duty: Quantity, value: float, zones: Sequence[DutyZone]) -> Quantity:
    share: dict[Meaning, int] = defaultdict(int)
    currents = []
    likely = _likely_values(duty)
    done = 0
    while done < likely.size:
        zone = zone_of(float(likely[done]), zones)
        # they ascend: those of one zone stand together
        stop = int(np.searchsorted(likely, zone.high, "right" if zone.high_included else "left"))
        share[zone.meaning] += stop - done
        currents.append(zone.slope * likely[done:stop] + zone.offset)
        done = stop
    ordered = np.sort(np.concatenate(currents))
    low, high = np.quantile(ordered, [0.5 * (1.0 - COVERAGE), 0.5 * (1.0 + COVERAGE)])
    return Quantity(
        value,
        float(np.sqrt(np.mean((ordered - value) ** 2))),
        "A",
        low=float(min(low, value)),
        high=float(max(high, value)),
        quantiles=tuple(ordered.tolist()),
        why="; ".join(filter(None, (_meanings(share), duty.why))),
    )


def _likely_values(duty: Quantity) -> NDArray[np.float64]:
    from scipy import special

    assert duty.u is not None
    probability = (np.arange(QUANTILES) + 0.5) / QUANTILES
    values: NDArray[np.floating]
    if duty.quantiles:
        values = np.interp(probability, np.linspace(0.0, 1.0, len(duty.quantiles)), duty.quantiles)
    elif len(duty.components) == 1 and duty.components[0].shape is Shape.RECTANGULAR:
        values = duty.value + duty.u * SQRT3 * (2.0 * probability - 1.0)
    else:
        deviate = special.ndtri(probability) if math.isinf(duty.dof) else special.stdtrit(duty.dof, probability)
        values = duty.value + duty.u * deviate
    return np.asarray(np.clip(values, 0.0, 100.0), dtype=np.float64)


def _meanings(share: dict[Meaning, int]) -> str:
    if len(share) == 1:
        return "the duty cycle may lie on either side of an edge between two zones of one meaning"
    ordered = sorted(share.items(), key=lambda item: -item[1])
    parts = [f"{meaning.value} {100.0 * count / QUANTILES:.1f} %" for meaning, count in ordered]
    return f"the duty cycle may lie in another zone: {', '.join(parts)}"

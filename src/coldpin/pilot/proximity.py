"""The proximity contact: from its resistance to earth to the current a cable is coded for, or to the state of a latch.

A type 2 cable codes its current, and the ranges in which a coding must be recognised leave gaps. A resistance between
two ranges stands for the lower of the two currents; between the outermost ranges and the errors no text we know says
anything, and neither do we. An older set of edges without gaps is told beside as the other reading.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from coldpin.pilot.circuit import Number, parallel
from coldpin.quantity import Quantity, decide, format_quantity, format_value, propagate, rectangular
from coldpin.records.finding import Limit
from coldpin.records.proximity import OtherReading, ProximityMeaning, ProximityReading, ProximityZone
from coldpin.standards.book import Book
from coldpin.standards.connections import CodingBand, coding, coding_edges, proximity_circuit
from coldpin.standards.table import needed

TYPE_1, TYPE_2 = "type 1", "type 2"


def vehicle_voltage(*, resistance: Number, supply: Number, r4: Number, r5: Number) -> Number:
    r"""Return the voltage a vehicle sees at the proximity contact of a type 1 connector.

    .. math:: V = V_s \frac{R_5 \parallel R}{R_4 + R_5 \parallel R}

    Parameters
    ----------
    resistance : float or array of shape (n,)
        R, from the contact to earth in the connector; infinite without connector. [Ω]
    supply : float or array of shape (n,)
        Vs. [V]
    r4 : float or array of shape (n,)
        R4, to the supply. [Ω]
    r5 : float or array of shape (n,)
        R5, to earth. [Ω]

    Returns
    -------
    float or array of shape (n,)
        V. [V]

    Examples
    --------
    >>> circuit = {"supply": 5.0, "r4": 330.0, "r5": 2700.0}
    >>> [round(vehicle_voltage(resistance=one, **circuit), 2) for one in (float("inf"), 480.0, 150.0)]
    [4.46, 2.76, 1.51]

    Sources
    -------
    ``proximity.type-1.*``.
    """
    lower = parallel(r5, resistance)
    return supply * lower / (r4 + lower)


def voltage_at_vehicle(resistance: Quantity, book: Book) -> Quantity:
    """Return the voltage a vehicle sees at a type 1 connector, with the tolerance of the vehicle's own resistors.

    Parameters
    ----------
    resistance : Quantity
        From the contact to earth in the connector. [Ω]
    book : Book
        The constants.

    Returns
    -------
    Quantity
        The voltage; its uncertainty is not known where that of the resistance is not. [V]

    Raises
    ------
    InputError
        An own value of the case leaves a part without its nominal value.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> seen = voltage_at_vehicle(Quantity(150.0, 0.0, "Ω"), load_book())
    >>> round(seen.value, 2), round(seen.expanded, 2)
    (1.51, 0.1)
    """
    circuit = proximity_circuit(book)
    part = needed(circuit.tolerance, "maximum") / 100.0
    inputs: dict[str, Quantity | float] = {"resistance": resistance, "supply": needed(circuit.supply, "nominal")}
    for name, limit in (("r4", circuit.r4), ("r5", circuit.r5)):
        nominal = needed(limit, "nominal")
        inputs[name] = rectangular(nominal, part * nominal, "Ω", id=limit.id, label=limit.title)
    return propagate(vehicle_voltage, inputs, "V")


def proximity_zones(book: Book, connector: str, *, phases: int = 3) -> tuple[ProximityZone, ...]:
    """Return what every resistance of the proximity contact stands for.

    Parameters
    ----------
    book : Book
        The constants.
    connector : str
        "type 1" or "type 2".
    phases : int
        Phases of the cable; one of them may carry more than three by the same coding.

    Returns
    -------
    tuple of ProximityZone
        Zones in rising order that meet without gap; an end belongs to the zone below it, but for the ends at which an
        error or something undefined turns into a coding.

    Raises
    ------
    UnknownName
        There is no such connector.
    InputError
        An own value of the case leaves a range without an end.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(zone.up_to, zone.coded_current_a) for zone in proximity_zones(load_book(), "type 2")][1:6]
    [(80.0, None), (140.0, 63.0), (308.0, 32.0), (936.0, 20.0), (2460.0, 13.0)]

    Sources
    -------
    ``coding.*``, ``coding-error.*``.
    """
    bands = tuple(reversed(coding(book, connector)))
    if any(band.current is None for band in bands):
        return _latch_zones(bands)
    errors = coding_edges(book)
    first, last = bands[0], bands[-1]
    zones = [
        _zone(None, needed(errors.error_low, "maximum"), ProximityMeaning.ERROR, errors.error_low),
        _zone(needed(errors.error_low, "maximum"), needed(first.limit, "minimum"), ProximityMeaning.UNDEFINED),
    ]
    above = needed(first.limit, "minimum")
    for band in bands:
        up_to = needed(band.limit, "maximum")
        current = band.single_phase_current if phases == 1 and band.single_phase_current else band.current
        zones.append(_zone(above, up_to, ProximityMeaning.CURRENT, band.limit, band=band.limit, current=current))
        above = up_to
    high = needed(errors.error_high, "minimum")
    zones.append(_zone(needed(last.limit, "maximum"), high, ProximityMeaning.UNDEFINED))
    zones.append(_zone(high, None, ProximityMeaning.ERROR, errors.error_high))
    return tuple(zones)


def older_zones(book: Book, *, phases: int = 3) -> tuple[ProximityZone, ...]:
    """Return what a resistance of a type 2 cable stands for by the older edges, which leave no gap.

    Parameters
    ----------
    book : Book
        The constants.
    phases : int
        Phases of the cable.

    Returns
    -------
    tuple of ProximityZone
        Zones in rising order.

    Raises
    ------
    InputError
        An own value of the case leaves an edge out.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [(zone.up_to, zone.coded_current_a) for zone in older_zones(load_book())]
    [(75.0, None), (150.0, 63.0), (330.0, 32.0), (1000.0, 20.0), (2200.0, 13.0), (None, None)]

    Sources
    -------
    ``coding-edge.type-2.*``.
    """
    edges = coding_edges(book)
    outer = edges.older_outer
    ends = [needed(outer, "minimum"), *(needed(edge, "nominal") for edge in edges.older), needed(outer, "maximum")]
    marks = (outer, *edges.older, outer)
    coded = [zone for zone in proximity_zones(book, TYPE_2, phases=phases) if zone.band is not None]
    zones = [_zone(None, ends[0], ProximityMeaning.ERROR, outer)]
    for zone, (above, up_to), (low, high) in zip(coded, pairwise(ends), pairwise(marks), strict=True):
        zones.append(_zone(above, up_to, ProximityMeaning.CURRENT, low, high, current=zone.coded_current_a))
    return (*zones, _zone(ends[-1], None, ProximityMeaning.ERROR, outer))


def _zone(
    above: float | None,
    up_to: float | None,
    meaning: ProximityMeaning,
    *limits: Limit,
    band: Limit | None = None,
    current: float | None = None,
) -> ProximityZone:
    return ProximityZone(above=above, up_to=up_to, meaning=meaning, coded_current_a=current, band=band, limits=limits)


def _latch_zones(bands: Sequence[CodingBand]) -> tuple[ProximityZone, ...]:
    """Return the zones of a type 1 connector: its two bands, and what lies beside them, which nothing defines."""
    zones, above = [], None
    for band in bands:
        low, high = needed(band.limit, "minimum"), needed(band.limit, "maximum")
        zones.append(_zone(above, low, ProximityMeaning.UNDEFINED))
        zones.append(_zone(low, high, ProximityMeaning(band.latch), band.limit, band=band.limit))
        above = high
    return (*zones, _zone(above, None, ProximityMeaning.UNDEFINED))


def possible_zones(
    resistance: Quantity, zones: Sequence[ProximityZone], *, at_least: bool = False
) -> tuple[ProximityZone, ...]:
    """Return the zones that a resistance may lie in, likeliest first.

    Parameters
    ----------
    resistance : Quantity
        What was measured. [Ω]
    zones : sequence of ProximityZone
        All zones, in rising order and without gap.
    at_least : bool
        Whether the meter only says that it is this much or more.

    Returns
    -------
    tuple of ProximityZone
        Those that the rule of decision does not rule out, with their probability; where the uncertainty is not known
        the one that the value itself lies in, without probability.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> zones = proximity_zones(load_book(), "type 2")
    >>> [zone.coded_current_a for zone in possible_zones(Quantity(310.0, 2.0, "Ω"), zones)]
    [20.0, 32.0]
    """
    place = _own_zone(resistance.value, zones)
    own = zones[place]
    if at_least:
        return tuple(zones[place:])
    if resistance.u is None:
        return (own,)
    if resistance.u == 0.0:
        return (replace(own, probability=1.0),)
    found = []
    for zone in zones:
        decision = decide(resistance, minimum=zone.above, maximum=zone.up_to)
        if decision.outcome != "beyond":
            found.append(replace(zone, probability=decision.probability))
    # an interval over many narrow zones may leave none of them likely: then the one with the value speaks
    likely = found or [replace(own, probability=resistance.probability_within(own.above, own.up_to))]
    return tuple(sorted(likely, key=lambda zone: -(zone.probability or 0.0)))


def _own_zone(value: float, zones: Sequence[ProximityZone]) -> int:
    """Return the place of the zone a value lies in; each end belongs to one zone only."""
    for place, zone in enumerate(zones[:-1]):
        assert zone.up_to is not None, "only the last zone is open"
        # a range that must be recognised includes its end, and what is an error begins beyond it
        includes_end = zone.band is not None or zones[place + 1].meaning is ProximityMeaning.ERROR
        if value < zone.up_to or (value == zone.up_to and includes_end):
            return place
    return len(zones) - 1


def read_proximity(
    resistance: Quantity, book: Book, *, connector: str = TYPE_2, phases: int = 3, at_least: bool = False
) -> ProximityReading:
    """Read the resistance from a proximity contact to earth.

    Parameters
    ----------
    resistance : Quantity
        What was measured. [Ω]
    book : Book
        The constants.
    connector : str
        "type 1" or "type 2".
    phases : int
        Phases of the cable.
    at_least : bool
        Whether the meter was beyond its range and says only that it is this much or more.

    Returns
    -------
    ProximityReading
        Coded current or state of the latch, undecided with all that it may be where the resistance straddles an edge
        or its uncertainty is not known.

    Raises
    ------
    UnknownName
        There is no such connector.
    InputError
        An own value of the case leaves a range without an end.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> told = read_proximity(Quantity(223.0, 1.0, "Ω"), load_book())
    >>> told.coded_current_a, told.meaning.value, told.in_band
    (32.0, 'current', True)
    >>> read_proximity(Quantity(310.0, 2.0, "Ω"), load_book()).meaning.value
    'undecided'

    Sources
    -------
    As in :func:`proximity_zones` and :func:`older_zones`.
    """
    zones = possible_zones(resistance, proximity_zones(book, connector, phases=phases), at_least=at_least)
    meaning, current = _decided(resistance, zones, at_least)
    other = None
    if any(zone.coded_current_a is not None for zone in proximity_zones(book, connector)):
        older = possible_zones(resistance, older_zones(book, phases=phases), at_least=at_least)
        by_older = _decided(resistance, older, at_least)
        other = OtherReading(
            meaning=by_older[0], coded_current_a=by_older[1], zones=older, agrees=by_older == (meaning, current)
        )
    reading = ProximityReading(
        schema="coldpin.proximity/1",
        connector=connector,
        phases=phases,
        resistance=resistance,
        at_least=at_least,
        coded_current_a=current,
        meaning=meaning,
        in_band=_in_band(resistance, zones, meaning),
        statement="",
        zones=zones,
        other=other,
        vehicle_voltage_v=None if other or at_least else voltage_at_vehicle(resistance, book),
    )
    return replace(reading, statement=_statement(reading))


def _decided(
    resistance: Quantity, zones: Sequence[ProximityZone], at_least: bool
) -> tuple[ProximityMeaning, float | None]:
    (first, *rest) = zones
    sure = at_least or (first.probability is not None and _is_sure(resistance, first))
    if rest or not sure:
        return ProximityMeaning.UNDECIDED, None
    return first.meaning, first.coded_current_a


def _is_sure(resistance: Quantity, zone: ProximityZone) -> bool:
    if resistance.u == 0.0:
        return True
    return decide(resistance, minimum=zone.above, maximum=zone.up_to).outcome == "within"


def _in_band(resistance: Quantity, zones: Sequence[ProximityZone], meaning: ProximityMeaning) -> bool | None:
    band = zones[0].band
    if meaning is ProximityMeaning.UNDECIDED or band is None:
        return None
    outcome = decide(resistance, minimum=band.minimum, maximum=band.maximum).outcome
    return None if outcome == "undecided" else outcome == "within"


def told_as(zone: ProximityZone) -> str:
    """Return what a zone stands for, in words.

    Parameters
    ----------
    zone : ProximityZone
        The zone.

    Returns
    -------
    str
        Such as "32 A", "the latch button pressed", "an error".

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> [told_as(zone) for zone in proximity_zones(load_book(), "type 2")][:3]
    ['an error', 'nothing that a text we know defines', '63 A']
    """
    match zone.meaning:
        case ProximityMeaning.CURRENT:
            assert zone.coded_current_a is not None, "a zone that stands for a current has one"
            return format_value(zone.coded_current_a, "A")
        case ProximityMeaning.ERROR:
            return "an error"
        case ProximityMeaning.UNDEFINED:
            return "nothing that a text we know defines"
        case _:
            return f"the latch button {zone.meaning.value}"


def _statement(reading: ProximityReading) -> str:
    resistance, zones = reading.resistance, reading.zones
    if reading.at_least:
        subject = f"The resistance is at least {format_value(resistance.value, resistance.unit)}"
    else:
        subject = f"The resistance is {format_quantity(resistance)}"
    if reading.meaning is not ProximityMeaning.UNDECIDED:
        return f"{subject}: it stands for {told_as(zones[0])}{_beside(reading)}."
    if len(zones) == 1:
        return f"{subject}: undecided; taken as read it stands for {told_as(zones[0])}."
    return f"{subject}: undecided, it may stand for {' or '.join(told_as(zone) for zone in zones)}."


def _beside(reading: ProximityReading) -> str:
    if reading.meaning is not ProximityMeaning.CURRENT or reading.in_band:
        return ""
    if reading.in_band is None:
        return ", close to the end of its range"
    return ", the lower current of the two ranges it lies between"

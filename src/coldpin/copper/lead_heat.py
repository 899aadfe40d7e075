"""How warm a lead becomes at any current in any air, however it lies, and which of its limits is reached first.

It is asked of the same lead that the map of current and ambient was reckoned from, by the same formulas: the map shows
where the limits lie, this tells one place of it with its uncertainty. Temperatures are of the end, by the linear sum;
the current at which a limit is reached is told with everything at its warm end, in the middle and at its cool end.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from coldpin.copper.air_film import Arrangement
from coldpin.copper.current_map import accessory_line, limit_lines, place_of
from coldpin.copper.rated import scaled_rise
from coldpin.copper.steady import HOTTEST_SHEATH, HeatedCable, steady_state
from coldpin.errors import OutsideRange
from coldpin.quantity import Quantity, decide, format_figure, format_value, propagate, rectangular
from coldpin.records.current_map import AccessoryRise, HeatedPlace, LeadHeat, MappedLead, Place, StopLine
from coldpin.records.finding import Limit, Outcome
from coldpin.standards.table import needed

HOTTEST_ASKED = 100.0
"""Ours: no air around a lead is hotter than this, nor colder than its negative; a larger number is a slip. [°C]"""

MOST_TIMES = 3.0
"""Ours: how far above a current the limit of a plug is looked for; beyond, its test says nothing. [1]"""

LOOKED_AT = 601
"""Ours: currents looked at up to there, finer than a test is read."""

RANK = (Outcome.BEYOND, Outcome.UNDECIDED, Outcome.WITHIN)
"""Outcomes of places, the one that counts first."""


def lead_heat(lead: MappedLead, arrangement: Arrangement, *, current: float, ambient: float) -> LeadHeat:
    """Return how warm a lead becomes in the end, place by place, and which limit binds.

    Parameters
    ----------
    lead : MappedLead
        What is known of it.
    arrangement : Arrangement
        How it lies.
    current : float
        In each loaded core. [A]
    ambient : float
        The air. [°C]

    Returns
    -------
    LeadHeat
        Metal, sheath, and plug or coupler where one was heated.

    Raises
    ------
    OutsideRange
        The current is not above zero, or the air is one that no lead is used in.
    InputError
        An own value of the case leaves a limit without its number.

    Examples
    --------
    >>> from coldpin.copper.air_film import arrange
    >>> from coldpin.standards.book import load_book
    >>> from coldpin.standards.cable_heating import touch_temperature
    >>> from coldpin.standards.cable_ratings import insulation_temperature
    >>> book = load_book()
    >>> cord = MappedLead(
    ...     diameter_m=Quantity(0.0112, 1e-4, "m"), inner_km_per_w=Quantity(0.83, 0.08, "K·m/W"),
    ...     resistance_ohm_per_m=Quantity(0.00798, 3e-5, "Ω/m"), coefficient=0.00393, cores=2,
    ...     metal_limit=insulation_temperature(book, "pvc"), touch_limit=touch_temperature(book))
    >>> warm = lead_heat(cord, arrange(book), current=16.0, ambient=25.0)
    >>> [f"{one.place}: {one.temperature_c.value:.1f} °C, {one.outcome}" for one in warm.places]
    ['metal: 38.7 °C, within', 'sheath: 35.1 °C, within']
    >>> warm.binds.value
    'metal'

    Sources
    -------
    As in :func:`coldpin.copper.steady.steady_state` and :func:`coldpin.copper.rated.scaled_rise`.
    """
    if not current > 0.0:
        raise OutsideRange(f"the current is {format_value(current, 'A')}: it must be above zero")
    if not abs(ambient) <= HOTTEST_ASKED:
        raise OutsideRange(f"air of {format_value(ambient, '°C')}: is it in °C?")
    cable = HeatedCable(
        diameter=lead.diameter_m,
        inner=lead.inner_km_per_w,
        resistance=lead.resistance_ohm_per_m,
        coefficient=lead.coefficient,
        cores=lead.cores,
    )
    air = np.array([ambient])
    lines = limit_lines(cable, arrangement, air, metal_limit=lead.metal_limit, touch_limit=lead.touch_limit)
    try:
        state = steady_state(
            cable,
            current=Quantity(current, 0.0, "A"),
            ambient=Quantity(ambient, 0.0, "°C"),
            arrangement=arrangement,
        )
        reached: tuple[Quantity | None, ...] = (state.metal, state.sheath)
    except OutsideRange:
        reached = (None, None)
    places = [_place(line, found, ambient) for line, found in zip(lines, reached, strict=True)]
    places += [
        _accessory(one, lead.coefficient, current=current, ambient=ambient)
        for one in (lead.accessory, lead.body)
        if one is not None
    ]
    binds = min(places, key=_first).place
    return LeadHeat(
        current_a=current,
        ambient_c=ambient,
        arrangement=arrangement.name,
        places=tuple(places),
        binds=binds,
        outcome=worst(one.outcome for one in places),
        statement=_told(places, binds, arrangement.name, current=current, ambient=ambient),
    )


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """Return the outcome that counts of several places.

    Parameters
    ----------
    outcomes : iterable of Outcome
        At least one.

    Returns
    -------
    Outcome
        Beyond where one is, then undecided.

    Examples
    --------
    >>> worst([Outcome.WITHIN, Outcome.UNDECIDED]).value
    'undecided'
    """
    return min(outcomes, key=RANK.index)


def _first(place: HeatedPlace) -> float:
    return np.inf if place.low_a is None else place.low_a


def _place(line: StopLine, reached: Quantity | None, ambient: float) -> HeatedPlace:
    probability, outcome = _against(reached, line.limit)
    return HeatedPlace(
        place=line.place,
        limit=line.limit,
        temperature_c=reached,
        rise_k=None if reached is None else _moved(reached, -ambient, "K"),
        low_a=line.low[0],
        middle_a=line.middle[0],
        high_a=line.high[0],
        outcome=outcome,
        probability=probability,
    )


def _against(reached: Quantity | None, limit: Limit) -> tuple[float | None, Outcome]:
    if reached is None:
        return None, Outcome.BEYOND
    decision = decide(reached, maximum=needed(limit, "maximum"))
    return decision.probability, Outcome(decision.outcome)


def _accessory(accessory: AccessoryRise, coefficient: float, *, current: float, ambient: float) -> HeatedPlace:
    """Return plug or coupler: their limit is one of the rise, or of what a hand bears."""
    low, high = accessory.exponent
    currents = np.linspace(0.0, MOST_TIMES * max(current, accessory.current), LOOKED_AT)
    line = accessory_line(accessory, currents, np.array([ambient]), coefficient)
    given: dict[str, Quantity | float] = {
        "rise": Quantity(accessory.rise, accessory.rise_u, "K", why="" if accessory.rise_u is not None else UNSTATED),
        "current": accessory.current,
        "rated_current": current,
        "ambient": accessory.ambient,
        "max_ambient": ambient,
        "metal_above": 0.0,
        "exponent": rectangular(0.5 * (low + high), 0.5 * (high - low), "1", id="film.rise-exponent"),
        "coefficient": coefficient,
    }
    plain = {name: one.value if isinstance(one, Quantity) else one for name, one in given.items()}
    settles = all(np.isfinite(scaled_rise(**(plain | {"exponent": end}))) for end in (low, plain["exponent"], high))
    rise = propagate(scaled_rise, given, "K", monte_carlo=False) if settles else None
    place, warm = place_of(accessory), None if rise is None else _moved(rise, ambient, "°C")
    probability, outcome = _against(warm if place is Place.BODY else rise, accessory.limit)
    return HeatedPlace(
        place=place,
        limit=accessory.limit,
        temperature_c=warm,
        rise_k=rise,
        low_a=line.low[0],
        middle_a=line.middle[0],
        high_a=line.high[0],
        outcome=outcome,
        probability=probability,
    )


UNSTATED = "the accuracy of the thermometer in the test is not stated"
"""Why the temperature of a plug is told without its uncertainty."""


def _moved(quantity: Quantity, by: float, unit: str) -> Quantity:
    ends = (None if end is None else end + by for end in (quantity.low, quantity.high))
    low, high = ends
    return replace(quantity, value=quantity.value + by, unit=unit, low=low, high=high, quantiles=())


def _told(places: list[HeatedPlace], binds: Place, lies: str, *, current: float, ambient: float) -> str:
    endless = f"no end below {HOTTEST_SHEATH:g} °C"
    each = "; ".join(
        f"{PLACES[one.place]} {endless if one.temperature_c is None else format_figure(one.temperature_c)}"
        for one in places
    )
    first = next(one for one in places if one.place is binds)
    return f"At {format_value(current, 'A')} in air of {format_value(ambient, '°C')}, {lies}: {each}. {_bound(first)}"


PLACES = {
    Place.METAL: "metal",
    Place.SHEATH: "sheath",
    Place.ACCESSORY: "plug or coupler",
    Place.BODY: "body of plug or coupler",
}
"""How a place is called in a sentence."""


def _bound(first: HeatedPlace) -> str:
    limit = f"{format_value(needed(first.limit, 'maximum'), first.limit.unit)} of the {PLACES[first.place]}"
    above = " over the air" if first.place is Place.ACCESSORY else ""
    if first.middle_a is None or first.low_a is None:
        return f"Nearest is the {limit}{above}, which no current looked at brings."
    if first.middle_a <= 0.0:
        return f"The air alone brings the {limit}."
    high = "" if first.high_a is None else f" to {first.high_a:.1f} A"
    return f"What binds is the {limit}{above}: {first.middle_a:.1f} A bring it ({first.low_a:.1f} A{high})."

"""How a charge on a car is done at the bench: the car last, after everything else held on a vehicle simulator."""

from __future__ import annotations

from coldpin.checks.cautions import COMPETENT, EARTH_FIRST, NOT_ISOLATED, SUPPLY
from coldpin.checks.check import Level, Procedure
from coldpin.records.plan import Stage

CAR_LAST = (
    "The car is the last instrument: charge it only after the vehicle simulator showed the levels, the offer and the "
    "opening, and nothing recorded forbids power."
)
NOT_UNDER_LOAD = (
    "A coupler or plug that carries current is never pulled for a test: it draws an arc before the hand that pulls. "
    "Stop first, see no current, then release."
)
WATCHED = (
    "Never unattended: somebody beside the switch, plug and cable felt in the first minutes only at their insulation, "
    "and again after a quarter of an hour."
)
METER_CARRIES = (
    "A meter that stands between socket and unit carries the whole current for hours: one that is rated for that, or a "
    "clamp beside it."
)
CAUTIONS = (COMPETENT, SUPPLY, EARTH_FIRST, NOT_ISOLATED, CAR_LAST, NOT_UNDER_LOAD, METER_CARRIES, WATCHED)

HOLD_POINTS = (
    "Wiring map, earth resistance and insulation are recorded and nothing in them forbids power.",
    "On the vehicle simulator: levels and offer of the pilot, pins dead uncoupled, opening in time are recorded.",
    "The offered current is no more than plug, cable and circuit carry.",
)
BEFORE_A_CAR = ("live-pins.uncoupled", "pilot-levels.state-c", "offer-plug.value", "opening.time")
"""Findings that the second and the third of the hold points ask for."""

STOPS = ("Smell, noise, a plug hot to the hand, or a current above the offer: stop at the switch of the supply.",)

TRANSFERS = "Holds for this unit with this car; what another car does is not known from it."


def charging_bench(
    *steps: str,
    minutes: int,
    instrument: str = "",
    repeats: int = 1,
    hold_points: tuple[str, ...] = (),
    after: tuple[str, ...] = (),
) -> Procedure:
    """Return the procedure of a check that needs a charge on a car.

    Parameters
    ----------
    *steps : str
        What is done, in order.
    minutes : int
        How long it takes. [min]
    instrument : str
        With what; a power meter that logs where left out.
    repeats : int
        How often it is done.
    hold_points : tuple of str
        Further conditions for going on.
    after : tuple of str
        Ids of findings that these ask for.

    Returns
    -------
    Procedure
        With the cautions before the car, and the hold points on the vehicle simulator.
    """
    return Procedure(
        level=Level.LIVE,
        instrument=instrument or "power meter between socket and unit that logs current, voltage and power",
        minutes=minutes,
        cautions=CAUTIONS,
        steps=steps,
        hold_points=(*HOLD_POINTS, *hold_points),
        stop_values=STOPS,
        repeats=repeats,
        transfers=TRANSFERS,
        stage=Stage.CAR,
        after=(*BEFORE_A_CAR, *after),
    )

"""With what voltage and for how long insulation is tested, and what such a test does to a small gap."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coldpin.records.finding import Limit
from coldpin.records.required_distances import OvervoltageCategory
from coldpin.standards.book import Book
from coldpin.standards.insulation_coordination import (
    clearance_by_impulse,
    clearance_withstand,
    next_impulse,
    rated_impulse,
)
from coldpin.standards.table import needed
from coldpin.standards.voltage_drop import supply_voltage
from coldpin.standards.wording import number_text

POLLUTION_DEGREE = 2
"""Ours: the degree by whose clearance the trap of this test is told; the next one asks for no more at 230 V."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthTest:
    """A test of electric strength.

    ``alternating`` is r.m.s. and ``direct`` of the same peak, each the least that serves [V]; ``duration`` is at the
    full voltage [s]. ``gap_holds`` is the r.m.s. voltage that a clearance as large as it must be holds in the worst
    field, and ``trap`` says so where that is less than the test voltage, and nothing else. [V]
    """

    alternating: Limit
    direct: Limit
    duration: float
    gap_holds: float
    trap: str


def strength_test(book: Book, *, reinforced: bool, nominal: float | None = None) -> StrengthTest:
    """Return the test of basic or of reinforced insulation of a supply unit.

    Parameters
    ----------
    book : Book
        The constants.
    reinforced : bool
        Whether the insulation is reinforced, as from the mains to the pilot.
    nominal : float or None
        Voltage from line to neutral that the unit is for, r.m.s.; that of the supply when None. [V]

    Returns
    -------
    StrengthTest
        Voltages and duration.

    Raises
    ------
    InputError
        An own value of the case leaves a number out.
    OutsideRange
        The voltage is above the tables.

    Examples
    --------
    >>> from coldpin.standards.book import load_book
    >>> test = strength_test(load_book(), reinforced=True)
    >>> test.alternating.minimum, test.direct.minimum, test.duration
    (2860.0, 4044.7, 60.0)

    Sources
    -------
    ``temporary-overvoltage.*``, ``electric-strength.duration``, ``clearance-withstand.*``.
    """
    duration = book.limit("electric-strength.duration")
    above, twice = (book.limit(f"temporary-overvoltage.{name}") for name in ("short", "reinforced"))
    kind = "reinforced" if reinforced else "basic"
    volts = supply_voltage(book) if nominal is None else nominal
    value = volts + needed(above, "nominal")
    value *= needed(twice, "nominal") if reinforced else 1.0
    alternating = replace(
        duration,
        id=f"electric-strength.{kind}",
        title=f"test voltage of {kind} insulation, alternating, r.m.s.",
        unit="V",
        minimum=value,
    )
    holds, trap = _trap(book, volts, value, reinforced=reinforced)
    direct = replace(
        alternating,
        id=f"electric-strength.{kind}.direct",
        title=f"test voltage of {kind} insulation, direct",
        minimum=round(math.sqrt(2.0) * value, 1),
    )
    return StrengthTest(
        alternating=alternating,
        direct=direct,
        duration=needed(duration, "minimum"),
        gap_holds=holds,
        trap=trap,
    )


def _trap(book: Book, nominal: float, volts: float, *, reinforced: bool) -> tuple[float, str]:
    impulse = rated_impulse(book, nominal, OvervoltageCategory.II)
    if reinforced:
        impulse = next_impulse(book, needed(impulse, "nominal")) or impulse
    gap = needed(clearance_by_impulse(book, needed(impulse, "nominal"), POLLUTION_DEGREE), "minimum")
    held = clearance_withstand(book, gap)
    if held is None or held.value >= volts:
        return volts, ""
    told = (
        f"A clearance of {gap:g} mm, as it must be in a unit that is plugged in, is only good for "
        f"{number_text(held.value, 'V')} r.m.s. in the worst field: a flash-over above that may be of a gap that is as "
        "it should be."
    )
    return held.value, told

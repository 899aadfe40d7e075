"""A neutral that nobody read: taken to be like the line, with what it may differ by."""

from __future__ import annotations

from coldpin.copper.fault_withstand import NEUTRAL
from coldpin.quantity import Quantity, propagate, rectangular
from coldpin.records.fault import Core

LIKE_THE_LINE = 0.05
"""Ours: cores of one cable that are drawn to one size differ by no more, either way. [1]"""

THIN_NEUTRAL = 1.0
"""Ours: the most that is allowed for a neutral that was not read: twice the line's resistance, half its size. [1]"""

UNREAD_NEUTRAL = "The neutral was not read: it is taken to be like the line, within {percent:g} %."

THINNER = "what a neutral has that is thinner than the line"
"""What is not counted where the neutral was not read."""


def like(read: Quantity, which: str) -> Quantity:
    """Return a conductor that was not read, taken to be like one of the same lead that was.

    Parameters
    ----------
    read : Quantity
        The one that was read. [Ω or Ω/m]
    which : str
        The one that was not, as a budget names it.

    Returns
    -------
    Quantity
        As much, with what cores of one cable may differ by.

    Examples
    --------
    >>> told = like(Quantity(0.04, 0.0, "Ω"), "neutral")
    >>> told.value, round(told.u, 5)
    (0.04, 0.00115)
    """
    label = f"{which} taken to be like another"
    factor = rectangular(1.0, LIKE_THE_LINE, "1", id=f"{which}: like another", label=label)
    return propagate(_times, {"line": read, "like": factor}, read.unit, monte_carlo=False)


def _times(*, line: float, like: float) -> float:
    return line * like


def neutral_like(line: Core) -> Core:
    """Return a neutral that nobody read, taken to be like the line.

    Parameters
    ----------
    line : Core
        The line conductor, its resistance known.

    Returns
    -------
    Core
        As much, with what cores of one cable may differ by; the most that is allowed for a thinner one is not counted.

    Examples
    --------
    >>> line = Core(
    ...     conductor="line", area=Quantity(1.3, 0.0, "mm²"), area_from="x", resistance_20=Quantity(0.06, 0.0, "Ω")
    ... )
    >>> told = neutral_like(line)
    >>> told.resistance_20.value, round(told.allowed_20, 3), told.not_counted
    (0.06, 0.06, ('what a neutral has that is thinner than the line',))
    """
    assert line.resistance_20 is not None, "asked only where the line was read"
    return Core(
        conductor=NEUTRAL,
        area=line.area,
        area_from=line.area_from,
        resistance_20=like(line.resistance_20, NEUTRAL),
        metal=line.metal,
        not_counted=(*line.not_counted, THINNER),
        allowed_20=line.allowed_20 + THIN_NEUTRAL * line.resistance_20.value,
    )

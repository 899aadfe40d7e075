"""Readings that say only on which side the value lies: ``> 500 MΩ`` of a meter at the end of its range."""

from __future__ import annotations

from dataclasses import dataclass

from coldpin.quantity.model import Quantity


@dataclass(frozen=True, slots=True)
class AtLeast:
    """The value is ``edge`` or more; ``edge`` carries the uncertainty of the instrument there, where it is known.

    Examples
    --------
    >>> AtLeast(Quantity(500e6, None, "Ω", why="as written")).edge.value
    500000000.0
    """

    edge: Quantity


@dataclass(frozen=True, slots=True)
class AtMost:
    """The value is ``edge`` or less; ``edge`` carries the uncertainty of the instrument there, where it is known.

    Examples
    --------
    >>> AtMost(Quantity(0.05, None, "mA", why="as written")).edge.unit
    'mA'
    """

    edge: Quantity

"""The virtual relay: contacts that follow their coil late, bounce, stick or weld."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal

Weld = Literal["none", "both poles", "one pole"]
"""Which contacts stay closed for ever once they have closed."""

SHORTEST_BOUNCE = 5.0e-5
"""Contacts part for no less than this while they bounce; shorter partings are one touch. [s]"""

LONGEST_BOUNCE = 1.0e-3
"""No parting while bouncing lasts longer: the contact springs back within a millisecond. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Movement:
    """One movement of the contacts.

    ``delay`` is from the coil's change to the first touch or the last parting [s]. ``partings`` are the times after
    the first touch between which the contacts are apart again, in order [s].
    """

    delay: float
    partings: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Relay:
    """A two-pole relay or contactor.

    ``operate`` and ``release`` are its times from coil to contact, ``spread`` the half-width by which each movement
    differs from them. ``bounce`` is how long it bounces on closing [s]. Every ``sticks_every``-th opening (0: none) is
    late by ``sticks_for`` [s]. ``weld`` says which contacts stay closed once they have closed ``welds_after`` times.
    ``stray`` is the part of the supply that shows between the pins while only one pole is closed, through what the
    cable couples [1].
    """

    operate: float = nominal.RELAY_OPERATE
    release: float = nominal.RELAY_RELEASE
    spread: float = 0.0
    bounce: float = 0.0
    sticks_every: int = 0
    sticks_for: float = 0.0
    weld: Weld = "none"
    welds_after: int = 1
    stray: float = nominal.STRAY_PART

    def __post_init__(self) -> None:
        for name in ("operate", "release", "spread", "bounce", "sticks_every", "sticks_for", "welds_after", "stray"):
            if not getattr(self, name) >= 0.0:
                raise OutsideRange(f"virtual relay: {name} is {getattr(self, name):g}; it cannot be negative")
        if self.spread > min(self.operate, self.release):
            raise OutsideRange(
                f"virtual relay: a spread of {self.spread:g} s is more than its fastest movement takes; "
                "no contact moves before its coil"
            )

    def close(self, rng: np.random.Generator) -> Movement:
        """Return how the contacts close once the coil is driven.

        Parameters
        ----------
        rng : numpy.random.Generator
            Where spread and bounces come from.

        Returns
        -------
        Movement
            Delay, and the partings while it bounces.

        Examples
        --------
        >>> Relay(operate=0.012).close(np.random.default_rng(1)).delay
        0.012
        """
        return Movement(delay=self.operate + self._scatter(rng), partings=self._partings(rng))

    def open(self, rng: np.random.Generator, *, closed_before: int) -> Movement:
        """Return how the contacts part once the coil lets go.

        Parameters
        ----------
        rng : numpy.random.Generator
            Where the spread comes from.
        closed_before : int
            How often the relay has closed until now. [1]

        Returns
        -------
        Movement
            Delay; whether the contacts then part at all says :meth:`part_left`.

        Examples
        --------
        >>> worn = Relay(release=0.008, sticks_every=3, sticks_for=0.3)
        >>> [round(worn.open(np.random.default_rng(1), closed_before=n).delay, 3) for n in (1, 2, 3)]
        [0.008, 0.008, 0.308]
        """
        late = self.sticks_for if self.sticks_every and closed_before % self.sticks_every == 0 else 0.0
        return Movement(delay=self.release + self._scatter(rng) + late)

    def part_left(self, closed_before: int) -> float:
        """Return the part of the supply that stays at the pins when the relay has opened.

        Parameters
        ----------
        closed_before : int
            How often the relay has closed until now. [1]

        Returns
        -------
        float
            0 for a sound relay, 1 where both poles have welded, ``stray`` where one has. [1]

        Examples
        --------
        >>> worn = Relay(weld="both poles", welds_after=2)
        >>> worn.part_left(1), worn.part_left(2)
        (0.0, 1.0)
        """
        if self.weld == "none" or closed_before < self.welds_after:
            return 0.0
        return 1.0 if self.weld == "both poles" else self.stray

    def _scatter(self, rng: np.random.Generator) -> float:
        return float(rng.uniform(-self.spread, self.spread)) if self.spread else 0.0

    def _partings(self, rng: np.random.Generator) -> tuple[tuple[float, float], ...]:
        """Draw touches and partings until the bouncing is over; it ends with a touch."""
        partings: list[tuple[float, float]] = []
        now = float(rng.uniform(0.1, 0.3)) * self.bounce
        while now + SHORTEST_BOUNCE < self.bounce:
            # Each hop is lower than the one before, so that they become shorter towards the end.
            left = self.bounce - now
            apart = min(float(rng.uniform(SHORTEST_BOUNCE, LONGEST_BOUNCE)), left)
            partings.append((now, now + apart))
            now += apart + float(rng.uniform(SHORTEST_BOUNCE, LONGEST_BOUNCE))
        return tuple(partings)

"""A virtual residual-current safeguard: what it sees of a current, how soon it acts, and faults it may have.

It gathers what flows above its threshold and acts when that has filled a measure, so that one rule makes its times at
any current and its answer to a rise. Its contacts follow.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Literal

import numpy as np

from coldpin.errors import OutsideRange, UnknownName

Form = Literal["alternating", "pulsating", "smooth"]
Way = Literal["0°", "180°", "positive", "negative"]

_SECOND_WAYS = ("180°", "negative")


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualSafeguard:
    """A residual-current safeguard.

    ``alternating``, ``pulsating`` and ``smooth`` are the currents above which it fills its measure, for either way in
    which the current begins: phase 0° or 180°, positive or negative; infinite where it is deaf [mA]. ``inertia`` is how
    long it takes at twice such a current, ``smooth_inertia`` that with smooth current, ``fastest`` the least it ever
    takes [s]. ``release`` is from its order to open contacts, ``spread`` the half-width by which that differs [s].
    """

    alternating: tuple[float, float] = (22.0, 22.0)
    pulsating: tuple[float, float] = (20.0, 20.0)
    smooth: tuple[float, float] = (4.5, 4.7)
    inertia: float = 0.012
    smooth_inertia: float = 0.35
    fastest: float = 0.006
    release: float = 0.008
    spread: float = 0.0015

    def __post_init__(self) -> None:
        for name in ("inertia", "smooth_inertia", "fastest", "release", "spread"):
            if not getattr(self, name) >= 0.0:
                raise OutsideRange(f"virtual safeguard: {name} is {getattr(self, name):g} s; it cannot be negative")

    def threshold(self, form: Form, way: Way) -> float:
        """Return above which current it begins to gather.

        Parameters
        ----------
        form : str
            "alternating", "pulsating" or "smooth".
        way : str
            How the current begins.

        Returns
        -------
        float
            Infinite where it is deaf. [mA]
        """
        both: tuple[float, float] = getattr(self, form)
        return both[way in _SECOND_WAYS]

    def order_after(self, current: float, form: Form, way: Way) -> float:
        """Return after which time it orders the contacts to open, at a steady current.

        Parameters
        ----------
        current : float
            What flows. [mA]
        form : str
            Its form.
        way : str
            How it begins.

        Returns
        -------
        float
            Infinite where it never does. [s]

        Examples
        --------
        >>> guard = VirtualSafeguard()
        >>> round(guard.order_after(44.0, "alternating", "0°"), 3), guard.order_after(15.0, "alternating", "0°")
        (0.018, inf)
        """
        least = self.threshold(form, way)
        if not current > least:
            return math.inf
        slack = self.smooth_inertia if form == "smooth" else self.inertia
        return self.fastest + slack * least / (current - least)


def trip_time(guard: VirtualSafeguard, current: float, form: Form, way: Way, *, rng: np.random.Generator) -> float:
    """Return after which time the contacts are open, at a current that is put on at once.

    Parameters
    ----------
    guard : VirtualSafeguard
        The safeguard.
    current : float
        What flows. [mA]
    form : str
        Its form.
    way : str
        How it begins.
    rng : numpy.random.Generator
        Where the scatter of the contacts comes from.

    Returns
    -------
    float
        Infinite where it does not act. [s]

    Examples
    --------
    >>> 0.02 < trip_time(VirtualSafeguard(), 44.0, "alternating", "0°", rng=np.random.default_rng(1)) < 0.03
    True
    """
    return guard.order_after(current, form, way) + guard.release + float(rng.uniform(-guard.spread, guard.spread))


def trip_current(
    guard: VirtualSafeguard,
    form: Form,
    way: Way,
    *,
    start: float,
    stop: float,
    rate: float,
    dwell: float = 0.0,
    rng: np.random.Generator,
) -> float:
    """Return what flows when the contacts part while a current rises.

    Parameters
    ----------
    guard : VirtualSafeguard
        The safeguard.
    form : str
        The current's form.
    way : str
        Its way.
    start, stop : float
        Where it begins, and where it ends. [mA]
    rate : float
        How fast it rises; of steps, the mean. [mA/s]
    dwell : float
        How long each step is held; 0 for a rise without steps. [s]
    rng : numpy.random.Generator
        Where the scatter of the contacts comes from.

    Returns
    -------
    float
        Infinite where it does not act up to the end. [mA]

    Examples
    --------
    >>> slow = trip_current(
    ...     VirtualSafeguard(), "smooth", "positive", start=2.0, stop=12.0, rate=0.1, rng=np.random.default_rng(1)
    ... )
    >>> 4.5 < slow < 6.0
    True
    """
    lasts = (stop - start) / rate
    times = np.linspace(0.0, lasts, _STEPS)
    held = np.floor(times / dwell) * dwell if dwell else times
    current = start + rate * held
    least = guard.threshold(form, way)
    if math.isinf(least):
        return math.inf
    over = np.maximum(current - least, 0.0)
    slack = guard.smooth_inertia if form == "smooth" else guard.inertia
    pace = np.divide(1.0, guard.fastest + slack * least / np.maximum(over, _NEVER), where=over > 0.0, out=0.0 * over)
    filled = np.cumsum(pace) * (times[1] - times[0])
    ordered = np.flatnonzero(filled >= 1.0)
    if not ordered.size:
        return math.inf
    opened = times[ordered[0]] + guard.release + float(rng.uniform(-guard.spread, guard.spread))
    return float(np.interp(opened, times, current)) if opened <= lasts else math.inf


_STEPS = 20_000
"""A rise is followed in so many steps."""

_NEVER = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class SafeguardFault:
    """A fault of a safeguard: what it is, which form of current it is deaf or wrong to, and what it changes."""

    name: str
    meaning: str
    change: Callable[[VirtualSafeguard], VirtualSafeguard]


_DEAF = (math.inf, math.inf)


def _times(part: float) -> Callable[[VirtualSafeguard], VirtualSafeguard]:
    def change(guard: VirtualSafeguard) -> VirtualSafeguard:
        first, second = guard.alternating
        return replace(guard, alternating=(part * first, part * second))

    return change


_FAULTS = (
    SafeguardFault(
        name="residual current dead",
        meaning="nothing is done about any residual current",
        change=lambda guard: replace(guard, alternating=_DEAF, pulsating=_DEAF, smooth=_DEAF),
    ),
    SafeguardFault(
        name="residual current late",
        meaning="it acts on every residual current, a third of a second late",
        change=lambda guard: replace(guard, fastest=guard.fastest + 0.33),
    ),
    SafeguardFault(
        name="residual current alternating only",
        meaning="it sees alternating residual current and no other",
        change=lambda guard: replace(guard, pulsating=_DEAF, smooth=_DEAF),
    ),
    SafeguardFault(
        name="residual current of one polarity",
        meaning="half waves and smooth direct current of the other polarity are not seen",
        change=lambda guard: replace(
            guard, pulsating=(guard.pulsating[0], math.inf), smooth=(guard.smooth[0], math.inf)
        ),
    ),
    SafeguardFault(
        name="smooth residual current not seen",
        meaning="it sees alternating and pulsating residual current, and no smooth one",
        change=lambda guard: replace(guard, smooth=_DEAF),
    ),
    SafeguardFault(
        name="residual threshold too high",
        meaning="it acts from some 55 mA of alternating current on, in place of 30 mA",
        change=_times(2.5),
    ),
    SafeguardFault(
        name="residual current trips at half",
        meaning="it acts at less than half the rated residual current already",
        change=_times(0.55),
    ),
)

SAFEGUARD_FAULTS: Mapping[str, SafeguardFault] = MappingProxyType({fault.name: fault for fault in _FAULTS})
"""Every fault of a safeguard by its name."""


def safeguard_fault(name: str) -> SafeguardFault:
    """Return a fault of a safeguard by its name.

    Parameters
    ----------
    name : str
        A key of :data:`SAFEGUARD_FAULTS`.

    Returns
    -------
    SafeguardFault
        The fault.

    Raises
    ------
    UnknownName
        There is no such fault; the message lists them.

    Examples
    --------
    >>> safeguard_fault("smooth residual current not seen").change(VirtualSafeguard()).smooth
    (inf, inf)
    """
    if name not in SAFEGUARD_FAULTS:
        raise UnknownName.among("fault of a safeguard", name, SAFEGUARD_FAULTS)
    return SAFEGUARD_FAULTS[name]


def draw_safeguard(rng: np.random.Generator) -> VirtualSafeguard:
    """Return a sound safeguard of 30 mA, type A, with 6 mA of smooth direct current, as an honest maker might make it.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where tolerances come from.

    Returns
    -------
    VirtualSafeguard
        Thresholds, times and contacts within what such a device is made to.

    Examples
    --------
    >>> 18.0 < draw_safeguard(np.random.default_rng(3)).alternating[0] < 25.0
    True
    """
    alternating, pulsating, smooth = rng.uniform(18.5, 24.0), rng.uniform(17.0, 23.0), rng.uniform(3.9, 5.2)
    lopsided = rng.uniform(0.96, 1.04, 2)
    return VirtualSafeguard(
        alternating=(float(alternating), float(alternating)),
        pulsating=(float(pulsating), float(pulsating * lopsided[0])),
        smooth=(float(smooth), float(smooth * lopsided[1])),
        inertia=float(rng.uniform(0.006, 0.016)),
        smooth_inertia=float(rng.uniform(0.1, 0.5)),
        fastest=float(rng.uniform(0.004, 0.010)),
        release=float(rng.uniform(0.005, 0.012)),
    )

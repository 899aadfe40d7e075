"""What Brackwater Boatyard does with residual currents: its tester, its current source, and what its specimens do."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import cast

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.bench import set_up_bench
from coldpin.simulator.brackwater import LOGGER, SENSOR
from coldpin.simulator.brackwater_specimens import VirtualSpecimen
from coldpin.simulator.residual import Form, VirtualSafeguard, Way, trip_current, trip_time
from coldpin.simulator.residual_capture import ResidualCapture, Shot, simulate_residual

_DEAF = (math.inf, math.inf)

SAFEGUARDS: Mapping[str, VirtualSafeguard] = MappingProxyType(
    {
        "Skerrow 16": VirtualSafeguard(
            alternating=(21.6, 21.6),
            pulsating=(20.4, 20.9),
            smooth=(4.4, 4.6),
            inertia=0.009,
            smooth_inertia=0.4,
            fastest=0.005,
            release=0.007,
        ),
        "Dunmarr 32": VirtualSafeguard(
            alternating=(23.1, 23.1),
            pulsating=(22.0, 22.3),
            smooth=_DEAF,
            inertia=0.006,
            fastest=0.004,
            release=0.016,
            spread=0.003,
        ),
    }
)
"""By the name of the unit: one that is sound, and one whose sensor is a plain ring that no smooth current moves."""

_TRIP, _RISE = "trip time with ", "trip current with rising "
_FORMS = ("alternating", "pulsating", "smooth")
RESIDUAL_WORDS = tuple(f"{start}{form} residual current" for start in (_TRIP, _RISE) for form in _FORMS)
"""What is read here, in the words that entries use."""

WATCHED: Mapping[str, float] = MappingProxyType({"alternating": 2.0, "pulsating": 2.0, "smooth": 12.0})
"""How long a current is left on that does not trip: as long as the tester does, or by the clock. [s]"""

TOP = 33.0
"""Where a rise ends. [mA]"""

_BENCH_SEED = 1605


def safeguard_of(specimen: VirtualSpecimen) -> VirtualSafeguard:
    """Return what a specimen does about residual currents.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    VirtualSafeguard
        Its safeguard.

    Raises
    ------
    UnknownName
        It has none, so that nobody puts such a current on.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import DUNMARR_32
    >>> safeguard_of(DUNMARR_32).smooth
    (inf, inf)
    """
    if specimen.unit.name not in SAFEGUARDS:
        raise UnknownName.among("specimen with a safeguard", specimen.unit.name, SAFEGUARDS)
    return SAFEGUARDS[specimen.unit.name]


def read_residual_test(
    specimen: VirtualSpecimen, word: str, conditions: Mapping[str, str], *, repeats: int = 1
) -> tuple[str, ...]:
    """Put a residual current on several times and read what tester, source or clock show.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        One of ``RESIDUAL_WORDS``.
    conditions : mapping of str to str
        "current" with its limits, or "rate"; "start" or "polarity".
    repeats : int
        How many times. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        Nobody reads that here, or the specimen has no safeguard.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> stated = {"current": "14.25 mA ± 0.75 mA", "start": "0°"}
    >>> read_residual_test(SKERROW_16, "trip time with alternating residual current", stated)
    ('> 2 s',)
    """
    if word not in RESIDUAL_WORDS:
        raise UnknownName.among("thing the boatyard does with residual currents", word, RESIDUAL_WORDS)
    guard = safeguard_of(specimen)
    form = cast("Form", next(one for one in _FORMS if one in word))
    way = cast("Way", conditions.get("start") or conditions["polarity"])
    rng = np.random.default_rng([specimen.seed, *word.encode(), *way.encode(), *conditions.get("current", "").encode()])
    if word.startswith(_RISE):
        rate = float(conditions["rate"].split()[0])
        start = 2.0 if form == "smooth" else 0.3 * TOP
        found = [trip_current(guard, form, way, start=start, stop=TOP, rate=rate, rng=rng) for _ in range(repeats)]
        digits = 2 if form == "smooth" else 1
        return tuple(f"> {TOP:.0f} mA" if math.isinf(one) else f"{one * (1.0 + _off()):.{digits}f} mA" for one in found)
    middle, half = (float(part.split()[0]) for part in conditions["current"].split("±"))
    # a tester's current is off by the same part each time
    current = middle + half * float(np.random.default_rng(_BENCH_SEED).uniform(-0.8, 0.8))
    shown = []
    for _ in range(repeats):
        took = trip_time(guard, current, form, way, rng=rng)
        if took > WATCHED[form]:
            shown.append(f"> {WATCHED[form]:g} s")
        elif form == "smooth":
            shown.append(f"{took:.4f} s")
        else:
            shown.append(f"{1000.0 * took * (1.0 + _off()) + float(rng.uniform(-1.0, 1.0)):.0f} ms")
    return tuple(shown)


def _off() -> float:
    """Return by which part tester and source are off. [1]"""
    return float(np.random.default_rng(_BENCH_SEED + 1).uniform(-0.004, 0.004))


SHOTS = tuple(
    Shot(current=current, form="alternating", way=way, lasts=0.4)
    for current in (30.9, 61.7, 154.6)
    for way in cast("tuple[Way, ...]", ("0°", "180°", "0°", "180°", "0°", "180°"))
)
"""From the box, thrown by its phase switch: once, twice, five times the rated current, three times each way."""

CLAMP = 50.0
"""What the boatyard's clamp gives. [Ω]"""

INTERVAL = 1.0e-4
"""Time between samples. [s]"""


def capture_residual_test(specimen: VirtualSpecimen) -> ResidualCapture:
    """Put the currents of the box on, one after the other, and capture current and output with the logger.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    ResidualCapture
        Waveform and truth.

    Raises
    ------
    UnknownName
        The specimen has no safeguard.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> taken = capture_residual_test(SKERROW_16)
    >>> all(shot.opened is not None for shot in taken.shots)
    True
    """
    logger = replace(LOGGER, output_full_scale=1000.0)
    return simulate_residual(
        safeguard_of(specimen),
        SHOTS,
        set_up_bench(logger, seed=_BENCH_SEED, sensor=SENSOR),
        seed=np.random.default_rng([specimen.seed, _BENCH_SEED]),
        sensor=CLAMP,
        sample_interval=INTERVAL,
        leak=0.25,
    )

"""The part of a trial that is about residual currents: a tester's currents, a source's, and a slow rise."""

from __future__ import annotations

from typing import Protocol, cast

import numpy as np

from coldpin.records.entry import Entry, EntryKind
from coldpin.records.instrument import Instrument
from coldpin.records.residual_words import DIRECTIONS, PHASES, TRIP_CURRENT, TRIP_TIME
from coldpin.records.trip_test import ResidualKind
from coldpin.simulator.residual import VirtualSafeguard, Way, trip_current, trip_time

RESIDUAL_INSTRUMENTS = {
    "residual tester": Instrument(
        name="residual tester", kind="residual-current tester", statements={"time": "1 % + 1 digit, resolution 1 ms"}
    ),
    "current source": Instrument(
        name="current source", kind="current source", statements={"residual current": "0.5 %, resolution 0.01 mA"}
    ),
}
"""As the virtual instruments err."""

CURRENTS = {
    ResidualKind.ALTERNATING: ((14.25, 0.75), (31.5, 1.5), (63.0, 3.0), (157.5, 7.5), (260.0, 10.0)),
    ResidualKind.PULSATING: ((44.1, 2.1), (88.2, 4.2), (220.5, 10.5)),
    ResidualKind.SMOOTH: ((2.9, 0.1), (6.3, 0.2), (63.0, 2.0), (210.0, 6.0)),
}
"""What is put on, and by how much it may be off. [mA]"""

WATCHED = {ResidualKind.ALTERNATING: 2.0, ResidualKind.PULSATING: 2.0, ResidualKind.SMOOTH: 12.0}
"""How long a current stays on that does not trip. [s]"""

REPEATS = 3
RATE, START, STOP = 0.1, 2.0, 12.0
"""The slow rise of smooth current. [mA/s], [mA]"""


class Notebook(Protocol):
    """Where a trial is written down."""

    def record(self, shows: str, *, kind: EntryKind = EntryKind.READING, **more: object) -> Entry:
        """Write an entry down."""


def record_residual(book: Notebook, guard: VirtualSafeguard, rng: np.random.Generator) -> None:
    """Write down what a careful tester sees of a unit's answer to residual currents.

    Parameters
    ----------
    book : Notebook
        Where it is written.
    guard : VirtualSafeguard
        What the unit does about them.
    rng : numpy.random.Generator
        Where the errors of the bench come from.
    """
    for kind, currents in CURRENTS.items():
        ways = PHASES if kind is ResidualKind.ALTERNATING else DIRECTIONS
        for middle, half in currents:
            current = middle + half * rng.uniform(-1.0, 1.0)
            for way in ways:
                times = tuple(_time(guard, current, kind, way, rng) for _ in range(REPEATS))
                stated = {"current": f"{middle:g} mA \u00b1 {half:g} mA", "supply": "mains"}
                stated["start" if kind is ResidualKind.ALTERNATING else "polarity"] = way
                book.record(TRIP_TIME[kind], readings=times, instrument="residual tester", conditions=stated)
    for way in DIRECTIONS:
        risen = tuple(_rise(guard, way, rng) for _ in range(REPEATS))
        stated = {"rate": f"{RATE:g} mA/s", "polarity": way, "supply": "mains"}
        book.record(TRIP_CURRENT[ResidualKind.SMOOTH], readings=risen, instrument="current source", conditions=stated)


def _time(guard: VirtualSafeguard, current: float, kind: ResidualKind, way: str, rng: np.random.Generator) -> str:
    took = trip_time(guard, current, kind.value, cast("Way", way), rng=rng)
    if took > WATCHED[kind]:
        return f"> {WATCHED[kind]:g} s"
    return f"{max(0.0, took * (1.0 + rng.uniform(-0.008, 0.008))) * 1000.0:.0f} ms"


def _rise(guard: VirtualSafeguard, way: str, rng: np.random.Generator) -> str:
    at = trip_current(guard, "smooth", cast("Way", way), start=START, stop=STOP, rate=RATE, rng=rng)
    return f"> {STOP:g} mA" if at > STOP else f"{at * (1.0 + rng.uniform(-0.004, 0.004)):.2f} mA"

"""What Brackwater Boatyard reads of its own sockets, and of a lead from outside with a calliper."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.brackwater_specimens import VirtualSpecimen
from coldpin.simulator.meter import MeterRange, VirtualMeter

_BENCH_SEED = 1504


@dataclass(frozen=True, slots=True, kw_only=True)
class YardSocket:
    """A place at which leads are fed: its loop of line and earth [Ω], and what the breaker before it says. [A]"""

    loop: float
    breaker: float


SOCKETS: Mapping[str, YardSocket] = MappingProxyType(
    {
        "workshop bench": YardSocket(loop=0.46, breaker=16.0),
        "test board in the shed": YardSocket(loop=0.27, breaker=32.0),
    }
)
"""The places of the yard, by the words of its entries."""

LOOP_TESTER = VirtualMeter(
    name="loop tester", percent=5.0, digits=3, ranges=(MeterRange(top=9.99, digit=0.01, unit="Ω"),)
)
CALLIPER = VirtualMeter(
    name="calliper", percent=0.0, digits=3, ranges=(MeterRange(top=0.15, digit=1.0e-5, unit="mm", factor=1.0e-3),)
)
METERS = (LOOP_TESTER, CALLIPER)
"""Its instruments for these."""

_OVAL = 0.006
"""A cable is out of round by this part of its diameter, or less. [1]"""

LOOP, DEVICE, DIAMETER = "loop impedance of the supply", "protective device before the socket", "cable diameter"

YARD_WORDS = (LOOP, DEVICE, DIAMETER)
"""What is read here, in the words that entries use."""


def read_yard(
    specimen: VirtualSpecimen, word: str, conditions: Mapping[str, str], *, repeats: int = 1
) -> tuple[str, ...]:
    """Read a socket of the yard, or a lead across its sheath.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        One of ``YARD_WORDS``.
    conditions : mapping of str to str
        What the entry states; of loop and device "where".
    repeats : int
        How many readings. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        There is no such thing or socket at the yard.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> read_yard(SKERROW_16, "cable diameter", {})[0].endswith(" mm")
    True
    """
    rng = np.random.default_rng([specimen.seed, *word.encode()])
    if word == DIAMETER:
        truth = 2.0 * specimen.lead.cable.radius
        round_about = 1.0 + _OVAL * rng.uniform(-1.0, 1.0, repeats)
        return tuple(_shown(CALLIPER, truth * float(one), rng) for one in round_about)
    if word not in YARD_WORDS:
        raise UnknownName.among("thing the boatyard reads there", word, YARD_WORDS)
    named = conditions.get("where", "")
    if named not in SOCKETS:
        raise UnknownName.among("socket of the boatyard", named, SOCKETS)
    socket = SOCKETS[named]
    if word == DEVICE:
        return (f"{socket.breaker:g} A",) * repeats
    return tuple(_shown(LOOP_TESTER, socket.loop, rng) for _ in range(repeats))


def _shown(meter: VirtualMeter, truth: float, rng: np.random.Generator) -> str:
    part = float(np.random.default_rng([_BENCH_SEED, *meter.name.encode()]).uniform(-1.0, 1.0))
    return meter.show(truth, part=part, scattered=float(rng.uniform(-1.0, 1.0)))

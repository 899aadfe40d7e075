"""What Brackwater Boatyard reads of the copper: conductors, joints, wires, and how the leads warm."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.brackwater_specimens import VirtualSpecimen
from coldpin.simulator.conductor import VirtualConductor
from coldpin.simulator.conductor_bench import ConductorBench, set_up_conductor_bench
from coldpin.simulator.heating import (
    HeatingRun,
    LoggedSensor,
    SensorLimits,
    SimulatedHeating,
    draw_sensors,
    log_heating,
)
from coldpin.simulator.logger import VirtualLogger

_BENCH_SEED = 1503

SUNDAY = 12.0
"""The workshop on the second day. [°C]"""


def copper_bench() -> ConductorBench:
    """Return the boatyard's instruments for conductors; they are off by the same amounts each time.

    Returns
    -------
    ConductorBench
        Meter, tape, scale, micrometer, thermometer.

    Examples
    --------
    >>> copper_bench() == copper_bench()
    True
    """
    return set_up_conductor_bench(_BENCH_SEED)


def read_conductor(
    specimen: VirtualSpecimen, word: str, conditions: Mapping[str, str], *, repeats: int = 1
) -> tuple[str, ...]:
    """Read something of one conductor of a specimen.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        What is read, in the words that entries use.
    conditions : mapping of str to str
        What the entry states: conductor, taps, length.
    repeats : int
        How many readings. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        Nobody reads that of a conductor there.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> stated = {"conductor": "PE", "taps": "pins", "length": "5.00 m"}
    >>> (shown,) = read_conductor(SKERROW_16, "conductor resistance four-wire", stated)
    >>> 36.0 < float(shown.removesuffix(" mΩ")) < 38.0
    True
    """
    if word not in _READ:
        raise UnknownName.among("thing the boatyard reads of a conductor", word, _READ)
    named = conditions["conductor"]
    rng = np.random.default_rng([specimen.seed, *word.encode(), *named.encode(), *conditions.get("taps", "").encode()])
    return _READ[word](_Core(specimen=specimen, conductor=named, conditions=conditions, rng=rng), repeats)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Core:
    """One conductor on the bench, and how it is tapped or cut."""

    specimen: VirtualSpecimen
    conductor: str
    conditions: Mapping[str, str]
    rng: np.random.Generator

    @property
    def wires(self) -> VirtualConductor:
        lead = self.specimen.lead
        return lead.earth if self.conductor == "PE" else lead.conductor

    @property
    def length(self) -> float:
        """As it was said; what was said is near enough the truth. [m]"""
        figures, unit = self.conditions["length"].split()[:2]
        return float(figures) * {"m": 1.0, "mm": 1e-3}[unit]


def _four_wire(core: _Core, repeats: int) -> tuple[str, ...]:
    taps = core.conditions.get("taps", "inside")
    length = core.length if "length" in core.conditions else None
    path = core.specimen.lead.path(core.conductor, length=length)
    return copper_bench().four_wire(path, rng=core.rng, room=SUNDAY, repeats=repeats, taps=taps).shown


def _mass(core: _Core, repeats: int) -> tuple[str, ...]:
    shown = [copper_bench().mass(core.wires, rng=core.rng, length=core.length) for _ in range(repeats)]
    return tuple(one.shown[0] for one in shown)


def _strands(core: _Core, repeats: int) -> tuple[str, ...]:
    return (f"{core.wires.strands}",) * repeats


def _diameter(core: _Core, repeats: int) -> tuple[str, ...]:
    return copper_bench().strand(core.wires, rng=core.rng, repeats=repeats).shown


_READ: Mapping[str, Callable[[_Core, int], tuple[str, ...]]] = MappingProxyType(
    {
        "conductor resistance four-wire": _four_wire,
        "stripped core mass": _mass,
        "strand count": _strands,
        "strand diameter": _diameter,
    }
)

CONDUCTOR_WORDS = tuple(_READ)
"""What the boatyard reads of conductors, in the words that entries use."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatingAct:
    """A heating test at the boatyard: what happens, what is logged, how often. [s]"""

    run: HeatingRun
    sensors: Sequence[LoggedSensor]
    logger: VirtualLogger


def _sensors(length: float, *more: LoggedSensor) -> tuple[LoggedSensor, ...]:
    """Return the thermocouples and the clamp of the boatyard's logger."""
    return (
        LoggedSensor(name="ambient", at="ambient", lag=60.0),
        LoggedSensor(name="sheath", at="sheath", place=0.5 * length),
        LoggedSensor(name="connector", at="connector"),
        *more,
        LoggedSensor(name="current", at="current", noise=0.02, step=0.01, lag=0.0),
    )


_LIMITS = SensorLimits(offset=0.4, gain=0.002, lifted=0.02)

HEATINGS: Mapping[str, HeatingAct] = MappingProxyType(
    {
        "Skerrow 16": HeatingAct(
            run=HeatingRun(currents=((2700.0, 16.0),), ambient=SUNDAY, drift=0.4, draughts=3.0, draught=0.3),
            sensors=_sensors(5.0),
            logger=VirtualLogger(interval=30.0, jitter=2.0, dropout=0.01),
        ),
        "Skerrow 16, plug": HeatingAct(
            run=HeatingRun(currents=((3600.0, 16.0),), ambient=SUNDAY, drift=0.3, draughts=2.0, draught=0.2),
            sensors=(
                LoggedSensor(name="ambient", at="ambient", lag=60.0),
                LoggedSensor(name="plug", at="plug"),
                LoggedSensor(name="current", at="current", noise=0.02, step=0.01, lag=0.0),
            ),
            logger=VirtualLogger(interval=30.0, jitter=2.0, dropout=0.01),
        ),
        "Pellwick 20": HeatingAct(
            run=HeatingRun(currents=((1500.0, 20.0),), ambient=SUNDAY, drift=0.4, draughts=3.0, draught=0.3),
            sensors=_sensors(4.0, LoggedSensor(name="plug", at="plug")),
            logger=VirtualLogger(interval=30.0, jitter=2.0, dropout=0.01),
        ),
        "Dunmarr 32": HeatingAct(
            run=HeatingRun(currents=((3000.0, 32.0),), ambient=SUNDAY, drift=0.4, draughts=3.0, draught=0.3),
            sensors=_sensors(
                5.0,
                LoggedSensor(name="L pin", at="connector joint", core=0),
                LoggedSensor(name="N pin", at="connector joint", core=1),
            ),
            logger=VirtualLogger(interval=30.0, jitter=2.0, dropout=0.01),
        ),
    }
)
"""By specimen, what was done on the second day with the current source."""


def heat(specimen: VirtualSpecimen, *, of: str = "") -> SimulatedHeating:
    """Warm a specimen's cable with the current source, line and neutral joined at the far end, and log it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    of : str
        A part that was warmed by itself, as "plug"; the cable where left out.

    Returns
    -------
    SimulatedHeating
        Log and truth.

    Raises
    ------
    UnknownName
        Nobody warmed that specimen.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import DUNMARR_32
    >>> warmed = heat(DUNMARR_32)
    >>> warmed.truth.ends["N pin"] > 30.0 + warmed.truth.ends["L pin"]
    True
    """
    name = f"{specimen.unit.name}, {of}" if of else specimen.unit.name
    if name not in HEATINGS:
        raise UnknownName.among("specimen the boatyard warms", name, HEATINGS)
    act = HEATINGS[name]
    rng = np.random.default_rng([specimen.seed, _BENCH_SEED, *of.encode()])
    return log_heating(
        specimen.lead.cable,
        act.run,
        seed=rng,
        sensors=draw_sensors(np.random.default_rng(_BENCH_SEED), act.sensors, _LIMITS),
        logger=act.logger,
    )

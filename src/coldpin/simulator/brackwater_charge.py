"""What Brackwater Boatyard logs of a charge on a car, what it marks meanwhile, and what an idle unit draws."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.records.log import LogQuantity
from coldpin.simulator.brackwater_specimens import VirtualSpecimen
from coldpin.simulator.car import VirtualCar, Visit
from coldpin.simulator.charge import MarkClock, SimulatedCharge, VirtualPowerMeter, log_charge
from coldpin.simulator.charge_line import VirtualSupply
from coldpin.simulator.logger import VirtualLogger
from coldpin.simulator.meter import MeterRange, VirtualMeter

_METER_SEED = 1603

POWER_PERCENT, POWER_DIGITS = 0.5, 1
"""What the maker of the boatyard's power meter states: percent of reading, and digits of the display."""

POWER_METER = VirtualMeter(
    name="power meter",
    percent=POWER_PERCENT,
    digits=POWER_DIGITS,
    ranges=(MeterRange(top=99.0, digit=0.01, unit="W"), MeterRange(top=9999.0, digit=1.0, unit="W")),
    scatter=0.5,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargingAct:
    """A charge at the boatyard: the car, when it comes and goes, the supply, and how often a row is written. [s]"""

    car: VirtualCar
    visit: Visit
    seconds: float
    supply: VirtualSupply
    logger: VirtualLogger
    clock: MarkClock


CHARGES: Mapping[str, ChargingAct] = MappingProxyType(
    {
        "Skerrow 16": ChargingAct(
            car=VirtualCar(most=32.0, share=0.965, wait=9.0, ramp=1.1, need=60.0, stops_after=0.7, releases_after=6.0),
            visit=Visit(plugged=95.0, unplugged=5290.0, offer=[(0.0, 15.9)], unlock=5130.0),
            seconds=5400.0,
            supply=VirtualSupply(voltage=232.5, resistance=0.46, outages=((2410.0, 2585.0),)),
            logger=VirtualLogger(interval=1.0, dropout=0.004),
            clock=MarkClock(offset=3.0, step=1.0, late=0.8),
        ),
    }
)
"""By specimen, the charge of the second day. Only what passed everything before it came near a car."""


@cache
def _charged(name: str, seed: int) -> SimulatedCharge:
    act = CHARGES[name]
    gains = np.random.default_rng(_METER_SEED).uniform(-1.0, 1.0, 3) * POWER_PERCENT / 100.0
    return log_charge(
        act.car,
        [act.visit],
        seconds=act.seconds,
        seed=np.random.default_rng([seed, _METER_SEED]),
        supply=act.supply,
        meter=VirtualPowerMeter(
            columns={
                LogQuantity.POWER: 1.0,
                LogQuantity.CURRENT: 0.01,
                LogQuantity.VOLTAGE: 0.1,
                LogQuantity.POWER_FACTOR: 0.01,
                LogQuantity.ENERGY: 1.0,
            },
            power_gain=float(gains[0]),
            current_gain=float(gains[1]),
            voltage_gain=float(gains[2]),
        ),
        logger=act.logger,
        clock=act.clock,
    )


def charge(specimen: VirtualSpecimen) -> SimulatedCharge:
    """Charge a car over a specimen and log it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    SimulatedCharge
        Log, truth and marks; the marks by the watch of whoever stands beside.

    Raises
    ------
    UnknownName
        That specimen came near no car.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> [mark.kind for mark in charge(SKERROW_16).marks]
    ['plugged in', 'breaker off', 'breaker on', 'unlock', 'lock released', 'unplugged']
    """
    name = specimen.unit.name
    if name not in CHARGES:
        raise UnknownName.among("specimen the boatyard tries on a car", name, CHARGES)
    return _charged(name, specimen.seed)


def mark(specimen: VirtualSpecimen, kind: str) -> str:
    """Return when something happened, by the watch of whoever stood beside.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    kind : str
        What happened, in the words of marks.

    Returns
    -------
    str
        Seconds from the log's first row, as that watch has them, and how surely it was read.

    Raises
    ------
    UnknownName
        That specimen came near no car, or nothing of that kind happened.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> mark(SKERROW_16, "unlock")
    '5133 s ± 1 s'
    """
    seen = {one.kind: one for one in charge(specimen).marks}
    if kind not in seen:
        raise UnknownName.among("event of the charge", kind, seen)
    return f"{seen[kind].shown_s:.0f} s ± {NOTED:g} s"


def stops(specimen: VirtualSpecimen) -> str:
    """Return what a person answers who unlocks the car to end the charge.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    str
        "yes" or "no".

    Raises
    ------
    UnknownName
        That specimen came near no car.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> stops(SKERROW_16)
    'yes'
    """
    charge(specimen)
    return "no" if CHARGES[specimen.unit.name].car.stops_after is None else "yes"


NOTED = 1.0
"""Within this a time is noted: a watch read to the second by a hand that is late. [s]"""


def read_release(specimen: VirtualSpecimen) -> tuple[str, ...]:
    """Read the largest current from the moment the lock lets go, off the power meter.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.

    Returns
    -------
    tuple of str
        One reading.

    Raises
    ------
    UnknownName
        That specimen came near no car.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> read_release(SKERROW_16)
    ('0.04 A',)
    """
    seen = charge(specimen)
    released = next(one for one in seen.marks if one.kind == "lock released")
    current = seen.log.channel(LogQuantity.CURRENT)
    assert current is not None, "the boatyard's meter logs the current"
    after = seen.log.time_s >= released.true_s
    return (f"{float(current.values[after].max()):.2f} A",)


def read_standby(specimen: VirtualSpecimen, *, repeats: int = 1) -> tuple[str, ...]:
    """Read what a unit draws idle, with the power meter.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    repeats : int
        How many readings. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> read_standby(SKERROW_16, repeats=2)
    ('0.61 W', '0.61 W')
    """
    rng = np.random.default_rng([specimen.seed, _METER_SEED])
    part = float(np.random.default_rng(_METER_SEED).uniform(-1.0, 1.0))
    scatter = rng.uniform(-1.0, 1.0, repeats)
    return tuple(POWER_METER.show(specimen.standby[0], part=part, scattered=float(one)) for one in scatter)

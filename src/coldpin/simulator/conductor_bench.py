"""The virtual bench for conductors: milliohm meter, tape, scale, gauge, thermometer; readings as a person writes them.

Everything is off by a part of what its maker states, drawn once for a bench; each reading scatters besides. The meter
warms what it measures, sees the thermal voltages of its clips, and the thermometer is not quite where the metal is.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.conductor import VirtualConductor, VirtualPath
from coldpin.simulator.conductor_instruments import INSTRUMENTS
from coldpin.simulator.meter import VirtualMeter

__all__ = [
    "INSTRUMENTS",
    "ConductorBench",
    "ConductorReadings",
    "DropReading",
    "Reading",
    "measure_conductor",
    "self_heating",
    "set_up_conductor_bench",
]

CORE_TO_ROOM = 2.4
"""Kelvin by which a core gets warmer for one watt in each metre of it, in the end. [K·m/W] Rounded from cords."""

CORE_LAG = 240.0
"""Time constant of that. [s]"""

MISPLACED = 0.3
"""By how much the metal may differ from where the thermometer is. [K]"""

CLIP_VOLTAGE = 4.0e-6
"""Thermal voltage of the clips, at most. [V] Copper on brass, a kelvin or two apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What was written down, once for each repeat, and what was there at the first of them."""

    shown: tuple[str, ...]
    truth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DropReading:
    """A voltage drop, the current that made it, and the resistance that was there."""

    voltage: str
    current: str
    truth: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorBench:
    """The bench with the errors it happens to have.

    ``parts``: by meter the part of its statement by which it is off, from -1 to 1. ``clip_voltage`` [V] adds to what
    the meter sees, ``misplaced`` [K] is how much warmer the metal is than the thermometer's place.
    """

    parts: Mapping[str, float] = field(default_factory=dict)
    clip_voltage: float = 0.0
    misplaced: float = 0.0
    meters: Mapping[str, VirtualMeter] = field(
        default_factory=lambda: MappingProxyType({meter.name: meter for meter in INSTRUMENTS})
    )

    def show(self, meter: str, truth: float, *, rng: np.random.Generator) -> str:
        """Read a truth once.

        Parameters
        ----------
        meter : str
            Name of the meter.
        truth : float
            What is measured, in the unit the meter's ranges are given in.
        rng : numpy.random.Generator
            Where the scatter comes from.

        Returns
        -------
        str
            Figures and unit.

        Raises
        ------
        UnknownName
            The bench has no such meter.

        Examples
        --------
        >>> ConductorBench().show("tape", 5.0, rng=np.random.default_rng(2)).endswith(" m")
        True
        """
        if meter not in self.meters:
            raise UnknownName.among("meter on this bench", meter, self.meters)
        return self.meters[meter].show(truth, part=self.parts.get(meter, 0.0), scattered=float(rng.uniform(-1.0, 1.0)))

    def four_wire(
        self,
        path: VirtualPath,
        *,
        rng: np.random.Generator,
        room: float = 20.0,
        test_current: float = 1.0,
        seconds: float = 5.0,
        repeats: int = 1,
        taps: str = "inside",
        reversing: bool = True,
    ) -> Reading:
        """Read the resistance of a core with four wires.

        Parameters
        ----------
        path : VirtualPath
            The core with its joints.
        rng : numpy.random.Generator
            Where the scatter comes from.
        room : float
            What the thermometer's place is at. [°C]
        test_current : float
            D.c. through the core. [A]
        seconds : float
            From the start of the current to each reading; the next starts where the last one left off. [s]
        repeats : int
            How many readings.
        taps : str
            One of :data:`TAPS`.
        reversing : bool
            Whether each reading is the mean of two with the current reversed, which takes the clips' voltage out.

        Returns
        -------
        Reading
            The truth is the resistance at 20 °C between the taps. [Ω]

        Raises
        ------
        UnknownName
            Nobody taps there, or the bench has no milliohm meter.

        Examples
        --------
        >>> path = VirtualPath(conductor=VirtualConductor(), length=5.0)
        >>> bench = ConductorBench()
        >>> bench.four_wire(path, rng=np.random.default_rng(1)).shown[0].endswith(" mΩ")
        True
        """
        between = _between(path, taps)
        shown = []
        for number in range(1, repeats + 1):
            metal = room + self.misplaced + self_heating(path.conductor, test_current, number * seconds)
            clips = 0.0 if reversing else self.clip_voltage / test_current
            shown.append(self.show("milliohm meter", between(metal) + clips, rng=rng))
        return Reading(shown=tuple(shown), truth=between(20.0))

    def drop(
        self,
        path: VirtualPath,
        *,
        rng: np.random.Generator,
        current: float,
        room: float = 20.0,
        seconds: float = 30.0,
        taps: str = "inside",
    ) -> DropReading:
        """Read the voltage along a core that carries a current.

        Parameters
        ----------
        path : VirtualPath
            The core with its joints.
        rng : numpy.random.Generator
            Where the scatter comes from.
        current : float
            Through the core. [A]
        room : float
            What the thermometer's place is at. [°C]
        seconds : float
            From the start of the current. [s]
        taps : str
            One of :data:`TAPS`.

        Returns
        -------
        DropReading
            The truth is the resistance at 20 °C between the taps. [Ω]

        Raises
        ------
        UnknownName
            Nobody taps there, or the bench lacks a meter.

        Examples
        --------
        >>> path = VirtualPath(conductor=VirtualConductor(), length=5.0)
        >>> ConductorBench().drop(path, current=10.0, rng=np.random.default_rng(1)).voltage.endswith(" mV")
        True
        """
        between = _between(path, taps)
        metal = room + self.misplaced + self_heating(path.conductor, current, seconds)
        volts = current * between(metal) + self.clip_voltage
        return DropReading(
            voltage=self.show("drop meter", volts, rng=rng),
            current=self.show("ammeter", current, rng=rng),
            truth=between(20.0),
        )

    def length(self, truth: float, *, rng: np.random.Generator) -> Reading:
        """Read a length along the cable with the tape.

        Parameters
        ----------
        truth : float
            The length. [m]
        rng : numpy.random.Generator
            Where the scatter comes from.

        Returns
        -------
        Reading
            One reading.
        """
        return Reading(shown=(self.show("tape", truth, rng=rng),), truth=truth)

    def temperature(self, truth: float, *, rng: np.random.Generator) -> Reading:
        """Read the thermometer beside the cable.

        Parameters
        ----------
        truth : float
            What it is there. [°C]
        rng : numpy.random.Generator
            Where the scatter comes from.

        Returns
        -------
        Reading
            One reading.
        """
        return Reading(shown=(self.show("thermometer", truth, rng=rng),), truth=truth)

    def mass(self, conductor: VirtualConductor, *, rng: np.random.Generator, length: float = 1.0) -> Reading:
        """Weigh a stripped piece of core.

        Parameters
        ----------
        conductor : VirtualConductor
            The core.
        rng : numpy.random.Generator
            Where the scatter comes from.
        length : float
            True length of the piece; read it with :meth:`length`. [m]

        Returns
        -------
        Reading
            The truth is the mass of one metre. [kg/m]

        Examples
        --------
        >>> ConductorBench().mass(VirtualConductor(), rng=np.random.default_rng(1)).shown[0][:4]
        '22.2'
        """
        return Reading(shown=(self.show("scale", conductor.mass * length, rng=rng),), truth=conductor.mass)

    def strand(self, conductor: VirtualConductor, *, rng: np.random.Generator, repeats: int = 5) -> Reading:
        """Read the diameter of single strands.

        Parameters
        ----------
        conductor : VirtualConductor
            The core.
        rng : numpy.random.Generator
            Where the scatter comes from, and how round each strand is.
        repeats : int
            How many strands.

        Returns
        -------
        Reading
            The truth is the diameter. [m]
        """
        out_of_round = rng.uniform(1.0 - OUT_OF_ROUND, 1.0 + OUT_OF_ROUND, repeats)
        shown = tuple(self.show("micrometer", conductor.strand_diameter * float(one), rng=rng) for one in out_of_round)
        return Reading(shown=shown, truth=conductor.strand_diameter)


OUT_OF_ROUND = 0.02
"""By how much one strand differs from another, and one side of it from the other. [1]"""


def _between(path: VirtualPath, taps: str) -> Callable[[float], float]:
    """Return the resistance between the taps [Ω] as a function of the metal's temperature [°C]."""
    if taps not in TAPS:
        raise UnknownName.among("place of taps", taps, TAPS)
    return lambda metal: TAPS[taps](path, metal)


TAPS: Mapping[str, Callable[[VirtualPath, float], float]] = MappingProxyType(
    {
        "inside": lambda path, metal: path.inside(temperature=metal),
        "pins": lambda path, metal: path.at_pins(temperature=metal),
        "plug side": lambda path, _: path.plug_joint,
        "connector side": lambda path, _: path.connector_joint,
    }
)
"""Where a core can be tapped: on itself, at the pins, or over one joint alone."""


def self_heating(conductor: VirtualConductor, current: float, seconds: float) -> float:
    """Return by how much a current has warmed a core.

    Parameters
    ----------
    conductor : VirtualConductor
        The core.
    current : float
        Through it. [A]
    seconds : float
        How long. [s]

    Returns
    -------
    float
        Rise. [K]

    Examples
    --------
    >>> 1.0 < self_heating(VirtualConductor(), 10.0, 3600.0) < 3.0
    True
    """
    return CORE_TO_ROOM * current**2 * conductor.resistance() * (1.0 - math.exp(-seconds / CORE_LAG))


def set_up_conductor_bench(seed: int | np.random.Generator) -> ConductorBench:
    """Draw the errors of a bench, each from a rectangular distribution as wide as its maker's statement.

    Parameters
    ----------
    seed : int or numpy.random.Generator
        Another seed is another bench.

    Returns
    -------
    ConductorBench
        Instruments with errors that stay the same for everything measured on it.

    Examples
    --------
    >>> set_up_conductor_bench(3) == set_up_conductor_bench(3), set_up_conductor_bench(3) == set_up_conductor_bench(4)
    (True, False)
    """
    rng = np.random.default_rng(seed)
    return ConductorBench(
        parts=MappingProxyType({meter.name: float(rng.uniform(-1.0, 1.0)) for meter in INSTRUMENTS}),
        clip_voltage=float(rng.uniform(-CLIP_VOLTAGE, CLIP_VOLTAGE)),
        misplaced=float(rng.uniform(-MISPLACED, MISPLACED)),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ConductorReadings:
    """All that one bench wrote down of one core, and the core itself.

    ``resistance`` of ``length`` of cable with the metal near ``temperature``; ``mass`` of ``mass_length`` of stripped
    core; ``strands`` counted, ``strand_diameter`` read. ``magnetic`` and ``cut`` as seen.
    """

    resistance: tuple[str, ...]
    length: str
    temperature: str
    mass: str
    mass_length: str
    strands: int
    strand_diameter: tuple[str, ...]
    magnetic: bool
    cut: str
    conductor: VirtualConductor


def measure_conductor(
    conductor: VirtualConductor,
    bench: ConductorBench,
    *,
    rng: np.random.Generator,
    length: float = 5.0,
    mass_length: float = 1.0,
    room: float = 22.0,
    repeats: int = 3,
) -> ConductorReadings:
    """Read of one core whatever the bench can read.

    Parameters
    ----------
    conductor : VirtualConductor
        The core.
    bench : ConductorBench
        The bench.
    rng : numpy.random.Generator
        Where the scatter comes from.
    length : float
        Cable between the taps. [m]
    mass_length : float
        Stripped piece. [m]
    room : float
        Temperature at the thermometer. [°C]
    repeats : int
        Readings of the resistance.

    Returns
    -------
    ConductorReadings
        The texts and the truth.

    Examples
    --------
    >>> rng = np.random.default_rng(8)
    >>> seen = measure_conductor(VirtualConductor(), set_up_conductor_bench(8), rng=rng)
    >>> seen.strands, seen.magnetic, seen.cut, len(seen.resistance)
    (50, False, 'red throughout', 3)
    """
    path = VirtualPath(conductor=conductor, length=length)
    return ConductorReadings(
        resistance=bench.four_wire(path, rng=rng, room=room, repeats=repeats).shown,
        length=bench.length(length, rng=rng).shown[0],
        temperature=bench.temperature(room, rng=rng).shown[0],
        mass=bench.mass(conductor, rng=rng, length=mass_length).shown[0],
        mass_length=bench.length(mass_length, rng=rng).shown[0],
        strands=conductor.strands,
        strand_diameter=bench.strand(conductor, rng=rng).shown,
        magnetic=conductor.wire.magnetic,
        cut=conductor.wire.cut,
        conductor=conductor,
    )

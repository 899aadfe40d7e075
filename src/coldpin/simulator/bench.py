"""The virtual bench: instruments whose errors are drawn once and then stay, as those of real ones do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.meter import VirtualMeter
from coldpin.simulator.output import VirtualSensor
from coldpin.simulator.scope import VirtualScope


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A scope and meters with the errors they happen to have.

    ``gain`` and ``output_gain`` are relative, ``offset`` in volts, ``timebase`` relative: positive where the scope's
    clock is slow, so that a second lasts longer than it says. ``meter_parts`` holds for each meter the part of its
    stated limits by which it is off, from -1 to 1. ``sensor`` is what the second channel sits on.
    """

    scope: VirtualScope
    meters: Mapping[str, VirtualMeter] = field(default_factory=dict)
    gain: float = 0.0
    output_gain: float = 0.0
    offset: float = 0.0
    timebase: float = 0.0
    meter_parts: Mapping[str, float] = field(default_factory=dict)
    sensor: VirtualSensor = field(default_factory=VirtualSensor)

    def read(self, meter: str, truth: float, *, rng: np.random.Generator, repeats: int = 1) -> tuple[str, ...]:
        """Read a truth with one of the meters.

        Parameters
        ----------
        meter : str
            Name of the meter.
        truth : float
            What is measured, in the unit the meter's ranges are given in.
        rng : numpy.random.Generator
            Where the scatter of the readings comes from.
        repeats : int
            How many readings are taken.

        Returns
        -------
        tuple of str
            One text per reading.

        Raises
        ------
        UnknownName
            The bench has no such meter.

        Examples
        --------
        >>> from coldpin.simulator.meter import MeterRange
        >>> ranges = (MeterRange(top=600.0, digit=0.1, unit="V"),)
        >>> volts = VirtualMeter(name="volts", percent=0.8, digits=3, ranges=ranges)
        >>> bench = set_up_bench(VirtualScope(), [volts], seed=5)
        >>> first, second = bench.read("volts", 230.0, rng=np.random.default_rng(5), repeats=2)
        >>> abs(float(first.removesuffix(" V")) - 230.0) < 2.3, abs(float(second.removesuffix(" V")) - 230.0) < 2.3
        (True, True)
        """
        if meter not in self.meters:
            raise UnknownName.among("meter on this bench", meter, self.meters)
        scatter = rng.uniform(-1.0, 1.0, repeats)
        instrument, part = self.meters[meter], self.meter_parts.get(meter, 0.0)
        return tuple(instrument.show(truth, part=part, scattered=float(one)) for one in scatter)


def set_up_bench(
    scope: VirtualScope, meters: Iterable[VirtualMeter] = (), *, seed: int, sensor: VirtualSensor | None = None
) -> Bench:
    """Draw the errors of a bench, each from a rectangular distribution as wide as its maker's statement.

    Parameters
    ----------
    scope : VirtualScope
        The scope and its limits.
    meters : iterable of VirtualMeter
        The meters and theirs.
    seed : int
        Another seed is another bench.
    sensor : VirtualSensor, optional
        What the second channel sits on; one without delay if left out.

    Returns
    -------
    Bench
        The instruments with errors that stay the same for everything measured on it.

    Examples
    --------
    >>> bench = set_up_bench(VirtualScope(gain_limit=0.02), seed=3)
    >>> abs(bench.gain) <= 0.02, bench == set_up_bench(VirtualScope(gain_limit=0.02), seed=3)
    (True, True)
    """
    rng = np.random.default_rng(seed)
    gain, output_gain, offset, timebase = (float(part) for part in rng.uniform(-1.0, 1.0, 4))
    by_name = {meter.name: meter for meter in meters}
    parts = {name: float(rng.uniform(-1.0, 1.0)) for name in by_name}
    return Bench(
        scope=scope,
        meters=MappingProxyType(by_name),
        gain=gain * scope.gain_limit,
        output_gain=output_gain * scope.gain_limit,
        offset=offset * scope.offset_limit,
        timebase=timebase * scope.timebase_limit,
        meter_parts=MappingProxyType(parts),
        sensor=sensor or VirtualSensor(),
    )

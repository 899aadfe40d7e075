"""The virtual oscilloscope: what it adds to and takes from a voltage before it becomes a sample."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualScope:
    """An oscilloscope with its probe, and the limits its maker states.

    ``full_scale`` is the whole screen of the pilot channel, centred on zero, ``output_full_scale`` that of the output
    channel, which stands for an isolated sensor [V]. ``bits`` is the converter's. ``noise`` is r.m.s. at the pilot
    channel's input, in volts, ``output_noise`` at the output channel's. ``bandwidth`` is the frequency of its single
    pole, infinite for none [Hz]. ``gain_limit`` (relative), ``offset_limit`` [V] and ``timebase_limit`` (relative) are
    half-widths of rectangular distributions from which one error is drawn for each bench. ``hum`` is the amplitude of
    mains hum that the probe picks up [V].
    """

    name: str = "scope"
    full_scale: float = 40.0
    output_full_scale: float = 1000.0
    bits: int = 8
    noise: float = 0.02
    output_noise: float = 1.0
    bandwidth: float = 20.0e6
    gain_limit: float = 0.02
    offset_limit: float = 0.05
    timebase_limit: float = 50.0e-6
    hum: float = 0.0
    hum_frequency: float = nominal.MAINS_FREQUENCY
    probe_resistance: float = nominal.PROBE_RESISTANCE
    probe_capacitance: float = nominal.PROBE_CAPACITANCE

    def __post_init__(self) -> None:
        if not 1 <= self.bits <= 24:
            raise OutsideRange(f"virtual scope {self.name}: {self.bits} bits; converters have 1 to 24")
        for name in ("full_scale", "output_full_scale", "bandwidth", "probe_resistance"):
            if not getattr(self, name) > 0.0:
                raise OutsideRange(
                    f"virtual scope {self.name}: {name} is {getattr(self, name):g}; it must be above zero"
                )

    @property
    def step(self) -> float:
        """One step of the pilot channel's converter. [V]"""
        return self.full_scale / float(2**self.bits)

    @property
    def lag(self) -> float:
        """Time constant of the input's single pole. [s]"""
        return 0.0 if math.isinf(self.bandwidth) else 1.0 / (2.0 * math.pi * self.bandwidth)

    @property
    def probe(self) -> tuple[float, float, float]:
        """Resistance [Ω] and capacitance [F] of the probe, time constant of the input [s]."""
        return self.probe_resistance, self.probe_capacitance, self.lag


def digitise(
    voltage: NDArray[np.float64], *, full_scale: float, bits: int
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Round a voltage to the steps of a converter and stop it at the ends of its scale.

    Parameters
    ----------
    voltage : numpy.ndarray
        Array of shape (n,). [V]
    full_scale : float
        The whole scale, centred on zero. [V]
    bits : int
        Bits of the converter.

    Returns
    -------
    tuple of numpy.ndarray
        The samples, array of shape (n,) [V], and where they were beyond the scale, array of shape (n,) of bool.

    Examples
    --------
    >>> samples, beyond = digitise(np.array([0.3, -9.0, 3.9]), full_scale=8.0, bits=3)
    >>> samples.tolist(), beyond.tolist()
    ([0.0, -4.0, 3.0], [False, True, True])
    """
    step = full_scale / 2**bits
    half = 2 ** (bits - 1)
    codes = np.floor(voltage / step + 0.5)
    held = np.clip(codes, -half, half - 1)
    return held * step, codes != held

"""The virtual unit under test: its pilot generator, its relay and its supply."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from coldpin.errors import OutsideRange
from coldpin.simulator import nominal
from coldpin.simulator.relay import Relay
from coldpin.simulator.safeguards import Controller

PilotWire = Literal["sound", "open", "shorted"]
"""The pilot between generator and connector pin."""

OutputSwitch = Literal["switched", "always live", "never"]
"""What stands between the supply and the connector's power pins."""

SupplyKind = Literal["a.c.", "d.c."]
"""What feeds the power path: the mains, or an isolated bench supply on the opened board."""

PilotReturn = Literal["earth", "another conductor"]
"""By which conductor the pilot's current comes back; with another than earth the unit cannot see that it is lost."""


_ABOVE_ZERO = (
    "source_resistance",
    "capacitance",
    "frequency",
    "edge_time",
    "short_resistance",
    "warm_up",
    "output_bleed",
    "spike_width",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VirtualUnit:
    """A lead, in-cable unit or wall unit as seen from its connector.

    ``rail_high`` and ``rail_low`` are the driver's two levels [V], ``source_resistance`` [Ω] stands behind them,
    ``capacitance`` [F] is filter and cable from pilot to earth. ``duty`` is the part of the period at the high rail, as
    the controller sets it [%]. ``edge_time`` is the driver's ramp from rail to rail [s], ``jitter`` the standard
    deviation of each edge [s]. As the unit warms up, with the time constant ``warm_up`` [s], its frequency moves by
    ``frequency_drift`` (relative) and its duty cycle by ``duty_drift`` [%]. ``oscillator_dies`` is when the oscillator
    stops for good and stays high, from the start of the schedule [s]. ``ripple`` is the amplitude by which both rails
    move, at ``ripple_frequency`` [V, Hz]. Spikes of ``spike_height`` [V] and at most ``spike_width`` [s] couple onto
    the pilot ``spike_rate`` times a second. ``short_resistance`` [Ω] is used where ``pilot`` is "shorted".

    ``mains`` is the supply, r.m.s. [V], ``supply`` its kind. After opening, ``output_capacitance`` [F] holds a voltage
    at the pins until ``output_bleed`` [Ω] has discharged it.
    """

    name: str = "sound unit"
    rail_high: float = nominal.RAIL
    rail_low: float = -nominal.RAIL
    source_resistance: float = nominal.SOURCE_RESISTANCE
    capacitance: float = nominal.UNIT_CAPACITANCE
    frequency: float = nominal.FREQUENCY
    duty: float = 26.67
    edge_time: float = nominal.DRIVER_EDGE
    jitter: float = 0.0
    frequency_drift: float = 0.0
    duty_drift: float = 0.0
    warm_up: float = 60.0
    oscillator_dies: float = math.inf
    ripple: float = 0.0
    ripple_frequency: float = 2.0 * nominal.MAINS_FREQUENCY
    spike_rate: float = 0.0
    spike_height: float = 8.0
    spike_width: float = 4.0e-5
    pilot: PilotWire = "sound"
    short_resistance: float = 0.5
    output: OutputSwitch = "switched"
    pilot_return: PilotReturn = "earth"
    controller: Controller = field(default_factory=Controller)
    relay: Relay = field(default_factory=Relay)
    mains: float = nominal.MAINS
    mains_frequency: float = nominal.MAINS_FREQUENCY
    supply: SupplyKind = "a.c."
    output_capacitance: float = 0.0
    output_bleed: float = nominal.OUTPUT_LEAKAGE

    def __post_init__(self) -> None:
        for name in _ABOVE_ZERO:
            if not getattr(self, name) > 0.0:
                raise OutsideRange(
                    f"virtual unit {self.name}: {name} is {getattr(self, name):g}; it must be above zero"
                )
        if self.spike_rate < 0.0:
            raise OutsideRange(
                f"virtual unit {self.name}: spike_rate is {self.spike_rate:g} a second; it cannot be negative"
            )
        if self.output_capacitance < 0.0:
            raise OutsideRange(
                f"virtual unit {self.name}: output_capacitance is {self.output_capacitance:g} F; it cannot be negative"
            )
        if not abs(self.frequency_drift) < 1.0:
            raise OutsideRange(
                f"virtual unit {self.name}: frequency_drift is {self.frequency_drift:g}; it is a part of the frequency"
            )
        if not 0.0 < self.duty < 100.0 or not 0.0 < self.duty + self.duty_drift < 100.0:
            raise OutsideRange(
                f"virtual unit {self.name}: duty is {self.duty:g} %; an oscillator lies between 0 and 100 %: "
                "a unit that stays low or high is one whose controller does not start it"
            )
        shortest = min(self.duty, 100.0 - self.duty) / 100.0 / self.frequency
        if self.edge_time + 8.0 * self.jitter > shortest:
            raise OutsideRange(
                f"virtual unit {self.name}: an edge of {self.edge_time:g} s with {self.jitter:g} s of jitter does not "
                f"fit into the shorter part of the period, {shortest:g} s"
            )
        if self.ripple and not self.ripple_frequency <= 5000.0:
            raise OutsideRange(
                f"virtual unit {self.name}: ripple at {self.ripple_frequency:g} Hz; the virtual pilot follows its "
                "rails without lag, which holds up to 5000 Hz"
            )


def draw_unit(
    rng: np.random.Generator,
    *,
    unit: VirtualUnit | None = None,
    rail_tolerance: float = 0.02,
    resistance_tolerance: float = 0.01,
    frequency_tolerance: float = 0.004,
    duty_points: float = 0.3,
) -> VirtualUnit:
    """Return a unit drawn within the tolerances of its parts.

    Parameters
    ----------
    rng : numpy.random.Generator
        Where the draws come from.
    unit : VirtualUnit, optional
        The nominal one.
    rail_tolerance, resistance_tolerance, frequency_tolerance : float
        Half-widths of rectangular distributions, relative; each rail is drawn for itself. [1]
    duty_points : float
        Half-width for the duty cycle, in points of the period. [%]

    Returns
    -------
    VirtualUnit
        The same unit with other parts.

    Examples
    --------
    >>> drawn = draw_unit(np.random.default_rng(1))
    >>> 11.76 < drawn.rail_high < 12.24, 990.0 < drawn.source_resistance < 1010.0
    (True, True)
    """
    given = unit or VirtualUnit()
    high, low, resistance, frequency, duty = (float(part) for part in rng.uniform(-1.0, 1.0, 5))
    return replace(
        given,
        rail_high=given.rail_high * (1.0 + rail_tolerance * high),
        rail_low=given.rail_low * (1.0 + rail_tolerance * low),
        source_resistance=given.source_resistance * (1.0 + resistance_tolerance * resistance),
        frequency=given.frequency * (1.0 + frequency_tolerance * frequency),
        duty=given.duty + duty_points * duty,
    )

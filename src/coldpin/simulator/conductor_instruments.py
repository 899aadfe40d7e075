"""The instruments of the virtual bench for conductors, and what their makers state."""

from __future__ import annotations

from coldpin.simulator.meter import MeterRange, VirtualMeter

MILLIOHM = VirtualMeter(
    name="milliohm meter",
    percent=0.3,
    digits=2,
    ranges=(
        MeterRange(top=0.2, digit=1.0e-5, unit="mΩ", factor=1.0e-3),
        MeterRange(top=2.0, digit=1.0e-4, unit="mΩ", factor=1.0e-3),
    ),
)
DROP = VirtualMeter(
    name="drop meter",
    percent=0.5,
    digits=3,
    ranges=(
        MeterRange(top=0.6, digit=1.0e-4, unit="mV", factor=1.0e-3),
        MeterRange(top=6.0, digit=1.0e-3, unit="V"),
    ),
)
CLAMP = VirtualMeter(
    name="ammeter", percent=1.0, digits=3, ranges=(MeterRange(top=60.0, digit=0.01, unit="A"),), scatter=2.0
)
TAPE = VirtualMeter(
    name="tape", percent=0.05, digits=1, ranges=(MeterRange(top=30.0, digit=1.0e-3, unit="m"),), scatter=2.0
)
SCALE = VirtualMeter(
    name="scale", percent=0.1, digits=2, ranges=(MeterRange(top=0.5, digit=1.0e-5, unit="g", factor=1.0e-3),)
)
GAUGE = VirtualMeter(
    name="micrometer", percent=0.0, digits=2, ranges=(MeterRange(top=0.025, digit=1.0e-6, unit="mm", factor=1.0e-3),)
)
THERMOMETER = VirtualMeter(
    name="thermometer", percent=0.0, digits=5, ranges=(MeterRange(top=150.0, digit=0.1, unit="°C"),)
)
INSTRUMENTS = (MILLIOHM, DROP, CLAMP, TAPE, SCALE, GAUGE, THERMOMETER)
"""The bench's instruments; their statements can be quoted with :func:`statement`. Truths in Ω, V, A, m, kg, m, °C."""


def statement(meter: VirtualMeter) -> str:
    """Return what the maker of a virtual meter states, as a shelf writes it.

    Parameters
    ----------
    meter : VirtualMeter
        The meter.

    Returns
    -------
    str
        Percent of reading and digits.

    Examples
    --------
    >>> statement(MILLIOHM)
    '0.3 % + 2 digits'
    """
    return f"{meter.percent:g} % + {meter.digits} digits"

"""The bench of invented instruments on which Brackwater Boatyard tests its three leads: pilot, output, insulation.

The volunteers check three donated leads. What each of them really is stands in `brackwater_specimens`; what the
volunteers read of it comes out of the virtual instruments. Every number is invented.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from coldpin.errors import UnknownName
from coldpin.simulator.bench import Bench, set_up_bench
from coldpin.simulator.brackwater_specimens import ROOM, VirtualSpecimen
from coldpin.simulator.capture import SimulatedCapture, simulate_capture
from coldpin.simulator.controller import follow, output_after, output_during, output_voltage
from coldpin.simulator.load import Schedule, VehicleDiode, repeated
from coldpin.simulator.meter import MeterRange, VirtualMeter
from coldpin.simulator.output import VirtualSensor
from coldpin.simulator.scope import VirtualScope
from coldpin.simulator.vehicle import VirtualVehicle

SCOPE = VirtualScope(
    name="scope",
    full_scale=40.0,
    output_full_scale=1000.0,
    bits=8,
    noise=0.09,
    output_noise=1.2,
    gain_limit=0.01,
    offset_limit=0.05,
    timebase_limit=50.0e-6,
    hum=0.02,
)
RECORDER = replace(SCOPE, name="recorder", bits=12, noise=0.03, hum=0.05)
LOGGER = replace(SCOPE, name="logger", bits=10, noise=0.02, output_noise=0.5, gain_limit=0.005, offset_limit=0.02)

METERS = (
    VirtualMeter(
        name="multimeter volts",
        percent=0.8,
        digits=3,
        ranges=(MeterRange(top=600.0, digit=0.1, unit="V"),),
    ),
    VirtualMeter(
        name="cursors of the logger",
        percent=0.5,
        digits=2,
        ranges=(MeterRange(top=40.0, digit=0.01, unit="V"),),
    ),
    VirtualMeter(
        name="multimeter ohms",
        percent=0.5,
        digits=2,
        ranges=(MeterRange(top=2000.0, digit=1.0, unit="Ω"),),
    ),
    VirtualMeter(
        name="insulation tester",
        percent=3.0,
        digits=5,
        ranges=(MeterRange(top=999.0e6, digit=1.0e6, unit="MΩ", factor=1.0e6),),
    ),
    VirtualMeter(
        name="milliohm meter",
        percent=0.5,
        digits=2,
        ranges=(MeterRange(top=2.0, digit=0.001, unit="Ω"),),
    ),
)

SENSOR = VirtualSensor(delay=0.0013)
"""The isolated sensor on the second channel: its maker says 1.2 ms, give or take 0.3 ms."""

HASH = 0.03
"""What the logger shows of noise on a steady level, peak to peak, with its averaging on. [V]"""

_BENCH_SEED = 1403

STEPS: Schedule = ((0.1, "A"), (0.2, "B"), (0.25, "C"), (0.15, "B"), (0.1, "A"))
"""Nothing, connected, asking for power, connected, nothing."""

FINE, MIDDLE, COARSE = 4.0e-6, 1.0 / 102_400.0, 1.0 / 51_200.0
"""Time between samples of scope and pocket recorder, and of the logger, which runs for seconds. [s]"""

TIMES = 6
"""The procedure asks for five operations or more. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Act:
    """What is done with the test box while a capture runs, and how often it is sampled. [s]"""

    schedule: Schedule
    sample_interval: float = FINE
    diode: VehicleDiode = "present"


ACTS: Mapping[str, Act] = MappingProxyType(
    {
        "steps": Act(schedule=STEPS),
        "diode shorted": Act(schedule=((0.05, "A"), (0.15, "B"), (0.2, "C"), (0.1, "A")), diode="shorted"),
        "operations": Act(
            schedule=(
                (0.2, "A"),
                *repeated(TIMES, (0.2, "B"), (0.35, "C"), (0.35, "B"), (0.35, "C"), (0.25, "A")),
            ),
            sample_interval=MIDDLE,
        ),
        "diode lost": Act(
            schedule=(
                *repeated(TIMES - 1, (0.3, "B"), (0.4, "C"), (0.7, "C, diode shorted"), (0.4, "B, diode shorted")),
                *((0.3, "B"), (0.4, "C"), (3.5, "C, diode shorted"), (0.4, "B, diode shorted")),
            ),
            sample_interval=COARSE,
        ),
        "earth lost": Act(
            schedule=repeated(TIMES, (0.3, "B"), (0.4, "C"), (0.3, "C, PE open")), sample_interval=COARSE
        ),
    }
)
"""What the boatyard does while it captures."""


def bench(scope: VirtualScope = SCOPE) -> Bench:
    """Return the boatyard's bench; its instruments are off by the same amounts each time.

    Parameters
    ----------
    scope : VirtualScope
        Which of its two scopes.

    Returns
    -------
    Bench
        Scope and meters.

    Examples
    --------
    >>> bench().gain == bench().gain, abs(bench().gain) <= SCOPE.gain_limit
    (True, True)
    """
    return set_up_bench(scope, METERS, seed=_BENCH_SEED, sensor=SENSOR)


def capture(specimen: VirtualSpecimen, *, act: str = "steps", scope: VirtualScope = SCOPE) -> SimulatedCapture:
    """Capture a specimen's pilot while something is done with the test box.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    act : str
        A key of :data:`ACTS`.
    scope : VirtualScope
        Which of the bench's scopes; all but the pocket recorder see the output beside the pilot.

    Returns
    -------
    SimulatedCapture
        Waveform and truth.

    Raises
    ------
    UnknownName
        Nothing of that name is done there.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> [run.state for run in capture(SKERROW_16).truth.runs]
    ['A1', 'B1', 'B2', 'C2', 'B2', 'A2', 'A1']
    """
    if act not in ACTS:
        raise UnknownName.among("thing the boatyard does while it captures", act, ACTS)
    return simulate_capture(
        specimen.unit,
        VirtualVehicle(diode=ACTS[act].diode),
        ACTS[act].schedule,
        bench(scope),
        seed=np.random.default_rng([specimen.seed, tuple(ACTS).index(act)]),
        sample_interval=ACTS[act].sample_interval,
        with_output=scope is not RECORDER,
    )


def read(specimen: VirtualSpecimen, word: str, *, repeats: int = 1) -> tuple[str, ...]:
    """Read something of a specimen with the meter that belongs to it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        What is read, in the words that entries use; at a boundary resistance with the edge after a colon.
    repeats : int
        How many readings are taken. [1]

    Returns
    -------
    tuple of str
        As a person writes them down.

    Raises
    ------
    UnknownName
        There is no meter for it.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> [float(text.removesuffix(" Ω")) < 0.06 for text in read(SKERROW_16, "earth resistance", repeats=3)]
    [True, True, True]
    """
    truths = _truths(specimen)
    if word == DIODE_TIME:
        return _watched(specimen, repeats)
    if word not in truths:
        raise UnknownName.among("thing the boatyard reads with a meter", word, [*truths, DIODE_TIME])
    meter, truth = truths[word]
    rng = np.random.default_rng([specimen.seed, *word.encode()])
    return bench().read(meter, truth, rng=rng, repeats=repeats)


WATCHED = 10.0
"""How long the boatyard watches an output that should go dead. [s]"""

DIODE_TIME = "opening time after loss of the diode"


def _watched(specimen: VirtualSpecimen, repeats: int) -> tuple[str, ...]:
    """Return what a stopwatch says from the loss of the diode to a dead output, once for each repeat."""
    steps: Schedule = ((1.0, "B"), (2.0, "C"), (WATCHED, "C, diode shorted"))
    rng = np.random.default_rng([specimen.seed, *DIODE_TIME.encode()])
    shown = []
    for _ in range(repeats):
        last = follow(specimen.unit, VirtualVehicle(), steps, rng=rng).responses[-1]
        opened = None if last.closes else last.delay
        shown.append(f"> {WATCHED:.0f} s" if opened is None else f"{opened:.1f} s")
    return tuple(shown)


def answer(specimen: VirtualSpecimen, word: str) -> str:
    """Return what a person at the bench answers who tries it.

    Parameters
    ----------
    specimen : VirtualSpecimen
        The specimen.
    word : str
        What is asked, in the words that entries use.

    Returns
    -------
    str
        "yes" or "no".

    Raises
    ------
    UnknownName
        Nobody tries that there.

    Examples
    --------
    >>> from coldpin.simulator.brackwater_specimens import SKERROW_16
    >>> answer(SKERROW_16, "refusal with no earth in the supply")
    'yes'
    """
    if word == MAGNET:
        return "yes" if specimen.lead.conductor.wire.magnetic else "no"
    if word != NO_EARTH:
        raise UnknownName.among("thing the boatyard tries", word, (NO_EARTH, MAGNET))
    without = [(2.0, "A, supply earth open"), (2.0, "B, supply earth open"), (5.0, "C, supply earth open")]
    return "no" if output_after(specimen.unit, VirtualVehicle(), without) else "yes"


NO_EARTH = "refusal with no earth in the supply"
MAGNET = "magnet at the wires"

BOUNDARIES: Mapping[str, str] = MappingProxyType(
    {"B lowest": "B 1870", "B highest": "B 4610", "C lowest": "C 909, R2 1870", "C highest": "C 1723, R2 4610"}
)
"""Resistors that the boatyard soldered for the edges; to what they must be taken for, public texts say it."""

AT_BOUNDARY = "output at a boundary resistance"


def _truths(specimen: VirtualSpecimen) -> Mapping[str, tuple[str, float]]:
    unit, sound, shorted = specimen.unit, VirtualVehicle(), VirtualVehicle(diode="shorted")
    up: Schedule = ((1.0, "A"), (1.0, "B"))
    off: Schedule = ((2.0, "C"), (3.0, "C, supply off"))
    uncoupled: Schedule = (*off, (2.0, "A, supply off"), (10.0, "A"))
    at_pins = {
        "output with nothing connected": output_voltage(unit, sound, "A"),
        "output in state B": output_voltage(unit, sound, "B"),
        "output in state C": output_voltage(unit, sound, "C"),
        "output in state D": output_after(unit, sound, (*up, (5.0, "D"))),
        "output with the diode shorted": output_voltage(unit, shorted, "C"),
        "output with the pilot shorted": output_after(unit, sound, (*up, (6.0, "C"), (10.0, "E"))),
        "output when plugged in asking": output_after(unit, sound, ((1.0, "A"), (5.0, "C"))),
        "output when the supply returns": output_during(unit, sound, uncoupled),
        "output in state C after the supply returned": output_after(unit, sound, (*off, (10.0, "C"))),
        **{
            f"{AT_BOUNDARY}: {edge}": output_after(unit, sound, (*up, (5.0, load))) for edge, load in BOUNDARIES.items()
        },
    }
    return {
        "earth resistance": ("milliohm meter", specimen.lead.path("PE").at_pins(temperature=ROOM)),
        "mains to pilot insulation": ("insulation tester", specimen.insulation),
        "pilot ripple": ("cursors of the logger", 2.0 * unit.ripple + HASH),
        "coding resistance": ("multimeter ohms", specimen.coding),
        **{word: ("multimeter volts", volts or specimen.stray) for word, volts in at_pins.items()},
    }

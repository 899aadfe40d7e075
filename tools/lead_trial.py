"""The part of a trial that is about the lead itself: its copper, its marks, its idle draw, a charge on a car."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from coldpin.checks import LogEvidence
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.instrument import Instrument
from coldpin.simulator.car import Visit
from coldpin.simulator.charge import MarkClock, VirtualPowerMeter, log_charge
from coldpin.simulator.charge_line import VirtualSupply
from coldpin.simulator.conductor import VirtualPath
from coldpin.simulator.conductor_bench import ConductorBench, set_up_conductor_bench
from coldpin.simulator.heating import HeatingRun, LoggedSensor, SensorLimits, draw_sensors, log_heating
from coldpin.simulator.lead_fault import LeadSpecimen
from coldpin.simulator.logger import VirtualLogger

ROOM = 21.0
"""Where leads are tried. [°C]"""

PIECE = 0.3
"""What is cut off and stripped to be weighed. [m]"""

LEAD_INSTRUMENTS = {
    "low-ohm": Instrument(
        name="low-ohm",
        kind="milliohm meter",
        statements={"resistance": "0.3 % + 3 digits on 200 mΩ, resolution 0.01 mΩ"},
    ),
    "scale": Instrument(
        name="scale", kind="scale", statements={"mass": "0.1 % + 3 digits on 500 g, resolution 0.01 g"}
    ),
    "micrometer": Instrument(
        name="micrometer", kind="micrometer", statements={"length": "3 digits on 25 mm, resolution 0.001 mm"}
    ),
    "temperatures": Instrument(
        name="temperatures",
        kind="temperature logger",
        statements={"temperature": "0.2 % + 0.4 °C, resolution 0.1 °C", "current": "0.2 %, resolution 0.01 A"},
    ),
    "power meter": Instrument(
        name="power meter",
        kind="power meter",
        statements={
            "power": "0.5 % + 1 digit on 99 W, resolution 0.01 W",
            "current": "0.5 % + 1 digit, resolution 0.01 A",
            "voltage": "0.5 % + 1 digit, resolution 0.1 V",
        },
    ),
}
"""As the virtual instruments err, and a digit for their scatter."""


class Notebook(Protocol):
    """Where a trial is written down."""

    rng: np.random.Generator
    logs: list[LogEvidence]

    def record(self, shows: str, *, kind: EntryKind = EntryKind.READING, **more: object) -> Entry:
        """Write an entry down."""


def record_lead(book: Notebook, specimen: LeadSpecimen) -> None:
    """Write down what a careful tester reads of a lead that may be cut up.

    Parameters
    ----------
    book : Notebook
        Where it is written.
    specimen : LeadSpecimen
        The lead.
    """
    bench, rng = set_up_conductor_bench(book.rng), book.rng
    coded = specimen.coding * (1.0 + rng.uniform(-0.008, 0.008))
    book.record("coding resistance", readings=(f"{coded:.0f} Ω",), instrument="meter")
    earth = _four_wire(bench, specimen.lead.path("PE"), rng, "pins")
    book.record(
        "earth resistance",
        readings=earth,
        instrument="low-ohm",
        conditions={"test current": "1 A", "length": f"{specimen.lead.length:g} m"},
    )
    for conductor in ("L", "N", "PE"):
        path = specimen.lead.path(conductor)
        for taps in ("inside",) if conductor == "PE" else ("inside", "pins", "plug side"):
            _resistance(book, bench, path, conductor=conductor, taps=taps)
    for conductor, core in (("L", specimen.lead.conductor), ("PE", specimen.lead.earth)):
        named = {"conductor": conductor}
        mass = bench.mass(core, rng=rng, length=PIECE).shown
        piece = {"length": f"{1e3 * PIECE:.0f} mm ± 0.5 mm", "along": "core"}
        book.record("stripped core mass", readings=mass, instrument="scale", conditions=named | piece)
        book.record("strand count", readings=(f"{core.strands}",), conditions=named)
        thick = bench.strand(core, rng=rng).shown
        book.record("strand diameter", readings=thick, instrument="micrometer", conditions=named)
        pulled = "yes" if core.wire.magnetic else "no"
        book.record("magnet at the wires", kind=EntryKind.OBSERVATION, answer=pulled, conditions=named)
        book.record("look of a cut", kind=EntryKind.OBSERVATION, conditions=named | {"look": core.wire.cut})


def _resistance(book: Notebook, bench: ConductorBench, path: VirtualPath, *, conductor: str, taps: str) -> None:
    coating = "tinned" if path.conductor.wire.name == "tinned_copper" else "plain"
    stated = {
        "conductor": conductor,
        "taps": taps,
        "length": f"{bench.length(path.length, rng=book.rng).shown[0]} ± 6 mm",
        "temperature": f"{ROOM:g} °C ± 0.6 °C",
        "test current": "1 A",
        "time since switch-on": "5 s",
        "coating": coating,
    }
    shown = _four_wire(bench, path, book.rng, taps)
    book.record("conductor resistance four-wire", readings=shown, instrument="low-ohm", conditions=stated)


def _four_wire(bench: ConductorBench, path: VirtualPath, rng: np.random.Generator, taps: str) -> Sequence[str]:
    return bench.four_wire(path, rng=rng, room=ROOM, taps=taps, repeats=3).shown


HEATED = HeatingRun(currents=((2400.0, 16.0),), ambient=ROOM, drift=0.3, draughts=2.0, draught=0.3)
"""A heating test of forty minutes at the rated current."""

SENSORS = (
    LoggedSensor(name="ambient", at="ambient", lag=60.0),
    LoggedSensor(name="sheath", at="sheath", place=2.5),
    LoggedSensor(name="plug", at="plug"),
    LoggedSensor(name="current", at="current", noise=0.02, step=0.01, lag=0.0),
)
LIMITS = SensorLimits(offset=0.4, gain=0.002, lifted=0.02)


def record_heating(book: Notebook, specimen: LeadSpecimen) -> None:
    """Write down a heating test from an isolated source of extra-low voltage, line and neutral joined at the far end.

    Parameters
    ----------
    book : Notebook
        Where it is written.
    specimen : LeadSpecimen
        The lead.
    """
    seen = log_heating(
        specimen.lead.cable,
        HEATED,
        seed=book.rng,
        sensors=draw_sensors(book.rng, SENSORS, LIMITS),
        logger=VirtualLogger(interval=60.0, jitter=5.0, dropout=0.01),
    )
    stated = {"air": "ambient", "current": "16.0 A ± 0.1 A", "supply": "extra-low voltage"}
    entry = book.record("heating log", kind=EntryKind.EVIDENCE, instrument="temperatures", conditions=stated)
    book.logs.append(LogEvidence(entry=entry, log=seen.log))


OFFER, LOWERED = 16.0, 10.0
"""What the unit offers, and to what it lowers it. [A]"""

CHARGING = Visit(plugged=20.0, unplugged=1160.0, offer=[(0.0, OFFER), (400.0, LOWERED)], unlock=1100.0)
"""A charge in short: the offer lowered, the supply lost for a minute, an unlock."""

OUTAGE = (700.0, 760.0)

CAR = {"car": "a virtual one"}


def record_charge(book: Notebook, specimen: LeadSpecimen) -> None:
    """Write down what a careful tester records of the idle unit and of a charge on a car.

    Parameters
    ----------
    book : Notebook
        Where it is written.
    specimen : LeadSpecimen
        The lead, with the car it is tried on.
    """
    rng = book.rng
    gains = rng.uniform(-0.005, 0.005, 3)
    idle = specimen.standby[0] * (1.0 + gains[0]) + rng.uniform(-0.005, 0.005)
    factor = specimen.standby[0] / float(np.hypot(*specimen.standby))
    stated = {"power factor": f"{factor:.3f}", "accuracy from power": "0.05 W", "accuracy from power factor": "0.01"}
    book.record("standby power", readings=(f"{idle:.2f} W",), instrument="power meter", conditions=stated)
    seen = log_charge(
        specimen.car,
        [CHARGING],
        seconds=1200.0,
        seed=rng,
        supply=VirtualSupply(outages=[OUTAGE]),
        meter=VirtualPowerMeter(power_gain=float(gains[0]), current_gain=float(gains[1]), voltage_gain=float(gains[2])),
        logger=VirtualLogger(dropout=0.005),
        clock=MarkClock(late=0.5),
        standby=specimen.standby[0],
        standby_reactive=specimen.standby[1],
    )
    log = book.record(
        "charging log",
        kind=EntryKind.EVIDENCE,
        instrument="power meter",
        conditions=CAR | {"offer": f"{OFFER:g} A ± 0.1 A"},
    )
    book.logs.append(LogEvidence(entry=log, log=seen.log))
    for mark in seen.marks:
        if mark.kind in NOTED:
            offer = {"offer": f"{LOWERED:g} A ± 0.1 A"} if mark.kind == "offer lowered" else {}
            book.record(
                "event mark", readings=(f"{mark.shown_s:.0f} s ± 1 s",), conditions={"event": mark.kind} | offer
            )
    stops = "no" if specimen.car.stops_after is None else "yes"
    way = CAR | {"way": "car", "lock": "released"}
    book.record("stop by user", kind=EntryKind.OBSERVATION, answer=stops, conditions=way)


NOTED = ("offer lowered", "breaker off", "breaker on", "unlock", "lock released")
"""Events that somebody writes down."""

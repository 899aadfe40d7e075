"""The part of a trial that is about the lead itself: its copper and its marks, read with virtual instruments."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

import numpy as np

from coldpin.records.entry import Entry, EntryKind
from coldpin.records.instrument import Instrument
from coldpin.simulator.conductor import VirtualPath
from coldpin.simulator.conductor_bench import ConductorBench, set_up_conductor_bench
from coldpin.simulator.lead_fault import LeadSpecimen

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
}
"""As the virtual instruments err, and a digit for their scatter."""


class Notebook(Protocol):
    """Where a trial is written down."""

    rng: np.random.Generator

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

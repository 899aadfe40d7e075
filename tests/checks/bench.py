"""A small bench for the tests: entries by hand, captures from the simulator, all joined to evidence."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np

from coldpin.checks import BenchEvidence, PilotCapture, run_checks
from coldpin.pilot import read_pilot
from coldpin.quantity import Quantity
from coldpin.records.case import (
    CASE_FORMAT,
    Build,
    Cable,
    CaseDescription,
    Claims,
    Electronics,
    Specimen,
    UnitClass,
)
from coldpin.records.entry import Entry, EntryKind
from coldpin.records.finding import Finding
from coldpin.records.instrument import Instrument
from coldpin.records.pilot import OutputKind, OutputReading, PilotReading, Source, State, Switching, SwitchingEvent
from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle, set_up_bench, simulate_capture
from coldpin.standards.accuracy import ScopeAccuracy, parse_accuracy
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition

PORTABLE = UnitClass(
    charging_mode=2, build=Build.PORTABLE, cable=Cable.ATTACHED, electronics=Electronics.IN_CABLE, connector="type 2"
)
WALL = UnitClass(
    charging_mode=3, build=Build.FIXED, cable=Cable.ATTACHED, electronics=Electronics.IN_WALL_UNIT, connector="type 2"
)
BARE = UnitClass(
    charging_mode=2,
    build=Build.PORTABLE,
    cable=Cable.ATTACHED,
    electronics=Electronics.IN_CONNECTOR,
    connector="type 2",
)
CLAIMS = Claims(
    plug="CEE 7/4", rated_current="16 A", declared_current="16 A", rated_voltage="230 V", plug_rating="16 A"
)
INSTRUMENTS = {
    "meter": Instrument(
        name="bench meter",
        kind="multimeter",
        statements={
            "voltage": "0.5 % of reading + 3 digits, resolution 0.1 V",
            "resistance": "0.8 % + 2 digits, resolution 1 Ω",
        },
    ),
    "scope": Instrument(
        name="scope", kind="scope", statements={"voltage": "0.5 % of reading + 0.02 V", "time": "50 ppm"}
    ),
    "stopwatch": Instrument(name="stopwatch by hand", kind="stopwatch", statements={"time": "0.3 s"}),
    "milliohm": Instrument(
        name="milliohm meter", kind="milliohm meter", statements={"resistance": "1 % + 2 digits, resolution 1 mΩ"}
    ),
    "tester": Instrument(
        name="insulation tester", kind="insulation tester", statements={"insulation": "5 % + 2 digits, resolution 1 MΩ"}
    ),
}
SCOPE = VirtualScope(
    full_scale=40.0,
    bits=8,
    noise=0.02,
    gain_limit=0.005,
    offset_limit=0.02,
    timebase_limit=50e-6,
    bandwidth=20e6,
    hum=0.0,
)
ACCURACY = ScopeAccuracy(
    vertical=parse_accuracy("0.5 % of reading + 0.02 V"), timebase=parse_accuracy("50 ppm"), full_scale=40.0, id="scope"
)


def entry(shows: str, *, name: str = "e1", kind: EntryKind = EntryKind.READING, **more: object) -> Entry:
    """One entry with the given content."""
    made = "2026-05-02T10:00:00+00:00"
    return Entry(id=name, kind=kind, shows=shows, made=made, recorded=made, who="Ines", **more)  # type: ignore[arg-type]  # fields by name


def evidence(
    *entries: Entry,
    unit: UnitClass = PORTABLE,
    claims: Claims = CLAIMS,
    captures: Sequence[PilotCapture] = (),
    edition: Edition = Edition.IEC_3,
) -> BenchEvidence:
    """The evidence of one case with these entries and captures."""
    return BenchEvidence(
        case=CaseDescription(
            format=CASE_FORMAT,
            title="Skerrow 16",
            specimen=Specimen(make="Skerrow", model="16"),
            unit=unit,
            claims=claims,
        ),
        edition=edition,
        book=load_book(),
        entries=(*entries, *(capture.entry for capture in captures)),
        instruments=INSTRUMENTS,
        captures=tuple(captures),
    )


def pairs(joined: Sequence[str] = ("PE > PE",), found: Mapping[str, str] | None = None) -> dict[str, str]:
    """The whole wiring map of a single-phase lead with these pairs joined and all others open."""
    return {
        f"{a} > {b}": "joined" if f"{a} > {b}" in joined else "open"
        for a in ("L", "N", "PE")
        for b in ("L1", "N", "PE", "CP")
    } | dict(found or {})


STEPS = ((0.05, "A"), (0.08, "B"), (0.05, "C"), (0.03, "B"))


@cache
def reading(unit: VirtualUnit, vehicle: VirtualVehicle, seed: int = 1) -> PilotReading:
    """The reading of a capture of A, B, C, B on the virtual bench."""
    capture = simulate_capture(
        unit,
        vehicle,
        list(STEPS),
        set_up_bench(SCOPE, seed=seed),
        seed=np.random.default_rng(seed),
        sample_interval=2e-6,
        with_output=False,
    )
    return read_pilot(capture.waveform, book=load_book(), edition=Edition.IEC_3, accuracy=ACCURACY)


def capture_of(
    unit: VirtualUnit, *, diode: str = "present", name: str = "c1", instrument: str = "scope", **conditions: str
) -> PilotCapture:
    """A filed capture of a virtual unit."""
    vehicle = VirtualVehicle(diode="shorted" if diode == "shorted" else "present")
    stated = {"load": "steps", "diode": diode, **conditions}
    return PilotCapture(
        entry=entry("pilot capture", name=name, kind=EntryKind.EVIDENCE, conditions=stated, instrument=instrument),
        reading=reading(unit, vehicle),
    )


def timed(word: str, *readings: str, name: str = "t1", instrument: str = "scope", **conditions: str) -> Entry:
    """Times of operations, one text each; an underscore in a condition's name stands for a space."""
    stated = {key.replace("_", " "): value for key, value in conditions.items()}
    return entry(word, name=name, readings=readings, instrument=instrument, conditions=stated)


def followed(seconds: float, u: float = 1e-3) -> Quantity:
    """A delay as the second channel of a capture gives it. [s]"""
    return Quantity(seconds, u, "s")


def not_followed(seconds: float) -> Quantity:
    """A delay that had no end while it was watched. [s]"""
    return Quantity(
        seconds, None, "s", low=seconds, high=None, why="the output had not followed when the capture ended"
    )


def switching_capture(kind: Switching, *delays: Quantity, name: str = "s1", **conditions: str) -> PilotCapture:
    """A filed capture with the output beside it, in which one kind of operation was seen."""
    seen = SwitchingEvent(
        event=kind,
        state_from=State.C2,
        state_to=State.B2,
        delay_s=delays[0] if delays else None,
        limit_s=0.1,
        limit_kind="max",
        outcome="undecided",
        operations=len(delays),
        delays_s=delays,
        at_s=tuple(float(at) for at in range(len(delays))),
    )
    stated = {key.replace("_", " "): value for key, value in conditions.items()}
    return PilotCapture(
        entry=entry("pilot capture", name=name, kind=EntryKind.EVIDENCE, conditions=stated, instrument="scope"),
        reading=PilotReading(
            schema="coldpin.pilot/1",
            source=Source(samples=1000, sample_interval_s=1e-5, duration_s=0.01),
            runs=(),
            switching=(seen,),
            output=OutputReading(kind=OutputKind.MAINS, stated=True, live=(), amplitude_v=325.0),
        ),
    )


def found_in(bench: BenchEvidence) -> dict[str, Finding]:
    """All findings of all checks, by id."""
    return {finding.id: finding for finding in run_checks(bench).findings}

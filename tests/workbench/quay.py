"""A quay for the tests: a shelf with one case on it, filled through the public functions as a person would."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache
from pathlib import Path

import numpy as np

from coldpin.casefile import create_shelf
from coldpin.records.case import Build, Cable, Claims, Electronics
from coldpin.records.entry import Entry
from coldpin.records.instrument import Instrument
from coldpin.simulator import VirtualUnit, VirtualVehicle, as_csv, set_up_bench, simulate_capture
from coldpin.workbench import add_evidence, new_case, record
from tests.checks.bench import SCOPE, pairs

BEGUN = datetime(2026, 5, 2, 9, 0, tzinfo=UTC)
SECRET = "order number 7731-KESTREL"
INSTRUMENTS = {
    "scope": Instrument(name="scope", kind="oscilloscope", statements={"voltage": "1 % + 0.05 V", "time": "50 ppm"}),
    "meter": Instrument(
        name="meter",
        kind="multimeter",
        statements={
            "voltage": "0.5 % of reading + 3 digits, resolution 0.1 V",
            "resistance": "0.8 % + 2 digits, resolution 1 mΩ",
        },
    ),
}


def at(minutes: float) -> datetime:
    """An instant of the bench day."""
    return BEGUN + timedelta(minutes=minutes)


@cache
def capture_text(duty: float = 26.67, *, style: str = "comma", load: str = "steps") -> bytes:
    """A short capture from the virtual bench: nothing connected, B, C, B."""
    schedule = [(0.02, "A"), (0.04, "B"), (0.03, "C"), (0.02, "B")] if load == "steps" else [(0.02, "A")]
    capture = simulate_capture(
        VirtualUnit(duty=duty),
        VirtualVehicle(),
        schedule,
        set_up_bench(SCOPE, seed=3),
        seed=np.random.default_rng(3),
        sample_interval=4e-6,
        with_output=False,
    )
    return as_csv(capture.waveform, style)


def make_shelf(folder: Path) -> Path:
    """A shelf with two instruments."""
    shelf = create_shelf(folder, "Brackwater Boatyard")
    for name, instrument in INSTRUMENTS.items():
        shelf.add_instrument(name, instrument)
    return shelf.folder


def make_case(shelf: Path, name: str = "skerrow-16", title: str = "") -> Path:
    """An empty case on a shelf."""
    return new_case(
        shelf / name,
        make="Skerrow",
        model="16",
        charging_mode=2,
        build=Build.PORTABLE,
        cable=Cable.ATTACHED,
        electronics=Electronics.IN_CABLE,
        title=title,
        tester="Ines",
        claims=Claims(plug="CEE 7/4", rated_current="16 A", declared_current="16 A", rated_voltage="230 V"),
    ).folder


def fill(case: Path, table: Path) -> dict[str, Entry]:
    """A wiring map, readings, a capture and something private; the file lies on ``table`` before it is filed."""
    file = table / "steps.csv"
    file.write_bytes(capture_text())
    return {
        "map": record(case, shows="wiring map", who="Ines", pairs=pairs(), made=at(0), now=at(1)),
        "earth": record(
            case,
            shows="earth resistance",
            who="Ines",
            readings=("510 mΩ", "512 mΩ"),
            instrument="meter",
            made=at(2),
            now=at(3),
        ),
        "nothing": record(
            case,
            shows="output with nothing connected",
            who="Ines",
            readings=("1.4 V",),
            instrument="meter",
            supply_voltage="231 V",
            made=at(4),
            now=at(5),
        ),
        "capture": add_evidence(
            case,
            file,
            shows="pilot capture",
            who="Ines",
            conditions={"load": "steps"},
            instrument="scope",
            made=at(6),
            now=at(7),
        ).entry,
        "private": record(case, shows="purchase", who="Ines", note=SECRET, private=True, made=at(8), now=at(9)),
    }

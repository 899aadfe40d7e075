"""A lead for the pages about cable, heat and charges: conductors read, heated, charged, left idle."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from coldpin.casefile import open_case
from coldpin.records.case import Build, Cable, Claims, Electronics
from coldpin.records.entry import Entry
from coldpin.records.instrument import Instrument
from coldpin.workbench import add_evidence, new_case, record
from tests.workbench.quay import at, make_shelf

NAME = "pellwick-16"
CLAIMS = Claims(
    plug="CEE 7/7",
    rated_current="16 A",
    declared_current="16 A",
    rated_voltage="230 V",
    cross_section="2.5 mm²",
    cable_print="H07BZ5-F 3G2.5",
    max_ambient="40 °C",
)
INSTRUMENTS = {
    "logger": Instrument(name="logger", kind="thermometer", statements={"temperature": "± 0.5 °C"}),
    "wattmeter": Instrument(
        name="wattmeter",
        kind="power meter",
        statements={"power": "1 % + 0.01 W", "current": "1 % + 0.02 A", "voltage": "0.5 %"},
    ),
}
LOST_S = (700.0, 760.0)
"""When the supply of the charge was off."""


def heating_text() -> str:
    """Sheath, plug and air under 16 A for forty minutes, every 20 s."""
    time = np.arange(0.0, 2400.0, 20.0)
    noise = np.random.default_rng(7).normal(0.0, 0.05, (3, time.size))
    warm = -np.expm1(-np.maximum(time - 60.0, 0.0) / 360.0)
    columns = (
        time,
        21.0 + 12.0 * warm + noise[0],
        21.0 + 8.0 * warm + noise[1],
        21.0 + noise[2],
        np.where(time > 60.0, 16.0, 0.0),
    )
    rows = "\n".join(f"{t:.0f},{s:.2f},{p:.2f},{a:.2f},{i:.2f}" for t, s, p, a, i in zip(*columns, strict=True))
    return f"time (s),sheath (°C),plug (°C),ambient (°C),current (A)\n{rows}\n"


def charge_text(seconds: int = 1500) -> str:
    """Waiting, 16 A, a minute without supply, 16 A, 10 A, the end: a row each second."""
    time = np.arange(float(seconds))
    current = np.select(
        [time < 90, time < LOST_S[0], time < LOST_S[1], time < 1000, time < 1400], [0, 16, 0, 16, 10], 0.0
    )
    voltage = np.where((time >= LOST_S[0]) & (time < LOST_S[1]), 0.0, 230.0 - 0.3 * current)
    ripple = np.random.default_rng(5).normal(0.0, 0.02, time.size) * (current > 0.0)
    rows = "\n".join(
        f"{t:.0f},{i + r:.3f},{v:.1f},{max(i + r, 0.0) * v:.1f}"
        for t, i, r, v in zip(time, current, ripple, voltage, strict=True)
    )
    return f"time (s),current (A),voltage (V),power (W)\n{rows}\n"


def make_yard(place: Path) -> Path:
    """A shelf with one case, filled; the files lie beside it before they are filed."""
    shelf = make_shelf(place / "shelf")
    from coldpin.casefile.shelf import open_shelf

    for name, instrument in INSTRUMENTS.items():
        open_shelf(shelf).add_instrument(name, instrument)
    case = new_case(
        shelf / NAME,
        make="Pellwick",
        model="16",
        charging_mode=2,
        build=Build.PORTABLE,
        cable=Cable.ATTACHED,
        electronics=Electronics.IN_CABLE,
        tester="Ines",
        claims=CLAIMS,
    ).folder
    fill_yard(case, place)
    assert open_case(case).entries().entries
    return shelf


def fill_yard(case: Path, table: Path) -> dict[str, Entry]:
    """Conductors, a heating run, a charge with one mark, standby power."""
    found = {}
    for minute, (conductor, ohms) in enumerate(
        (("L", "37.2 mΩ ± 0.1 mΩ"), ("N", "37.0 mΩ ± 0.1 mΩ"), ("PE", "37.4 mΩ ± 0.1 mΩ"))
    ):
        found[conductor] = record(
            case,
            shows="conductor resistance four-wire",
            who="Ines",
            readings=(ohms,),
            conditions={"conductor": conductor, "length": "5.00 m ± 5 mm", "temperature": "20 °C ± 0.5 °C"},
            made=at(minute),
            now=at(minute),
        )
    found["mass"] = record(
        case, shows="stripped core mass", who="Ines", readings=("21.6 g ± 0.1 g",),
        conditions={"conductor": "L", "length": "1.000 m ± 2 mm"}, made=at(5), now=at(5),
    )  # fmt: skip
    (table / "heating.csv").write_text(heating_text(), encoding="utf-8")
    found["heating"] = add_evidence(
        case, table / "heating.csv", shows="heating log", who="Ines", instrument="logger",
        conditions={"current": "16 A ± 0.1 A", "supply": "extra-low voltage"}, made=at(10), now=at(10),
    ).entry  # fmt: skip
    (table / "charge.csv").write_text(charge_text(), encoding="utf-8")
    found["charge"] = add_evidence(
        case, table / "charge.csv", shows="charging log", who="Ines", instrument="wattmeter",
        conditions={"car": "a hatchback", "offer": "16 A ± 0.2 A"}, made=at(20), now=at(20),
    ).entry  # fmt: skip
    found["off"] = record(
        case, shows="event mark", who="Ines", readings=("700 s ± 1 s",),
        conditions={"event": "breaker off", "log": found["charge"].id}, made=at(30), now=at(30),
    )  # fmt: skip
    found["idle"] = record(
        case, shows="standby power", who="Ines", readings=("0.82 W",), instrument="wattmeter",
        conditions={
            "power factor": "0.12", "accuracy from power": "0.1 W", "accuracy from power factor": "0.1",
            "price": "0.35 EUR/kWh",
        },
        made=at(31), now=at(31),
    )  # fmt: skip
    return found

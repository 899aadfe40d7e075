"""The pilot circuit written for ngspice: the same parts, another program's arithmetic."""

from __future__ import annotations

import subprocess
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from coldpin.simulator import VirtualScope, VirtualUnit, VirtualVehicle

CYCLES = 3


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Transient:
    """What ngspice printed: arrays of shape (k,). [s], [V]"""

    time: NDArray[np.float64]
    pilot: NDArray[np.float64]
    seen: NDArray[np.float64]


def pilot_netlist(
    unit: VirtualUnit, vehicle: VirtualVehicle, scope: VirtualScope, load: str, *, step: float, diode: str = ""
) -> str:
    """Return a netlist of one load; the oscillator starts to rise at time zero and runs for a few periods.

    ``diode`` is put at the end of the diode's model, for parts the simulator leaves out.
    """
    period = 1.0 / unit.frequency
    on = period * unit.duty / 100.0 - unit.edge_time
    behind = "n" if vehicle.diode == "present" else "cp"
    r3 = {"C": vehicle.r3_c, "D": vehicle.r3_d}.get(load)
    lines = [
        "pilot",
        f"V1 e 0 PULSE({unit.rail_low} {unit.rail_high} 0 {unit.edge_time} {unit.edge_time} {on!r} {period!r})",
        f"R1 e cp {unit.source_resistance}",
        f"Cs cp 0 {unit.capacitance + scope.probe_capacitance}",
        f"Rp cp 0 {scope.probe_resistance}",
        # The scope's single pole, buffered so that it does not load the pilot.
        "E1 buffered 0 cp 0 1",
        "R9 buffered seen 1",
        f"C9 seen 0 {scope.lag!r}",
    ]
    if load != "A":
        lines += [f"Cv cp 0 {vehicle.capacitance}", f"R2 {behind} 0 {vehicle.r2}"]
        if vehicle.diode == "present":
            lines.append("D1 cp n series")
    if r3 is not None:
        lines.append(f"R3 {behind} 0 {r3}")
    if load == "E":
        lines.append(f"R8 cp 0 {vehicle.short}")
    lines += [
        f".model series D(IS={vehicle.diode_saturation} N={vehicle.diode_emission} {diode})",
        ".options reltol=1e-6 abstol=1e-13 vntol=1e-9 method=trap temp=27",
        f".tran {step} {CYCLES * period} 0 {step}",
        ".end",
        "",
    ]
    return "\n".join(lines)


def run_ngspice(ngspice: str, netlist: str, folder: Path) -> Transient:
    """Run a netlist and read back pilot and scope input."""
    written = folder / "pilot.txt"
    control = f".control\nset wr_singlescale\nrun\nwrdata {written.name} v(cp) v(seen)\nquit 0\n.endc\n.end\n"
    (folder / "pilot.cir").write_text(netlist.removesuffix(".end\n") + control, encoding="ascii")
    subprocess.run([ngspice, "-b", "pilot.cir"], cwd=folder, check=True, capture_output=True, timeout=120)
    table = np.loadtxt(written)
    return Transient(time=table[:, 0], pilot=table[:, 1], seen=table[:, 2])

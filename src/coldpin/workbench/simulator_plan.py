"""A vehicle simulator for the bench: planned from the constants, and set on one sheet of paper."""

from __future__ import annotations

from pathlib import Path

from coldpin.casefile.storage import write_over
from coldpin.checks.cautions import LIVE_CAUTIONS
from coldpin.pilot import vehicle_simulator
from coldpin.records.vehicle_simulator import VehicleSimulator
from coldpin.report.pdf import render_pdf
from coldpin.report.simulator_sheet import build_sheet
from coldpin.standards.book import load_book
from coldpin.standards.editions import Edition


def plan_vehicle_simulator(*, edition: Edition = Edition.IEC_3, series: str = "E24") -> VehicleSimulator:
    """Return a vehicle simulator made of stock resistors: parts, positions, proof, order, and cautions before all.

    Parameters
    ----------
    edition : Edition
        Whose generator the levels are for.
    series : str
        "E24" or "E96".

    Returns
    -------
    VehicleSimulator
        The whole of it.

    Raises
    ------
    UnknownName
        There is no such series.

    Examples
    --------
    >>> plan = plan_vehicle_simulator(series="E96")
    >>> len(plan.positions), plan.positions[1].name, f"{plan.positions[1].high_v.value:.2f}"
    (21, 'B', '8.98')
    """
    return vehicle_simulator.plan_vehicle_simulator(load_book(), edition, series=series, cautions=LIVE_CAUTIONS)


def write_simulator_sheet(plan: VehicleSimulator, path: Path | str) -> Path:
    """Write the sheet of a vehicle simulator as PDF, in place of a file of that name.

    Parameters
    ----------
    plan : VehicleSimulator
        What :func:`plan_vehicle_simulator` returned.
    path : Path or str
        The file.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    StorageError
        The disk refuses it, or the folder is not there.
    """
    target = Path(path)
    write_over(target, render_pdf(build_sheet(plan)), what="the sheet of the vehicle simulator")
    return target

"""Speed of what is computed about a cable, each beside a reference run in turns with it on the same machine.

In one process, since a person meets these inside of a report or a page; what the command takes to start is told with
the commands.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import count
from statistics import median
from typing import Any

import numpy as np

from coldpin.copper.air_film import arrange
from coldpin.copper.current_map import charted, current_map
from coldpin.copper.heating_curve import fit_heating
from coldpin.copper.heating_grid import LAG_OF_BODY
from coldpin.copper.heating_rows import Stretch, gather
from coldpin.copper.lead_heat import lead_heat
from coldpin.copper.metal import estimate_metal
from coldpin.copper.metal_evidence import (
    CutEvidence,
    HeatingEvidence,
    MagnetEvidence,
    MassEvidence,
    MetalEvidence,
    ResistanceEvidence,
    StrandEvidence,
)
from coldpin.copper.steady import HeatedCable
from coldpin.copper.usual_build import assumed_inner, usual_layers
from coldpin.quantity import Quantity
from coldpin.records.current_map import CurrentMap, MappedLead
from coldpin.records.metal import CutLook
from coldpin.report.anchors import Anchors
from coldpin.report.figures.current_map import current_map as map_figure
from coldpin.standards.book import Book, load_book
from coldpin.standards.cable_heating import touch_temperature
from coldpin.standards.cable_ratings import insulation_temperature
from coldpin.standards.metals import temperature_coefficient
from tools.measured_page import table
from tools.timing import in_turns, tell
from tools.timing import timed as clock

RUNS = 15
EXPONENTIALS = 1_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One thing to be timed, and how long it may take, None where nothing is set. [s]"""

    name: str
    goal: float | None
    work: Callable[[], object]


@dataclass(frozen=True, slots=True, kw_only=True)
class Timed:
    """A task with the times of each run, and of the reference in between. [s]"""

    task: Task
    times: tuple[float, ...]
    references: tuple[float, ...]

    @property
    def reached(self) -> bool:
        """Whether the median is within the goal."""
        return self.task.goal is None or median(self.times) <= self.task.goal

    def cells(self) -> list[str]:
        """Return the row of the table.

        Returns
        -------
        list of str
            Name, median, spread, goal, ratio to the reference.
        """
        return [
            self.task.name,
            f"{1e3 * median(self.times):.1f} ms",
            f"{1e3 * min(self.times):.1f} ms to {1e3 * max(self.times):.1f} ms",
            "–"
            if self.task.goal is None
            else f"≤ {self.task.goal:g} s" + ("" if self.reached else ", **not reached**"),
            f"{median(self.times) / median(self.references):.2g}",
        ]


def metal_and_area(book: Book) -> tuple[Task, ...]:
    """Return the estimate of metal and area: from two numbers that decide, from one that does not, from everything.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of Task
        Three tasks.
    """
    resistance = ResistanceEvidence(per_metre=Quantity(7.4, 0.025, "Ω/km"))
    mass = MassEvidence(per_metre=Quantity(22.1, 0.1, "g/m"))
    everything: tuple[MetalEvidence, ...] = (
        resistance,
        mass,
        StrandEvidence(count=50, diameter=Quantity(0.25, 0.003, "mm")),
        HeatingEvidence(per_metre=Quantity(7.0, 0.6, "Ω/km")),
        MagnetEvidence(answer="no"),
        CutEvidence(look=CutLook.RED),
    )
    return tuple(
        Task(
            name=f"metal and area of a core, {words}",
            goal=0.2,
            work=lambda evidence=evidence: estimate_metal(evidence, book, nominal_mm2=2.5),  # type: ignore[misc]  # bound here
        )
        for words, evidence in (
            ("by resistance and mass", (resistance, mass)),
            ("by resistance alone, with what would settle it", (resistance,)),
            ("by six pieces of evidence", everything),
        )
    )


def maps(book: Book) -> tuple[Task, ...]:
    """Return the map of a lead over current and ambient, lying free and coiled, its figure, and one place of it.

    Parameters
    ----------
    book : Book
        The constants.

    Returns
    -------
    tuple of Task
        Four tasks.
    """
    layers = usual_layers(book, kind="charging", cross_section_mm2=2.5, cores=3, loaded_cores=2, diameter=0.0115)
    lead = HeatedCable(
        diameter=Quantity(0.0115, 0.0001, "m"),
        inner=assumed_inner(layers),
        resistance=Quantity(0.0076, 3e-5, "Ω/m"),
        coefficient=temperature_coefficient(book),
        cores=2,
    )

    def drawn(lies: str) -> CurrentMap:
        return current_map(
            lead,
            arrange(book, lies),
            metal_limit=insulation_temperature(book, "charging"),
            touch_limit=touch_temperature(book),
            offered=16.0,
            rated=16.0,
            max_ambient=40.0,
        )

    def pointed() -> object:
        asked = MappedLead(
            diameter_m=lead.diameter,
            inner_km_per_w=lead.inner,
            resistance_ohm_per_m=lead.resistance,
            coefficient=lead.coefficient,
            cores=lead.cores,
            metal_limit=insulation_temperature(book, "charging"),
            touch_limit=touch_temperature(book),
        )
        return lead_heat(asked, arrange(book, "on a surface"), current=20.0, ambient=35.0)

    found = drawn("on a surface")
    points, chart = f"{found.current.size} × {found.ambient.size} points", charted(found)
    return (
        Task(name=f"current × ambient of a lead on a surface, {points}", goal=0.5, work=lambda: drawn("on a surface")),
        Task(name="the same, coiled", goal=0.5, work=lambda: drawn("coiled")),
        Task(name="the figure of that map", goal=0.5, work=lambda: map_figure(chart, Anchors())),
        Task(name="one place of that map, with ± and the limit that binds", goal=0.1, work=pointed),
    )


def heating_fits() -> tuple[Task, ...]:
    """Return the fit of a heating curve of 400 rows, of a sheath and of a plug that waits for its cable.

    Returns
    -------
    tuple of Task
        Two tasks.
    """
    time_s = np.arange(0.0, 2000.0, 5.0)
    noise = np.random.default_rng(1).normal(0.0, 0.05, time_s.size)
    read = np.round(21.0 + 25.0 * -np.expm1(-time_s / 400.0) + noise, 1)
    rows = Stretch(first=0, end=time_s.size, current=None)
    blocks = gather(time_s, read, np.full(time_s.size, 21.0), None, rows, began=0.0, step=0.1)
    runs = count()

    def fitted(**of_part: Any) -> object:
        # a fit is remembered by its readings: each run has readings of its own, a millionth of a kelvin apart
        return fit_heating(replace(blocks, temperature=blocks.temperature + 1e-6 * next(runs), **of_part))

    return (
        Task(name=f"end of a heating curve, {time_s.size} rows of a sheath", goal=None, work=fitted),
        Task(name="the same, of a plug", goal=None, work=lambda: fitted(lag=LAG_OF_BODY, chained=True)),
    )


def reference() -> float:
    """Run the reference, a million exponentials by numpy.

    Returns
    -------
    float
        Their sum, which nobody needs.
    """
    return float(np.exp(-np.linspace(0.0, 1.0, EXPONENTIALS)).sum())


def timed(task: Task) -> Timed:
    """Time a task and the reference in turns, after one run of each that warms the caches.

    Parameters
    ----------
    task : Task
        What is timed.

    Returns
    -------
    Timed
        All times.
    """
    tell(task.name)
    task.work(), reference()
    times, references = in_turns(partial(clock, task.work), partial(clock, reference), runs=RUNS)
    return Timed(task=task, times=times, references=references)


def section() -> tuple[str, bool]:
    """Time everything about cables and return the text of the section.

    Returns
    -------
    tuple of str and bool
        A table, and whether every goal is reached.
    """
    book = load_book()
    found = [timed(task) for task in (*metal_and_area(book), *maps(book), *heating_fits())]
    head = ["cables", "median", "lowest to highest", "goal", "over the reference"]
    text = (
        f"Within one process, up to {RUNS} runs in turns with the reference, a million exponentials by numpy "
        f"({1e3 * median(found[0].references):.1f} ms); load average at the end {os.getloadavg()[0]:.1f}.\n\n"
    )
    return text + table(head, [one.cells() for one in found]), all(one.reached for one in found)


if __name__ == "__main__":
    print(section()[0])

"""Reference pages and files of the docs made from records: sources, what an entry can show, JSON schemas."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from coldpin.records.assessment import Assessment
from coldpin.records.board_distances import BoardDistances, DistancesByDegree
from coldpin.records.body_current import BodyCurrent
from coldpin.records.bundle import Bundle, BundleCheck
from coldpin.records.case import CaseDescription
from coldpin.records.comparison import Comparison
from coldpin.records.conductor import ConductorReading
from coldpin.records.dialect import Dialect
from coldpin.records.entry import Entry
from coldpin.records.fault import FaultWithstand
from coldpin.records.finding import Limit
from coldpin.records.heating import TemperatureRise
from coldpin.records.instrument import Instrument
from coldpin.records.lead_at import LeadAt
from coldpin.records.mains_on_pilot import MainsOnPilot
from coldpin.records.notice import Notification
from coldpin.records.outline import OutlineReading
from coldpin.records.photo import PhotoReading
from coldpin.records.pilot import PilotReading
from coldpin.records.plain import schema_of
from coldpin.records.plan import BenchPlan, NextTest
from coldpin.records.plug_discharge import PlugDischarge
from coldpin.records.proximity import ProximityReading
from coldpin.records.readings import Corrections, Readings
from coldpin.records.required_distances import RequiredDistances
from coldpin.records.scale_card import ScaleCard
from coldpin.records.scenario import CaseRisk, RiskReading
from coldpin.records.session import SessionReading, StandbyReading
from coldpin.records.together import Together
from coldpin.records.touch_current import TouchCurrent
from coldpin.records.trip_test import TripTest
from coldpin.records.use import CaseUses
from coldpin.records.vehicle_simulator import VehicleSimulator
from coldpin.records.vocabulary import VOCABULARY
from coldpin.records.voltage_drop import VoltageDrop
from coldpin.standards.book import load_book
from coldpin.standards.sources import catalogue
from coldpin.standards.table import Grid
from coldpin.standards.wording import limit_paragraph
from tools.measured_page import table

MADE = "Made by `make docs`; never edited by hand."
SCHEMAS: dict[str, Any] = {
    "assessment": Assessment,
    "body-current": BodyCurrent,
    "bundle": Bundle,
    "bundle-check": BundleCheck,
    "case": CaseDescription,
    "compare": Comparison,
    "conductor": ConductorReading,
    "corrections": Corrections,
    "dialect": Dialect,
    "distances": BoardDistances,
    "distances-by-degree": DistancesByDegree,
    "entry": Entry,
    "fault-withstand": FaultWithstand,
    "instrument": Instrument,
    "mains-on-pilot": MainsOnPilot,
    "lead-at": LeadAt,
    "notification": Notification,
    "next-test": NextTest,
    "plan": BenchPlan,
    "outline": OutlineReading,
    "photo": PhotoReading,
    "pilot": PilotReading,
    "plug-discharge": PlugDischarge,
    "proximity": ProximityReading,
    "scale-card": ScaleCard,
    "readings": Readings,
    "required-distances": RequiredDistances,
    "case-risk": CaseRisk,
    "uses": CaseUses,
    "risk": RiskReading,
    "session": SessionReading,
    "standby": StandbyReading,
    "temperature-rise": TemperatureRise,
    "together": Together,
    "touch-current": TouchCurrent,
    "trip-test": TripTest,
    "vehicle-simulator": VehicleSimulator,
    "voltage-drop": VoltageDrop,
}
"""The documents that the program writes for others, by the name of their schema."""


def schema_files() -> dict[str, str]:
    """Return the JSON schema of each document.

    Returns
    -------
    dict
        Text by path under ``docs/``.
    """
    return {
        f"schema/{name}.json": json.dumps(schema_of(kind), ensure_ascii=False, indent=2) + "\n"
        for name, kind in SCHEMAS.items()
    }


def sources_page() -> str:
    """Return the page of every constant with its source and standing, as ``coldpin sources`` prints them.

    Returns
    -------
    str
        Markdown.
    """
    page = (
        "# Sources\n\nEvery constant from outside that coldpin uses, with where it is from and how well it is known: "
        "`standard` (the user has the standard and entered it), `read` (a public text restates it), `memory` (known, "
        "no public text found), `common practice` (a fact of the trade), `judgement` (our own estimate). "
        "Nothing here replaces the standards. "
        f"{MADE}\n"
    )
    for subject in catalogue(load_book()):
        note = f"{subject.note}\n\n" if subject.note else ""
        in_grids = {cell for grid in subject.grids for line in grid.cells for cell in line}
        alone = [row.limit for row in subject.rows if row.limit.id not in in_grids]
        page += f"\n## {subject.title}\n\n{note}" + "".join(f"- {limit_paragraph(limit)}\n" for limit in alone)
        page += "".join(map(_printed, subject.grids))
    return page


def _printed(grid: Grid) -> str:
    """Return a grid as the table it is printed as, under what all of its cells share."""
    book = load_book()
    shared = replace(
        book.limit(grid.cells[0][0]), id=f"{grid.id}.*", title=grid.title, minimum=None, nominal=None, maximum=None
    )
    unit = "" if shared.unit == "1" else f" In {shared.unit}."
    numbers = [[limit_number(book.limit(cell)) for cell in line] for line in grid.cells]
    rows = [[head, *line] for head, line in zip(grid.rows, numbers, strict=True)]
    return f"\n{limit_paragraph(shared)}{unit}\n\n{table([grid.across, *grid.columns], rows)}"


def limit_number(limit: Limit) -> str:
    """Return the one number of a cell, without its unit.

    Parameters
    ----------
    limit : Limit
        The cell.

    Returns
    -------
    str
        Its number.
    """
    held = [number for number in (limit.minimum, limit.nominal, limit.maximum) if number is not None]
    return f"{held[0]:.10g}"


def vocabulary_page() -> str:
    """Return the page of the words that say what an entry shows.

    Returns
    -------
    str
        Markdown.
    """
    page = (
        "# What an entry can show\n\nThe closed list of words by which evidence reaches the checks. `coldpin record` "
        f"and `coldpin add` take one of them; an unknown word is an error that lists these. {MADE}\n"
    )
    for showing in VOCABULARY.values():
        recorded = showing.recorded_as + (f", in {showing.unit}" if showing.unit else "")
        page += (
            f"\n## {showing.word}\n\n{showing.meaning[0].upper()}{showing.meaning[1:]}.\n\nRecorded as: {recorded}.\n"
        )
        if showing.conditions:
            rows = [[name, meaning] for name, meaning in showing.conditions.items()]
            page += "\n" + table(["condition", "meaning"], rows)
    return page

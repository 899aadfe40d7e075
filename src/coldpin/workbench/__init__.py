"""Every use of coldpin, one function each: this is the public API that command line and page stand on.

The functions are imported when they are first asked for, so that a quick look does not wait for the report.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from coldpin.workbench.advising import next_test
    from coldpin.workbench.assessing import assess
    from coldpin.workbench.board_degrees import measure_board_by_degree
    from coldpin.workbench.boards import Asked, measure_board
    from coldpin.workbench.body import tell_body_current, tell_mains_on_pilot
    from coldpin.workbench.bundling import Bundled, bundle, check_bundle
    from coldpin.workbench.case_risk import rate_case
    from coldpin.workbench.case_uses import uses_of_case
    from coldpin.workbench.cases import new_case
    from coldpin.workbench.charging import SessionLook, look_at_session, look_at_standby
    from coldpin.workbench.coding import look_at_proximity
    from coldpin.workbench.comparing import Compared, compare
    from coldpin.workbench.conductor import look_at_conductor
    from coldpin.workbench.constants import find_sources
    from coldpin.workbench.demo import make_demo
    from coldpin.workbench.drafting import Written, assessment_of, write_report
    from coldpin.workbench.entries import Added, add_evidence, correct, record
    from coldpin.workbench.joining import Joined, conclude_together
    from coldpin.workbench.lead_fault import tell_fault_withstand
    from coldpin.workbench.lead_voltage import (
        supply_from_log,
        supply_from_voltages,
        supply_stated,
        tell_voltage_drop,
    )
    from coldpin.workbench.listing import EntryList, list_entries
    from coldpin.workbench.look import Look, look_at_pilot
    from coldpin.workbench.look_log import open_log
    from coldpin.workbench.publishing import publish
    from coldpin.workbench.rendering import render
    from coldpin.workbench.residual import tell_trip_test
    from coldpin.workbench.risk import rate_steps
    from coldpin.workbench.shelving import shelf_problems
    from coldpin.workbench.simulator_plan import plan_vehicle_simulator, write_simulator_sheet
    from coldpin.workbench.trial import entry_remarks

__all__ = [
    "Added",
    "Asked",
    "Bundled",
    "Compared",
    "EntryList",
    "Joined",
    "Look",
    "SessionLook",
    "Written",
    "add_evidence",
    "assess",
    "assessment_of",
    "bundle",
    "check_bundle",
    "compare",
    "conclude_together",
    "correct",
    "find_sources",
    "list_entries",
    "look_at_conductor",
    "look_at_pilot",
    "look_at_proximity",
    "look_at_session",
    "look_at_standby",
    "make_demo",
    "measure_board",
    "measure_board_by_degree",
    "new_case",
    "next_test",
    "open_log",
    "plan_vehicle_simulator",
    "publish",
    "rate_case",
    "uses_of_case",
    "rate_steps",
    "record",
    "render",
    "entry_remarks",
    "shelf_problems",
    "supply_from_log",
    "supply_from_voltages",
    "supply_stated",
    "tell_body_current",
    "tell_fault_withstand",
    "tell_mains_on_pilot",
    "tell_trip_test",
    "tell_voltage_drop",
    "write_report",
    "write_simulator_sheet",
]

_HOME = {
    "Added": "entries",
    "Asked": "boards",
    "Bundled": "bundling",
    "Compared": "comparing",
    "EntryList": "listing",
    "Joined": "joining",
    "Look": "look",
    "SessionLook": "charging",
    "Written": "drafting",
    "add_evidence": "entries",
    "assess": "assessing",
    "assessment_of": "drafting",
    "bundle": "bundling",
    "check_bundle": "bundling",
    "compare": "comparing",
    "conclude_together": "joining",
    "correct": "entries",
    "find_sources": "constants",
    "list_entries": "listing",
    "look_at_conductor": "conductor",
    "look_at_pilot": "look",
    "look_at_proximity": "coding",
    "look_at_session": "charging",
    "look_at_standby": "charging",
    "make_demo": "demo",
    "measure_board": "boards",
    "measure_board_by_degree": "board_degrees",
    "new_case": "cases",
    "next_test": "advising",
    "open_log": "look_log",
    "plan_vehicle_simulator": "simulator_plan",
    "publish": "publishing",
    "rate_case": "case_risk",
    "uses_of_case": "case_uses",
    "rate_steps": "risk",
    "record": "entries",
    "render": "rendering",
    "entry_remarks": "trial",
    "shelf_problems": "shelving",
    "supply_from_log": "lead_voltage",
    "supply_from_voltages": "lead_voltage",
    "supply_stated": "lead_voltage",
    "tell_body_current": "body",
    "tell_fault_withstand": "lead_fault",
    "tell_mains_on_pilot": "body",
    "tell_trip_test": "residual",
    "tell_voltage_drop": "lead_voltage",
    "write_report": "drafting",
    "write_simulator_sheet": "simulator_plan",
}
"""The module each name lives in; none bears the name of a function, which it would hide."""


def __getattr__(name: str) -> object:
    if name in _HOME:
        return getattr(import_module(f"{__name__}.{_HOME[name]}"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")

"""Every use of coldpin, one function each: this is the public API that command line and page stand on."""

from coldpin.workbench.assess import Written, assess, render, write_report
from coldpin.workbench.cases import Added, add_evidence, correct, new_case, record
from coldpin.workbench.find_sources import find_sources
from coldpin.workbench.look import Look, look_at_pilot
from coldpin.workbench.publishing import publish

__all__ = [
    "Added",
    "Look",
    "Written",
    "add_evidence",
    "assess",
    "correct",
    "find_sources",
    "look_at_pilot",
    "new_case",
    "publish",
    "record",
    "render",
    "write_report",
]

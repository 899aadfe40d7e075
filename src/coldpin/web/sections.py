"""What stands above each page: the sections of a case, in the order of the job, and the pages that belong to all."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One section.

    Parameters
    ----------
    path : str
        Its address with its leading stroke, of a case's section below that of the case; empty for the case's own page.
    words : str
        What it is called.
    """

    path: str
    words: str


SECTIONS = (
    Section(path="", words="Conclusion"),
    Section(path="/findings", words="Findings"),
    Section(path="/evidence", words="Evidence"),
    Section(path="/plan", words="Plan"),
    Section(path="/pilot", words="Pilot"),
    Section(path="/board", words="Board"),
    Section(path="/heating", words="Heating"),
    Section(path="/charges", words="Charges"),
    Section(path="/risk", words="Risk"),
    Section(path="/uses", words="Uses"),
    Section(path="/described", words="Described"),
    Section(path="/report", words="Report"),
)
"""Every section, one line each."""

DOORS = (
    Section(path="/instruments", words="Instruments"),
    Section(path="/sources", words="Sources"),
    Section(path="/bundle", words="Check a bundle"),
)
"""The pages that belong to all cases, one line each."""
